package light

import (
	"math"
	"runtime"
	"testing"

	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
)

// balanceError is the relative error allowed in the balance of light.
const balanceError = 1e-9

// cubeRoom is a 4 m cube of one reflectance per kind.
func cubeRoom(floor, ceiling, walls float64) room.Room {
	r := room.Room{Surfaces: shell(geom.Vec{X: -2, Y: -2}, geom.Vec{X: 2, Y: 2, Z: 4})}
	for i := range r.Surfaces {
		r.Surfaces[i].Reflectance = map[string]float64{"floor": floor, "ceiling": ceiling, "wall": walls}[r.Surfaces[i].Kind]
	}
	return r
}

// TestCubeOfOneReflectance is case 5.8 of CIE 171:2006 (number from memory): a
// 4 m cube, 10 000 lm, indirect illuminance Φ/S·ρ/(1−ρ). Values computed here
// from that formula.
func TestCubeOfOneReflectance(t *testing.T) {
	for _, c := range []struct{ rho, want float64 }{{.1, 11.574}, {.3, 44.643}, {.5, 104.167}, {.8, 416.667}, {.95, 1979.167}} {
		tr := NewTransport(cubeRoom(c.rho, c.rho, c.rho))
		f := tr.Spread(tr.Shoot(Source{Level: 1, At: geom.Vec{Z: 2}, Dist: uniform(10000 / (4 * math.Pi))}))
		within(t, "mean reflected illuminance", f.MeanLx(), c.want, 1e-4*c.want)
		within(t, "energy", f.AbsorbedLm, f.FluxLm, balanceError*f.FluxLm)
		within(t, "flux", f.FluxLm, 10000, 1e-9*10000)
	}
}

// TestFlatUnderDome: two surfaces, F11 = 0 and F12 = 1 with a disc under a half
// sphere. Values computed here from the closed form of two-surface exchange.
func TestFlatUnderDome(t *testing.T) {
	f := []float64{0, 1, .5, .5}
	rho := []float64{.3, .6}
	const m0 = 100.0
	// The disc gives off 100 lm/m² of its own: what first reaches the dome.
	e := Interreflect(f, []float64{0, .5 * m0}, rho)
	within(t, "disc exitance", m0+rho[0]*e[0], 114.7541, 1e-3)
	within(t, "dome exitance", rho[1]*e[1], 49.1803, 1e-3)
	within(t, "dome illuminance", e[1], 81.9672, 1e-3)
}

// TestCubeOfThree: floor 0.2, ceiling 0.7, walls 0.5, direct light on the floor
// alone. Values computed here from the closed-form view factors of a cube. The
// second half holds the patches against the same with one patch a face.
func TestCubeOfThree(t *testing.T) {
	par, perp := ParallelRectangles(1, 1, 1), PerpendicularRectangles(1, 1, 1)
	f := []float64{0, par, 4 * perp, par, 0, 4 * perp, perp, perp, 1 - 2*perp} // floor, ceiling, walls as one
	e := Interreflect(f, []float64{500, 0, 0}, []float64{.2, .7, .5})
	within(t, "floor", e[0], 519.688, 1e-2)
	within(t, "ceiling", e[1], 35.493, 1e-2)
	within(t, "walls", e[2], 36.801, 1e-2)
	within(t, "absorbed", e[0]*.8+e[1]*.3+4*e[2]*.5, 500, 1e-6)

	tr := NewTransport(cubeRoom(.2, .7, .5))
	flux := make([]float64, tr.Patches())
	for i, p := range tr.patches {
		if tr.sheets[p.sheet].name == "floor" {
			flux[i] = 500 * p.area
		}
	}
	got := tr.Spread(flux)
	within(t, "balance", got.AbsorbedLm, got.FluxLm, balanceError*got.FluxLm)
	// The closed form takes every face evenly lit. In truth the foot of the walls
	// is the brightest, and gives more back to the floor and less to the ceiling.
	const uneven = .12
	for name, want := range map[string]float64{"floor": 19.688, "ceiling": 35.493, "wall_left": 36.801} {
		_, ind := got.OnSurface(name)
		within(t, name, ind, want, uneven*want)
	}
}

