package electrical

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Supplies that no demo church has: everything hangs where it may, at its voltage,
// and the tally of the lines is that of the circuits.
func TestSuppliesOfEveryKind(t *testing.T) {
	for _, c := range []struct {
		name   string
		region string
		s      survey.Supply
		ways   string // places circuits may hang
		volts  float64
		poles  int
	}{
		{"100 V", "metric", survey.Supply{System: "single_phase_2w", Earthing: "tt", Voltage: volts(100), Frequency: 50}, "L1", 100, 1},
		{"100/200 V", "metric", survey.Supply{System: "single_phase_3w", Earthing: "tt", Voltage: volts(100), VoltageLL: volts(200), Frequency: 60}, "L1 L2", 100, 1},
		{"230 V IT", "metric", survey.Supply{System: "three_phase_3w", Earthing: "it", Voltage: volts(230), Frequency: 50}, "L1-L2 L2-L3 L3-L1", 230, 2},
		{"120/208 V wye", "us", survey.Supply{System: "three_phase_4w", Voltage: volts(120), VoltageLL: volts(208), Frequency: 60}, "L1 L2 L3", 120, 1},
		{"120/240 V high-leg delta", "us", survey.Supply{System: "three_phase_4w", Voltage: volts(120), VoltageLL: volts(240), Frequency: 60}, "L1 L3", 120, 1},
		{"277/480 V wye", "us", survey.Supply{System: "three_phase_4w", Voltage: volts(277), VoltageLL: volts(480), Frequency: 60}, "L1 L2 L3", 277, 1},
		{"347/600 V wye", "us", survey.Supply{System: "three_phase_4w", Voltage: volts(347), VoltageLL: volts(600), Frequency: 60}, "L1 L2 L3", 347, 1},
		{"115/200 V at 400 Hz", "metric", survey.Supply{System: "three_phase_4w", Earthing: "tn_s", Voltage: volts(115), VoltageLL: volts(200), Frequency: 400}, "L1 L2 L3", 115, 1},
		{"240 V delta", "us", survey.Supply{System: "three_phase_3w", Voltage: volts(240), Frequency: 60}, "L1-L2 L2-L3 L3-L1", 240, 2},
	} {
		in := row(t, c.region, 24, "a", "b")
		in.Survey.Supply = c.s
		in.Survey.Supply.Main = amps(100)
		p, fs := Design(in)
		sum, onLines := 0.0, 0.0
		for _, k := range p.Circuits {
			if !strings.Contains(" "+c.ways+" ", " "+k.Leg+" ") || k.VoltageV != c.volts || k.BreakerPoles != c.poles {
				t.Errorf("%s: %s on %s at %v V, %d poles", c.name, k.Name, k.Leg, k.VoltageV, k.BreakerPoles)
			}
			if k.BreakerA > 0 && k.DesignA > k.BreakerA*fits {
				t.Errorf("%s: %s %v A behind %v A", c.name, k.Name, k.DesignA, k.BreakerA)
			}
			sum += k.CurrentA
		}
		for _, l := range stepNamed(t, p, "all new on").Legs {
			onLines += l.CurrentA
		}
		if c.poles == 1 && math.Abs(onLines-sum) > 1e-6*sum {
			t.Errorf("%s: %v A on the lines, circuits draw %v A", c.name, onLines, sum)
		}
		high := len(find(fs, "ELECTRICAL_HIGH_LEG")) > 0
		if high != strings.Contains(c.name, "high-leg") || len(find(fs, "ELECTRICAL_SUPPLY_CONTRADICTION")) > 0 {
			t.Errorf("%s: high leg %v, contradiction %v", c.name, high, find(fs, "ELECTRICAL_SUPPLY_CONTRADICTION"))
		}
		if asked(p, "really 400 Hz") != strings.Contains(c.name, "400 Hz") {
			t.Errorf("%s: frequency asked %v", c.name, asked(p, "really"))
		}
	}
}

// A circuit pinned to the high leg is refused as a line of this supply.
func TestNothingOnTheHighLeg(t *testing.T) {
	in := row(t, "us", 2, "a")
	in.Survey.Supply = survey.Supply{System: "three_phase_4w", Voltage: volts(120), VoltageLL: volts(240), Frequency: 60, Main: amps(100)}
	p, fs := Design(in)
	if p.Supply.HighLeg != "L2" || find(fs, "ELECTRICAL_HIGH_LEG")[0].Severity != finding.Stop {
		t.Errorf("%+v", p.Supply)
	}
	if text := finding.NewBook().Render(find(fs, "ELECTRICAL_HIGH_LEG")[0], si.US).Text; !strings.Contains(text, "208") {
		t.Errorf("√3 · 120 V: %s", text)
	}
	if v, ok := p.Supply.wayVolts("L2"); ok {
		t.Errorf("L2 gives %v V", v)
	}
	if v, ok := p.Supply.wayVolts("L1-L3"); !ok || v != 240 {
		t.Errorf("L1-L3 gives %v V, %v", v, ok)
	}
	for _, s := range p.Steps {
		if s.Legs[1].CurrentA != 0 {
			t.Errorf("%s: %v A on the high leg", s.Name, s.Legs[1].CurrentA)
		}
	}
}

