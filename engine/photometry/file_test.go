package photometry

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/geom"
)

// nineDigits is the rounding of the values the tests write.
const nineDigits = 1e-8

// chordError is what straight lines between angles 2.5° apart take from or add
// to the curves used here, relative to their peak.
const chordError = 2e-3

func mustRead(t testing.TB, text string) *File {
	t.Helper()
	f, err := Read([]byte(text))
	if err != nil {
		t.Fatalf("refused: %v", err)
	}
	return f
}

// everyWhere compares a distribution with the one it was written from, in
// directions between the stored angles all round.
func everyWhere(t *testing.T, got Distribution, want candelas, rel float64) {
	t.Helper()
	const n = 900
	golden := math.Pi * (3 - math.Sqrt(5))
	worst, at := 0.0, geom.Vec{}
	for i := range n {
		z := 1 - 2*(float64(i)+0.5)/n
		r := math.Sqrt(1 - z*z)
		d := geom.Vec{X: r * math.Cos(golden*float64(i)), Y: r * math.Sin(golden*float64(i)), Z: z}
		if off := math.Abs(got.Intensity(d) - want(d)); off > worst {
			worst, at = off, d
		}
	}
	if worst > rel*got.PeakCd() {
		t.Errorf("off by %.4g cd of %.4g toward %+v: %.5g for %.5g", worst, got.PeakCd(), at, got.Intensity(at), want(at))
	}
}

var allEditions = []string{"", "IESNA91", "IESNA:LM-63-1995", "IESNA:LM-63-2002", "IES:LM-63-2019"}

func TestLM63EveryEditionAndSymmetry(t *testing.T) {
	sphere, half := steps(0, 180, 2.5), steps(0, 90, 2.5)
	shapes := []struct {
		name     string
		h, v     []float64
		of       candelas
		symmetry string
	}{
		{"isotropic", []float64{0}, sphere, isotropic, SymmetryRotational},
		{"Lambertian", []float64{0}, half, lambertian, SymmetryRotational},
		{"cos^50", []float64{0}, steps(0, 90, 0.5), cosPower(50), SymmetryRotational},
		{"quadrant", steps(0, 90, 2.5), half, mirroredIn(lopsided, true, true), SymmetryQuadrant},
		{"mirror in 0–180", steps(0, 180, 2.5), half, mirroredIn(lopsided, false, true), SymmetryHalf180},
		{"mirror in 90–270", steps(90, 270, 2.5), half, mirroredIn(lopsided, true, false), SymmetryHalf90},
		{"none", steps(0, 360, 2.5), half, lopsided, SymmetryNone},
		{"none, open", steps(0, 357.5, 2.5), half, lopsided, SymmetryNone},
	}
	for _, edition := range allEditions {
		for _, s := range shapes {
			t.Run(edition+" "+s.name, func(t *testing.T) {
				w := lm63{edition: edition, h: s.h, v: s.v, mult: 2, ballast: 0.9, field12: 0.95}
				if edition >= "IESNA:LM-63-2002" || strings.HasPrefix(edition, "IES:") {
					w.field12 = 1.10000
				}
				f := mustRead(t, w.write(s.of))
				if f.Type != "C" || f.Symmetry != s.symmetry || !f.Absolute {
					t.Errorf("type %s, symmetry %s, absolute %v", f.Type, f.Symmetry, f.Absolute)
				}
				everyWhere(t, f.Distribution(), s.of, chordError)
			})
		}
	}
}

func TestLM63TypesAAndB(t *testing.T) {
	for _, kind := range []int{2, 3} {
		letter := map[int]string{2: "B", 3: "A"}[kind]
		t.Run(letter+" whole", func(t *testing.T) {
			w := lm63{edition: "IESNA:LM-63-2002", kind: kind, h: steps(-90, 90, 2.5), v: steps(-90, 90, 2.5)}
			f := mustRead(t, w.write(lopsided))
			if f.Type != letter || f.Symmetry != SymmetryNone {
				t.Errorf("type %s, symmetry %s", f.Type, f.Symmetry)
			}
			everyWhere(t, f.Distribution(), lopsided, chordError)
			near(t, "flux", f.FluxLm, sphereFlux(f.Distribution(), 60, 2), 2e-3)
		})
		t.Run(letter+" mirrored", func(t *testing.T) {
			of := mirroredIn(lopsided, true, false)
			w := lm63{edition: "IESNA:LM-63-1995", kind: kind, h: steps(0, 90, 2.5), v: steps(-90, 90, 2.5)}
			f := mustRead(t, w.write(of))
			if f.Symmetry != SymmetryMirror {
				t.Errorf("symmetry %s", f.Symmetry)
			}
			everyWhere(t, f.Distribution(), of, chordError)
		})
	}
	// A quarter of the isotropic sphere each way: 100 cd into the half space.
	for _, kind := range []int{2, 3} {
		w := lm63{edition: "IESNA:LM-63-2002", kind: kind, h: steps(-90, 90, 10), v: steps(-90, 90, 10)}
		near(t, fmt.Sprintf("isotropic half of type %d", kind), mustRead(t, w.write(isotropic)).FluxLm, 200*math.Pi, 1e-9)
	}
}

