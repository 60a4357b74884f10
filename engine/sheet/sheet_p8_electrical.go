package sheet

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/electrical"
	"roodbeam/engine/si"
)

var _ = register(Kind{Code: "P8", Order: 80, Title: "Electrician's sheet", Reader: "licensed electrician", Words: electricalWords, Fill: electricianSheet})

func electricianSheet(in *Input, _ Page) Sheet {
	blocks := []Block{
		{Span: true, Caution: "Proposed only. The licensed electrician sizes, approves and installs under the local code and edition in force; the columns “as approved” and “as installed” are theirs."},
		{Span: true, Heading: "Supply and panels, as found"},
		{Span: true, Table: in.supplyTable()},
		{Span: true, Table: in.panelTable()},
		{Span: true, Table: in.wayTable()},
		{Span: true, Heading: "New circuits, proposed"},
		{Span: true, Table: in.circuitTable()},
		{Span: true, Text: joinWords(" ", sentence(in.Load.SupplyNote), fmt.Sprintf("All new lights on: %s, %s, %s at the nominal voltage. Heat from the new lights: %s.",
			number(in.Load.TotalW, 0, "W"), number(in.Load.TotalVA, 0, "VA"), number(in.Load.TotalA, 1, "A"), in.heat()))},
		{Span: true, Table: in.wiringTable()},
	}
	if text := in.packingText(); text != "" {
		blocks = append(blocks, Block{Span: true, Text: text})
	}
	if t := in.neutralTable(); len(t.Rows) > 0 {
		blocks = append(blocks, Block{Span: true, Heading: "Shared neutrals"}, Block{Span: true, Table: t})
	}
	blocks = append(blocks, []Block{
		{Heading: "Outlets"},
		{Table: in.outletTable()},
		{ColumnBreak: true},
		{Heading: "Load of each leg, step by step"},
		{Table: in.stepTable()},
	}...)
	if len(in.Survey.Supply.Standing) > 0 {
		blocks = append(blocks, Block{Table: in.standingTable()})
	}
	if len(in.Load.Scenarios) > 0 {
		blocks = append(blocks, Block{Table: in.scenarioTable()})
	}
	if len(in.Load.House) > 0 || len(in.Survey.Dimmers) > 0 {
		blocks = append(blocks, Block{Span: true, Heading: "Old dimmers and house lights"}, Block{Span: true, Table: in.dimmerTable()})
	}
	blocks = append(blocks,
		Block{Span: true, Heading: "Questions for the electrician"},
		Block{Span: true, Table: in.electricalQuestions()},
		Block{Span: true, SignOff: &SignOff{Role: "licensed electrician", Text: "Circuits, conductors, protection and panel work as approved and as installed; test certificate attached."}},
	)
	return Sheet{Columns: 2, Blocks: blocks}
}

func amps(a si.Typed[si.Current]) string {
	if !a.Set {
		return unknown
	}
	return number(a.Value.Amperes(), 0, "A")
}

func volts(v si.Typed[si.Voltage]) string {
	if !v.Set {
		return unknown
	}
	return number(v.Value.Volts(), 0, "V")
}

func (in *Input) supplyTable() *Table {
	s := in.Survey.Supply
	hz := unknown
	if s.Frequency > 0 {
		hz = number(s.Frequency, 0, "Hz")
	}
	return &Table{Name: "supply", Heads: []string{"System", "Earthing", "Line to neutral", "Line to line", "Frequency", "Main protection", "Fault current", "Residual-current device", "Load reading", "As verified"}, WriteIn: []string{"As verified"},
		Align: "llrrrrrrll",
		Rows: [][]string{{supplySystem(s.System), earthing(s.Earthing), volts(s.Voltage), volts(s.VoltageLL), hz,
			amps(s.Main), amps(s.FaultCurrent), rcd(s.RCD), words(orText(s.Reading, unknown)), ""}},
		Note: "As written down by volunteers from labels, with all covers closed. The electrician verifies on site."}
}

