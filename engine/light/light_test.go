package light

import (
	"fmt"
	"math"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// doubled gives twice the light.
type doubled struct{ photometry.Distribution }

func (d doubled) Intensity(dir geom.Vec) float64 { return 2 * d.Distribution.Intensity(dir) }

// uniform gives the same candelas everywhere.
type uniform float64

func (u uniform) Intensity(geom.Vec) float64 { return float64(u) }
func (u uniform) FluxLm() float64            { return 4 * math.Pi * float64(u) }
func (u uniform) PeakCd() float64            { return float64(u) }
func (u uniform) BeamDeg() float64           { return 180 }
func (u uniform) FieldDeg() float64          { return 180 }

// published is the tolerance against values printed to six digits.
const published = 1e-5

func TestDirectAgainstPublished(t *testing.T) {
	// 20 000 cd at (0, −5, 6) to a face at 1.6 m over the origin.
	s := Source{ID: "a", At: geom.Vec{Y: -5, Z: 6}, Aim: geom.Vec{Z: 1.6}, Level: 1, Dist: uniform(20000)}
	at := geom.Vec{Z: 1.6}
	vert := Direct(s, Point{At: at, Normal: downstage}, Scene{})
	hor := Direct(s, Point{At: at, Normal: geom.Vec{Z: 1}}, Scene{})
	for what, v := range map[string][2]float64{
		"normal": {vert.NormalLx, 450.857}, "vertical": {vert.Lx, 338.464}, "horizontal": {hor.Lx, 297.848},
		"throw": {s.At.Sub(at).Norm(), 6.66033},
	} {
		within(t, what, v[0], v[1], published*v[1])
	}
	if Direct(s, Point{At: at, Normal: geom.Vec{Y: 1}}, Scene{}).Lx != 0 {
		t.Error("a face turned away receives light")
	}
}

func TestFieldDiameter(t *testing.T) {
	for _, tc := range []struct{ field, throw, want float64 }{
		{26, 8, 3.69389}, {36, 6, 3.89904}, {19, 12, 4.01622}, {21.239, 8, 3}, {25.361, 8, 3.6}, {0, 8, 0},
	} {
		within(t, fmt.Sprintf("pool of %v° at %v m", tc.field, tc.throw), FieldDiameterM(tc.throw, tc.field), tc.want, 2e-5*tc.want)
	}
	if !math.IsInf(FieldDiameterM(5, 180), 1) {
		t.Error("a pool of 180° is not finite")
	}
}

func TestUpperEdgeIsTheFarEdge(t *testing.T) {
	// Rise 4.4 m at 45° with 26°: the far edge meets the plane of the face
	// 7.04147 m out, so on a wall there the edge stands at the face's height.
	s := Source{At: geom.Vec{Z: 6}, Aim: geom.Vec{Y: 4.4, Z: 1.6}, FieldDeg: 26}
	wall := geom.Polygon{{X: -5, Y: 7.04147}, {X: 5, Y: 7.04147}, {X: 5, Y: 7.04147, Z: 8}, {X: -5, Y: 7.04147, Z: 8}}
	within(t, "upper edge", upperEdge(s, room.Surface{Polygon: wall}), 1.6, 1e-4)
	back := Source{At: geom.Vec{Y: 5, Z: 6}, Aim: geom.Vec{Z: 1.6}, FieldDeg: 26}
	if !math.IsNaN(upperEdge(back, room.Surface{Polygon: wall})) {
		t.Error("a beam that goes away from the wall has an edge on it")
	}
}

func TestContrastAgainstPublished(t *testing.T) {
	within(t, "500 lx white, 20 lx room, 1000:1", Contrast(500, 20, 1000), 25.366, 1e-3)
	for _, tc := range []struct{ cr, ambient float64 }{{7, 82.75}, {15, 35.18}, {50, 9.694}, {80, 5.823}} {
		within(t, "contrast at the greatest room light", Contrast(500, tc.ambient, 1000), tc.cr, 2e-3*tc.cr)
	}
	if !math.IsNaN(Contrast(0, 20, 1000)) {
		t.Error("contrast of nothing")
	}
}

func TestVeil(t *testing.T) {
	for _, tc := range []struct{ lx, deg, want float64 }{
		{10, 10, 1}, {10, 1, 100}, {10, 0, 100}, {10, 30, 10 * 10 / 900.}, {10, 31, 0}, {0, 5, 0},
	} {
		within(t, fmt.Sprintf("Veil(%v, %v)", tc.lx, tc.deg), Veil(tc.lx, tc.deg), tc.want, 1e-9)
	}
}

func TestFrameTurnsTables(t *testing.T) {
	// Twice the light in plane C0, the fixture's right-hand side.
	tab, err := photometry.NewTable([]float64{0, 180, 360}, []float64{0, 90}, [][]float64{{200, 200}, {100, 100}, {200, 200}})
	if err != nil {
		t.Fatal(err)
	}
	// Aimed upstage, its right hand is stage left (+x).
	s := Source{At: geom.Vec{Z: 5}, Aim: geom.Vec{Y: 5, Z: 5}, Level: 1, Dist: tab}
	right := Direct(s, Point{At: geom.Vec{X: 3, Y: 3, Z: 5}, Normal: downstage}, Scene{}).NormalLx
	left := Direct(s, Point{At: geom.Vec{X: -3, Y: 3, Z: 5}, Normal: downstage}, Scene{}).NormalLx
	within(t, "right over left", right/left, 2, 1e-9)
	// Straight down the room's x is the reference; no aim at all is straight down.
	down := newFrame(geom.Vec{Z: -1})
	if down.x != (geom.Vec{X: 1}) || newFrame(geom.Vec{}) != down {
		t.Errorf("frame straight down %+v", down)
	}
}

func TestDirectDegenerate(t *testing.T) {
	p := Point{At: geom.Vec{X: 1}, Normal: downstage}
	ok := Source{At: geom.Vec{Y: -3, Z: 3}, Aim: p.At, Level: 1, Dist: uniform(100)}
	for name, f := range map[string]func(s *Source){
		"no light": func(s *Source) { s.Dist = nil },
		"off":      func(s *Source) { s.Level = 0 },
		"negative": func(s *Source) { s.Level = -1 },
		"NaN":      func(s *Source) { s.Level = math.NaN() },
		"in place": func(s *Source) { s.At = p.At },
		"nowhere":  func(s *Source) { s.At.X = math.NaN() },
		"infinite": func(s *Source) { s.At.X = math.Inf(1) },
	} {
		s := ok
		f(&s)
		if c := Direct(s, p, Scene{}); c.Lx != 0 || c.NormalLx != 0 {
			t.Errorf("%s: %+v", name, c)
		}
	}
}

func drawVec(t *rapid.T, name string, lo, hi float64) geom.Vec {
	g := rapid.Float64Range(lo, hi)
	return geom.Vec{X: g.Draw(t, name+" x"), Y: g.Draw(t, name+" y"), Z: g.Draw(t, name+" z")}
}

func TestInverseSquareAndScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dir := drawVec(t, "direction", -1, 1)
		if dir.Norm() < 0.1 {
			return
		}
		aim := geom.Vec{Y: 3, Z: 2}
		at := func(k float64) Source {
			return Source{At: aim.Add(dir.Scale(k)), Aim: aim, Level: 1, Dist: photometry.NewBeam(30, 0, 1e4)}
		}
		p := Point{At: aim, Normal: dir.Unit()}
		k := rapid.Float64Range(1, 20).Draw(t, "distance factor")
		one, far := Direct(at(1), p, Scene{}).Lx, Direct(at(k), p, Scene{}).Lx
		if math.Abs(far*k*k/one-1) > 1e-9 {
			t.Fatalf("inverse square: %v at 1, %v at %v", one, far, k)
		}
		s := at(1)
		s.Level = rapid.Float64Range(0.01, 1).Draw(t, "level")
		if math.Abs(Direct(s, p, Scene{}).Lx/(s.Level*one)-1) > 1e-12 {
			t.Fatal("light does not scale with the level")
		}
	})
}

