package scheme

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

func proposal(r room.Room, b brief.Brief, set catalogue.Set) (Scheme, []Placed) {
	s, _ := Propose(ProposeInput{Room: r, Brief: b, Catalogue: set, Book: book, Region: "metric", Seed: 1})
	placed, _ := Place(PlaceInput{Scheme: s, Room: r, Brief: b, Catalogue: set, Book: book})
	return s, placed
}

// plainRoom is a room 12 m wide made for one rule: a platform 0.4 m high and
// lines across at the given y with the given lens height.
func plainRoom(lensZ float64, ys ...float64) room.Room {
	r := room.Room{Footprint: metres.box(-6, 6, -10, 16), Ceiling: room.Ceiling{Shape: "flat", Eaves: si.Length(lensZ + 1), Ridge: si.Length(lensZ + 1)},
		Platform: room.Platform{Outline: metres.box(-6, 6, -8, 0), Height: 0.4}}
	for _, y := range ys {
		r.Lines = append(r.Lines, metres.line(fmt.Sprintf("beam %+.1f", y), "beam", metres.at(-5.5, -y, lensZ), metres.at(5.5, -y, lensZ), 0.4))
	}
	return r
}

// area is a zone given by its extents, with faces 2.0 m above the floor.
func area(name, use string, x0, x1, y0, y1, target float64) brief.Zone {
	l := metres.l
	return brief.Zone{Name: name, Use: use, Level: "platform", MinX: l(x0), MaxX: l(x1), MinY: l(y0), MaxY: l(y1), FaceHeight: l(1.6),
		Target: si.Known(si.Illuminance(target)), Priority: 1}
}

func with(zones ...brief.Zone) brief.Brief {
	return brief.Brief{Region: "metric", Money: brief.Money{Currency: "XTS"}, Zones: zones}
}

func linesOf(placed []Placed, purpose Purpose) map[string]int {
	n := map[string]int{}
	for _, p := range placed {
		if p.Purpose == purpose {
			n[p.Line]++
		}
	}
	return n
}

func TestBeamNearestFortyFiveDegreesIsChosen(t *testing.T) {
	r := plainRoom(5.0, -2, -4.2)
	r.Lines = append(r.Lines, metres.line("rear wall rail", "rail", metres.at(-5.5, 15.8, 5), metres.at(5.5, 15.8, 5), 0.1))
	b := with(area("front", "singing", -2, 2, 0.5, 1.5, 500))
	s, placed := proposal(r, b, testFixtures())
	lines := linesOf(placed, FrontWash)
	if lines["beam -2.0"] == 0 || len(lines) != 1 {
		t.Errorf("lines used %v, want beam -2.0 alone (45°)", lines)
	}
	for line, want := range map[string]string{"rear wall rail": "too low for a main light", "beam -4.2": "nearer to 45°"} {
		found := false
		for _, p := range s.Passed {
			found = found || (p.Line == line && strings.Contains(p.Why, want) && p.ElevationDeg > 0 && p.ThrowM > 0)
		}
		if !found {
			t.Errorf("no passed entry of %s saying %q: %+v", line, want, s.Passed)
		}
	}
}

func TestShallowZoneGetsLeftCentreRight(t *testing.T) {
	r := plainRoom(5.0, -2)
	_, placed := proposal(r, with(area("choir", "singing", -3, 3, 0.5, 1.7, 500)), testFixtures())
	thirds := [3]int{}
	for _, p := range placed {
		thirds[min(2, max(0, int((p.Target.X+3)/2)))]++
	}
	if slices.Contains(thirds[:], 0) {
		t.Errorf("focus points by third of the width %v, want left, centre and right; units %v", thirds, placed)
	}
}

