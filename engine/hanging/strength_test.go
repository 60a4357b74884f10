package hanging

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Values printed to a thousandth of a megapascal, a tenth of a psi, a thousandth
// of a share.
const (
	printedMPa   = 6e-4
	printedPsi   = 0.06
	printedShare = 6e-4
)

func strengthOf(t *testing.T, material, grade string, s Section, span float64, wet bool) Strength {
	t.Helper()
	st := readMaterials().strengthOf(survey.HangingLine{Material: material, Grade: grade, Wet: wet}, s, span)
	if st.Refused != "" {
		t.Fatalf("%s: %s", grade, st.Refused)
	}
	return st
}

// C11: 2×10 DF-L No.2 over 12 ft with 10 psf at 16 in and 60 lb in the middle;
// NDS 2018 with CD 0.9 and CF 1.1, no repetitive factor.
func TestJoistOfTwoByTen(t *testing.T) {
	s, _ := SectionNamed("2x10")
	const lbIn = poundForce * inchM
	span := 12 * .3048
	w := 1.1111 * poundForce / inchM
	m, ok := Member{LengthM: span, SupportsM: []float64{0, span}, Points: []Force{{span / 2, 60 * poundForce}}, Spread: []Even{{0, span, w}}}.Solve()
	if !ok {
		t.Fatal("not solved")
	}
	sag, _, _, _ := m.Extremes()
	near(t, "M lb·in", sag/lbIn, 5040, .6)
	st := strengthOf(t, "timber_solid", "DF-L No.2", s, span, false)
	near(t, "Fb' psi", st.BendingMPa/psi, 891, printedPsi)
	near(t, "fb psi", sag/s.S/1e6/psi, 235.6, printedPsi)
	near(t, "share", sag/s.S/1e6/st.BendingMPa, .264, printedShare)
	near(t, "fv psi at d", shearStress(s, m.Shear(s.Depth))/psi, 10.8, printedPsi)
	near(t, "Fv' psi", st.ShearMPa/psi, 162, printedPsi)
	y, _ := m.MaxDeflection(st.EPa * s.I)
	near(t, "deflection in", y/inchM, .063, printedShare)
	near(t, "L/240 in", span/deflectionRatio/inchM, .60, 1e-9)
}

// C12: design strengths in service class 1 or 2. EN 1995-1-1 (2.14) with kmod 0.60
// permanent or 0.80 medium term, γM 1.3 solid and 1.25 glulam; fv,k 4.0 and 3.5.
func TestEurocodeDesignStrengths(t *testing.T) {
	deep := Rectangle(.1, .7) // no depth factor
	for grade, want := range map[string][2]float64{"C16": {7.385, 9.846}, "C24": {11.077, 14.769}, "GL24h": {11.520, 15.360}} {
		material := "timber_solid"
		if grade == "GL24h" {
			material = "glulam"
		}
		st := strengthOf(t, material, grade, deep, 6, false)
		near(t, grade+" permanent", st.BendingMPa, want[0], printedMPa)
		near(t, grade+" medium term", st.BendingMPa*ModificationFactor("medium term", 1)/ModificationFactor("permanent", 1), want[1], printedMPa)
		near(t, grade+" load factor", st.LoadFactor, 1.35, 0)
	}
	m := readMaterials()
	c24, gl := m.grades[key("C24")][0], m.grades[key("GL24h")][0]
	near(t, "C24 fv,d", .6*c24.FvMPa/1.3, 1.846, printedMPa)
	near(t, "GL24h fv,d", .6*gl.FvMPa/1.25, 1.680, printedMPa)
	// Of the editions' two shear strengths the stricter stands: 2.5 for C24, 0.67·3.5
	// for GL24h, both named.
	st := strengthOf(t, "timber_solid", "C24", deep, 6, false)
	near(t, "C24 shear", st.ShearMPa, .6*2.5/1.3, 1e-9)
	near(t, "GL24h shear", strengthOf(t, "glulam", "GL24h", deep, 6, false).ShearMPa, .6*.67*3.5/1.25, 1e-9)
	if !strings.Contains(st.Source, "2003") || !strings.Contains(st.Source, "2016") {
		t.Errorf("%q", st.Source)
	}
	near(t, "wet", strengthOf(t, "timber_solid", "C24", deep, 6, true).BendingMPa, .5*24/1.3, 1e-9)
}

