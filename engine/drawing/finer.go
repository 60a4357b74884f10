package drawing

import "math"

// Finer returns the field on cells of 1/k their side, smooth between the middles
// of its own: a cubic through four neighbours each way, never beyond the least and
// the greatest of the four cells round it. Cells that are NaN, and those beside
// them, keep the nearest cell's value. The field itself for k under 2, for a single
// row or column, and where the finer one would have more than 16 times the 40 000
// cells of a map.
//
// Source: Catmull and Rom, A class of local interpolating splines, 1974 (from
// memory).
func (f Field) Finer(k int) Field {
	if k < 2 || f.Cols < 2 || f.Rows < 2 || f.Cols*f.Rows*k*k > 16*mostCells {
		return f
	}
	out := f
	out.StepM, out.Cols, out.Rows = f.StepM/float64(k), f.Cols*k, f.Rows*k
	out.Values = make([]float64, 0, out.Cols*out.Rows)
	for j := range out.Rows {
		for i := range out.Cols {
			out.Values = append(out.Values, f.smooth((float64(i)+.5)/float64(k)-.5, (float64(j)+.5)/float64(k)-.5))
		}
	}
	return out
}

// smooth returns the value at u, v cells from the first cell's middle.
func (f Field) smooth(u, v float64) float64 {
	i, j := int(math.Floor(u)), int(math.Floor(v))
	wu, wv := cubic(u-float64(i)), cubic(v-float64(j))
	inside := func(x, n int) int { return max(0, min(n-1, x)) }
	sum, lo, hi := 0.0, math.Inf(1), math.Inf(-1)
	for b := -1; b <= 2; b++ {
		for a := -1; a <= 2; a++ {
			x := f.At(inside(i+a, f.Cols), inside(j+b, f.Rows))
			sum += wu[a+1] * wv[b+1] * x
			if (a == 0 || a == 1) && (b == 0 || b == 1) {
				lo, hi = math.Min(lo, x), math.Max(hi, x)
			}
		}
	}
	if !finite(sum) {
		return f.At(inside(int(math.Round(u)), f.Cols), inside(int(math.Round(v)), f.Rows))
	}
	return math.Max(lo, math.Min(hi, sum))
}

// smoothRow returns smooth along one row at v, k values a cell: what rows have in
// common is worked out once.
func (f Field) smoothRow(v float64, k int) []float64 {
	inside := func(x, n int) int { return max(0, min(n-1, x)) }
	j := int(math.Floor(v))
	wv := cubic(v - float64(j))
	// Each column at v, its two values around v, and the weights of every phase.
	sums, los, his := make([]float64, f.Cols), make([]float64, f.Cols), make([]float64, f.Cols)
	for c := range f.Cols {
		for b := -1; b <= 2; b++ {
			sums[c] += wv[b+1] * f.At(c, inside(j+b, f.Rows))
		}
		x, y := f.At(c, inside(j, f.Rows)), f.At(c, inside(j+1, f.Rows))
		los[c], his[c] = math.Min(x, y), math.Max(x, y)
	}
	out := make([]float64, f.Cols*k)
	for phase := range k {
		first := (float64(phase)+.5)/float64(k) - .5
		shift := int(math.Floor(first))
		wu := cubic(first - float64(shift))
		for c := range f.Cols {
			i := c + shift
			a, b := inside(i, f.Cols), inside(i+1, f.Cols)
			t := wu[0]*sums[inside(i-1, f.Cols)] + wu[1]*sums[a] + wu[2]*sums[b] + wu[3]*sums[inside(i+2, f.Cols)]
			if finite(t) {
				t = math.Max(math.Min(los[a], los[b]), math.Min(math.Max(his[a], his[b]), t))
			} else {
				t = f.At(inside(int(math.Round(float64(c)+first)), f.Cols), inside(int(math.Round(v)), f.Rows))
			}
			out[c*k+phase] = t
		}
	}
	return out
}

// cubic returns the weights of four neighbours at a share t between the middle two.
func cubic(t float64) [4]float64 {
	return [4]float64{
		((-t+2)*t - 1) * t / 2,
		((3*t-5)*t*t + 2) / 2,
		((-3*t+4)*t + 1) * t / 2,
		(t - 1) * t * t / 2,
	}
}
