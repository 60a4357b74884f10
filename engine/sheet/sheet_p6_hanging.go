package sheet

import (
	"fmt"
	"strings"

	"roodbeam/engine/scheme"
)

var _ = register(Kind{Code: "P6", Order: 60, Title: "Hanging schedule", Reader: "rigger, volunteers", Words: riggingWords, Fill: hangingSchedule})

func hangingSchedule(in *Input, _ Page) Sheet {
	return Sheet{Blocks: []Block{
		{Text: "One row per unit. Offset is from the room's centre line, + to stage left (the right as seen from the seats); trim is the lens above the hall floor. " +
			"Focus point: x from the centre line, y upstage of the platform's front edge, z above the hall floor."},
		{Table: in.hangingTable()},
		{Caution: "Every unit has an independent secondary suspension before anyone lets go of it. Two people check each unit. Nobody stands below."},
		{SignOff: &SignOff{Role: "hung and checked by the qualified rigger", Text: "Places as installed that differ from this schedule are written in by hand and sent back."}},
	}}
}

func (in *Input) hangingTable() *Table {
	t := &Table{Name: "hanging_schedule", Align: "lllrrrlllrlllrlll",
		Heads: []string{"Unit", "Purpose, zone", "Line", "Along the line", "Offset", "Trim", "Type", "Field", "Accessories", "Mass", "Circuit, outlet", "Branch, place", "Universe / slots", "Mode", "Focus point", "Tilt, pan", "Stage, note"}}
	for _, u := range in.Placed {
		t.Rows = append(t.Rows, in.hangingRow(u))
	}
	return t
}

func (in *Input) hangingRow(u scheme.Placed) []string {
	look := in.lookups()
	fx, known := in.fixture(u.Fixture)
	mass, mode := unknown, unknown
	if known {
		mass = strings.Replace(in.mass(fx.Mass.Kilograms()), " (", "\n(", 1)
		mode = plural(fx.Slots, "slot", "slots")
	}
	along := "by place"
	if a, ok := look.along[u.ID]; ok {
		along = in.twoLines(a.Metres())
	}
	field := ""
	if u.FieldDeg > 0 {
		field = number(u.FieldDeg, 0, "°")
	}
	circuit := "open"
	if i, ok := look.circuit[u.ID]; ok {
		circuit = in.Load.Circuits[i].Name
		if o, ok := look.outlet[u.ID]; ok {
			circuit += "\n" + o.Name
		}
	}
	branch := "open"
	if i, ok := look.branch[u.ID]; ok {
		branch = fmt.Sprintf("%s, %d", in.Network.Branches[i].Name, look.order[u.ID])
	}
	aim := "unknown"
	if lu, ok := look.light[u.ID]; ok {
		// The unit looks down by as much as the face looks up to it.
		aim = degrees(lu.ElevationDeg) + giveDeg(lu.SigmaElevationDeg) + " down\n" + bearing(lu.BearingDeg)
	}
	where := words(string(u.Purpose))
	if u.Zone != "" {
		where += ",\n" + u.Zone
	}
	note := orText(u.Phase, "A")
	if u.Note != "" {
		note += ". " + u.Note
	}
	var acc []string
	for _, a := range u.Accessories {
		acc = append(acc, words(a))
	}
	return []string{u.ID, where, u.Line, along, strings.Replace(in.signedBoth(u.At.X), " (", "\n(", 1), in.twoLines(u.At.Z), in.fixtureName(u.Fixture), field,
		strings.Join(acc, ", "), mass, circuit, branch, in.addressText(u.ID), mode, in.point(u.Target), aim, note}
}

func (in *Input) signedBoth(metres float64) string {
	s := in.both(metres)
	if metres > 0 && s != unknown {
		return "+" + s
	}
	return s
}
