package hanging

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

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

type set map[string]catalogue.Fixture

func (s set) Get(code string) (catalogue.Fixture, bool) { f, ok := s[code]; return f, ok }

var fixtures = set{"T-FRE": {Code: "T-FRE", Mass: 7.4}, "T-BCK": {Code: "T-BCK", Mass: 3.9}, "T-LMP": {Code: "T-LMP", Class: catalogue.Lamp}}

const inch = 0.0254

func inches(v float64) survey.L             { return si.Known(si.Length(v * inch)) }
func feet(v float64) survey.L               { return si.Known(si.Length(v * 0.3048)) }
func pounds(v float64) si.Typed[si.Mass]    { return si.Known(si.Mass(v) * si.Pound) }
func kilograms(v float64) si.Typed[si.Mass] { return si.Known(si.Mass(v)) }
func atFeet(x, y, z float64) geom.Vec       { return geom.Vec{X: x, Y: y, Z: z}.Scale(0.3048) }
func placeFeet(x, y float64) survey.Place   { return survey.Place{X: feet(x), Y: feet(y)} }

// Tolerances the invented room states: lengths 2 %, masses printed to 0.1 kg.
const (
	lengthShare = 0.02
	printedKg   = 0.051
)

// meetingHouse is a brick room with side galleries: two timber beams, two
// piers, an iron rod, two machines on offer.
func meetingHouse() Input {
	p, _ := region.Get("us")
	in := Input{Catalogue: fixtures, Profile: p, Book: finding.NewBook()}
	line := func(name, kind, material string, x0, x1, y, z, drop float64) {
		in.Room.Lines = append(in.Room.Lines, room.Line{Name: name, Kind: kind, From: atFeet(x0, -y, z), To: atFeet(x1, -y, z),
			Drop: si.Length(drop * 0.3048), Survey: survey.HangingLine{Name: name, Kind: kind, Material: material}})
	}
	line("W1", "beam", "timber_solid", -23, 23, 10, 19.667, 1.167)
	line("W2", "beam", "timber_solid", -23, 23, -9.5, 19.667, 1.167)
	line("left pier", "pier", "masonry", -23, -23, 4, 17, 0)
	line("right pier", "pier", "masonry", 23, 23, 4, 17, 0)
	line("rod near", "tension_rod", "steel", -23, 23, 7, 18, 1)
	unit := func(id, fx, line string, x, y, z float64) {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: id, Fixture: fx, Line: line}, At: atFeet(x, -y, z)})
	}
	for i, x := range []float64{-4, 12, -8, 8, -6, 0, 5, -18, -13, 18} {
		unit([]string{"R1", "R2", "T1", "T2", "C1", "C2", "C3", "C4", "C5", "P1"}[i], "T-FRE", "W1", x, 10, 18.5)
	}
	unit("G1", "T-FRE", "left pier", -21.5, 4, 17)
	unit("G2", "T-FRE", "right pier", 21.5, 4, 17)
	unit("K1", "T-BCK", "W2", 4, -9.5, 18.5)
	unit("K2", "T-BCK", "W2", 0, -9.5, 18.5)
	unit("K3", "T-BCK", "W2", 9, -9.5, 18.5)
	in.Scheme.Pipes = []scheme.Pipe{{Line: "W1", Length: feet(38)}, {Line: "W2", Length: feet(13)}}
	in.Room.Platform = room.Platform{Height: si.Length(1.333 * 0.3048), Outline: geom.Polygon{atFeet(-18, 0, 1.333), atFeet(18, 0, 1.333), atFeet(18, 10, 1.333), atFeet(-18, 10, 1.333)}}
	g := func(name string, x0, x1 float64) {
		in.Survey.Galleries = append(in.Survey.Galleries, survey.Gallery{Name: name, Floor: feet(9.667),
			Outline: []survey.Place{placeFeet(x0, -3), placeFeet(x1, -3), placeFeet(x1, -44.5), placeFeet(x0, -44.5)}})
	}
	g("left gallery", -23, -15)
	g("right gallery", 15, 23)
	in.Survey.Seating = []survey.Seating{{Name: "benches", Width: feet(30), CentreX: feet(0), FirstY: feet(-9), LastY: feet(-(40 + 2.0/12)), Rows: 12, Fixed: "screwed", Aisle: inches(44), AisleRadius: feet(14)}}
	in.Survey.Routes = []survey.AccessRoute{
		{Name: "main entrance", DoorWidth: inches(60), DoorHeight: inches(96), StepRise: inches(8), Steps: 2, Landing: inches(54), Passage: inches(42)},
		{Name: "north side door", DoorWidth: inches(38), DoorHeight: inches(82), StepRise: inches(7), Steps: 1}}
	in.Survey.Floor = survey.Floor{Kind: "over_cellar"}
	in.Brief.Lifts = []brief.Lift{
		{Name: "A", Width: inches(30), Length: inches(74), StowedHeight: inches(78), PlatformHeight: feet(15), Mass: pounds(2300), Capacity: pounds(500)},
		{Name: "B", Width: inches(32), Length: inches(96), StowedHeight: inches(80), PlatformHeight: feet(20), Mass: pounds(3150), Capacity: pounds(500)}}
	return in
}

