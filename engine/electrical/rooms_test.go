package electrical

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// set is a catalogue of a few invented fixtures.
type set map[string]catalogue.Fixture

func (s set) Get(code string) (catalogue.Fixture, bool) { f, ok := s[code]; return f, ok }

var fixtures = set{
	"T-FRE": {Code: "T-FRE", Class: catalogue.Fresnel, Power: 165, PF: 0.95, VoltageMin: 100, VoltageMax: 250},
	"T-BCK": {Code: "T-BCK", Class: catalogue.Wash, Power: 120, PF: 0.95, VoltageMin: 100, VoltageMax: 250},
	"T-SML": {Code: "T-SML", Class: catalogue.Wash, Power: 45, PF: 0.95},
	"T-LMP": {Code: "T-LMP", Class: catalogue.Lamp, Power: 8.5, PF: 0.6, Flux: 806},
	"T-TRO": {Code: "T-TRO", Class: catalogue.Lamp, Power: 40.625, PF: 1, Flux: 4000},
	"T-LED": {Code: "T-LED", Class: catalogue.Lamp, Power: 40, PF: 1, Flux: 4000},
}

// relative is the tolerance the invented rooms state for amperes: 2 %.
const relative = 0.02

func close2(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s = %.3f, want %.3f within 2 %%", what, got, want)
	}
}

func feet(v float64) si.Typed[si.Length]   { return si.Known(si.Length(v) * si.Foot) }
func amps(v float64) si.Typed[si.Current]  { return si.Known(si.Current(v)) }
func watts(v float64) si.Typed[si.Power]   { return si.Known(si.Power(v)) }
func volts(v float64) si.Typed[si.Voltage] { return si.Known(si.Voltage(v)) }
func at(x, y, z float64) geom.Vec          { return geom.Vec{X: x, Y: y, Z: z} }
func atFeet(x, y, z float64) geom.Vec      { return at(x, y, z).Scale(0.3048) }
func profile(t testing.TB, id string) region.Profile {
	t.Helper()
	p, ok := region.Get(id)
	if !ok {
		t.Fatalf("no profile %s", id)
	}
	return p
}

func find(fs []finding.Finding, code string) []finding.Finding {
	var out []finding.Finding
	for _, f := range fs {
		if f.Code == code {
			out = append(out, f)
		}
	}
	return out
}

func one(t *testing.T, fs []finding.Finding, code, subject string) finding.Finding {
	t.Helper()
	for _, f := range find(fs, code) {
		if strings.Contains(f.Subject, subject) {
			return f
		}
	}
	t.Errorf("no %s about %q among %v", code, subject, find(fs, code))
	return finding.Finding{}
}

func stepNamed(t *testing.T, p Plan, part string) Step {
	t.Helper()
	for _, s := range append(append([]Step(nil), p.Steps...), p.Existing...) {
		if strings.Contains(s.Name, part) {
			return s
		}
	}
	t.Fatalf("no step %q among %+v, %+v", part, p.Steps, p.Existing)
	return Step{}
}

