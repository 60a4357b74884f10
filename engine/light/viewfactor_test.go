package light

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/geom"
)

// printed is half a unit of the last printed digit of a six-figure value.
const printed = 1e-4

// TestViewFactors: formulas from Howell's catalogue of configuration factors;
// the values without a note were computed here in double precision by an
// independent script, two are published.
func TestViewFactors(t *testing.T) {
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"parallel 1×1 gap 1", ParallelRectangles(1, 1, 1), .199825},
		{"parallel 1×1.5 gap .5, published .4756", ParallelRectangles(1, 1.5, .5), .475576},
		{"parallel 1×2 gap 1", ParallelRectangles(1, 2, 1), .285875},
		{"perpendicular 1, 1, 1", PerpendicularRectangles(1, 1, 1), .200044},
		{"perpendicular h1 w2", PerpendicularRectangles(1, 1, 2), .116426},
		{"perpendicular h2 w1", PerpendicularRectangles(1, 2, 1), .232853},
		{"discs .1, .2 gap .5, published .1339", CoaxialDiscs(.1, .2, .5), .133931},
		{"discs 1, 1 gap 1", CoaxialDiscs(1, 1, 1), .381966},
		{"box 20×10×8 floor to ceiling", ParallelRectangles(20, 10, 8), .355889},
		{"box floor to a long wall", PerpendicularRectangles(20, 8, 10), .217941},
		{"box floor to an end wall", PerpendicularRectangles(10, 8, 20), .104115},
		{"disc on axis", PointToDisc(1, 2, 0), .2},
		{"disc off axis", PointToDisc(1, 2, 1), .146447},
		{"upright strip, half of a window over the horizon", 2 * PointToUpright(1, 1, 2), .027855},
	} {
		within(t, c.what, c.got, c.want, printed*c.want)
	}
	box := ParallelRectangles(20, 10, 8) + 2*PerpendicularRectangles(20, 8, 10) + 2*PerpendicularRectangles(10, 8, 20)
	within(t, "closure of the box", box, 1, 1e-12)
}

// window is an upright rectangle at x = 2, y −1…1, from z0 to z1.
func windowAt2(z0, z1 float64) geom.Polygon {
	return geom.Polygon{{X: 2, Y: -1, Z: z0}, {X: 2, Y: 1, Z: z0}, {X: 2, Y: 1, Z: z1}, {X: 2, Y: -1, Z: z1}}
}

// TestPolygonFactor: values computed here from the closed forms of Howell's
// catalogue; the last rows show why the horizon must be clipped first.
func TestPolygonFactor(t *testing.T) {
	up, toward := geom.Vec{Z: 1}, geom.Vec{X: 1}
	w := windowAt2(1, 3)
	within(t, "level", PointToPolygon(geom.Vec{}, up, w), .0719582, 1e-6)
	within(t, "facing", PointToPolygon(geom.Vec{}, toward, w), .0843537, 1e-6)
	within(t, "level, L 1000", math.Pi*1000*PointToPolygon(geom.Vec{}, up, w), 226.063, 1e-2)
	within(t, "facing, L 1000", math.Pi*1000*PointToPolygon(geom.Vec{}, toward, w), 265.005, 1e-2)
	within(t, "half below the horizon", PointToPolygon(geom.Vec{}, up, windowAt2(-1, 1)), .027855, 1e-6)
	within(t, "all below", PointToPolygon(geom.Vec{}, up, windowAt2(-3, -1)), 0, 0)
	within(t, "in its plane", PointToPolygon(geom.Vec{X: 2, Z: 5}, toward, w), 0, 1e-12)
	within(t, "no polygon", PointToPolygon(geom.Vec{}, up, nil), 0, 0)
	square := geom.Polygon{{X: -1, Y: -1, Z: 2}, {X: 1, Y: -1, Z: 2}, {X: 1, Y: 1, Z: 2}, {X: -1, Y: 1, Z: 2}}
	within(t, "solid angle", SolidAngle(geom.Vec{}, square), .805432, 1e-6)
	within(t, "corner form four times", PointToPolygon(geom.Vec{}, up, square), 4*PointToCorner(1, 1, 2), 1e-12)
}

// TestFactorsAgainstQuadrature holds the closed forms against sums of the
// polygon form over the first rectangle.
func TestFactorsAgainstQuadrature(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := rapid.Float64Range(.2, 4).Draw(t, "a"), rapid.Float64Range(.2, 4).Draw(t, "b"), rapid.Float64Range(.2, 4).Draw(t, "c")
		opposite := geom.Polygon{{Z: c}, {X: a, Z: c}, {X: a, Y: b, Z: c}, {Y: b, Z: c}}
		upright := geom.Polygon{{}, {Y: b}, {Y: b, Z: c}, {Z: c}}
		const n = 40
		par, perp := 0.0, 0.0
		for i := range n {
			for j := range n {
				at := geom.Vec{X: a * (float64(i) + .5) / n, Y: b * (float64(j) + .5) / n}
				par += PointToPolygon(at, geom.Vec{Z: 1}, opposite) / n / n
				perp += PointToPolygon(at, geom.Vec{Z: 1}, upright) / n / n
			}
		}
		// The middle rule at the common edge, where F falls from one half, errs by
		// less than half a cell's share.
		const cells = .5 / n
		if d := math.Abs(par - ParallelRectangles(a, b, c)); d > 2e-3 {
			t.Fatalf("parallel %v, %v, %v: off by %v", a, b, c, d)
		}
		if d := math.Abs(perp - PerpendicularRectangles(b, c, a)); d > cells {
			t.Fatalf("perpendicular %v, %v, %v: off by %v", b, c, a, d)
		}
		// Reciprocity.
		if l, r := a*PerpendicularRectangles(b, c, a), c*PerpendicularRectangles(b, a, c); math.Abs(l-r) > 1e-12*l {
			t.Fatalf("not reciprocal: %v and %v", l, r)
		}
	})
}

func TestFactorsOfNothing(t *testing.T) {
	for _, v := range []float64{
		ParallelRectangles(0, 1, 1), ParallelRectangles(1, 1, -1), PerpendicularRectangles(1, 0, 1), CoaxialDiscs(0, 1, 1),
		PointToCorner(1, 1, 0), PointToUpright(1, 0, 1), PointToDisc(0, 1, 1), SolidAngle(geom.Vec{}, nil), CoaxialDiscs(math.NaN(), 1, 1),
	} {
		if v != 0 {
			t.Errorf("got %v, want 0", v)
		}
	}
}

// TestDiscSource: an even disc seen on its axis against a point source of the
// same intensity, E/Epoint = 1/(1 + 1/(2k)²) at k diameters: value computed
// here for k = 5, the rule of five times the source's size.
func TestDiscSource(t *testing.T) {
	for _, c := range []struct{ k, want float64 }{{2, .9412}, {5, .990099}, {10, .9975}} {
		r, h := .5, c.k
		// E = πLF; the point source of I = L·πr² gives L·πr²/h².
		within(t, "disc", PointToDisc(r, h, 0)/(r*r/h/h), c.want, 1e-4)
	}
}
