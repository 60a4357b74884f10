package drawing

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestSmoothRow: a row worked out at once is what each of its points gives alone,
// cells that are not known included.
func TestSmoothRow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := Field{StepM: 1, Cols: rapid.IntRange(1, 6).Draw(t, "cols"), Rows: rapid.IntRange(1, 6).Draw(t, "rows")}
		for range f.Cols * f.Rows {
			v := rapid.Float64Range(0, 1000).Draw(t, "lx")
			if rapid.IntRange(0, 9).Draw(t, "known") == 0 {
				v = math.NaN()
			}
			f.Values = append(f.Values, v)
		}
		k := rapid.IntRange(1, 9).Draw(t, "k")
		v := rapid.Float64Range(-0.5, float64(f.Rows)-0.5).Draw(t, "v")
		for x, got := range f.smoothRow(v, k) {
			want := f.smooth((float64(x)+.5)/float64(k)-.5, v)
			const rounding = 1e-9 // of values up to 1000, in another order of sums
			if math.IsNaN(got) != math.IsNaN(want) || math.Abs(got-want) > rounding {
				t.Fatalf("pixel %d at %v: %v, want %v", x, v, got, want)
			}
		}
	})
}