// meetingHouse is a brick room with side galleries on 120/240 V: fifteen new
// units, six dimmer channels of old lights, a panel nearly full.
func meetingHouse(t testing.TB) Input {
	in := Input{Catalogue: fixtures, Profile: profile(t, "us"), Book: finding.NewBook()}
	unit := func(id, fx, line, circuit, phase, zone string, x, y float64) {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: id, Fixture: fx, Line: line, Circuit: circuit, Phase: phase,
			Zone: zone}, At: atFeet(x, -y, 18.5)})
	}
	unit("R1", "T-FRE", "W1", "W1a", "A", "desk", -4, 10)
	unit("R2", "T-FRE", "W1", "W1a", "A", "desk", 12, 10)
	unit("T1", "T-FRE", "W1", "W1a", "A", "table", -8, 10)
	unit("T2", "T-FRE", "W1", "W1a", "A", "table", 8, 10)
	unit("P1", "T-FRE", "W1", "W1a", "A", "piano", 18, 10)
	for i, x := range []float64{-6, 0, 5, -18, -13} {
		unit([]string{"C1", "C2", "C3", "C4", "C5"}[i], "T-FRE", "W1", "W1b", "A", "choir", x, 10)
	}
	unit("G1", "T-FRE", "left pier", "GB", "B", "choir", -21.5, 4)
	unit("G2", "T-FRE", "right pier", "GB", "B", "desk", 21.5, 4)
	unit("K1", "T-BCK", "W2", "GB", "B", "desk", 4, -9.5)
	unit("K2", "T-BCK", "W2", "GB", "B", "table", 0, -9.5)
	unit("K3", "T-BCK", "W2", "GB", "B", "piano", 9, -9.5)
	in.Scheme = scheme.Scheme{HouseStep: "C", Circuits: []scheme.CircuitChoice{
		{Name: "W1a", Leg: "L1", Panel: "HP", Phase: "A"}, {Name: "W1b", Leg: "L2", Panel: "HP", Phase: "A"},
		{Name: "GB", Leg: "L1", Panel: "HP", Phase: "B"}}}
	line := func(name string, x0, x1, y, z, drop float64) {
		in.Room.Lines = append(in.Room.Lines, room.Line{Name: name, From: atFeet(x0, -y, z), To: atFeet(x1, -y, z), Drop: si.Length(drop * 0.3048)})
	}
	line("W1", -23, 23, 10, 19.67, 1.17)
	line("W2", -23, 23, -9.5, 19.67, 1.17)
	in.Room.Footprint = geom.Polygon{atFeet(-23, -44.5, 0), atFeet(23, -44.5, 0), atFeet(23, 13.5, 0), atFeet(-23, 13.5, 0)}
	s := &in.Survey
	s.Supply = survey.Supply{System: "single_phase_3w", Voltage: volts(120), VoltageLL: volts(240), Frequency: 60, Earthing: "tn_c_s", Reading: "spot",
		Main: amps(125), Standing: []survey.StandingLoad{{Name: "panel reading", Leg: "L1", Current: amps(86)}, {Name: "panel reading", Leg: "L2", Current: amps(97)}}}
	s.Panels = []survey.Panel{{Name: "HP", Rating: amps(125), Poles: 2, Spaces: 24, SpacesUsed: 21, SpacesBack: 2,
		At: survey.Place{X: feet(20), Y: feet(-40), Z: feet(5)}},
		{Name: "dimmer cabinet", ClearDepth: si.Known(10 * si.Inch), Note: "A handrail stands before its door."}}
	old := func(name, kind string, n int, w float64, ch, fate, lamp string) {
		s.ExistingUnit = append(s.ExistingUnit, survey.ExistingLight{Name: name, Kind: kind, Count: n, Watts: watts(w), Dimmer: ch, Fate: fate, LampCode: lamp})
	}
	old("left cove", "house", 24, 60, "D1", "relamp", "T-LMP")
	old("right cove", "house", 24, 60, "D2", "relamp", "T-LMP")
	old("rear cove", "house", 20, 60, "D3", "relamp", "T-LMP")
	old("organ floods", "stage", 6, 500, "D4", "remove", "")
	old("under-gallery", "under_gallery", 14, 60, "D5", "relamp", "T-LMP")
	old("globes", "house", 6, 100, "D6", "relamp", "T-LMP")
	for i, leg := range []string{"L1", "L2", "L1", "L2", "L1", "L2"} {
		s.Dimmers = append(s.Dimmers, survey.Dimmer{Channel: "D" + string(rune('1'+i)), Cabinet: "dimmer cabinet", Rating: watts(2400),
			Minimum: watts(100), Kind: "unknown", Leg: leg})
	}
	return in
}