func TestSpeakingZoneGetsCrossAimedPairs(t *testing.T) {
	r := plainRoom(5.0, -2)
	b := with(zone("desk", 500, true, metres.face("left", -1.5, -1, 2), metres.face("right", 1.5, -1, 2)))
	_, placed := proposal(r, b, testFixtures())
	c := checker{in: CheckInput{Placed: placed, Catalogue: testFixtures()}}
	z := checkedZone{Zone: b.Zones[0], faces: zoneFaces(b.Zones[0], r)}
	for i, f := range z.faces {
		units := c.directions(z, i, "")
		left, right := 0, 0
		for _, u := range units {
			if geom.BearingDeg(f.at, u.At) < 0 {
				left++
			} else {
				right++
			}
		}
		if left == 0 || right == 0 || planSpreadDeg(f, units) < partnersApartDeg {
			t.Errorf("face %s: %d from the left, %d from the right, %.1f° apart", f.name, left, right, planSpreadDeg(f, units))
		}
	}
}

func TestDeepPlatformGetsASecondLine(t *testing.T) {
	r := plainRoom(5.0, -2, 1.5)
	_, shallow := proposal(r, with(area("stage", "band", -2, 2, 0.5, 1.7, 500)), testFixtures())
	_, deep := proposal(r, with(area("stage", "band", -2, 2, 0.5, 6, 500)), testFixtures())
	if n := len(linesOf(shallow, FrontWash)); n != 1 {
		t.Errorf("shallow platform uses %d lines, want 1", n)
	}
	if n := len(linesOf(deep, FrontWash)); n != 2 {
		t.Errorf("deep platform uses %v, want both lines", linesOf(deep, FrontWash))
	}
}

func TestUnwantedWallGetsNothing(t *testing.T) {
	r := plainRoom(5.0, -2, 4)
	desk := zone("desk", 500, true, metres.face("desk", 0, -1, 2))
	_, placed := proposal(r, with(desk), testFixtures())
	for _, p := range placed {
		if p.Purpose != FrontWash {
			t.Errorf("nothing but front light is wanted, got %s %s", p.ID, p.Purpose)
		}
	}
	wall := area("wall", "wall", -3, 3, 7.9, 8, 150)
	wall.Priority = 9
	_, placed = proposal(r, with(desk, wall), testFixtures())
	if len(linesOf(placed, WallWash)) == 0 {
		t.Error("a wanted wall gets its wash")
	}
}

func TestBackLightFollowsTheWidth(t *testing.T) {
	r := plainRoom(5.0, -2, 4)
	count := func(half float64, want string) int {
		z := area("choir", "singing", -half, half, 0.5, 1.7, 500)
		z.BackLight = want
		_, placed := proposal(r, with(z), testFixtures())
		n := 0
		for _, p := range placed {
			if p.Purpose == BackLight {
				n++
				if e := elevationAtAim(p); e < backMinDeg || e > backMaxDeg || p.Line != "beam +4.0" || p.ID[0] != 'K' {
					t.Errorf("back light %s on %s at %.1f°", p.ID, p.Line, e)
				}
			}
		}
		return n
	}
	none, narrow, wide := count(1, "no"), count(1, "wanted"), count(4, "wanted")
	if none != 0 || narrow == 0 || wide <= narrow {
		t.Errorf("back lights: not wanted %d, 2 m %d, 8 m %d", none, narrow, wide)
	}
}

func TestCountsFollowFromTheRoom(t *testing.T) {
	count := func(k float64) int {
		r := plainRoom(2+3*k, -2*k)
		r.Lines[0].From.X, r.Lines[0].To.X = -5.5*k, 5.5*k
		r.Footprint = metres.box(-12, 12, -20, 30)
		_, placed := proposal(r, with(area("choir", "singing", -3*k, 3*k, 1-0.6*k, 1+0.6*k, 450)), testFixtures())
		return len(placed)
	}
	half, one, double := count(0.5), count(1), count(2)
	if half == 0 || half >= one || one >= double {
		t.Errorf("units at half, full and double size: %d, %d, %d", half, one, double)
	}
}

