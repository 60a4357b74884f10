package electrical

import (
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// row is a hall on 230 V with units along one line, its panel at a known place.
func row(t testing.TB, id string, n int, zones ...string) Input {
	in := Input{Catalogue: fixtures, Profile: profile(t, id), Book: finding.NewBook()}
	in.Room.Lines = []room.Line{{Name: "beam", From: at(-10, -4, 5), To: at(10, -4, 5)}}
	for i := range n {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: "U" + letters(i), Fixture: "T-FRE", Line: "beam", Zone: zones[i%len(zones)]}, At: at(-9+18*float64(i)/float64(max(1, n-1)), -4, 4.7)})
	}
	in.Survey.Supply = survey.Supply{System: "single_phase_2w", Earthing: "tn_c_s", Voltage: volts(230), Frequency: 50, Main: amps(63)}
	in.Survey.Panels = []survey.Panel{{Name: "DB", Rating: amps(63), Spaces: 24, SpacesUsed: 8, At: survey.Place{X: si.Known(si.Length(-10)), Y: si.Known(si.Length(-12)), Z: si.Known(si.Length(1.5))}}}
	return in
}

func TestOneZoneNeverHangsOnOneBreaker(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 24).Draw(t, "units")
		zones := rapid.SampledFrom([][]string{{"a"}, {"a", "b"}, {"a", "b", "c"}}).Draw(t, "zones")
		in := Input{Catalogue: fixtures, Profile: rapid.SampledFrom(region.Profiles()).Draw(t, "profile"), Book: book}
		for i := range n {
			in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: letters(i), Fixture: rapid.SampledFrom([]string{"T-FRE", "T-BCK", "T-SML"}).Draw(t, "fixture"),
				Line: "beam", Zone: rapid.SampledFrom(zones).Draw(t, "zone")}, At: at(float64(i), -4, 5)})
		}
		in.Survey.Panels = []survey.Panel{{Name: "DB", Rating: amps(100), Spaces: 60, At: survey.Place{X: si.Known(si.Length(0)), Y: si.Known(si.Length(0))}}}
		p, fs := Design(in)
		if dark := find(fs, "ELECTRICAL_ZONE_ONE_CIRCUIT"); len(dark) > 0 {
			t.Fatalf("%v", dark)
		}
		on := map[string]map[string]bool{}
		count := map[string]int{}
		for _, u := range in.Placed {
			for _, c := range p.Circuits {
				for _, id := range c.Units {
					if id == u.ID {
						if on[u.Zone] == nil {
							on[u.Zone] = map[string]bool{}
						}
						on[u.Zone][c.Name] = true
						count[u.Zone]++
					}
				}
			}
		}
		for z, cs := range on {
			if count[z] > 1 && len(cs) < 2 {
				t.Fatalf("zone %s: %d units on one circuit", z, count[z])
			}
		}
		for _, k := range p.Packing {
			if !k.Proven || k.Circuits < k.Least {
				t.Fatalf("%+v", k)
			}
		}
	})
}

// The share for growth is free on every circuit the engine makes, whatever the
// brief asks for, and the breaker still carries the design current.
func TestGrowthShareIsAlwaysFree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := Input{Catalogue: set{"X": {Code: "X", Class: catalogue.Wash, Power: si.Power(rapid.Float64Range(5, 2500).Draw(t, "watts")), PF: .9}},
			Profile: rapid.SampledFrom(region.Profiles()).Draw(t, "profile"), Book: book}
		spare := rapid.Float64Range(1, 60).Draw(t, "spare")
		in.Brief.Limits = brief.Limits{SpareCircuitPct: spare, PlanLoadPct: 100}
		for i := range rapid.IntRange(1, 12).Draw(t, "units") {
			in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: letters(i), Fixture: "X", Line: "beam"}, At: at(float64(i), -4, 5)})
		}
		in.Survey.Panels = []survey.Panel{{Name: "DB", Rating: amps(400), Spaces: 90, At: survey.Place{X: si.Known(si.Length(0)), Y: si.Known(si.Length(0))}}}
		p, _ := Design(in)
		for _, c := range p.Circuits {
			if c.BreakerA == 0 {
				t.Fatalf("%s: no breaker for %v A", c.Name, c.CurrentA)
			}
			if free := (c.BreakerA - c.CurrentA) / c.BreakerA * 100; free < spare*(1-1e-9) {
				t.Fatalf("%s: %v %% free of %v asked, %v A on %v A", c.Name, free, spare, c.CurrentA, c.BreakerA)
			}
			if math.Abs(c.GrowthA-(c.BreakerA-c.CurrentA)) > 1e-9 || c.DesignA > c.BreakerA*(1+1e-9) || c.AmpacityA > 0 && c.AmpacityA < c.BreakerA {
				t.Fatalf("%+v", c)
			}
		}
	})
}