// clutter is a box room of random boxes in it.
func clutter(t *rapid.T) room.Room {
	lo, hi := geom.Vec{X: -6, Y: -10, Z: 0}, geom.Vec{X: 6, Y: 5, Z: 7}
	r := room.Room{Surfaces: shell(lo, hi)}
	for i := range rapid.IntRange(0, 40).Draw(t, "boxes") {
		a := drawVec(t, "corner", -5, 5)
		b := a.Add(drawVec(t, "size", 0.11, 2))
		r.Solids = append(r.Solids, room.Solid{Name: fmt.Sprint("box ", i), Faces: boxFaces(a, b)})
	}
	return r
}

// bruteForce asks every triangle.
func bruteForce(s Scene, a, b geom.Vec) (nearest float64, hit bool) {
	d := b.Sub(a)
	lo, hi, ok := margins(d)
	nearest = hi
	for i := range s.tris {
		if at, yes := s.tris[i].hit(a, d, lo, nearest); ok && yes {
			nearest, hit = at, true
		}
	}
	return nearest, hit
}

func TestTreeAgreesWithBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := NewScene(clutter(t))
		for range 50 {
			a, b := drawVec(t, "a", -6, 6), drawVec(t, "b", -6, 6)
			if rapid.Bool().Draw(t, "flat") {
				b.Z = a.Z // rays along the boxes' own planes
			}
			at, want := bruteForce(s, a, b)
			if got := s.Occluded(a, b); got != want {
				t.Fatalf("%v to %v: occluded %v, brute force %v", a, b, got, want)
			}
			if i, hit := s.walk(a, b, true); hit != want {
				t.Fatalf("%v to %v: nearest %v, brute force %v", a, b, hit, want)
			} else if hit {
				lo, hi, _ := margins(b.Sub(a))
				if got, _ := s.tris[i].hit(a, b.Sub(a), lo, hi); got != at {
					t.Fatalf("nearest hit at %v, brute force %v", got, at)
				}
			}
		}
	})
}

