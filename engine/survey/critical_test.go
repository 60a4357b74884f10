package survey

import (
	"fmt"
	"math"
	"testing"
)

// Source: standard tables of the normal distribution.
func TestNormalCritical(t *testing.T) {
	for alpha, want := range map[float64]float64{.05: 1.959964, .01: 2.575829, .001: 3.290527} {
		near(t, fmt.Sprint("α ", alpha), NormalCritical(alpha), want, 5e-7)
	}
}

// Source: A. Pope, NOAA Technical Report NOS 65 NGS 1, 1976; recomputed from
// Student's distribution, r = 15 at 0.1 % as printed (2.873).
func TestTauCritical(t *testing.T) {
	for r, want := range map[int][3]float64{2: {1.4099, 1.4140, 1.4142}, 3: {1.6454, 1.7147, 1.7303}, 4: {1.7567, 1.9175, 1.9823},
		5: {1.8143, 2.0509, 2.1781}, 6: {1.8481, 2.1421, 2.3292}, 8: {1.8848, 2.2562, 2.5407}, 10: {1.9039, 2.3236, 2.6786},
		15: {1.9261, 2.4113, 2.8735}, 20: {1.9358, 2.4539, 2.9749}, 30: {1.9447, 2.4956, 3.0785}, 50: {1.9512, 2.5282, 3.1626}} {
		for i, alpha := range []float64{.05, .01, .001} {
			near(t, fmt.Sprint("r ", r, " α ", alpha), TauCritical(r, alpha), want[i], 6e-5)
		}
		if got := TauCritical(r, 1e-12); got > math.Sqrt(float64(r)) {
			t.Errorf("r %d: τ %v above √r", r, got)
		}
	}
	if !math.IsInf(TauCritical(1, .05), 1) {
		t.Error("with r = 1 no τ tells anything")
	}
	near(t, "0.05/24, r 14", TauCritical(14, .05/24), 2.7245, 6e-5)
}

// Source: W. Baarda 1968, δ₀ = 4.1321 for α₀ = 0.1 % and a power of 80 %.
func TestSmallestDetectable(t *testing.T) {
	near(t, "δ₀", SmallestDetectable(1, CriticalW), 4.1321, 5e-5)
	near(t, "r = 0.25", SmallestDetectable(.25, CriticalW), 2*4.1321, 1e-4)
	if !math.IsInf(SmallestDetectable(0, CriticalW), 1) {
		t.Error("nothing is detected where nothing checks")
	}
}
