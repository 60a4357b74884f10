package photometry

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/geom"
)

// published is the tolerance against values printed to six digits.
const published = 1e-5

// stepError is the error of the flux integral's finite zones, relative.
const stepError = 1e-5

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Max(math.Abs(want), 1e-12)) {
		t.Errorf("%s = %.8g, want %.8g", what, got, want)
	}
}

func TestZonalConstant(t *testing.T) {
	// IES Lighting Handbook, 10-degree zones.
	for _, tc := range []struct{ a, b, want float64 }{
		{0, 10, .0954557}, {10, 20, .2834667}, {20, 30, .4628648}, {80, 90, 1.0910637}, {0, 90, 2 * math.Pi}, {0, 180, 4 * math.Pi}, {30, 30, 0},
	} {
		near(t, fmt.Sprintf("ZonalConstant(%v, %v)", tc.a, tc.b), ZonalConstant(tc.a, tc.b), tc.want, published)
	}
}

func TestZonalFluxOfClosedForms(t *testing.T) {
	deg := []float64{0, 10, 20, 30, 40, 50, 60, 70, 80, 90}
	iso, lambert := make([]float64, 10), make([]float64, 10)
	for i, d := range deg {
		iso[i] = 100
		lambert[i] = 1000 * math.Cos(d*math.Pi/180)
	}
	near(t, "isotropic half space", 2*ZonalFlux(deg, iso), 1256.637, published)
	near(t, "Lambertian 1000 cos", ZonalFlux(deg, lambert), 3141.593, published)
	// The handbook's way, the middle of each zone times its constant, reads 0.38 % high.
	mid := 0.0
	for i := range 9 {
		mid += 1000 * math.Cos(float64(10*i+5)*math.Pi/180) * ZonalConstant(float64(10*i), float64(10*i+10))
	}
	near(t, "Lambertian by middles of zones", mid, 3153.593, published)
	if got := ZonalFlux([]float64{0}, []float64{5}); got != 0 {
		t.Errorf("flux of one angle = %v", got)
	}
	// cos^50, I0 1000: flux 2π·1000/51.
	near(t, "cos^50", zonalFlux(func(d float64) float64 { return 1000 * math.Pow(math.Cos(d*math.Pi/180), 50) }, 0, 90, 8*fluxSteps), 123.200, published)
}

func TestFullAngle(t *testing.T) {
	deg, cd := []float64{0, 10, 20, 30}, []float64{1000, 900, 400, 0}
	near(t, "beam", FullAngle(deg, cd, 0.5), 36, published)
	near(t, "field", FullAngle(deg, cd, 0.1), 55, published)
	hollow := []float64{600, 1000, 400, 0} // half of the maximum, not of the centre
	near(t, "hollow beam", FullAngle(deg, hollow, 0.5), 2*(10+10*500.0/600), published)
	for name, got := range map[string]float64{
		"never falls": FullAngle([]float64{0, 30}, []float64{5, 5}, 0.5) - 60,
		"dark":        FullAngle(deg, []float64{0, 0, 0, 0}, 0.5),
		"empty":       FullAngle(nil, nil, 0.5),
	} {
		if got != 0 {
			t.Errorf("%s: off by %v", name, got)
		}
	}
}

func TestBeamGaussAgainstPublished(t *testing.T) {
	// Gaussian with beam 20° and peak 100 kcd: 13 706 lm, field 36.452°.
	b := NewBeam(20*GaussRatio, 0, 1e5)
	near(t, "flux", b.FluxLm(), 13706, 5e-5) // printed to five digits
	near(t, "field", b.FieldDeg(), 36.452, published)
	near(t, "beam", b.BeamDeg(), 20, published)
	near(t, "exponent", b.exponent, 2, 1e-8)
}

