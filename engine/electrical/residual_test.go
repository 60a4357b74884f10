package electrical

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// One device's trip never darkens a zone that has two circuits, and no device
// carries more standing leakage than its share, unless one circuit alone does.
func TestOneDeviceNeverDarkensAZone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const limit = 9.0
		var cs []*Circuit
		for i := range rapid.IntRange(1, 9).Draw(t, "circuits") {
			c := &Circuit{Name: letters(i), LeakageMA: rapid.Float64Range(0, 6).Draw(t, "mA")}
			for range rapid.IntRange(1, 2).Draw(t, "zones") {
				if z := rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "zone"); len(c.Zones) == 0 || c.Zones[0] != z {
					c.Zones = append(c.Zones, z)
				}
			}
			cs = append(cs, c)
		}
		of := map[string]int{}
		for _, c := range cs {
			for _, z := range c.Zones {
				of[z]++
			}
		}
		groups, placed := sharedResidual(cs, limit), 0
		for _, g := range groups {
			sum := 0.0
			for _, c := range g {
				sum += c.LeakageMA
				placed++
			}
			if len(g) == 0 || len(g) > 1 && sum > limit*fits {
				t.Fatalf("%d circuits leak %v mA", len(g), sum)
			}
			for _, z := range darkened(g, cs) {
				if of[z] > 1 {
					t.Fatalf("one device darkens zone %s with %d circuits", z, of[z])
				}
			}
		}
		if placed != len(cs) {
			t.Fatalf("%d of %d circuits placed", placed, len(cs))
		}
	})
}

// As found one 30 mA device covers the room: two circuits of one zone come on two
// devices although one could bear their leakage, and the one is reported.
func TestResidualGroupsSpreadAZone(t *testing.T) {
	in := row(t, "metric", 4, "a")
	in.Survey.Supply.RCD = amps(.03)
	p, fs := Design(in)
	used := map[string]int{}
	for _, c := range p.Circuits {
		used[c.ResidualGroup]++
	}
	if len(p.Circuits) != 2 || len(used) != 2 || used["device as found"] > 0 {
		t.Fatalf("%d circuits on %v", len(p.Circuits), used)
	}
	for _, g := range p.Residual {
		if len(g.Darkens) > 0 {
			t.Errorf("%+v", g)
		}
	}
	one(t, fs, "ELECTRICAL_RCD_ONE", "residual")
	// Without a surveyed device the region's outlets ask for one all the same.
	in = row(t, "metric", 4, "a")
	if p, fs := Design(in); len(p.Residual) != 2 || p.Residual[0].RatedMA != 30 || len(find(fs, "ELECTRICAL_RCD_ONE")) > 0 {
		t.Errorf("%+v", p.Residual)
	}
}

// The surveyed type and the maker's pulse factor decide how many drivers come on a
// circuit: 45 A peaks on 20 A breakers, B 4·20 = 80 A one driver, with a factor of 3
// 240 A five.
func TestPackingFollowsTheSurveyedBreaker(t *testing.T) {
	pack := func(id, curve string, pulse float64) Plan {
		in := row(t, id, 10, "a", "b")
		in.Catalogue = set{"T-FRE": {Code: "T-FRE", Power: 30, PF: .95, InrushA: 45}}
		in.Survey.Panels[0].BreakerCurve, in.Survey.Panels[0].PulseFactor = curve, pulse
		p, fs := Design(in)
		for _, c := range p.Circuits {
			if len(c.Units) > 1 && c.InrushA > c.InrushLimitA*fits && len(find(fs, "ELECTRICAL_INRUSH")) == 0 {
				t.Errorf("%s %s: %v A of %v without a finding", id, c.Name, c.InrushA, c.InrushLimitA)
			}
		}
		return p
	}
	for _, c := range []struct {
		id, curve string
		pulse     float64
		circuits  int
	}{{"metric", "B", 0, 10}, {"metric", "C", 0, 4}, {"metric", "D", 0, 2}, {"metric", "B", 3, 2}, {"us", "D", 0, 2}, {"us", "B", 0, 10}} {
		p := pack(c.id, c.curve, c.pulse)
		if len(p.Circuits) != c.circuits {
			t.Errorf("%s type %s, factor %v: %d circuits, want %d", c.id, c.curve, c.pulse, len(p.Circuits), c.circuits)
		}
		if c.pulse > 0 && p.Circuits[0].PulseFactor != c.pulse {
			t.Errorf("pulse factor %v", p.Circuits[0].PulseFactor)
		}
	}
}

