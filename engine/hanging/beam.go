package hanging

import (
	"math"
	"sort"
)

// Beam is a simply supported span with point loads and even loads on parts of
// it; supports are pinned, which is conservative for midspan moment and for
// deflection. Lengths in m from the left support, forces in N, downward
// positive.
type Beam struct {
	LengthM float64
	Points  []Force
	Spread  []Even
}

// Force is a point load of N newtons.
type Force struct{ AtM, N float64 }

// Even is a load of N per metre from From to To.
type Even struct{ FromM, ToM, NPerM float64 }

// sorted drops what is not finite or lies outside the span, and clips even loads.
func (b Beam) sorted() Beam {
	out := Beam{LengthM: b.LengthM}
	for _, p := range b.Points {
		if finite(p.AtM+p.N) && p.AtM >= 0 && p.AtM <= b.LengthM {
			out.Points = append(out.Points, p)
		}
	}
	for _, e := range b.Spread {
		from, to := math.Max(0, e.FromM), math.Min(b.LengthM, e.ToM)
		if finite(e.NPerM) && to > from {
			out.Spread = append(out.Spread, Even{from, to, e.NPerM})
		}
	}
	sort.Slice(out.Points, func(i, j int) bool { return out.Points[i].AtM < out.Points[j].AtM })
	return out
}

// Reactions returns the left and right support's force, N: ΣP·(L−a)/L and
// ΣP·a/L, even loads at their middle. A span of no length gives half each.
//
// Source: AWC Design Aid No. 6, 2007, simple beam cases.
func (b Beam) Reactions() (left, right float64) {
	b = b.sorted()
	put := func(n, at float64) {
		if b.LengthM <= 0 {
			left, right = left+n/2, right+n/2
			return
		}
		left += n * (b.LengthM - at) / b.LengthM
		right += n * at / b.LengthM
	}
	for _, p := range b.Points {
		put(p.N, p.AtM)
	}
	for _, e := range b.Spread {
		put(e.NPerM*(e.ToM-e.FromM), (e.FromM+e.ToM)/2)
	}
	return left, right
}

// Shear returns the shear force just right of x, N.
//
// Source: AWC Design Aid No. 6, 2007, simple beam cases; superposition.
func (b Beam) Shear(x float64) float64 {
	left, _ := b.Reactions()
	v := left
	for _, p := range b.sorted().Points {
		if p.AtM <= x {
			v -= p.N
		}
	}
	for _, e := range b.sorted().Spread {
		v -= e.NPerM * math.Max(0, math.Min(x, e.ToM)-e.FromM)
	}
	return v
}

// Moment returns the bending moment at x, N·m.
//
// Source: AWC Design Aid No. 6, 2007, simple beam cases; superposition.
func (b Beam) Moment(x float64) float64 {
	left, _ := b.Reactions()
	return b.sorted().moment(left, x)
}

func (b Beam) moment(left, x float64) float64 {
	m := left * x
	for _, p := range b.Points {
		if p.AtM < x {
			m -= p.N * (x - p.AtM)
		}
	}
	for _, e := range b.Spread {
		if x > e.FromM {
			to := math.Min(x, e.ToM)
			m -= e.NPerM * (to - e.FromM) * (x - (e.FromM+to)/2)
		}
	}
	return m
}

// MaxMoment returns the largest bending moment, N·m, and where it is, m: at a
// load, or where the shear passes zero inside an even load.
//
// Source: the moment is largest where the shear passes zero (statics, from memory).
func (b Beam) MaxMoment() (m, at float64) {
	left, _ := b.Reactions()
	b = b.sorted()
	for _, x := range b.flat(0) {
		if v := b.moment(left, x); v > m {
			m, at = v, x
		}
	}
	return m, at
}

// MaxShear returns the larger of the support shears, N.
//
// Source: AWC Design Aid No. 6, 2007: the shear of a simple beam is largest at a
// support.
func (b Beam) MaxShear() float64 {
	l, r := b.Reactions()
	return math.Max(math.Abs(l), math.Abs(r))
}

// Deflection returns the downward deflection at x, m, for a bending stiffness
// EI in N·m²: the sum over the loads of P·b·x·(L²−b²−x²)/(6·EI·L) left of a load
// and P·a·(L−x)·(2Lx−x²−a²)/(6·EI·L) right of it; even loads by two-point Gauss
// integration on each side of x, which is exact for these cubics. NaN without
// stiffness or length.
//
// Source: AWC Design Aid No. 6, 2007; superposition.
func (b Beam) Deflection(x, ei float64) float64 {
	if !(ei > 0) || !(b.LengthM > 0) {
		return math.NaN()
	}
	b = b.sorted()
	y := 0.0
	for _, p := range b.Points {
		y += p.N * b.influence(x, p.AtM, ei)
	}
	for _, e := range b.Spread {
		cut := math.Min(math.Max(x, e.FromM), e.ToM)
		y += e.NPerM * (b.integral(x, e.FromM, cut, ei) + b.integral(x, cut, e.ToM, ei))
	}
	return y
}

func (b Beam) influence(x, a, ei float64) float64 {
	l := b.LengthM
	if x <= a {
		c := l - a
		return c * x * (l*l - c*c - x*x) / (6 * ei * l)
	}
	return a * (l - x) * (2*l*x - x*x - a*a) / (6 * ei * l)
}

func (b Beam) integral(x, from, to, ei float64) float64 {
	half, mid := (to-from)/2, (to+from)/2
	d := half / math.Sqrt(3)
	return half * (b.influence(x, mid-d, ei) + b.influence(x, mid+d, ei))
}

// MaxDeflection returns the largest deflection, m, and where it is, m.
//
// Source: the formula of Deflection; a search for its top.
func (b Beam) MaxDeflection(ei float64) (y, at float64) {
	if !(ei > 0) || !(b.LengthM > 0) {
		return math.NaN(), math.NaN()
	}
	b = b.sorted()
	// The deflection of downward loads has one top; a ternary search closes in
	// on it to far below a micrometre.
	lo, hi := 0.0, b.LengthM
	for range 80 {
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if b.Deflection(m1, ei) < b.Deflection(m2, ei) {
			lo = m1
		} else {
			hi = m2
		}
	}
	at = (lo + hi) / 2
	return b.Deflection(at, ei), at
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func positive(v float64) float64 {
	if v > 0 && finite(v) {
		return v
	}
	return 0
}
