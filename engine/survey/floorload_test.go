package survey

import (
	"math"
	"testing"
)

func TestReadAreaLoad(t *testing.T) {
	for text, want := range map[string]float64{
		"5 kN/m²": 5000, "5kN/m2": 5000, "4.8 kPa": 4800, "4,8 kPa": 4800, "500 kg/m²": 4903.325, "0.5 t/m2": 4903.325,
		"100 psf": 4788.0259, "100 lb/ft²": 4788.0259, "100 lb per sq ft": 4788.0259, "live load 3.0 kN/m², letter of 1998": 3000, "(5 kN/m²)": 5000,
	} {
		if got, ok := ReadAreaLoad(text); !ok || math.Abs(got-want) > 1e-3 {
			t.Errorf("%q = %v, %v; want %v", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "unknown", "strong", "5 kN", "class C", "1,234 kg/m²", "3 kN/m² or 5 kN/m²", "-5 kPa", "NaN kPa", "kPa", "x5kpa y", "1e400 kpa"} {
		if got, ok := ReadAreaLoad(text); ok {
			t.Errorf("%q = %v", text, got)
		}
	}
}

func FuzzReadAreaLoad(f *testing.F) {
	f.Add("5 kN/m²")
	f.Add("live load 100 lb per sq ft")
	f.Fuzz(func(t *testing.T, text string) {
		if v, ok := ReadAreaLoad(text); ok && !(v > 0 && v < 1e12) {
			t.Errorf("%q = %v", text, v)
		}
	})
}
