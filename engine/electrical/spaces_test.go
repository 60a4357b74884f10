package electrical

import (
	"fmt"
	"testing"
)

// Circuits are what the units need: a full panel takes none of them away, and
// says that it is full.
func TestCircuitsDoNotDependOnSpaces(t *testing.T) {
	circuits := func(spaces, used int) (string, Plan, bool) {
		in := meetingHouse(t)
		in.Scheme.Circuits = nil
		for i := range in.Placed {
			in.Placed[i].Circuit, in.Placed[i].Zone = "", "table"
		}
		in.Survey.Panels[0].Spaces, in.Survey.Panels[0].SpacesUsed = spaces, used
		p, fs := Design(in)
		text := ""
		for _, c := range p.Circuits {
			text += fmt.Sprintln(c.Name, c.Units)
		}
		full := false
		for _, f := range fs {
			full = full || f.Code == "ELECTRICAL_PANEL_FULL"
		}
		return text, p, full
	}
	roomy, p, full := circuits(42, 4)
	if full || len(p.Circuits) < 2 {
		t.Fatalf("%d circuits, panel full %v", len(p.Circuits), full)
	}
	for _, used := range []int{10, 12, 14} {
		tight, q, full := circuits(12, used)
		if tight != roomy {
			t.Errorf("%d of 12 spaces used:\n%swith room:\n%s", used, tight, roomy)
		}
		if left := 12 - used - len(q.Circuits)*1; (left < 0) != full {
			t.Errorf("%d of 12 spaces used, %d circuits: panel full %v", used, len(q.Circuits), full)
		}
		// What the search says of each line holds of the circuits that come out.
		for _, n := range q.Packing {
			on := 0
			for _, c := range q.Circuits {
				for _, l := range c.Lines {
					if l == n.Line && c.Phase == n.Phase {
						on++
						break
					}
				}
			}
			if on < n.Least {
				t.Errorf("%s in phase %s is on %d circuits; fewer than %d were ruled out", n.Line, n.Phase, on, n.Least)
			}
		}
	}
}
