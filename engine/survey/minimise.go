package survey

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// model is a sum of squares that minimise lowers.
type model interface {
	// cost returns the weighted sum of squares at the present place.
	cost() float64
	// linearise prepares steps from the present place.
	linearise()
	// step returns the Gauss-Newton step, damped by λ on the scaled diagonal;
	// false when the equations are singular.
	step(lambda float64) ([]float64, bool)
	// move goes factor times a step.
	move(dx []float64, factor float64)
	// length is how long a step is, in the unit of limits.
	length(dx []float64) float64
}

// limits end an iteration.
type limits struct {
	iterations int
	step       float64 // a step shorter than this is the last
	small      float64 // shorter than this is the last where the cost no longer falls
	longest    float64 // a longer step is damped instead of taken
	damping    float64 // λ of the first step
}

// minimise takes Gauss-Newton steps, damped after Levenberg and Marquardt when a
// step does not lower the sum of squares or the equations are singular. It
// returns whether it came to rest, and after how many steps.
//
// Source: Nocedal & Wright, Numerical Optimization, 2nd ed. 2006, §10.3 (from memory).
func minimise(m model, lim limits) (steps int, done bool) {
	lambda := lim.damping
	raise := func(from float64) bool {
		lambda = math.Max(from, lambda*10)
		return lambda <= 1e12
	}
	cost := m.cost()
	fresh := false
	for steps < lim.iterations {
		steps++
		if !fresh {
			m.linearise()
			fresh = true
		}
		dx, ok := m.step(lambda)
		if !ok {
			if !raise(1e-9) {
				return steps, false
			}
			continue
		}
		largest := m.length(dx)
		if largest > lim.longest {
			// A corner's angle tends to its assumption at infinity: stay here.
			if !raise(1e-4) {
				return steps, false
			}
			continue
		}
		m.move(dx, -1)
		next := m.cost()
		if next <= cost*(1+1e-14) && !math.IsNaN(next) {
			end := largest < lim.step || (cost-next < 1e-15*cost && largest < lim.small)
			cost, fresh = next, false
			if lambda > 0 {
				lambda = math.Max(1e-9, lambda/10)
			}
			if end {
				return steps, true
			}
			continue
		}
		m.move(dx, 1)
		if largest < lim.small {
			return steps, true
		}
		if !raise(1e-4) {
			return steps, false
		}
	}
	return steps, false
}

// Curve is a model of m values by n parameters, fitted by FitCurve.
type Curve struct {
	Values int
	// Residuals writes computed − observed, in units of the standard deviations,
	// and their derivatives by the parameters.
	Residuals func(b, v []float64, j *mat.Dense)
}

// Fitted is a fitted curve.
type Fitted struct {
	B     []float64 // parameters
	Sigma []float64 // their standard deviations from the residuals' own scatter
	RSS   float64   // sum of squared residuals
	S     float64   // √(RSS/(m − n)); 0 when m = n
	Steps int
	Done  bool // the iteration came to rest
}

// dampings are the λ that a fit's first step is tried with. Little damping is
// quickest; where it leaps to a place at which the curve no longer tells its
// parameters apart, more keeps the step short.
var dampings = []float64{1e-3, 1e-1, 1e1, 1e3}

// flat is the ratio of the least to the largest of the pivots of the scaled
// derivatives under which parameters cannot be told apart: some digits over the
// rounding of double precision.
const flat = 1e-10

// FitCurve returns the parameters that minimise a curve's sum of squares, by the same
// iteration that adjusts networks, each step by orthogonal factors. Where it comes
// to rest at a place that does not fix the parameters it begins again with shorter
// first steps, and the lowest sum of squares that does fix them is the answer. start
// is not changed. A curve without enough values gives Done = false.
func FitCurve(c Curve, start []float64) Fitted {
	n := len(start)
	if n == 0 || c.Values < n {
		return Fitted{B: append([]float64(nil), start...)}
	}
	var best Fitted
	for i, damping := range dampings {
		out, fixed := fitFrom(c, start, damping)
		if fixed && out.Done {
			return out
		}
		if i == 0 || out.RSS < best.RSS {
			best = out
		}
	}
	best.Done = false
	return best
}