// TestTypesAAndBDirections: (H 30°, V 40°) lies equally far off the aim in both
// types but in other directions. Values computed here from the definitions.
func TestTypesAAndBDirections(t *testing.T) {
	for _, tc := range []struct {
		b    bool
		want geom.Vec // aim, right, up
	}{
		{true, geom.Vec{X: .66341, Y: .50000, Z: .55667}},
		{false, geom.Vec{X: .66341, Y: .38302, Z: .64279}},
	} {
		s := &spread{b: tc.b}
		d := s.direction(30, 40)
		near(t, "aim", -d.Z, tc.want.X, published)
		near(t, "right", d.X, tc.want.Y, published)
		near(t, "up", d.Y, tc.want.Z, published)
		near(t, "off the aim", math.Acos(-d.Z)*180/math.Pi, 48.4392, published)
		h, v := s.angles(d)
		near(t, "H again", h, 30, 1e-9)
		near(t, "V again", v, 40, 1e-9)
	}
}

// TestLM63Factors: a quarter sphere of 2336.661 lm with multiplier 2 and
// ballast factor 0.9; field 12 counts up to 1995 only. Values computed here.
func TestLM63Factors(t *testing.T) {
	cd := [][]float64{{1000, 800, 400, 0}, {1000, 700, 300, 0}, {1000, 600, 200, 0}}
	for _, tc := range []struct {
		edition string
		field12 float64
		want    float64
	}{
		{"IESNA:LM-63-2002", 1, 4205.989}, {"IES:LM-63-2019", 1.10000, 4205.989}, {"IESNA:LM-63-1995", .95, 3995.690},
		{"IESNA91", .95, 3995.690}, {"", .95, 3995.690}, {"IESNA:LM-63-2002", .95, 4205.989},
	} {
		w := lm63{edition: tc.edition, h: []float64{0, 45, 90}, v: []float64{0, 30, 60, 90}, mult: 2, ballast: .9, field12: tc.field12}
		f := mustRead(t, w.text(cd))
		near(t, fmt.Sprintf("flux of %q with field 12 %g", tc.edition, tc.field12), f.FluxLm, tc.want, published)
		near(t, "maximum", f.MaxCd, f.FluxLm/2336.661*1000, published)
	}
}

func TestLM63EditionLines(t *testing.T) {
	body := "TILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 5\n0 90\n0\n5 0\n"
	for line, want := range map[string]string{
		"IESNA91": "1991", "IESNA 91": "1991", "IESNA:LM-63-1995": "1995", "IESNA: LM-63-2002": "2002", "IES:LM-63-2019": "2019",
		"iesna:lm-63-2002": "2002", "IESNA:LM-63-2002 ": "2002", "IESNA:LM63-1995": "1995", "\n\nIESNA:LM-63-2002": "2002",
		"IESNA:LM-63-1986": "1986", "IESNA LM-63-2002 rev": "2002", "a lamp": "1986", "IES members' lamp": "1986",
		"IESNA:LM-63-2099": "", "IESNA": "", "IESNA:LM-63": "", "IES:LM-63-2020": "",
	} {
		if f := mustRead(t, line+"\n"+body); f.Edition != want {
			t.Errorf("%q is %q, want %q", line, f.Edition, want)
		}
	}
}