// Ten drivers of 25 A peak on one C20: 250 A against 8 · 20 A; type D bears
// 15 · 20 A. With 45 A each nothing does.
func TestBreakerTypeFollowsInrush(t *testing.T) {
	for _, tc := range []struct {
		peak  float64
		curve string
		limit float64
		bad   bool
	}{{10, "C", 160, false}, {25, "D", 300, false}, {45, "D", 300, true}} {
		in := row(t, "metric", 10, "a", "b")
		in.Catalogue = set{"T-FRE": {Code: "T-FRE", Class: catalogue.Fresnel, Power: 300, PF: .95, InrushA: tc.peak}}
		for i := range in.Placed {
			in.Placed[i].Circuit = "all"
		}
		p, fs := Design(in)
		c := p.Circuits[0]
		if c.BreakerA != 20 || c.Curve != tc.curve || c.InrushLimitA != tc.limit {
			t.Errorf("peak %v: %s%v, limit %v A", tc.peak, c.Curve, c.BreakerA, c.InrushLimitA)
		}
		if bad := len(find(fs, "ELECTRICAL_INRUSH")) > 0; bad != tc.bad {
			t.Errorf("peak %v: finding %v", tc.peak, bad)
		}
		if tc.bad && !asked(p, "short-pulse factor") {
			t.Error("the maker is not asked")
		}
	}
	// Without every driver's peak no number of drivers is promised.
	unknown := row(t, "metric", 4, "a")
	unknown.Catalogue = set{"T-FRE": {Code: "T-FRE", Class: catalogue.Fresnel, Power: 30, PF: .95}}
	if p, _ := Design(unknown); p.Circuits[0].DriversMost != 0 {
		t.Errorf("%d drivers of an unknown peak", p.Circuits[0].DriversMost)
	}
	// Packed by the engine, the usual type does for every circuit.
	in := row(t, "metric", 12, "a", "b")
	in.Catalogue = set{"T-FRE": {Code: "T-FRE", Class: catalogue.Fresnel, Power: 30, PF: .95, InrushA: 45}}
	p, fs := Design(in)
	if len(p.Circuits) != 4 || len(find(fs, "ELECTRICAL_INRUSH")) > 0 {
		t.Errorf("%d circuits for 12 · 45 A of 160 A, findings %v", len(p.Circuits), find(fs, "ELECTRICAL_INRUSH"))
	}
	for _, c := range p.Circuits {
		if c.Curve == "D" && c.BreakerA == 20 {
			t.Errorf("%+v", c)
		}
	}
}

// Few drivers with high peaks on a small breaker: a larger one of the usual type
// comes before a slower type of the same rating, since C16 trips at 160 A at most
// and D10 at 200 A.
func TestLargerBreakerBeforeSlowerType(t *testing.T) {
	for _, tc := range []struct {
		peak   float64
		curve  string
		rating float64
	}{{20, "C", 10}, {50, "C", 16}, {70, "C", 20}, {100, "D", 16}, {140, "D", 20}, {160, "D", 10}} {
		in := row(t, "metric", 2, "a")
		in.Catalogue = set{"T-FRE": {Code: "T-FRE", Class: catalogue.Fresnel, Power: 150, PF: .95, InrushA: tc.peak}}
		for i := range in.Placed {
			in.Placed[i].Circuit = "all"
		}
		p, fs := Design(in)
		c := p.Circuits[0]
		if c.BreakerA != tc.rating || c.Curve != tc.curve {
			t.Errorf("2 × %v A: %s%v, want %s%v", tc.peak, c.Curve, c.BreakerA, tc.curve, tc.rating)
		}
		if none := 2*tc.peak > 300; none != (len(find(fs, "ELECTRICAL_INRUSH")) > 0) {
			t.Errorf("2 × %v A: finding %v", tc.peak, !none)
		}
		if told := strings.Contains(c.Reason, "for the inrush"); told != (c.BreakerA > 10) {
			t.Errorf("2 × %v A: %s", tc.peak, c.Reason)
		}
		if c.AmpacityA < c.BreakerA || c.UsePct > 100*c.CurrentA/c.BreakerA+1e-9 {
			t.Errorf("%+v", c)
		}
	}
}