func TestProposalReachesItsTargets(t *testing.T) {
	for name, make := range map[string]func() (room.Room, brief.Brief){"meeting house": meetingHouse, "school hall": schoolHall, "A-frame": aFrame} {
		r, b := make()
		s, placed := proposal(r, b, testFixtures())
		scene := light.NewScene(r)
		for _, z := range b.Zones {
			sum, least, own, faces := 0.0, math.Inf(1), 0.0, zoneFaces(z, r)
			for _, f := range faces {
				E := 0.0
				for _, src := range Sources(placed, testFixtures()) {
					if src.Purpose != string(FrontWash) {
						continue
					}
					lx := defaultLoss * light.Direct(src, light.Point{At: f.at, Normal: f.normal()}, scene).Lx
					E += lx
					if src.Zone == z.Name {
						own += lx / float64(len(faces))
					}
				}
				sum, least = sum+E, math.Min(least, E)
			}
			average, T := sum/float64(len(faces)), z.Target.Value.Lux()
			// Levels are set in steps, so a zone may pass its tolerance by one.
			slack := defaultTolerance/100 + levelStep
			if own < T*(1-slack) || own > T*(1+slack) || least < T*(1-slack) || average > 1.5*T || least < defaultEvenness*average*(1-evenSlack) {
				t.Errorf("%s %s: own units %.0f lx, all %.0f lx on average, %.0f least, of %.0f", name, z.Name, own, average, least, T)
			}
		}
		for i, reason := range s.Reasons {
			if reason.Unit != s.Units[i].ID || len(reason.Text) < 40 {
				t.Errorf("%s: reason %+v for %s", name, reason, s.Units[i].ID)
			}
		}
		if len(s.Reasons) != len(s.Units) || len(s.Passed) == 0 {
			t.Errorf("%s: %d units, %d reasons, %d passed over", name, len(s.Units), len(s.Reasons), len(s.Passed))
		}
	}
}

func TestProposalChoosesTheWorkedLines(t *testing.T) {
	for _, tc := range []struct {
		name string
		make func() (room.Room, brief.Brief)
		want map[string]string // zone: line
	}{
		{"meeting house", meetingHouse, map[string]string{"reader": "W1", "table": "W1"}},
		{"school hall", schoolHall, map[string]string{"preacher": "bridge pipe +3.8"}},
		{"A-frame", aFrame, map[string]string{"zone 1": "tie +6", "zone 2": "tie +2", "zone 3": "tie +2"}},
	} {
		r, b := tc.make()
		_, placed := proposal(r, b, testFixtures())
		for _, p := range placed {
			if want := tc.want[p.Zone]; want != "" && p.Line != want {
				t.Errorf("%s: %s of %s hangs from %s, want %s", tc.name, p.ID, p.Zone, p.Line, want)
			}
			if isKey(p.Unit) && FrontBand(elevationAtAim(p)) == BandRefuse {
				t.Errorf("%s: %s at %.1f°", tc.name, p.ID, elevationAtAim(p))
			}
		}
	}
}

func TestBarnDoorsWhereTheUpperEdgeMeetsTheScreen(t *testing.T) {
	in := workedHouse(t)
	u := feet
	screen := geom.Polygon{u.at(-16.5, -13.5, 11.5), u.at(-7.5, -13.5, 11.5), u.at(-7.5, -13.5, 16.58), u.at(-16.5, -13.5, 16.58)}
	if n := screen.Normal(); n.Y > -0.99 {
		t.Fatalf("the screen looks to %v", n)
	}
	for _, p := range in.Placed {
		if !isKey(p.Unit) {
			continue
		}
		c := &candidate{site: &site{at: p.At}, aim: p.Target, option: &fixtureOption{beam: catalogue.Beam{FieldDeg: p.FieldDeg}}}
		if got, want := reachesScreen(c, screen), p.ID[0] == 'C'; got != want {
			t.Errorf("%s reaches the screen: %v, want %v", p.ID, got, want)
		}
	}
}