func TestLM63Head(t *testing.T) {
	w := lm63{edition: "IESNA:LM-63-2002", h: []float64{0}, v: []float64{0, 10, 20, 30}, units: 1, width: 1, length: -2, height: 0.5,
		lumens: 1500, lamps: 2, watts: 36}
	f := mustRead(t, w.text([][]float64{{1000, 900, 400, 0}}))
	near(t, "width", f.WidthM, 0.3048, 1e-9)
	near(t, "length", f.LengthM, -0.6096, 1e-9)
	near(t, "height", f.HeightM, 0.1524, 1e-9)
	near(t, "beam", f.BeamDeg, 36, 1e-9)
	near(t, "field", f.FieldDeg, 55, 1e-9)
	if f.RatedLm != 3000 || f.Absolute || f.InputW != 36 || f.Lamps != 2 || f.Edition != "2002" || f.Keyword("LUMINAIRE") != "invented" {
		t.Errorf("%+v", f)
	}
	if len(f.Planes) != 1 || f.Planes[0].Plane != "C0-C180" || f.Planes[0].BeamDeg != f.Planes[0].CentreBeamDeg {
		t.Errorf("planes %+v", f.Planes)
	}
	if len(f.Warnings) != 1 || !strings.Contains(f.Warnings[0].Text, "end at 30") {
		t.Errorf("warnings %v", f.Warnings)
	}
}

func TestLM63AnglesByPlane(t *testing.T) {
	// Two half planes with other edges: 18° and 9° at half, 27.5° and 13.75° at a tenth.
	w := lm63{edition: "IESNA:LM-63-2002", h: []float64{0, 90}, v: []float64{0, 5, 10, 15, 20, 30, 90}}
	wide := []float64{1000, 950, 900, 650, 400, 0, 0}
	narrow := []float64{1000, 900, 400, 0, 0, 0, 0}
	f := mustRead(t, w.text([][]float64{wide, narrow}))
	near(t, "C0 beam", f.Planes[0].BeamDeg, 36, 1e-9)
	near(t, "C0 field", f.Planes[0].FieldDeg, 55, 1e-9)
	near(t, "C90 beam", f.Planes[1].BeamDeg, 18, 1e-9)
	near(t, "C90 field", f.Planes[1].FieldDeg, 27.5, 1e-9)
	near(t, "mean beam", f.BeamDeg, 27, 1e-9)
}

func TestCentreBeamDiffers(t *testing.T) {
	w := lm63{edition: "IESNA:LM-63-2002", h: []float64{0}, v: []float64{0, 10, 20, 30, 90}}
	f := mustRead(t, w.text([][]float64{{600, 1000, 400, 0, 0}}))
	near(t, "beam by the maximum", f.Planes[0].BeamDeg, 2*(10+10*500.0/600), 1e-9)
	near(t, "beam by the aim", f.Planes[0].CentreBeamDeg, 2*(20+10*100.0/400), 1e-9)
	if text := fmt.Sprint(f.Warnings); !strings.Contains(text, "half of the intensity along the aim") || !strings.Contains(text, "vertical 10°") {
		t.Errorf("warnings %v", f.Warnings)
	}
	if f.MaxAngleDeg != 10 {
		t.Errorf("maximum at %v", f.MaxAngleDeg)
	}
}

func TestOffAxisBeamIsMeasuredAcrossItself(t *testing.T) {
	// A wall washer: all light in one half plane between 20° and 60°.
	dark := []float64{0, 0, 0, 0, 0}
	w := lm63{edition: "IESNA:LM-63-2002", h: []float64{0, 90, 180, 270, 360}, v: []float64{0, 20, 40, 60, 90}}
	lit := []float64{0, 0, 1000, 0, 0}
	f := mustRead(t, w.text([][]float64{lit, dark, dark, dark, lit}))
	near(t, "C0 beam", f.Planes[0].BeamDeg, 20, 1e-9)
	if f.Planes[1].BeamDeg != 0 || !strings.Contains(fmt.Sprint(f.Warnings), "C90-C270") {
		t.Errorf("C90 beam %v, warnings %v", f.Planes[1].BeamDeg, f.Warnings)
	}
}

