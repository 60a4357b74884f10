package light

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Exact sums of closed forms: only floating-point error is left.
const closedForm = 1e-9

func lampsAt(kind, fate string, lm float64, at ...geom.Vec) survey.ExistingLight {
	e := survey.ExistingLight{Name: kind + " lamps", Kind: kind, Count: len(at), Fate: fate, Flux: si.Known(si.LuminousFlux(lm))}
	for _, v := range at {
		e.Places = append(e.Places, survey.Place{X: si.Known(si.Length(v.X)), Y: si.Known(si.Length(v.Y)), Z: si.Known(si.Length(v.Z))})
	}
	return e
}

// oneSeat is a hall with one short row of seated eyes at 1.2 m.
func oneSeat() Input {
	r := room.Room{Footprint: geom.Polygon{{X: -5, Y: -10}, {X: 5, Y: -10}, {X: 5}, {X: -5}}}
	r.Seating = []room.Seating{{Rows: []room.SeatRow{{Left: geom.Vec{X: -.1, Y: -4, Z: 1.2}, Right: geom.Vec{X: .1, Y: -4, Z: 1.2}}}}}
	return Input{Room: r}
}

// hallFloor is the floor of the brick meeting house, 46 ft by 58 ft.
var hallFloor = geom.Polygon{{X: -23 * foot, Y: -44.5 * foot}, {X: 23 * foot, Y: -44.5 * foot}, {X: 23 * foot, Y: 13.5 * foot}, {X: -23 * foot, Y: 13.5 * foot}}

func placeOf(t testing.TB, ps []PlaceLight, name string) PlaceLight {
	t.Helper()
	for _, p := range ps {
		if p.Place == name {
			return p
		}
	}
	t.Fatalf("no light for %q", name)
	return PlaceLight{}
}

// A bare lamp of Φ lm straight above by d gives Φ/(4π·d²); one aside by a gives
// that over (d²+a²)^1.5 times d.
func TestReadingUnderBareLamps(t *testing.T) {
	in := oneSeat()
	const lm, d, a = 1000.0, 3.0, 2.0
	in.Survey.ExistingUnit = []survey.ExistingLight{lampsAt("house", "keep", lm, geom.Vec{Y: -4, Z: .8 + d}, geom.Vec{X: a, Y: -4, Z: .8 + d})}
	p := placeOf(t, Places(in), InSeats)
	want := houseLoss * lm / (4 * math.Pi) * (1/(d*d) + d/math.Pow(d*d+a*a, 1.5))
	if p.Points != 1 || math.Abs(p.BeforeLx-want) > closedForm*want || p.AfterLx != p.BeforeLx || p.BeforeReflectedLx != 0 {
		t.Errorf("%+v, want %v", p, want)
	}
	in.Survey.ExistingUnit[0].Fate = "remove"
	if p := placeOf(t, Places(in), InSeats); p.AfterLx != 0 || math.Abs(p.BeforeLx-want) > closedForm*want {
		t.Errorf("taken out: %+v", p)
	}
	in.Survey.ExistingUnit[0].Fate, in.Survey.ExistingUnit[0].LampCode = "relamp", "L"
	if p := placeOf(t, Places(in), InSeats); !math.IsNaN(p.AfterLx) || !math.IsNaN(p.AfterMinLx) {
		t.Errorf("a lamp nobody knows: %+v", p)
	}
	in.Catalogue = catalogue.NewSet([]catalogue.Fixture{{Code: "L", Class: catalogue.Lamp, Flux: 2 * lm}}, nil)
	if p := placeOf(t, Places(in), InSeats); math.Abs(p.AfterLx-2*want) > 2*closedForm*want {
		t.Errorf("twice the flux: %v, want %v", p.AfterLx, 2*want)
	}
}

// A lamp behind a wall gives nothing; emergency lights are counted by themselves,
// and not where their places are unknown.
func TestPlacesKeepEmergencyLightsApart(t *testing.T) {
	in := oneSeat()
	in.Survey.ExistingUnit = []survey.ExistingLight{lampsAt("emergency", "keep", 500, geom.Vec{Y: -4, Z: 2.5}), lampsAt("house", "keep", 1000, geom.Vec{Y: -4, Z: 4})}
	ps := Places(in)
	dark, up := placeOf(t, ps, WayOutDark), placeOf(t, ps, WayOut)
	if !(dark.BeforeLx > 0) || !(up.BeforeLx > 0) || dark.BeforeMinLx > dark.BeforeLx {
		t.Errorf("%+v\n%+v", dark, up)
	}
	in.Survey.ExistingUnit[0].Places = nil
	for _, p := range Places(in) {
		if p.Place == WayOutDark {
			t.Errorf("places unknown: %+v", p)
		}
	}
}