// A region's own pulse factor stands until a surveyed one comes.
func TestPulseFactorOfTheRegion(t *testing.T) {
	in := row(t, "metric", 2, "a")
	p := in.Profile
	p.Protection.Curves = append(p.Protection.Curves[:0:0], p.Protection.Curves...)
	for i := range p.Protection.Curves {
		p.Protection.Curves[i].Pulse = 2
	}
	in.Profile = p
	if plan, _ := Design(in); plan.Circuits[0].PulseFactor != 2 {
		t.Errorf("%v", plan.Circuits[0].PulseFactor)
	}
	in.Survey.Panels[0].PulseFactor = 1.5
	if plan, _ := Design(in); plan.Circuits[0].PulseFactor != 1.5 {
		t.Errorf("%v", plan.Circuits[0].PulseFactor)
	}
}

func ways(ws ...survey.PanelWay) []survey.PanelWay { return ws }

// Two breakers on one line add up in a shared neutral, 12 + 10 = 22 A behind 20 A;
// on two lines of opposite phase it carries the difference, 2 A.
func TestSurveyedSharedNeutrals(t *testing.T) {
	way := func(space int, load float64, tied bool) survey.PanelWay {
		return survey.PanelWay{Space: space, Rating: amps(20), Poles: 1, Load: amps(load), Feeds: "outlets", SharedNeutral: "N", Tied: tied}
	}
	for _, c := range []struct {
		name   string
		ways   []survey.PanelWay
		a      float64
		faults int
	}{
		{"two lines, tied", ways(way(1, 12, true), way(3, 10, true)), 2, 0},
		{"two lines, not tied", ways(way(1, 12, true), way(3, 10, false)), 2, 1},
		{"one line, tied", ways(way(1, 12, true), way(2, 10, true)), 22, 2}, // spaces 1 and 2 share a line
		{"one breaker of two poles", ways(survey.PanelWay{Space: 1, Rating: amps(20), Poles: 2, Load: amps(8), Feeds: "outlets", SharedNeutral: "N"}), 0, 0},
		{"its two lines written down", ways(survey.PanelWay{Space: 1, Rating: amps(20), Poles: 2, Leg: "L1-L2", Load: amps(8), Feeds: "outlets", SharedNeutral: "N"}), 0, 0},
		{"a line there is none of", ways(survey.PanelWay{Space: 1, Rating: amps(20), Poles: 2, Leg: "L9", Load: amps(8), Feeds: "outlets", SharedNeutral: "N"}), 0, 2},
		{"feeds a dimmer", ways(survey.PanelWay{Space: 1, Rating: amps(20), Poles: 2, Load: amps(8), Feeds: "dimmer cabinet", SharedNeutral: "N"}), 0, 1},
	} {
		in := meetingHouse(t)
		in.Survey.Panels[0].Ways = c.ways
		in.Survey.Panels[0].SpacesUsed = 2
		p, fs := Design(in)
		var got NeutralCheck
		for _, n := range p.Neutral {
			if n.Existing {
				got = n
			}
		}
		near(t, c.name, got.FundamentalA, c.a, 1e-9)
		faulty := len(find(fs, "ELECTRICAL_SHARED_NEUTRAL")) > 0
		if got.Opens == "" || c.faults != len(got.Faults) || faulty != (c.faults > 0) {
			t.Errorf("%s: faults %v, finding %v", c.name, got.Faults, faulty)
		}
		if over := strings.Contains(strings.Join(got.Faults, "; "), "22.0 A behind breakers of 20 A"); over != (c.a > 20) {
			t.Errorf("%s: %v", c.name, got.Faults)
		}
	}
}

// Circuits of one line that come in one stage on two legs are offered as a multiwire
// circuit in the region that knows it, with their difference in the neutral; a region
// that does not know it offers none.
func TestMultiwireIsAnOption(t *testing.T) {
	in := row(t, "us", 12, "a", "b")
	in.Survey.Supply = survey.Supply{System: "single_phase_3w", Voltage: volts(120), VoltageLL: volts(240), Frequency: 60, Main: amps(125)}
	p, _ := Design(in)
	offered := 0
	for _, n := range p.Neutral {
		if len(n.Circuits) == 0 {
			continue
		}
		offered++
		var a [2]float64
		for _, name := range n.Circuits {
			for _, c := range p.Circuits {
				if c.Name == name {
					a[map[string]int{"L1": 0, "L2": 1}[c.Leg]] += c.CurrentA
				}
			}
		}
		near(t, n.Where, n.FundamentalA, SplitNeutral(a[0], a[1]), 1e-9)
		if len(n.Circuits) != 2 || len(n.Faults) > 0 || n.Opens == "" || n.SizedForA < max(a[0], a[1]) {
			t.Errorf("%+v", n)
		}
	}
	if offered == 0 {
		t.Error("none is offered")
	}
	in = row(t, "metric", 12, "a", "b")
	in.Survey.Supply.System, in.Survey.Supply.VoltageLL = "three_phase_4w", volts(400)
	p, _ = Design(in)
	for _, n := range p.Neutral {
		if len(n.Circuits) > 0 {
			t.Errorf("%+v", n)
		}
	}
}