// TestLM63Untidy: files that mean one thing only are read the same.
func TestLM63Untidy(t *testing.T) {
	base := lm63{edition: "IESNA:LM-63-2002", h: steps(0, 360, 45), v: steps(0, 90, 10)}
	tidy := base.write(lopsided)
	want := mustRead(t, tidy)
	with := func(change func(*lm63)) string {
		w := base
		change(&w)
		return w.write(lopsided)
	}
	for name, text := range map[string]string{
		"commas":            with(func(w *lm63) { w.separator = "," }),
		"comma and blank":   with(func(w *lm63) { w.separator = " , " }),
		"tabs":              with(func(w *lm63) { w.separator = "\t" }),
		"one a line":        with(func(w *lm63) { w.perLine = 1 }),
		"three a line":      with(func(w *lm63) { w.perLine = 3 }),
		"one long line":     with(func(w *lm63) { w.perLine = 1000 }),
		"CR only":           with(func(w *lm63) { w.lineEnd = "\r" }),
		"LF only":           with(func(w *lm63) { w.lineEnd = "\n" }),
		"blank lines":       with(func(w *lm63) { w.lineEnd = "\r\n\r\n" }),
		"byte order mark":   "\xef\xbb\xbf" + tidy,
		"Ctrl-Z":            tidy + "\x1a",
		"Ctrl-Z and more":   tidy + "\x1a\x00\x00rest",
		"zero bytes":        tidy + "\x00\x00\x00",
		"Latin-1":           strings.Replace(tidy, "invented", "B\xfchne", 1),
		"blank in edition":  strings.Replace(tidy, "IESNA:LM-63-2002", "IESNA: LM-63-2002", 1),
		"lower case":        strings.Replace(strings.Replace(tidy, "TILT=NONE", "tilt = none", 1), "IESNA:LM-63-2002", "iesna:lm-63-2002", 1),
		"no closing plane":  with(func(w *lm63) { w.h = steps(0, 315, 45) }),
		"descending angles": with(func(w *lm63) { w.v = []float64{90, 80, 70, 60, 50, 40, 30, 20, 10, 0} }),
		"repeated plane":    with(func(w *lm63) { w.h = []float64{0, 45, 45, 90, 135, 180, 225, 270, 315, 360} }),
		"repeated angle":    with(func(w *lm63) { w.v = []float64{0, 10, 20, 30, 30, 40, 50, 60, 70, 80, 90} }),
		"ballast factor 0":  strings.Replace(tidy, "1 1 50", "0 1 50", 1),
		"watts 0":           strings.Replace(tidy, "1 1 50", "1 1 0", 1),
		"tilt elsewhere":    strings.Replace(tidy, "TILT=NONE", "TILT=some.tlt", 1),
		"tilt table":        strings.Replace(tidy, "TILT=NONE\r\n", "TILT=INCLUDE\r\n1\r\n3\r\n0 45 90\r\n1 0.95 0.9\r\n", 1),
		"counts as decimal": strings.Replace(tidy, " 10 9 1 2 ", " 10.0 9.0 1 2 ", 1),
		"trailing text":     tidy + "END\r\n",
	} {
		t.Run(name, func(t *testing.T) {
			f := mustRead(t, text)
			if f.Edition != "2002" {
				t.Errorf("edition %q", f.Edition)
			}
			near(t, "flux", f.FluxLm, want.FluxLm, nineDigits)
			everyWhere(t, f.Distribution(), want.Distribution().Intensity, nineDigits)
			quiet := map[string]bool{"commas": true, "comma and blank": true, "tabs": true, "one a line": true, "three a line": true,
				"one long line": true, "CR only": true, "LF only": true, "blank lines": true, "byte order mark": true, "Ctrl-Z": true,
				"zero bytes": true, "Latin-1": true, "tilt table": true, "counts as decimal": true}[name]
			if extra := len(f.Warnings) - len(want.Warnings); quiet != (extra == 0) {
				t.Errorf("warnings %v beyond %v", f.Warnings, want.Warnings)
			}
		})
	}
	f := mustRead(t, strings.Replace(tidy, "invented", "B\xfchne", 1))
	if f.Keyword("LUMINAIRE") != "Bühne" {
		t.Errorf("keyword %q", f.Keyword("LUMINAIRE"))
	}
}

// TestTilt: the table is kept and read between its angles.
func TestTilt(t *testing.T) {
	text := strings.Replace(lm63{edition: "IESNA:LM-63-1995", h: []float64{0}, v: steps(0, 90, 10)}.write(lambertian),
		"TILT=NONE\r\n", "TILT=INCLUDE\r\n2\r\n3\r\n0 45 90\r\n1 0.95 0.9\r\n", 1)
	f := mustRead(t, text)
	if f.Tilt.LampGeometry != 2 || len(f.Tilt.AngleDeg) != 3 {
		t.Fatalf("%+v", f.Tilt)
	}
	for deg, want := range map[float64]float64{-5: 1, 0: 1, 22.5: 0.975, 90: 0.9, 120: 0.9} {
		near(t, fmt.Sprintf("factor at %v°", deg), f.Tilt.At(deg), want, 1e-12)
	}
	if (Tilt{}).At(30) != 1 {
		t.Error("a factor without a table")
	}
	near(t, "flux", f.FluxLm, 1000*math.Pi, nineDigits)
}

