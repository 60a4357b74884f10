package photometry

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/geom"
)

// TestCosPowerFile: a cos^50 beam of 1000 cd has 123.200 lm, beam 19.037°,
// field 34.511°. Source: closed forms 2πI₀/(n+1) and 2·acos(0.5^(1/n)); values
// computed here.
func TestCosPowerFile(t *testing.T) {
	f := mustRead(t, lm63{edition: "IESNA:LM-63-2002", h: []float64{0}, v: steps(0, 90, 0.25)}.write(cosPower(50)))
	const quarterDegree = 2e-4 // of straight lines between the angles
	near(t, "flux", f.FluxLm, 123.200, quarterDegree)
	near(t, "beam", f.BeamDeg, 19.037, quarterDegree)
	near(t, "field", f.FieldDeg, 34.511, quarterDegree)
}

// blades fade or cut at edges, so that the integral over zones converges with
// the first power of the step.
const cutError = 4e-3

func TestCutHalvesABeam(t *testing.T) {
	b := NewBeam(30, 0, 1e4)
	for _, side := range []float64{0, 37, 90, 210} {
		c := NewCut(b, Blade{SideDeg: side})
		near(t, fmt.Sprintf("half of it, blade from %v°", side), c.FluxLm(), b.FluxLm()/2, cutError)
	}
	two := NewCut(b, Blade{SideDeg: 0}, Blade{SideDeg: 90})
	near(t, "a quarter", two.FluxLm(), b.FluxLm()/4, 2*cutError)
	none := NewCut(b, Blade{SideDeg: 0}, Blade{SideDeg: 180})
	if got := none.FluxLm(); got > cutError*b.FluxLm() {
		t.Errorf("two blades that meet leave %v lm", got)
	}
}

func TestCutEdge(t *testing.T) {
	at := func(xDeg, yDeg float64) geom.Vec {
		return geom.Vec{X: math.Tan(xDeg * math.Pi / 180), Y: math.Tan(yDeg * math.Pi / 180), Z: -1}.Unit()
	}
	b := NewBeam(40, 0, 1e4)
	hard := NewCut(b, Blade{SideDeg: 90, OffAxisDeg: 10})
	soft := NewCut(b, Blade{SideDeg: 90, OffAxisDeg: 10, SoftDeg: 4})
	for _, tc := range []struct {
		x, y       float64
		hard, soft float64 // share of the uncut beam
	}{
		{0, 0, 1, 1}, {0, 9.9, 1, 0.525}, {0, 10.1, 0, 0.475}, {0, 7.9, 1, 1}, {0, 12.1, 0, 0}, {15, 9.9, 1, 0.5242}, {0, -15, 1, 1}, {0, 11, 0, 0.25},
	} {
		d := at(tc.x, tc.y)
		near(t, fmt.Sprintf("shutter at %v", tc), hard.Intensity(d), tc.hard*b.Intensity(d), 1e-9)
		near(t, fmt.Sprintf("barn door at %v", tc), soft.Intensity(d), tc.soft*b.Intensity(d), 1e-3)
	}
	if hard.PeakCd() != b.PeakCd() || hard.FieldDeg() != b.FieldDeg() || hard.BeamDeg() != b.BeamDeg() {
		t.Error("blades changed the beam's own angles")
	}
	if NewCut(b) != Distribution(b) || NewCut(nil, Blade{}) != nil {
		t.Error("no blades, or nothing behind them")
	}
	near(t, "fade of a barn door", BarnDoorSoftDeg(0.2, 0.25), 2*math.Atan(0.4)*180/math.Pi, 1e-12)
	if BarnDoorSoftDeg(0, 1) != 0 || BarnDoorSoftDeg(1, 0) != 180 {
		t.Error("degenerate barn doors")
	}
}