func TestVisibilityIsReciprocal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := NewScene(clutter(t))
		for range 50 {
			a, b := drawVec(t, "a", -4, 4), drawVec(t, "b", -4, 4)
			if s.Occluded(a, b) != s.Occluded(b, a) {
				t.Fatalf("%v and %v see each other one way", a, b)
			}
		}
	})
}

func TestBlockedNamesTheNearest(t *testing.T) {
	r := room.Room{Solids: []room.Solid{
		{Name: "far", Faces: boxFaces(geom.Vec{X: 5, Y: -1, Z: -1}, geom.Vec{X: 6, Y: 1, Z: 1})},
		{Name: "near", Faces: boxFaces(geom.Vec{X: 2, Y: -1, Z: -1}, geom.Vec{X: 3, Y: 1, Z: 1})},
	}}
	s := NewScene(r)
	for _, tc := range []struct {
		a, b geom.Vec
		want string
	}{
		{geom.Vec{}, geom.Vec{X: 9}, "near"},
		{geom.Vec{X: 9}, geom.Vec{}, "far"},
		{geom.Vec{}, geom.Vec{X: 2}, ""}, // ends on the surface
		{geom.Vec{X: 3}, geom.Vec{X: 5}, ""},
		{geom.Vec{X: 3}, geom.Vec{X: 5.01}, "far"},
		{geom.Vec{}, geom.Vec{}, ""},
		{geom.Vec{X: math.NaN()}, geom.Vec{X: 9}, ""},
		{geom.Vec{}, geom.Vec{X: math.Inf(1)}, ""},
		{geom.Vec{Y: 5}, geom.Vec{X: 9, Y: 5}, ""},
	} {
		got, hit := s.Blocked(tc.a, tc.b)
		if got != tc.want || hit != (tc.want != "") {
			t.Errorf("Blocked(%v, %v) = %q, %v, want %q", tc.a, tc.b, got, hit, tc.want)
		}
	}
}

