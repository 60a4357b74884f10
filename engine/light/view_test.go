package light

import (
	"bytes"
	"math"
	"runtime"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// TestFrameShowsLuminance: in a cube of one reflectance with an even source in
// its middle a wall's pixel has ρ·E/π, with E from the direct law and the mean
// reflected light. Source: Lambert's law.
func TestFrameShowsLuminance(t *testing.T) {
	r := cubeRoom(.5, .5, .5)
	tr := NewTransport(r)
	m := NewModel(tr, r, nil)
	lit := m.Light([]Source{{Level: 1, At: geom.Vec{Z: 2}, Aim: geom.Vec{}, Dist: uniform(1000)}}, nil, 1)
	f := lit.Render(View{Eye: geom.Vec{Y: -1.9, Z: 2}, Look: geom.Vec{Y: 2, Z: 2}, WidthDeg: 40, Cols: 33, Rows: 21})
	middle := f.cd[10*33+16]
	_, wall := lit.field.OnSurface("wall_behind")
	// Straight on at 2 m: 250 lx direct; the wall's middle gets a little more
	// reflected light than its mean.
	lx := math.Pi * luminance(middle) / (.5 * luminance(colours["wall"]))
	within(t, "lx on the wall's middle", lx, 250+wall, .05*(250+wall))
	if corner := f.cd[0]; !(luminance(corner) < luminance(middle)) {
		t.Errorf("corner %v, middle %v", corner, middle)
	}
}

// TestTone: Reinhard's curve at its known points: a luminance at the mean with
// key k becomes k/(1+k), the white luminance becomes 1; it never falls.
func TestTone(t *testing.T) {
	shot := func(y, mean, white float64) uint8 {
		f := Frame{View: View{Cols: 1, Rows: 1}, cd: []radiance{{y, y, y}}}
		return f.Tone(mean, white).RGB[0]
	}
	if got, want := shot(10, 10, 1e9), encode(greyKey/(1+greyKey)); got != want {
		t.Errorf("middle %d, want %d", got, want)
	}
	if got := shot(400, 10, 400); got != 255 {
		t.Errorf("white %d", got)
	}
	if shot(0, 10, 400) != 0 || shot(5, 0, 400) == 0 {
		t.Error("tone of nothing")
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0, 1e4).Draw(t, "a"), rapid.Float64Range(0, 1e4).Draw(t, "b")
		if a > b {
			a, b = b, a
		}
		if shot(a, 20, 800) > shot(b, 20, 800) {
			t.Fatalf("%v is brighter than %v", a, b)
		}
	})
	// sRGB: linear 0.5 is 188, 0.2140 is 128 (IEC 61966-2-1).
	if encode(.5) != 188 || encode(.2140) != 127 && encode(.2140) != 128 || encode(-1) != 0 || encode(2) != 255 || encode(math.NaN()) != 0 || encode(math.Inf(1)) != 255 {
		t.Errorf("sRGB %d %d", encode(.5), encode(.2140))
	}
}

func shotInput() ShotInput {
	in := houseWithTransport()
	rep, _ := Evaluate(in)
	out := ShotInput{Room: in.Room, Brief: in.Brief, Survey: in.Survey, Sources: in.Sources, Zones: rep.Zones, Transport: in.Transport}
	out.Survey.ExistingUnit = []survey.ExistingLight{
		{Name: "coves", Kind: "house", Count: 12, Watts: si.Known(si.Power(60)), Fate: "keep"},
		{Name: "old floods", Kind: "stage", Count: 2, Watts: si.Known(si.Power(300)), Fate: "remove"},
		{Name: "exit", Kind: "exit", Count: 2, Watts: si.Known(si.Power(10))}}
	out.Room.Footprint = geom.Polygon{ft(-23, 44.5, 0), ft(23, 44.5, 0), ft(23, -13.5, 0), ft(-23, -13.5, 0)}
	out.Room.Ceiling = room.Ceiling{Shape: "flat", Eaves: 26 * si.Foot}
	return out
}

// TestShots: four pictures, the same on one core and on several; the faces'
// part is brighter after.
func TestShots(t *testing.T) {
	in := shotInput()
	in.Cols = 200
	shots := Shots(in)
	var names []string
	for _, s := range shots {
		names = append(names, s.Name)
		if len(s.RGB) != 3*s.Cols*s.Rows || s.Title == "" {
			t.Errorf("%s: %d bytes", s.Name, len(s.RGB))
		}
	}
	if len(shots) != 4 || names[0] != "seat-before" || names[3] != "camera-after" {
		t.Fatalf("%v", names)
	}
	sum := func(s Shot) (n float64) {
		for _, v := range s.RGB {
			n += float64(v)
		}
		return n / float64(len(s.RGB))
	}
	if before, after := sum(shots[2]), sum(shots[3]); !(after > before+5) {
		t.Errorf("the camera sees %v before and %v after", before, after)
	}
	was := runtime.GOMAXPROCS(1)
	again := Shots(in)
	runtime.GOMAXPROCS(was)
	for i := range shots {
		if !bytes.Equal(shots[i].RGB, again[i].RGB) {
			t.Errorf("%s differs on one core", shots[i].Name)
		}
	}
}

