package si

import (
	"math"
	"testing"
)

func TestForcesAndStresses(t *testing.T) {
	for text, want := range map[string]float64{"1000N": 1000, "1.2 kN": 1200, "12 kg": 117.6798, "26 lb": 115.653762, "26lbf": 115.653762, "0": 0} {
		v, err := ParseForce(text, Metric)
		if err != nil || math.Abs(float64(v)-want) > 1e-6*(1+want) {
			t.Errorf("ParseForce(%q) = %v, %v, want %v", text, v, err, want)
		}
	}
	for text, want := range map[string]float64{"210GPa": 210e9, "1770 MPa": 1770e6, "1770 N/mm²": 1770e6, "29000 ksi": 199.947961e9, "36 psi": 248211.2626} {
		v, err := ParseStress(text, Metric)
		if err != nil || math.Abs(float64(v)-want) > 1e-6*(1+want) {
			t.Errorf("ParseStress(%q) = %v, %v, want %v", text, v, err, want)
		}
	}
	for _, text := range []string{"", "-5 N", "heavy", "12", "5 m", "1e400 N"} {
		if v, err := ParseForce(text, US); err == nil {
			t.Errorf("ParseForce(%q) = %v", text, v)
		}
		if v, err := ParseStress(text, US); err == nil {
			t.Errorf("ParseStress(%q) = %v", text, v)
		}
	}
}

func FuzzParseForce(f *testing.F) {
	for _, s := range []string{"1000N", "1,200 N", "12 kg", "½ kN", "-"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if v, err := ParseForce(s, Metric); err == nil && (math.IsNaN(float64(v)) || v < 0) {
			t.Errorf("%q gives %v", s, v)
		}
		if v, err := ParseStress(s, Metric); err == nil && (math.IsNaN(float64(v)) || v < 0) {
			t.Errorf("%q gives %v", s, v)
		}
	})
}
