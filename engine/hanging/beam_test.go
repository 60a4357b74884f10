package hanging

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

// EI of a 48.3 × 4.0 mm steel tube at 210 GPa, N·m²; the published numeric
// cases rest on it.
const tubeEI = 28911.9

// Deflections of the cases are printed to a thousandth of a millimetre, moments
// to a hundredth of a newton metre.
const (
	printedM  = 6e-7
	printedNM = 6e-3
)

// Numeric cases of simple spans: the formulas of AWC Design Aid No. 6 (2007),
// checked there against a 40-element model.
func TestBeamCases(t *testing.T) {
	for _, tc := range []struct {
		name string
		b    Beam
		m, y float64
	}{
		{"load at the middle", Beam{4, []Force{{2, 1000}}, nil}, 1000, 46.117e-3},
		{"even load", Beam{4, nil, []Even{{0, 4, 200}}}, 400, 23.059e-3},
		{"two loads", Beam{4, []Force{{1, 500}, {3, 500}}, nil}, 500, 31.706e-3},
	} {
		m, _ := tc.b.MaxMoment()
		y, _ := tc.b.MaxDeflection(tubeEI)
		near(t, tc.name+" moment", m, tc.m, printedNM)
		near(t, tc.name+" deflection", y, tc.y, printedM)
	}
}

func TestFourLoadsAndSelfWeight(t *testing.T) {
	b := Beam{4, []Force{{.5, 118}, {1.5, 118}, {2.5, 118}, {3.5, 176}}, []Even{{0, 4, 42.855}}}
	l, r := b.Reactions()
	near(t, "RA", l, 328.96, printedNM)
	near(t, "RB", r, 372.46, printedNM)
	for x, want := range map[float64]float64{.5: 159.12, 1.5: 327.23, 2.5: 334.48, 3.5: 180.87} {
		near(t, fmt.Sprint("M at ", x), b.Moment(x), want, printedNM)
	}
	m, at := b.MaxMoment()
	near(t, "Mmax", m, 336.82, printedNM)
	near(t, "at", at, 2.169, 6e-4)
	y, _ := b.MaxDeflection(tubeEI)
	near(t, "deflection", y, 19.87e-3, 5e-6) // printed to a hundredth of a millimetre
	s := readMaterials().sections[key("tube 48.3x4.0")]
	near(t, "stress MPa", m/s.S/1e6, 59.1, .05)
	near(t, "I mm⁴", s.I*1e12, 137676, 1)
	near(t, "S mm³", s.S*1e9, 5701, 1)
}

// The printed off-centre formula, with a the longer part.
func TestOffCentreLoadAgainstClosedForm(t *testing.T) {
	const l, a, p = 5.0, 3.2, 700.0
	b := l - a
	y, at := Beam{l, []Force{{a, p}}, nil}.MaxDeflection(tubeEI)
	near(t, "deflection", y, p*a*b*(a+2*b)*math.Sqrt(3*a*(a+2*b))/(27*tubeEI*l), 1e-12)
	near(t, "place", at, math.Sqrt(a*(a+2*b)/3), 1e-6)
}

func TestSectionsAgainstPrintedProperties(t *testing.T) {
	m := readMaterials()
	const in = 0.0254
	for name, want := range map[string][2]float64{"pipe 1-1/2 sch 40": {.310, .326}, "pipe 1-1/4 sch 40": {.195, .235}, "pipe 2 sch 40": {.666, .561},
		"pipe 1-1/2 sch 80": {.391, .412}, "pipe 2 sch 80": {.868, .731}} {
		s := m.sections[key(name)]
		near(t, name+" I in⁴", s.I/math.Pow(in, 4), want[0], 6e-4)
		near(t, name+" S in³", s.S/math.Pow(in, 3), want[1], 6e-4)
	}
}

func TestDegenerateBeams(t *testing.T) {
	if y, _ := (Beam{}).MaxDeflection(1); !math.IsNaN(y) {
		t.Errorf("no length: %v", y)
	}
	if y := (Beam{4, []Force{{1, 1}}, nil}).Deflection(2, 0); !math.IsNaN(y) {
		t.Errorf("no stiffness: %v", y)
	}
	if m, _ := (Beam{4, []Force{{math.NaN(), 5}, {9, 5}, {-1, 5}}, nil}).MaxMoment(); m != 0 {
		t.Errorf("loads off the span: %v", m)
	}
}

