package hanging

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// lineWith is one line from x 0 to its length, m, with a unit of unitKg, clamp and
// suspension included, at each place along it.
func lineWith(sv survey.HangingLine, length, unitKg float64, along ...float64) Input {
	p, _ := region.Get("metric")
	heavy := catalogue.Fixture{Code: "T-HVY", Mass: si.Mass(unitKg - catalogue.ClampKg - catalogue.SafetyKg)}
	in := Input{Catalogue: set{"T-HVY": heavy}, Profile: p, Book: finding.NewBook()}
	in.Room.Lines = []room.Line{{Name: "B", Kind: sv.Kind, From: geom.Vec{Z: 5}, To: geom.Vec{X: length, Z: 5}, Survey: sv}}
	for i, x := range along {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: string(rune('a' + i)), Fixture: "T-HVY", Line: "B"}, At: geom.Vec{X: x, Z: 4.7}})
	}
	return in
}

// papered is a documented line of a kind that takes no pipe, so that the units are all
// that is added.
func papered(kind, material, grade string, bearings ...float64) survey.HangingLine {
	sv := survey.HangingLine{Kind: kind, Material: material, Grade: grade, Condition: "sound", Documents: "engineer's letter",
		Carries: kilograms(0), Allowed: kilograms(5000), Permission: "yes"}
	for _, b := range bearings {
		sv.Bearings = append(sv.Bearings, si.Known(si.Length(b)))
	}
	return sv
}

func sized(sv survey.HangingLine, width, depth float64) survey.HangingLine {
	sv.Width, sv.Depth = si.Known(si.Length(width)), si.Known(si.Length(depth))
	return sv
}

func has(fs []finding.Finding, code string) bool {
	for _, f := range fs {
		if f.Code == code {
			return true
		}
	}
	return false
}

func reasoned(l Line, part string) bool { return strings.Contains(strings.Join(l.Reasons, "; "), part) }

// exactShare is the rounding of a few products and sums.
const exactShare = 1e-9

// 400 kg beside a support of a 50 × 100 mm rail of C24: 1.5·V/A with γG 1.35 against
// 0.6·2.5/1.3 MPa (EN 1995-1-1 6.1.7, EN 338:2003). Where the rail may be jointed
// over a middle support the end takes P·(1 − a/L) of its own span, which is more than
// of one that runs through.
func TestShearStopsBesideASupport(t *testing.T) {
	const kg, a, span = 400.0, .02, 3.0
	sv := sized(papered("rail", "timber_solid", "C24", 0, span, 2*span), .05, .1)
	p, fs := Check(lineWith(sv, 2*span, kg, a))
	l, value := p.Lines[0], .6*2.5/1.3
	v := kg * si.StandardGravity * (1 - a/span)
	if !(v > l.MaxShearN) {
		t.Errorf("jointed %v N, running through %v N", v, l.MaxShearN)
	}
	stress := 1.35 * 1.5 * v / (.05 * .1) / 1e6
	near(t, "share of the shear value", l.ShearSharePct, 100*stress/value, exactShare*100)
	f := one(t, fs, "HANGING_SHEAR", "B")
	near(t, "stress", f.Value, stress, exactShare)
	near(t, "limit", f.Limit, value, exactShare)
	if f.Severity != finding.Stop || f.Owner != finding.Engineer || l.Screening != NotWithout || !reasoned(l, "shear value") {
		t.Errorf("%+v: %s, %v", f, l.Screening, l.Reasons)
	}
	if _, fs := Check(lineWith(sv, 2*span, kg/2, a)); has(fs, "HANGING_SHEAR") {
		t.Error("half of it is stopped too")
	}
}

// A point load in the middle of the first of two spans: jointed P·L/4, running through
// 13/64·P·L (AWC Design Aid No. 6, two equal spans). The stress is that of the larger.
// Running through it lifts the far support, 3/32·P, which is asked and no stop.
func TestJointedOrRunningThrough(t *testing.T) {
	const kg, span = 60.0, 3.0
	p, fs := Check(lineWith(sized(papered("rail", "timber_solid", "C24", 0, span, 2*span), .1, .2), 2*span, kg, span/2))
	l, n := p.Lines[0], kg*si.StandardGravity
	near(t, "running through", l.MaxMomentNM, n*span*13/64, exactShare*n)
	near(t, "jointed", l.AloneMomentNM, n*span/4, exactShare*n)
	near(t, "stress", l.StressMPa, n*span/4/(.1*.2*.2/6)/1e6, exactShare)
	near(t, "share", l.SharePct, 100*1.35*l.StressMPa/l.ReferenceMPa, exactShare*100)
	near(t, "far support", l.ReactionsN[2], -n*3/32, exactShare*n)
	if has(fs, "HANGING_UPLIFT") || !reasoned(l, "lifts a support") {
		t.Errorf("uplift %v, %v", has(fs, "HANGING_UPLIFT"), l.Reasons)
	}
	asked := false
	for _, q := range p.Questions {
		asked = asked || strings.Contains(q.Text, "What holds B down")
	}
	if !asked {
		t.Error("nobody is asked what holds it down")
	}
}