// Reflected light of the room comes on top, and never makes a place darker.
func TestPlacesWithReflectedLight(t *testing.T) {
	in := meetingHouseInput()
	in.Room.Footprint = hallFloor
	in.Survey.ExistingUnit = []survey.ExistingLight{{Name: "globes", Kind: "house", Count: 8, Watts: si.Known(si.Power(100)), Fate: "keep"}}
	bare := placeOf(t, Places(in), InSeats)
	in.Transport = NewTransport(in.Room)
	all := placeOf(t, Places(in), InSeats)
	if !(all.BeforeReflectedLx > 0) || math.Abs(all.BeforeLx-all.BeforeReflectedLx-bare.BeforeLx) > closedForm*all.BeforeLx {
		t.Errorf("direct %v, with the room %v of which reflected %v", bare.BeforeLx, all.BeforeLx, all.BeforeReflectedLx)
	}
	if !strings.Contains(all.Basis, "spread evenly: globes") || !strings.Contains(all.Basis, "15 lm a watt") || !strings.Contains(bare.Basis, "direct light only") {
		t.Errorf("basis %q", all.Basis)
	}
}

func TestOldLampFlux(t *testing.T) {
	w := func(watts, lm float64, base string) survey.ExistingLight {
		return survey.ExistingLight{Watts: si.Known(si.Power(watts)), Flux: si.Known(si.LuminousFlux(lm)), Base: base}
	}
	for _, c := range []struct {
		l       survey.ExistingLight
		lm      float64
		assumed bool
	}{{w(60, 0, "E26"), 900, true}, {w(60, 710, "E26"), 710, false}, {w(36, 0, "G13"), 2520, true}, {w(20, 0, "G53"), 300, true}, {w(20, 0, "G5.3"), 300, true}, {w(28, 0, "g5"), 1960, true}, {w(0, 0, ""), 0, true}, {w(math.NaN(), 0, ""), 0, true}, {w(math.Inf(1), math.Inf(1), ""), 0, true}} {
		if lm, assumed := OldLampLm(c.l); lm != c.lm || assumed != c.assumed {
			t.Errorf("%+v: %v lm, assumed %v", c.l, lm, assumed)
		}
	}
}

// Twice the flux is twice the light, wherever the lamps hang.
func TestPlacesAreLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := oneSeat()
		var at []geom.Vec
		for range rapid.IntRange(1, 6).Draw(t, "lamps") {
			at = append(at, geom.Vec{X: rapid.Float64Range(-4, 4).Draw(t, "x"), Y: rapid.Float64Range(-9, -1).Draw(t, "y"), Z: rapid.Float64Range(1.5, 6).Draw(t, "z")})
		}
		lm := rapid.Float64Range(1, 5000).Draw(t, "flux")
		in.Survey.ExistingUnit = []survey.ExistingLight{lampsAt("house", "keep", lm, at...)}
		a := placeOf2(Places(in))
		in.Survey.ExistingUnit = []survey.ExistingLight{lampsAt("house", "keep", 2*lm, at...)}
		if b := placeOf2(Places(in)); math.Abs(b-2*a) > closedForm*b {
			t.Fatalf("%v and %v", a, b)
		}
	})
}

func placeOf2(ps []PlaceLight) float64 {
	if len(ps) == 0 {
		return math.NaN()
	}
	return ps[0].BeforeLx
}

func TestPlacesOfNothing(t *testing.T) {
	if ps := Places(Input{}); ps != nil {
		t.Errorf("%+v", ps)
	}
	if ps := Places(oneSeat()); ps != nil {
		t.Errorf("no lights: %+v", ps)
	}
}

func BenchmarkPlaces(b *testing.B) {
	in := meetingHouseInput()
	in.Room.Footprint = hallFloor
	in.Survey.ExistingUnit = []survey.ExistingLight{{Name: "globes", Kind: "house", Count: 88, Watts: si.Known(si.Power(60)), Fate: "keep"}}
	in.Transport = NewTransport(in.Room)
	for b.Loop() {
		Places(in)
	}
}
