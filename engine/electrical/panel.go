package electrical

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

func (d *designer) panelNamed(name string) *survey.Panel {
	if name == "" {
		return nil
	}
	for i := range d.Survey.Panels {
		if d.Survey.Panels[i].Name == name {
			return &d.Survey.Panels[i]
		}
	}
	return nil
}

// isExisting tells whether a surveyed panel is one existing circuit with outlets
// that units may be plugged into: one pole, a rating, no free space.
func isExisting(p survey.Panel) bool {
	return p.Poles == 1 && p.Spaces <= 1 && p.Spaces <= p.SpacesUsed && p.Rating.Set && positive(float64(p.Rating.Value)) > 0
}

// feeding returns the panel new circuits start at: the first with spaces, else
// the first that is not a single circuit; nil when none was surveyed.
func (d *designer) feeding() *survey.Panel {
	var first *survey.Panel
	for i := range d.Survey.Panels {
		p := &d.Survey.Panels[i]
		if isExisting(*p) || d.isDimmer(p.Name) {
			continue
		}
		if p.Spaces > 0 {
			return p
		}
		if first == nil {
			first = p
		}
	}
	return first
}

// rating returns the smallest of the main panel's rating, its feeder's and the
// supply's main protection, A; 0 when none is known.
func (d *designer) rating() float64 {
	r := positive(float64(d.Survey.Supply.Main.Or(0)))
	if d.mainPanel != nil {
		for _, v := range []float64{positive(float64(d.mainPanel.Rating.Or(0))), positive(float64(d.mainPanel.Feeder.Or(0)))} {
			if v > 0 && (r == 0 || v < r) {
				r = v
			}
		}
	}
	return r
}

func (d *designer) limit() float64 { return d.rating() / d.Profile.ContinuousFactor }

func (d *designer) panelChecks(cs []Circuit) []PanelCheck {
	needed := map[string]int{}
	for _, c := range cs {
		if !c.Existing {
			needed[c.Panel] += c.BreakerPoles
		}
	}
	var out []PanelCheck
	for i := range d.Survey.Panels {
		p := &d.Survey.Panels[i]
		d.workingSpace(p)
		if isExisting(*p) || (p.Spaces <= 0 && needed[p.Name] == 0 && p != d.mainPanel) {
			continue
		}
		subject := "panel " + named(p.Name, "without name")
		pc := PanelCheck{Name: p.Name, RatingA: positive(float64(p.Rating.Or(0))), Spaces: p.Spaces, SpacesUsed: p.SpacesUsed,
			SpacesNeeded: needed[p.Name], SpacesBack: max(0, p.SpacesBack), FeederA: positive(float64(p.Feeder.Or(0))), DemandA: math.NaN()}
		pc.Ways = d.ways(p, subject)
		if p == d.mainPanel {
			d.demand(&pc, subject, cs)
		}
		if p == d.mainPanel {
			pc.RatingA = d.rating()
		}
		pc.LimitA = pc.RatingA / d.Profile.ContinuousFactor
		pc.SpacesLeft = p.Spaces - p.SpacesUsed - pc.SpacesNeeded
		var missing []string
		if pc.RatingA == 0 {
			missing = append(missing, "its rating")
		}
		if p.Spaces <= 0 {
			missing = append(missing, "its spaces")
			pc.SpacesLeft = 0
		}
		if _, assumed := d.panelAt(p); assumed && needed[p.Name] > 0 {
			missing = append(missing, "where it is")
		}
		if len(missing) > 0 {
			d.add(d.Book.New("ELECTRICAL_PANEL_UNKNOWN", subject, finding.Text("missing", strings.Join(missing, ", "))))
			d.ask("Of "+subject+": "+strings.Join(missing, ", ")+"?", "Lengths, steps and spare are assumed or open without it.")
		}
		if p.Spaces > 0 {
			pc.SpareAfterPct = float64(pc.SpacesLeft+pc.SpacesBack) / float64(p.Spaces) * 100
			args := []finding.Arg{finding.CountOf("spaces", p.Spaces), finding.CountOf("used", p.SpacesUsed),
				finding.CountOf("needed", pc.SpacesNeeded), finding.CountOf("left", pc.SpacesLeft), finding.CountOf("back", pc.SpacesBack)}
			if pc.SpacesLeft < 0 {
				d.add(measured(d.Book.New("ELECTRICAL_PANEL_FULL", subject, args...), float64(pc.SpacesLeft), 0))
			}
			if pc.SpacesNeeded > 0 {
				if f, bad := d.Book.Check("ELECTRICAL_PANEL_SPARE", d.Profile.ID, subject, pc.SpareAfterPct, args...); bad {
					d.add(f)
				}
			}
		}
		out = append(out, pc)
	}
	if len(d.Survey.Panels) == 0 {
		d.add(d.Book.New("ELECTRICAL_PANEL_UNKNOWN", "panel", finding.Text("missing", "any panel: its place, rating and spaces")))
		d.ask("Where is the panel that is to feed the new circuits, what is its rating, how many spaces are free?", "No panel was surveyed; lengths start at the farthest corner of the room.")
	}
	return out
}