// fitFrom fits with one damping of the first step; fixed tells whether the place it
// ends in fixes the parameters.
func fitFrom(c Curve, start []float64, damping float64) (out Fitted, fixed bool) {
	n := len(start)
	d := &dense{c: c, b: append([]float64(nil), start...), v: make([]float64, c.Values), j: mat.NewDense(c.Values, n, nil),
		tryV: make([]float64, c.Values), tryJ: mat.NewDense(c.Values, n, nil), scale: make([]float64, n)}
	out.B = d.b
	out.Steps, out.Done = minimise(d, limits{iterations: 1000, step: 1e-13, small: 1e-10, longest: math.Inf(1), damping: damping})
	d.linearise()
	for _, e := range d.v {
		out.RSS += e * e
	}
	if c.Values > n {
		out.S = math.Sqrt(out.RSS / float64(c.Values-n))
	}
	out.Sigma = make([]float64, n)
	var qr mat.QR
	qr.Factorize(d.j)
	var r mat.Dense
	qr.RTo(&r)
	least, most := math.Inf(1), 0.0
	for i := range n {
		// A pivot by its own column's length: parameters have units of their own.
		pivot := math.Abs(r.At(i, i)) / math.Max(mat.Norm(d.j.ColView(i), 2), math.SmallestNonzeroFloat64)
		if mat.Norm(d.j.ColView(i), 2) <= flat*math.Sqrt(out.RSS)/math.Max(math.Abs(d.b[i]), 1) {
			pivot = 0 // nothing changes with it
		}
		least, most = math.Min(least, pivot), math.Max(most, pivot)
	}
	if !(least > flat*most) {
		return out, false
	}
	var inv mat.Dense
	if err := inv.Inverse(r.Slice(0, n, 0, n)); err != nil {
		if _, weak := err.(mat.Condition); !weak {
			return out, false
		}
	}
	for i := range n {
		out.Sigma[i] = out.S * mat.Norm(inv.RowView(i), 2)
	}
	return out, true
}

// dense is a curve under way.
type dense struct {
	c Curve
	b []float64
	v []float64
	j *mat.Dense
	// Of a place that is only tried.
	tryV []float64
	tryJ *mat.Dense
	// scale is the greatest length each column of j has had: where the curve turns
	// flat, damping must not vanish with it.
	//
	// Source: J. Moré, The Levenberg-Marquardt algorithm: implementation and theory,
	// 1978 (from memory).
	scale []float64
}

// cost leaves v and j to the place where steps start from.
func (d *dense) cost() float64 {
	d.c.Residuals(d.b, d.tryV, d.tryJ)
	s := 0.0
	for _, e := range d.tryV {
		s += e * e
	}
	return s
}

func (d *dense) linearise() {
	d.c.Residuals(d.b, d.v, d.j)
	for k := range d.scale {
		d.scale[k] = math.Max(d.scale[k], mat.Norm(d.j.ColView(k), 2))
	}
}

// step solves [J; √λ·D] dx = [v; 0] by QR, D the scale of J's columns.
func (d *dense) step(lambda float64) ([]float64, bool) {
	m, n := d.j.Dims()
	rows := m
	if lambda > 0 {
		rows += n
	}
	a := mat.NewDense(rows, n, nil)
	a.Slice(0, m, 0, n).(*mat.Dense).Copy(d.j)
	rhs := mat.NewVecDense(rows, nil)
	for i, e := range d.v {
		rhs.SetVec(i, e)
	}
	if lambda > 0 {
		for k := range n {
			a.Set(m+k, k, math.Sqrt(lambda)*d.scale[k])
		}
	}
	var qr mat.QR
	qr.Factorize(a)
	x := mat.NewVecDense(n, nil)
	if err := qr.SolveVecTo(x, false, rhs); err != nil {
		return nil, false
	}
	out := x.RawVector().Data
	for _, e := range out {
		if math.IsNaN(e) || math.IsInf(e, 0) {
			return nil, false
		}
	}
	return out, true
}

func (d *dense) move(dx []float64, factor float64) {
	for i := range d.b {
		d.b[i] += factor * dx[i]
	}
}

// length is relative to the parameters, which have units of their own.
func (d *dense) length(dx []float64) float64 {
	l := 0.0
	for i, e := range dx {
		l = math.Max(l, math.Abs(e)/math.Max(math.Abs(d.b[i]), 1e-300))
	}
	return l
}
