package electrical

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// twoLegs is a hall on 120/240 V with three units in phase A and three in phase B,
// old lights on one leg.
func twoLegs(t testing.TB) Input {
	in := row(t, "us", 6, "a", "b")
	for i := range in.Placed {
		in.Placed[i].Phase = string("AB"[i/3])
		in.Placed[i].Circuit = "C" + in.Placed[i].Phase
	}
	in.Scheme.Circuits = []scheme.CircuitChoice{{Name: "CA", Leg: "L1"}, {Name: "CB", Leg: "L2"}}
	in.Survey.Supply = survey.Supply{System: "single_phase_3w", Voltage: volts(120), VoltageLL: volts(240), Frequency: 60, Main: amps(100), Reading: "nameplate"}
	in.Survey.ExistingUnit = []survey.ExistingLight{
		{Name: "old front", Kind: "stage", Count: 4, Watts: watts(300), Leg: "L1", Fate: "remove"},
		{Name: "old rear", Kind: "stage", Count: 6, Watts: watts(200), Leg: "L2", Fate: "remove", Phase: "B"},
	}
	return in
}

// An old light is credited in the phase that takes it out and no earlier:
// 4 × 300 W and 6 × 200 W at 120 V are 10 A each.
func TestRemovalsAreCreditedInTheirPhase(t *testing.T) {
	p, _ := Design(twoLegs(t))
	newA, newB := p.Circuits[0].CurrentA, p.Circuits[1].CurrentA
	for _, want := range []struct {
		step   string
		l1, l2 float64
	}{
		{"today", 10, 10},
		{"all new on, nothing removed", 10 + newA, 10 + newB},
		{"old lights out first, all new on", newA, newB},
		{"during phase A, old lights isolated, nothing new on", 0, 10},
		{"after phase A", newA, 10},
		{"during phase B, its old lights isolated, its new ones not on", newA, 0},
		{"after phase B", newA, newB},
	} {
		s := stepNamed(t, p, want.step)
		if math.Abs(s.Legs[0].CurrentA-want.l1) > 1e-9 || math.Abs(s.Legs[1].CurrentA-want.l2) > 1e-9 {
			t.Errorf("%s: %v, want %.2f and %.2f", s.Name, s.Legs, want.l1, want.l2)
		}
	}
	if len(p.Steps) != 7 || p.Scenarios != nil {
		t.Errorf("%d steps, %d scenarios of a room where nothing differs", len(p.Steps), len(p.Scenarios))
	}
}

// Heating on L1 in winter, cooling on L2 in summer, never both: the steps take
// each leg at its highest, each scenario its own.
func TestScenariosOfTheSeasons(t *testing.T) {
	in := twoLegs(t)
	in.Survey.Supply.Standing = []survey.StandingLoad{
		{Name: "heating", Leg: "L1", Power: watts(3600), Scenarios: []string{"winter"}, Sheddable: true}, // 30 A
		{Name: "cooling", Leg: "L2", Power: watts(2400), Scenarios: []string{"summer"}},                  // 20 A
		{Name: "sound", Leg: "L1", Power: watts(600)},                                                    // 5 A
	}
	p, _ := Design(in)
	for _, want := range []struct {
		name   string
		off    string
		l1, l2 float64
	}{
		{"", "", 45, 30},
		{"winter", "cooling", 45, 10},
		{"summer", "heating", 15, 30},
		{"neither summer nor winter", "heating cooling", 15, 10},
		{"winter, all that may be switched off is off", "heating cooling", 15, 10},
		{"summer, all that may be switched off is off", "heating", 15, 30},
	} {
		today := stepNamed(t, p, "today")
		if want.name != "" {
			i := slices.IndexFunc(p.Scenarios, func(s Scenario) bool { return s.Name == want.name })
			if i < 0 {
				t.Fatalf("no scenario %q", want.name)
			}
			s := p.Scenarios[i]
			today = s.Steps[0]
			if strings.Join(s.Off, " ") != want.off || len(s.Steps) != 7 {
				t.Errorf("%s: off %q, %d steps", s.Name, s.Off, len(s.Steps))
			}
		}
		if math.Abs(today.Legs[0].CurrentA-want.l1) > 1e-9 || math.Abs(today.Legs[1].CurrentA-want.l2) > 1e-9 {
			t.Errorf("%q today: %v, want %v and %v", want.name, today.Legs, want.l1, want.l2)
		}
	}
	if len(p.Scenarios) != 5 {
		t.Errorf("%d scenarios", len(p.Scenarios))
	}
}

// Two heaters of which one runs at a time, the larger on L1: on L2 the smaller one
// is the highest, and must not be overlooked.
func TestInterlockedLoadsOnTwoLegs(t *testing.T) {
	in := twoLegs(t)
	in.Survey.Supply.Standing = []survey.StandingLoad{
		{Name: "left heater", Leg: "L1", Power: watts(12000), Interlock: "heaters"},
		{Name: "right heater", Leg: "L2", Power: watts(10800), Interlock: "heaters"},
	}
	p, fs := Design(in)
	today := stepNamed(t, p, "today")
	if math.Abs(today.Legs[0].CurrentA-110) > 1e-9 || math.Abs(today.Legs[1].CurrentA-100) > 1e-9 {
		t.Errorf("today %v, want 110 A and 100 A", today.Legs)
	}
	if len(find(fs, "ELECTRICAL_LEG_OVER_LIMIT")) == 0 {
		t.Error("a leg over its limit is not found")
	}
	i := slices.IndexFunc(p.Scenarios, func(s Scenario) bool { return s.Name == "of heaters right heater" })
	if i < 0 {
		t.Fatalf("%+v", p.Scenarios)
	}
	if l := p.Scenarios[i].Steps[0].Legs; math.Abs(l[0].CurrentA-10) > 1e-9 || math.Abs(l[1].CurrentA-100) > 1e-9 {
		t.Errorf("the right heater alone: %v", l)
	}
}

// No scenario puts more on a leg than the steps say.
func TestStepsAreTheHighestOfAllScenarios(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		p, _ := Design(in)
		for _, s := range p.Scenarios {
			for k, st := range s.Steps {
				for i, l := range st.Legs {
					// Sums in another order: a relative rounding.
					if top := p.Steps[k].Legs[i].CurrentA; l.CurrentA > top*fits+1e-9 {
						t.Fatalf("%s, %s: %v on %s, step says %v", s.Name, st.Name, l.CurrentA, l.Name, top)
					}
				}
			}
		}
	})
}