func lineNamed(t *testing.T, p Plan, name string) Line {
	t.Helper()
	for _, l := range p.Lines {
		if l.Name == name {
			return l
		}
	}
	t.Fatalf("no line %q", name)
	return Line{}
}

func one(t *testing.T, fs []finding.Finding, code, subject string) finding.Finding {
	t.Helper()
	for _, f := range fs {
		if f.Code == code && strings.Contains(f.Subject, subject) {
			return f
		}
	}
	t.Errorf("no %s about %q", code, subject)
	return finding.Finding{}
}

func TestMeetingHouseWeights(t *testing.T) {
	p, fs := Check(meetingHouse())
	for _, want := range []struct {
		name                           string
		units, pipe, cable, other, sum float64
	}{{"W1", 82.0, 46.9, 12.9, 0, 141.8}, {"W2", 14.1, 16.0, 4.4, 0, 34.6}, {"left pier", 8.2, 0, 0, 6, 14.2}, {"right pier", 8.2, 0, 0, 6, 14.2}} {
		l := lineNamed(t, p, want.name)
		near(t, want.name+" units", l.UnitsKg, want.units, printedKg)
		near(t, want.name+" pipe", l.PipeKg, want.pipe, printedKg)
		near(t, want.name+" cable", l.CableKg, want.cable, printedKg)
		near(t, want.name+" arms", l.OtherKg, want.other, printedKg)
		near(t, want.name+" added", l.AddedKg, want.sum, printedKg)
		if l.Screening != NotWithout {
			t.Errorf("%s: %q", l.Name, l.Screening)
		}
		sum := 0.0
		for _, r := range l.ReactionsN {
			sum += r
		}
		near(t, want.name+" reactions", sum, l.AddedKg*si.StandardGravity, 1e-6)
		if !math.IsNaN(l.MaxDeflectionM) || !math.IsNaN(l.StressMPa) {
			t.Errorf("%s: numbers without grade", l.Name)
		}
	}
	near(t, "W1 lb", si.Mass(lineNamed(t, p, "W1").AddedKg).Pounds(), 313, .6)
	near(t, "W2 lb", si.Mass(lineNamed(t, p, "W2").AddedKg).Pounds(), 76, .6)
	one(t, fs, "HANGING_HEAVY", "W1")
	for _, n := range []string{"W1", "W2"} {
		if f := one(t, fs, "HANGING_UNKNOWN_CAPACITY", n); f.Severity != finding.Stop || f.Owner != finding.Engineer {
			t.Errorf("%v %v", f.Severity, f.Owner)
		}
	}
	for _, n := range []string{"left pier", "right pier"} {
		near(t, n, one(t, fs, "HANGING_ANCHOR_TEST", n).Value, 14.2, printedKg)
	}
	one(t, fs, "HANGING_NEVER", "rod near")
}

func TestRodsNeverCarry(t *testing.T) {
	in := meetingHouse()
	in.Placed[0].Line = "rod near"
	in.Room.Lines[4].Survey.Allowed = kilograms(500)
	in.Room.Lines[4].Survey.Documents = "a note that calls them strong"
	p, fs := Check(in)
	if f := one(t, fs, "HANGING_FORBIDDEN", "rod near"); f.Severity != finding.Stop {
		t.Error("no stop")
	}
	if l := lineNamed(t, p, "rod near"); l.Screening != NotWithout {
		t.Errorf("%q", l.Screening)
	}
}