func asked(p Plan, part string) bool {
	for _, q := range p.Questions {
		if strings.Contains(q.Text, part) {
			return true
		}
	}
	return false
}

func TestFaultLoop(t *testing.T) {
	in := row(t, "metric", 8, "a", "b")
	p, _ := Design(in)
	if !asked(p, "external fault-loop impedance") {
		t.Error("Ze is not asked for")
	}
	for _, c := range p.Circuits {
		if !math.IsNaN(c.LoopOhm) || !(c.LoopRunOhm > 0) {
			t.Errorf("%s: loop %v of run %v", c.Name, c.LoopOhm, c.LoopRunOhm)
		}
	}
	in.Survey.Supply.LoopOhm = .35
	p, fs := Design(in)
	for _, c := range p.Circuits {
		want := .35 + in.Profile.LoopOhmPerM(c.Conductor, c.Ground, true)*(c.LengthM+2*c.SigmaLengthM)
		near(t, c.Name+" Zs", c.LoopOhm, want, 1e-9)
		near(t, c.Name+" limit", c.LoopLimitOhm, .95*230/(10*c.BreakerA), 1e-9)
		near(t, c.Name+" cold", c.LoopTestOhm, .8*c.LoopLimitOhm, 1e-9)
	}
	if asked(p, "external fault-loop impedance") || len(find(fs, "ELECTRICAL_LOOP_HIGH")) > 0 {
		t.Errorf("%v", find(fs, "ELECTRICAL_LOOP_HIGH"))
	}
	in.Survey.Supply.LoopOhm = 3
	if _, fs = Design(in); len(find(fs, "ELECTRICAL_LOOP_HIGH")) == 0 {
		t.Error("3 Ω outside alone passes the limit")
	}
	if f := find(fs, "ELECTRICAL_LOOP_HIGH")[0]; f.Severity != finding.Stop || f.Owner != finding.Electrician {
		t.Errorf("%+v", f)
	}
	// Just above the limit with the thin conductor: a thicker one keeps it.
	base := p.Circuits[0]
	in.Survey.Supply.LoopOhm = base.LoopLimitOhm - base.LoopRunOhm*.8
	p, _ = Design(in)
	if c := p.Circuits[0]; c.Conductor == base.Conductor || c.LoopOhm > c.LoopLimitOhm || !strings.Contains(c.Reason, "fault loop") || !(c.DropPct < base.DropPct) {
		t.Errorf("%+v", c)
	}
	in.Survey.Supply.Earthing, in.Survey.Supply.RCD, in.Survey.Supply.LoopOhm = "tt", amps(.03), 21
	p, fs = Design(in)
	near(t, "TT", p.Circuits[0].LoopLimitOhm, 1666.7, .1)
	if len(find(fs, "ELECTRICAL_LOOP_HIGH")) > 0 {
		t.Error("21 Ω on TT with 30 mA")
	}
	in.Survey.Supply.Earthing = "it"
	if p, _ = Design(in); !asked(p, "first fault to earth") || !math.IsNaN(p.Circuits[0].LoopLimitOhm) {
		t.Error("an insulated supply is taken for an earthed one")
	}
	in = row(t, "us", 8, "a")
	in.Survey.Supply.LoopOhm = 9
	if p, fs = Design(in); !math.IsNaN(p.Circuits[0].LoopLimitOhm) || len(find(fs, "ELECTRICAL_LOOP_HIGH")) > 0 {
		t.Error("a region without the rule is held against it")
	}
}

// Twenty-six drivers of 0.5 mA are 13 mA: one 30 mA device may carry 9 mA, so the
// ten new ones come on a device of their own beside the sixteen old.
func TestResidualGroups(t *testing.T) {
	p, _ := Design(shop(t, "T-SML", 10))
	if len(p.Residual) < 2 {
		t.Fatalf("%+v", p.Residual)
	}
	seen := map[string]bool{}
	for _, g := range p.Residual {
		if g.LeakageMA > g.LimitMA+1e-9 || g.LimitMA != 9 {
			t.Errorf("%+v", g)
		}
		for _, c := range g.Circuits {
			seen[c] = true
		}
	}
	for _, c := range p.Circuits {
		if c.ResidualGroup == "" || !seen[c.Name] {
			t.Errorf("%s is on no device", c.Name)
		}
	}
	near(t, "old", p.Residual[0].LeakageMA, 8, 1e-9)
	if p, _ := Design(row(t, "us", 5, "a")); len(p.Residual) > 0 {
		t.Errorf("%+v", p.Residual)
	}
}