func TestMeetingHouseCircuits(t *testing.T) {
	p, fs := Design(meetingHouse(t))
	close2(t, "new lighting W", p.TotalW, 2340)
	close2(t, "new lighting VA", p.TotalVA, 2463)
	close2(t, "new lighting at 120 V", p.TotalA, 20.5)
	close2(t, "new lighting at 240 V", p.TotalALL, 10.26)
	close2(t, "with 125 %", p.TotalA*1.25, 25.7)
	if len(p.Circuits) != 3 {
		t.Fatalf("%d circuits", len(p.Circuits))
	}
	for i, want := range []struct {
		name, leg string
		a         float64
		units     int
	}{{"GB", "L1", 6.05, 5}, {"W1a", "L1", 7.24, 5}, {"W1b", "L2", 7.24, 5}} {
		c := p.Circuits[i]
		if c.Name != want.name || c.Leg != want.leg || len(c.Units) != want.units || c.Panel != "HP" {
			t.Errorf("circuit %d: %+v", i, c)
		}
		close2(t, c.Name, c.CurrentA, want.a)
		if c.DropPct > 3 || c.UsePct > 70 || c.Conductor == "" || c.Ground == "" || c.Connector == "" {
			t.Errorf("%s: drop %v %%, use %v %%, %q %q %q", c.Name, c.DropPct, c.UsePct, c.Conductor, c.Ground, c.Connector)
		}
	}
	f := one(t, fs, "ELECTRICAL_LINE_NEEDS_CIRCUITS", "W1")
	close2(t, "W1 on one circuit", f.Value, 72.4)
}

func TestMeetingHouseOnOneCircuitIsOverPlan(t *testing.T) {
	in := meetingHouse(t)
	for i := range in.Placed {
		if in.Placed[i].Line == "W1" {
			in.Placed[i].Circuit = "W1"
		}
	}
	_, fs := Design(in)
	f := one(t, fs, "ELECTRICAL_CIRCUIT_OVER_PLAN", "circuit W1")
	close2(t, "use", f.Value, 72.4)
	if f.Limit != 70 {
		t.Errorf("limit %v", f.Limit)
	}
}

func TestMeetingHouseEngineSplitsW1(t *testing.T) {
	in := meetingHouse(t)
	in.Scheme.Circuits = nil
	for i := range in.Placed {
		in.Placed[i].Circuit = ""
	}
	p, _ := Design(in)
	perLine := map[string]int{}
	for _, c := range p.Circuits {
		if c.UsePct > 70 {
			t.Errorf("%s at %v %%", c.Name, c.UsePct)
		}
		for _, l := range c.Lines {
			perLine[l]++
		}
	}
	if perLine["W1"] != 2 || len(p.Circuits) != 3 {
		t.Errorf("%d circuits, W1 on %d", len(p.Circuits), perLine["W1"])
	}
	zones := map[string]map[string]bool{}
	for _, c := range p.Circuits {
		for _, z := range c.Zones {
			if zones[z] == nil {
				zones[z] = map[string]bool{}
			}
			zones[z][c.Name] = true
		}
	}
	for z, cs := range zones {
		if len(cs) < 2 {
			t.Errorf("zone %s hangs on one breaker", z)
		}
	}
}