// C14, and EN 1995-1-1 Table 3.1 row by row.
func TestDepthAndDuration(t *testing.T) {
	near(t, "kh C24 h 100", DepthFactor(false, .1), 1.0845, 6e-5)
	near(t, "kh GL h 300", DepthFactor(true, .3), 1.0718, 6e-5)
	near(t, "kh solid 150", DepthFactor(false, .15), 1, 0)
	near(t, "kh solid thin", DepthFactor(false, .01), 1.3, 0)
	near(t, "kh glulam thin", DepthFactor(true, .01), 1.1, 0)
	near(t, "kh none", DepthFactor(true, math.NaN()), 1, 0)
	for name, want := range map[string][3]float64{"permanent": {.6, .6, .5}, "long term": {.7, .7, .55}, "medium term": {.8, .8, .65},
		"short term": {.9, .9, .7}, "instantaneous": {1.1, 1.1, .9}} {
		for class := 1; class <= 3; class++ {
			near(t, fmt.Sprint(name, class), ModificationFactor(name, class), want[class-1], 0)
		}
	}
	if !math.IsNaN(ModificationFactor("permanent", 4)) || !math.IsNaN(ModificationFactor("ever", 1)) || !math.IsNaN(DurationFactor("ever")) {
		t.Error("a factor for what is none")
	}
	for name, want := range map[string]float64{"permanent": .9, "ten years": 1, "two months, snow": 1.15, "seven days": 1.25, "ten minutes, wind or earthquake": 1.6, "impact": 2} {
		near(t, name, DurationFactor(name), want, 0)
	}
}

// NDS 2018 Supplement Table 4A size factors, 4.3.6 and 5.3.6.
func TestSizeFactors(t *testing.T) {
	in := func(v float64) float64 { return v * inchM }
	for _, tc := range [][3]float64{{1.5, 3.5, 1.5}, {1.5, 5.5, 1.3}, {1.5, 7.25, 1.2}, {1.5, 9.25, 1.1}, {1.5, 11.25, 1.0}, {1.5, 13.25, .9},
		{3.5, 5.5, 1.3}, {3.5, 7.25, 1.3}, {3.5, 9.25, 1.2}, {3.5, 11.25, 1.1}, {3.5, 13.25, 1.0}, {1.5, 10, 1.0}} {
		near(t, fmt.Sprint(tc), SizeFactor(in(tc[0]), in(tc[1])), tc[2], 0)
	}
	near(t, "13.5 in timber", DeepTimberFactor(in(13.5)), .987, printedShare)
	near(t, "12 in timber", DeepTimberFactor(in(12)), 1, 0)
	near(t, "CV 5.125x18 at 30 ft", VolumeFactor(in(5.125), in(18), 30*.3048), .9266, 6e-5)
	near(t, "CV small", VolumeFactor(in(5.125), in(12), 6), 1, 0)
	near(t, "CV none", VolumeFactor(0, 1, 1), 1, 0)
}