func drawBeam(t *rapid.T) Beam {
	b := Beam{LengthM: rapid.Float64Range(.5, 15).Draw(t, "length")}
	for range rapid.IntRange(0, 8).Draw(t, "points") {
		b.Points = append(b.Points, Force{rapid.Float64Range(0, b.LengthM).Draw(t, "at"), rapid.Float64Range(0, 500).Draw(t, "n")})
	}
	for range rapid.IntRange(0, 3).Draw(t, "evens") {
		from := rapid.Float64Range(0, b.LengthM).Draw(t, "from")
		b.Spread = append(b.Spread, Even{from, rapid.Float64Range(from, b.LengthM).Draw(t, "to"), rapid.Float64Range(0, 200).Draw(t, "w")})
	}
	return b
}

func (b Beam) mirrored() Beam {
	m := Beam{LengthM: b.LengthM}
	for _, p := range b.Points {
		m.Points = append(m.Points, Force{b.LengthM - p.AtM, p.N})
	}
	for _, e := range b.Spread {
		m.Spread = append(m.Spread, Even{b.LengthM - e.ToM, b.LengthM - e.FromM, e.NPerM})
	}
	return m
}

// Reactions sum to the load, a mirrored span mirrors them, the moment is the
// integral of the shear, and EI·y″ = −M by finite differences.
func TestBeamLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeam(t)
		total := 0.0
		for _, p := range b.Points {
			total += p.N
		}
		for _, e := range b.Spread {
			total += e.NPerM * (e.ToM - e.FromM)
		}
		l, r := b.Reactions()
		if math.Abs(l+r-total) > 1e-6 {
			t.Fatalf("reactions %v + %v, load %v", l, r, total)
		}
		ml, mr := b.mirrored().Reactions()
		if math.Abs(l-mr) > 1e-6 || math.Abs(r-ml) > 1e-6 {
			t.Fatalf("mirrored %v %v of %v %v", ml, mr, l, r)
		}
		top, at := b.MaxMoment()
		for i := range 101 {
			if x := b.LengthM * float64(i) / 100; b.Moment(x) > top+1e-6 {
				t.Fatalf("moment %v at %v above the top %v at %v", b.Moment(x), x, top, at)
			}
		}
		if end := b.Moment(b.LengthM); math.Abs(end) > 1e-6*(1+total*b.LengthM) {
			t.Fatalf("moment at the right support %v", end)
		}
		y, _ := b.MaxDeflection(tubeEI)
		ym, _ := b.mirrored().MaxDeflection(tubeEI)
		if math.Abs(y-ym) > 1e-9*(1+y) {
			t.Fatalf("deflection %v, mirrored %v", y, ym)
		}
		const n = 2000
		simpson, h := 0.0, b.LengthM/n
		// Second method at the middle: unit-load theorem, ∫M·m/EI.
		for i := range n {
			x := (float64(i) + .5) * h
			simpson += b.Moment(x) * math.Min(x, b.LengthM-x) / 2 * h / tubeEI
		}
		if mid := b.Deflection(b.LengthM/2, tubeEI); math.Abs(mid-simpson) > 1e-4*(mid+1e-6) {
			t.Fatalf("deflection %v, unit load %v", mid, simpson)
		}
	})
}

func BenchmarkMaxDeflection(b *testing.B) {
	beam := Beam{4, []Force{{.5, 118}, {1.5, 118}, {2.5, 118}, {3.5, 176}}, []Even{{0, 4, 42.855}}}
	for b.Loop() {
		beam.MaxDeflection(tubeEI)
	}
}

func ExampleBeam_MaxMoment() {
	m, at := Beam{LengthM: 4, Points: []Force{{2, 1000}}}.MaxMoment()
	fmt.Printf("%.0f N·m at %.1f m\n", m, at)
	// Output: 1000 N·m at 2.0 m
}
