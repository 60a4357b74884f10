package catalogue

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/photometry"
)

func TestGenericCoversEveryClass(t *testing.T) {
	all := Generic()
	if len(all) < 14 {
		t.Errorf("%d fixtures", len(all))
	}
	have := map[Class]int{}
	seen := map[string]bool{}
	for _, f := range all {
		have[f.Class]++
		if seen[f.Code] {
			t.Errorf("code %s twice", f.Code)
		}
		seen[f.Code] = true
	}
	for _, c := range []Class{Ellipsoidal, Fresnel, PAR, Wash, LinearWash, MovingWash, MovingSpot, Downlight, Pendant, Sconce, Lamp} {
		if have[c] == 0 {
			t.Errorf("no %s", c)
		}
	}
	if !sort.SliceIsSorted(all, func(i, j int) bool { return all[i].Code < all[j].Code }) {
		t.Error("not sorted by code")
	}
}

// The ranges in which a fixture of today can lie.
const (
	leastEfficacy, mostEfficacy = 20, 200 // lm/W out of the lens: LED projectors to bare lamps (common practice)
	leastKgPerW, mostKgPerW     = 0.005, 0.12
	zoomFluxRatio               = 1.6 // wide to narrow end of one fixture: what the lens train loses
)

func TestGenericIsPlausible(t *testing.T) {
	for _, f := range Generic() {
		if !f.Generic || !strings.Contains(f.Source, "generic") || !strings.HasPrefix(f.Name, "Generic ") {
			t.Errorf("%s is not marked generic: %q, %q", f.Code, f.Name, f.Source)
		}
		if f.PriceMinor <= 0 || f.Prices["USD"] != f.PriceMinor || f.Prices["EUR"] <= 0 {
			t.Errorf("%s: prices %v", f.Code, f.Prices)
		}
		if f.PF < 0.5 || f.PF > 1 || f.VoltageMin < 100 || f.VoltageMax < 240 || f.VoltageMin >= f.VoltageMax {
			t.Errorf("%s: power factor %v, %v..%v V", f.Code, f.PF, f.VoltageMin, f.VoltageMax)
		}
		if r := float64(f.Mass) / float64(f.Power); r < leastKgPerW || r > mostKgPerW {
			t.Errorf("%s: %.3f kg/W", f.Code, r)
		}
		if f.InrushA <= 0 || f.InrushUs <= 0 || f.LeakageMA <= 0 {
			t.Errorf("%s: inrush or leakage missing", f.Code)
		}
		if (f.Class == Lamp) != (f.Slots == 0) {
			t.Errorf("%s: %d slots", f.Code, f.Slots)
		}
		checkFlux(t, f)
	}
}

func checkFlux(t *testing.T, f Fixture) {
	t.Helper()
	if len(f.Beams) == 0 {
		d, ok := Distribution(f, 0)
		if !ok || d.FluxLm() != float64(f.Flux) {
			t.Errorf("%s: no flux", f.Code)
		}
	}
	least, most := math.Inf(1), 0.0
	for _, b := range f.Beams {
		d, ok := Distribution(f, b.FieldDeg)
		if !ok {
			t.Errorf("%s: no light at %v°", f.Code, b.FieldDeg)
			continue
		}
		// Peak and angles are the beam's own numbers again.
		if math.Abs(d.PeakCd()-b.PeakCd) > 1e-9*b.PeakCd || math.Abs(d.FieldDeg()-b.FieldDeg) > 1e-9 {
			t.Errorf("%s: peak %v field %v", f.Code, d.PeakCd(), d.FieldDeg())
		}
		least, most = math.Min(least, d.FluxLm()), math.Max(most, d.FluxLm())
	}
	if len(f.Beams) == 0 {
		least, most = float64(f.Flux), float64(f.Flux)
	}
	if lo, hi := least/float64(f.Power), most/float64(f.Power); lo < leastEfficacy || hi > mostEfficacy {
		t.Errorf("%s: %.1f to %.1f lm/W", f.Code, lo, hi)
	}
	if most/least > zoomFluxRatio {
		t.Errorf("%s: flux %.0f to %.0f lm", f.Code, least, most)
	}
}

func TestGenericIsAFreshCopy(t *testing.T) {
	a := Generic()
	a[0].Beams = nil
	a[0].Name = "x"
	if b := Generic(); b[0].Name == "x" {
		t.Error("a change reached the next caller")
	}
}

func TestSetPrefersOwn(t *testing.T) {
	own := []Fixture{{Code: "G-FRE-M", Name: "own"}, {Code: "A-1", Name: "first"}, {Code: "A-1", Name: "second"}}
	s := NewSet(Generic(), own)
	for code, want := range map[string]string{"G-FRE-M": "own", "A-1": "second"} {
		if f, ok := s.Get(code); !ok || f.Name != want {
			t.Errorf("Get(%s) = %q, %v", code, f.Name, ok)
		}
	}
	if _, ok := s.Get("none"); ok {
		t.Error("found what is not there")
	}
	all := s.All()
	if len(all) != len(Generic())+1 || all[0].Code != "A-1" {
		t.Errorf("%d fixtures from %s", len(all), all[0].Code)
	}
	if _, ok := (Set{}).Get("x"); ok || len((Set{}).All()) != 0 {
		t.Error("the empty set holds something")
	}
}