func TestTheCorner(t *testing.T) {
	for _, tc := range []struct{ w, want float64 }{{30, 74.9}, {33, 68.7}, {32, 70.8}} {
		near(t, "longest", LongestThatTurns(tc.w*inch, 54*inch, 42*inch)/inch, tc.want, .051)
	}
	// A ladder without thickness has the closed form (a^⅔ + b^⅔)^1.5.
	near(t, "ladder", LongestThatTurns(0, 1.2, 1.9), math.Pow(math.Pow(1.2, 2./3)+math.Pow(1.9, 2./3), 1.5), 1e-9)
	// Equal corridors turn at 45°: 2·√2·a − 2·w.
	near(t, "equal", LongestThatTurns(.5, 1, 1), 2*math.Sqrt2-1, 1e-9)
	for _, bad := range [][3]float64{{1, 1, 2}, {2, 1, 3}, {-1, 1, 1}, {1, 0, 1}, {1, math.NaN(), 1}, {.5, math.Inf(1), 1}} {
		if l := LongestThatTurns(bad[0], bad[1], bad[2]); l != 0 {
			t.Errorf("LongestThatTurns%v = %v", bad, l)
		}
	}
	near(t, "A sweeps", SweptWidth(30, 74, 168), 33.4, .051)
	near(t, "B sweeps", SweptWidth(32, 96, 168), 37.7, .051)
}

func TestMeetingHouseWaysIn(t *testing.T) {
	p, fs := Check(meetingHouse())
	check := map[string]LiftCheck{}
	for _, l := range p.Lifts {
		check[l.Lift+"/"+l.Route] = l
	}
	for name, fits := range map[string]bool{"A/main entrance": false, "B/main entrance": false, "A/north side door": true, "B/north side door": true,
		"A/aisle of benches": true, "B/aisle of benches": true} {
		if l, ok := check[name]; !ok || l.Fits != fits {
			t.Errorf("%s: %+v", name, l)
		}
	}
	near(t, "A turns", check["A/main entrance"].LongestM/inch, 68.7, lengthShare*68.7)
	near(t, "A turns without clearance", check["A/main entrance"].LongestBareM/inch, 74.9, .051)
	near(t, "B turns without clearance", check["B/main entrance"].LongestBareM/inch, 70.8, .051)
	near(t, "main ramp ft", check["A/main entrance"].RampM/.3048, 16, 1e-9)
	near(t, "side ramp ft", check["A/north side door"].RampM/.3048, 7, 1e-9)
	near(t, "A swept", check["A/aisle of benches"].SweptM/inch, 33.4, .051)
	near(t, "A lb", si.Mass(check["A/north side door"].MassKg).Pounds(), 2800, 1e-6)
	near(t, "B lb", si.Mass(check["B/north side door"].MassKg).Pounds(), 3650, 1e-6)
	near(t, "turn limit in", one(t, fs, "LIFT_TURN", "lift A").Limit/inch, 74, 1e-9)
	one(t, fs, "LIFT_TURN", "lift B")
	if f := one(t, fs, "LIFT_FLOOR", "lift A"); f.Owner != finding.Engineer || f.Severity != finding.Stop {
		t.Errorf("%v", f)
	}
}

func TestMeetingHouseReach(t *testing.T) {
	p, fs := Check(meetingHouse())
	by := map[string]ReachCheck{}
	for _, r := range p.Places {
		by[r.Unit] = r
	}
	near(t, "R1 platform ft", by["R1"].NeedPlatformM/.3048, 14.667, .002)
	for unit, want := range map[string]string{"R1": "lift A", "C1": "lift A", "C4": "tower", "P1": "tower", "K1": "tower", "K2": "tower", "K3": "tower", "G1": "low work platform"} {
		if by[unit].By != want {
			t.Errorf("%s by %q, want %q (%s)", unit, by[unit].By, want, by[unit].Why)
		}
	}
	near(t, "C4 above the gallery ft", by["C4"].HangM/.3048, 10, .01)
	if by["C4"].Below != "left gallery" || by["K1"].Below != "the platform" {
		t.Errorf("below %q, %q", by["C4"].Below, by["K1"].Below)
	}
	f := one(t, fs, "LIFT_BENCHES", "W1")
	r := finding.NewBook().Render(f, si.US)
	if !strings.Contains(r.Text, "rows 1 and 2 of benches, screwed") {
		t.Errorf("%q", r.Text)
	}
}

