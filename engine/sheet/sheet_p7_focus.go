package sheet

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/photometry"
	"roodbeam/engine/scheme"
)

var _ = register(Kind{Code: "P7", Order: 70, Title: "Focus notes", Reader: "designer, volunteers", Words: volunteerWords, Fill: focusNotes})

func focusNotes(in *Input, _ Page) Sheet {
	return Sheet{Blocks: []Block{
		{Bullets: []string{
			"After dark, work light off only while a unit is being set; the lift is moved and ridden by its trained operator alone, with nobody below.",
			"Put numbered tape marks on the floor at the focus points before the lift moves. A person of the given height stands on the mark, facing as the zone faces.",
			"Work in this order. For each unit: aim, field, edges, lock every joint, secondary suspension looked at, then the next.",
		}},
		{Table: in.focusTable()},
	}}
}

func (in *Input) focusTable() *Table {
	t := &Table{Name: "focus_notes", Align: "rlllllrrlll",
		Heads: []string{"Order", "Unit", "Tape mark x, y", "Face height", "Comes from", "Field, pool", "Light at the mark, alone", "Level", "Look for", "Edges", "Done"}}
	for i, u := range in.Placed {
		lu, ok := in.lookups().light[u.ID]
		from, pool, lx := unknown, unknown, unknown
		if ok {
			from = degrees(lu.ElevationDeg) + " up, " + bearing(lu.BearingDeg)
			pool = number(u.FieldDeg, 0, "°") + ", " + in.both(lu.FieldDiameterM)
			lx = in.lux(lu.NormalLx)
		}
		level := u.LevelPct
		if level == 0 {
			level = 100
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), u.ID, in.signedBoth(u.Target.X) + "\n" + in.signedBoth(u.Target.Y), in.both(u.Target.Z),
			from, pool, lx, number(level, 0, "%"), in.lookFor(u), in.edges(u), "☐"})
	}
	return t
}

func (in *Input) lookFor(u scheme.Placed) string {
	var out []string
	if u.Face != "" {
		out = append(out, "hot spot on the face at "+u.Face)
	} else if u.Zone != "" {
		out = append(out, "pool centred on the mark in "+u.Zone)
	}
	if u.Note != "" {
		out = append(out, u.Note)
	}
	return strings.Join(out, "; ")
}

// edges says what the field must stay off: a screen below whose lower edge the
// upper edge of the field does not stay.
func (in *Input) edges(u scheme.Placed) string {
	var out []string
	if lu, ok := in.lookups().light[u.ID]; ok && !math.IsNaN(lu.UpperEdgeM) {
		for _, s := range in.Room.Screens {
			if lu.UpperEdgeM > s.Bottom.Metres() && u.At.Y < u.Target.Y {
				out = append(out, fmt.Sprintf("top edge down to below screen %s, %s", s.Name, in.both(s.Bottom.Metres())))
			}
		}
	}
	for _, b := range u.Blades {
		out = append(out, blade(b))
	}
	for _, a := range u.Accessories {
		out = append(out, words(a))
	}
	return strings.Join(out, "; ")
}

// blade says where a shutter or door leaf is set, as seen from the unit.
func blade(b photometry.Blade) string {
	sides := [8]string{"right", "upper right", "top", "upper left", "left", "lower left", "bottom", "lower right"}
	side := sides[((int(math.Round(b.SideDeg/45))%8)+8)%8]
	if b.OffAxisDeg < 0 {
		return fmt.Sprintf("blade from the %s, %s past the focus point", side, degrees(-b.OffAxisDeg))
	}
	return fmt.Sprintf("blade from the %s to %s before the focus point", side, degrees(b.OffAxisDeg))
}