// While the works go on nothing is credited that is not done: before the house job
// its old lamps burn on, and old lights count until they are isolated.
func TestEveryStepOfTheWorks(t *testing.T) {
	p, _ := Design(meetingHouse(t))
	today, isolated, a := stepNamed(t, p, "today"), stepNamed(t, p, "during phase A"), stepNamed(t, p, "after phase A")
	for k := range today.Legs {
		if isolated.Legs[k].CurrentA > today.Legs[k].CurrentA || a.Legs[k].CurrentA < isolated.Legs[k].CurrentA {
			t.Errorf("%s: %v, %v, %v", today.Legs[k].Name, today.Legs[k].CurrentA, isolated.Legs[k].CurrentA, a.Legs[k].CurrentA)
		}
	}
	near(t, "isolated L2", isolated.Legs[1].CurrentA, 97-3000/120.0, 1e-9)
	in := meetingHouse(t)
	in.Scheme.HouseStep = "B"
	p, _ = Design(in)
	during, after := stepNamed(t, p, "during phase B"), stepNamed(t, p, "after phase B")
	if !(during.Legs[0].CurrentA > after.Legs[0].CurrentA) {
		t.Errorf("L1 during %v, after %v", during.Legs[0].CurrentA, after.Legs[0].CurrentA)
	}
}

// What the service could do without is shown although nothing has to go off.
func TestScenarioWithLoadsOff(t *testing.T) {
	in := row(t, "metric", 2, "a")
	in.Survey.Supply.Standing = []survey.StandingLoad{{Name: "heating", Power: si.Known(si.Power(4600)), PF: 1, Sheddable: true}, {Name: "sound", Power: si.Known(si.Power(1150)), PF: 1}}
	p, _ := Design(in)
	on, off := p.Steps[len(p.Steps)-2], p.Steps[len(p.Steps)-1]
	near(t, "heating's share", on.Legs[0].CurrentA-off.Legs[0].CurrentA, 20, 1e-9)
}

// On a wye thirds of all lines add up in a shared neutral; it is sized for them as
// the region's table has it. Circuits of two install phases do not share one.
func TestNeutralsOfAWyeAndOfTwoPhases(t *testing.T) {
	in := row(t, "us", 24, "a", "b")
	in.Survey.Supply = survey.Supply{System: "three_phase_4w", Voltage: volts(120), VoltageLL: volts(208), Frequency: 60, Main: amps(125)}
	p, _ := Design(in)
	seen := false
	for _, n := range p.Neutral {
		if len(n.Circuits) != 3 {
			continue
		}
		seen = true
		var a [3]float64
		for _, c := range p.Circuits {
			for _, name := range n.Circuits {
				if c.Name == name {
					a[map[string]int{"L1": 0, "L2": 1, "L3": 2}[c.Leg]] = c.CurrentA
				}
			}
		}
		near(t, "with thirds", n.WithThirdA, NeutralWithThird(a[0], a[1], a[2], thirdPct), 1e-9)
		near(t, "sized for", n.SizedForA, max(a[0], a[1], a[2], n.WithThirdA, HarmonicCurrent(in.Profile, max(a[0], a[1], a[2]), thirdPct)), 1e-9)
	}
	if !seen {
		t.Error("no three circuits could share one")
	}
	p, _ = Design(twoLegs(t))
	seen = false
	for _, n := range p.Neutral {
		if len(n.Circuits) == 2 {
			seen = true
			if !strings.Contains(strings.Join(n.Faults, "; "), "different install phases") {
				t.Errorf("%v", n.Faults)
			}
		}
	}
	if !seen {
		t.Error("the two circuits are not looked at")
	}
}

// Three breakers of a 230/400 V board on one neutral, 10 A each: 30 % of thirds give
// 9 A in it, and the cable is sized for 10/0.86 A (IEC 60364-5-52 Annex E, 15 % to
// 33 %).
func TestSurveyedNeutralOfThreeLines(t *testing.T) {
	in := row(t, "metric", 2, "a")
	in.Survey.Supply.System, in.Survey.Supply.VoltageLL = "three_phase_4w", volts(400)
	for i, leg := range []string{"L1", "L2", "L3"} {
		in.Survey.Panels[0].Ways = append(in.Survey.Panels[0].Ways, survey.PanelWay{Space: 2*i + 1, Rating: amps(16), Poles: 1, Leg: leg, Load: amps(10), Feeds: "lights", SharedNeutral: "N", Tied: true})
	}
	p, _ := Design(in)
	for _, n := range p.Neutral {
		if n.Existing {
			near(t, "linear", n.FundamentalA, 0, 1e-9)
			near(t, "with thirds", n.WithThirdA, 9, 1e-9)
			near(t, "sized for", n.SizedForA, 10/.86, 1e-9)
			return
		}
	}
	t.Error("the shared neutral is not looked at")
}
