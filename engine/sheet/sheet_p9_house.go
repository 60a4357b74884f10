package sheet

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/si"
)

var _ = register(Kind{Code: "P9", Order: 90, Title: "House-light conversion sheet", Reader: "licensed electrician, volunteers, leadership", Words: electricalWords, Fill: houseSheet})

func houseSheet(in *Input, _ Page) Sheet {
	j := in.Load.HouseJob
	if len(j.Traces) == 0 && len(j.Groups) == 0 {
		return Sheet{Columns: 1, Blocks: []Block{{Text: "No old house lights, dimmers or controls were surveyed. Write down every fader, button and switch, and what goes on and off with it, before anything is planned."}}}
	}
	blocks := []Block{
		{Span: true, Caution: "Trace first, with every cover closed: work one control at a time and write down what goes on and off. No dimmer is touched before each row is traced and leadership has kept or dropped its look. Emergency and exit lights stay out of every dimmer."},
		{Span: true, Heading: "Tracing sheet"},
		{Span: true, Table: in.traceTable()},
	}
	if groups := in.houseGroupTable(); len(groups.Rows) > 0 {
		blocks = append(blocks, Block{Span: true, Heading: "Lights, before and after"}, Block{Span: true, Table: groups})
	} else {
		blocks = append(blocks, Block{Span: true, Text: "No old house lights were surveyed: count them, read the lamps' labels from the floor, and write down which control works them."})
	}
	if channels := in.channelTable(); len(channels.Rows) > 0 {
		blocks = append(blocks, Block{Span: true, Heading: "Old dimmer channels"}, Block{Span: true, Table: channels})
	}
	blocks = append(blocks, Block{Heading: "Control afterwards"}, Block{Text: orText(j.Control.Text, unknown)})
	if len(j.Groups) > 0 {
		blocks = append(blocks, Block{ColumnBreak: true}, Block{Heading: "What it saves"}, Block{Table: in.savingTable()})
	}
	if seats := in.houseLightTable(); len(seats.Rows) > 0 {
		blocks = append(blocks, Block{Span: true, Heading: "Light in the seats and on the way out"}, Block{Span: true, Table: seats})
	}
	blocks = append(blocks,
		Block{Span: true, SignOff: &SignOff{Role: "leadership", Text: "Every old look above is kept or dropped as marked."}},
		Block{Span: true, SignOff: &SignOff{Role: "licensed electrician", Text: "Feeds traced, old circuits inspected and tested before new lamps are put in; emergency and exit lights independent of dimming."}},
	)
	return Sheet{Columns: 2, Blocks: blocks}
}

func (in *Input) traceTable() *Table {
	t := &Table{Name: "house_trace", Heads: []string{"Control", "Kind", "Where", "Channel", "Lights", "Panel", "Breaker", "Not traced yet", "Keep or drop", "Decided by", "As traced"},
		WriteIn: []string{"As traced"}, Align: "lllllllllll"}
	for _, r := range in.Load.HouseJob.Traces {
		t.Rows = append(t.Rows, []string{orText(r.Control, unknown), words(r.Kind), r.Where, r.Channel, orText(strings.Join(r.Lights, ", "), unknown), orText(r.Panel, unknown),
			orText(r.Breaker, unknown), strings.Join(r.Missing, ", "), orText(r.Decision, "open"), r.DecidedBy, ""})
	}
	return t
}

func (in *Input) houseGroupTable() *Table {
	t := &Table{Name: "house_lights", Heads: []string{"Lights", "Kind", "Count", "Channel", "Base", "W each", "Before", "After", "After", "lm each", "lm after", "Clearance", "Label asks", "Proposed", "What stays", "As installed"},
		WriteIn: []string{"As installed"}, Align: "llrllrrrrrrrrlll"}
	for _, g := range in.Load.HouseJob.Groups {
		each := unknown
		if g.Count > 0 {
			each = number(g.BeforeW/float64(g.Count), 0, "W")
		}
		t.Rows = append(t.Rows, []string{g.Name, words(g.Kind), fmt.Sprint(g.Count), orText(g.Channel, "switched"), orText(g.Base, unknown), each,
			number(g.BeforeW, 0, "W"), number(g.AfterW, 1, "W"), number(g.AfterVA, 0, "VA"), number(g.BeforeLm, 0, "lm"), number(g.AfterLm, 0, "lm"),
			in.maybeLength(g.ClearanceM), in.maybeLength(g.ClearanceMarkedM), g.Proposed, g.Keeps, ""})
	}
	return t
}

func (in *Input) maybeLength(m float64) string {
	if math.IsNaN(m) || math.IsInf(m, 0) {
		return unknown
	}
	return in.both(m)
}

