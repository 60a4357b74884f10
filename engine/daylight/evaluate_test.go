package daylight

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"roodbeam/engine/brief"
	"roodbeam/engine/enginetest/reference"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// eastWindow is a hall of 10 × 10 × 6 m whose congregation looks north, with
// one window in its east wall, one face and a service on Sunday mornings at
// 42° N. The platform covers the floor.
func eastWindow(glass string) Input {
	lo, hi := geom.Vec{X: -5, Y: -9}, geom.Vec{X: 5, Y: 1, Z: 6}
	r := room.Room{Surfaces: reference.Shell(lo, hi)}
	for i := range r.Surfaces {
		r.Surfaces[i].Reflectance = .5
	}
	pane := geom.Polygon{{X: 5, Y: -3, Z: 2}, {X: 5, Y: -5, Z: 2}, {X: 5, Y: -5, Z: 4}, {X: 5, Y: -3, Z: 4}}
	if pane.Normal().X > 0 {
		pane[0], pane[1], pane[2], pane[3] = pane[1], pane[0], pane[3], pane[2]
	}
	r.Windows = []room.Window{{Name: "east", Polygon: pane, Glass: glass}}
	r.Platform.Outline = geom.Polygon{{X: -5, Y: -9}, {X: 5, Y: -9}, {X: 5, Y: 1}, {X: -5, Y: 1}}
	return Input{Room: r, From: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), Location: time.FixedZone("UTC-5", -5*3600),
		Brief: brief.Brief{Calendar: brief.Calendar{Services: []brief.Service{{Name: "morning", Weekday: time.Sunday, Hour: 8, Minutes: 60},
			{Name: "night", Weekday: time.Sunday, Hour: 23, Minutes: 30}}}},
		Survey:    survey.Survey{Site: survey.Site{LatitudeDeg: 42, LongitudeDeg: -75, Orientation: true}},
		Transport: light.NewTransport(r),
		Light: light.Report{Zones: []light.Zone{{Name: "desk", KeyLx: 400, Faces: []light.Face{
			{Name: "reader", At: geom.Vec{X: -1, Y: -2, Z: 1.6}, Facing: geom.Vec{X: .6, Y: -.8}}}}}},
		Book: finding.NewBook(), Region: "us"}
}

// TestSunPatchIsAProjection: a window wholly projected on the level keeps its
// area times |n·s|/sz. Source: parallel projection.
func TestSunPatchIsAProjection(t *testing.T) {
	in := eastWindow("clear")
	e := &evaluator{in: SettingOf(in), transport: in.Transport, sc: light.NewScene(in.Room)}
	e.openings()
	when := time.Date(2026, 3, 22, 9, 0, 0, 0, in.Location)
	m := e.moment(when, ClearDay)
	if m.toward.X < .5 || m.toward.Z < .3 {
		t.Fatalf("the sun stands at %v", m.toward)
	}
	patches := e.patches("morning", &m)
	if len(patches) != 1 {
		t.Fatalf("%d patches", len(patches))
	}
	p := patches[0]
	within(t, "area", p.AreaM2, 4*m.toward.X/m.toward.Z, 1e-9)
	var c geom.Vec
	for _, v := range p.Polygon {
		c = c.Add(geom.Vec{X: v.XM / 4, Y: v.YM / 4})
	}
	s := 3 / m.toward.Z
	within(t, "middle x", c.X, 5-s*m.toward.X, 1e-9)
	within(t, "middle y", c.Y, -4-s*m.toward.Y, 1e-9)
	glass, _ := GlassOf("clear")
	within(t, "illuminance", p.Lx, m.out.SunLx*glass.Transmittance(math.Acos(m.toward.X)), 1e-6)
	// A face on the ray through the middle of the glass gets the sun; its
	// neighbour 2.5 m along the ray's side does not.
	f := face{at: c.Add(m.toward.Scale(2)), normal: m.toward, factors: []float64{0}}
	lx, through := e.sunOn(&m, f)
	within(t, "sun on the face", lx, m.out.NormalLx*glass.Transmittance(math.Acos(m.toward.X)), 1e-6)
	if through != 0 {
		t.Errorf("through %d", through)
	}
	f.at.Y += 2.5
	if lx, _ := e.sunOn(&m, f); lx != 0 {
		t.Errorf("%v lx past the window", lx)
	}
}