func TestProposalKeepsItsLimits(t *testing.T) {
	r, b := meetingHouse()
	b.Limits = brief.Limits{NoHang: []string{"W2"}, NoDrill: true}
	b.Zones[0].BackLight = "wanted"
	b.Money.CapMinor = 1000
	keep := meetingHouseScheme()
	keep.Units = keep.Units[:1]
	keep.Units[0].Locked = true
	s, fs := Propose(ProposeInput{Room: r, Brief: b, Catalogue: testFixtures(), Keep: keep, Book: book, Seed: 3})
	if len(s.Units) < 2 || fmt.Sprint(s.Units[0]) != fmt.Sprint(keep.Units[0]) {
		t.Errorf("the locked unit changed: %+v", s.Units[0])
	}
	ids := map[string]bool{}
	for _, u := range s.Units {
		if ids[u.ID] {
			t.Errorf("two units %s", u.ID)
		}
		ids[u.ID] = true
		if u.Line == "W2" || strings.Contains(u.Line, "pier") || strings.Contains(u.Line, "rod") {
			t.Errorf("%s hangs from %s", u.ID, u.Line)
		}
	}
	if _, ok := find(fs, "SCHEME_OVER_CAP", ""); !ok {
		t.Error("the cap is passed and should be a finding")
	}
	placed := mustPlace(t, s, r, b, testFixtures())
	if _, ok := find(Check(CheckInput{Placed: placed, Room: r, Brief: b, Catalogue: testFixtures(), Book: book}), "SCHEME_BACK_NO_LINE", "zone reader"); !ok {
		t.Error("without W2 there is no back light, and the check should say so")
	}
}

func TestOwnedFixturesComeFirst(t *testing.T) {
	r := plainRoom(5.0, -2)
	b := with(zone("desk", 500, true, metres.face("desk", 0, -1, 2)))
	all := testFixtures().All()
	for i := range all {
		if all[i].Code == "T-PRO" {
			all[i].Owned = 2
		}
	}
	s, _ := proposal(r, b, catalogue.NewSet(all, nil))
	for _, u := range s.Units {
		if u.Fixture != "T-PRO" {
			t.Errorf("%s is a %s although two T-PRO are owned", u.ID, u.Fixture)
		}
	}
}

func TestNothingToHangFromIsAFinding(t *testing.T) {
	r := plainRoom(5.0)
	b := with(area("choir", "singing", -2, 2, 0.5, 1.7, 500), brief.Zone{Name: "nowhere"})
	s, fs := Propose(ProposeInput{Room: r, Brief: b, Catalogue: testFixtures(), Book: book})
	if len(s.Units) != 0 {
		t.Errorf("units %v", s.Units)
	}
	for _, z := range []string{"choir", "nowhere"} {
		if _, ok := find(fs, "SCHEME_NOTHING_TO_HANG", "zone "+z); !ok {
			t.Errorf("no finding for %s: %v", z, fs)
		}
	}
	if _, fs := Propose(ProposeInput{Room: plainRoom(5, -2), Brief: b, Book: book}); len(fs) == 0 {
		t.Error("an empty catalogue is a finding")
	}
	far := plainRoom(20, -2)
	_, fs = Propose(ProposeInput{Room: far, Brief: with(area("choir", "singing", -2, 2, 0.5, 1.7, 2000)), Catalogue: testFixtures(), Book: book})
	if len(fs) == 0 {
		t.Error("a target out of reach is a finding")
	}
}