func supplySystem(id string) string {
	switch id {
	case "single_phase_2w":
		return "single-phase, two wires"
	case "single_phase_3w":
		return "single-phase, three wires"
	case "three_phase_4w":
		return "three-phase, four wires"
	case "three_phase_3w":
		return "three-phase, three wires, no neutral"
	}
	return words(orText(id, unknown))
}

// earthing writes the system as IEC 60364-1 does: TN-C-S, TT.
func earthing(id string) string {
	if id == "" {
		return unknown
	}
	return strings.ToUpper(strings.ReplaceAll(id, "_", "-"))
}

func rcd(a si.Typed[si.Current]) string {
	if !a.Set {
		return unknown
	}
	return number(a.Value.Amperes()*1000, 0, "mA")
}

func (in *Input) panelTable() *Table {
	t := &Table{Name: "panels", Heads: []string{"Panel", "Rating", "Planning limit per leg", "Spaces", "Used", "Needed now", "Left", "Come back later", "Share free afterwards", "Clear in front", "Feeds", "Note", "As verified"}, WriteIn: []string{"As verified"}, Align: "lrrrrrrrrllll"}
	checked := map[string]electrical.PanelCheck{}
	for _, p := range in.Load.Panels {
		checked[p.Name] = p
	}
	seen := map[string]bool{}
	for _, p := range in.Survey.Panels {
		seen[p.Name] = true
		c, ok := checked[p.Name]
		row := []string{p.Name, amps(p.Rating), "", unknown, unknown, "", "", "", ""}
		if p.Spaces > 0 {
			row = []string{p.Name, amps(p.Rating), "", fmt.Sprint(p.Spaces), fmt.Sprint(p.SpacesUsed), "", "", fmt.Sprint(p.SpacesBack), ""}
		}
		if ok {
			row = panelNumbers(c)
		}
		t.Rows = append(t.Rows, append(row, in.clear(p.ClearDepth, p.ClearWidth), p.Feeds, p.Note, ""))
	}
	for _, c := range in.Load.Panels {
		if !seen[c.Name] {
			t.Rows = append(t.Rows, append(panelNumbers(c), "", "", "", ""))
		}
	}
	return t
}

func panelNumbers(c electrical.PanelCheck) []string {
	return []string{c.Name, number(c.RatingA, 0, "A"), number(c.LimitA, 0, "A"), fmt.Sprint(c.Spaces), fmt.Sprint(c.SpacesUsed),
		fmt.Sprint(c.SpacesNeeded), fmt.Sprint(c.SpacesLeft), fmt.Sprint(c.SpacesBack), number(c.SpareAfterPct, 0, "%")}
}

func (in *Input) clear(depth, width si.Typed[si.Length]) string {
	if !depth.Set && !width.Set {
		return unknown
	}
	return "deep " + in.typed(depth) + "\nwide " + in.typed(width)
}

func (in *Input) standingTable() *Table {
	t := &Table{Name: "standing_load", Heads: []string{"What runs today", "Leg", "Current as read", "Power by nameplate", "One at a time with", "Runs in"}, Align: "llrrll"}
	for _, s := range in.Survey.Supply.Standing {
		power := ""
		if s.Power.Set {
			power = number(s.Power.Value.Watts(), 0, "W")
		}
		current := ""
		if s.Current.Set {
			current = number(s.Current.Value.Amperes(), 1, "A")
		}
		t.Rows = append(t.Rows, []string{s.Name, orText(s.Leg, "all"), current, power, s.Interlock, orText(strings.Join(s.Scenarios, ", "), "all")})
	}
	return t
}

