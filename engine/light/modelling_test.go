package light

import (
	"math"
	"testing"

	"roodbeam/engine/geom"
)

// TestKindsOfOneSource: 20 000 cd at (0, −5, 6), a face at 1.6 m looking to the
// seats. Values computed here from the formulas of EN 12464-1, EN 13201-3 and
// the inverse-square law.
func TestKindsOfOneSource(t *testing.T) {
	at := geom.Vec{Z: 1.6}
	lens := geom.Vec{Y: -5, Z: 6}
	c := Direct(Source{At: lens, Aim: at, Level: 1, Dist: uniform(20000)}, Point{At: at, Normal: downstage}, Scene{})
	toward := lens.Sub(at).Unit()
	var k Kinds
	k.Add(c.NormalLx, toward, downstage)
	const printed = 1e-3
	within(t, "d", lens.Sub(at).Norm(), 6.66033, 1e-5)
	within(t, "En", c.NormalLx, 450.857, printed)
	within(t, "Eh", k.HorizontalLx, 297.848, printed)
	within(t, "Ev", k.PlaneLx, 338.464, printed)
	within(t, "Ez", k.CylindricalLx, 107.736, printed)
	within(t, "Esc", k.SemiCylindricalLx, 215.473, printed)
	within(t, "Ehs", k.HemisphericalLx, 187.176, printed)
	within(t, "Ez/Eh", k.ModellingIndex(), .36172, 1e-5)
	within(t, "vector/scalar of one source", k.VectorScalar(), 4, 1e-12)
	var off Kinds
	off.Add(c.NormalLx, toward, facing(60))
	within(t, "Esc at 60 off", off.SemiCylindricalLx, 161.605, printed)
}

// TestFourPlanesAreNotACylinder: the mean of four upright planes over the true
// cylindrical illuminance for one source on an axis and between two. Values
// computed here: π/4 and π√2/4.
func TestFourPlanesAreNotACylinder(t *testing.T) {
	for _, c := range []struct{ az, want float64 }{{0, .78540}, {45, 1.11072}} {
		toward := facing(c.az)
		planes := 0.0
		var k Kinds
		for turn := range 4 {
			var one Kinds
			one.Add(100, toward, facing(90*float64(turn)))
			planes += one.PlaneLx / 4
		}
		k.Add(100, toward, downstage)
		within(t, "four-plane mean over Ez", planes/k.CylindricalLx, c.want, 1e-5)
	}
}

// TestHead: values computed here from the head's stated measures: the brow
// shades from atan(25/15) = 59.04° up, the nose throws 22 mm·tan of the profile
// angle.
func TestHead(t *testing.T) {
	dir := func(el, az float64) geom.Vec {
		s, c := math.Sincos(el * math.Pi / 180)
		f := facing(az)
		return geom.Vec{X: f.X * c, Y: f.Y * c, Z: s}
	}
	for _, c := range []struct {
		el, az float64
		shades bool
	}{{45, 0, false}, {58.9, 0, false}, {59.2, 0, true}, {45, 45, false}, {45, 60, true}, {30, 170, true}} {
		if got := BrowShades(dir(c.el, c.az), downstage); got != c.shades {
			t.Errorf("elevation %v, plan %v: shades %v", c.el, c.az, got)
		}
	}
	down, side := NoseShadow(dir(45, 0), downstage)
	within(t, "down at 45°", down, .022, 1e-12)
	within(t, "side at 45° straight", side, 0, 1e-12)
	down, side = NoseShadow(dir(35.264, 45), downstage) // the diagonal of a cube: profile 45°
	within(t, "down from the cube's diagonal", down, .022, 1e-6)
	within(t, "side from the cube's diagonal", side, .022, 1e-6)
	if down, _ := NoseShadow(dir(10, 120), downstage); !math.IsInf(down, 1) {
		t.Errorf("from behind %v", down)
	}
	within(t, "profile", ProfileDeg(dir(45, 45), downstage), 54.7356, 1e-4)
}