// TestWorstHour: the service in the morning is the year's worst, the one at
// night brings nothing; windows, zones and findings follow.
func TestWorstHour(t *testing.T) {
	rep, fs := Evaluate(eastWindow("clear"))
	if len(rep.Hours) != 2 || rep.Worst != "morning" || rep.Hours[1].FaceLx != 0 || rep.Hours[1].SunElevationDeg > 0 {
		t.Fatalf("%+v", rep.Hours)
	}
	h := rep.Hours[0]
	if !(h.SunLx > 1000) || h.Window != "east" || h.Face != "reader" || h.SunHours == 0 || h.SunHours == h.HoursSeen || h.HoursSeen != 260 {
		t.Errorf("%+v", h)
	}
	if l := h.When.In(time.FixedZone("", -5*3600)); l.Weekday() != time.Sunday || l.Hour() < 8 || l.Hour() > 9 {
		t.Errorf("at %v", l)
	}
	z := rep.Zones[0]
	if !(z.SkyLx > 0) || !(z.ReflectedLx > 0) || math.Abs(z.TotalLx-z.SunLx-z.SkyLx-z.ReflectedLx) > 1e-6 || !(z.OvercastLx < z.TotalLx) || !(z.OvercastLx > 0) {
		t.Errorf("%+v", z)
	}
	var codes []string
	for _, f := range fs {
		codes = append(codes, f.Code)
	}
	want := []string{"DAYLIGHT_SUN_ON_FACE", "DAYLIGHT_OVER_KEY", "DAYLIGHT_SUN_PATCH"}
	if diff := cmp.Diff(want, codes, cmpopts.SortSlices(func(a, b string) bool { return a < b })); diff != "" {
		t.Error(diff)
	}
}

// TestBlindAndDiffusingGlass: a blind silences the finding, diffusing glass
// lets no sun through as a beam but shines itself.
func TestBlindAndDiffusingGlass(t *testing.T) {
	in := eastWindow("clear")
	in.Room.Windows[0].Blind = true
	rep, fs := Evaluate(in)
	if !rep.Hours[0].Blind {
		t.Errorf("%+v", rep.Hours[0])
	}
	for _, f := range fs {
		if f.Code == "DAYLIGHT_SUN_ON_FACE" || f.Code == "DAYLIGHT_SUN_PATCH" {
			t.Errorf("%+v", f)
		}
	}
	rep, _ = Evaluate(eastWindow("frosted"))
	if rep.Hours[0].SunLx != 0 || len(rep.Patches) != 0 || !(rep.Windows[0].LuminanceCdM2 > rep.Windows[0].OvercastCdM2) {
		t.Errorf("%+v %+v", rep.Hours[0], rep.Windows)
	}
	dense, _ := Evaluate(eastWindow("stained_dense"))
	// Ratio of the panes' direct-beam or diffuse transmittance: 0.05·0.8·0.8 to 0.7·0.8·0.85.
	d, f := dense.Windows[0], rep.Windows[0]
	within(t, "dense to frosted", d.Transmittance/f.Transmittance, .05*.8/(.7*.85), 1e-9)
}

// TestWindowLightAgainstClosedForm: an evenly bright pane on an upright face,
// by the sum the room's light is made of and by the polygon's own factor.
func TestWindowLightAgainstClosedForm(t *testing.T) {
	in := eastWindow("frosted")
	e := &evaluator{in: SettingOf(in), transport: in.Transport, sc: light.NewScene(in.Room)}
	e.openings()
	at, n := geom.Vec{X: 2, Y: -4, Z: 3}, geom.Vec{X: 1}
	// Straight before the middle of 2 × 2 m at 3 m: four corners of 1 × 1 at 3.
	f := face{at: at, parts: [][]geom.Polygon{e.visible(at, e.panes[0])}}.turned(n)
	within(t, "factor", f.factors[0], 4*light.PointToCorner(1, 1, 3), 1e-12)
	if e.visible(geom.Vec{X: 6, Y: -4, Z: 3}, e.panes[0]) != nil {
		t.Error("seen from outside")
	}
}

// TestRatioBetweenSteps holds the interpolated ratio against the sum itself.
func TestRatioBetweenSteps(t *testing.T) {
	e := &evaluator{}
	for _, s := range []Sky{Overcast, Clear} {
		for deg := 0.5; deg < 90; deg += 3.7 {
			want := s.HorizontalRatio(deg * rad)
			within(t, "ratio", e.ratio(s, deg), want, .005*want)
		}
	}
}

// TestZenithMakesTheSky: a moment's zenith luminance with the sky's spread at that
// height of the sun gives the sky's light outside again, clear and overcast.
func TestZenithMakesTheSky(t *testing.T) {
	in := eastWindow("clear")
	e := &evaluator{in: SettingOf(in), sc: light.NewScene(in.Room)}
	for _, hour := range []int{8, 10, 12} {
		for _, w := range []Weather{ClearDay, OvercastDay} {
			m := e.moment(time.Date(2026, 6, 21, hour, 0, 0, 0, in.Location), w)
			apparent := m.sun.ElevationDeg + Refraction(m.sun.ElevationDeg)
			got := m.lz * m.sky.HorizontalRatio(math.Pi/2-apparent*rad)
			within(t, "sky", got, m.out.SkyLx, .005*m.out.SkyLx)
			if !(m.out.SkyLx > 0) {
				t.Errorf("no light at %d o'clock in June", hour)
			}
		}
	}
}

