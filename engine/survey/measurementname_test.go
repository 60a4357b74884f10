package survey

import "testing"

// Findings name a measurement by what it measures: nobody knows a made id.
func TestMeasurementNames(t *testing.T) {
	m := func(text string) L { return typed(t, text) }
	made := []string{"7099bfa7-1111-7222-8333-444455556666", "7099bfa7-1111-7222-8333-444455556667"}
	s := Survey{Measurements: []Measurement{
		{ID: "m11", Kind: Height, To: "B1", Value: m("5.49 m"), Reference: "hall floor", By: "a volunteer"},
		{ID: made[0], Kind: Height, To: "B1", Value: m("5.20 m"), By: "second helper"},
		{ID: made[1], Kind: Height, To: "B1", Value: m("5.20 m"), By: "second helper"},
		{ID: "m12", Kind: Height, To: "B1", Value: m("5 m"), Reference: "platform"},
		{ID: "m1", Kind: Distance, From: "a", To: "b", Value: m("4 m")},
	}}
	for id, want := range map[string]string{
		"m11": "height of B1 (m11)", made[0]: "height of B1, 5.20 m by second helper", made[1]: "height of B1, 5.20 m by second helper, entry 2 of it",
		"m12": "height of B1 above the platform (m12)", "m1": "distance a – b (m1)", "m1 reading 2": "distance a – b (m1) reading 2", "B1 from z": "B1 from z",
	} {
		if got := NameOf(s, id); got != want {
			t.Errorf("%s is %q, want %q", id, got, want)
		}
	}
}
