package light

import (
	"math"
	"testing"
)

// TestUGR: one source by hand, and doubling it adds 8·log₁₀ 2 = 2.408. Source:
// CIE 117 formula; values computed here.
func TestUGR(t *testing.T) {
	lamp := LuminousPart{CdM2: 10000, Steradian: .002, Position: 2, AreaM2: .1}
	one := UGR(20, lamp)
	within(t, "one lamp", one, 8*math.Log10(.25/20*1e8*.002/4), 1e-12) // 22.37
	within(t, "one lamp, number", one, 22.37, .01)
	within(t, "two lamps", UGR(20, lamp, lamp)-one, 2.408, 1e-3)
	spot := lamp
	spot.AreaM2 = .004
	wall := lamp
	wall.AreaM2 = 1.6 // CIE 117 ends at 1.5 m²
	for name, got := range map[string]float64{"a bare spot": UGR(20, spot), "a glowing wall": UGR(20, lamp, wall), "nothing": UGR(20), "darkness": UGR(0, lamp)} {
		if !math.IsNaN(got) {
			t.Errorf("%s has a rating of %v", name, got)
		}
	}
}

// TestThresholdIncrement: by hand inside its range, none in a lit church.
func TestThresholdIncrement(t *testing.T) {
	within(t, "a street", ThresholdIncrementPct(.1, 1), 6.5, 1e-12)
	within(t, "a dark street", ThresholdIncrementPct(.1, .5), 6.5/math.Pow(.5, .8), 1e-12)
	for _, outside := range []float64{.04, 5.1, 50} {
		if !math.IsNaN(ThresholdIncrementPct(1, outside)) {
			t.Errorf("%v cd/m² has one", outside)
		}
	}
}
