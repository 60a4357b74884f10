package daylight

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.6g, want %.6g ± %.2g", what, got, want, tol)
	}
}

// boulder is the worked example of NREL/TP-560-34302, Table A5.1.
var boulder = time.Date(2003, 10, 17, 12, 30, 30, 0, time.FixedZone("UTC-7", -7*3600))

const boulderLat, boulderLon = 39.742476, -105.1786

// TestJulianDay: NREL's example and Meeus, Astronomical Algorithms, chapter 7.
func TestJulianDay(t *testing.T) {
	within(t, "NREL", JulianDay(boulder), 2452930.312847, 1e-6)
	within(t, "J2000", JulianDay(time.Date(2000, 1, 1, 12, 0, 0, 0, time.UTC)), 2451545, 1e-9)
	within(t, "1987", JulianDay(time.Date(1987, 4, 10, 0, 0, 0, 0, time.UTC)), 2446895.5, 1e-9)
}

// TestSunAgainstNREL: published values of the worked example; the low-accuracy
// formulas come within 0.01° and 0.02°.
func TestSunAgainstNREL(t *testing.T) {
	s := SunAt(boulder, boulderLat, boulderLon)
	within(t, "elevation without refraction", s.ElevationDeg, 39.872046, .01)
	within(t, "azimuth", s.AzimuthDeg, 194.34024, .02)
	within(t, "equation of time", s.EquationMin, 14.641503, .02)
	within(t, "declination", s.DeclinationDeg, -9.31434, .01)
	within(t, "refraction", RefractionAt(39.872046, 820, 11), .016332, 1e-6)
	within(t, "incidence", IncidenceDeg(50.11162, 194.34024, 30, -10), 25.1870, 1e-4)
}

// TestRiseNoonSet: rise and noon from NREL's example within a minute; its sunset
// belongs to the local evening before. Local sunset of the 17th computed here
// with NOAA's formulas; Greenwich of midsummer 2024 from a published almanac.
func TestRiseNoonSet(t *testing.T) {
	minute := time.Minute
	check := func(what string, got, want time.Time) {
		t.Helper()
		if d := got.Sub(want); d < -minute || d > minute {
			t.Errorf("%s at %v, want %v", what, got.UTC(), want)
		}
	}
	rise, noon, set, ok := RiseNoonSet(boulder, boulderLat, boulderLon)
	if !ok {
		t.Fatal("no sunrise")
	}
	check("sunrise", rise, time.Date(2003, 10, 17, 13, 12, 43, 0, time.UTC))
	check("noon", noon, time.Date(2003, 10, 17, 18, 46, 5, 0, time.UTC))
	check("sunset", set, time.Date(2003, 10, 18, 0, 18, 51, 0, time.UTC))
	_, _, set, _ = RiseNoonSet(boulder.AddDate(0, 0, -1), boulderLat, boulderLon)
	check("sunset of the day before", set, time.Date(2003, 10, 17, 0, 20, 19, 0, time.UTC))
	rise, noon, set, _ = RiseNoonSet(time.Date(2024, 6, 20, 0, 0, 0, 0, time.UTC), 51.4779, 0)
	check("Greenwich rise", rise, time.Date(2024, 6, 20, 3, 43, 0, 0, time.UTC))
	check("Greenwich noon", noon, time.Date(2024, 6, 20, 12, 2, 0, 0, time.UTC))
	check("Greenwich set", set, time.Date(2024, 6, 20, 20, 21, 0, 0, time.UTC))
	if _, _, _, ok := RiseNoonSet(time.Date(2024, 6, 20, 0, 0, 0, 0, time.UTC), 80, 0); ok {
		t.Error("the midnight sun sets")
	}
}

// TestRefractionJoins: the pieces meet within a hundredth of a degree.
func TestRefractionJoins(t *testing.T) {
	for _, h := range []float64{85, 5, -.575} {
		within(t, "step", Refraction(h+1e-6), Refraction(h-1e-6), .01)
	}
	within(t, "on the horizon", Refraction(0), 1735.0/3600, 1e-9)
}

// TestSunMovesAsItMust: east in the forenoon, highest at noon, everywhere.
func TestSunMovesAsItMust(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lon := rapid.Float64Range(-60, 60).Draw(t, "lat"), rapid.Float64Range(-180, 180).Draw(t, "lon")
		day := time.Date(2026, 1, 1, 0, 0, 0, 0, time.FixedZone("", int(lon*240))).AddDate(0, 0, rapid.IntRange(0, 364).Draw(t, "day"))
		rise, noon, set, ok := RiseNoonSet(day, lat, lon)
		if !ok {
			t.Skip("no sunrise") // beyond the circles only
		}
		at := func(x time.Time) Sun { return SunAt(x, lat, lon) }
		if e := at(rise).ElevationDeg; math.Abs(e-riseAltitudeDeg) > .05 {
			t.Fatalf("at sunrise %v°", e)
		}
		if e := at(set).ElevationDeg; math.Abs(e-riseAltitudeDeg) > .05 {
			t.Fatalf("at sunset %v°", e)
		}
		if at(rise).AzimuthDeg > 180 || at(set).AzimuthDeg < 180 {
			t.Fatal("rises in the west")
		}
		top := at(noon).ElevationDeg
		for _, m := range []time.Duration{-20 * time.Minute, 20 * time.Minute} {
			if at(noon.Add(m)).ElevationDeg > top {
				t.Fatal("not highest at noon")
			}
		}
	})
}