// TestCutOnlyTakes: blades never add light in any direction, and the flux falls
// with every blade that is added or closed.
func TestCutOnlyTakes(t *testing.T) {
	b := NewBeam(35, 20, 5000)
	rapid.Check(t, func(rt *rapid.T) {
		side := rapid.Float64Range(0, 360).Draw(rt, "side")
		off := rapid.Float64Range(-20, 20).Draw(rt, "off")
		soft := rapid.Float64Range(0, 10).Draw(rt, "soft")
		open := NewCut(b, Blade{side, off, soft})
		closed := NewCut(b, Blade{side, off - 3, soft})
		d := geom.Vec{X: rapid.Float64Range(-1, 1).Draw(rt, "x"), Y: rapid.Float64Range(-1, 1).Draw(rt, "y"), Z: -1}.Unit()
		if open.Intensity(d) > b.Intensity(d) || closed.Intensity(d) > open.Intensity(d)+1e-9 {
			rt.Fatalf("%v, then %v, then %v", b.Intensity(d), open.Intensity(d), closed.Intensity(d))
		}
	})
	flux := b.FluxLm() * (1 + cutError)
	for _, off := range []float64{30, 10, 5, 0, -5, -10, -30} {
		got := NewCut(b, Blade{SideDeg: 20, OffAxisDeg: off}).FluxLm()
		if got > flux {
			t.Errorf("flux rises to %v at %v°", got, off)
		}
		flux = got
	}
	if flux > 1e-2*b.FluxLm() {
		t.Errorf("a closed blade leaves %v lm", flux)
	}
}

// TestSphereFluxConverges: twice the steps every way change nothing that counts.
func TestSphereFluxConverges(t *testing.T) {
	for _, b := range []Beam{NewBeam(5, 0, 1e6), NewBeam(30, 25, 1e4), NewBeam(90, 0, 1e3)} {
		near(t, "whole beam", sphereFlux(b, b.FieldDeg(), 1), b.FluxLm(), 2*stepError)
		c := Cut{Of: b, Blades: []Blade{{SideDeg: 33, OffAxisDeg: b.BeamDeg() / 4, SoftDeg: 1}, {SideDeg: 200, OffAxisDeg: b.BeamDeg() / 5}}}
		near(t, "cut beam", sphereFlux(c, b.FieldDeg(), 1), sphereFlux(c, b.FieldDeg(), 2), cutError)
	}
}

func TestZoomEndsAndBetween(t *testing.T) {
	narrow, wide := Distribution(NewBeam(15, 8, 60000)), Distribution(NewBeam(45, 26, 9000))
	for _, f := range []float64{5, 15} {
		if NewZoom(narrow, wide, f) != narrow {
			t.Errorf("%v° is not the narrow end", f)
		}
	}
	if NewZoom(narrow, wide, 60) != wide {
		t.Error("60° is not the wide end")
	}
	last := narrow
	for _, f := range []float64{16, 20, 25, 30, 40, 44} {
		z := NewZoom(narrow, wide, f)
		lo, hi := math.Min(narrow.FluxLm(), wide.FluxLm()), math.Max(narrow.FluxLm(), wide.FluxLm())
		if z.FluxLm() < lo || z.FluxLm() > hi {
			t.Errorf("%v°: %v lm outside %v..%v", f, z.FluxLm(), lo, hi)
		}
		near(t, fmt.Sprintf("flux at %v°", f), sphereFlux(z, f, 2), z.FluxLm(), 1e-3)
		near(t, "peak along the aim", z.Intensity(geom.Vec{Z: -1}), z.PeakCd(), 1e-9)
		if z.PeakCd() >= last.PeakCd() || z.BeamDeg() <= last.BeamDeg() || z.FieldDeg() != f {
			t.Errorf("%v°: peak %v after %v, beam %v after %v", f, z.PeakCd(), last.PeakCd(), z.BeamDeg(), last.BeamDeg())
		}
		// The angles it states are those of its candelas, within what mixing two
		// shapes of equal field angle leaves open.
		half := f / 2 * math.Pi / 180
		near(t, "a tenth at the field's edge", z.Intensity(geom.Vec{X: math.Sin(half), Z: -math.Cos(half)}), z.PeakCd()/10, 1e-6)
		last = z
	}
}

