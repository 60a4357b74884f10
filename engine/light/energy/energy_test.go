package energy

import (
	"math"
	"testing"
)

// TestLimits: 90.1 prints 2019's 0.67 W/ft² beside 7.2 W/m²; 1 W/ft² is
// 10.764 W/m²; 1 W is 3.412 Btu/h.
func TestLimits(t *testing.T) {
	if got, ok := Whole("us"); !ok || math.Abs(got.WM2-7.2) > .05 {
		t.Errorf("%+v", got)
	}
	if math.Abs(PerFt2-10.764) > 5e-4 || math.Abs(HeatBtuH-3.412) > 5e-4 {
		t.Errorf("%v, %v", PerFt2, HeatBtuH)
	}
	if _, ok := Whole("moon"); ok || Density(100, 0) != 0 || Density(100, 50) != 2 {
		t.Error("limits of nothing")
	}
	for _, l := range Limits() {
		if l.Source == "" || !(l.WM2 > 0) {
			t.Errorf("%+v", l)
		}
	}
}
