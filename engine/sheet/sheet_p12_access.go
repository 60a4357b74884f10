package sheet

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/hanging"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

var _ = register(Kind{Code: "P12", Order: 120, Title: "Access and protection sheet", Reader: "project manager, lift hire firm", Words: riggingWords, Fill: accessSheet})

func accessSheet(in *Input, _ Page) Sheet {
	blocks := []Block{
		{Span: true, Caution: "Numbers to hire and to ask by. The machine's plate, its operator, the structural engineer for the floor and the person in charge of the alarm decide."},
		{Span: true, Heading: "Ways in"},
		{Span: true, Table: in.routeTable()},
		{Span: true, Heading: "Machines on offer: limits"},
		{Span: true, Table: in.machineTable()},
		{Span: true, Heading: "Floor"},
		{Span: true, Facts: in.floorFacts()},
		{Span: true, Heading: "Where it stands, what is closed, and for how long"},
		{Span: true, Table: in.standTable()},
		{Heading: "When"},
		{Table: in.closedTable()},
		{ColumnBreak: true},
		{Heading: "Protection and alarm"},
		{Bullets: in.protectionBullets()},
		{Span: true, SignOff: &SignOff{Role: "structural engineer", Text: "Floor, route, boards and standing places for the machine or tower named above:"}},
		{Span: true, SignOff: &SignOff{Role: "lift hire firm", Text: "Machine as delivered: width, height, mass, wheel load; operators trained:"}},
	}
	return Sheet{Columns: 2, Blocks: blocks}
}

func (in *Input) routeTable() *Table {
	t := &Table{Name: "routes", Align: "lrrrrrrr", Heads: []string{"Way in", "Narrowest door, clear width", "Lowest door, clear height", "Steps", "Each step", "Landing before the turn", "Passage after it", "Ramp there, rise in run"}}
	optional := func(l survey.L, none string) string {
		if !l.Set && l.Text == "" {
			return none
		}
		return in.typed(l)
	}
	for _, r := range in.Survey.Routes {
		ramp := "none"
		if r.RampSlope > 0 {
			ramp = number(r.RampSlope*100, 1, "%")
		}
		width, height := r.Narrowest()
		steps := "none"
		if r.Steps > 0 {
			steps = fmt.Sprint(r.Steps)
		}
		t.Rows = append(t.Rows, []string{orText(r.Name, unknown), in.typed(width), in.typed(height), steps, optional(r.StepRise, "none"), optional(r.Landing, "straight"), optional(r.Passage, "straight"), ramp})
	}
	return t
}

func (in *Input) machineTable() *Table {
	t := &Table{Name: "machine_limits", Align: "llrrrrrrrrrrr", Heads: []string{"Machine", "Way", "Width needed", "Width there", "Stowed height", "Height there", "Highest platform", "Hands reach about", "Platform load",
		"Two people, tools, heaviest unit", "Mass with load", "Mean pressure; floors are designed for", "Heaviest wheel; under a 600 mm board"}}
	or0 := func(m float64) string {
		if !(m > 0) {
			return unknown
		}
		return in.both(m)
	}
	for _, l := range in.Hanging.Lifts {
		t.Rows = append(t.Rows, []string{l.Lift, l.Route, in.both(l.NeedWidthM), or0(l.HaveWidthM), or0(l.StowedM), or0(l.HaveHeightM), or0(l.PlatformM), or0(l.WorkingHeightM), in.mass(l.PlatformKg),
			in.mass(l.PlatformNeedKg), in.mass(l.MassKg), in.pressure(l.PressurePa) + "; " + in.pressure(l.FloorPa),
			in.usFirst(number(l.WheelN/1000, 2, "kN"), l.WheelN/si.PoundForce, 0, "lbf") + "; " + in.pressure(l.BoardPa)})
	}
	return t
}

// pressure writes a load on a floor, Pa: pounds on a square foot first where people
// read US units.
func (in *Input) pressure(pa float64) string {
	foot := si.Foot.Metres()
	return in.usFirst(number(pa/1000, 1, "kPa"), pa*foot*foot/si.PoundForce, 0, "psf")
}

