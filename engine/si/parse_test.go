package si

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// parseToleranceMM is the rounding of float64 arithmetic on room-sized lengths.
const parseToleranceMM = 1e-9

func TestParseLengthExact(t *testing.T) {
	for _, tc := range []struct {
		text string
		mm   float64
	}{
		{`12' 6 1/2"`, 3822.7}, {`12'-6 1/2"`, 3822.7}, {`12-6 1/2`, 3822.7}, {`12ft 6.5in`, 3822.7},
		{`12' 6½"`, 3822.7}, {`150.5 in`, 3822.7}, {`150 1/2"`, 3822.7}, {`12′ 6½″`, 3822.7},
		{`12’ 6 1⁄2”`, 3822.7}, {`12' 6 1/2''`, 3822.7}, {`12–6 1/2`, 3822.7}, {`12'-6-1/2"`, 3822.7},
		{`12 feet 6 1/2 inches`, 3822.7}, {`12 FT. 6.5 IN.`, 3822.7}, {`12 foot, 6 1/2 inch`, 3822.7},
		{`12ft 6in`, 3810}, {`12'6`, 3810}, {`12.5'`, 3810}, {`12.5 ft`, 3810}, {`12 1/2 ft`, 3810}, {`3.81 m`, 3810}, {`381cm`, 3810},
		{`3810 mm`, 3810}, {`3,81 m`, 3810}, {`3 810 mm`, 3810}, {`3 m 81 cm`, 3810}, {`3.81 metres`, 3810},
		{`7/8"`, 22.225}, {`7'-11 15/16"`, 2436.8125}, {`25'-0"`, 7620}, {`6-1/2"`, 165.1}, {`1 yd`, 914.4},
		{`-12 ft 6 in`, -3810}, {`−3.2 m`, -3200}, {`- 44' 6"`, -13563.6}, {`+2.5 m`, 2500}, {`0`, 0}, {`0"`, 0},
		{`0,125 m`, 125}, {`1,234.5 mm`, 1234.5}, {`1.234,5 mm`, 1234.5}, {`1.234 m`, 1234}, {`.5 m`, 500},
		{"12\u00a0ft\u20096\u202fin", 3810}, {`13 ft 11 1/4 in`, 4248.15}, {`1/4 in`, 6.35}, {`-0.0 m`, 0},
	} {
		got, err := ParseLength(tc.text, Metric)
		if err != nil || math.Abs(got.Millimetres()-tc.mm) > parseToleranceMM {
			t.Errorf("ParseLength(%q) = %v mm, %v; want %v", tc.text, got.Millimetres(), err, tc.mm)
		}
	}
}

func TestParseLengthRefuses(t *testing.T) {
	for _, text := range []string{"", "  ", "abc", `12' 12"`, `12' 13"`, "6 1/0", "6 1/", `12.5' 6"`, "12 6 1/2", "12 6",
		"3 kg", "3 m 4 ft", "1e5 m", "NaN", "inf m", "--3 m", "3 m m", "6 5/4 in", "1 2 3", "3..4 m", "1,234' 6\"",
		"999999999999999999999 m", "3 m 120 cm", "ft", "'", `12' -6"x`} {
		_, err := ParseLength(text, US)
		var pe *ParseError
		if !errors.As(err, &pe) || pe.Reason == "" || len(pe.Examples) == 0 || pe.Error() == "" {
			t.Errorf("ParseLength(%q) error = %v, want a *ParseError with a reason", text, err)
		}
	}
}

func TestParseLengthAmbiguous(t *testing.T) {
	type reading struct {
		as string
		mm float64
	}
	for _, tc := range []struct {
		text  string
		hint  Display
		first string
		want  []reading
	}{
		{"86", US, "ft", []reading{{"in", 2184.4}, {"cm", 860}, {"m", 86000}, {"ft", 26212.8}}},
		{"11.10", US, "ft", []reading{{"ft", 3383.28}, {"ft-in", 3606.8}, {"m", 11100}}},
		{"9.5", Metric, "m", []reading{{"m", 9500}, {"ft", 2895.6}, {"ft-in", 2870.2}}},
		{"1,234 mm", Metric, "mm", []reading{{"mm", 1.234}, {"mm", 1234}}},
		{"12-1/2", US, "ft", []reading{{"in", 317.5}}},
		{"-3", Metric, "m", []reading{{"m", -3000}}},
	} {
		_, err := ParseLength(tc.text, tc.hint)
		var ae *AmbiguousError
		if !errors.As(err, &ae) {
			t.Errorf("ParseLength(%q) error = %v, want *AmbiguousError", tc.text, err)
			continue
		}
		if ae.Readings[0].As != tc.first {
			t.Errorf("ParseLength(%q) first reading %q, want %q", tc.text, ae.Readings[0].As, tc.first)
		}
		if len(ae.Options) != len(ae.Readings) {
			t.Errorf("ParseLength(%q): %d options for %d readings", tc.text, len(ae.Options), len(ae.Readings))
		}
		for _, w := range tc.want {
			found := false
			for _, r := range ae.Readings {
				found = found || (r.As == w.as && math.Abs(r.Value.Millimetres()-w.mm) < 1e-6)
			}
			if !found {
				t.Errorf("ParseLength(%q) readings %v lack %v", tc.text, ae.Readings, w)
			}
		}
		// What the error proposes must itself be readable.
		for _, o := range ae.Options {
			if _, err := ParseLength(o, tc.hint); err != nil && tc.text != "1,234 mm" {
				t.Errorf("option %q of %q is refused: %v", o, tc.text, err)
			}
		}
	}
}