func TestRaceways(t *testing.T) {
	p, _ := Design(row(t, "us", 14, "a", "b"))
	for _, c := range p.Circuits {
		if !strings.HasPrefix(c.Raceway, "EMT ") || !(c.RacewayFillPct > 0 && c.RacewayFillPct <= 45) || c.Cable != "" || c.Together < 1 {
			t.Errorf("%s: %q %v %% %q", c.Name, c.Raceway, c.RacewayFillPct, c.Cable)
		}
	}
	p, _ = Design(row(t, "metric", 14, "a", "b"))
	for _, c := range p.Circuits {
		if c.Raceway != "" || !strings.Contains(c.Cable, c.Conductor) || c.AmpacityA < c.BreakerA {
			t.Errorf("%s: %q %q", c.Name, c.Raceway, c.Cable)
		}
	}
}

// A region of 100/200 V from a data file alone: sizes, connectors and the assumed
// supply are its own.
func TestHundredVoltRegion(t *testing.T) {
	raw, err := os.ReadFile("../region/testdata/hundred-volt.json")
	if err != nil {
		t.Fatal(err)
	}
	p, err := region.Parse(raw)
	if err != nil {
		t.Fatal(err)
	}
	in := row(t, "metric", 10, "a", "b")
	in.Profile = p
	in.Survey.Supply = survey.Supply{}
	plan, fs := Design(in)
	one(t, fs, "ELECTRICAL_SUPPLY_UNKNOWN", "supply")
	if plan.Supply.Voltage != 100 || plan.Supply.VoltageLL != 200 || len(plan.Supply.Lines) != 2 {
		t.Errorf("%+v", plan.Supply)
	}
	close2(t, "total", plan.TotalA, 10*165/.95/100)
	if len(plan.Circuits) < 2 {
		t.Fatalf("%d circuits", len(plan.Circuits))
	}
	for _, c := range plan.Circuits {
		if (c.BreakerA != 15 && c.BreakerA != 20) || !strings.Contains(c.Connector, "JIS") || c.DropPct > 2 || !(strings.HasSuffix(c.Conductor, "mm") || strings.HasSuffix(c.Conductor, "mm²")) {
			t.Errorf("%+v", c)
		}
		if c.Raceway != "" || c.Curve != "" {
			t.Errorf("%s has what its region has no table for: %q %q", c.Name, c.Raceway, c.Curve)
		}
	}
}

// Odd nominal voltages and frequencies are only numbers: 347/600 V, 16.7 Hz.
func TestAnyNominalVoltage(t *testing.T) {
	in := row(t, "us", 6, "a")
	in.Survey.Supply = survey.Supply{System: "three_phase_4w", Voltage: volts(347), VoltageLL: volts(600), Frequency: 16.7, Earthing: "tn_s", Main: amps(60)}
	in.Catalogue = set{"T-FRE": {Code: "T-FRE", Class: catalogue.Fresnel, Power: 165, PF: 1, VoltageMin: 100, VoltageMax: 250}}
	p, fs := Design(in)
	close2(t, "total", p.TotalA, 6*165.0/347)
	if !strings.Contains(p.SupplyNote, "347/600 V") || !strings.Contains(p.SupplyNote, "16.7 Hz") {
		t.Error(p.SupplyNote)
	}
	if len(find(fs, "ELECTRICAL_FIXTURE_VOLTAGE")) == 0 {
		t.Error("a 250 V fixture on 347 V")
	}
}

func TestRecordedDemand(t *testing.T) {
	in := meetingHouse(t)
	in.Survey.Supply.Demand, in.Survey.Supply.DemandPF = watts(20000), .95
	p, fs := Design(in)
	if !math.IsNaN(p.Panels[0].DemandA) || p.Panels[0].DemandNote == "" {
		t.Errorf("a demand beside a spot reading counts: %+v", p.Panels[0])
	}
	one(t, fs, "ELECTRICAL_SPOT_READING", "standing")
	in.Survey.Supply.Reading = "thirty_days"
	p, fs = Design(in)
	want := (1.25*20000/.95 + 1.25*p.TotalVA) / 240
	near(t, "demand", p.Panels[0].DemandA, want, 1e-6)
	if want > 125 {
		one(t, fs, "ELECTRICAL_DEMAND_OVER", "HP")
	} else if len(find(fs, "ELECTRICAL_DEMAND_OVER")) > 0 {
		t.Errorf("%v A on 125 A", want)
	}
	if len(find(fs, "ELECTRICAL_SPOT_READING")) > 0 || !asked(p, "solar power") {
		t.Error("thirty days recorded are no spot reading")
	}
	in.Survey.Supply.Demand = watts(30000)
	_, fs = Design(in)
	one(t, fs, "ELECTRICAL_DEMAND_OVER", "HP")
	in.Survey.Supply.Demand = si.Typed[si.Power]{}
	if p, _ = Design(in); !asked(p, "How many kW") {
		t.Error("the missing figure is not asked for")
	}
}