func TestSchoolHallFloorAndRamp(t *testing.T) {
	p, _ := region.Get("metric")
	in := Input{Catalogue: fixtures, Profile: p, Book: finding.NewBook()}
	in.Brief.Lifts = []brief.Lift{{Name: "hire", Width: si.Known(si.Length(.81)), Length: si.Known(si.Length(1.9)), StowedHeight: si.Known(si.Length(2)),
		PlatformHeight: si.Known(si.Length(8)), Mass: kilograms(1590), Capacity: kilograms(227)}}
	in.Survey.Floor.Kind = "sprung_timber"
	in.Survey.Routes = []survey.AccessRoute{{Name: "corridor", DoorWidth: si.Known(si.Length(.90)), DoorHeight: si.Known(si.Length(2.1)), RampSlope: .125}}
	plan, fs := Check(in)
	f := one(t, fs, "LIFT_SPRUNG_FLOOR", "hire")
	near(t, "machine lb", si.Mass(f.Value).Pounds(), 3505, 1)
	near(t, "total lb", si.Mass(plan.Lifts[0].MassKg).Pounds(), 4006, 1)
	near(t, "slope", one(t, fs, "LIFT_RAMP_STEEP", "corridor").Value, 12.5, 1e-9)
	if !plan.Lifts[0].Fits {
		t.Errorf("0.81 + 0.075 in 0.90: %s", plan.Lifts[0].Why)
	}
}

func TestDocumentedLineIsScreenedWithNumbers(t *testing.T) {
	p, _ := region.Get("metric")
	in := Input{Catalogue: fixtures, Profile: p, Book: finding.NewBook()}
	sv := survey.HangingLine{Kind: "beam", Material: "timber_solid", Grade: "C24", Condition: "sound", Documents: "engineer's letter",
		Carries: kilograms(0), Allowed: kilograms(200), Width: si.Known(si.Length(.1)), Depth: si.Known(si.Length(.2)), Permission: "yes"}
	in.Room.Lines = []room.Line{{Name: "B", Kind: "beam", From: geom.Vec{X: -3, Z: 5}, To: geom.Vec{X: 3, Z: 5}, Survey: sv}}
	for _, x := range []float64{-1, 1} {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: "u", Fixture: "T-FRE", Line: "B"}, At: geom.Vec{X: x, Z: 4.7}})
	}
	plan, fs := Check(in)
	l := plan.Lines[0]
	if l.Screening != Screened || len(l.ReactionsN) != 2 {
		t.Errorf("%+v", l)
	}
	near(t, "left", l.ReactionsN[0], l.ReactionsN[1], 1e-9)
	// 8.2 kg at 2 m from each end, 2.6 m of pipe and cable in the middle.
	w := (pipeKgPerM + cableKgPerM) * si.StandardGravity
	want := 8.2*si.StandardGravity*2 + w*2.6/2*3 - w*1.3*1.3/2
	near(t, "moment", l.MaxMomentNM, want, 1e-6)
	near(t, "stress", l.StressMPa, want/(.1*.2*.2/6)/1e6, 1e-9)
	near(t, "reference", l.ReferenceMPa, 11.077, printedMPa)
	for _, f := range fs {
		if f.Severity == finding.Stop && f.Code != "HANGING_TO_APPROVE" {
			t.Errorf("stop %s", f.Code)
		}
	}
	in.Room.Lines[0].Survey.Condition = "cracked"
	plan, fs = Check(in)
	if plan.Lines[0].Screening != NotWithout || !math.IsNaN(plan.Lines[0].StressMPa) {
		t.Errorf("cracked: %+v", plan.Lines[0])
	}
	one(t, fs, "HANGING_CONDITION", "B")
}