// A tube of 48.3 × 4.0 mm, EI 28 912 N·m², 4 m between supports and 1 m beyond:
// the tip sinks P·a²·(L+a)/3EI (AWC Design Aid No. 6) against twice its length over
// 240. In C24 the deflection that stays is (1 + kdef) = 1.8 times the first.
func TestDeflectionOfOverhangsAndInTime(t *testing.T) {
	bar := papered("pipe", "steel", "S235", 0, 4)
	bar.Section = "tube 48.3x4.0"
	for kg, bad := range map[float64]bool{10.2: false, 20: true} {
		p, fs := Check(lineWith(bar, 5, kg, 5))
		tip := kg * si.StandardGravity * 5 / (3 * tubeEI)
		near(t, "tip", p.Lines[0].MaxDeflectionM, tip, printedM)
		if tip < 1.0/deflectionRatio {
			t.Fatalf("%v kg does not pass the overhang's single length", kg)
		}
		if has(fs, "HANGING_DEFLECTION") != bad {
			t.Errorf("%v kg, tip %v m: finding %v", kg, tip, !bad)
		}
		if bad {
			near(t, "limit", one(t, fs, "HANGING_DEFLECTION", "B").Limit, 2.0/deflectionRatio, exactShare)
		}
	}
	const kg, span = 300.0, 6.0
	p, fs := Check(lineWith(sized(papered("rail", "timber_solid", "C24"), .1, .2), span, kg, span/2))
	first := kg * si.StandardGravity * span * span * span / (48 * 11e9 * (.1 * .2 * .2 * .2 / 12))
	near(t, "first", p.Lines[0].MaxDeflectionM, first, printedM)
	near(t, "in time", p.Lines[0].LongTermM, 1.8*first, printedM)
	if first > span/deflectionRatio {
		t.Fatal("it passes the limit at once")
	}
	near(t, "held against its limit", one(t, fs, "HANGING_DEFLECTION", "B").Value, 1.8*first, printedM)
}

// What hangs on a bar already counts in the middle where nobody gave its place: a tube
// of 4.37 kg/m over 4 m with 40 kg, w·L²/8 + P·L/4, beside the added load. On a beam of
// the building what it bears is not known, so no share is given.
func TestEverythingOnABar(t *testing.T) {
	bar := papered("pipe", "steel", "S235")
	bar.Section, bar.Carries = "tube 48.3x4.0", kilograms(40)
	p, fs := Check(lineWith(bar, 4, 20, 2))
	l, g := p.Lines[0], si.StandardGravity
	want := 4.37*g*4*4/8 + (40+20)*g*4/4
	near(t, "moment of all", l.TotalMomentNM, want, printedNM)
	near(t, "share of all", l.TotalSharePct, 100*want/5.7007e-6/1e6/(235/1.65), .01) // S is printed to a thousandth of a cm³
	if has(fs, "HANGING_STRESS") {
		t.Error("60 kg are stopped")
	}
	bar.Carries = kilograms(70)
	_, fs = Check(lineWith(bar, 4, 20, 2))
	if f := one(t, fs, "HANGING_STRESS", "B"); f.Severity != finding.Stop || !(f.Value > f.Limit) {
		t.Errorf("%+v", f)
	}
	if p, _ := Check(lineWith(sized(papered("rail", "timber_solid", "C24"), .1, .2), 4, 20, 2)); !math.IsNaN(p.Lines[0].TotalSharePct) {
		t.Errorf("a beam's share of all is %v", p.Lines[0].TotalSharePct)
	}
}

