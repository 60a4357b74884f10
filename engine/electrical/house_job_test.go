package electrical

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

func groupNamed(t *testing.T, p Plan, name string) HouseGroup {
	t.Helper()
	for _, g := range p.HouseJob.Groups {
		if g.Name == name {
			return g
		}
	}
	t.Fatalf("no group %q", name)
	return HouseGroup{}
}

// The lumen method: 300 lx on 200 m² at UF 0.6 and MF 0.8 asks 125 000 lm (a
// textbook example of the method).
func TestAverageIlluminance(t *testing.T) {
	near(t, "lx", AverageIlluminance(125000, .6, .8, 200), 300, 1e-9)
	if v := AverageIlluminance(1000, .6, .8, 0); !math.IsNaN(v) {
		t.Errorf("%v lx on no area", v)
	}
}

func TestMeetingHouseTracing(t *testing.T) {
	in := meetingHouse(t)
	p, fs := Design(in)
	if len(p.HouseJob.Traces) != 6 {
		t.Fatalf("%d rows for six channels", len(p.HouseJob.Traces))
	}
	one(t, fs, "ELECTRICAL_HOUSE_UNTRACED", "channel D1")
	if len(find(fs, "ELECTRICAL_HOUSE_DECISION")) > 0 {
		t.Error("a look without a control is not leadership's to decide yet")
	}
	for i, ch := range []string{"D1", "D2", "D3", "D4", "D5", "D6"} {
		in.Survey.OldControls = append(in.Survey.OldControls, survey.OldControl{Name: "fader " + string(rune('1'+i)), Kind: "fader", Where: "gallery stair", Channel: ch,
			Panel: "HP", Breaker: "22", Decision: "keep", DecidedBy: "leadership"})
	}
	in.Survey.OldControls[3].Decision = ""
	p, fs = Design(in)
	if len(p.HouseJob.Traces) != 6 || len(find(fs, "ELECTRICAL_HOUSE_UNTRACED")) > 0 {
		t.Errorf("%+v", p.HouseJob.Traces)
	}
	f := one(t, fs, "ELECTRICAL_HOUSE_DECISION", "fader 4")
	if f.Owner != finding.Leadership || strings.Contains(f.Subject, "fader 1") {
		t.Errorf("%+v", f)
	}
	if tr := p.HouseJob.Traces[0]; len(tr.Lights) != 1 || tr.Lights[0] != "left cove" || len(tr.Missing) > 0 {
		t.Errorf("%+v", tr)
	}
	in.Survey.ExistingUnit = append(in.Survey.ExistingUnit, survey.ExistingLight{Name: "way-out sign", Kind: "exit", Count: 2, Watts: watts(5)})
	in.Survey.OldControls[0].Lights = []string{"left cove", "way-out sign"}
	_, fs = Design(in)
	if f := one(t, fs, "ELECTRICAL_EMERGENCY_ON_DIMMER", "way-out sign"); f.Severity != finding.Stop {
		t.Errorf("%+v", f)
	}
	in.Survey.OldControls[0].Lights = []string{"left cove"}
	if _, fs = Design(in); len(find(fs, "ELECTRICAL_EMERGENCY_ON_DIMMER")) > 0 {
		t.Error("an exit light on its own supply is taken for dimmed")
	}
}

func TestHouseGroupsAndDimmers(t *testing.T) {
	in := meetingHouse(t)
	in.Survey.ExistingUnit[0].Base, in.Survey.ExistingUnit[0].Clearance, in.Survey.ExistingUnit[0].ClearanceMarked = "E26", si.Known(2*si.Inch), si.Known(6*si.Inch)
	in.Survey.ExistingUnit[1].Clearance = si.Known(2 * si.Inch)
	in.Survey.Dimmers[0].Kind = "forward_phase"
	in.Survey.Dimmers[1].Rating = watts(600)
	p, fs := Design(in)
	g := groupNamed(t, p, "left cove")
	if !strings.Contains(g.Proposed, "24 × T-LMP") || !strings.Contains(g.Proposed, "E26") || g.Keeps == "" || g.BeforeLm != 900 || g.AfterLm != 806 {
		t.Errorf("%+v", g)
	}
	f := one(t, fs, "ELECTRICAL_CLEARANCE", "left cove")
	if f.Severity != finding.Stop || math.Abs(f.Limit-.1524) > 1e-9 {
		t.Errorf("%+v", f)
	}
	if len(find(fs, "ELECTRICAL_CLEARANCE")) != 1 || !asked(p, "label of right cove") {
		t.Error("what is not marked is a question, not a stop")
	}
	one(t, fs, "ELECTRICAL_DIMMER_EDGE", "D1")
	led := one(t, fs, "ELECTRICAL_DIMMER_LED_CAPACITY", "D2")
	if led.Value != 204 || led.Limit != 150 {
		t.Errorf("204 W on a 600 W dimmer: %v of %v", led.Value, led.Limit)
	}
	if g := groupNamed(t, p, "organ floods"); g.Fate != "remove" || g.AfterW != 0 || !math.IsNaN(g.AfterLm) {
		t.Errorf("%+v", g)
	}
	in.Survey.ExistingUnit[2].LampCode = ""
	if p, _ = Design(in); !strings.Contains(groupNamed(t, p, "rear cove").Proposed, "at least 900 lm") {
		t.Error(groupNamed(t, p, "rear cove").Proposed)
	}
}