// randomRoom draws rooms with odd lines, zones and limits.
func randomRoom(t *rapid.T) (room.Room, brief.Brief, survey.Survey) {
	num := rapid.Float64Range
	kinds := []string{"beam", "tension_rod", "purlin", "wall", "pipe", "rail", ""}
	r := room.Room{Footprint: metres.box(-num(2, 12).Draw(t, "left"), num(2, 12).Draw(t, "right"), -8, 20)}
	if rapid.Bool().Draw(t, "ceiling") {
		r.Ceiling = room.Ceiling{Shape: rapid.SampledFrom([]string{"flat", "gable", "a_frame"}).Draw(t, "shape"), Eaves: si.Length(num(0, 9).Draw(t, "eaves")),
			Ridge: si.Length(num(0, 12).Draw(t, "ridge")), HalfWidth: si.Length(num(0, 9).Draw(t, "half")), RidgeAlongY: rapid.Bool().Draw(t, "along")}
	}
	for i := range rapid.IntRange(0, 4).Draw(t, "lines") {
		p := func() geom.Vec {
			return geom.Vec{X: num(-12, 12).Draw(t, "x"), Y: num(-20, 8).Draw(t, "y"), Z: num(-1, 12).Draw(t, "z")}
		}
		l := room.Line{Name: fmt.Sprint("l", i), Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), From: p(), To: p(), Drop: si.Length(num(0, 1).Draw(t, "drop"))}
		if rapid.Bool().Draw(t, "point") {
			l.To = l.From
		}
		if rapid.Bool().Draw(t, "forbidden") {
			l.Forbidden = "because"
		}
		if rapid.Bool().Draw(t, "spans") {
			l.Spans = []room.Span{{From: si.Length(num(-5, 30).Draw(t, "from")), To: si.Length(num(-5, 30).Draw(t, "to"))}}
		}
		r.Lines = append(r.Lines, l)
	}
	if rapid.Bool().Draw(t, "screen") {
		r.Screens = []room.Screen{{Name: "s", Corners: geom.Polygon{{X: -1, Y: 7, Z: 3}, {X: 1, Y: 7, Z: 3}, {X: 1, Y: 7, Z: 4}, {X: -1, Y: 7, Z: 4}}}, {Name: "none"}}
		r.Eyes = []room.Eye{{Name: "e", At: geom.Vec{Y: -10, Z: 1.2}}}
	}
	b := brief.Brief{Limits: brief.Limits{NoDrill: rapid.Bool().Draw(t, "drill"), NoHang: []string{"l0"}}}
	for i := range rapid.IntRange(0, 3).Draw(t, "zones") {
		z := area(fmt.Sprint("z", i), rapid.SampledFrom([]string{"speaking", "wall", "band", ""}).Draw(t, "use"),
			num(-5, 5).Draw(t, "x0"), num(-5, 5).Draw(t, "x1"), num(-2, 8).Draw(t, "y0"), num(-2, 8).Draw(t, "y1"), num(0, 1500).Draw(t, "target"))
		z.CrossAim = rapid.Bool().Draw(t, "cross")
		z.BackLight = rapid.SampledFrom([]string{"wanted", "no", "if_room"}).Draw(t, "back")
		z.Priority = rapid.IntRange(-1, 3).Draw(t, "priority")
		switch rapid.IntRange(0, 3).Draw(t, "faces") {
		case 0:
			z.Faces = []brief.Face{{X: metres.l(0), Y: metres.l(1), FacingDeg: num(-400, 400).Draw(t, "facing")}}
		case 1:
			z.MinX = L{}
		}
		b.Zones = append(b.Zones, z)
	}
	return r, b, survey.Survey{}
}

func TestRandomRoomsNeverPanicNorHangWhereForbidden(t *testing.T) {
	set := testFixtures()
	rapid.Check(t, func(t *rapid.T) {
		r, b, sv := randomRoom(t)
		in := ProposeInput{Room: r, Brief: b, Survey: sv, Catalogue: set, Book: book, Seed: rapid.Uint64().Draw(t, "seed")}
		s, fs := Propose(in)
		again, fsAgain := Propose(in)
		one, _ := json.Marshal([]any{s, fs})
		two, _ := json.Marshal([]any{again, fsAgain})
		if string(one) != string(two) {
			t.Fatalf("two proposals of one input differ:\n%s\n%s", one, two)
		}
		placed, placing := Place(PlaceInput{Scheme: s, Room: r, Brief: b, Catalogue: set, Book: book})
		for _, f := range placing {
			switch f.Code {
			case "SCHEME_PERMISSION_ASK", "SCHEME_OFF_LINE":
			default:
				t.Fatalf("a proposal breaks a rule of placing: %+v", f)
			}
		}
		if len(placed) != len(s.Units) {
			t.Fatalf("placed %d of %d", len(placed), len(s.Units))
		}
		for _, u := range placed {
			for _, l := range r.Lines {
				if bar, is := barred(l, b.Limits); l.Name == u.Line && is && !bar.ask {
					t.Fatalf("%s hangs from %s: %s", u.ID, l.Name, bar.why)
				}
			}
		}
		allFilled(t, fs)
		allFilled(t, Check(CheckInput{Scheme: s, Placed: placed, Room: r, Brief: b, Survey: sv, Catalogue: set, Book: book}))
		Lines(r, b)
	})
}