// Of two statements of what hangs there already the larger counts.
func TestWhatHangsThereAlready(t *testing.T) {
	thing := func(kg si.Typed[si.Mass]) []survey.HungThing { return []survey.HungThing{{Mass: kg}} }
	nan := math.NaN()
	for _, c := range []struct {
		stated si.Typed[si.Mass]
		listed []survey.HungThing
		want   float64
	}{
		{kilograms(50), thing(kilograms(80)), 80}, {kilograms(100), thing(kilograms(80)), 100}, {si.Typed[si.Mass]{}, thing(kilograms(80)), 80},
		{kilograms(30), thing(si.Typed[si.Mass]{}), 30}, {kilograms(0), nil, 0}, {si.Typed[si.Mass]{}, thing(si.Typed[si.Mass]{}), nan}, {si.Typed[si.Mass]{}, nil, nan},
	} {
		if got := existing(survey.HangingLine{Carries: c.stated, Hung: c.listed}); got != c.want && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("stated %v, listed %v: %v kg, want %v", c.stated, c.listed, got, c.want)
		}
	}
}

// What no figure clears sends a line to the engineer: a slender timber and a rolled
// section may turn sideways (NDS 2018 4.4.1: depth over width above 2), a protected
// building has its own say.
func TestReasonsThatNoFigureClears(t *testing.T) {
	steel := papered("rail", "steel", "")
	steel.Section = "W6x9"
	for _, c := range []struct {
		what      string
		sv        survey.HangingLine
		protected string
		want      string // empty: none
	}{
		{"as deep as two widths", sized(papered("rail", "timber_solid", "C24"), .1, .2), "", ""},
		{"deeper", sized(papered("rail", "timber_solid", "C24"), .1, .205), "", "twice as deep as wide"},
		{"rolled", steel, "", "clamps bend the flange"},
		{"listed", sized(papered("rail", "timber_solid", "C24"), .1, .2), "listed", "the building is listed"},
	} {
		in := lineWith(c.sv, 6, 10, 3)
		in.Survey.Site.Protected = c.protected
		p, fs := Check(in)
		l := p.Lines[0]
		if c.want == "" && l.Screening != Screened || c.want != "" && (l.Screening != NotWithout || !reasoned(l, c.want)) {
			t.Errorf("%s: %s, %v", c.what, l.Screening, l.Reasons)
		}
		if f := one(t, fs, "HANGING_TO_APPROVE", "B"); f.Severity != finding.Stop {
			t.Errorf("%s: %+v", c.what, f)
		}
	}
}

// A load just past the first hanger: jointed it takes 1 − a/L of it, running through
// less.
func TestHangerBesideALoad(t *testing.T) {
	const a, kg = .1, 50.0
	l := Line{PipeTo: 2*pipeOverhang + 2*hangerSpacing, Loads: []PointLoad{{"a", pipeOverhang + a, kg}}}
	near(t, "hanger", pipeHangers(&l, "us").LoadN, kg*si.StandardGravity*(1-a/hangerSpacing), exactShare*kg)
}

// Of the published moment of a tube and that of its grade the lower stands; a wet
// factor goes by Fb·CF, not by Fb (NDS 2018 Supplement Table 4A).
func TestStricterOfTwoValues(t *testing.T) {
	s, _ := SectionNamed("tube 48.3x4.0")
	s.MomentNM = 500
	near(t, "published", strengthOf(t, "steel", "S235", s, 2, false).BendingMPa, 500/s.S/1e6, exactShare)
	narrow, _ := SectionNamed("2x6")
	near(t, "wet 2x6", strengthOf(t, "timber_solid", "DF-L No.2", narrow, 4, true).BendingMPa/psi, 900*.9*1.3*.85, printedPsi)
}