// 5520 W of house lights become 748 W: 4772 W · 8 h · 52 = 1985.2 kWh a year; 88
// lamps of 1000 h burn 416 h a year.
func TestHouseSaving(t *testing.T) {
	in := meetingHouse(t)
	p, _ := Design(in)
	if s := p.HouseJob.Saving; !math.IsNaN(s.EnergyKWh) || s.Text == "" {
		t.Errorf("saved without hours: %+v", s)
	}
	in.Brief.Money = brief.Money{Currency: "XTS", EnergyMinorPerKWh: 18, HoursPerWeek: 8, DiscountPct: 3, EnergyRisePct: 2}
	in.Brief.House.LampMinor = 200
	p, _ = Design(in)
	j := p.HouseJob
	near(t, "before", j.Saving.BeforeW, 5520, 1e-9)
	near(t, "after", j.Saving.AfterW, 748, 1e-9)
	near(t, "kWh", j.Saving.EnergyKWh, 1985.152, 1e-6)
	near(t, "money", j.Saving.EnergyMinor, 1985.152*18, 1e-6)
	near(t, "lamps", j.Saving.Lamps, 88*.416, 1e-9)
	paid := j.PaidBy(441700).Saving
	yearly := 1985.152*18 + 88*.416*200
	near(t, "simple", paid.SimpleYears, 441700/yearly, 1e-9)
	near(t, "15 years", paid.Net15Minor, 1985.152*18*UniformValue(.03, .02, 15, EndOfYear)+88*.416*200*UniformValue(.03, 0, 15, EndOfYear)-441700, 1e-6)
	if !(paid.DiscountedYears > paid.SimpleYears-1) || math.IsNaN(paid.DiscountedYears) {
		t.Errorf("%+v", paid)
	}
	if fs := j.PaidBy(4417000).PaybackFinding(in.Book, "XTS"); len(fs) != 1 || !(fs[0].Value > 10) {
		t.Errorf("%+v", fs)
	}
	if fs := j.PaidBy(1000).PaybackFinding(in.Book, "XTS"); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
	if s := j.PaidBy(math.NaN()).Saving; !math.IsNaN(s.SimpleYears) {
		t.Errorf("%+v", s)
	}
	if s := j.PaidBy(1e15).Saving; !math.IsNaN(s.DiscountedYears) {
		t.Errorf("never is %v", s.DiscountedYears)
	}
}

func TestHouseLight(t *testing.T) {
	in := meetingHouse(t)
	in.Brief.House.TargetLx = si.Known(si.Illuminance(200))
	p, fs := Design(in)
	area := 46 * 58 * ft * ft
	reading := p.HouseJob.Light[0]
	near(t, "area", reading.AreaM2, area, 1e-6)
	near(t, "before", reading.BeforeLx, (82*900+6*1500)*.4*.8/area, 1e-6)
	near(t, "after", reading.AfterLx, 88*806*.4*.8/area, 1e-6)
	f := one(t, fs, "ELECTRICAL_HOUSE_LIGHT_LOW", "seats")
	if f.Limit != 200 {
		t.Errorf("%+v", f)
	}
	near(t, "one foot-candle", p.HouseJob.Light[1].TargetLx, 10.764, 1e-3)
	in.Catalogue = set{"T-FRE": fixtures["T-FRE"], "T-BCK": fixtures["T-BCK"], "T-LMP": {Code: "T-LMP", Class: catalogue.Lamp, Power: 8.5, PF: .6}}
	if p, fs = Design(in); !math.IsNaN(p.HouseJob.Light[0].AfterLx) || len(find(fs, "ELECTRICAL_HOUSE_LIGHT_LOW")) > 0 {
		t.Error("a lamp of unknown flux gives a figure")
	}
}

