package light

import (
	"fmt"
	"math"
	"testing"

	"roodbeam/engine/geom"
)

// TestCylinderIsTheMeanOfPlanes: the second method, a sum over many planes.
func TestCylinderIsTheMeanOfPlanes(t *testing.T) {
	const n = 3600
	d := geom.Vec{X: .3, Y: -.5, Z: .8}.Unit()
	mean := 0.0
	for i := range n {
		mean += math.Max(0, d.Dot(facing(360*(float64(i)+.5)/n))) / n
	}
	var k Kinds
	k.Add(1, d, downstage)
	within(t, "cylinder", k.CylindricalLx, mean, 1e-6)
}

// TestDiscShare: configuration factors in closed form; values computed here.
func TestDiscShare(t *testing.T) {
	for k, want := range map[float64]float64{2: .9412, 5: .990099, 10: .9975} {
		within(t, fmt.Sprintf("at %v diameters", k), DiscShare(1, k), want, 1e-4)
	}
	if DiscShare(0, 0) != 1 || DiscShare(1, 0) != 0 {
		t.Error("degenerate discs")
	}
	// Second method: the disc cut into rings, each a Lambertian area.
	const n = 20000
	sum := 0.0
	for i := range n {
		r := (float64(i) + .5) / n / 2
		dd := r*r + 4
		sum += 2 * math.Pi * r / n / 2 * 4 / (dd * dd)
	}
	within(t, "by rings", DiscShare(1, 2), sum/(math.Pi/4/4), 1e-6)
}

// Values computed here by plane geometry.
func TestObliquePool(t *testing.T) {
	p := ObliquePool(4.4, 45, 26)
	for what, v := range map[string][2]float64{
		"near": {p.NearM, 2.74943}, "far": {p.FarM, 7.04147}, "length": {p.LengthM, 4.29205}, "width": {p.WidthM, 2.87317},
	} {
		within(t, what, v[0], v[1], published*v[1])
	}
	down := ObliquePool(5, 90, 30)
	within(t, "straight down, near", down.NearM, -5*math.Tan(15*math.Pi/180), 1e-9)
	within(t, "straight down, width", down.WidthM, down.LengthM, 1e-9)
	if !math.IsInf(ObliquePool(4, 10, 26).FarM, 1) {
		t.Error("an edge above the level comes down")
	}
}

func TestFieldForDeg(t *testing.T) {
	within(t, "3 m at 8 m", FieldForDeg(3, 8), 21.239, 1e-3)
	within(t, "3.6 m at 8 m", FieldForDeg(3.6, 8), 25.361, 1e-3)
	for _, field := range []float64{5, 36, 90, 170} {
		within(t, "back from the pool", FieldForDeg(FieldDiameterM(7, field), 7), field, 1e-9)
	}
	if FieldForDeg(1, 0) != 180 {
		t.Error("no throw")
	}
}

// Stiles–Holladay with 10 lx at 10°, and at the age of 60. Values computed here
// from the form of Vos 2003.
func TestVeilAged(t *testing.T) {
	within(t, "young", VeilAged(10, 10, 0), 1, 1e-12)
	within(t, "sixty", VeilAged(10, 10, 60), 1.53978, 1e-5)
	within(t, "seventy doubles", VeilAged(10, 10, 70), 2, 1e-12)
	within(t, "contrast kept", ContrastKept(50, 5), .90909, 1e-5)
}
