package electrical

import (
	"slices"
	"testing"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/scheme"
)

// Labels name one circuit for four units. Where two of them are exchanged for a type
// that brings it over its limit, it loses exchanged ones alone and keeps the others,
// its name and its leg; what left goes to a circuit of another name.
func TestLabelledCircuitLosesTheExchangedAlone(t *testing.T) {
	in := row(t, "metric", 4, "a")
	in.Catalogue = set{"T-FRE": {Code: "T-FRE", Power: 300, PF: 1, InrushA: 5}, "T-HOT": {Code: "T-HOT", Class: catalogue.Fresnel, Power: 3000, PF: 1, InrushA: 5}}
	in.Labels = map[string]scheme.Label{}
	for _, u := range in.Placed {
		in.Labels[u.ID] = scheme.Label{Unit: u.ID, Fixture: "T-FRE", Line: "beam", Circuit: "B7", Leg: "L1", Panel: "DB"}
	}
	units := func() map[string]string {
		p, _ := Design(in)
		on := map[string]string{}
		for _, c := range p.Circuits {
			for _, u := range c.Units {
				on[u] = c.Name
			}
		}
		return on
	}
	for u, c := range units() {
		if c != "B7" {
			t.Errorf("%s, unchanged, is on %s", u, c)
		}
	}
	changed := []string{in.Placed[1].ID, in.Placed[2].ID}
	in.Placed[1].Fixture, in.Placed[2].Fixture = "T-HOT", "T-HOT"
	on, left := units(), 0
	for _, u := range in.Placed {
		if slices.Contains(changed, u.ID) {
			if on[u.ID] != "B7" {
				left++
			}
		} else if on[u.ID] != "B7" {
			t.Errorf("%s, which nobody touched, is on %s", u.ID, on[u.ID])
		}
	}
	// 2 · 300 + 3 000 W are 15.7 A and stay on 20 A; two of 3 000 W would be 28.7 A.
	if left != 1 {
		t.Errorf("%d of the exchanged units left the circuit: %v", left, on)
	}
}