func (in *Input) circuitTable() *Table {
	t := &Table{Name: "circuits", Align: "lllllrrrrrllrrrrllll",
		Heads: []string{"Circuit", "Units", "Panel", "Leg", "Stage", "W", "VA", "A", "A for sizing", "Use of breaker", "Breaker", "Conductor, ground", "Length", "Volt drop", "Inrush peak", "Leakage", "Connector", "Why so", "As approved", "As installed"}, WriteIn: []string{"As approved", "As installed"},
		Note: fmt.Sprintf("Lighting that may burn three hours or more is taken as continuous: factor %.2f (%s). Breaker, conductor and drop are proposals by %s.",
			in.Profile.ContinuousFactor, orText(in.Profile.ContinuousSource, "region profile"), orText(in.Profile.Edition, "the region profile"))}
	for _, c := range in.Load.Circuits {
		length := in.both(c.LengthM)
		length += in.give(c.SigmaLengthM)
		t.Rows = append(t.Rows, []string{c.Name, strings.Join(c.Units, " "), c.Panel, c.Leg, c.Phase, number(c.ConnectedW, 0, ""), number(c.ConnectedVA, 0, ""),
			number(c.CurrentA, 2, ""), number(c.DesignA, 2, ""), number(c.UsePct, 0, "%"), fmt.Sprintf("%s A, %s", quantity(c.BreakerA), plural(c.BreakerPoles, "pole", "poles")),
			joinWords(", ", c.Conductor, c.Ground), length, number(c.DropV, 1, "V") + "\n" + number(c.DropPct, 1, "%"), zeroUnknown(c.InrushA, 0, "A"), zeroUnknown(c.LeakageMA, 1, "mA"),
			c.Connector, c.Reason, c.Approved, c.Installed})
	}
	return t
}

func zeroUnknown(v float64, decimals int, unit string) string {
	if v == 0 {
		return unknown
	}
	return number(v, decimals, unit)
}

func joinWords(sep string, parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, sep)
}

func (in *Input) outletTable() *Table {
	t := &Table{Name: "outlets", Heads: []string{"Circuit", "Outlet", "x", "y", "Height above the hall floor", "Units", "As installed"}, WriteIn: []string{"As installed"}, Align: "llrrrll",
		Note: "x from the centre line, + to stage left; y from the platform's front edge, + upstage."}
	for _, c := range in.Load.Circuits {
		for _, o := range c.Places {
			units := strings.Join(o.Units, " ")
			if o.Spare {
				units = joinWords(", ", units, "spare")
			}
			t.Rows = append(t.Rows, []string{c.Name, o.Name, in.signedBoth(o.X), in.signedBoth(o.Y), in.both(o.Z), units, ""})
		}
	}
	return t
}

func (in *Input) stepTable() *Table {
	t := &Table{Name: "load_by_step", Heads: []string{"Step"}, Align: "l", WriteIn: []string{"As measured"}}
	var legs []string
	seen := map[string]bool{}
	for _, s := range in.Load.Steps {
		for _, l := range s.Legs {
			if !seen[l.Name] {
				seen[l.Name] = true
				legs = append(legs, l.Name)
			}
		}
	}
	sort.Strings(legs)
	for _, l := range legs {
		t.Heads = append(t.Heads, l+" current", l+" planning limit")
		t.Align += "rr"
	}
	t.Heads = append(t.Heads, "Imbalance", "Against the limit", "As measured")
	t.Align += "rll"
	for _, s := range in.Load.Steps {
		row := []string{s.Name}
		over := []string{}
		for _, name := range legs {
			cur, lim := "", ""
			for _, l := range s.Legs {
				if l.Name == name {
					cur, lim = number(l.CurrentA, 1, "A"), number(l.LimitA, 0, "A")
					if l.CurrentA > l.LimitA {
						over = append(over, name)
					}
				}
			}
			row = append(row, cur, lim)
		}
		verdict := "below the planning limit"
		if len(over) > 0 {
			verdict = "ABOVE on " + strings.Join(over, ", ")
		} else if !s.Allowed {
			verdict = "limit unknown"
		}
		if s.Aside {
			verdict = "comparison only: " + verdict
		} else if !s.Allowed {
			verdict += ": not as it stands"
		}
		t.Rows = append(t.Rows, append(row, number(s.ImbalancePct, 1, "%"), verdict, ""))
	}
	return t
}