func TestBreakersInPlace(t *testing.T) {
	in := meetingHouse(t)
	in.Survey.Panels[0].Ways = []survey.PanelWay{{Space: 1, Rating: amps(20), Poles: 1, Feeds: "kitchen", Load: amps(18)}, {Space: 3, Rating: amps(30), Poles: 2, Leg: "L1-L2", Feeds: "dimmer cabinet", Load: amps(12)},
		{Space: 4, Rating: amps(15), Feeds: "porch"}}
	in.Survey.Panels[0].Feeder = amps(100)
	p, fs := Design(in)
	w := p.Panels[0].Ways
	if len(w) != 3 || w[0].Leg != "L1" || w[1].Leg != "L1-L2" || w[2].Leg != "L2" || !math.IsNaN(w[2].LoadA) {
		t.Errorf("%+v", w)
	}
	f := one(t, fs, "ELECTRICAL_WAY_OVERLOADED", "space 1")
	if f.Value != 18 || f.Limit != 16 {
		t.Errorf("%v against %v", f.Value, f.Limit)
	}
	one(t, fs, "ELECTRICAL_WAYS_DIFFER", "HP")
	if p.Panels[0].RatingA != 100 || p.Panels[0].FeederA != 100 || p.Panels[0].LimitA != 80 {
		t.Errorf("the feeder does not limit the panel: %+v", p.Panels[0])
	}
}

func TestSharedNeutral(t *testing.T) {
	three := System{Name: "three_phase_4w", Lines: []string{"L1", "L2", "L3"}}
	if a, faults := SharedNeutral(three, []string{"L1", "L2", "L3"}, []float64{10, 15, 20}, false, 0); math.Abs(a-8.660) > 1e-3 || len(faults) > 0 {
		t.Errorf("%v A, %v", a, faults)
	}
	if a, faults := SharedNeutral(three, []string{"L1", "L1"}, []float64{10, 10}, false, 0); a != 20 || len(faults) != 1 {
		t.Errorf("same line: %v A, %v", a, faults)
	}
	split := System{Name: "single_phase_3w", Lines: []string{"L1", "L2"}}
	if a, faults := SharedNeutral(split, []string{"L1", "L2"}, []float64{14, 9}, true, 30); a != 5 || len(faults) != 1 {
		t.Errorf("dimmed: %v A, %v", a, faults)
	}
	none := System{Name: "three_phase_3w", Lines: []string{"L1", "L2", "L3"}}
	if a, faults := SharedNeutral(none, []string{"L1-L2"}, []float64{5}, false, 0); !math.IsNaN(a) || len(faults) == 0 {
		t.Errorf("no neutral: %v A, %v", a, faults)
	}
}

func TestAnswersStandBesideTheirQuestion(t *testing.T) {
	in := meetingHouse(t)
	p, _ := Design(in)
	in.Answers = []Answer{{Question: p.Questions[2].Key, Text: "reverse phase", By: "licensed electrician"}, {Question: "q-000000000000", Text: "lost"}}
	q, _ := Design(in)
	for i := range q.Questions {
		if q.Questions[i].Key != p.Questions[i].Key || q.Questions[i].Key != QuestionKey(q.Questions[i].Text) {
			t.Errorf("question %d: key %s then %s", i, p.Questions[i].Key, q.Questions[i].Key)
		}
		if n := len(q.Questions[i].Answers); n != map[bool]int{true: 1}[i == 2] {
			t.Errorf("question %d has %d answers", i+1, n)
		}
	}
}