func TestPrefixes(t *testing.T) {
	taken := map[string]bool{"K": true}
	for _, tc := range [][2]string{{"reader", "R"}, {"readings", "RE"}, {"keyboard", "KE"}, {"zone 1", "Z"}, {"zone 2", "ZO"}, {"zone 3", "ZON"}, {"zone 4", "A"}, {"", "B"}, {"Ärger", "RG"}} {
		got := freePrefix(tc[0], taken)
		if got != tc[1] || taken[got] {
			t.Errorf("freePrefix(%q) = %q, want %q", tc[0], got, tc[1])
		}
		taken[got] = true
	}
}

// twentyUnits is a wide platform whose proposal has about twenty units.
func twentyUnits() (room.Room, brief.Brief) {
	r := plainRoom(5.5, -2.5, 1.5, 5)
	back := area("band", "band", -5, 5, 4, 5.5, 500)
	choir := area("choir", "singing", -5, 5, 2, 3.2, 500)
	choir.BackLight = "wanted"
	desk := zone("desk", 600, true, metres.face("left", -1.2, -0.8, 2), metres.face("right", 1.2, -0.8, 2))
	desk.BackLight = "wanted"
	return r, with(desk, choir, back)
}

func BenchmarkProposeTwentyUnits(b *testing.B) {
	r, br := twentyUnits()
	set := catalogue.NewSet(catalogue.Generic(), nil)
	br.Money.Currency = "EUR"
	units := 0
	for b.Loop() {
		s, _ := Propose(ProposeInput{Room: r, Brief: br, Catalogue: set, Book: book, Seed: 1})
		units = len(s.Units)
	}
	b.ReportMetric(float64(units), "units")
}

// A hall of ten lines and eight wide zones: far more than a church needs, and
// still an answer while somebody waits.
func BenchmarkProposeLargeHall(b *testing.B) {
	r := plainRoom(6, -12, -10, -8, -6, -4, -2, 0, 2, 4, 6)
	for i := range r.Lines {
		r.Lines[i].From.X, r.Lines[i].To.X = -15, 15
	}
	r.Footprint = metres.box(-16, 16, -20, 30)
	var zones []brief.Zone
	for i := range 8 {
		z := area(fmt.Sprint("area ", i), "singing", -12, 12, float64(i), float64(i)+0.9, 600)
		z.CrossAim, z.BackLight = i%2 == 0, "wanted"
		zones = append(zones, z)
	}
	br := with(zones...)
	br.Money.Currency = "EUR"
	set := catalogue.NewSet(catalogue.Generic(), nil)
	units := 0
	for b.Loop() {
		s, _ := Propose(ProposeInput{Room: r, Brief: br, Catalogue: set, Book: book, Seed: 1})
		units = len(s.Units)
	}
	b.ReportMetric(float64(units), "units")
}

func BenchmarkCheck(b *testing.B) {
	r, br := meetingHouse()
	set := testFixtures()
	placed, _ := Place(PlaceInput{Scheme: meetingHouseScheme(), Room: r, Brief: br, Catalogue: set, Book: book})
	for b.Loop() {
		Check(CheckInput{Placed: placed, Room: r, Brief: br, Catalogue: set, Book: book})
	}
}

// verticalAt is the illuminance of a face from all units, with the loss factor.
func verticalAt(f facePoint, placed []Placed, r room.Room) float64 {
	E := 0.0
	for _, src := range Sources(placed, testFixtures()) {
		E += defaultLoss * light.Direct(src, light.Point{At: f.at, Normal: f.normal()}, light.NewScene(r)).Lx
	}
	return E
}