// scenarioTable is the load of each leg today, at its highest while the works go
// on and at the end, in each scenario of what runs besides.
func (in *Input) scenarioTable() *Table {
	t := &Table{Name: "load_by_scenario", Heads: []string{"Scenario", "Off in it"}, Align: "ll",
		Note: "Amperes today, at the highest while the works go on, and at the end. The steps above take each leg at its highest of these scenarios."}
	for _, l := range in.Load.Scenarios[0].Steps[0].Legs {
		t.Heads = append(t.Heads, l.Name+" today", l.Name+" highest", l.Name+" at the end")
		t.Align += "rrr"
	}
	for _, s := range in.Load.Scenarios {
		row := []string{s.Name, strings.Join(s.Off, ", ")}
		last := s.Steps[len(s.Steps)-1]
		for i, today := range s.Steps[0].Legs {
			high := 0.0
			for _, st := range s.Steps {
				if !st.Aside {
					high = math.Max(high, st.Legs[i].CurrentA)
				}
			}
			row = append(row, number(today.CurrentA, 1, "A"), number(high, 1, "A"), number(last.Legs[i].CurrentA, 1, "A"))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func (in *Input) dimmerTable() *Table {
	t := &Table{Name: "dimmers", Heads: []string{"Channel", "Cabinet", "Feeds", "Leg", "Rating", "Least load", "Before", "After", "After", "Lamps", "Action proposed", "As found", "As installed"}, WriteIn: []string{"As installed", "As found"}, Align: "llllrrrrrrlll"}
	cabinet := map[string]string{}
	for _, d := range in.Survey.Dimmers {
		cabinet[d.Channel] = d.Cabinet
	}
	for _, d := range in.Load.House {
		t.Rows = append(t.Rows, []string{d.Channel, cabinet[d.Channel], d.Feeds, d.Leg, number(d.RatingW, 0, "W"), number(d.MinimumW, 0, "W"),
			number(d.BeforeW, 0, "W"), number(d.AfterW, 1, "W"), number(d.AfterVA, 0, "VA"), fmt.Sprint(d.Lamps), d.Action, "", ""})
	}
	if len(in.Load.House) == 0 {
		for _, d := range in.Survey.Dimmers {
			rating, least := unknown, unknown
			if d.Rating.Set {
				rating = number(d.Rating.Value.Watts(), 0, "W")
			}
			if d.Minimum.Set {
				least = number(d.Minimum.Value.Watts(), 0, "W")
			}
			t.Rows = append(t.Rows, []string{d.Channel, d.Cabinet, d.Controls, d.Leg, rating, least, "", "", "", "", "", "", ""})
		}
	}
	return t
}

func (in *Input) electricalQuestions() *Table {
	t := &Table{Name: "electrician_questions", Heads: []string{"No.", "Question", "Why it is asked", "Answer"}, WriteIn: []string{"Answer"}, Align: "rlll", Widths: []float64{1, 9, 8, 10}}
	for _, q := range in.Load.Questions {
		t.Rows = append(t.Rows, []string{fmt.Sprint(q.No), q.Text, q.Why, answered(q.Answers)})
	}
	return t
}

// answered is what came back, with room for the answer of who signs.
func answered(answers []electrical.Answer) string {
	text := "\n\n"
	for _, a := range answers {
		text = fmt.Sprintf("%s (%s%s; as written down, it clears nothing)\n", a.Text, joinWords(", ", a.By, a.Day), ifWritten(a.Written, a.By)) + text
	}
	return text
}

func ifWritten(by, answered string) string {
	if by == "" || by == answered {
		return ""
	}
	return ", written down by " + by
}

// wiringTable is what each circuit is made of and held against, beside the load
// table. On a TT supply the loop is that of the earth electrode, which nobody
// tests cold at an outlet.
func (in *Input) wiringTable() *Table {
	tt := in.Survey.Supply.Earthing == "tt"
	limit := "Loop limit"
	if tt {
		limit = "RA + R2 at most"
	}
	t := &Table{Name: "circuit_wiring", Align: "llrrrrllrrrrr",
		Heads:   []string{"Circuit", "Type of breaker", "Pulse factor", "Inrush limit", "Drivers it carries", "Conductor carries", "Raceway or cable", "Fill", "Kept free", "Own neutral", "Loop of the run", "Loop in all", limit},
		WriteIn: []string{"As approved", "As installed"},
		Note:    "Loop figures in ohms at operating temperature; blank where the region has no such rule. Drivers are counted by load and by the breaker's band times the short-pulse factor of its maker; 1 stands for not known."}
	if tt {
		t.Note += " RA + R2 is the earth electrode with the protective conductor, held to 50 V over the residual current of the device (IEC 60364-4-41, 411.5.3). " +
			"An electrode above 200 Ω may not stay reliable when the soil dries or freezes (BS 7671 table 41.5, note, from memory): ask for its measured value."
	} else {
		t.Heads, t.Align = append(t.Heads, "Cold test up to"), t.Align+"r"
	}
	t.Heads, t.Align = append(t.Heads, "Residual-current device", "Poles", "As approved", "As installed"), t.Align+"llll"
	for _, c := range in.Load.Circuits {
		fill := ""
		if c.RacewayFillPct > 0 {
			fill = number(c.RacewayFillPct, 0, "%")
		}
		row := []string{c.Name, orText(c.Curve, "as its maker states"), zeroUnknown(c.PulseFactor, 1, ""), zeroUnknown(c.InrushLimitA, 0, "A"), driversText(c), zeroUnknown(c.AmpacityA, 1, "A"),
			joinWords(", ", c.Raceway, c.Cable), fill, number(c.GrowthA, 1, "A"), number(c.NeutralA, 1, "A"), ohms(c.LoopRunOhm, ""), ohms(c.LoopOhm, orOpen(c.LoopLimitOhm)), ohms(c.LoopLimitOhm, "")}
		if !tt {
			row = append(row, ohms(c.LoopTestOhm, ""))
		}
		t.Rows = append(t.Rows, append(row, c.ResidualGroup, c.Protection, orText(c.Approved, ""), orText(c.Installed, "")))
	}
	return t
}

// driversText is how many drivers a circuit carries; without the inrush of its
// units no number is promised.
func driversText(c electrical.Circuit) string {
	if c.DriversMost > 0 && c.InrushA > 0 {
		return fmt.Sprint(c.DriversMost)
	}
	return "ask: inrush of its units is unknown"
}

// orOpen is what stands for a loop that is not known where there is a limit for it.
func orOpen(limit float64) string {
	if !(limit > 0) {
		return ""
	}
	return unknown
}

func ohms(v float64, none string) string {
	if !(v > 0) {
		return none
	}
	// Three significant digits: a loop is not known better.
	decimals := max(0, min(2, 2-int(math.Floor(math.Log10(v)))))
	if v >= 1000 {
		v = math.Round(v/10) * 10
	}
	return number(v, decimals, "Ω")
}

// wayTable lists the breakers in place, where the directory was read.
func (in *Input) wayTable() *Table {
	t := &Table{Name: "breakers_in_place", Heads: []string{"Panel", "Space", "Line", "Breaker", "Poles", "Feeds", "Load", "Used", "As verified"}, WriteIn: []string{"As verified"}, Align: "lrlrrlrrl"}
	for _, p := range in.Load.Panels {
		for _, w := range p.Ways {
			t.Rows = append(t.Rows, []string{p.Name, zeroUnknown(float64(w.Space), 0, ""), w.Leg, zeroUnknown(w.RatingA, 0, "A"), fmt.Sprint(w.Poles), orText(w.Feeds, unknown),
				number(w.LoadA, 1, "A"), number(w.UsePct, 0, "%"), ""})
		}
	}
	if len(t.Rows) == 0 {
		t.Note = "The directory of breakers in place was not surveyed."
	}
	return t
}

// packingText says how few circuits were proven, what flows back in the neutral,
// how leakage is shared out and what recorded demand says.
func (in *Input) packingText() string {
	var parts []string
	for _, p := range in.Load.Packing {
		parts = append(parts, fmt.Sprintf("Circuits of %s, stage %s: %s.", orText(p.Line, "units on no line"), p.Phase, p.Note))
	}
	for _, n := range in.Load.Neutral {
		if len(n.Circuits) > 0 {
			continue
		}
		parts = append(parts, fmt.Sprintf("Neutral, %s: %s linear, %s with %s of third harmonics (%s). Every circuit keeps its own neutral.", n.Where,
			number(n.FundamentalA, 1, "A"), number(n.WithThirdA, 1, "A"), number(n.ThirdPct, 0, "%"), n.Text))
	}
	proposed := false
	for _, g := range in.Load.Residual {
		parts = append(parts, fmt.Sprintf("%s, %s: %s leak %s of %s.", g.Name, number(g.RatedMA, 0, "mA"), orText(strings.Join(g.Circuits, ", "), "what hangs there today"),
			number(g.LeakageMA, 1, "mA"), number(g.LimitMA, 0, "mA")))
		proposed = proposed || !g.Existing
		if len(g.Darkens) > 0 {
			parts = append(parts, fmt.Sprintf("A trip of %s darkens %s.", g.Name, strings.Join(g.Darkens, ", ")))
		}
	}
	if proposed {
		parts = append(parts, "Spaces are counted with each residual-current device combined with its breaker; one apart from it usually takes two more (common practice), which the electrician checks against what is left.")
	}
	for _, p := range in.Load.Panels {
		if !math.IsNaN(p.DemandA) && p.DemandA > 0 {
			parts = append(parts, fmt.Sprintf("%s by recorded demand: %s in each line against %s (%s).", p.Name, number(p.DemandA, 1, "A"), number(p.RatingA, 0, "A"), p.DemandNote))
		} else if p.DemandNote != "" {
			parts = append(parts, p.Name+": "+p.DemandNote+".")
		}
	}
	return strings.Join(parts, " ")
}

// neutralTable is the neutrals that are shared, and those of circuits that could
// share one.
func (in *Input) neutralTable() *Table {
	t := &Table{Name: "shared_neutrals", Align: "llrrrlll", WriteIn: []string{"As verified"}, Heads: []string{"Where", "Circuits", "Neutral, linear", "With third harmonics", "Sized for", "How it opens", "What speaks against it", "As verified"},
		Note: "Every circuit is proposed with a neutral of its own; a shared one is an option that the electrician decides, never on dimmed circuits."}
	for _, n := range in.Load.Neutral {
		if len(n.Circuits) == 0 {
			continue
		}
		t.Rows = append(t.Rows, []string{n.Where, strings.Join(n.Circuits, "; "), number(n.FundamentalA, 1, "A"), number(n.WithThirdA, 1, "A"), number(n.SizedForA, 1, "A"), n.Opens,
			joinWords("; ", strings.Join(n.Faults, "; "), n.Text), ""})
	}
	return t
}

// heat is what the new lights give off, in the unit by which people of the region
// size cooling.
func (in *Input) heat() string {
	if in.Display == si.US {
		return number(in.Load.HeatBTUh, 0, "BTU/h")
	}
	return number(in.Load.TotalW/1000, 2, "kW")
}