// A table holds for its sizes only, and a grade for its material.
func TestGradesRefuseWhatTheyAreNotFor(t *testing.T) {
	m := readMaterials()
	in := func(b, d float64) Section { return Rectangle(b*inchM, d*inchM) }
	for _, tc := range []struct {
		material, grade string
		s               Section
		want            string // empty: a value
	}{
		{"timber_solid", "DF-L No.2", in(1.5, 9.25), ""}, {"timber_solid", "df-l no.2", in(5.5, 11.5), ""},
		{"timber_solid", "DF-L No.2", in(10, 12), "graded as a post"}, {"timber_solid", "HF No.2", in(5.5, 11.5), "2 to 4 in thick"},
		{"timber_solid", "DF-L No.1", in(1.5, 9.25), "5 in and thicker"}, {"timber_solid", "SP No.2", in(1.5, 13.25), "lower depth"},
		{"glulam", "24F-V4", in(5.125, 18), ""}, {"glulam", "C24", in(4, 8), "not one of its material"}, {"timber_solid", "", in(4, 8), "not known"},
		{"timber_solid", "oak", in(4, 8), "no values"}, {"steel", "A53 Gr B", in(1, 1), "pipes"},
		{"aluminium", "BS 1139 tube", m.sections[key("tube 48.3x3.0")], "published"},
	} {
		st := m.strengthOf(survey.HangingLine{Material: tc.material, Grade: tc.grade}, tc.s, 4)
		if tc.want == "" && (st.Refused != "" || !(st.BendingMPa > 0) || !(st.EPa > 0)) || tc.want != "" && !strings.Contains(st.Refused, tc.want) {
			t.Errorf("%s %s in %s: %q", tc.grade, tc.material, tc.s.Name, st.Refused)
		}
	}
	// The larger table is the stricter for the same name.
	small, large := strengthOf(t, "timber_solid", "DF-L No.2", in(1.5, 11.25), 4, false), strengthOf(t, "timber_solid", "DF-L No.2", in(5.5, 11.5), 4, false)
	near(t, "dimension", small.BendingMPa/psi, 810, printedPsi)
	near(t, "beam", large.BendingMPa/psi, 787.5, printedPsi)
	near(t, "E beam", large.EPa/psi/1e6, 1.3e6, 1)
	// SP No.2 has its size in the table.
	near(t, "SP 2x8", strengthOf(t, "timber_solid", "SP No.2", in(1.5, 7.25), 4, false).BendingMPa/psi, 832.5, printedPsi)
	// Wet: 0.85 where Fb·CF is above 1150 psi, else 1.
	near(t, "wet 2x10", strengthOf(t, "timber_solid", "DF-L No.2", in(1.5, 9.25), 4, true).BendingMPa/psi, 891, printedPsi)
	near(t, "wet 2x6 Sel. Str.", strengthOf(t, "timber_solid", "DF-L Sel. Str.", in(1.5, 5.5), 4, true).BendingMPa/psi, 1500*.9*1.3*.85, printedPsi)
}

// C15 and C17.
func TestPipesAndTubes(t *testing.T) {
	s, _ := SectionNamed("pipe 1-1/2 sch 40")
	st := strengthOf(t, "steel", "A53 Gr B", s, 2, false)
	m := st.BendingMPa * 1e6 * s.S
	const kipIn = 1000 * poundForce * inchM
	near(t, "C15 kip·in", m/kipIn, 8.823, 6e-3) // Z is printed to a thousandth of a cubic inch
	near(t, "C15 lb·ft", m/kipIn*1000/12, 735, .6)
	near(t, "C15 lb at the middle of 8 ft", 4*m/(8*.3048)/poundForce, 368, .6)
	s, _ = SectionNamed("tube 48.3×4.0 mm")
	st = strengthOf(t, "steel", "S235", s, 2, false)
	near(t, "C17 fy·S kN·m", 235e6*s.S/1000, 1.340, printedShare)
	near(t, "C17 /(1.1·1.5)", st.BendingMPa*1e6*s.S/1000, .812, printedShare)
	if !strings.Contains(st.Source, "1.12") {
		t.Errorf("the published moment is not named: %q", st.Source)
	}
	a, _ := SectionNamed("tube 48.3x4.47")
	near(t, "aluminium kN·m", strengthOf(t, "aluminium", "BS 1139 tube", a, 2, false).BendingMPa*a.S*1e3, 1.33, 1e-9)
	near(t, "aluminium A cm²", a.Area*1e4, 6.15, 6e-3)
	near(t, "aluminium I cm⁴", a.I*1e8, 14.9, .06)
	near(t, "aluminium S cm³", a.S*1e6, 6.18, 6e-3)
	// Masses of the table, and of the same size in another metal.
	mat := readMaterials()
	near(t, "steel kg/m", mat.weight(s, "steel", Grade{}), 4.37, 0)
	near(t, "aluminium 4.0 kg/m", mat.weight(s, "aluminium", Grade{}), 1.50, 6e-3)
	for name, want := range map[string][4]float64{ // A, I, S, Z in mm
		"tube 48.3x3.2": {453.4, 115857, 4797, 6520}, "tube 48.3x4.0": {556.7, 137676, 5701, 7871},
		"tube 48.3x4.47": {615.5, 149340, 6184, 8617}, "tube 48.3x3.0": {426.9, 109996, 4555, 6165}} {
		s, _ := SectionNamed(name)
		for i, v := range []float64{s.Area * 1e6, s.I * 1e12, s.S * 1e9, s.Z * 1e9} {
			near(t, fmt.Sprint(name, " ", i), v, want[i], want[i]*2e-4)
		}
	}
}