// A load of no known line may lie between lines and neutral or be a three-phase one,
// S/(√3·U) on the high leg as well: each line takes the higher.
func TestStandingLoadBesideAHighLeg(t *testing.T) {
	in := row(t, "us", 2, "a")
	in.Survey.Supply = survey.Supply{System: "three_phase_4w", Voltage: volts(120), VoltageLL: volts(240), Frequency: 60, Main: amps(100),
		Standing: []survey.StandingLoad{{Name: "cooling", Power: watts(12000), PF: 1}}}
	p, _ := Design(in)
	today := stepNamed(t, p, "today")
	for i, want := range []float64{12000 / 240.0, 12000 / (math.Sqrt(3) * 240), 12000 / 240.0} {
		near(t, today.Legs[i].Name, today.Legs[i].CurrentA, want, 1e-9)
	}
	in.Survey.Supply.Standing[0].Leg = "L1-L3"
	p, _ = Design(in)
	if a := stepNamed(t, p, "today").Legs[1].CurrentA; a != 0 {
		t.Errorf("between L1 and L3, and %v A on L2", a)
	}
	// Lights are never of three phases.
	in.Survey.Supply.Standing = nil
	in.Survey.ExistingUnit = []survey.ExistingLight{{Name: "old", Kind: "house", Count: 10, Watts: watts(240), Fate: "keep"}}
	p, _ = Design(in)
	for i, want := range []float64{10, 0, 10} {
		near(t, "old lights", stepNamed(t, p, "today").Legs[i].CurrentA, want, 1e-9)
	}
}

// TT: 50 V over 30 mA allows 1 667 Ω; an electrode of 2 000 Ω is found, one of 900 Ω
// is not; without a device the breaker alone never clears it.
//
// BS 7671 411.5.3.
func TestEarthElectrodeOfTT(t *testing.T) {
	for _, c := range []struct {
		ohm, rcd float64
		bad      bool
	}{{2000, .03, true}, {900, .03, false}, {900, .1, true}, {400, .1, false}} {
		in := row(t, "metric", 4, "a", "b")
		in.Survey.Supply.Earthing, in.Survey.Supply.LoopOhm, in.Survey.Supply.RCD = "tt", c.ohm, amps(c.rcd)
		p, fs := Design(in)
		if bad := len(find(fs, "ELECTRICAL_LOOP_HIGH")) > 0; bad != c.bad {
			t.Errorf("%v Ω at %v A: found %v", c.ohm, c.rcd, bad)
		}
		if p.Circuits[0].LoopTestOhm > 0 {
			t.Errorf("an earth electrode is tested cold to %v Ω", p.Circuits[0].LoopTestOhm)
		}
		if want := 50 / c.rcd; math.Abs(p.Circuits[0].LoopLimitOhm-want) > 1e-9*want {
			t.Errorf("limit %v Ω, want %v", p.Circuits[0].LoopLimitOhm, want)
		}
	}
	in := row(t, "metric", 4, "a")
	in.Survey.Supply.Earthing = "tt"
	if p, _ := Design(in); !asked(p, "resistance of the earth electrode") {
		t.Error("the electrode is not asked for")
	}
}

// Panels nobody could read: no spaces, no rating, no place, a full one, breakers
// without a number.
func TestPanelsOfEveryKind(t *testing.T) {
	for _, c := range []struct {
		name  string
		panel survey.Panel
		code  string
	}{
		{"nothing known", survey.Panel{Name: "DB"}, "ELECTRICAL_PANEL_UNKNOWN"},
		{"full", survey.Panel{Name: "DB", Rating: amps(63), Spaces: 12, SpacesUsed: 12}, "ELECTRICAL_PANEL_FULL"},
		{"more used than there", survey.Panel{Name: "DB", Rating: amps(63), Spaces: 12, SpacesUsed: 20}, "ELECTRICAL_PANEL_FULL"},
		{"no rating", survey.Panel{Name: "DB", Spaces: 12}, "ELECTRICAL_PANEL_UNKNOWN"},
		{"breakers without a number", survey.Panel{Name: "DB", Rating: amps(63), Spaces: 12, SpacesUsed: 3, Ways: ways(survey.PanelWay{}, survey.PanelWay{Space: -4, Poles: -1})}, "ELECTRICAL_WAYS_DIFFER"},
	} {
		in := row(t, "metric", 4, "a", "b")
		in.Survey.Supply.Main = amps(0)
		in.Survey.Panels = []survey.Panel{c.panel}
		p, fs := Design(in)
		if len(find(fs, c.code)) == 0 {
			t.Errorf("%s: no %s", c.name, c.code)
		}
		if len(p.Circuits) == 0 || len(p.Questions) == 0 {
			t.Errorf("%s: %d circuits, %d questions", c.name, len(p.Circuits), len(p.Questions))
		}
		for _, s := range p.Steps {
			if c.panel.Rating.Set != s.Allowed && len(s.Legs) > 0 && s.Legs[0].LimitA == 0 && s.Allowed {
				t.Errorf("%s: %s is allowed without a limit", c.name, s.Name)
			}
		}
	}
}