// TestFluxStepsConverge compares the shipped steps with eight times as many.
func TestFluxStepsConverge(t *testing.T) {
	for _, b := range []Beam{NewBeam(5, 0, 1e6), NewBeam(10, 9, 1e5), NewBeam(60, 40, 1e4), NewBeam(170, 0, 10)} {
		near(t, fmt.Sprintf("flux of field %v", b.FieldDeg()), b.FluxLm(), b.flux(8*fluxSteps), stepError)
	}
}

func TestBeamFluxSecondMethod(t *testing.T) {
	// A plain sum over equal-area rings, through direction vectors instead of
	// angles.
	b := NewBeam(40, 24, 9000)
	const n = 4000
	sum := 0.0
	for i := range n {
		z := 1 - (float64(i)+0.5)/n // equal-area rings of the half space
		r := math.Sqrt(1 - z*z)
		sum += b.Intensity(geom.Vec{X: r, Z: -z}) * 2 * math.Pi / n
	}
	near(t, "ring sum", sum, b.FluxLm(), 1e-4)
}

func TestNewBeamDegenerate(t *testing.T) {
	for _, b := range []Beam{
		{}, NewBeam(0, 0, 100), NewBeam(-5, 0, 100), NewBeam(math.NaN(), 0, 100), NewBeam(math.Inf(1), 0, 100),
		NewBeam(30, 0, 0), NewBeam(30, 0, math.NaN()), NewBeam(30, 0, math.Inf(1)),
	} {
		if b.PeakCd() != 0 || b.FluxLm() != 0 || b.Intensity(geom.Vec{Z: -1}) != 0 {
			t.Errorf("%+v gives light", b)
		}
	}
	b := NewBeam(30, 40, 100) // beam over field
	if got := b.FieldDeg() / b.BeamDeg(); math.Abs(got-leastRatio) > 1e-9 {
		t.Errorf("field/beam = %v", got)
	}
	near(t, "field point", b.OffAxis(15), 10, 1e-9)
	if b := NewBeam(400, 0, 100); b.FieldDeg() != widestField {
		t.Errorf("field %v", b.FieldDeg())
	}
	if got := NewBeam(40, 0, 100).Intensity(geom.Vec{Z: 1}); got != 0 {
		t.Errorf("backward light %v", got)
	}
}

func TestCut(t *testing.T) {
	b := NewBeam(40, 0, 100).Cut(10)
	if b.OffAxis(10) == 0 || b.OffAxis(10.01) != 0 || b.FieldDeg() != 20 || b.BeamDeg() != 20 {
		t.Errorf("cut beam: %v at 10°, %v beyond, field %v", b.OffAxis(10), b.OffAxis(10.01), b.FieldDeg())
	}
	if !(b.FluxLm() < NewBeam(40, 0, 100).FluxLm()) {
		t.Error("a cut beam keeps its flux")
	}
	if NewBeam(40, 0, 100).Cut(0).FluxLm() != 0 {
		t.Error("a beam cut to nothing gives flux")
	}
}

func TestBeamLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		field := rapid.Float64Range(2, 150).Draw(t, "field")
		beam := rapid.Float64Range(0.3, 0.94).Draw(t, "beam/field") * field
		peak := rapid.Float64Range(1, 1e6).Draw(t, "peak")
		b := NewBeam(field, beam, peak)
		if rel := b.OffAxis(field/2)/(0.1*peak) - 1; math.Abs(rel) > 1e-9 {
			t.Fatalf("field point off by %v", rel)
		}
		if rel := b.OffAxis(beam/2)/(0.5*peak) - 1; math.Abs(rel) > 1e-9 {
			t.Fatalf("beam point off by %v", rel)
		}
		if rel := NewBeam(field, beam, 3*peak).FluxLm()/(3*b.FluxLm()) - 1; math.Abs(rel) > 1e-12 {
			t.Fatalf("flux does not scale with the peak: %v", rel)
		}
		a := rapid.Float64Range(0, 89).Draw(t, "angle")
		step := rapid.Float64Range(0, 1).Draw(t, "step")
		if b.OffAxis(a+step) > b.OffAxis(a) {
			t.Fatalf("intensity rises from %v to %v", a, a+step)
		}
		turn := rapid.Float64Range(0, 2*math.Pi).Draw(t, "turn")
		sin, cos := math.Sincos(a * math.Pi / 180)
		dir := geom.Vec{X: sin * math.Cos(turn), Y: sin * math.Sin(turn), Z: -cos}
		if d := math.Abs(b.Intensity(dir) - b.OffAxis(a)); d > 1e-6*peak {
			t.Fatalf("not symmetric: off by %v cd", d)
		}
	})
}