// A platform that two people, their tools and the heaviest unit overload, a floor that
// a machine presses harder than such floors are designed for, and a tower over a
// gallery. EN 280: 80 kg a person, 40 kg of tools; ASCE 7-22 Table 4.3-1: 60 psf with
// fixed seats, 100 psf with movable ones.
func TestMachinesAgainstPeopleAndFloors(t *testing.T) {
	in := meetingHouse()
	_, fs := Check(in)
	if f := one(t, fs, "LIFT_TOWER_GALLERY", "left gallery"); f.Severity != finding.Stop || f.Owner != finding.Engineer {
		t.Errorf("%+v", f)
	}
	if has(fs, "LIFT_PLATFORM_LOAD") {
		t.Error("227 kg are too little for 207.4 kg")
	}
	near(t, "fixed seats kPa", one(t, fs, "LIFT_PRESSURE", "lift A").Limit, 60*4.448222/.09290304/1000, 1e-6)
	near(t, "lift A kPa", one(t, fs, "LIFT_PRESSURE", "lift A").Value, 2800*4.448222/(30*74*.00064516)/1000, 1e-5)
	for _, g := range []string{"left gallery", "right gallery"} {
		one(t, fs, "LIFT_TOWER_GALLERY", g)
	}
	in.Brief.Lifts[0].Capacity = kilograms(200)
	in.Survey.Seating[0].Fixed = "loose"
	p, fs := Check(in)
	f := one(t, fs, "LIFT_PLATFORM_LOAD", "lift A")
	near(t, "platform kg", f.Value, 200, exactShare)
	if f.Severity != finding.Stop || f.Owner != finding.Rigger {
		t.Errorf("%+v", f)
	}
	near(t, "needed kg", f.Limit, 2*80+40+7.4, exactShare)
	near(t, "movable seats kPa", one(t, fs, "LIFT_PRESSURE", "lift A").Limit, 100*4.448222/.09290304/1000, 1e-6)
	asked := 0
	for _, q := range p.Questions {
		if strings.Contains(q.Text, "tower with two people stand on") {
			asked++
		}
	}
	if asked != 2 {
		t.Errorf("asked about %d galleries", asked)
	}
	in.Survey.Floor.Kind = "slab_on_ground"
	if _, fs := Check(in); has(fs, "LIFT_PRESSURE") {
		t.Error("a slab on the ground is held to a live load")
	}
}

// A straight aisle asks for the machine's width and 0.2 m.
func TestStraightAisle(t *testing.T) {
	for have, fits := range map[float64]bool{30 + .2/inch: true, 36: false} {
		in := meetingHouse()
		in.Brief.Lifts = in.Brief.Lifts[:1]
		in.Survey.Seating[0].AisleRadius, in.Survey.Seating[0].Aisle = survey.L{}, inches(have)
		p, fs := Check(in)
		for _, l := range p.Lifts {
			if l.Route == "aisle of benches" {
				near(t, "needed", l.NeedWidthM, 30*inch+.2, exactShare)
				if l.Fits != fits {
					t.Errorf("%v in: fits %v", have, l.Fits)
				}
			}
		}
		if has(fs, "LIFT_AISLE") == fits {
			t.Errorf("%v in: finding %v", have, !fits)
		}
	}
}

// The upper hours take the factors of height and of a room that stands: 1.15 from 10
// ft, 1.25 from 15 ft, and 1.5.
func TestUpperHoursOfAJob(t *testing.T) {
	p, _ := Check(meetingHouse())
	seen := false
	for _, j := range p.Jobs {
		if j.Line == "W1" && j.By == "lift A" {
			seen = true
			near(t, "at 14 ft 8 in", j.HoursHigh, j.Hours*1.15*1.5, exactShare)
		}
	}
	if !seen {
		t.Error("no job of lift A on W1")
	}
	for ft, want := range map[float64]float64{9.9: 1, 10: 1.15, 14.9: 1.15, 15: 1.25} {
		near(t, "factor", heightFactor(ft*.3048+1e-12), want, 0)
	}
}

// A machine that only lacks a size is not known to pass and not known to be kept out.
func TestUnmeasuredWays(t *testing.T) {
	way := func(edit func(*Input)) LiftCheck {
		in := meetingHouse()
		in.Brief.Lifts, in.Survey.Routes, in.Survey.Seating = in.Brief.Lifts[:1], in.Survey.Routes[1:], nil
		edit(&in)
		p, _ := Check(in)
		return p.Lifts[0]
	}
	none := func(l *survey.L) { *l = survey.L{} }
	for _, c := range []struct {
		what            string
		edit            func(*Input)
		fits, unsettled bool
	}{
		{"all known", func(*Input) {}, true, false},
		{"door not measured", func(in *Input) { none(&in.Survey.Routes[0].DoorWidth) }, false, true},
		{"machine's height unknown", func(in *Input) { none(&in.Brief.Lifts[0].StowedHeight) }, false, true},
		{"too narrow", func(in *Input) { in.Survey.Routes[0].DoorWidth = inches(20) }, false, false},
		{"too narrow and not measured", func(in *Input) {
			in.Survey.Routes[0].DoorWidth = inches(20)
			none(&in.Survey.Routes[0].DoorHeight)
		}, false, false},
	} {
		if l := way(c.edit); l.Fits != c.fits || l.Unmeasured() != c.unsettled {
			t.Errorf("%s: fits %v, unmeasured %v: %s", c.what, l.Fits, l.Unmeasured(), l.Why)
		}
	}
}
