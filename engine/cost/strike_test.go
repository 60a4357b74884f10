package cost

import (
	"testing"

	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// Taking old lights out is work of the phase that takes them out, of the first where
// none is said or where it is none of the design's.
func TestStrikeHoursInTheirPhase(t *testing.T) {
	in := Input{Placed: []scheme.Placed{{Unit: scheme.Unit{ID: "a", Phase: "A"}}, {Unit: scheme.Unit{ID: "b", Phase: "B"}}}}
	in.Survey.ExistingUnit = []survey.ExistingLight{
		{Name: "front", Count: 2, Fate: "remove"},
		{Name: "rear", Count: 3, Fate: "remove", Phase: "B"},
		{Name: "lost", Count: 4, Fate: "remove", Phase: "Q"},
		{Name: "kept", Count: 9, Fate: "keep", Phase: "B"},
	}
	for phase, lights := range map[string]float64{"A": 6, "B": 3} {
		if got, want := LabourOf(in, phase).StrikeHours, lights*StrikeHours*HangCrew; got != want {
			t.Errorf("phase %s: %v h, want %v h", phase, got, want)
		}
	}
}