// TestTiltedLight: a unit that points away from straight down gives the file's
// light times the factor at that angle, through field names, zoom and blades; a
// lamp that stays level gives the same at every tilt.
func TestTiltedLight(t *testing.T) {
	read := func(geometry int) Distribution {
		f, err := Read([]byte(strings.Replace((lm63{h: []float64{0}, v: []float64{0, 45, 90}}).write(lambertian),
			"TILT=NONE\r\n", fmt.Sprintf("TILT=INCLUDE\r\n%d\r\n3\r\n0 45 90\r\n1 0.9 0.8\r\n", geometry), 1)))
		if err != nil {
			t.Fatal(err)
		}
		return f.Distribution()
	}
	down := geom.Vec{Z: -1}
	for _, geometry := range []int{1, 3} {
		d := read(geometry)
		for deg, want := range map[float64]float64{0: 1, 45: 0.9, 60: 0.9 - 0.1/3, 90: 0.8, 135: 0.8} {
			for name, of := range map[string]Distribution{"itself": d, "by its field": WithField(d, 100), "behind a blade": NewCut(d, Blade{OffAxisDeg: 30}),
				"zoomed": NewZoom(WithField(d, 20), WithField(d, 40), 30)} {
				got := AtTilt(of, deg)
				near(t, fmt.Sprintf("%s, %v°: candelas", name, deg), got.Intensity(down)/of.Intensity(down), want, 1e-9)
				near(t, fmt.Sprintf("%s, %v°: flux", name, deg), got.FluxLm()/of.FluxLm(), want, 1e-9)
				near(t, fmt.Sprintf("%s, %v°: peak", name, deg), got.PeakCd()/of.PeakCd(), want, 1e-9)
				if got.FieldDeg() != of.FieldDeg() {
					t.Errorf("%s: field %v, was %v", name, got.FieldDeg(), of.FieldDeg())
				}
			}
		}
	}
	level := read(2)
	near(t, "a lamp that stays level", AtTilt(level, 60).Intensity(down), level.Intensity(down), 1e-9)
	if beam := NewBeam(20, 10, 1000); AtTilt(beam, 60) != Distribution(beam) {
		t.Error("a beam without factors changed")
	}
}

