package hanging

import (
	"math"
	"sort"
)

// Member is a straight member of one section over any number of supports, with
// point loads and even loads anywhere on it: single spans, continuous spans,
// overhangs and, with a clamped end, cantilevers. Lengths in m from its left
// end, forces in N, downward positive.
type Member struct {
	LengthM   float64
	SupportsM []float64
	// ClampLeft and ClampRight hold the first and the last support against
	// turning as well. Pipes in clamps and timber in pockets are never taken so.
	ClampLeft, ClampRight bool
	Points                []Force
	Spread                []Even
}

// Solved is a member with the bending moments at its supports found.
type Solved struct {
	// SupportsM are the places, ReactionsN what each bears, upward positive:
	// a negative one must be held down.
	SupportsM, ReactionsN []float64
	// MomentsNm are those at the supports, sagging positive.
	MomentsNm []float64

	length      float64
	spans       []Beam
	left, right Member // what lies beyond the end supports, measured from them
	clampLeft   bool
	clampRight  bool
}

// Solve returns the member's support moments and reactions, and false where it
// cannot stand: no support, or a single one that is not clamped. Loads beyond its
// ends and values that are not finite are left out.
//
// The support moments follow from the equation of three moments,
// M(i−1)·L(i−1) + 2·M(i)·(L(i−1)+L(i)) + M(i+1)·L(i) = −6·(θr(i−1) + θl(i)),
// θ the end slopes, times EI, of each span alone; a clamped end gives
// 2·M(0)·L(0) + M(1)·L(0) = −6·θl(0). Overhangs give the end moments by statics.
// Exact for a member of one section on supports that do not yield.
//
// Source: Clapeyron's equation of three moments, e.g. Timoshenko, Strength of
// Materials (from memory); checked against a finite-element model in the tests.
func (m Member) Solve() (Solved, bool) {
	s := Solved{length: m.LengthM, clampLeft: m.ClampLeft, clampRight: m.ClampRight}
	if !(m.LengthM > 0) || !finite(m.LengthM) {
		return s, false
	}
	s.SupportsM = distinct(m.SupportsM, m.LengthM)
	n := len(s.SupportsM)
	if n == 0 || (n == 1 && m.ClampLeft == m.ClampRight) {
		return s, false
	}
	whole := Beam{m.LengthM, m.Points, m.Spread}.sorted()
	first, last := s.SupportsM[0], s.SupportsM[n-1]
	s.left, s.right = Member{LengthM: first}, Member{LengthM: m.LengthM - last}
	for i := 0; i+1 < n; i++ {
		s.spans = append(s.spans, Beam{LengthM: s.SupportsM[i+1] - s.SupportsM[i]})
	}
	s.ReactionsN, s.MomentsNm = make([]float64, n), make([]float64, n)
	for _, p := range whole.Points {
		s.place(p)
	}
	for _, e := range whole.Spread {
		s.lay(e)
	}
	ml, mr := s.left.root(), s.right.root()
	if n == 1 {
		s.MomentsNm[0] = mr
		if m.ClampRight {
			s.MomentsNm[0] = ml
		}
	} else {
		s.threeMoments(ml, mr)
	}
	for i, b := range s.spans {
		l, r := b.Reactions()
		turn := (s.MomentsNm[i+1] - s.MomentsNm[i]) / b.LengthM
		s.ReactionsN[i] += l + turn
		s.ReactionsN[i+1] += r - turn
	}
	s.ReactionsN[0] += s.left.weight()
	s.ReactionsN[n-1] += s.right.weight()
	return s, true
}

// distinct sorts the supports that lie on the member and drops those nearer than
// a millimetre to the one before.
func distinct(at []float64, length float64) []float64 {
	var out []float64
	for _, v := range at {
		if finite(v) && v >= 0 && v <= length {
			out = append(out, v)
		}
	}
	sort.Float64s(out)
	n := 0
	for _, v := range out {
		if n == 0 || v-out[n-1] > 1e-3 {
			out[n] = v
			n++
		}
	}
	return out[:n]
}

// place puts a point load on its span, its overhang, or straight on a support.
func (s *Solved) place(p Force) {
	n := len(s.SupportsM)
	switch {
	case p.AtM < s.SupportsM[0]:
		s.left.Points = append(s.left.Points, Force{s.SupportsM[0] - p.AtM, p.N})
		return
	case p.AtM > s.SupportsM[n-1]:
		s.right.Points = append(s.right.Points, Force{p.AtM - s.SupportsM[n-1], p.N})
		return
	}
	i := sort.SearchFloat64s(s.SupportsM, p.AtM)
	if s.SupportsM[i] == p.AtM {
		s.ReactionsN[i] += p.N
		return
	}
	s.spans[i-1].Points = append(s.spans[i-1].Points, Force{p.AtM - s.SupportsM[i-1], p.N})
}