func TestLambert(t *testing.T) {
	l := Lambert(5200)
	near(t, "flux from intensities", zonalFlux(func(d float64) float64 {
		sin, cos := math.Sincos(d * math.Pi / 180)
		return l.Intensity(geom.Vec{X: sin, Z: -cos})
	}, 0, 90, fluxSteps), l.FluxLm(), stepError)
	near(t, "beam", l.Intensity(geom.Vec{X: math.Sin(math.Pi / 3), Z: -0.5}), 0.5*l.PeakCd(), 1e-12)
	near(t, "field", l.FieldDeg(), 168.522, published)
	if l.BeamDeg() != 120 || l.Intensity(geom.Vec{Z: 1}) != 0 {
		t.Error("beam or backward light")
	}
	for _, v := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if Lambert(v).FluxLm() != 0 {
			t.Errorf("Lambert(%v) gives light", v)
		}
	}
}

// quadrant is a small table with quadrant symmetry; its flux and values follow
// from the zonal constants by hand.
func quadrant(t testing.TB) *Table {
	tab, err := NewTable([]float64{0, 45, 90}, []float64{0, 30, 60, 90}, [][]float64{
		{1000, 800, 400, 0}, {1000, 700, 300, 0}, {1000, 600, 200, 0},
	})
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

func TestTableFluxAndInterpolation(t *testing.T) {
	tab := quadrant(t)
	for i, want := range []float64{1000, 700, 300, 0} {
		near(t, fmt.Sprintf("azimuth mean %d", i), tab.AzimuthMean()[i], want, 1e-12)
	}
	near(t, "flux", tab.FluxLm(), 2336.661, published)
	near(t, "V45 H22.5", tab.At(22.5, 45), 550, 1e-12)
	near(t, "direction of V45 H22.5", tab.Intensity(geom.Vec{
		X: math.Sqrt2 / 2 * math.Cos(math.Pi/8), Y: math.Sqrt2 / 2 * math.Sin(math.Pi/8), Z: -math.Sqrt2 / 2,
	}), 550, 1e-9)
	if tab.At(0, 91) != 0 || tab.PeakCd() != 1000 {
		t.Error("light beyond the stored angles, or a wrong peak")
	}
}

func TestTableFolds(t *testing.T) {
	row := []float64{1, 1}
	for _, tc := range []struct {
		planes   []float64
		in, want []float64
	}{
		{[]float64{0, 45, 90}, []float64{0, 90, 135, 200, 315, 350}, []float64{0, 90, 45, 20, 45, 10}},
		{[]float64{0, 90, 180}, []float64{0, 180, 200, 350, -10}, []float64{0, 180, 160, 10, 10}},
		{[]float64{90, 180, 270}, []float64{0, 45, 300, 90, 270}, []float64{180, 135, 240, 90, 270}},
		{[]float64{270, 360, 450}, []float64{180, 135, 225, 0, 90, 315}, []float64{360, 405, 315, 360, 450, 315}},
		{[]float64{0, 90, 180, 270, 360}, []float64{0, 359, 725}, []float64{0, 359, 5}},
		{[]float64{0}, []float64{77}, []float64{0}},
	} {
		var cd [][]float64
		for range tc.planes {
			cd = append(cd, row)
		}
		tab, err := NewTable(tc.planes, []float64{0, 90}, cd)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range tc.in {
			if got := tab.fold(c); got != tc.want[i] {
				t.Errorf("planes %v: fold(%v) = %v, want %v", tc.planes, c, got, tc.want[i])
			}
		}
	}
}

func TestTableClosesAnOpenTurn(t *testing.T) {
	tab, err := NewTable([]float64{0, 90, 180, 270}, []float64{0, 90}, [][]float64{{10, 10}, {20, 20}, {30, 30}, {20, 20}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "between the last plane and the first", tab.At(315, 45), 15, 1e-12)
	near(t, "flux", tab.FluxLm(), 20*2*math.Pi, 1e-12)
}

func TestTableAngles(t *testing.T) {
	tab, err := NewTable([]float64{0}, []float64{0, 10, 20, 30}, [][]float64{{1000, 900, 400, 0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "beam", tab.BeamDeg(), 36, 1e-9)
	near(t, "field", tab.FieldDeg(), 55, 1e-9)
}

func TestNewTableRefuses(t *testing.T) {
	two := [][]float64{{1, 1}, {1, 1}}
	for name, f := range map[string]func() (*Table, error){
		"no plane":   func() (*Table, error) { return NewTable(nil, []float64{0, 90}, nil) },
		"one angle":  func() (*Table, error) { return NewTable([]float64{0}, []float64{0}, [][]float64{{1}}) },
		"descending": func() (*Table, error) { return NewTable([]float64{90, 0}, []float64{0, 90}, two) },
		"γ over 180": func() (*Table, error) { return NewTable([]float64{0, 90}, []float64{0, 190}, two) },
		"short row":  func() (*Table, error) { return NewTable([]float64{0, 90}, []float64{0, 90}, [][]float64{{1, 1}, {1}}) },
		"negative": func() (*Table, error) {
			return NewTable([]float64{0, 90}, []float64{0, 90}, [][]float64{{1, 1}, {1, -1}})
		},
		"not a number": func() (*Table, error) {
			return NewTable([]float64{0, 90}, []float64{0, 90}, [][]float64{{1, 1}, {1, math.NaN()}})
		},
		"odd sector": func() (*Table, error) { return NewTable([]float64{0, 120}, []float64{0, 90}, two) },
	} {
		if _, err := f(); !errors.Is(err, ErrTable) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// TestTableAgreesWithBeam tabulates the smooth beam and compares both.
func TestTableAgreesWithBeam(t *testing.T) {
	b := NewBeam(50, 30, 12000)
	var gamma, cd []float64
	for g := 0.0; g <= 90; g += 0.5 {
		gamma, cd = append(gamma, g), append(cd, b.OffAxis(g))
	}
	tab, err := NewTable([]float64{0}, gamma, [][]float64{cd})
	if err != nil {
		t.Fatal(err)
	}
	const half = 5e-4 // of half-degree steps over a curve of this width
	near(t, "flux", tab.FluxLm(), b.FluxLm(), half)
	near(t, "beam", tab.BeamDeg(), b.BeamDeg(), half)
	near(t, "field", tab.FieldDeg(), b.FieldDeg(), half)
}

func ExampleNewBeam() {
	b := NewBeam(36.452, 20, 1e5)
	fmt.Printf("%.0f lm, %.0f cd at 10° off the aim\n", b.FluxLm(), b.OffAxis(10))
	// Output: 13706 lm, 50000 cd at 10° off the aim
}

func BenchmarkBeamIntensity(b *testing.B) {
	beam := NewBeam(40, 24, 9000)
	dir := geom.Vec{X: 0.1, Y: 0.05, Z: -1}.Unit()
	for b.Loop() {
		beam.Intensity(dir)
	}
}

func BenchmarkTableIntensity(b *testing.B) {
	tab := quadrant(b)
	dir := geom.Vec{X: 0.1, Y: 0.05, Z: -1}.Unit()
	for b.Loop() {
		tab.Intensity(dir)
	}
}