func TestNewSetSortsBeamsWithoutTouchingTheInput(t *testing.T) {
	own := []Fixture{{Code: "A", Class: Fresnel, Beams: []Beam{{FieldDeg: 40, PeakCd: 1}, {FieldDeg: 15, PeakCd: 9}}}}
	f, _ := NewSet(nil, own).Get("A")
	if f.Beams[0].FieldDeg != 15 || own[0].Beams[0].FieldDeg != 40 {
		t.Errorf("set %v, input %v", f.Beams, own[0].Beams)
	}
}

var testFresnel = Fixture{Code: "Z", Class: Fresnel, Beams: []Beam{{FieldDeg: 15, PeakCd: 62000}, {FieldDeg: 25, PeakCd: 28000}, {FieldDeg: 40, PeakCd: 12500}, {FieldDeg: 50, PeakCd: 8200}}}

func TestBeamAt(t *testing.T) {
	lens := Fixture{Class: Ellipsoidal, Beams: []Beam{{FieldDeg: 26, PeakCd: 52000}, {FieldDeg: 36, PeakCd: 30000}}}
	for _, tc := range []struct {
		f         Fixture
		ask       float64
		wantField float64
		ok        bool
	}{
		{testFresnel, 25, 25, true}, {testFresnel, 30, 30, true}, {testFresnel, 10, 15, false}, {testFresnel, 51, 50, true},
		{testFresnel, 0, 40, true}, {testFresnel, math.NaN(), 0, false},
		{lens, 26, 26, true}, {lens, 26.5, 26, true}, {lens, 31, 26, false}, {lens, 0, 36, true},
		{Fixture{}, 26, 0, false},
	} {
		b, ok := tc.f.BeamAt(tc.ask)
		if ok != tc.ok || ok && math.Abs(b.FieldDeg-tc.wantField) > 1e-9 {
			t.Errorf("BeamAt(%v) of %s = %v, %v", tc.ask, tc.f.Class, b.FieldDeg, ok)
		}
	}
	if got := testFresnel.NearestField(90); got != 50 {
		t.Errorf("nearest zoom %v", got)
	}
	if got := lens.NearestField(33); got != 36 {
		t.Errorf("nearest lens %v", got)
	}
	if got := (Fixture{}).NearestField(30); got != 0 {
		t.Errorf("nearest of nothing %v", got)
	}
}

// TestZoomIsMonotone: a wider zoom never has a higher peak or a narrower beam.
func TestZoomIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(15, 49).Draw(t, "field")
		b := a + rapid.Float64Range(0.1, 1).Draw(t, "wider")
		x, okX := testFresnel.BeamAt(a)
		y, okY := testFresnel.BeamAt(b)
		if !okX || !okY || y.PeakCd > x.PeakCd || y.beamOrGauss() < x.beamOrGauss() {
			t.Fatalf("%+v then %+v", x, y)
		}
	})
}

func TestDistributionOfIncompleteFixtures(t *testing.T) {
	for name, f := range map[string]Fixture{
		"nothing known": {},
		"no peak":       {Class: MovingWash, Beams: []Beam{{FieldDeg: 6}, {FieldDeg: 40}}},
	} {
		if _, ok := Distribution(f, 20); ok {
			t.Errorf("%s: gives light", name)
		}
	}
	d, ok := Distribution(Fixture{Flux: 806}, 33)
	if l, is := d.(photometry.Lambertian); !ok || !is || l.FluxLm() != 806 {
		t.Errorf("lamp by flux: %v, %v", d, ok)
	}
}

func TestPriceIn(t *testing.T) {
	f := Fixture{PriceMinor: 64000, Currency: "XTS"}
	if p, ok := f.PriceIn("xts"); !ok || p != 64000 {
		t.Errorf("XTS %v, %v", p, ok)
	}
	if _, ok := f.PriceIn("USD"); ok {
		t.Error("priced in a currency nobody stated")
	}
	if p, ok := Generic()[0].PriceIn("EUR"); !ok || p <= 0 {
		t.Errorf("EUR %v, %v", p, ok)
	}
}

func ExampleDistribution() {
	f, _ := NewSet(Generic(), nil).Get("G-FRE-M")
	d, _ := Distribution(f, 40)
	fmt.Printf("%.0f cd, beam %.0f°, field %.0f°\n", d.PeakCd(), d.BeamDeg(), d.FieldDeg())
	// Output: 31000 cd, beam 22°, field 40°
}