func TestQuickCircuitRefusesBadInput(t *testing.T) {
	us := profile(t, "us")
	good := QuickCircuit{VoltageV: 120, CurrentA: 10, LengthM: 20, SparePct: 25, AmbientC: 30}
	if _, err := SizeCircuit(us, good); err != nil {
		t.Fatal(err)
	}
	for field, spoil := range map[string]func(*QuickCircuit){
		"voltage": func(q *QuickCircuit) { q.VoltageV = 0 }, "length": func(q *QuickCircuit) { q.LengthM = -1 }, "ambient": func(q *QuickCircuit) { q.AmbientC = math.NaN() },
		"pf": func(q *QuickCircuit) { q.PF = 1.2 }, "current": func(q *QuickCircuit) { q.CurrentA = math.NaN() }, "load": func(q *QuickCircuit) { q.PowerW = 5 },
		"spare": func(q *QuickCircuit) { q.SparePct = 100 }} {
		q := good
		spoil(&q)
		if _, err := SizeCircuit(us, q); err == nil || !strings.HasPrefix(err.Error(), field) {
			t.Errorf("%s: %v", field, err)
		}
	}
	if _, err := SizeCircuit(us, QuickCircuit{VoltageV: 120, CurrentA: 10, LengthM: 5, AmbientC: 80}); err == nil {
		t.Error("80 °C is beyond the table")
	}
	for _, name := range []string{"12 awg", "#12", "12AWG"} {
		if c, err := ConductorNamed(us, name); err != nil || c.Name != "12 AWG" {
			t.Errorf("%q: %v %v", name, c.Name, err)
		}
	}
	for _, name := range []string{"2.5", "2,5mm2", "2.5 mm²"} {
		if c, err := ConductorNamed(profile(t, "metric"), name); err != nil || c.Name != "2.5 mm²" {
			t.Errorf("%q: %v %v", name, c.Name, err)
		}
	}
	if _, err := ConductorNamed(us, "13 AWG"); err == nil || !strings.Contains(err.Error(), "12 AWG") {
		t.Errorf("%v", err)
	}
}

// More load, a longer run, more company or more heat never asks a thinner
// conductor or a smaller breaker.
func TestQuickCircuitIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(region.Profiles()).Draw(t, "profile")
		q := QuickCircuit{ThreePhase: rapid.Bool().Draw(t, "three"), VoltageV: rapid.SampledFrom([]float64{120, 230, 400}).Draw(t, "V"), CurrentA: rapid.Float64Range(.1, 60).Draw(t, "A"),
			LengthM: rapid.Float64Range(0, 60).Draw(t, "m"), SparePct: 25, AmbientC: rapid.Float64Range(10, 45).Draw(t, "C"), Together: rapid.IntRange(1, 4).Draw(t, "n"), PF: 1}
		a, err := SizeCircuit(p, q)
		more := q
		more.CurrentA += rapid.Float64Range(0, 20).Draw(t, "more A")
		more.LengthM += rapid.Float64Range(0, 30).Draw(t, "more m")
		more.AmbientC += rapid.Float64Range(0, 5).Draw(t, "more C")
		more.Together += rapid.IntRange(0, 2).Draw(t, "more n")
		b, err2 := SizeCircuit(p, more)
		if err != nil || err2 != nil {
			if err != nil && err2 == nil {
				t.Fatalf("%v, yet more can be done", err)
			}
			return
		}
		ca, _ := p.Conductor(a.Conductor)
		cb, _ := p.Conductor(b.Conductor)
		if cb.AreaMM2 < ca.AreaMM2 || b.BreakerA < a.BreakerA {
			t.Fatalf("%+v then %+v", a, b)
		}
		if a.DropPct > p.VoltageDropPct*(1+1e-9) || a.AmpacityA < a.BreakerA || a.UsePct > 75*(1+1e-9) || p.MaxBreaker(ca) < a.BreakerA {
			t.Fatalf("%+v", a)
		}
	})
}

// What the electrician approved and installed stands beside the proposal and changes
// no figure.
func TestApprovedStandsBesideProposed(t *testing.T) {
	in := row(t, "us", 4, "a", "b")
	before, was := Design(in)
	in.Scheme.Circuits = []scheme.CircuitChoice{{Name: before.Circuits[0].Name, Approved: "30 A, 10 AWG", Installed: "30 A, 8 AWG"}}
	after, now := Design(in)
	c := after.Circuits[0]
	if c.Approved != "30 A, 10 AWG" || c.Installed != "30 A, 8 AWG" || after.Circuits[len(after.Circuits)-1].Approved != "" {
		t.Errorf("%+v", c)
	}
	c.Approved, c.Installed = "", ""
	if c.Conductor != before.Circuits[0].Conductor || c.BreakerA != before.Circuits[0].BreakerA || len(was) != len(now) {
		t.Error("it changed the proposal")
	}
}