// TestHouseSources: what hangs today and what stays, gathered without loss of
// flux; emergency lights are left out.
func TestHouseSources(t *testing.T) {
	in := shotInput()
	flux := func(ss []Source) (lm float64) {
		for _, s := range ss {
			lm += s.Level * s.Dist.FluxLm()
		}
		return lm
	}
	now := HouseSources(in.Room, in.Survey, in.Catalogue, false)
	within(t, "today", flux(now), (12*60+2*300)*tungstenLmPerW, 1e-6)
	within(t, "after", flux(HouseSources(in.Room, in.Survey, in.Catalogue, true)), 12*60*tungstenLmPerW, 1e-6)
	g := gathered(now)
	within(t, "gathered", flux(g), flux(now), 1e-6)
	if len(g) != gatheredMost+2 {
		t.Errorf("%d sources for two groups", len(g))
	}
	// One place for many, more lamps than are drawn, tubes, and two groups without a
	// name: each keeps its flux.
	in.Survey.ExistingUnit = []survey.ExistingLight{
		{Kind: "house", Count: 6, Watts: si.Known(si.Power(36)), Base: "G13", Places: []survey.Place{{X: si.Known(si.Length(0)), Y: si.Known(si.Length(-5)), Z: si.Known(si.Length(6))}}},
		{Kind: "house", Count: 88, Watts: si.Known(si.Power(60))}}
	all := 6*36*tubeLmPerW + 88*60*tungstenLmPerW
	now = HouseSources(in.Room, in.Survey, in.Catalogue, false)
	within(t, "many", flux(now), float64(all), 1e-6)
	within(t, "many gathered", flux(gathered(now)), float64(all), 1e-6)
	if Shots(ShotInput{}) != nil {
		t.Error("pictures of nothing")
	}
}

// TestRoomByDay: a window shows its luminance, what it brings in is audited, a
// floor under the sun's beam is brighter by E·cos·τ·ρ/π than beside it, and glass
// of a colour looks of that colour. Source: Lambert's law.
func TestRoomByDay(t *testing.T) {
	r := cubeRoom(.5, .5, .5)
	pane := geom.Polygon{{X: -2, Y: .5, Z: 1}, {X: -2, Y: -.5, Z: 1}, {X: -2, Y: -.5, Z: 3}, {X: -2, Y: .5, Z: 3}}
	if pane.Normal().X < 0 {
		pane[0], pane[1], pane[2], pane[3] = pane[1], pane[0], pane[3], pane[2]
	}
	r.Windows = []room.Window{{Name: "west", Polygon: pane}}
	m := NewModel(NewTransport(r), r, nil)
	sun := geom.Vec{X: -1, Z: 1}.Unit()
	day := Day{Toward: sun, SunNormalLx: 50000, Panes: []DayPane{{Name: "west", Polygon: pane, Normal: geom.Vec{X: 1}, FluxLm: 2000, CdM2: 5000, BeamShare: .6, X: .2, Y: .19}}}
	lit := m.LightByDay(nil, nil, .9, day)
	// What comes in: the even flux and the beam's, over the 0.9 that the field is later multiplied by.
	within(t, "flux", .9*lit.field.FluxLm, 2000+2*50000*sun.X*-1*.6, 1e-6*50000)
	in, out := geom.Vec{X: 0}, geom.Vec{X: 0, Y: 1.5} // the beam falls at x = −2 + z
	within(t, "sun on the floor", lit.sunOn(in, geom.Vec{Z: 1}), 50000*sun.Z*.6, 1e-6)
	if lit.sunOn(out, geom.Vec{Z: 1}) != 0 || lit.sunOn(in, geom.Vec{Z: -1}) != 0 {
		t.Error("sun beside the beam or from below")
	}
	f := lit.Render(View{Eye: geom.Vec{X: 1.5, Z: 2}, Look: geom.Vec{X: -2, Z: 2}, WidthDeg: 10, Cols: 3, Rows: 3})
	seen := f.cd[4]
	if got := seen[2] / seen[0]; !(got > 3) {
		t.Errorf("a blue window looks %v", seen)
	}
	white := linearSRGB(.3127, .3290)
	for k := range white {
		within(t, "D65", white[k], 1, .01)
	}
	night := m.Light(nil, nil, .9).Render(f.View)
	if !(luminance(seen) > 100*luminance(night.cd[4])) {
		t.Errorf("by day %v, by night %v", seen, night.cd[4])
	}
}

// TestNoPictureOfTodayIsSaid: where no light of today is surveyed there is no
// picture of it, and the pictures of the scheme say why.
func TestNoPictureOfTodayIsSaid(t *testing.T) {
	in := shotInput()
	in.Cols, in.Survey.ExistingUnit = 40, nil
	for _, s := range Shots(in) {
		if strings.Contains(s.Name, "before") || !strings.Contains(s.Title, "no picture of today") {
			t.Errorf("%s: %q", s.Name, s.Title)
		}
	}
	for _, s := range Shots(func() ShotInput { in := shotInput(); in.Cols = 40; return in }()) {
		if strings.Contains(s.Title, "no picture of today") {
			t.Errorf("%s: %q", s.Name, s.Title)
		}
	}
}