func TestWhatThrowsShadows(t *testing.T) {
	wall := geom.Polygon{{X: 2, Y: -1, Z: -1}, {X: 2, Y: 1, Z: -1}, {X: 2, Y: 1, Z: 1}, {X: 2, Y: -1, Z: 1}}
	a, b := geom.Vec{X: 0.5}, geom.Vec{X: 4}
	beam := room.Line{Name: "beam", Kind: "beam", From: geom.Vec{X: 2, Y: -2, Z: -0.1}, To: geom.Vec{X: 2, Y: 2, Z: -0.1}}
	beam.Survey.Width, beam.Survey.Depth = lm(0.2), lm(0.3)
	bare := beam
	bare.Survey.Width = si.Typed[si.Length]{}
	for name, tc := range map[string]struct {
		r    room.Room
		want bool
	}{
		"wall":            {room.Room{Surfaces: []room.Surface{{Name: "w", Kind: "wall", Polygon: wall}}}, true},
		"gallery":         {room.Room{Surfaces: []room.Surface{{Name: "g", Kind: "gallery", Polygon: wall}}}, true},
		"window":          {room.Room{Surfaces: []room.Surface{{Name: "g", Kind: "window", Polygon: wall}}}, false},
		"screen":          {room.Room{Screens: []room.Screen{{Name: "s", Corners: wall}}}, true},
		"rope":            {room.Room{Solids: []room.Solid{{Name: "r", Faces: boxFaces(geom.Vec{X: 2, Y: -.02, Z: -1}, geom.Vec{X: 2.04, Y: .02, Z: 1})}}}, false},
		"beam":            {room.Room{Lines: []room.Line{beam}}, true},
		"unknown section": {room.Room{Lines: []room.Line{bare}}, false},
		"broken":          {room.Room{Surfaces: []room.Surface{{Name: "n", Kind: "wall", Polygon: geom.Polygon{{X: math.NaN()}, {}, {X: 2}}}}}, false},
		"nothing":         {room.Room{}, false},
	} {
		if got := NewScene(tc.r).Occluded(a, b); got != tc.want {
			t.Errorf("%s blocks: %v", name, got)
		}
	}
}

func TestDistances(t *testing.T) {
	body := room.Solid{Faces: boxFaces(geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 1})}
	for _, tc := range []struct {
		a, b geom.Vec
		want float64
	}{
		{geom.Vec{X: 3, Y: .5, Z: .5}, geom.Vec{X: 3, Y: .5, Z: .5}, 2},
		{geom.Vec{X: .5, Y: .5, Z: .5}, geom.Vec{X: .5, Y: .5, Z: .5}, 0},
		{geom.Vec{X: -1, Y: .5, Z: .5}, geom.Vec{X: 2, Y: .5, Z: .5}, 0},
		{geom.Vec{X: -1, Y: 0, Z: 3}, geom.Vec{X: 2, Y: 0, Z: 3}, 2},
		{geom.Vec{X: 4, Y: 5, Z: 0}, geom.Vec{X: 4, Y: 5, Z: 1}, 5},
	} {
		within(t, fmt.Sprintf("body to %v %v", tc.a, tc.b), bodyDistance(tc.a, tc.b, body), tc.want, 1e-12)
	}
	within(t, "body without faces", bodyDistance(geom.Vec{X: 3}, geom.Vec{X: 3}, room.Solid{Base: geom.Vec{Y: 4}}), 5, 1e-12)
	within(t, "crossing", crossingAbove(geom.Vec{X: -1}, geom.Vec{X: 1, Z: 2}, geom.Vec{Y: -1, Z: 3}, geom.Vec{Y: 1, Z: 3}), 2, 1e-12)
	if !math.IsNaN(crossingAbove(geom.Vec{}, geom.Vec{X: 1}, geom.Vec{Y: 1}, geom.Vec{X: 1, Y: 1})) {
		t.Error("parallel lines cross")
	}
}

