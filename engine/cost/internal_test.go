package cost

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Five triangular lines whose sum was found by convolution: mean 25 500, 80 %
// at 26 927; the normal approximation gives 26 893.
func TestIndependentLines(t *testing.T) {
	var lines []Line
	for _, a := range []Amount{{9000, 10000, 13000}, {2500, 3000, 5000}, {6000, 7500, 12000}, {1200, 1500, 2500}, {800, 1000, 1500}} {
		lines = append(lines, Line{Total: a})
	}
	if got := independent(lines, 0); got != 25500 {
		t.Errorf("mean %d", got)
	}
	if got := independent(lines, p80); math.Abs(float64(got-26893)) > 1 {
		t.Errorf("80 %% at %d, want 26893", got)
	}
	// A normal curve misses the exact sum by little: 0.2 % here.
	if got := independent(lines, p80); math.Abs(float64(got-26927)) > 0.002*26927 {
		t.Errorf("80 %% at %d, exact 26927", got)
	}
}

// bestSubset against every subset.
func TestBestSubsetIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := rapid.SliceOfN(rapid.Int64Range(-5, 400), 0, 11).Draw(t, "worth")
		room := rapid.Int64Range(-10, 1500).Draw(t, "room")
		want := int64(0)
		for set := range 1 << len(w) {
			var s int64
			for i, v := range w {
				if set&(1<<i) != 0 && v > 0 {
					s += v
				}
			}
			if s <= room {
				want = max(want, s)
			}
		}
		chosen, got := bestSubset(w, room)
		var s int64
		for _, i := range chosen {
			s += w[i]
		}
		if got != want || s != got {
			t.Fatalf("%d from %v (%d), want %d", got, chosen, s, want)
		}
	})
}

func TestAllocateAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfN(rapid.Int64Range(-1000, 1e7), 0, 8).Draw(t, "parts")
		pct := rapid.Float64Range(0, 60).Draw(t, "pct")
		var sum, got int64
		for _, p := range parts {
			sum += p
		}
		for i, p := range allocate(parts, pct) {
			got += p
			if d := p - WithContingency(parts[i], pct); d < -1 || d > 1 {
				t.Fatalf("part %d is off by %d", i, d)
			}
		}
		if got != WithContingency(sum, pct) {
			t.Fatalf("%d, want %d", got, WithContingency(sum, pct))
		}
	})
}