func TestMeetingHouseLegsStepByStep(t *testing.T) {
	p, fs := Design(meetingHouse(t))
	for _, want := range []struct {
		step    string
		l1, l2  float64
		allowed bool
	}{{"today", 86, 97, true}, {"nothing removed", 99.3, 104.2, false}, {"old lights out first", 99.3, 79.2, true},
		{"after phase A", 93.2, 79.2, true}, {"after phase B", 99.3, 79.2, true}, {"house job", 77.1, 65.8, true}} {
		s := stepNamed(t, p, want.step)
		close2(t, want.step+" L1", s.Legs[0].CurrentA, want.l1)
		close2(t, want.step+" L2", s.Legs[1].CurrentA, want.l2)
		if s.Allowed != want.allowed || s.Legs[0].LimitA != 100 {
			t.Errorf("%s: allowed %v, limit %v", s.Name, s.Allowed, s.Legs[0].LimitA)
		}
	}
	close2(t, "unbalance in the end", stepNamed(t, p, "house job").ImbalancePct, 14.7)
	f := one(t, fs, "ELECTRICAL_REMOVE_FIRST", "organ floods")
	close2(t, "L2 with nothing removed", f.Value, 104.2)
	if f.Severity != finding.Stop || f.Owner != finding.Electrician {
		t.Errorf("%v %v", f.Severity, f.Owner)
	}
	if over := find(fs, "ELECTRICAL_LEG_OVER_LIMIT"); len(over) > 0 {
		t.Errorf("the planned order passes the limit: %v", over)
	}
	pc := p.Panels[0]
	if pc.SpacesNeeded != 3 || pc.SpacesLeft != 0 || pc.SpacesBack != 2 {
		t.Errorf("%+v", pc)
	}
	spare := one(t, fs, "ELECTRICAL_PANEL_SPARE", "HP")
	close2(t, "spare", spare.Value, 100*2.0/24)
	one(t, fs, "ELECTRICAL_PANEL_WORKING_SPACE", "dimmer cabinet")
	one(t, fs, "ELECTRICAL_FAULT_CURRENT_UNKNOWN", "HP")
	one(t, fs, "ELECTRICAL_SPOT_READING", "standing")
}

func TestMeetingHouseDimmers(t *testing.T) {
	p, fs := Design(meetingHouse(t))
	for i, want := range []struct{ before, after float64 }{{1440, 204}, {1440, 204}, {1200, 170}, {3000, 0}, {840, 119}, {600, 51}} {
		h := p.House[i]
		if math.Abs(h.BeforeW-want.before) > 0.1 || math.Abs(h.AfterW-want.after) > 0.1 {
			t.Errorf("%s: %v → %v W, want %v → %v", h.Channel, h.BeforeW, h.AfterW, want.before, want.after)
		}
	}
	if f := one(t, fs, "ELECTRICAL_DIMMER_OVERLOADED", "D4"); f.Value != 3000 || f.Limit != 2400 {
		t.Errorf("%v against %v", f.Value, f.Limit)
	}
	if f := one(t, fs, "ELECTRICAL_DIMMER_MINIMUM", "D6"); math.Abs(f.Value-51) > 0.01 || f.Limit != 100 {
		t.Errorf("%v against %v", f.Value, f.Limit)
	}
	margins := find(fs, "ELECTRICAL_DIMMER_MARGIN")
	if len(margins) != 1 || !strings.HasSuffix(margins[0].Subject, "D5") || math.Abs(margins[0].Value-93.5) > 0.01 {
		t.Errorf("margins %v", margins)
	}
	trial := one(t, fs, "ELECTRICAL_DIMMER_TRIAL", "house")
	for _, a := range trial.Args {
		switch a.Name {
		case "before":
			close2(t, "lamps", a.Num, 88)
		case "afterw":
			close2(t, "W", a.Num, 748)
		case "afterva":
			close2(t, "VA", a.Num, 1247)
		case "beforea":
			close2(t, "A before", a.Num, 71.0)
		case "aftera":
			close2(t, "A", a.Num, 10.4)
		}
	}
	one(t, fs, "ELECTRICAL_LAMP_LESS_LIGHT", "globes")
	if n := len(find(fs, "ELECTRICAL_LAMP_LESS_LIGHT")); n != 1 {
		t.Errorf("%d groups lose light, want the globes alone", n)
	}
	if p.Questions[0].No != 1 || !strings.Contains(p.Questions[0].Text, "D4") {
		t.Errorf("the first question is %+v, want the one about D4", p.Questions[0])
	}
}