// lay cuts an even load at the supports.
func (s *Solved) lay(e Even) {
	n := len(s.SupportsM)
	first, last := s.SupportsM[0], s.SupportsM[n-1]
	if from, to := e.FromM, math.Min(e.ToM, first); to > from {
		s.left.Spread = append(s.left.Spread, Even{first - to, first - from, e.NPerM})
	}
	if from, to := math.Max(e.FromM, last), e.ToM; to > from {
		s.right.Spread = append(s.right.Spread, Even{from - last, to - last, e.NPerM})
	}
	for i := range s.spans {
		from, to := math.Max(e.FromM, s.SupportsM[i]), math.Min(e.ToM, s.SupportsM[i+1])
		if to > from {
			s.spans[i].Spread = append(s.spans[i].Spread, Even{from - s.SupportsM[i], to - s.SupportsM[i], e.NPerM})
		}
	}
}

// threeMoments fills the support moments by elimination of the tridiagonal
// equations; ml and mr are the moments the overhangs bring.
func (s *Solved) threeMoments(ml, mr float64) {
	n := len(s.SupportsM)
	below, diag, above, rhs := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		if i > 0 {
			l := s.spans[i-1].LengthM
			below[i], diag[i] = l, 2*l
			_, r := s.spans[i-1].endSlopes()
			rhs[i] -= 6 * r
		}
		if i < n-1 {
			l := s.spans[i].LengthM
			above[i] = l
			diag[i] += 2 * l
			t, _ := s.spans[i].endSlopes()
			rhs[i] -= 6 * t
		}
	}
	if !s.clampLeft {
		diag[0], above[0], rhs[0] = 1, 0, ml
	}
	if !s.clampRight {
		diag[n-1], below[n-1], rhs[n-1] = 1, 0, mr
	}
	for i := 1; i < n; i++ {
		f := below[i] / diag[i-1]
		diag[i] -= f * above[i-1]
		rhs[i] -= f * rhs[i-1]
	}
	for i := n - 1; i >= 0; i-- {
		v := rhs[i]
		if i < n-1 {
			v -= above[i] * s.MomentsNm[i+1]
		}
		s.MomentsNm[i] = v / diag[i]
	}
}

// endSlopes returns EI times the slopes at the ends of a simple span, N·m², both
// positive for loads downward: P·a·b·(L+b)/6L on the left, P·a·b·(L+a)/6L on the
// right; even loads by Gauss, exact for these cubics.
func (b Beam) endSlopes() (left, right float64) {
	l := b.LengthM
	put := func(n, a float64) {
		c := l - a
		left += n * a * c * (l + c) / (6 * l)
		right += n * a * c * (l + a) / (6 * l)
	}
	for _, p := range b.Points {
		put(p.N, p.AtM)
	}
	for _, e := range b.Spread {
		half, mid := (e.ToM-e.FromM)/2, (e.ToM+e.FromM)/2
		put(e.NPerM*half, mid-half/math.Sqrt(3))
		put(e.NPerM*half, mid+half/math.Sqrt(3))
	}
	return left, right
}

// weight is everything on an overhang, N.
func (m Member) weight() float64 {
	w := 0.0
	for _, p := range m.Points {
		w += p.N
	}
	for _, e := range m.Spread {
		w += e.NPerM * (e.ToM - e.FromM)
	}
	return w
}

// root is the bending moment of an overhang at its support, N·m, hogging
// negative.
func (m Member) root() float64 { return m.beyond(0) }

// beyond is the bending moment of an overhang at t from its support.
func (m Member) beyond(t float64) float64 {
	v := 0.0
	for _, p := range m.Points {
		v -= p.N * math.Max(0, p.AtM-t)
	}
	for _, e := range m.Spread {
		if from := math.Max(e.FromM, t); e.ToM > from {
			v -= e.NPerM * (e.ToM - from) * ((e.ToM+from)/2 - t)
		}
	}
	return v
}

// droop is EI times the deflection of an overhang at t from its support where
// the support does not turn: P·t²·(3c−t)/6 this side of a load at c, P·c²·(3t−c)/6
// beyond it.
//
// Source: AWC Design Aid No. 6, 2007, cantilever cases.
func (m Member) droop(t float64) float64 {
	f := func(c float64) float64 {
		if t <= c {
			return t * t * (3*c - t) / 6
		}
		return c * c * (3*t - c) / 6
	}
	gauss := func(from, to float64) float64 {
		half, mid := (to-from)/2, (to+from)/2
		return half * (f(mid-half/math.Sqrt(3)) + f(mid+half/math.Sqrt(3)))
	}
	y := 0.0
	for _, p := range m.Points {
		y += p.N * f(p.AtM)
	}
	for _, e := range m.Spread {
		cut := math.Min(math.Max(t, e.FromM), e.ToM)
		y += e.NPerM * (gauss(e.FromM, cut) + gauss(cut, e.ToM))
	}
	return y
}