// TestSegmentDistanceAgainstSearch compares the closed form with a fine search.
func TestSegmentDistanceAgainstSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c, d := drawVec(t, "a", -3, 3), drawVec(t, "b", -3, 3), drawVec(t, "c", -3, 3), drawVec(t, "d", -3, 3)
		got, least := segmentDistance(a, b, c, d), math.Inf(1)
		const n = 400
		for i := range n + 1 {
			p := a.Lerp(b, float64(i)/n)
			q, _ := nearestOnSegment(p, c, d)
			least = math.Min(least, p.Sub(q).Norm())
		}
		if step := b.Sub(a).Norm() / n; got > least+1e-9 || got < least-step {
			t.Fatalf("closed form %v, search %v", got, least)
		}
	})
}

func TestReflectionObeysTheLaw(t *testing.T) {
	lid := geom.Polygon{{X: -9, Y: -9}, {X: 9, Y: -9}, {X: 9, Y: 9}, {X: -9, Y: 9}}
	rapid.Check(t, func(t *rapid.T) {
		s, e := drawVec(t, "source", -4, 4), drawVec(t, "eye", -4, 4)
		s.Z, e.Z = math.Abs(s.Z)+0.1, math.Abs(e.Z)+0.1
		p, ok := Reflection(s, e, lid)
		if !ok {
			t.Fatal("no reflection in a lid under both")
		}
		in, out := s.Sub(p).Unit(), e.Sub(p).Unit()
		if math.Abs(in.Z-out.Z) > 1e-9 || in.Plan().Cross(out.Plan()).Norm() > 1e-9 {
			t.Fatalf("angles differ: %v, %v", in, out)
		}
	})
	if _, ok := Reflection(geom.Vec{Z: 1}, geom.Vec{Z: -1}, lid); ok {
		t.Error("an eye under the lid sees a light over it")
	}
	if _, ok := Reflection(geom.Vec{Z: 1}, geom.Vec{X: 30, Z: 1}, lid); ok {
		t.Error("reflection outside the lid")
	}
}

func TestSunDirection(t *testing.T) {
	// Congregation looks west: south is on its left (−x), west is +y.
	for _, tc := range []struct {
		az, el, facing float64
		want           geom.Vec
	}{
		{180, 0, 270, geom.Vec{X: -1}}, {270, 0, 270, geom.Vec{Y: 1}}, {0, 0, 0, geom.Vec{Y: 1}}, {90, 0, 0, geom.Vec{X: 1}}, {10, 90, 0, geom.Vec{Z: 1}},
	} {
		if got := SunDirection(tc.az, tc.el, tc.facing); got.Sub(tc.want).Norm() > 1e-9 {
			t.Errorf("SunDirection(%v, %v, %v) = %v", tc.az, tc.el, tc.facing, got)
		}
	}
}

// gridInput is a plain room with one row of units and a zone without key places.
func gridInput() Input {
	r := room.Room{Surfaces: shell(geom.Vec{X: -6, Y: -12}, geom.Vec{X: 6, Y: 5, Z: 7})}
	r.Platform = room.Platform{Outline: geom.Polygon{{X: -4}, {X: 4}, {X: 4, Y: 4}, {X: -4, Y: 4}}, Height: 0.6, Width: 8, Depth: 4}
	in := Input{Room: r, LossFactor: 1, Book: finding.NewBook(), Region: "metric"}
	in.Brief.Zones = []brief.Zone{{Name: "front", Level: "", FaceHeight: lm(1.6), MinX: lm(-3), MaxX: lm(3), MinY: lm(0.5), MaxY: lm(2.5)}}
	for i, x := range []float64{-2, 0, 2} {
		in.Sources = append(in.Sources, Source{
			ID: fmt.Sprint("F", i+1), Zone: "front", Purpose: "front_wash", Level: 1, FieldDeg: 26,
			At: geom.Vec{X: x, Y: -3, Z: 6}, Aim: geom.Vec{X: x, Y: 1.5, Z: 2.2}, Dist: photometry.NewBeam(26, 0, 20000),
		})
	}
	return in
}

