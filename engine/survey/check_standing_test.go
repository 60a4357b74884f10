package survey

import (
	"math"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// What never runs together is not added; a load on two lines counts on both.
func TestWhatRunsAtOnce(t *testing.T) {
	loads := []StandingLoad{
		{Name: "heating", Leg: "L1", Current: amps(40), Scenarios: []string{"winter"}},
		{Name: "cooling", Leg: "L1", Current: amps(35), Scenarios: []string{"summer"}},
		{Name: "kitchen", Leg: "L1-L2", Current: amps(10)},
		{Name: "pump A", Current: amps(5), Interlock: "pumps"},
		{Name: "pump B", Current: amps(8), Interlock: "pumps"},
		{Name: "organ", Leg: "L2", Current: amps(4)},
		{Name: "by nameplate", Leg: "L2", Power: si.Known(si.Power(9000))},
	}
	for leg, want := range map[string]float64{"L1": 40 + 10 + 8, "L2": 10 + 8 + 4, "L3": 8} {
		if got := runsOn(loads, leg); got != want {
			t.Errorf("%s: %v A, want %v A", leg, got, want)
		}
	}
	over := func(main float64) []finding.Finding {
		return only(Check(Survey{Supply: Supply{Main: amps(main), Standing: loads}}, finding.NewBook(), "metric"), "SURVEY_STANDING_OVER")
	}
	if fs := over(58); len(fs) != 0 {
		t.Errorf("nothing over 58 A: %+v", fs)
	}
	if fs := over(57); len(fs) != 1 || fs[0].Subject != "standing load on L1" || argOf(t, fs[0], "sum").Num != 58 {
		t.Errorf("L1 over 57 A: %+v", fs)
	}
}

// A breaker's power by its poles and the supply.
func TestFeedersByTheirSystem(t *testing.T) {
	for _, tc := range []struct {
		system string
		poles  int
		want   float64
	}{{"single_phase_2w", 1, 1}, {"single_phase_2w", 2, 1}, {"single_phase_3w", 1, 1}, {"single_phase_3w", 2, 2}, {"three_phase_4w", 1, 1}, {"three_phase_4w", 3, 3},
		{"three_phase_4w", 4, 3}, {"three_phase_3w", 2, 1}, {"three_phase_3w", 3, math.Sqrt(3)}, {"", 1, 1}, {"", 3, 3}} {
		if got := voltagesOn(tc.system, tc.poles); got != tc.want {
			t.Errorf("%q, %d poles: %v, want %v", tc.system, tc.poles, got, tc.want)
		}
	}
	// 230 V between lines and 16 A in three poles are 6374 W, less than 7000 W of lamps.
	s := Survey{Supply: Supply{System: "three_phase_3w", Voltage: si.Known(si.Voltage(230))},
		Panels:       []Panel{{Name: "P", Ways: []PanelWay{{Space: 3, Rating: amps(16), Poles: 3, Feeds: "dimmer cabinet A"}}}},
		Dimmers:      []Dimmer{{Channel: "1", Cabinet: "A", Rating: si.Known(si.Power(9000))}},
		ExistingUnit: []ExistingLight{{Name: "a", Count: 70, Watts: si.Known(si.Power(100)), Dimmer: "1"}}}
	const rounding = 0.1 // W
	fs := only(Check(s, finding.NewBook(), "metric"), "SURVEY_FEEDER_OVER")
	if len(fs) != 1 || math.Abs(argOf(t, fs[0], "rating").Num-6373.95) > rounding {
		t.Errorf("%+v", fs)
	}
}