func (d *designer) workingSpace(p *survey.Panel) {
	if !p.ClearDepth.Set || !finite(float64(p.ClearDepth.Value)) {
		return
	}
	if _, ok := d.Book.Limit("ELECTRICAL_PANEL_WORKING_SPACE", d.Profile.ID); !ok {
		return
	}
	subject := named(p.Name, "panel")
	if f, bad := d.Book.Check("ELECTRICAL_PANEL_WORKING_SPACE", d.Profile.ID, subject, float64(p.ClearDepth.Value),
		finding.Text("where", p.Note)); bad {
		d.add(f)
		d.ask("May "+subject+" be worked on where it is, or must it be moved or bypassed?",
			"Its clear depth is "+si.FormatBoth(p.ClearDepth.Value, d.Profile.Display)+".")
	}
}

func heaviest(s Step) Leg {
	var h Leg
	for i, l := range s.Legs {
		if i == 0 || l.CurrentA > h.CurrentA {
			h = l
		}
	}
	return h
}

// removeFirst reports that old lights must go before new circuits come on, when
// nothing else keeps the legs within the limit.
func (d *designer) removeFirst(steps []Step, names []string) {
	if len(names) == 0 || len(steps) < 3 || steps[1].Name != "all new on, nothing removed" || d.limit() == 0 {
		return
	}
	before, after := heaviest(steps[1]), steps[2]
	if before.CurrentA <= before.LimitA {
		return
	}
	for _, l := range after.Legs {
		if l.Name != before.Name {
			continue
		}
		f := d.Book.New("ELECTRICAL_REMOVE_FIRST", strings.Join(names, ", "), finding.Text("leg", before.Name),
			finding.Text("lights", strings.Join(names, ", ")), finding.Num("after", l.CurrentA, "A"), finding.Num("before", before.CurrentA, "A"))
		d.add(measured(f, before.CurrentA, before.LimitA))
	}
}

func (d *designer) legFindings(steps []Step) {
	if d.limit() > 0 {
		for i, s := range steps {
			if s.Allowed || i > 0 && sameLoad(s, steps[i-1]) {
				continue
			}
			var over []string
			for _, l := range s.Legs {
				if l.CurrentA > l.LimitA*(1+1e-9) {
					over = append(over, fmt.Sprintf("%s %.1f A", l.Name, l.CurrentA))
				}
			}
			h := heaviest(s)
			f := d.Book.New("ELECTRICAL_LEG_OVER_LIMIT", s.Name, finding.Text("legs", strings.Join(over, ", ")), finding.Text("leg", h.Name))
			d.add(measured(f, h.CurrentA, h.LimitA))
		}
	}
	last := steps[len(steps)-1]
	if h := heaviest(last); d.rating() > 0 && h.CurrentA <= h.LimitA {
		if f, bad := d.Book.Check("ELECTRICAL_SPARE_AMPS", d.Profile.ID, "panel", h.CurrentA/d.rating()*100,
			finding.Text("step", last.Name), finding.Num("current", h.CurrentA, "A")); bad {
			d.add(f)
		}
	}
	if len(last.Legs) > 1 {
		high, low := heaviest(last).CurrentA, math.Inf(1)
		for _, l := range last.Legs {
			low = math.Min(low, l.CurrentA)
		}
		if f, bad := d.Book.Check("ELECTRICAL_UNBALANCE", d.Profile.ID, "legs", last.ImbalancePct, finding.Text("step", last.Name),
			finding.Num("high", high, "A"), finding.Num("low", low, "A")); bad {
			d.add(f)
		}
	}
}

// sameLoad tells whether nothing changed between two moments: one finding will do.
func sameLoad(a, b Step) bool {
	if len(a.Legs) != len(b.Legs) {
		return false
	}
	for i := range a.Legs {
		if math.Abs(a.Legs[i].CurrentA-b.Legs[i].CurrentA) > 1e-9 {
			return false
		}
	}
	return true
}