func TestGridIsFineEnough(t *testing.T) {
	in := gridInput()
	e := &evaluator{in: in, sc: NewScene(in.Room), rays: &Rays{}, loss: 1}
	pts, step := e.grid(in.Brief.Zones[0])
	if len(pts) < 2 || !(step > 0) {
		t.Fatalf("%d points, %v m", len(pts), step)
	}
	lo, hi := geom.Vec{X: -3, Y: 0.5}, geom.Vec{X: 3, Y: 2.5}
	very := e.frontAverage(e.cellPoints(in.Brief.Zones[0], lo, hi, 240, 80))
	// The midpoint rule's error falls fourfold with each halving, so the last
	// change of under 1 % leaves at most 4/3 of it.
	within(t, "average", e.frontAverage(pts), very, 4./3*gridChange*very)
	if pts[0].At.Z != 2.2 {
		t.Errorf("face at %v m, want platform 0.6 + 1.6", pts[0].At.Z)
	}
}

func TestGridRefinesANarrowPool(t *testing.T) {
	in := gridInput()
	for i := range in.Sources {
		in.Sources[i].Dist = photometry.NewBeam(5, 0, 2e5)
	}
	e := &evaluator{in: in, sc: NewScene(in.Room), rays: &Rays{}, loss: 1}
	fine, _ := e.grid(in.Brief.Zones[0])
	e.in = gridInput()
	coarse, _ := e.grid(in.Brief.Zones[0])
	if len(fine) <= len(coarse) || len(fine) > gridSide*gridSide {
		t.Errorf("%d points for narrow pools, %d for wide ones", len(fine), len(coarse))
	}
}

func TestLossFactorScalesTheReport(t *testing.T) {
	in := gridInput()
	one, _ := Evaluate(in)
	in.LossFactor = 0.8
	less, _ := Evaluate(in)
	within(t, "average", less.Zones[0].AverageLx, 0.8*one.Zones[0].AverageLx, 1e-9*one.Zones[0].AverageLx)
	within(t, "unit alone stays", less.Units[0].NormalLx, one.Units[0].NormalLx, 0)
	in.LossFactor = 0
	if def, _ := Evaluate(in); def.LossFactor != defaultLoss {
		t.Errorf("loss factor %v where none is given", def.LossFactor)
	}
}

func TestMapCoversThePlatform(t *testing.T) {
	rep, _ := Evaluate(gridInput())
	m := rep.Map
	if m.NX*m.NY != len(m.Lx) || m.NX < 2 || m.MinX != -4 || m.StepM != mapStepM {
		t.Fatalf("map %d × %d from %v with %d values", m.NX, m.NY, m.MinX, len(m.Lx))
	}
	most := 0.0
	for _, v := range m.Lx {
		most = math.Max(most, v)
	}
	if most < rep.Zones[0].AverageLx {
		t.Errorf("brightest point %v lx under the zone's average %v", most, rep.Zones[0].AverageLx)
	}
}

func TestCoresDoNotChangeTheAnswer(t *testing.T) {
	before := runtime.GOMAXPROCS(1)
	one, fsOne := Evaluate(meetingHouseInput())
	runtime.GOMAXPROCS(2)
	two, fsTwo := Evaluate(meetingHouseInput())
	runtime.GOMAXPROCS(before)
	if fmt.Sprintf("%v", one) != fmt.Sprintf("%v", two) || !reflect.DeepEqual(keys(fsOne), keys(fsTwo)) {
		t.Error("one and two cores differ")
	}
}

func keys(fs []finding.Finding) []string {
	var out []string
	for _, f := range fs {
		out = append(out, f.Key+" "+f.Fingerprint)
	}
	return out
}