// shop is a low shop unit, 230 V single-phase, one residual-current device.
func shop(t testing.TB, fixture string, n int) Input {
	in := Input{Catalogue: fixtures, Profile: profile(t, "metric"), Book: finding.NewBook()}
	for i := range n {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: "S" + string(rune('A'+i)), Fixture: fixture, Line: "grid", Zone: "front"},
			At: at(float64(i), -1, 2.75)})
	}
	in.Survey.Supply = survey.Supply{System: "single_phase_2w", Earthing: "tt", Voltage: volts(230), Frequency: 50, Main: amps(40),
		RCD: amps(0.030), Reading: "nameplate", Standing: []survey.StandingLoad{
			{Name: "air conditioner 1", Power: watts(1800)}, {Name: "air conditioner 2", Power: watts(1800)}, {Name: "sound", Power: watts(1200)},
			{Name: "urn", Power: watts(3000), Sheddable: true}, {Name: "projector", Power: watts(350)}}}
	in.Survey.ExistingUnit = []survey.ExistingLight{{Name: "troffers", Kind: "house", Count: 16, Watts: watts(81.25), Fate: "relamp", LampCode: "T-TRO"}}
	return in
}

func TestShopSupply(t *testing.T) {
	p, fs := Design(shop(t, "T-SML", 10))
	close2(t, "today", stepNamed(t, p, "today").Legs[0].CurrentA, 41.1)
	one(t, fs, "ELECTRICAL_LEG_OVER_LIMIT", "today")
	house := stepNamed(t, p, "house job")
	close2(t, "with the new lamps", house.Legs[0].CurrentA, 40.3)
	if house.Allowed {
		t.Error("40.3 A allowed on 40 A")
	}
	shed := stepNamed(t, p, "without urn")
	close2(t, "without the urn", shed.Legs[0].CurrentA, 27.3)
	if !shed.Allowed || shed.Legs[0].LimitA != 40 {
		t.Errorf("%+v", shed)
	}
	one(t, fs, "ELECTRICAL_SHED_SCENARIO", "urn")
	f := one(t, fs, "ELECTRICAL_RCD_LEAKAGE", "residual")
	close2(t, "26 drivers on 30 mA", f.Value, 100*13.0/30)
	big, _ := Design(shop(t, "T-FRE", 11))
	close2(t, "with 11 large units", stepNamed(t, big, "all new on").Legs[0].CurrentA, 49.4)
}

func TestHallOutletCircuit(t *testing.T) {
	in := Input{Catalogue: fixtures, Profile: profile(t, "metric"), Book: finding.NewBook()}
	put := func(n int, fx string) {
		for i := range n {
			in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: fx + string(rune('a'+i)), Fixture: fx, Line: "stand", Circuit: "plug"}, At: at(float64(i), -4, 3.9)})
		}
	}
	put(8, "T-FRE")
	put(4, "T-BCK")
	in.Scheme.Circuits = []scheme.CircuitChoice{{Name: "plug", Panel: "wall outlets"}}
	in.Survey.Panels = []survey.Panel{{Name: "wall outlets", Poles: 1, Rating: amps(20)}}
	in.Survey.Supply = survey.Supply{System: "three_phase_4w", Voltage: volts(230), VoltageLL: volts(400), Frequency: 50, Earthing: "men",
		Standing: []survey.StandingLoad{{Name: "sound", Leg: "wall outlets", Power: watts(1600)}, {Name: "coffee", Leg: "wall outlets", Power: watts(2400), Sheddable: true}}}
	p, fs := Design(in)
	all, without := stepNamed(t, p, "everything on"), stepNamed(t, p, "without coffee")
	close2(t, "everything on", all.Legs[0].CurrentA, 25.6)
	close2(t, "without coffee", without.Legs[0].CurrentA, 15.2)
	if all.Allowed || !without.Allowed {
		t.Errorf("allowed %v, %v", all.Allowed, without.Allowed)
	}
	one(t, fs, "ELECTRICAL_CIRCUIT_OVERLOADED", "wall outlets")
	close2(t, "use", one(t, fs, "ELECTRICAL_CIRCUIT_OVER_PLAN", "wall outlets").Value, 76)
}

