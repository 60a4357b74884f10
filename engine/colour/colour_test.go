package colour

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// printed is the rounding of published chromaticities to six digits.
const printed = 1e-6

func near(t *testing.T, what string, got, want, abs float64) {
	t.Helper()
	if !(math.Abs(got-want) <= abs) {
		t.Errorf("%s = %.8g, want %.8g within %g", what, got, want, abs)
	}
}

func nearXY(t *testing.T, what string, got, want XY, abs float64) {
	t.Helper()
	near(t, what+" x", got.X, want.X, abs)
	near(t, what+" y", got.Y, want.Y, abs)
}

// Values computed here from the cubic and the white points of CIE 15.
func TestMcCamy(t *testing.T) {
	for _, tc := range []struct {
		name string
		c    XY
		want float64
	}{
		{"A", IlluminantA, 2857.29}, {"D50", D50, 5002.10}, {"D65", D65, 6504.39}, {"E", EqualEnergy, 5458.95},
	} {
		near(t, tc.name, McCamyK(tc.c), tc.want, 0.005)
	}
	if McCamyK(XY{}) != 0 || McCamyK(XY{.3, .1858}) != 0 {
		t.Error("degenerate")
	}
}

// Values computed here from CIE 15's formula; D65's published whites besides.
func TestDaylightLocus(t *testing.T) {
	for _, tc := range []struct {
		k    float64
		want XY
	}{
		{5000, XY{.345741, .358666}}, {6504, XY{.312714, .329119}}, {10000, XY{.278800, .291967}},
	} {
		nearXY(t, fmt.Sprint(tc.k), Daylight(tc.k), tc.want, printed)
	}
	const locus = 2e-4 // the published whites lie this near the locus formula
	nearXY(t, "D65", Daylight(6500*1.4388/1.438), D65, locus)
	nearXY(t, "D55", Daylight(5500*1.4388/1.438), D55, locus)
	if Daylight(1000) != Daylight(4000) || Daylight(1e6) != Daylight(25000) {
		t.Error("not held at the ends")
	}
}

func TestDaylightLocusIsContinuous(t *testing.T) {
	const seam = 1e-4 // the two published pieces differ by less at 7000 K
	nearXY(t, "at 7000 K", Daylight(7000), Daylight(7000.001), seam)
}

// Values computed here; the two methods differ by up to 0.0006 in x.
func TestPlanckianLocus(t *testing.T) {
	const fiveDigits = 1e-5
	nearXY(t, "2856", Planck(2856), XY{.44767, .40777}, fiveDigits)
	nearXY(t, "3000", Planck(3000), XY{.43705, .40438}, fiveDigits)
	nearXY(t, "6500", Planck(6500), XY{.31353, .32352}, fiveDigits)
	nearXY(t, "cubic 2856", PlanckCubic(2856), XY{.44707, .40751}, fiveDigits)
	const methods = 1e-3
	for k := 1700.0; k < 15000; k *= 1.1 {
		nearXY(t, fmt.Sprintf("two methods at %.0f K", k), Planck(k), PlanckCubic(k), methods)
	}
}

// Published: Ohno, Leukos 10, 2014: (u, v) = (0.1978, 0.3122) is 6507.47 K,
// Duv +0.003223; Robertson 1968: (0.19374138, 0.31522104) is 6500.016 K, Duv
// +0.0083333.
func TestCCTPublished(t *testing.T) {
	// Straight lines between isotherms 10 mired apart leave this much of the locus.
	const isotherm1968 = 6e-5
	ohno, robertson := FromUV(.1978, .3122), FromUV(.19374138, .31522104)
	near(t, "Duv by the polynomial", Duv(ohno), .003224, 2e-6)
	k, duv, ok := CCT(ohno)
	near(t, "Ohno's case", k, 6507.47, 5)
	near(t, "its Duv", duv, .003223, isotherm1968)
	if !ok {
		t.Error("not a white")
	}
	k, duv, _ = CCT(robertson)
	near(t, "Robertson's case", k, 6500.016, 0.2)
	near(t, "its Duv", duv, .0083333, 2e-6)
	k, duv, _ = Nearest(ohno)
	near(t, "searched", k, 6510, 1)
	near(t, "searched Duv", duv, .00328, 1e-5)
	near(t, "Duv of D65", Duv(D65), .003213, printed)
	near(t, "Duv of A", Duv(IlluminantA), .000008, printed)
}