// TestFactorsOfABox: the patches' factors, summed over faces, against the closed
// forms for a box of 20 × 10 × 8 m. Values computed here from Howell's forms.
func TestFactorsOfABox(t *testing.T) {
	r := room.Room{Surfaces: shell(geom.Vec{X: -10, Y: -5}, geom.Vec{X: 10, Y: 5, Z: 8})}
	tr := NewTransport(r)
	between := func(from, to string) float64 {
		sum, area := 0.0, 0.0
		for i, p := range tr.patches {
			if tr.sheets[p.sheet].name != from {
				continue
			}
			area += p.area
			for j, q := range tr.patches {
				if tr.sheets[q.sheet].name == to {
					sum += p.area * tr.f[i*len(tr.patches)+j]
				}
			}
		}
		return sum / area
	}
	const grid = 5e-3 // of patches of about 1.5 m and 4 points each
	within(t, "floor to ceiling", between("floor", "ceiling"), .355889, grid)
	within(t, "floor to long wall", between("floor", "wall_behind"), .217941, grid)
	within(t, "floor to end wall", between("floor", "wall_left"), .104115, grid)
}

// TestTransportIsClosed: rows sum to 1 and pairs are reciprocal, in a room with
// a gallery's depth of shadow, columns and a platform.
func TestTransportIsClosed(t *testing.T) {
	r := meetingHouse()
	for i := range r.Surfaces {
		r.Surfaces[i].Reflectance = .5
	}
	tr := NewTransport(r)
	n := tr.Patches()
	covered := 0
	for i := range n {
		a := tr.patches[i].area
		if a == 0 {
			covered++
			continue
		}
		sum := 0.0
		for j := range n {
			sum += tr.f[i*n+j]
			if l, r := a*tr.f[i*n+j], tr.patches[j].area*tr.f[j*n+i]; math.Abs(l-r) > 1e-10*(1+l) {
				t.Fatalf("patches %d and %d: %v and %v", i, j, l, r)
			}
		}
		within(t, "row", sum, 1, 1e-10)
	}
	if n < 200 || covered == 0 || covered > n/4 {
		t.Errorf("%d patches, %d covered", n, covered)
	}
	in := meetingHouseInput()
	flux := make([]float64, n)
	out := 0.0
	for _, s := range in.Sources {
		for i, v := range tr.Shoot(s) {
			flux[i] += v
		}
		out += s.Dist.FluxLm() * s.Level
	}
	f := tr.Spread(flux)
	within(t, "all flux arrives", f.FluxLm, out, balanceError*out)
	within(t, "all flux is absorbed", f.AbsorbedLm, out, balanceError*out)
}

// TestFinerPatches: halving the patches' side changes the reflected light by
// less than 1 % of its mean, and by less than 3 % at a point of a small room with
// one bright pool in it.
func TestFinerPatches(t *testing.T) {
	r := cubeRoom(.2, .7, .5)
	s := Source{Level: 1, At: geom.Vec{X: .5, Z: 3}, Aim: geom.Vec{X: -.5, Z: 0}, Dist: photometry.NewBeam(60, 40, 5000)}
	coarse, fine := newTransport(r, 300), newTransport(r, 1200)
	if fine.Patches() < 3*coarse.Patches() {
		t.Fatalf("%d and %d patches", coarse.Patches(), fine.Patches())
	}
	a, b := coarse.Spread(coarse.Shoot(s)), fine.Spread(fine.Shoot(s))
	within(t, "mean", a.MeanLx(), b.MeanLx(), .01*b.MeanLx())
	for _, at := range []geom.Vec{{Z: 1.6}, {X: 1, Y: -1, Z: 1.2}} {
		other := fine.Probe(at).Plane(b, downstage)
		within(t, "at a point", coarse.Probe(at).Plane(a, downstage), other, .03*other)
	}
}