func TestTypedLengthKeepsReadings(t *testing.T) {
	got, err := TypedLength("86", US)
	if err != nil || got.Set || len(got.Readings) == 0 || got.Text != "86" {
		t.Errorf("TypedLength(86) = %+v, %v", got, err)
	}
	if got, err := TypedLength(" ", US); err != nil || got.Set || got.Text != "" {
		t.Errorf("TypedLength(blank) = %+v, %v", got, err)
	}
	if _, err := TypedLength("junk", US); err == nil {
		t.Error("TypedLength(junk) has no error")
	}
}

func TestLengthStep(t *testing.T) {
	for text, mm := range map[string]float64{`12' 6"`: 25.4, `12' 6 1/2"`: 12.7, "3.81 m": 10, "381 cm": 10, "3810 mm": 1, "12 ft": 304.8} {
		if got, ok := LengthStep(text); !ok || math.Abs(got.Millimetres()-mm) > parseToleranceMM {
			t.Errorf("LengthStep(%q) = %v mm, %v; want %v", text, got.Millimetres(), ok, mm)
		}
	}
}

func TestParseOtherQuantities(t *testing.T) {
	parse := map[string]func(string) (float64, error){
		"mass":        func(s string) (float64, error) { v, err := ParseMass(s, US); return float64(v), err },
		"power":       func(s string) (float64, error) { v, err := ParsePower(s, US); return float64(v), err },
		"current":     func(s string) (float64, error) { v, err := ParseCurrent(s, US); return float64(v), err },
		"voltage":     func(s string) (float64, error) { v, err := ParseVoltage(s, US); return float64(v), err },
		"illuminance": func(s string) (float64, error) { v, err := ParseIlluminance(s, US); return float64(v), err },
		"luminance":   func(s string) (float64, error) { v, err := ParseLuminance(s, US); return float64(v), err },
		"flux":        func(s string) (float64, error) { v, err := ParseFlux(s, US); return float64(v), err },
		"angle":       func(s string) (float64, error) { v, err := ParseAngle(s, US); return float64(v), err },
	}
	for _, tc := range []struct {
		kind, text string
		want       float64
	}{
		{"mass", "7.4 kg", 7.4}, {"mass", "250 g", 0.25}, {"mass", "10 lb", 4.5359237}, {"mass", "10lbs", 4.5359237},
		{"power", "165 W", 165}, {"power", "2.4kW", 2400}, {"current", "20 A", 20}, {"current", "30mA", 0.03},
		{"voltage", "230 V", 230}, {"voltage", "0.4 kV", 400}, {"illuminance", "500 lx", 500}, {"illuminance", "10 lux", 10},
		{"illuminance", "1 fc", 10.763910416709722}, {"luminance", "6 000 cd/m²", 6000}, {"luminance", "350 nits", 350},
		{"luminance", "12 cd/m2", 12}, {"flux", "5 200 lm", 5200}, {"angle", "90 deg", math.Pi / 2}, {"angle", "180°", math.Pi},
		{"angle", "0.5 rad", 0.5}, {"angle", "45-12-34", (45 + 12/60. + 34/3600.) * math.Pi / 180},
		{"angle", `45°12'34.5"`, (45 + 12/60. + 34.5/3600) * math.Pi / 180}, {"angle", "-3 deg", -3 * math.Pi / 180}, {"power", "0", 0},
	} {
		got, err := parse[tc.kind](tc.text)
		if err != nil || math.Abs(got-tc.want) > 1e-12*math.Max(1, math.Abs(tc.want)) {
			t.Errorf("%s(%q) = %v, %v; want %v", tc.kind, tc.text, got, err, tc.want)
		}
	}
	for kind, texts := range map[string][]string{
		"mass": {"-3 kg", "3 m", "x", "", "3 kg 2 g"}, "power": {"120/240 W", "1 hp"}, "angle": {"45-61-00", "3 m"},
	} {
		for _, text := range texts {
			var pe *ParseError
			if _, err := parse[kind](text); !errors.As(err, &pe) {
				t.Errorf("%s(%q) error = %v, want *ParseError", kind, text, err)
			}
		}
	}
	for kind, text := range map[string]string{"mass": "5", "power": "60", "current": "20", "illuminance": "40", "angle": "45", "flux": "1,234 lm"} {
		var ae *AmbiguousError
		if _, err := parse[kind](text); !errors.As(err, &ae) || len(ae.Options) < 2 {
			t.Errorf("%s(%q) error = %v, want *AmbiguousError with options", kind, text, err)
		}
	}
	if got, err := TypedOf("60", US, ParsePower); err != nil || got.Set || got.Text != "60" {
		t.Errorf("TypedOf(60) = %+v, %v", got, err)
	}
}