// TestFindingsRender: every place in the texts is filled.
func TestFindingsRender(t *testing.T) {
	in := meetingHouseInput()
	in.Sources[0].At = ft(2.5, 11, 11)
	in.Room.Solids = append(in.Room.Solids, ftBox("banner", ft(-1, 3, 4), ft(1, 3.5, 16)))
	in.Brief.Zones = append(in.Brief.Zones, brief.Zone{Name: "nowhere"})
	in.Room.Windows[3].Luminance = si.Known(si.Luminance(6000))
	_, fs := Evaluate(in)
	seen := map[string]bool{}
	for _, f := range fs {
		seen[f.Code] = true
		for _, d := range []si.Display{si.Metric, si.US} {
			r := in.Book.Render(f, d)
			if text := r.Title + r.Text + r.Advice; strings.ContainsAny(text, "{}") || strings.Contains(text, "unknown") {
				t.Errorf("%s: %s | %s | %s", f.Code, r.Title, r.Text, r.Advice)
			}
		}
		if f.Source == "" {
			t.Errorf("%s names no source", f.Code)
		}
	}
	if len(seen) < 10 {
		t.Errorf("only %d codes seen: %v", len(seen), seen)
	}
}

// TestOddDocuments: whatever is missing, there is an answer.
func TestOddDocuments(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := meetingHouseInput()
		odd := rapid.SampledFrom([]float64{0, -1, 1e9, math.NaN(), math.Inf(1), 3})
		drop := func(name string) bool { return rapid.Bool().Draw(t, "drop "+name) }
		if drop("surfaces") {
			in.Room.Surfaces = nil
		}
		if drop("platform") {
			in.Room.Platform = room.Platform{}
		}
		if drop("seating") {
			in.Room.Seating = []room.Seating{{Name: "empty"}}
		}
		if drop("lines") {
			in.Room.Lines = []room.Line{{Name: "point", Kind: "tension_rod"}}
		}
		if drop("screens") {
			in.Room.Screens = []room.Screen{{Name: "none"}}
		}
		if drop("windows") {
			in.Room.Windows = []room.Window{{Name: "none", Luminance: si.Known(si.Luminance(100))}}
		}
		if drop("survey") {
			in.Survey = survey.Survey{Sun: []survey.SunCheck{{}}}
		}
		if drop("solids") {
			in.Room.Solids = []room.Solid{{Name: "point", KeepClear: 1}}
		}
		z := &in.Brief.Zones[rapid.IntRange(0, 3).Draw(t, "zone")]
		z.Faces = nil
		if drop("extent") {
			x := odd.Draw(t, "extent")
			z.MinX, z.MaxX, z.MinY, z.MaxY = lm(x), lm(x), lm(x), lm(odd.Draw(t, "depth"))
		}
		for range rapid.IntRange(0, 3).Draw(t, "odd units") {
			s := &in.Sources[rapid.IntRange(0, len(in.Sources)-1).Draw(t, "unit")]
			s.At.Z, s.Aim.Y, s.FieldDeg, s.Level = odd.Draw(t, "z"), odd.Draw(t, "y"), odd.Draw(t, "field"), odd.Draw(t, "level")
			if drop("beam") {
				s.Dist = nil
			}
		}
		if drop("sources") {
			in.Sources = nil
		}
		rep, _ := Evaluate(in)
		if len(rep.Zones) != len(in.Brief.Zones) || len(rep.Units) != len(in.Sources) {
			t.Fatal("rows are missing")
		}
		in.Book = nil
		Evaluate(in)
	})
	Evaluate(Input{})
}

func ExampleDirect() {
	s := Source{At: geom.Vec{Y: -5, Z: 6}, Aim: geom.Vec{Z: 1.6}, Level: 1, Dist: photometry.NewBeam(26, 0, 20000)}
	c := Direct(s, Point{At: s.Aim, Normal: geom.Vec{Y: -1}}, Scene{})
	fmt.Printf("%.0f lx on the face, %.0f lx facing the unit\n", c.Lx, c.NormalLx)
	// Output: 338 lx on the face, 451 lx facing the unit
}