func TestCCTMethodsAgree(t *testing.T) {
	// Krystek's locus is 8e-5 off in u and v, which is this many mired; the three
	// Duv differ by about as much as the locus.
	const mired, locus = 1.5, 2e-4
	for k := 2000.0; k < 12000; k *= 1.07 {
		for _, d := range []float64{-.01, 0, .01} {
			c := White(k, d)
			a, da, okA := CCT(c)
			b, db, okB := Nearest(c)
			if !okA || !okB {
				t.Fatalf("%.0f K, Duv %v: %v %v", k, d, okA, okB)
			}
			near(t, fmt.Sprintf("%.0f K, Duv %v by isotherms, mired", k, d), Mired(a), Mired(k), mired)
			near(t, fmt.Sprintf("%.0f K, Duv %v by search, mired", k, d), Mired(b), Mired(k), 1e-3)
			near(t, "Duv by isotherms", da, d, locus)
			near(t, "Duv by search", db, d, 1e-6)
			if k > 2600 {
				near(t, fmt.Sprintf("Duv by the polynomial at %.0f K", k), Duv(c), d, locus)
			}
		}
	}
}

func TestCCTRefuses(t *testing.T) {
	for _, c := range []XY{{}, {.3, 0}, {.7, .5}, {-.1, .5}, {math.NaN(), .3}, {.19, .72}, {.69, .31}, {.14, .04}} {
		if k, d, ok := CCT(c); ok {
			t.Errorf("%v is %v K, Duv %v", c, k, d)
		}
		if _, _, ok := Nearest(c); ok {
			t.Errorf("%v has a nearest white", c)
		}
	}
	if !math.IsNaN(Duv(XY{})) || !math.IsNaN(Mired(0)) || !math.IsNaN(ShiftK(3000, -400)) {
		t.Error("degenerate values")
	}
}

// Values computed here; the shifts as published for conversion filters.
func TestMired(t *testing.T) {
	near(t, "3200 to 5600 K", Mired(5600)-Mired(3200), -133.93, .005)
	near(t, "5600 K +159", ShiftK(5600, 159), 2962.3, .05)
	near(t, "3200 K −137", ShiftK(3200, -137), 5698.0, .05)
}

func TestAdd(t *testing.T) {
	got := Add(Light{XY{.69, .31}, 100}, Light{XY{.19, .72}, 200}, Light{XY{.14, .04}, 20})
	nearXY(t, "red, green, blue", got.XY, XY{.31386, .29081}, 5e-6)
	near(t, "amount", got.Amount, 320, 1e-9)
	// Two whites mixed fall below the locus: 3000 K and 5000 K in equal amounts.
	two := Add(Light{Planck(3000), 1}, Light{Planck(5000), 1})
	k, duv, _ := Nearest(two.XY)
	near(t, "mixed whites", k, 3799, 2)
	near(t, "their Duv", duv, -.0024, 5e-5)
	if got := Add(Light{}, Light{XY{.3, .3}, -1}, Light{XY{.3, .3}, math.NaN()}); got != (Light{}) {
		t.Errorf("nothing mixed is %v", got)
	}
}

func chromaticity(t *rapid.T, name string) XY {
	x := rapid.Float64Range(.05, .7).Draw(t, name+" x")
	y := rapid.Float64Range(.05, .9-x).Draw(t, name+" y")
	return XY{x, math.Min(y, 1-x)}
}

func TestUVRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := chromaticity(rt, "c")
		u, v := c.UV()
		if b := FromUV(u, v); math.Hypot(b.X-c.X, b.Y-c.Y) > 1e-12 {
			rt.Fatalf("%v comes back as %v", c, b)
		}
	})
}

// TestAddLiesBetween: a mixture of two lies on the line between them, nearer
// the stronger one's weight.
func TestAddLiesBetween(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := chromaticity(rt, "a"), chromaticity(rt, "b")
		m := Add(Light{a, rapid.Float64Range(.1, 10).Draw(rt, "of a")}, Light{b, rapid.Float64Range(.1, 10).Draw(rt, "of b")})
		if cross := (b.X-a.X)*(m.Y-a.Y) - (b.Y-a.Y)*(m.X-a.X); math.Abs(cross) > 1e-12 {
			rt.Fatalf("off the line by %v", cross)
		}
		if dot := (a.X-m.X)*(b.X-m.X) + (a.Y-m.Y)*(b.Y-m.Y); dot > 1e-12 {
			rt.Fatal("not between")
		}
	})
}