// existingSteps adds up what is plugged into existing circuits: units the
// designer put there and surveyed loads written on them by name. An existing
// circuit that nothing is put on is tried with everything, since that is what
// somebody will plug into it.
func (d *designer) existingSteps(cs []Circuit) []Step {
	var out []Step
	for _, p := range d.Survey.Panels {
		if !isExisting(p) {
			continue
		}
		if !d.onExisting(p, cs) {
			out = append(out, d.pluggedIn(p, cs)...)
			continue
		}
		limit := float64(p.Rating.Value) / d.Profile.ContinuousFactor
		va := 0.0
		var loads []string
		for _, c := range cs {
			if c.Panel == p.Name {
				va += c.ConnectedVA
				loads = append(loads, c.Units...)
			}
		}
		var shed []survey.StandingLoad
		for _, st := range d.Survey.Supply.Standing {
			if st.Leg != p.Name {
				continue
			}
			va += d.itemVA(st)
			loads = append(loads, named(st.Name, "a load without name"))
			if st.Sheddable {
				shed = append(shed, st)
			}
		}
		volts := d.sys.Voltage
		put := func(name string, va float64) Step {
			a := va / volts
			s := Step{Name: name, Legs: []Leg{{p.Name, a, limit}}, Allowed: a <= limit*(1+1e-9)}
			out = append(out, s)
			return s
		}
		s := put(p.Name+", everything on", va)
		if !s.Allowed {
			f := d.Book.New("ELECTRICAL_CIRCUIT_OVERLOADED", "existing circuit "+p.Name, finding.Text("loads", strings.Join(loads, ", ")),
				finding.Num("current", s.Legs[0].CurrentA, "A"))
			d.add(measured(f, s.Legs[0].CurrentA, limit))
		}
		sort.SliceStable(shed, func(i, j int) bool { return d.itemVA(shed[i]) > d.itemVA(shed[j]) })
		var names []string
		for _, x := range shed {
			if s.Allowed {
				break
			}
			va -= d.itemVA(x)
			names = append(names, x.Name)
			s = put(p.Name+", without "+strings.Join(names, " and "), va)
		}
		if use := s.Legs[0].CurrentA / float64(p.Rating.Value) * 100; s.Allowed && use > d.planPct {
			f := d.Book.New("ELECTRICAL_CIRCUIT_OVER_PLAN", s.Name, finding.Num("current", s.Legs[0].CurrentA, "A"),
				finding.Num("breaker", float64(p.Rating.Value), "A"), finding.Percent("use", use))
			d.add(measured(f, use, d.planPct))
		}
		d.ask(fmt.Sprintf("What else is on the circuit %q, and what is its breaker?", p.Name), "Units are plugged into an existing circuit.")
	}
	return out
}

// onExisting tells whether a circuit or a surveyed load is put on the panel.
func (d *designer) onExisting(p survey.Panel, cs []Circuit) bool {
	for _, c := range cs {
		if c.Panel == p.Name {
			return true
		}
	}
	for _, st := range d.Survey.Supply.Standing {
		if st.Leg == p.Name {
			return true
		}
	}
	return false
}

// pluggedIn tries an existing circuit with all new lighting and every load that
// was surveyed by item, then without those that can be switched off.
func (d *designer) pluggedIn(p survey.Panel, cs []Circuit) []Step {
	rating := float64(p.Rating.Value)
	limit := rating / d.Profile.ContinuousFactor
	all, kept := 0.0, 0.0
	for _, c := range cs {
		all += c.ConnectedVA
	}
	if all == 0 {
		return nil
	}
	kept = all
	var names, shed []string
	for _, st := range d.Survey.Supply.Standing {
		if !st.Power.Set || d.panelNamed(st.Leg) != nil {
			continue
		}
		va := standingVA(st)
		all += va
		names = append(names, named(st.Name, "a load without name"))
		if st.Sheddable {
			shed = append(shed, named(st.Name, "a load without name"))
		} else {
			kept += va
		}
	}
	put := func(name string, va float64) Step {
		a := va / d.sys.Voltage
		return Step{Name: name, Legs: []Leg{{p.Name, a, limit}}, Allowed: a <= limit*(1+1e-9)}
	}
	name := "if everything were plugged into " + named(p.Name, "the outlets")
	out := []Step{put(name, all)}
	if out[0].Allowed {
		return out
	}
	without := put(name+", without "+strings.Join(shed, " and "), kept)
	if len(shed) > 0 {
		out = append(out, without)
	}
	f := d.Book.New("ELECTRICAL_OLD_OUTLETS", named(p.Name, "the outlets"), finding.Text("loads", strings.Join(append([]string{"the new lighting"}, names...), ", ")),
		finding.Num("without", without.Legs[0].CurrentA, "A"), finding.Percent("use", without.Legs[0].CurrentA/rating*100),
		finding.Text("shed", named(strings.Join(shed, ", "), "nothing")))
	d.add(measured(f, out[0].Legs[0].CurrentA, limit))
	return out
}

func (d *designer) itemVA(st survey.StandingLoad) float64 {
	if st.Current.Set {
		return positive(float64(st.Current.Value)) * d.sys.Voltage
	}
	return standingVA(st)
}