func TestOverhangLiftsTheOtherSupport(t *testing.T) {
	in := Input{Catalogue: fixtures, Book: finding.NewBook()}
	in.Room.Lines = []room.Line{{Name: "P", Kind: "pipe", To: geom.Vec{X: 5}, Survey: survey.HangingLine{Kind: "pipe",
		Bearings: []survey.L{si.Known(si.Length(0)), si.Known(si.Length(4))}}}}
	in.Placed = []scheme.Placed{{Unit: scheme.Unit{ID: "u", Fixture: "T-FRE", Line: "P"}, At: geom.Vec{X: 5}}}
	plan, fs := Check(in)
	n := 8.2 * si.StandardGravity
	// R1 = −Pa/L, R2 = P(L+a)/L, moment Pa (AWC Design Aid No. 6).
	near(t, "R1", plan.Lines[0].ReactionsN[0], -n/4, 1e-9)
	near(t, "R2", plan.Lines[0].ReactionsN[1], n*5/4, 1e-9)
	near(t, "M", plan.Lines[0].MaxMomentNM, n, 1e-9)
	one(t, fs, "HANGING_UPLIFT", "P")
	one(t, fs, "HANGING_OVERHANG", "P")
}

func TestTextsFillEveryPlaceAndGiveNoVerdict(t *testing.T) {
	book := finding.NewBook()
	rod := meetingHouse()
	rod.Placed[0].Line = "rod near"
	rod.Room.Lines[0].Survey.Permission = "ask"
	rod.Brief.Limits.NoDrill = true
	rod.Survey.Routes = rod.Survey.Routes[:1]
	rod.Survey.Seating[0].Aisle = inches(30)
	blank := meetingHouse()
	blank.Survey.Routes = nil
	blank.Brief.Lifts[0].Mass = si.Typed[si.Mass]{}
	for _, in := range []Input{meetingHouse(), rod, blank} {
		p, fs := Check(in)
		for _, f := range fs {
			r := book.Render(f, si.US)
			for _, text := range []string{r.Title, r.Text, r.Advice} {
				low := " " + strings.ToLower(text) + " "
				if strings.ContainsAny(text, "{}") || strings.Contains(low, " ok ") || strings.Contains(low, " safe ") || strings.Contains(low, " compliant ") {
					t.Errorf("%s: %q", f.Code, text)
				}
			}
		}
		for i, q := range p.Questions {
			if q.No != i+1 || q.Text == "" || q.Why == "" || q.Who == "" {
				t.Errorf("%+v", q)
			}
		}
	}
}