// TestZoomOfOneShape: between two settings that are one beam stretched, the
// zoom is that beam stretched, as far as small angles go.
func TestZoomOfOneShape(t *testing.T) {
	a, b := NewBeam(8, 0, 40000), NewBeam(16, 0, 10000)
	z := NewZoom(a, b, 11)
	want := NewBeam(11, 0, 10000*(16.0/11)*(16.0/11))
	for deg := 0.0; deg < 10; deg += 0.5 {
		r := deg * math.Pi / 180
		got := z.Intensity(geom.Vec{Y: math.Sin(r), Z: -math.Cos(r)})
		if off := math.Abs(got - want.OffAxis(deg)); off > 2e-3*want.PeakCd() {
			t.Errorf("%v°: %v, want %v", deg, got, want.OffAxis(deg))
		}
	}
}

func TestZoomDegenerate(t *testing.T) {
	lit := NewBeam(20, 0, 1000)
	for _, pair := range [][2]Distribution{{lit, Beam{}}, {Beam{}, lit}, {lit, lit}, {NewBeam(30, 0, 5), lit}} {
		if got := NewZoom(pair[0], pair[1], 25); got != pair[0] {
			t.Errorf("%+v gives %+v", pair, got)
		}
	}
}

func TestDimming(t *testing.T) {
	for _, tc := range []struct {
		d          Dimming
		level, out float64
	}{
		{"", 0.3, 0.3}, {DimLinear, 0.5, 0.5}, {DimSquare, 0.5, 0.25}, {DimS, 0.5, 0.5}, {DimS, 0.25, 0.15625},
		{DimSquare, 2, 1}, {DimSquare, -1, 0}, {"of its own", 0.4, 0.4}, {DimS, math.NaN(), 0},
	} {
		near(t, fmt.Sprintf("%q at %v", tc.d, tc.level), tc.d.Output(tc.level), tc.out, 1e-12)
	}
	if !DimS.Known() || Dimming("of its own").Known() {
		t.Error("known curves")
	}
	rapid.Check(t, func(rt *rapid.T) {
		d := rapid.SampledFrom([]Dimming{"", DimLinear, DimSquare, DimS}).Draw(rt, "curve")
		a, b := rapid.Float64Range(0, 1).Draw(rt, "a"), rapid.Float64Range(0, 1).Draw(rt, "b")
		if (a < b) && d.Output(a) > d.Output(b) {
			rt.Fatal("falls")
		}
		level := d.Level(a)
		if d.Output(level) < a || (level > 0 && d.Output(level-1.0/levelSteps) >= a) {
			rt.Fatalf("level %v for %v gives %v", level, a, d.Output(level))
		}
	})
}

func BenchmarkCutIntensity(b *testing.B) {
	c := NewCut(NewBeam(40, 24, 9000), Blade{0, 10, 0}, Blade{90, 10, 4}, Blade{180, 12, 0}, Blade{270, 9, 4})
	dir := geom.Vec{X: 0.1, Y: 0.05, Z: -1}.Unit()
	for b.Loop() {
		c.Intensity(dir)
	}
}

func BenchmarkNewZoom(b *testing.B) {
	for b.Loop() {
		NewZoom(NewBeam(15, 8, 60000), NewBeam(45, 26, 9000), 25)
	}
}

// TestUpperDeg: the analytic edge is where the candelas end.
func TestUpperDeg(t *testing.T) {
	wide := NewBeam(60, 40, 1000)
	for _, b := range []Blade{{SideDeg: 90, OffAxisDeg: 10}, {SideDeg: 60, OffAxisDeg: 12}, {SideDeg: 120, OffAxisDeg: -5}, {SideDeg: 270, OffAxisDeg: 5}, {SideDeg: 0, OffAxisDeg: 5}} {
		c := NewCut(wide, b).(Cut)
		up := c.UpperDeg(60)
		for _, d := range []float64{-.01, .01} {
			sin, cos := math.Sincos((up + d) * math.Pi / 180)
			lit := c.Intensity(geom.Vec{Y: sin, Z: -cos}) > 0
			if want := d < 0 || up == 30; lit != want {
				t.Errorf("%+v: upper edge %v°, light at %+v° is %v", b, up, d, lit)
			}
		}
	}
}
