package phase

import (
	"slices"
	"testing"

	"roodbeam/engine/electrical"
	"roodbeam/engine/survey"
)

// Old lights are isolated in the phase that takes them out, those of no phase in the
// first with circuits, each once.
func TestIsolateInTheirPhase(t *testing.T) {
	in := Input{Load: electrical.Plan{Steps: []electrical.Step{{Allowed: true}, {Allowed: false}}}}
	in.Survey.ExistingUnit = []survey.ExistingLight{
		{Name: "front", Count: 2, Fate: "remove"},
		{Name: "rear", Count: 2, Fate: "remove", Phase: "C"},
		{Name: "early", Count: 1, Fate: "remove", Phase: "A"},
		{Name: "none left", Count: 0, Fate: "remove"},
		{Name: "kept", Count: 9, Fate: "keep"},
	}
	b := &builder{in: in, isolated: map[string]bool{}}
	for _, want := range []struct {
		phase string
		names []string
	}{{"B", []string{"front", "early"}}, {"C", []string{"rear"}}, {"D", nil}} {
		if got := b.isolateIn(want.phase); !slices.Equal(got, want.names) {
			t.Errorf("phase %s: %v, want %v", want.phase, got, want.names)
		}
	}
	in.Load.Steps[1].Allowed = true
	if got := (&builder{in: in, isolated: map[string]bool{}}).isolateIn("B"); got != nil {
		t.Errorf("isolated although everything may run: %v", got)
	}
}
