package light

import (
	"math"
	"testing"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// What a zone gets today: straight light by the inverse square of one lamp, Φ·cosθ/(4πd²),
// and the more reflected light the brighter the walls are now.
func TestTodayOfOneLamp(t *testing.T) {
	painted := func(r room.Room, rho float64) room.Room {
		r.Surfaces = append([]room.Surface(nil), r.Surfaces...)
		for i := range r.Surfaces {
			r.Surfaces[i].Reflectance = rho
		}
		return r
	}
	in := meetingHouseInput()
	lamp := geom.Vec{Y: -5, Z: 4}
	m := func(v float64) survey.L { return si.Known(si.Length(v)) }
	const flux = 5000.0
	in.Survey.ExistingUnit = []survey.ExistingLight{{Name: "lantern", Kind: "house", Count: 1, Flux: si.Known(si.LuminousFlux(flux)),
		Places: []survey.Place{{X: m(lamp.X), Y: m(lamp.Y), Z: m(lamp.Z)}}, Fate: "remove"}}
	if r, _ := Evaluate(in); len(r.Today) != 0 {
		t.Error("today was not asked for")
	}
	bare := in.Room
	bare.Lines, bare.Solids, bare.Glosses, bare.Screens = nil, nil, nil, nil // nothing stands in the way
	in.Today = &Today{Room: bare}
	r, _ := Evaluate(in)
	if len(r.Today) != len(r.Zones) {
		t.Fatalf("%d of %d zones", len(r.Today), len(r.Zones))
	}
	for i, z := range r.Zones {
		want := 0.0
		for _, f := range z.Faces {
			d := lamp.Sub(f.At)
			want += math.Max(0, f.Facing.Dot(d.Unit())) * flux / (4 * math.Pi * d.Dot(d)) / float64(len(z.Faces))
		}
		if got := r.Today[i]; math.Abs(got.DirectLx-want) > 1e-6*want || got.IndirectLx != 0 || got.AverageLx != got.DirectLx {
			t.Errorf("%s: %+v, want %v lx straight", z.Name, got, want)
		}
	}
	reflected := func(rho float64) float64 {
		now := painted(bare, rho)
		in.Today = &Today{Room: now, Transport: NewTransport(now)}
		r, _ := Evaluate(in)
		return r.Today[0].IndirectLx
	}
	if dark, bright := reflected(.2), reflected(.6); !(dark > 0 && bright > 2*dark) {
		t.Errorf("reflected %v lx from dark walls, %v from bright ones", dark, bright)
	}
	in.Survey.ExistingUnit = nil
	if r, _ := Evaluate(in); len(r.Today) != 0 {
		t.Error("no light is surveyed")
	}
}