func TestHallOutletsTriedWithEverything(t *testing.T) {
	in := Input{Catalogue: fixtures, Profile: profile(t, "metric"), Book: finding.NewBook()}
	for i := range 12 {
		fx := "T-FRE"
		if i >= 8 {
			fx = "T-BCK"
		}
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: string(rune('a' + i)), Fixture: fx, Line: "bridge"}, At: at(float64(i), -4, 7.5)})
	}
	in.Survey.Panels = []survey.Panel{{Name: "wall outlets", Poles: 1, Spaces: 1, SpacesUsed: 1, Rating: amps(20)}, {Name: "stage outlet", Poles: 3, Spaces: 6, Rating: amps(32)}}
	in.Survey.Supply = survey.Supply{System: "three_phase_4w", Voltage: volts(230), VoltageLL: volts(400), Frequency: 50, Main: amps(20),
		Standing: []survey.StandingLoad{{Name: "sound", Leg: "L1", Power: watts(1600)}, {Name: "coffee", Leg: "L1", Power: watts(2400), Sheddable: true}}}
	p, fs := Design(in)
	f := one(t, fs, "ELECTRICAL_OLD_OUTLETS", "wall outlets")
	close2(t, "everything", f.Value, 25.6)
	close2(t, "without coffee", stepNamed(t, p, "without coffee").Legs[0].CurrentA, 15.2)
	for _, a := range f.Args {
		if a.Name == "use" {
			close2(t, "use", a.Num, 76)
		}
	}
	for _, c := range p.Circuits {
		if c.Panel != "stage outlet" {
			t.Errorf("%s from %s", c.Name, c.Panel)
		}
	}
}

// aFrame is a room on three lines without neutral with pew heaters behind a
// load guard.
func aFrame(t testing.TB) Input {
	in := Input{Catalogue: fixtures, Profile: profile(t, "metric"), Book: finding.NewBook()}
	put := func(n int, fx, line string) {
		for i := range n {
			in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: fx + line + string(rune('a'+i)), Fixture: fx, Line: line}, At: at(float64(i)-3, -2, 5.8)})
		}
	}
	put(5, "T-FRE", "tie 2")
	put(6, "T-FRE", "tie 6")
	put(6, "T-BCK", "tie -4.6")
	in.Survey.Supply = survey.Supply{System: "three_phase_3w", Earthing: "it", Voltage: volts(230), Frequency: 50, Main: amps(50), Reading: "nameplate",
		Standing: []survey.StandingLoad{{Name: "heaters 1", Power: watts(8000), Sheddable: true},
			{Name: "heaters 2", Power: watts(8000), Sheddable: true, Interlock: "load guard"},
			{Name: "heaters 3", Power: watts(8000), Sheddable: true, Interlock: "load guard"},
			{Name: "house lights", Power: watts(2000)}, {Name: "sound", Power: watts(1000)}}}
	in.Survey.ExistingUnit = []survey.ExistingLight{{Name: "pendants", Kind: "house", Count: 10, Watts: watts(200), Fate: "relamp", LampCode: "T-LED"}}
	return in
}

func TestAFrameSupply(t *testing.T) {
	p, fs := Design(aFrame(t))
	close2(t, "on one pair", p.TotalA, 11.6)
	close2(t, "per line", p.BalancedA, 6.7)
	one(t, fs, "ELECTRICAL_NO_NEUTRAL", "supply")
	for _, c := range p.Circuits {
		if c.BreakerPoles != 2 || !strings.Contains(c.Leg, "-") || c.VoltageV != 230 {
			t.Errorf("%s: %d poles on %s, %v V", c.Name, c.BreakerPoles, c.Leg, c.VoltageV)
		}
	}
	// Three whole circuits do not spread quite evenly over the pairs: half an
	// ampere either way.
	const uneven = 0.6
	for step, want := range map[string]float64{"nothing removed": 54.4, "after the house job": 50.4, "without heaters 1": 30.3} {
		s := stepNamed(t, p, step)
		mean := (s.Legs[0].CurrentA + s.Legs[1].CurrentA + s.Legs[2].CurrentA) / 3
		if math.Abs(mean-want) > relative*want || math.Abs(heaviest(s).CurrentA-want) > uneven+relative*want {
			t.Errorf("%s: mean %.2f, heaviest %.2f, want %.1f", step, mean, heaviest(s).CurrentA, want)
		}
	}
	one(t, fs, "ELECTRICAL_SHED_SCENARIO", "heaters")
}