// BenchmarkOccluded asks rays from face height to hanging height in a room of
// 492 triangles: 6 beams and 34 pews.
func BenchmarkOccluded(b *testing.B) {
	r := room.Room{Surfaces: shell(geom.Vec{X: -6, Y: -20}, geom.Vec{X: 6, Y: 4, Z: 8})}
	for i := range 6 {
		y := 2 - 3.5*float64(i)
		r.Solids = append(r.Solids, room.Solid{Name: "beam", Faces: boxFaces(geom.Vec{X: -6, Y: y, Z: 6}, geom.Vec{X: 6, Y: y + .3, Z: 6.4})})
	}
	for i := range 34 {
		x, y := -5+5.5*float64(i%2), -2-1.0*float64(i/2)
		r.Solids = append(r.Solids, room.Solid{Name: "pew", Faces: boxFaces(geom.Vec{X: x, Y: y}, geom.Vec{X: x + 4.5, Y: y + .4, Z: .9})})
	}
	s := NewScene(r)
	const n = 4096
	var from, to [n]geom.Vec
	u := func(i, k int) float64 { // a low-discrepancy sequence, the same every run
		_, f := math.Modf(float64(i+1) * []float64{.7548776662, .5698402910, .3247179572, .8191725134, .6710436067, .5497004779}[k])
		return f
	}
	for i := range n {
		from[i] = geom.Vec{X: -5.9 + 11.8*u(i, 0), Y: -19.9 + 23.8*u(i, 1), Z: 1.2 + .5*u(i, 2)}
		to[i] = geom.Vec{X: -5.9 + 11.8*u(i, 3), Y: -19.9 + 23.8*u(i, 4), Z: 4 + 3.8*u(i, 5)}
	}
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		s.Occluded(from[i%n], to[i%n])
		i++
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds()/1e6, "Mrays/s")
}

func BenchmarkNewScene(b *testing.B) {
	r := meetingHouse()
	for b.Loop() {
		NewScene(r)
	}
}

// BenchmarkEvaluate is a room with 24 units, key places and a grid zone.
func BenchmarkEvaluate(b *testing.B) {
	in := meetingHouseInput()
	for i := 0; len(in.Sources) < 24; i++ {
		s := in.Sources[i]
		s.ID, s.At.X = s.ID+"'", -s.At.X
		in.Sources = append(in.Sources, s)
	}
	in.Brief.Zones = append(in.Brief.Zones, brief.Zone{Name: "whole", Level: "platform", MinX: lft(-17), MaxX: lft(17), MinY: lft(1), MaxY: lft(9), FaceHeight: lft(5.33)})
	for b.Loop() {
		Evaluate(in)
	}
}

// TestFluxArrivesOnTheWalls: what a unit sends out arrives on the inside of a
// closed room, none lost and none twice.
func TestFluxArrivesOnTheWalls(t *testing.T) {
	r := room.Room{Surfaces: shell(geom.Vec{X: -4, Y: -6}, geom.Vec{X: 4, Y: 4, Z: 6})}
	for _, dist := range []photometry.Distribution{photometry.NewBeam(60, 40, 5000), photometry.Lambert(3000)} {
		s := Source{ID: "a", At: geom.Vec{Y: -4, Z: 4.5}, Aim: geom.Vec{X: 1, Y: 1, Z: 1.5}, Level: 1, Dist: dist}
		e := &evaluator{in: Input{Room: r, Sources: []Source{s}}, sc: NewScene(r), rays: &Rays{}, loss: 1}
		sum := 0.0
		for _, f := range r.Surfaces {
			avg, _, _ := e.onSurface("", f.Polygon, 120)
			sum += avg * f.Polygon.Area()
		}
		const cellError = 2e-3 // of cells of 8 cm, and of points 5 mm off the walls
		within(t, "flux on the walls", sum, dist.FluxLm(), cellError*dist.FluxLm())
	}
}