func TestLM63Refused(t *testing.T) {
	base := lm63{edition: "IESNA:LM-63-2002", h: []float64{0}, v: steps(0, 90, 10)}
	tidy := base.write(lambertian) // line 5 lamps …, line 6 ballast, line 7 vertical, 8 horizontal, 9 candelas
	h := func(v ...float64) string {
		w := base
		w.h = v
		return w.write(lopsided)
	}
	v := func(a ...float64) string {
		w := base
		w.v = a
		return w.write(lopsided)
	}
	for _, tc := range []struct {
		name, text string
		line       int
		reason     string
	}{
		{"empty", "", 0, "empty"},
		{"blank", " \r\n\x00", 0, "empty"},
		{"something else", "hello\nworld\n", 0, "neither"},
		{"zero bytes within", strings.Replace(tidy, "[TEST]", "[T\x00EST]", 1), 2, "zero byte"},
		{"too large", strings.Repeat(" ", MaxFileBytes+1), 0, "bytes"},
		{"a word", strings.Replace(tidy, "1 1 50", "1 one 50", 1), 6, `"one" is not a number`},
		{"not a number", strings.Replace(tidy, "1 1 50", "1 NaN 50", 1), 6, "not a number"},
		{"hexadecimal", strings.Replace(tidy, "1 1 50", "1 0x1 50", 1), 6, "not a number"},
		{"too few candelas", tidy[:len(tidy)-20], 9, "missing"},
		{"too many candelas", tidy + "0 0 0\r\n", 10, "3 values are left over"},
		{"half a count", strings.Replace(tidy, "1 -1 1 10 1", "1 -1 1 10.5 1", 1), 5, "whole number"},
		{"no such type", strings.Replace(tidy, "10 1 1 2", "10 1 4 2", 1), 5, "photometric type"},
		{"no such unit", strings.Replace(tidy, "10 1 1 2", "10 1 1 3", 1), 5, "units"},
		{"multiplier 0", strings.Replace(tidy, "1 -1 1 10", "1 -1 0 10", 1), 5, "multiplier"},
		{"negative ballast", strings.Replace(tidy, "1 1 50", "-1 1 50", 1), 6, "ballast"},
		{"no candela", lm63{edition: "IESNA91", h: []float64{0}, v: []float64{0, 90}}.text([][]float64{{0, 0}}), 9, "above zero"},
		{"negative candela", lm63{edition: "IESNA91", h: []float64{0}, v: []float64{0, 90}}.text([][]float64{{100, -50}}), 9, "negative"},
		{"odd sector", h(0, 60, 120), 8, "no symmetry"},
		{"gap in the turn", h(0, 45, 90, 135, 200), 8, "no symmetry"},
		{"starts elsewhere", h(30, 180), 8, "begin at 0"},
		{"angles in disorder", v(0, 40, 30, 90), 7, "do not ascend"},
		{"starts at 5°", v(5, 45, 90), 7, "begin at 0 or 90"},
		{"beyond the pole", v(0, 90, 190), 7, "beyond 180"},
		{"tilt of nothing", strings.Replace(tidy, "TILT=NONE", "TILT=", 1), 4, "TILT="},
		{"tilt in disorder", strings.Replace(tidy, "TILT=NONE\r\n", "TILT=INCLUDE\r\n1\r\n2\r\n90 0\r\n1 1\r\n", 1), 7, "ascend"},
		{"repeated plane that differs", lm63{edition: "IESNA91", h: []float64{0, 45, 45, 90}, v: []float64{0, 90}}.text([][]float64{{1, 0}, {1, 0}, {1, 1}, {1, 0}}), 8, "twice"},
		{"unknown edition with a factor", strings.Replace(strings.Replace(tidy, "IESNA:LM-63-2002", "IESNA:LM-63-2099", 1), "1 1 50", "1 0.9 50", 1), 6, "edition"},
		{"decimal commas", strings.ReplaceAll(tidy, ".", ","), 0, ""},
	} {
		_, err := Read([]byte(tc.text))
		var refused *FileError
		if !errors.As(err, &refused) {
			t.Errorf("%s: error %v", tc.name, err)
			continue
		}
		if !strings.Contains(refused.Reason, tc.reason) || (tc.line > 0 && refused.Line != tc.line) {
			t.Errorf("%s: %v, want line %d, %q", tc.name, refused, tc.line, tc.reason)
		}
	}
}

func TestEULUMDATEverySymmetry(t *testing.T) {
	// In the file's angles C0 is the fixture's +Y: a mirror in the file's 0–180
	// plane is one in the fixture's 90–270 plane, and the other way round.
	for _, tc := range []struct {
		symmetry int
		of       candelas
		want     string
	}{
		{0, lopsided, SymmetryNone}, {1, lambertian, SymmetryRotational},
		{2, mirroredIn(lopsided, true, false), SymmetryHalf180},
		{3, mirroredIn(lopsided, false, true), SymmetryHalf270},
		{4, mirroredIn(lopsided, true, true), SymmetryQuadrant},
	} {
		for _, comma := range []bool{false, true} {
			t.Run(fmt.Sprintf("symmetry %d, comma %v", tc.symmetry, comma), func(t *testing.T) {
				w := eulumdat{symmetry: tc.symmetry, planes: 144, angles: 37, comma: comma, uneven: comma, factor: 1.25}
				f := mustRead(t, w.write(tc.of))
				if f.Symmetry != tc.want || f.Format != FormatEULUMDAT || f.Type != "C" {
					t.Errorf("%s %s %s", f.Format, f.Type, f.Symmetry)
				}
				everyWhere(t, f.Distribution(), tc.of, chordError)
			})
		}
	}
}

// TestEULUMDATLines: 42 + Mc + Ng + planes·Ng lines with one lamp set. Values
// computed here.
func TestEULUMDATLines(t *testing.T) {
	for symmetry, want := range []int{541, 104, 332, 332, 218} {
		text := eulumdat{symmetry: symmetry, planes: 24, angles: 19}.write(isotropic)
		if got := strings.Count(text, "\n"); got != want {
			t.Errorf("symmetry %d: %d lines, want %d", symmetry, got, want)
		}
		mustRead(t, text)
	}
}

// TestEULUMDATKilolumen: 250 cd/klm with 3600 lm are 900 cd.
func TestEULUMDATKilolumen(t *testing.T) {
	w := eulumdat{symmetry: 1, planes: 1, angles: 19, lumens: 3600}
	text := w.write(func(geom.Vec) float64 { return 900 })
	if !strings.Contains(text, "\r\n250\r\n") {
		t.Fatal("the file does not hold 250 cd/klm")
	}
	near(t, "maximum", mustRead(t, text).MaxCd, 900, nineDigits)
}

