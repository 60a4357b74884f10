package scheme

import (
	"math"
	"testing"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/colour"
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
)

// sourceOf returns the light of one unit of one fixture.
func sourceOf(f catalogue.Fixture, u Unit) (level, chromaX float64, d photometry.Distribution) {
	f.Code, u.Fixture = "F", "F"
	s := Sources([]Placed{{Unit: u, Target: geom.Vec{Y: 5}}}, catalogue.NewSet(nil, []catalogue.Fixture{f}))[0]
	return s.Level, s.ChromaX, s.Dist
}

func TestSourcesDim(t *testing.T) {
	for curve, want := range map[photometry.Dimming]float64{"": .5, photometry.DimLinear: .5, photometry.DimSquare: .25, photometry.DimS: .5} {
		if got, _, _ := sourceOf(catalogue.Fixture{Flux: 1000, Dimming: curve}, Unit{LevelPct: 50}); math.Abs(got-want) > 1e-12 {
			t.Errorf("%q at 50 %%: %v, want %v", curve, got, want)
		}
	}
}

func TestSourcesWhite(t *testing.T) {
	lamp := catalogue.Fixture{Flux: 1000, CCTK: 3000}
	if _, x, _ := sourceOf(lamp, Unit{}); x != colour.LampWhite(3000).X {
		t.Errorf("a lamp of its own white: x %v", x)
	}
	if _, x, _ := sourceOf(lamp, Unit{WhiteK: 5000}); x != colour.LampWhite(5000).X {
		t.Errorf("a lamp set to another white: x %v", x)
	}
	if _, x, _ := sourceOf(catalogue.Fixture{Flux: 1000}, Unit{}); x != 0 {
		t.Errorf("a lamp of unknown white: x %v", x)
	}
	// Two whites of equal flux: either alone is half of both.
	mixes := catalogue.Fixture{Flux: 1000, Emitters: []catalogue.Emitter{
		{Name: "warm", X: colour.LampWhite(2700).X, Y: colour.LampWhite(2700).Y, Flux: 500},
		{Name: "cool", X: colour.LampWhite(6500).X, Y: colour.LampWhite(6500).Y, Flux: 500},
	}}
	level, x, _ := sourceOf(mixes, Unit{WhiteK: 2700})
	if math.Abs(level-.5) > 1e-6 || math.Abs(x-colour.LampWhite(2700).X) > 1e-6 {
		t.Errorf("the warm end alone: level %v, x %v", level, x)
	}
	between, _, _ := sourceOf(mixes, Unit{WhiteK: 3800})
	if !(between > .5 && between <= 1) {
		t.Errorf("between the ends: level %v", between)
	}
}

func TestSourcesCutBlades(t *testing.T) {
	spot := catalogue.Fixture{Class: catalogue.Ellipsoidal, Beams: []catalogue.Beam{{FieldDeg: 36, PeakCd: 30000}}}
	_, _, open := sourceOf(spot, Unit{FieldDeg: 36})
	_, _, cut := sourceOf(spot, Unit{FieldDeg: 36, Blades: []photometry.Blade{{SideDeg: 90, OffAxisDeg: 5}}})
	up := geom.Vec{Y: math.Sin(.15), Z: -math.Cos(.15)} // 8.6° over the aim
	down := geom.Vec{Y: -up.Y, Z: up.Z}
	if open.Intensity(up) == 0 || cut.Intensity(up) != 0 || cut.Intensity(down) != open.Intensity(down) {
		t.Errorf("up %v of %v, down %v of %v", cut.Intensity(up), open.Intensity(up), cut.Intensity(down), open.Intensity(down))
	}
}

// TestSourcesTilt: a unit whose file has factors by tilt gives them by how far its
// aim stands off straight down.
func TestSourcesTilt(t *testing.T) {
	file, err := photometry.Read([]byte("IESNA:LM-63-2002\nTILT=INCLUDE\n1\n2\n0 90\n1 0.5\n1 -1 1 3 1 1 2 0.1 0.1 0\n1 1 100\n0 10 90\n0\n1000 800 0\n"))
	if err != nil {
		t.Fatal(err)
	}
	f := catalogue.Fixture{Code: "F", Beams: []catalogue.Beam{{FieldDeg: file.FieldDeg, PeakCd: 1000, File: "hash"}}}
	set := catalogue.NewSet(nil, []catalogue.Fixture{f}).WithFiles(map[string]*photometry.File{"hash": file})
	for _, c := range []struct {
		aim  geom.Vec
		want float64
	}{{geom.Vec{Z: -3}, 1000}, {geom.Vec{Y: 3, Z: -3}, 750}, {geom.Vec{Y: 3}, 500}} {
		s := Sources([]Placed{{Unit: Unit{Fixture: "F", FieldDeg: file.FieldDeg}, Target: c.aim}}, set)[0]
		if got := s.Dist.Intensity(geom.Vec{Z: -1}); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("aimed at %v: %v cd, want %v", c.aim, got, c.want)
		}
	}
}
