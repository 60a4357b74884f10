package electrical

import (
	"fmt"
	"math"
	"testing"

	"roodbeam/engine/region"
)

// printedDigit is half of the last digit of answers printed to three figures.
const printedDigit = 0.006

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

// Published voltage drops by the K form, 2·K·I·L/cmil, K in Ω·cmil/ft.
func TestDropByAreaAgainstPublishedExamples(t *testing.T) {
	for _, tc := range []struct {
		k, a, feet, cmil, volts float64
		wantV, wantPct          float64
	}{{12.9, 20, 100, 6530, 120, 7.902, 6.585}, {12.9, 20, 100, 16510, 120, 3.125, 2.604},
		{12.9, 15, 100, 6530, 120, 5.926, 4.939}, {12, 20, 100, 6530, 120, 7.351, 6.126}} {
		rho := tc.k * region.MM2PerCmil / ft
		v := DropByArea(rho, tc.a, tc.feet*ft, tc.cmil*region.MM2PerCmil)
		near(t, "drop V", v, tc.wantV, 5e-4)
		near(t, "drop %", v/tc.volts*100, tc.wantPct, 5e-4)
	}
	if v := DropByArea(0.02, 10, 10, 0); !math.IsInf(v, 1) {
		t.Errorf("no area: %v", v)
	}
}

// A feeder and a final circuit one after the other, Electrical Installation
// Guide 2008 (G30) and 2018 (G32).
func TestFeederAndFinalCircuit(t *testing.T) {
	for _, tc := range []struct{ feeder, branch, ll, ln, final, total, pct float64 }{
		{.55, 18, 4.125, 2.3816, 7.2, 9.5816, 4.166}, {.59, 19, 4.425, 2.5548, 7.6, 10.155, 4.415}} {
		ll := tc.feeder * 150 * 50 / 1000
		ln := ll / math.Sqrt(3)
		final := region.Conductor{MVAM: tc.branch}.Loop(false, 1) * 20 * 20
		near(t, "line to line", ll, tc.ll, 1e-3)
		near(t, "line to neutral", ln, tc.ln, 1e-3)
		near(t, "final", final, tc.final, 1e-9)
		near(t, "total", ln+final, tc.total, 1e-3)
		near(t, "percent", (ln+final)/230*100, tc.pct, 1e-3)
	}
}

// Published neutral currents; 10/8/6 is printed as 15.1 for a slip of sign, the
// phasor sum is 3.46.
func TestNeutralCurrent(t *testing.T) {
	for _, tc := range []struct{ a, b, c, want float64 }{{5, 8, 10, 4.359}, {10, 15, 20, 8.660}, {10, 10, 5, 5}, {10, 8, 6, 3.464},
		{20, 0, 0, 20}, {20, 20, 0, 20}, {7, 7, 7, 0}} {
		near(t, fmt.Sprintf("neutral of %v", tc), NeutralCurrent(tc.a, tc.b, tc.c), tc.want, 1e-3)
		// Second method: the sum of three phasors.
		x := tc.a - tc.b/2 - tc.c/2
		y := (tc.b - tc.c) * math.Sqrt(3) / 2
		near(t, "phasors", math.Hypot(x, y), NeutralCurrent(tc.a, tc.b, tc.c), 1e-9)
	}
}

func TestUnbalance(t *testing.T) {
	near(t, "range over mean", RangeOverMeanPct(12000, 14500, 11200), 26.26, printedDigit)
	near(t, "none", RangeOverMeanPct(0, 0), 0, 0)
	near(t, "pair", PairLineCurrent(1, 1), math.Sqrt(3), 1e-12)
	near(t, "one pair", PairLineCurrent(5, 0), 5, 1e-12)
}

func TestApparentPower(t *testing.T) {
	for _, tc := range []struct{ w, pf, want float64 }{{165, .95, 173.684}, {90, 0, 100}, {90, 7, 100}, {90, math.NaN(), 100}, {-5, .9, 0}, {math.NaN(), .9, 0}, {math.Inf(1), 1, 0}} {
		near(t, fmt.Sprint(tc.w, "/", tc.pf), ApparentPower(tc.w, tc.pf), tc.want, 1e-3)
	}
	near(t, "3000 W", 3000*BTUhPerWatt, 10236, 1)
}

// A circuit loaded evenly along its run drops as if half of the load's run were
// at the end: ΣI·l of n equal loads at equal steps is I·l·n(n+1)/2.
func TestAmpereMetresOfEvenLoads(t *testing.T) {
	const n, step, amps, volts = 7, 1.5, 2.0, 230.0
	var ps []place
	for i := 1; i <= n; i++ {
		ps = append(ps, place{Outlet: Outlet{X: step * float64(i)}, va: amps * volts})
	}
	near(t, "moment", ampereMetres(at(0, 0, 0), ps, volts), amps*step*n*(n+1)/2, 1e-9)
}

func ExamplePairLineCurrent() {
	fmt.Printf("%.1f A\n", PairLineCurrent(10, 10))
	// Output: 17.3 A
}