// TestEvenSurround: in a closed room of one exitance every kind of illuminance
// is that exitance. Source: their definitions.
func TestEvenSurround(t *testing.T) {
	tr := NewTransport(cubeRoom(.5, .5, .5))
	f := Field{t: tr, exitance: make([]float64, tr.Patches())}
	for i := range f.exitance {
		f.exitance[i] = 100
	}
	p := tr.Probe(geom.Vec{X: 1, Y: -.5, Z: 1.6})
	for what, got := range map[string]float64{"plane": p.Plane(f, downstage), "cylindrical": p.Cylindrical(f),
		"semi-cylindrical": p.SemiCylindrical(f, downstage), "scalar": p.Scalar(f)} {
		within(t, what, got, 100, 1e-9)
	}
}

// TestCoresDoNotChangeTransport: the same bits on one core and on several.
func TestCoresDoNotChangeTransport(t *testing.T) {
	r := meetingHouse()
	many := NewTransport(r)
	was := runtime.GOMAXPROCS(1)
	one := NewTransport(r)
	runtime.GOMAXPROCS(was)
	for i := range many.f {
		if many.f[i] != one.f[i] {
			t.Fatalf("factor %d: %v and %v", i, many.f[i], one.f[i])
		}
	}
}

// TestPictureOnAWall: a dark picture covering half a wall halves what
// the wall reflects.
func TestPictureOnAWall(t *testing.T) {
	r := cubeRoom(.5, .5, .5)
	p := geom.Polygon{{X: -2, Y: 1.97}, {X: 0, Y: 1.97}, {X: 0, Y: 1.97, Z: 4}, {X: -2, Y: 1.97, Z: 4}}
	r.Surfaces = append(r.Surfaces, room.Surface{Name: "picture", Kind: "screen", Polygon: p})
	tr := NewTransport(r)
	rho, area := 0.0, 0.0
	for _, q := range tr.patches {
		if tr.sheets[q.sheet].name == "wall_behind" {
			rho += q.area * q.rho
			area += q.area
		}
	}
	within(t, "mean reflectance", rho/area, .25, 1e-9)
	f := tr.Spread(tr.Shoot(Source{Level: 1, At: geom.Vec{Z: 2}, Dist: uniform(100)}))
	direct, indirect := f.OnSurface("picture")
	if !(direct > 0) || !(indirect > 0) {
		t.Errorf("picture gets %v and %v lx", direct, indirect)
	}
	within(t, "energy", f.AbsorbedLm, f.FluxLm, balanceError*f.FluxLm)
}

func TestTransportOfOddRooms(t *testing.T) {
	nan := math.NaN()
	for _, r := range []room.Room{{},
		{Surfaces: []room.Surface{{Name: "a", Kind: "floor", Polygon: geom.Polygon{{X: nan}, {X: 1}, {Y: 1}}, Reflectance: .5}}},
		{Surfaces: []room.Surface{{Name: "floor", Kind: "floor", Polygon: geom.Polygon{{}, {X: 1}, {X: 1, Y: 1}}, Reflectance: nan}}},
		{Surfaces: shell(geom.Vec{}, geom.Vec{X: 1e6, Y: 1e6, Z: 1e6})}} {
		tr := NewTransport(r)
		f := tr.Spread(tr.Shoot(Source{Level: 1, At: geom.Vec{X: .5, Y: .2, Z: .5}, Dist: uniform(100)}))
		if v := tr.Probe(geom.Vec{X: .5, Y: .2, Z: .5}).Plane(f, downstage); math.IsNaN(v) || v < 0 {
			t.Errorf("%v lx", v)
		}
	}
}