// On any document Check answers without panic; reactions sum to the added
// weight; no line is screened without capacity and document.
func TestCheckOnAnyDocument(t *testing.T) {
	book := finding.NewBook()
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string) float64 {
			return rapid.SampledFrom([]float64{0, 1, -3, 2.5, 7, 1e6, math.NaN(), math.Inf(1)}).Draw(t, name)
		}
		word := func(name string, words ...string) string { return rapid.SampledFrom(words).Draw(t, name) }
		l := func(name string) survey.L {
			if rapid.Bool().Draw(t, name+" known") {
				return si.Known(si.Length(num(name)))
			}
			return survey.L{}
		}
		in := Input{Catalogue: fixtures, Book: book}
		if rapid.Bool().Draw(t, "profile") {
			in.Profile, _ = region.Get("us")
		}
		for _, n := range []string{"A", "B"} {
			kind := word("kind", "beam", "pier", "tension_rod", "pipe", "slab", "")
			in.Room.Lines = append(in.Room.Lines, room.Line{Name: n, Kind: kind, From: geom.Vec{X: num("x0")}, To: geom.Vec{X: num("x1"), Y: num("y1")}, Drop: si.Length(num("drop")),
				Survey: survey.HangingLine{Kind: kind, Material: word("material", "", "steel", "timber_solid", "masonry"), Section: word("section", "", "tube 48.3x4.0", "?"),
					Grade: word("grade", "", "C24", "S235"), Condition: word("condition", "", "sound", "cracked"), Documents: word("documents", "", "letter"),
					Bearings: []survey.L{l("b0"), l("b1"), l("b2")}, Width: l("width"), Depth: l("depth"), PipeLength: l("pipe")}})
			if rapid.Bool().Draw(t, "carries") {
				in.Room.Lines[len(in.Room.Lines)-1].Survey.Carries = kilograms(num("kg"))
			}
			if rapid.Bool().Draw(t, "allowed") {
				in.Room.Lines[len(in.Room.Lines)-1].Survey.Allowed = kilograms(num("allowed kg"))
			}
			in.Room.Lines[len(in.Room.Lines)-1].Survey.Hung = []survey.HungThing{{Along: l("hung at"), Mass: kilograms(num("hung kg"))}}[:rapid.IntRange(0, 1).Draw(t, "hung")]
		}
		for range rapid.IntRange(0, 6).Draw(t, "units") {
			in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: word("id", "", "a", "b"), Fixture: word("fx", "T-FRE", "T-LMP", "?"), Line: word("line", "", "A", "B", "C"), Along: l("along")},
				At: geom.Vec{X: num("ux"), Y: num("uy"), Z: num("uz")}})
		}
		in.Scheme.Pipes = []scheme.Pipe{{Line: "B", Length: l("pipe b")}}
		in.Brief.Lifts = []brief.Lift{{Name: "m", Width: l("lw"), Length: l("ll"), StowedHeight: l("lh"), PlatformHeight: l("lp"), Mass: kilograms(num("lm"))}}
		in.Survey.Routes = []survey.AccessRoute{{DoorWidth: l("dw"), DoorHeight: l("dh"), StepRise: l("sr"), Steps: rapid.IntRange(-2, 5).Draw(t, "steps"), Passage: l("pw"), Landing: l("lw2"), RampSlope: num("slope")}}
		in.Survey.Seating = []survey.Seating{{FirstY: l("fy"), LastY: l("ly"), Pitch: l("pitch"), Rows: rapid.IntRange(-1, 30).Draw(t, "rows"), Aisle: l("aisle"), AisleRadius: l("radius")}}
		in.Survey.Galleries = []survey.Gallery{{Name: "g", Floor: l("gf"), Outline: []survey.Place{{X: l("g0"), Y: l("g1")}, {X: l("g2"), Y: l("g3")}, {X: l("g4"), Y: l("g5")}}}}
		p, fs := Check(in)
		_, gs := Check(in)
		if len(fs) != len(gs) {
			t.Fatal("not the same twice")
		}
		for i := range fs {
			if fs[i].Fingerprint != gs[i].Fingerprint {
				t.Fatalf("%s differs", fs[i].Key)
			}
			book.Render(fs[i], si.Metric)
		}
		for _, line := range p.Lines {
			sum, finiteSum := 0.0, true
			for _, r := range line.ReactionsN {
				sum += r
				finiteSum = finiteSum && finite(r)
			}
			if want := line.AddedKg * si.StandardGravity; !finiteSum || math.Abs(sum-want) > 1e-6*(1+want) {
				t.Fatalf("%s: reactions %v, weight %v", line.Name, line.ReactionsN, want)
			}
			if line.Screening != Screened && line.Screening != NotWithout {
				t.Fatalf("%q", line.Screening)
			}
			for _, rl := range in.Room.Lines {
				if rl.Name == line.Name && line.Screening == Screened && (!rl.Survey.Allowed.Set || rl.Survey.Documents == "" || rl.Kind == "tension_rod") {
					t.Fatalf("%s screened", line.Name)
				}
			}
		}
	})
}

func FuzzMaterials(f *testing.F) {
	f.Add(sectionData)
	f.Add(`{"sections":[{"name":"x","kind":"round","outer_mm":10,"wall_mm":6,"source":"s"}]}`)
	f.Fuzz(func(t *testing.T, raw string) {
		m, err := parseMaterials([]byte(raw))
		if err != nil {
			return
		}
		for n, s := range m.sections {
			if !(s.I > 0) || !(s.S > 0) {
				t.Errorf("%s: %+v", n, s)
			}
		}
	})
}

func BenchmarkCheck(b *testing.B) {
	in := meetingHouse()
	for b.Loop() {
		Check(in)
	}
}