// NDS Supplement Table 1B and 1C: A in², S in³, I in⁴.
func TestTimberSections(t *testing.T) {
	for name, want := range map[string][3]float64{"2x6": {8.25, 7.56, 20.8}, "2x8": {10.875, 13.14, 47.6}, "2x10": {13.875, 21.39, 98.9}, "2x12": {16.875, 31.64, 178},
		"4x8": {25.375, 30.66, 111.1}, "4x10": {32.375, 49.91, 230.8}, "4x12": {39.375, 73.83, 415.3}, "6x8": {41.25, 51.56, 193.4}, "6x10": {52.25, 82.73, 393},
		"6x12": {63.25, 121.2, 697.1}, "8x12": {86.25, 165.3, 950.5}, "glulam 5-1/8x12": {61.5, 123, 738}, "glulam 5-1/8x18": {92.25, 276.8, 2490.8}, "glulam 6-3/4x24": {162, 648, 7776}} {
		s, ok := SectionNamed(name)
		if !ok {
			t.Errorf("no %s", name)
			continue
		}
		for i, v := range []float64{s.Area / math.Pow(inchM, 2), s.S / math.Pow(inchM, 3), s.I / math.Pow(inchM, 4)} {
			near(t, fmt.Sprint(name, " ", i), v, want[i], want[i]*8e-4)
		}
	}
	// Density from specific gravity: NDS Supplement 3.1.3.
	for g, want := range map[float64]float64{.50: 531, .55: 581, .43: 460, .42: 450} {
		near(t, fmt.Sprint("density of ", g), Grade{Gravity: g}.density(), want, 1)
	}
}

// A deeper section of a grade never resists less in moment, and a wetter one never
// more; the share grows with the load.
func TestStrengthLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, d := rapid.Float64Range(.04, .1).Draw(t, "b"), rapid.Float64Range(.1, .6).Draw(t, "d")
		g := rapid.SampledFrom([]string{"C24", "C16", "DF-L No.2", "HF No.2", "GL24h", "24F-V4"}).Draw(t, "grade")
		l := survey.HangingLine{Grade: g, Material: "timber_solid"}
		if g == "GL24h" || g == "24F-V4" {
			l.Material = "glulam"
		}
		m := readMaterials()
		dry := m.strengthOf(l, Rectangle(b, d), 6)
		deeper := m.strengthOf(l, Rectangle(b, d*1.2), 6)
		l.Wet = true
		wet := m.strengthOf(l, Rectangle(b, d), 6)
		if dry.Refused != "" || deeper.Refused != "" || wet.Refused != "" {
			t.Fatalf("%q %q %q", dry.Refused, deeper.Refused, wet.Refused)
		}
		if deeper.BendingMPa*Rectangle(b, d*1.2).S < dry.BendingMPa*Rectangle(b, d).S {
			t.Fatalf("deeper resists less")
		}
		if wet.BendingMPa > dry.BendingMPa || wet.ShearMPa > dry.ShearMPa || wet.EPa > dry.EPa {
			t.Fatalf("wet resists more: %+v %+v", wet, dry)
		}
		if len(dry.Factors) < 2 {
			t.Fatalf("factors %v", dry.Factors)
		}
		for _, f := range append(dry.Factors, wet.Factors...) {
			if f.Source == "" || f.Name == "" || !(f.Value > 0) {
				t.Fatalf("%+v", f)
			}
		}
	})
}

// C24: a 4 m steel bar with four units of 8 kg, clamps and secondary suspensions
// and 6 m of cable weighs 55.38 kg, 0.543 kN.
func TestBarWithFourUnits(t *testing.T) {
	s, _ := SectionNamed("tube 48.3x4.0")
	kg := 4*(8+.9+.2) + 6*.25 + 4*readMaterials().weight(s, "steel", Grade{})
	near(t, "kg", kg, 55.38, 6e-3)
	near(t, "kN", kg*si.StandardGravity/1000, .543, 6e-4)
}