// Moment returns the bending moment at x from the left end, N·m, sagging
// positive; 0 off the member.
//
// Source: equilibrium of the part left of x, with the support moments of Solve.
func (s Solved) Moment(x float64) float64 {
	n := len(s.SupportsM)
	switch {
	case n == 0 || !(x >= 0) || x > s.length:
		return 0
	case x < s.SupportsM[0]:
		return s.left.beyond(s.SupportsM[0] - x)
	case x >= s.SupportsM[n-1]:
		if x == s.SupportsM[n-1] {
			return s.MomentsNm[n-1]
		}
		return s.right.beyond(x - s.SupportsM[n-1])
	}
	i := s.span(x)
	return s.in(i, x-s.SupportsM[i])
}

func (s Solved) in(i int, t float64) float64 {
	b := s.spans[i]
	left, _ := b.Reactions()
	return b.moment(left, t) + s.MomentsNm[i]*(1-t/b.LengthM) + s.MomentsNm[i+1]*t/b.LengthM
}

// span is the number of the span that holds x, which lies on one.
func (s Solved) span(x float64) int {
	i := sort.Search(len(s.SupportsM), func(i int) bool { return s.SupportsM[i] > x }) - 1
	return min(max(i, 0), len(s.spans)-1)
}

// Shear returns the shear force just right of x, N.
//
// Source: equilibrium of the part left of x, with the support moments of Solve.
func (s Solved) Shear(x float64) float64 {
	n := len(s.SupportsM)
	switch {
	case n == 0 || !(x >= 0) || x > s.length:
		return 0
	case x < s.SupportsM[0]:
		return -s.left.outside(s.SupportsM[0] - x)
	case x >= s.SupportsM[n-1]:
		return s.right.weight() - s.right.inside(x-s.SupportsM[n-1])
	}
	i := s.span(x)
	b := s.spans[i]
	return b.Shear(x-s.SupportsM[i]) + (s.MomentsNm[i+1]-s.MomentsNm[i])/b.LengthM
}

// outside is the weight on an overhang at t from its support and farther out.
func (m Member) outside(t float64) float64 {
	v := 0.0
	for _, p := range m.Points {
		if p.AtM >= t {
			v += p.N
		}
	}
	for _, e := range m.Spread {
		v += e.NPerM * math.Max(0, e.ToM-math.Max(e.FromM, t))
	}
	return v
}

// inside is the weight on an overhang no farther than t from its support.
func (m Member) inside(t float64) float64 {
	v := 0.0
	for _, p := range m.Points {
		if p.AtM <= t {
			v += p.N
		}
	}
	for _, e := range m.Spread {
		v += e.NPerM * math.Max(0, math.Min(e.ToM, t)-e.FromM)
	}
	return v
}

// MaxShear returns the largest shear force either way, N: beside a support.
//
// Source: equilibrium; the shear of a member is largest beside a support or a load.
func (s Solved) MaxShear() float64 {
	v := math.Max(s.left.weight(), s.right.weight())
	for i, b := range s.spans {
		l, r := b.Reactions()
		turn := (s.MomentsNm[i+1] - s.MomentsNm[i]) / b.LengthM
		v = math.Max(v, math.Max(math.Abs(l+turn), math.Abs(r-turn)))
	}
	return v
}

// Extremes returns the largest sagging and the largest hogging moment, N·m, the
// hogging one negative or 0, with their places, m: at a load or support, or where
// the shear passes zero inside an even load.
//
// Source: the moment is largest where the shear passes zero (statics, from memory).
func (s Solved) Extremes() (sag, sagAt, hog, hogAt float64) {
	take := func(v, x float64) {
		if v > sag {
			sag, sagAt = v, x
		}
		if v < hog {
			hog, hogAt = v, x
		}
	}
	for i, v := range s.MomentsNm {
		take(v, s.SupportsM[i])
	}
	// A clamp takes the difference, so an overhang beyond it has its own.
	if n := len(s.SupportsM); n > 0 {
		take(s.left.root(), s.SupportsM[0])
		take(s.right.root(), s.SupportsM[n-1])
	}
	for i, b := range s.spans {
		turn := (s.MomentsNm[i+1] - s.MomentsNm[i]) / b.LengthM
		for _, t := range b.flat(turn) {
			take(s.in(i, t), s.SupportsM[i]+t)
		}
	}
	return sag, sagAt, hog, hogAt
}

