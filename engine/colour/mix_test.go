package colour

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// rgb are three primaries; chromaticities of common red, green and blue LEDs
// (from memory), flux of our own invention.
var rgb = []Emitter{{"red", XY{.69, .31}, 900}, {"green", XY{.19, .72}, 1800}, {"blue", XY{.14, .04}, 250}}

var rgbal = append(append([]Emitter{}, rgb...), Emitter{"amber", XY{.58, .42}, 800}, Emitter{"lime", XY{.41, .54}, 3000})

// TestMixThree: with three primaries the drive follows from three equations;
// solved here by Cramer's rule for D65, then scaled until one is full.
func TestMixThree(t *testing.T) {
	m, ok := Mix(rgb, D65)
	if !ok || !m.InGamut {
		t.Fatalf("%+v", m)
	}
	nearXY(t, "reached", m.XY, D65, 1e-9)
	det := func(a, b, c [3]float64) float64 {
		return a[0]*(b[1]*c[2]-b[2]*c[1]) - b[0]*(a[1]*c[2]-a[2]*c[1]) + c[0]*(a[1]*b[2]-a[2]*b[1])
	}
	col := func(c XY, flux float64) [3]float64 {
		return [3]float64{c.X / c.Y * flux, flux, (1 - c.X - c.Y) / c.Y * flux}
	}
	var k [3][3]float64
	for i, e := range rgb {
		k[i] = col(e.XY, e.FluxLm)
	}
	w := col(D65, 1)
	d := det(k[0], k[1], k[2])
	l := [3]float64{det(w, k[1], k[2]) / d, det(k[0], w, k[2]) / d, det(k[0], k[1], w) / d}
	most := math.Max(l[0], math.Max(l[1], l[2]))
	for i := range l {
		near(t, rgb[i].Name, m.Levels[i], l[i]/most, 1e-9)
	}
	near(t, "flux", m.FluxLm, 1/most, 1e-6)
}

func TestMixMoreEmittersNeverLoseFlux(t *testing.T) {
	for _, c := range []XY{D65, IlluminantA, Planck(3200), {.4, .4}} {
		few, _ := Mix(rgb, c)
		more, ok := Mix(rgbal, c)
		if !ok || more.FluxLm < few.FluxLm*(1-1e-9) {
			t.Errorf("%v: %v lm with three, %v lm with five", c, few.FluxLm, more.FluxLm)
		}
	}
}

// TestMixBeatsEverySample: whatever levels are set, the mixture for the
// chromaticity they give has at least their flux and the same chromaticity, and
// drives at most two emitters partly.
func TestMixBeatsEverySample(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(rt, "n")
		var es []Emitter
		var parts []Light
		for i := range n {
			e := Emitter{fmt.Sprint(i), chromaticity(rt, "e"), rapid.Float64Range(10, 1000).Draw(rt, "flux")}
			es = append(es, e)
			parts = append(parts, Light{e.XY, e.FluxLm * rapid.Float64Range(0.01, 1).Draw(rt, "level")})
		}
		sample := Add(parts...)
		m, ok := Mix(es, sample.XY)
		if !ok || !m.InGamut || m.FluxLm < sample.Amount*(1-1e-6) {
			rt.Fatalf("sample %v, mixture %+v", sample, m)
		}
		if math.Hypot(m.XY.X-sample.X, m.XY.Y-sample.Y) > 1e-6 {
			rt.Fatalf("wanted %v, reached %v", sample.XY, m.XY)
		}
		partly := 0
		for _, l := range m.Levels {
			if l < 0 || l > 1 {
				rt.Fatalf("level %v", l)
			}
			if l > 1e-9 && l < 1-1e-9 {
				partly++
			}
		}
		if partly > 2 {
			rt.Fatalf("%d emitters partly driven: %v", partly, m.Levels)
		}
	})
}

// TestMixScales: twice the flux of every emitter is twice the flux at the same
// levels.
func TestMixScales(t *testing.T) {
	one, _ := Mix(rgbal, D50)
	var twice []Emitter
	for _, e := range rgbal {
		e.FluxLm *= 2
		twice = append(twice, e)
	}
	two, _ := Mix(twice, D50)
	near(t, "flux", two.FluxLm, 2*one.FluxLm, 1e-6)
	for i := range one.Levels {
		near(t, "level", two.Levels[i], one.Levels[i], 1e-9)
	}
}

func TestMixOutOfGamut(t *testing.T) {
	want := XY{.08, .83} // beyond any of the primaries
	m, ok := Mix(rgb, want)
	if !ok || m.InGamut || m.Distance < .01 {
		t.Fatalf("%+v", m)
	}
	// No mixture on a fine grid of levels comes nearer.
	for r := 0.0; r <= 1; r += 0.05 {
		for g := 0.0; g <= 1; g += 0.05 {
			for b := 0.0; b <= 1; b += 0.05 {
				sum := Add(Light{rgb[0].XY, r * 900}, Light{rgb[1].XY, g * 1800}, Light{rgb[2].XY, b * 250})
				if sum.Amount > 0 && DistanceUVPrime(sum.XY, want) < m.Distance-1e-9 {
					t.Fatalf("%v is nearer than %v", sum.XY, m.XY)
				}
			}
		}
	}
}

func TestMixSmallCases(t *testing.T) {
	one := []Emitter{{"warm", Planck(3000), 500}}
	m, ok := Mix(one, Planck(3000))
	if !ok || !m.InGamut || m.Levels[0] != 1 || m.FluxLm != 500 {
		t.Errorf("one emitter at its own white: %+v", m)
	}
	if m, ok = Mix(one, D65); !ok || m.InGamut || m.Levels[0] != 1 {
		t.Errorf("one emitter for another white: %+v", m)
	}
	two := []Emitter{{"warm", Planck(2700), 500}, {"cool", Planck(6500), 700}}
	mid := Add(Light{two[0].XY, 500}, Light{two[1].XY, 350})
	if m, ok = Mix(two, mid.XY); !ok || math.Abs(m.Levels[0]-1) > 1e-9 || math.Abs(m.Levels[1]-.5) > 1e-9 {
		t.Errorf("two whites: %+v", m)
	}
	same := []Emitter{{"a", D65, 300}, {"b", D65, 200}, {"c", D65, 0}}
	if m, ok = Mix(same, D65); !ok || math.Abs(m.FluxLm-500) > 1e-9 || m.Levels[2] != 0 {
		t.Errorf("equal emitters: %+v", m)
	}
	for name, es := range map[string][]Emitter{
		"none": nil, "dark": {{"a", D65, 0}}, "unknown": {{"a", XY{}, 100}}, "endless": {{"a", D65, math.Inf(1)}},
		"too many": make([]Emitter, MostEmitters+1),
	} {
		if _, ok := Mix(es, D65); ok {
			t.Errorf("%s: mixed", name)
		}
	}
	if _, ok := Mix(rgb, XY{}); ok {
		t.Error("mixed nothing in particular")
	}
}

func ExampleMix() {
	m, _ := Mix(rgbal, Planck(3200))
	for i, e := range rgbal {
		fmt.Printf("%s %.0f %%\n", e.Name, 100*m.Levels[i])
	}
	fmt.Printf("%.0f lm\n", m.FluxLm)
	// Output:
	// red 100 %
	// green 45 %
	// blue 41 %
	// amber 100 %
	// lime 100 %
	// 5621 lm
}

func BenchmarkMixFive(b *testing.B) {
	for b.Loop() {
		Mix(rgbal, D65)
	}
}