// A formatted length reads back within half the format's own step: 5 mm in
// metres, an eighth of an inch in feet and inches.
func TestFormatParseRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Length(rapid.Float64Range(-200, 200).Draw(t, "m"))
		for d, half := range map[Display]Length{Metric: 0.005, US: Inch / 8} {
			back, err := ParseLength(FormatLength(l, d), d)
			if err != nil || math.Abs(float64(back-l)) > float64(half)+1e-12 {
				t.Fatalf("%v → %q → %v, %v", l, FormatLength(l, d), back, err)
			}
		}
	})
}

// Reading the inch text of any length on a 1/16 in tape is off by at most
// 0.79375 mm. Source: half of 1/16 in = 1.5875 mm.
func TestSixteenthsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ft, in, n := rapid.IntRange(0, 90).Draw(t, "ft"), rapid.IntRange(0, 11).Draw(t, "in"), rapid.IntRange(0, 15).Draw(t, "16ths")
		want := Length(ft)*Foot + Length(in)*Inch + Length(n)*Inch/16
		for _, form := range []string{`%d' %d %d/16"`, `%d'-%d-%d/16"`, "%d-%d %d/16", "%dft %d %d/16in"} {
			text := fmt.Sprintf(form, ft, in, n)
			got, err := ParseLength(text, US)
			if err != nil || math.Abs(float64(got-want)) > 1e-12 {
				t.Fatalf("ParseLength(%q) = %v, %v; want %v", text, got, err, want)
			}
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{`12' 6 1/2"`, "3,81 m", "1,234 mm", "86", "11.10", "45-12-34", "7.4 kg", "6 1/0", "½", "1 234 567 mm", "−3.2 m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, err := ParseLength(text, US)
		if err == nil {
			if math.IsNaN(float64(l)) || math.IsInf(float64(l), 0) {
				t.Fatalf("%q → %v", text, l)
			}
			again, err := ParseLength(fmt.Sprintf("%s m", plain(float64(l))), Metric)
			var ae *AmbiguousError
			if !errors.As(err, &ae) && (err != nil || again != l) {
				t.Fatalf("%q → %v → %v, %v", text, l, again, err)
			}
			if folded, err := ParseLength(normalise(text), Metric); err != nil || folded != l {
				t.Fatalf("%q → %v, folded %q → %v, %v", text, l, normalise(text), folded, err)
			}
		} else if err.Error() == "" {
			t.Fatalf("%q: empty error", text)
		}
		_, _ = ParseMass(text, US)
		_, _ = ParseAngle(text, Metric)
		_, _ = ParseLuminance(text, Metric)
		_, _ = ParseFlux(text, Metric)
		_, _ = TypedLength(text, Metric)
		_, _ = LengthStep(text)
	})
}

func ExampleParseLength() {
	l, _ := ParseLength(`12' 6½"`, US)
	fmt.Println(FormatBoth(l, US))
	_, err := ParseLength("86", US)
	fmt.Println(err)
	// Output:
	// 12 ft 6 1/2 in (3.82 m)
	// "86" can be read in more than one way (no unit is given): write 86 ft or 86 in or 86 m or 86 cm or 86 mm
}

func BenchmarkParseLength(b *testing.B) {
	for range b.N {
		_, _ = ParseLength(`12' 6 1/2"`, US)
	}
}