func TestHouseControl(t *testing.T) {
	in := meetingHouse(t)
	in.Brief.House = brief.House{DimBy: "dmx", ControlPlace: "desk in the rear gallery", WallPanels: 2}
	in.Survey.OldControls = []survey.OldControl{{Name: "row of faders", Where: "gallery stair"}}
	in.Survey.ExistingUnit = append(in.Survey.ExistingUnit, survey.ExistingLight{Name: "battery lights", Kind: "emergency", Count: 4, Watts: watts(3)})
	p, _ := Design(in)
	c := p.HouseJob.Control
	if c.Circuits != 5 || c.Slots != 5 || c.WallPanels != 2 || c.From != "gallery stair" || len(c.Emergency) != 1 {
		t.Errorf("%+v", c)
	}
	for _, want := range []string{"DMX512", "desk in the rear gallery, today from gallery stair", "2 wall panel", "battery lights"} {
		if !strings.Contains(c.Text, want) {
			t.Errorf("%q is not in %q", want, c.Text)
		}
	}
	if asked(p, "From where are the house lights") || asked(p, "Which lights are emergency") {
		t.Error("what was said is asked again")
	}
}

// A church with nothing to convert has no house job and no questions of it.
func TestNoHouseJob(t *testing.T) {
	p, fs := Design(row(t, "metric", 4, "a"))
	if len(p.HouseJob.Traces)+len(p.HouseJob.Groups) > 0 || len(find(fs, "ELECTRICAL_HOUSE_UNTRACED")) > 0 {
		t.Errorf("%+v", p.HouseJob)
	}
}

// Half a survey: the units and nothing of the supply. Every circuit still has a
// size to price, and what is assumed is among the numbered questions.
func TestHalfASurveyCanBePriced(t *testing.T) {
	for _, id := range []string{"us", "metric"} {
		in := row(t, id, 9, "a", "b")
		in.Survey = survey.Survey{}
		p, fs := Design(in)
		if len(p.Circuits) < 2 {
			t.Fatalf("%s: %d circuits", id, len(p.Circuits))
		}
		for _, c := range p.Circuits {
			if c.BreakerA == 0 || c.Conductor == "" || c.Ground == "" || c.Connector == "" || c.LengthM == 0 && c.Raceway == "" && c.Cable == "" || c.Approved != "" || c.Installed != "" {
				t.Errorf("%s: %+v", id, c)
			}
		}
		for _, part := range []string{"What is the supply", "earthing", "fault current", "Where is the panel", "carry today", "rating of the main"} {
			if !asked(p, part) {
				t.Errorf("%s: nobody asks of %q", id, part)
			}
		}
		seen := map[string]bool{}
		for i, q := range p.Questions {
			if q.No != i+1 || q.Why == "" || q.Key == "" || seen[q.Key] {
				t.Errorf("%s: question %+v", id, q)
			}
			seen[q.Key] = true
		}
		one(t, fs, "ELECTRICAL_SUPPLY_UNKNOWN", "supply")
	}
}

// Every system with every earthing: a circuit hangs where the system has a place
// for it, at that place's voltage, with poles to match.
func TestEverySystemAndEarthing(t *testing.T) {
	for _, sys := range []string{"single_phase_2w", "single_phase_3w", "three_phase_4w", "three_phase_3w"} {
		for _, earth := range []string{"tn_s", "tn_c_s", "tt", "it", "men", ""} {
			for _, v := range []float64{100, 120, 127, 230, 240, 277} {
				in := row(t, "metric", 7, "a", "b")
				in.Survey.Supply = survey.Supply{System: sys, Earthing: earth, Voltage: volts(v), Frequency: 50, Main: amps(50), LoopOhm: .4}
				p, fs := Design(in)
				for _, c := range p.Circuits {
					poles := 1
					want := v
					if sys == "three_phase_3w" {
						poles = 2
					}
					if c.VoltageV != want || c.BreakerPoles != poles || !(c.CurrentA > 0) || c.Leg == "" || c.DropPct > 3 {
						t.Errorf("%s %s %v V: %+v", sys, earth, v, c)
					}
					if known := earth != "" && earth != "it" && earth != "tt"; known != !math.IsNaN(c.LoopLimitOhm) {
						t.Errorf("%s %s: loop limit %v", sys, earth, c.LoopLimitOhm)
					}
				}
				for _, f := range fs {
					in.Book.Render(f, si.Metric)
				}
				if neutral := len(p.Neutral) > 0; neutral != (sys != "three_phase_3w") {
					t.Errorf("%s: neutral %v", sys, p.Neutral)
				}
			}
		}
	}
}
