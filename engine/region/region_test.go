package region

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// printed is the rounding of a table printed to three significant figures.
const printed = 5e-3

func must(t testing.TB, id string) Profile {
	t.Helper()
	p, ok := Get(id)
	if !ok {
		t.Fatalf("no profile %q", id)
	}
	return p
}

func cond(t testing.TB, p Profile, name string) Conductor {
	t.Helper()
	c, ok := p.Conductor(name)
	if !ok {
		t.Fatalf("%s: no conductor %q", p.ID, name)
	}
	return c
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

func TestProfilesAreThereAndSorted(t *testing.T) {
	ps := Profiles()
	if len(ps) != 2 || ps[0].ID != "metric" || ps[1].ID != "us" {
		t.Fatalf("profiles %v", ps)
	}
	if _, ok := Get("nowhere"); ok {
		t.Error("Get(nowhere) found a profile")
	}
	for id, paper := range map[string]string{"us": "Tabloid", "metric": "A3"} {
		if p := must(t, id); p.Paper != paper {
			t.Errorf("%s paper %q", id, p.Paper)
		}
	}
}

// Values of NFPA 70-2023 Table 310.16, 310.15(B)(1)(1), 310.15(C)(1), 240.4(D),
// 250.122, Chapter 9 Table 8.
func TestUSTables(t *testing.T) {
	p := must(t, "us")
	for _, row := range []struct {
		name          string
		a60, a75, a90 float64
		ohmPerKft     float64
	}{{"14 AWG", 15, 20, 25, 3.14}, {"12 AWG", 20, 25, 30, 1.98}, {"10 AWG", 30, 35, 40, 1.24}, {"8 AWG", 40, 50, 55, .778},
		{"6 AWG", 55, 65, 75, .491}, {"3 AWG", 85, 100, 115, .245}, {"1 AWG", 110, 130, 145, .154}, {"4/0 AWG", 195, 230, 260, .0608}} {
		c := cond(t, p, row.name)
		if c.AmpacityAt(60) != row.a60 || c.AmpacityAt(75) != row.a75 || c.AmpacityAt(90) != row.a90 || c.AmpacityA != row.a60 {
			t.Errorf("%s columns %v", row.name, c.Columns)
		}
		near(t, row.name+" Ω/kft", c.OhmPerKm*0.3048, row.ohmPerKft, 1e-12)
	}
	for temp, want := range map[float64]float64{5: 1.15, 30: 1, 30.5: .96, 40: .91, 45: .87, 60: .71, 61: 0} {
		near(t, "Ca at 90 °C", p.AmbientFactor(temp), want, 0)
	}
	near(t, "Ca 60 °C column at 45 °C", p.AmbientFactorAt(60, 45), .71, 0)
	for n, want := range map[int]float64{0: 1, 3: 1, 4: .8, 9: .7, 10: .5, 30: .45, 41: .35} {
		near(t, "Cg", p.GroupingFactor(n), want, 0)
	}
	if b := p.MaxBreaker(cond(t, p, "12 AWG")); b != 20 {
		t.Errorf("12 AWG on %v A", b)
	}
	if b := p.MaxBreaker(cond(t, p, "8 AWG")); !math.IsInf(b, 1) {
		t.Errorf("8 AWG on %v A", b)
	}
	for b, want := range map[float64]string{15: "14 AWG", 20: "12 AWG", 25: "10 AWG", 60: "10 AWG", 70: "8 AWG"} {
		c := cond(t, p, "3 AWG")
		if g, ok := p.Ground(b, c, c); !ok || g.Name != want {
			t.Errorf("ground for %v A = %q, want %q", b, g.Name, want)
		}
	}
	// 250.122(B): 20 A on 8 AWG instead of 12 AWG: 6530·16510/6530 cmil = 8 AWG.
	if g, _ := p.Ground(20, cond(t, p, "12 AWG"), cond(t, p, "8 AWG")); g.Name != "8 AWG" {
		t.Errorf("enlarged ground %q", g.Name)
	}
}

// The published factor is the square root of the temperature margins, NFPA 70
// 310.15(B): √((Tc−Ta)/(Tc−30)) with Ta at the row's upper end.
func TestUSAmbientFactorsFollowTheirFormula(t *testing.T) {
	p := must(t, "us")
	for _, col := range p.AmbientColumns {
		for _, f := range col.Factors {
			near(t, "Ca", f.Value, math.Sqrt((col.TempC-f.UpTo)/(col.TempC-30)), printed+5e-4)
		}
	}
}

func TestUSStandardRatings(t *testing.T) {
	p := must(t, "us")
	// 18 A of continuous lighting · 1.25 = 22.5 A: 25 A is the standard rating.
	if b, _ := p.NextBreaker(18 * p.ContinuousFactor); b != 25 {
		t.Errorf("next after 22.5 A is %v", b)
	}
	for _, bad := range []float64{math.NaN(), -1, 1e9, math.Inf(1)} {
		if b, ok := p.NextBreaker(bad); ok {
			t.Errorf("NextBreaker(%v) = %v", bad, b)
		}
	}
}

// Published worked examples on corrected ampacity.
func TestUSCorrectedAmpacityExamples(t *testing.T) {
	p := must(t, "us")
	raw := func(name string, col, factor float64) float64 { return cond(t, p, name).AmpacityAt(col) * factor }
	// Code Q&A 84 (EC&M): nine current-carrying 12 AWG THHN, 21 A.
	near(t, "9 × 12 AWG", raw("12 AWG", 90, p.GroupingFactor(9)), 21, 1e-9)
	// 10 AWG THHN at 120 °F: 32.8 A; with all four counted 26.24 A.
	near(t, "10 AWG at 120 °F", raw("10 AWG", 90, p.AmbientFactor(48.9)), 32.8, 1e-9)
	near(t, "same, 4 counted", raw("10 AWG", 90, p.AmbientFactor(48.9)*p.GroupingFactor(4)), 26.24, 1e-9)
	// Code Quiz (EC&M): thirty 12 AWG THHN, 13.5 A.
	near(t, "30 × 12 AWG", raw("12 AWG", 90, p.GroupingFactor(30)), 13.5, 1e-9)
	near(t, "30 × 12 AWG as used", p.Ampacity(cond(t, p, "12 AWG"), 30, 30, false), 13.5, 1e-9)
	// Six 12 AWG THWN at 86 °F: 20 A; 10 AWG THWN-2 at 105–113 °F: 34.8 A.
	near(t, "6 × 12 AWG 75 °C", raw("12 AWG", 75, p.AmbientFactorAt(75, 30)*p.GroupingFactor(6)), 20, 1e-9)
	near(t, "10 AWG at 45 °C", raw("10 AWG", 90, p.AmbientFactor(45)), 34.8, 1e-9)
	// 105 A with .91 · .80: 144.23 A asks 2/0 at 60 °C, 1/0 at 75 °C, 1 AWG at 90 °C.
	need := 105 / (.91 * .80)
	near(t, "needed", need, 144.23, printed)
	for col, want := range map[float64]string{60: "2/0 AWG", 75: "1/0 AWG", 90: "1 AWG"} {
		for _, c := range p.Conductors {
			if c.AmpacityAt(col) >= need {
				if c.Name != want {
					t.Errorf("%v °C: %s, want %s", col, c.Name, want)
				}
				break
			}
		}
	}
	// The terminals hold 12 AWG to its 60 °C column.
	near(t, "12 AWG at terminals", p.Ampacity(cond(t, p, "12 AWG"), 30, 2, false), 20, 0)
}

// Values of BS 7671 Tables 4D2A (method C), 4B1, 4C1 and Appendix 4 mV/A/m.
func TestMetricTables(t *testing.T) {
	p := must(t, "metric")
	for _, row := range []struct {
		name     string
		it2, it3 float64
		mv, mv3  float64
	}{{"1.5 mm²", 19.5, 17.5, 29, 25}, {"2.5 mm²", 27, 24, 18, 15}, {"4 mm²", 36, 32, 11, 9.5},
		{"6 mm²", 46, 41, 7.3, 6.4}, {"10 mm²", 63, 57, 4.4, 3.8}, {"16 mm²", 85, 76, 2.8, 2.4}} {
		c := cond(t, p, row.name)
		if c.AmpacityA != row.it2 || c.Ampacity3A != row.it3 || c.MVAM != row.mv || c.MVAM3 != row.mv3 {
			t.Errorf("%s: %+v", row.name, c)
		}
	}
	for temp, want := range map[float64]float64{20: 1.03, 30: 1, 35: .94, 40: .87, 50: .71, 60: 0} {
		near(t, "Ca", p.AmbientFactor(temp), want, 0)
	}
	for n, want := range map[int]float64{1: 1, 2: .8, 3: .7, 6: .57, 9: .5, 11: .45, 20: .38} {
		near(t, "Cg", p.GroupingFactor(n), want, 0)
	}
	if p.ContinuousFactor != 1 {
		t.Errorf("continuous factor %v", p.ContinuousFactor)
	}
	c := cond(t, p, "2.5 mm²")
	if g, ok := p.Ground(20, c, c); !ok || g.Name != c.Name {
		t.Errorf("protective conductor %q", g.Name)
	}
}

// Loop drop: NFPA 70 Chapter 9 examples with 1.98 Ω/kft, and BS 7671's
// 2.5 mm², 18 mV/A/m, 16 A, 18 m: 5.18 V.
func TestLoopAgainstPublishedDrops(t *testing.T) {
	us, metric := must(t, "us"), must(t, "metric")
	const ft = 0.3048
	twelve := cond(t, us, "12 AWG")
	near(t, "240 V 20 A 100 ft", twelve.Loop(false, 1)*20*100*ft, 7.920, 1e-9)
	near(t, "120 V 22 A 50 ft", twelve.Loop(false, 1)*22*50*ft, 4.356, 1e-9)
	near(t, "16 A 18 m", cond(t, metric, "2.5 mm²").Loop(false, .95)*16*18, 5.184, 1e-9)
	near(t, "three-phase", cond(t, metric, "2.5 mm²").Loop(true, 1)*10*10, 1.5, 1e-9)
	// Chapter 9 Table 9, Z at 0.85 in PVC for 12 AWG: 1.7 Ω/kft printed to two figures.
	near(t, "Z(0.85)", twelve.Loop(false, .85)/2*1000*ft, 1.7, .05)
	if bad := twelve.Loop(false, math.NaN()); bad != twelve.Loop(false, 1) {
		t.Errorf("Loop(NaN) = %v", bad)
	}
}

func TestConnectors(t *testing.T) {
	us, metric := must(t, "us"), must(t, "metric")
	for _, tc := range []struct {
		p        Profile
		a, volts float64
		want     string
	}{{us, 20, 120, "NEMA L5-20"}, {us, 15, 120, "NEMA L5-15"}, {us, 20, 240, "NEMA L6-20"},
		{metric, 16, 230, "IEC 60309 16 A 2P+E 200–250 V 6h (blue)"}, {metric, 20, 230, "IEC 60309 32 A 2P+E 200–250 V 6h (blue)"}} {
		c, ok := tc.p.ConnectorFor(tc.a, tc.volts, 2)
		if !ok || c.Name != tc.want {
			t.Errorf("%s %v A %v V: %q, want %q", tc.p.ID, tc.a, tc.volts, c.Name, tc.want)
		}
	}
	if c, ok := us.ConnectorFor(400, 120, 2); ok {
		t.Errorf("400 A connector %q", c.Name)
	}
}

const third = `{
 "id": "island", "edition": "1", "title": "An island", "display": "metric", "paper": "A3", "gauges": "mm2",
 "breakers": {"source": "s", "ratings_a": [5, 15, 30], "branch_a": [15], "branch_source": "s"},
 "continuous": {"factor": 1.1, "source": "s"},
 "conductors": {"source": "s", "area_unit": "mm2", "resistance_unit": "ohm_per_km", "terminal_c": 70, "insulation_c": 70,
  "rows": [{"name": "2 mm²", "area": 2, "ampacity_a": {"70": 18}, "resistance": 10, "reactance": 0.1}]},
 "ambient": {"source": "s", "columns": {"70": [[30, 1]]}},
 "grouping": {"source": "s", "per": "circuits", "factors": [[1, 1], [9, 0.5]]},
 "small_conductor": {"source": "s", "rows": []},
 "equipment_ground": {"source": "s", "as_line": true, "rows": [{"up_to_a": 30, "name": "2 mm²"}]},
 "voltage_drop": {"limit_pct": 4, "source": "s"},
 "conventions": {"asbestos": {"from_year": 1900, "to_year": 1990, "source": "s"}, "data_slack": {"m": 2, "source": "s"},
  "house_light": {"w_per_m2": 9, "source": "s"}, "price_book": "metric"},
 "connectors": [], "notes": []
}`

func TestAThirdProfileIsDataOnly(t *testing.T) {
	p, err := Parse([]byte(third))
	if err != nil {
		t.Fatal(err)
	}
	if b, _ := p.NextBreaker(6); b != 15 {
		t.Errorf("next breaker %v", b)
	}
	near(t, "loop", p.Conductors[0].Loop(false, 1), 0.02, 1e-12)
	near(t, "ampacity", p.Ampacity(p.Conductors[0], 25, 2, false), 9, 1e-12)
}

func TestParseNamesEveryFault(t *testing.T) {
	broken := strings.NewReplacer(`"paper": "A3"`, `"paper": "B7"`, `[5, 15, 30]`, `[15, 5, 30]`,
		`"limit_pct": 4`, `"limit_pct": 0`, `"edition": "1"`, `"edition": ""`, `"to_year": 1990`, `"to_year": 1800`, `{"m": 2, "source": "s"}`, `{"m": 0, "source": ""}`, `"ampacity_a": {"70": 18}`, `"ampacity_a": {"60": 18}`).Replace(third)
	_, err := Parse([]byte(broken))
	if err == nil {
		t.Fatal("no error")
	}
	for _, want := range []string{"paper", "breaker ratings", "voltage drop", "edition", "terminal or insulation", "asbestos from year", "data slack 0 m", "data slack: no source"} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q not named in %v", want, err)
		}
	}
	if _, err := Parse([]byte(`{"id": "x", "unknown": 1}`)); err == nil {
		t.Error("an unknown key passes")
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(third))
	for _, name := range []string{"us", "metric"} {
		raw, err := profileFiles.ReadFile("profiles/" + name + ".json")
		if err != nil {
			f.Fatal(err)
		}
		f.Add(raw)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		p, err := Parse(raw)
		if err != nil {
			return
		}
		for _, c := range p.Conductors {
			if a := p.Ampacity(c, 30, 3, false); a < 0 || math.IsNaN(a) {
				t.Errorf("ampacity of %q is %v", c.Name, a)
			}
		}
	})
}

// A warmer place or more company never lets a conductor carry more, a thicker
// one never less.
func TestAmpacityIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(Profiles()).Draw(t, "profile")
		i := rapid.IntRange(0, len(p.Conductors)-2).Draw(t, "conductor")
		temp := rapid.Float64Range(-10, 70).Draw(t, "ambient")
		warmer := temp + rapid.Float64Range(0, 20).Draw(t, "warmer")
		n := rapid.IntRange(1, 50).Draw(t, "n")
		more := n + rapid.IntRange(0, 20).Draw(t, "more")
		three := rapid.Bool().Draw(t, "three")
		a := p.Ampacity(p.Conductors[i], temp, n, three)
		if b := p.Ampacity(p.Conductors[i], warmer, n, three); b > a {
			t.Fatalf("warmer carries %v > %v", b, a)
		}
		if b := p.Ampacity(p.Conductors[i], temp, more, three); b > a {
			t.Fatalf("more company carries %v > %v", b, a)
		}
		if b := p.Ampacity(p.Conductors[i+1], temp, n, three); b < a {
			t.Fatalf("thicker carries %v < %v", b, a)
		}
	})
}

func BenchmarkGet(b *testing.B) {
	for b.Loop() {
		Get("us")
	}
}