// flat lists the places of a span where its moment may be greatest, with a shear
// of turn added by the end moments.
func (b Beam) flat(turn float64) []float64 {
	b = b.sorted()
	cuts := []float64{0, b.LengthM}
	for _, p := range b.Points {
		cuts = append(cuts, p.AtM)
	}
	for _, e := range b.Spread {
		cuts = append(cuts, e.FromM, e.ToM)
	}
	sort.Float64s(cuts)
	for i, n := 0, len(cuts); i+1 < n; i++ {
		x0, x1 := cuts[i], cuts[i+1]
		w := 0.0
		for _, e := range b.Spread {
			if e.FromM <= x0 && e.ToM >= x1 {
				w += e.NPerM
			}
		}
		if w == 0 || x1 <= x0 {
			continue
		}
		if t := (b.Shear(x0) + turn) / w; t > 0 && t < x1-x0 {
			cuts = append(cuts, x0+t)
		}
	}
	return cuts
}

// Deflection returns the downward deflection at x, m, for a bending stiffness EI
// in N·m²: of each span alone, with its end moments,
// x·(L−x)·(M(l)·(2L−x) + M(r)·(L+x))/(6·EI·L), and of an overhang with the slope of
// its support. NaN without stiffness or off the member.
//
// Source: AWC Design Aid No. 6, 2007; superposition.
func (s Solved) Deflection(x, ei float64) float64 {
	n := len(s.SupportsM)
	if !(ei > 0) || n == 0 || !(x >= 0) || x > s.length {
		return math.NaN()
	}
	switch {
	case x < s.SupportsM[0]:
		t := s.SupportsM[0] - x
		return (s.left.droop(t) - s.slope(0)*t) / ei
	case x > s.SupportsM[n-1]:
		t := x - s.SupportsM[n-1]
		return (s.right.droop(t) + s.slope(n-1)*t) / ei
	case len(s.spans) == 0:
		return 0
	}
	i := s.span(x)
	b, t := s.spans[i], x-s.SupportsM[i]
	l := b.LengthM
	return b.Deflection(t, ei) + t*(l-t)*(s.MomentsNm[i]*(2*l-t)+s.MomentsNm[i+1]*(l+t))/(6*ei*l)
}

// slope is EI times the slope at the first or the last support, downward to the
// right positive.
func (s Solved) slope(i int) float64 {
	n := len(s.SupportsM)
	if len(s.spans) == 0 || (i == 0 && s.clampLeft) || (i == n-1 && s.clampRight) {
		return 0
	}
	if i == 0 {
		b := s.spans[0]
		l, _ := b.endSlopes()
		return l + b.LengthM/6*(2*s.MomentsNm[0]+s.MomentsNm[1])
	}
	b := s.spans[n-2]
	_, r := b.endSlopes()
	return -r - b.LengthM/6*(s.MomentsNm[n-2]+2*s.MomentsNm[n-1])
}

// deflectionSteps is how finely a span or overhang is looked over for its
// greatest deflection before the search closes in; the curve bends once or twice
// between supports.
const deflectionSteps = 64

// MaxDeflection returns the deflection of the greatest size, m, upward negative,
// and where it is, m. NaN without stiffness.
//
// Source: the deflections of the spans, superposed; a search for the largest.
func (s Solved) MaxDeflection(ei float64) (y, at float64) {
	if !(ei > 0) || len(s.SupportsM) == 0 {
		return math.NaN(), math.NaN()
	}
	cuts := append([]float64{0}, s.SupportsM...)
	cuts = append(cuts, s.length)
	for i := 0; i+1 < len(cuts); i++ {
		if v, x := s.deepest(cuts[i], cuts[i+1], ei); math.Abs(v) > math.Abs(y) {
			y, at = v, x
		}
	}
	return y, at
}

// deepest returns the greatest deflection between two places.
func (s Solved) deepest(from, to, ei float64) (y, at float64) {
	if !(to > from) {
		return 0, from
	}
	size := func(x float64) float64 { return math.Abs(s.Deflection(math.Min(math.Max(x, from), to), ei)) }
	step := (to - from) / deflectionSteps
	best := 0
	for i := range deflectionSteps + 1 {
		if size(from+float64(i)*step) > size(from+float64(best)*step) {
			best = i
		}
	}
	lo, hi := math.Max(from, from+float64(best-1)*step), math.Min(to, from+float64(best+1)*step)
	for range 60 {
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if size(m1) < size(m2) {
			lo = m1
		} else {
			hi = m2
		}
	}
	at = (lo + hi) / 2
	// A tip is the end of its overhang, not a top of the curve.
	for _, x := range []float64{from, to} {
		if size(x) >= size(at) {
			at = x
		}
	}
	return s.Deflection(at, ei), at
}