// TestSunByDateAndHour: the moments with sun on the platform are those at which
// the sun stands before the east window, high enough that its light falls short
// of the far wall; none at night, and none through glass that spreads it.
func TestSunByDateAndHour(t *testing.T) {
	in := eastWindow("clear")
	rep, _ := Evaluate(in)
	if len(rep.Sun) < 20 || len(rep.Sun) > 260 {
		t.Fatalf("%d moments", len(rep.Sun))
	}
	for i, s := range rep.Sun {
		if s.Service != "morning" || s.When.Weekday() != time.Sunday || s.When.Hour() < 8 || s.When.Hour() > 9 {
			t.Fatalf("%+v", s)
		}
		if i > 0 && !s.When.After(rep.Sun[i-1].When) {
			t.Fatalf("%v after %v", s.When, rep.Sun[i-1].When)
		}
		sun := SunAt(s.When, 42, -75)
		if !(sun.ElevationDeg > 0) || !(s.AreaM2 > 0) || !(s.MostLx > 0) || len(s.Windows) != 1 || s.Blind {
			t.Fatalf("%+v with the sun at %+v", s, sun)
		}
	}
	if rep, _ = Evaluate(eastWindow("stained_red")); len(rep.Sun) != 0 {
		t.Error("sun patches through glass that spreads the light")
	}
}

// TestTowardCameras: a camera that looks at the lit side of a face gets more
// daylight than one that looks at the other, clear glass gives daylight's white,
// and glass of one colour that colour. A meter's reading replaces the kind's
// transmittance, a measured tint its colour.
func TestTowardCameras(t *testing.T) {
	at := func(name string, x, y float64) brief.Camera {
		l := func(v float64) brief.L { return si.Known(si.Length(v)) }
		return brief.Camera{Name: name, X: l(x), Y: l(y), Z: l(1.6)}
	}
	evaluate := func(glass string, change func(*room.Window)) Report {
		in := eastWindow(glass)
		change(&in.Room.Windows[0])
		in.Brief.Cameras = []brief.Camera{at("east", 4, -4), at("west", -4.5, -2)}
		for _, c := range in.Brief.Cameras {
			in.Light.Cameras = append(in.Light.Cameras, light.Camera{Name: c.Name, Zones: []light.CameraZone{{Zone: "desk"}}})
		}
		rep, _ := Evaluate(in)
		if len(rep.Cameras) != 2 {
			t.Fatalf("%+v", rep.Cameras)
		}
		return rep
	}
	same := func(*room.Window) {}
	clear := evaluate("clear", same)
	if e, w := clear.Cameras[0], clear.Cameras[1]; !(e.Lx > 3*w.Lx) || !(w.Lx > 0) {
		t.Errorf("east %v lx, west %v lx", e.Lx, w.Lx)
	}
	for _, c := range clear.Cameras {
		within(t, "clear glass, x", c.ChromaX, clearWhite[0], 1e-9)
		within(t, "clear glass, y", c.ChromaY, clearWhite[1], 1e-9)
	}
	for _, c := range evaluate("stained_blue", same).Cameras {
		within(t, "blue glass, x", c.ChromaX, .200, 1e-9)
		within(t, "blue glass, y", c.ChromaY, .190, 1e-9)
	}
	// A zone's light is the average of its faces: twice the same face is as much.
	twice := eastWindow("clear")
	twice.Light.Zones[0].Faces = append(twice.Light.Zones[0].Faces, twice.Light.Zones[0].Faces[0])
	twice.Brief.Cameras = []brief.Camera{at("east", 4, -4)}
	twice.Light.Cameras = []light.Camera{{Name: "east", Zones: []light.CameraZone{{Zone: "desk"}}}}
	both, _ := Evaluate(twice)
	within(t, "two equal faces", both.Cameras[0].Lx, clear.Cameras[0].Lx, 1e-9*clear.Cameras[0].Lx)
	kind := evaluate("stained_blue", same)
	read := evaluate("stained_blue", func(w *room.Window) { w.Transmittance, w.TintX, w.TintY = .2, .25, .27 })
	// Its kind passes 0.06·0.8·0.8 straight, times 0.8786 from the whole sky.
	within(t, "reading against kind", read.Cameras[0].Lx/kind.Cameras[0].Lx, .2/(.06*.8*.8*.8786), 1e-6)
	within(t, "tint as measured", read.Cameras[0].ChromaX, .25, 1e-9)
	if !read.Windows[0].Measured || read.Windows[0].Assumed || kind.Windows[0].Measured {
		t.Errorf("%+v", read.Windows[0])
	}
}