func TestTemplateWithNeutralIsRefused(t *testing.T) {
	in := aFrame(t)
	in.Survey.Supply.VoltageLL = volts(400)
	_, fs := Design(in)
	if f := one(t, fs, "ELECTRICAL_SUPPLY_CONTRADICTION", "supply"); f.Severity != finding.Stop {
		t.Errorf("severity %v", f.Severity)
	}
}

func TestUnknownSupplyIsAskedAndAssumed(t *testing.T) {
	in := meetingHouse(t)
	in.Survey.Supply = survey.Supply{}
	p, fs := Design(in)
	if f := one(t, fs, "ELECTRICAL_SUPPLY_UNKNOWN", "supply"); f.Severity != finding.Stop {
		t.Errorf("severity %v", f.Severity)
	}
	one(t, fs, "ELECTRICAL_STANDING_UNKNOWN", "panel")
	if !strings.Contains(p.SupplyNote, "assumed") || p.Supply.Voltage != 120 {
		t.Errorf("%q", p.SupplyNote)
	}
}

func TestNeverOnADimmer(t *testing.T) {
	in := meetingHouse(t)
	in.Scheme.Circuits[0].Panel = "dimmer cabinet"
	in.Brief.House.DimBy = "phase_cut"
	in.Placed[0].Purpose = scheme.HouseLight
	in.Survey.ExistingUnit = append(in.Survey.ExistingUnit, survey.ExistingLight{Name: "door sign", Kind: "exit", Count: 1, Watts: watts(10), Dimmer: "D6"})
	_, fs := Design(in)
	one(t, fs, "ELECTRICAL_DIMMED_FEED", "house lights")
	for code, subject := range map[string]string{"ELECTRICAL_DIMMED_FEED": "W1a", "ELECTRICAL_EMERGENCY_ON_DIMMER": "door sign"} {
		if f := one(t, fs, code, subject); f.Severity != finding.Stop {
			t.Errorf("%s is no stop", code)
		}
	}
}

func TestTextsFillEveryPlaceAndGiveNoVerdict(t *testing.T) {
	book := finding.NewBook()
	check := func(in Input) {
		p, fs := Design(in)
		for _, f := range fs {
			r := book.Render(f, si.Metric)
			for _, text := range []string{r.Title, r.Text, r.Advice} {
				if strings.ContainsAny(text, "{}") {
					t.Errorf("%s: %q", f.Code, text)
				}
				low := " " + strings.ToLower(text) + " "
				for _, word := range []string{" ok ", " safe ", " compliant "} {
					if strings.Contains(low, word) {
						t.Errorf("%s: verdict in %q", f.Code, text)
					}
				}
			}
			if strings.HasPrefix(f.Code, "ELECTRICAL_") && f.Owner != finding.Electrician {
				t.Errorf("%s owned by %s", f.Code, f.Owner)
			}
		}
		for i, q := range p.Questions {
			if q.No != i+1 || q.Text == "" || q.Why == "" {
				t.Errorf("question %d: %+v", i, q)
			}
		}
	}
	over := meetingHouse(t)
	over.Scheme.Circuits[0].Panel = "dimmer cabinet"
	over.Survey.Hazards = []survey.Hazard{{Kind: "panel_access", Where: "stair"}, {Kind: "wiring", Where: "loft"}}
	bad := shop(t, "T-FRE", 24)
	bad.Survey.Panels = []survey.Panel{{Name: "X", Spaces: 1, SpacesUsed: 1}}
	bad.Survey.Supply.Voltage = volts(400)
	for _, in := range []Input{meetingHouse(t), over, shop(t, "T-SML", 10), bad, aFrame(t), {Book: book, Brief: brief.Brief{}}} {
		check(in)
	}
}
