package survey

import (
	"fmt"
	"strings"
)

// Doubts are what an adjusted network leaves open beyond its numbers, for people:
// groups that may lie on the other side, and groups that hang on nothing.
func (s Solution) Doubts() []string {
	var out []string
	names := func(points []int) string {
		var t []string
		for k, p := range points {
			if k == doubtNames {
				t = append(t, fmt.Sprintf("%d more", len(points)-k))
				break
			}
			t = append(t, s.Points[p].Name)
		}
		return strings.Join(t, ", ")
	}
	for _, g := range s.Afloat() {
		how, fix := "turned", "Fix the direction to one of them, or measure it from another station that is tied."
		if g.Moves {
			how, fix = "moved or turned", "Fix one of them and the direction to another, or measure them from stations that are tied."
		}
		out = append(out, fmt.Sprintf("%s hold together, but not to a place: as a whole they can still be %s. %s", names(g.Points), how, fix))
	}
	for _, m := range s.Mirrored() {
		p := m.At[0]
		side := "on the other side of the line through " + names(m.Between)
		fix := "give a row near, or measure from a station off that line"
		if m.Level {
			side, fix = "below instead of above "+names(m.Between), "give a row near, or measure a height"
		}
		what := s.Points[m.Points[0]].Name
		if len(m.Points) > 1 {
			what = names(m.Points)
		}
		out = append(out, fmt.Sprintf("%s would agree as well %s: %s then stands at %.3f, %.3f, %.3f m. Nothing tells which; to tell, %s.", what, side, s.Points[m.Points[0]].Name, p.X, p.Y, p.Z, fix))
	}
	return out
}

// doubtNames bounds the names told in one doubt.
const doubtNames = 8