func TestPlacesUnknown(t *testing.T) {
	in := eastWindow("clear")
	in.Survey.Site.Orientation = false
	rep, fs := Evaluate(in)
	if len(rep.Hours) != 0 || len(fs) != 1 || fs[0].Code != "DAYLIGHT_PLACE_UNKNOWN" || !(rep.AverageFactorPct > 0) {
		t.Errorf("%+v %+v", rep, fs)
	}
	in.Room.Windows = nil
	if rep, fs := Evaluate(in); len(fs) != 0 || !math.IsNaN(rep.AverageFactorPct) {
		t.Errorf("%+v %+v", rep, fs)
	}
	in = eastWindow("clear")
	in.Location, in.Transport, in.Book = nil, nil, nil
	if rep, _ := Evaluate(in); len(rep.Limits) < 4 || rep.Zones[0].ReflectedLx != 0 {
		t.Errorf("%+v", rep)
	}
}

func BenchmarkYear(b *testing.B) {
	r := reference.Room()
	in := Input{Room: r, Brief: reference.Brief(), From: time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), Transport: light.NewTransport(r),
		Survey: survey.Survey{Site: survey.Site{LatitudeDeg: 50, LongitudeDeg: 8, Orientation: true, CongregationFacingDeg: 90}}}
	in.Brief.Calendar.Services = []brief.Service{{Name: "morning", Weekday: time.Sunday, Hour: 10, Minutes: 75}}
	for i := range in.Brief.Zones {
		in.Brief.Zones[i].Target = si.Known(si.Illuminance(500))
	}
	in.Light, _ = light.Evaluate(light.Input{Room: r, Brief: in.Brief, Sources: reference.Sources()})
	b.ReportAllocs()
	for b.Loop() {
		Evaluate(in)
	}
}

// TestOddRooms: whatever stands in the documents, an answer comes, its chromaticity
// is one and nothing in it is negative.
func TestOddRooms(t *testing.T) {
	base := eastWindow("clear")
	base.Transport = nil
	base.Brief.Calendar.Services = base.Brief.Calendar.Services[:1]
	rapid.Check(t, func(t *rapid.T) {
		in := base
		odd := rapid.SampledFrom([]float64{0, -1, 1e-9, .3, 1, 5, 90, 1e9, math.NaN(), math.Inf(1), math.Inf(-1)})
		p := append(geom.Polygon(nil), base.Room.Windows[0].Polygon...)
		if rapid.Bool().Draw(t, "odd corner") {
			p[rapid.IntRange(0, 3).Draw(t, "corner")] = geom.Vec{X: odd.Draw(t, "x"), Y: odd.Draw(t, "y"), Z: odd.Draw(t, "z")}
		}
		p = p[:rapid.IntRange(0, 4).Draw(t, "corners")]
		in.Room.Windows = []room.Window{{Name: "w", Polygon: p, Glass: rapid.SampledFrom([]string{"", "clear", "stained_red", "nonsense"}).Draw(t, "glass"),
			Transmittance: odd.Draw(t, "transmittance"), TintX: odd.Draw(t, "tint x"), TintY: odd.Draw(t, "tint y")}}
		in.Survey.Site.LatitudeDeg = rapid.SampledFrom([]float64{42, -90, 90, 66.6, 0}).Draw(t, "latitude")
		face := in.Light.Zones[0].Faces[0]
		l := func(v float64) brief.L { return si.Known(si.Length(v)) }
		in.Brief.Cameras = []brief.Camera{{Name: "C", X: l(face.At.X), Y: l(face.At.Y), Z: l(face.At.Z + rapid.Float64Range(0, 1).Draw(t, "over"))}}
		in.Light.Cameras = []light.Camera{{Name: "C", Zones: []light.CameraZone{{Zone: "desk"}, {Zone: "no such zone"}}}}
		rep, _ := Evaluate(in)
		for _, c := range rep.Cameras {
			if !(c.Lx >= 0) || !(c.ChromaX >= 0) || !(c.ChromaY >= 0) || c.ChromaX+c.ChromaY > 1 {
				t.Fatalf("%+v", c)
			}
		}
		for _, s := range rep.Sun {
			if !(s.AreaM2 > 0) || !(s.MostLx >= 0) {
				t.Fatalf("%+v", s)
			}
		}
		for _, h := range rep.Hours {
			if !(h.FaceLx >= 0) || !(h.WindowCdM2 >= 0) {
				t.Fatalf("%+v", h)
			}
		}
		if len(rep.Hours) > 0 {
			Day(in, rep.Hours[0].When)
		}
	})
}