func (in *Input) channelTable() *Table {
	t := &Table{Name: "house_channels", Heads: []string{"Channel", "Feeds", "Leg", "Rating", "Least load", "Edge", "Before", "After", "LED load it is meant for", "Used of that", "Lamps", "Action proposed", "Lamp test result"},
		WriteIn: []string{"Lamp test result"}, Align: "lllrrlrrrrrll",
		Note: "Where a dimmer is not marked for LED lamps a quarter of its rating is taken. One channel is tried for a week before the rest."}
	for _, d := range in.Load.House {
		led, use := "", ""
		if d.LEDCapacityW > 0 {
			led, use = number(d.LEDCapacityW, 0, "W"), number(d.CapacityUsePct, 0, "%")
		}
		t.Rows = append(t.Rows, []string{d.Channel, d.Feeds, d.Leg, zeroUnknown(d.RatingW, 0, "W"), zeroUnknown(d.MinimumW, 0, "W"), words(orText(d.Edge, unknown)),
			number(d.BeforeW, 0, "W"), number(d.AfterW, 1, "W"), led, use, fmt.Sprint(d.Lamps), d.Action, ""})
	}
	return t
}

func (in *Input) houseLightTable() *Table {
	t := &Table{Name: "house_light", Heads: []string{"Place", "Today", "± today", "Least today", "Of today’s mean reflected", "Afterwards", "± afterwards", "Least afterwards", "Of that mean reflected", "To hold it against", "By", "As measured"}, WriteIn: []string{"As measured"}, Align: "lrrrrrrrrrll"}
	lx := func(v float64) string {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return unknown
		}
		if v >= 10 {
			return si.FormatIlluminance(si.Illuminance(v), in.Display)
		}
		// On the way out tenths count: EN 1838 asks 1 lx, NFPA 101 0.1 fc.
		if in.Display == si.US {
			return fmt.Sprintf("%.1f lx (%.2f fc)", v, si.Illuminance(v).Footcandles())
		}
		return fmt.Sprintf("%.1f lx", v)
	}
	for _, l := range in.Load.HouseJob.Light {
		t.Rows = append(t.Rows, []string{l.Place, lx(l.BeforeLx), number(l.BeforeSigmaPct, 0, "%"), lx(l.BeforeMinLx), lx(l.BeforeReflectedLx), lx(l.AfterLx), number(l.AfterSigmaPct, 0, "%"), lx(l.AfterMinLx), lx(l.AfterReflectedLx), lx(l.TargetLx), l.TargetSource, ""})
	}
	t.Note = joinWords("; ", "± is one standard deviation of the mean from reflectances that nobody gave", in.lightBasis())
	return t
}

func (in *Input) savingTable() *Table {
	s := in.Load.HouseJob.Saving
	money := func(minor float64) string {
		if math.IsNaN(minor) || math.IsInf(minor, 0) {
			return unknown
		}
		return si.FormatMoney(int64(math.Round(minor)), orText(in.Estimate.Currency, in.Brief.Money.Currency))
	}
	t := &Table{Name: "house_saving", Heads: []string{"What", "Figure"}, Align: "lr", Note: joinWords("; ", s.Text, "savings counted at the end of each year; energy alone rarely pays in a room lit few hours a week")}
	t.Rows = [][]string{
		{"Load of the lights that change, before", number(s.BeforeW, 0, "W")},
		{"and after", number(s.AfterW, 0, "W")},
		{"Hours of use a week", zeroUnknown(s.HoursPerWeek, 0, "h")},
		{"Energy saved a year", number(s.EnergyKWh, 0, "kWh")},
		{"its price", money(s.EnergyMinor)},
		{"Lamps a year that do not burn out", number(s.Lamps, 1, "")},
		{"their price", money(s.LampMinor)},
		{"Cost of the house job, from the estimate", money(s.CostMinor)},
		{"Simple payback", number(s.SimpleYears, 1, "years")},
		{fmt.Sprintf("Discounted payback at %g %%, energy rising %g %% a year", s.DiscountPct, s.EnergyRisePct), number(s.DiscountedYears, 1, "years")},
		{"Present value after 15 years, less the cost", money(s.Net15Minor)},
		{"after 20 years", money(s.Net20Minor)},
	}
	return t
}

// lightBasis is what the light figures rest on: what holds for all places once, then
// what differs by place.
func (in *Input) lightBasis() string {
	count := map[string]int{}
	for _, l := range in.Load.HouseJob.Light {
		for _, part := range strings.Split(l.Basis, "; ") {
			count[part]++
		}
	}
	var common, own []string
	for i, l := range in.Load.HouseJob.Light {
		var mine []string
		for _, part := range strings.Split(l.Basis, "; ") {
			switch {
			case count[part] < len(in.Load.HouseJob.Light):
				mine = append(mine, part)
			case i == 0:
				common = append(common, part)
			}
		}
		if len(mine) > 0 {
			own = append(own, sentence("For "+l.Place+": "+strings.Join(mine, "; ")))
		}
	}
	return joinWords(" ", sentence(strings.Join(common, "; ")), strings.Join(own, " "))
}