func TestEULUMDATHead(t *testing.T) {
	w := eulumdat{symmetry: 1, planes: 1, angles: 37, lumens: 4000, lamps: -1, sets: 2, dff: 100, lorl: 100}
	f := mustRead(t, w.write(lambertian))
	if !f.Absolute || f.RatedLm != 0 || f.Lamps != 1 || f.InputW != 38.5 || f.Keyword("LUMINAIRE") != "name" {
		t.Errorf("%+v", f)
	}
	near(t, "length", f.LengthM, 1.1, 1e-9)
	if text := fmt.Sprint(f.Warnings); !strings.Contains(text, "2 lamp sets") {
		t.Errorf("warnings %v", f.Warnings)
	}
	// π·1000 lm from 4000 lm of lamps are 78.5 %, all of it downward.
	w = eulumdat{symmetry: 1, planes: 1, angles: 37, lumens: 4000, dff: 100, lorl: 78.5}
	if f = mustRead(t, w.write(lambertian)); len(f.Warnings) != 0 {
		t.Errorf("warnings %v", f.Warnings)
	}
	w.lorl, w.dff = 90, 50
	if f = mustRead(t, w.write(lambertian)); len(f.Warnings) != 2 {
		t.Errorf("warnings %v", f.Warnings)
	}
}

func TestEULUMDATRefused(t *testing.T) {
	tidy := eulumdat{symmetry: 4, planes: 8, angles: 10}.write(isotropic)
	lines := strings.Split(tidy, "\r\n")
	with := func(line int, to string) string {
		l := append([]string{}, lines...)
		l[line-1] = to
		return strings.Join(l, "\r\n")
	}
	for _, tc := range []struct {
		name, text string
		line       int
		reason     string
	}{
		{"symmetry 7", with(3, "7"), 3, "symmetry"},
		{"no planes", with(4, "0"), 4, "planes"},
		{"half a count", with(6, "10,5"), 6, "whole number"},
		{"no lamp sets", with(26, "0"), 26, "lamp sets"},
		{"too many lamp sets", with(26, "20"), 0, "lamp sets"},
		{"no lumens", with(29, "0"), 29, "lumens"},
		{"a word for the ratio", with(23, "much"), 23, "light output ratio"},
		{"negative factor", with(24, "-1"), 24, "negative"},
		{"symmetry that does not fit", with(3, "2"), 0, "missing"},
		{"counts that do not fit", with(3, "1"), 0, "left over"},
		{"planes that do not fit", with(4, "6"), 0, ""},
		{"cut off", strings.Join(lines[:60], "\r\n"), 0, "missing"},
		{"C list wrong", with(45, "80"), 43, "C planes"},
	} {
		_, err := Read([]byte(tc.text))
		var refused *FileError
		if !errors.As(err, &refused) || !strings.Contains(refused.Reason, tc.reason) || (tc.line > 0 && refused.Line != tc.line) {
			t.Errorf("%s: error %v, want line %d %q", tc.name, err, tc.line, tc.reason)
		}
	}
}

// TestSameFixtureInBothFormats: one luminaire written both ways gives the same
// light in the same directions, its length along X.
func TestSameFixtureInBothFormats(t *testing.T) {
	a := mustRead(t, lm63{edition: "IESNA:LM-63-2002", h: steps(0, 360, 5), v: steps(0, 90, 5), length: 1.1, width: 0.15}.write(lopsided))
	b := mustRead(t, eulumdat{symmetry: 0, planes: 72, angles: 19}.write(lopsided))
	near(t, "flux", a.FluxLm, b.FluxLm, nineDigits)
	near(t, "length", a.LengthM, b.LengthM, 1e-9)
	everyWhere(t, a.Distribution(), b.Distribution().Intensity, nineDigits)
}