func (in *Input) floorFacts() []Fact {
	seats := 0
	hours := 0.0
	for _, j := range in.Hanging.Jobs {
		seats = max(seats, j.Seats)
		hours += j.Hours
	}
	return []Fact{
		{"hall floor", words(orText(in.Survey.Floor.Kind, unknown))},
		{"rating as written", orText(in.Survey.Floor.Rating, unknown)},
		{"most seat rows moved at once", fmt.Sprint(seats)},
		{"hours at height in all", number(hours, 1, "h")},
	}
}

func (in *Input) standTable() *Table {
	t := &Table{Name: "standing_places", Align: "lllllrrrrrlll", Heads: []string{"Stage", "Line", "By", "Work", "Units", "Platform needed", "Floor closed, by norm", "at most", "Stands, x", "Stands, y", "Drop zone, kept free of people", "On", "Rows to move"}}
	span := func(a, b si.Length) string { return in.signed(a.Metres()) + " to " + in.signed(b.Metres()) }
	for _, j := range in.Hanging.Jobs {
		rows := "none"
		if j.Seats > 0 {
			rows = fmt.Sprintf("%s, %s: %s of a crew of four", j.Rows, j.Fixed, number(j.SeatHours/hanging.BenchCrew, 1, "h"))
		}
		t.Rows = append(t.Rows, []string{orText(j.Phase, "first"), j.Line, j.By, j.Work, strings.Join(j.Units, ", "), in.both(j.NeedPlatformM), number(j.Hours, 1, "h"), number(j.HoursHigh, 1, "h"),
			span(j.MinX, j.MaxX), span(j.MinY, j.MaxY), "x " + span(j.ZoneMinX, j.ZoneMaxX) + ", y " + span(j.ZoneMinY, j.ZoneMaxY), orText(j.Below, unknown), rows})
	}
	return t
}

// closedTable is the install plan's works overhead: the days on which the floor is
// closed.
func (in *Input) closedTable() *Table {
	t := &Table{Name: "floor_closed", Align: "lllrl", Heads: []string{"Work overhead", "From", "To", "Hours", "Services meanwhile"}}
	for _, task := range in.Phases.Tasks {
		low := strings.ToLower(task.Name)
		if !strings.Contains(low, "hang ") && !strings.Contains(low, "pipe") && !strings.Contains(low, "focus ") || task.Start.IsZero() {
			continue
		}
		services := "none"
		if task.Services > 0 {
			services = fmt.Sprint(task.Services)
		}
		t.Rows = append(t.Rows, []string{task.Name, task.Start.Format("2006-01-02"), task.End.Format("2006-01-02"), number(math.Max(task.Hours, 0), 1, "h"), services})
	}
	return t
}

func (in *Input) protectionBullets() []string {
	out := []string{
		"Boards along the whole way and under every standing place: two layers of 19 mm (3/4 in) sheathing, joints staggered, paper below; wheels stay on the boards; nothing stands there overnight.",
		"The drop zone is taped and watched by one person who does nothing else; the person in charge widens it.",
		"Firm and level ground; guard rails shut; not moved raised; nobody climbs out; trained operators only.",
		"A ladder leads up, one out for four up; nobody hangs, drills or focuses from it.",
		"Organ, glass, books, piano and monuments are covered before drilling.",
	}
	switch in.Survey.Site.Detectors {
	case "", "unknown":
		out = append(out, "Fire detection is not known: before any drilling or dust, ask who may isolate it, who is told, and who watches meanwhile. Isolate zone by zone, restore every evening, write both times down.")
	case "none":
		out = append(out, "No fire detection was seen: a person with an extinguisher watches during work with dust or heat and an hour after.")
	default:
		out = append(out, "Fire detection ("+words(in.Survey.Site.Detectors)+"): the person in charge isolates the zone before dust, tells the monitoring centre, restores it every evening and writes both times down: off ______ on ______")
	}
	if s := in.Survey.Site.Sprinklers; s != "none" {
		out = append(out, "Sprinklers ("+words(orText(s, unknown))+"): no mast, platform or pipe within 0.46 m (18 in) of a head; the fire firm confirms each place.")
	}
	return out
}