// TestFileScalesProperty: twice the candelas are twice the flux with the same
// angles, whatever factor carries them.
func TestFileScalesProperty(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		k := rapid.Float64Range(0.01, 100).Draw(rt, "factor")
		w := lm63{edition: "IESNA:LM-63-2002", h: steps(0, 360, 30), v: steps(0, 90, 10)}
		cd := w.filled().values(lopsided)
		one, err := Read([]byte(w.text(cd)))
		if err != nil {
			rt.Fatal(err)
		}
		w.mult = k
		more, err := Read([]byte(w.text(cd)))
		if err != nil {
			rt.Fatal(err)
		}
		if math.Abs(more.FluxLm/one.FluxLm/k-1) > nineDigits || math.Abs(more.BeamDeg-one.BeamDeg) > 1e-6 {
			rt.Fatalf("flux %v to %v with factor %v, beam %v to %v", one.FluxLm, more.FluxLm, k, one.BeamDeg, more.BeamDeg)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, e := range allEditions {
		f.Add([]byte(lm63{edition: e, h: []float64{0, 90}, v: []float64{0, 45, 90}}.write(lopsided)))
	}
	f.Add([]byte(lm63{edition: "IESNA91", kind: 2, h: []float64{-90, 0, 90}, v: []float64{-90, 0, 90}}.write(lopsided)))
	f.Add([]byte(lm63{edition: "IESNA91", kind: 3, h: []float64{0, 90}, v: []float64{0, 90}}.write(lopsided)))
	f.Add([]byte("TILT=INCLUDE\n1 2 0 90 1 1\n1 -1 1 2 1 1 1 0 0 0\n1 1 1\n0 90\n0\n5 0\n"))
	for s := range 5 {
		f.Add([]byte(eulumdat{symmetry: s, planes: 4, angles: 3, comma: s%2 == 0}.write(lopsided)))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		got, err := Read(raw)
		if err != nil {
			var refused *FileError
			if !errors.As(err, &refused) {
				t.Fatalf("error of another kind: %v", err)
			}
			return
		}
		d := got.Distribution()
		if !(got.MaxCd > 0) || !(got.FluxLm >= 0) || math.IsInf(got.FluxLm, 0) || got.BeamDeg > got.FieldDeg+1e-9 {
			t.Fatalf("%+v", got)
		}
		for _, dir := range []geom.Vec{{Z: -1}, {Z: 1}, {X: 1}, {Y: -1}, {X: 0.6, Z: -0.8}} {
			if v := d.Intensity(dir); !(v >= 0) || v > got.MaxCd*(1+1e-9) {
				t.Fatalf("%v cd toward %v, maximum %v", v, dir, got.MaxCd)
			}
		}
	})
}

func ExampleRead() {
	f, err := Read([]byte(`IESNA:LM-63-2002
[LUMINAIRE] an invented spot
TILT=NONE
1 -1 1 5 1 1 2 0.1 0.1 0
1 1 40
0 10 20 30 90
0
1000 900 400 0 0
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s type %s, %s: %.0f lm, %.0f cd, beam %.0f°, field %.0f°\n", f.Format, f.Type, f.Symmetry, f.FluxLm, f.MaxCd, f.BeamDeg, f.FieldDeg)
	_, err = Read([]byte("IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 5 1 1 2 0.1 0.1 0\n1 1 forty\n"))
	fmt.Println(err)
	// Output:
	// LM-63 type C, rotational: 368 lm, 1000 cd, beam 36°, field 55°
	// line 4: input watts: "forty" is not a number
}

func BenchmarkReadLM63(b *testing.B) {
	raw := []byte(lm63{edition: "IESNA:LM-63-2002", h: steps(0, 360, 5), v: steps(0, 90, 1)}.write(lopsided))
	b.SetBytes(int64(len(raw)))
	for b.Loop() {
		if _, err := Read(raw); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkReadLargest reads as many planes as a file of the largest size holds.
func BenchmarkReadLargest(b *testing.B) {
	w := lm63{edition: "IESNA:LM-63-2002", h: steps(0, 360, 0.1), v: steps(0, 90, 1), perLine: 1000}
	cd := w.filled().values(isotropic)
	raw := []byte(w.text(cd))[:0]
	for i := range cd {
		for j := range cd[i] {
			cd[i][j] = float64(1 + (i+j)%9)
		}
	}
	copy(cd[len(cd)-1], cd[0])
	if raw = append(raw, w.text(cd)...); len(raw) > MaxFileBytes {
		b.Fatalf("%d bytes", len(raw))
	}
	b.SetBytes(int64(len(raw)))
	for b.Loop() {
		if _, err := Read(raw); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSpreadIntensity(b *testing.B) {
	d := mustRead(b, lm63{edition: "IESNA91", kind: 2, h: steps(-90, 90, 5), v: steps(-90, 90, 5)}.write(lopsided)).Distribution()
	dir := geom.Vec{X: 0.1, Y: 0.05, Z: -1}.Unit()
	for b.Loop() {
		d.Intensity(dir)
	}
}
