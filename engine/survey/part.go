package survey

import (
	"math"
	"sort"
)

type coordinate struct{ point, axis int }

// part is a group of unknowns joined by observations, solved by itself.
type part struct {
	coords []coordinate // in the order of elimination
	obs    []int        // observations of the part
	closed bool         // suspects that cannot be told apart: search ended

	// Of the present place:
	a         *adjuster
	active    []int // observations used
	rowStart  []int // of each active observation in cols and coefs
	cols      []int32
	coefs     []float64 // whitened derivatives
	v         []float64 // whitened residuals, computed − observed
	gradient  []float64 // scaled
	scale     []float64 // square roots of the normal matrix' diagonal, 1 where it is 0
	chord     bool      // the last step was so short that its factor serves the next
	untouched []bool
	normal    *sparse // scaled to a unit diagonal

	// Of the last solution:
	r, w  []float64
	vpv   float64
	rank  int
	null  [][]float64 // orthonormal open directions
	qnull [][]float64 // Q times each of them
	gnull [][]float64 // their products
	loose []bool      // coordinates that can move
}

// Limits of the iteration of a network: lengths in metres. Steps under 1e-11 m are
// far below what anybody measures and above the rounding of coordinates of a
// room; published networks need under ten steps.
var networkLimits = limits{iterations: 200, step: 1e-11, small: 1e-9, longest: 1e4}

const (
	// pivotLimit is the smallest pivot of the normal matrix scaled to a unit
	// diagonal that counts as determined. The weakest real direction of a room
	// (metres of assumption beside millimetres of laser) leaves about 1e-9,
	// rounding of a few thousand double-precision terms under 1e-12.
	pivotLimit = 1e-11
	// maxOpen is up to how many open directions of one part are made orthogonal;
	// beyond, their coordinates are only marked.
	maxOpen = 64
	// looseShare of an open direction moves a coordinate so that it counts as
	// loose: rounding leaves far less.
	looseShare = 1e-3
)

// lay orders the part's coordinates for elimination and lays out its matrix.
func (p *part) lay(a *adjuster) {
	p.a = a
	if len(p.coords) == 0 {
		return
	}
	node := map[int]int{} // point → node
	var points []int
	axes := map[int][]int{}
	for _, c := range p.coords {
		if _, ok := node[c.point]; !ok {
			node[c.point] = len(points)
			points = append(points, c.point)
		}
		axes[c.point] = append(axes[c.point], c.axis)
	}
	var adjacent [][2]int
	var ends []int
	for _, i := range p.obs {
		ends = ends[:0]
		for _, c := range a.n.Observations[i].coordinates() {
			u := a.unknown[c.point][c.axis]
			if u < 0 {
				continue
			}
			k := node[c.point]
			fresh := true
			for _, e := range ends {
				if e == k {
					fresh = false
					break
				}
				adjacent = append(adjacent, [2]int{e, k})
			}
			if fresh {
				ends = append(ends, k)
			}
		}
	}
	order, reach := eliminationOrder(len(points), adjacent)
	first, size := make([]int, len(points)), make([]int, len(points))
	p.coords = p.coords[:0]
	for _, v := range order {
		first[v], size[v] = len(p.coords), len(axes[points[v]])
		for _, axis := range axes[points[v]] {
			a.column[a.unknown[points[v]][axis]] = len(p.coords)
			p.coords = append(p.coords, coordinate{points[v], axis})
		}
	}
	n := len(p.coords)
	p.normal = newSparse(n, order, first, size, reach)
	p.gradient, p.scale, p.untouched = make([]float64, n), make([]float64, n), make([]bool, n)
}

// suspicionLimits are enough to say in words what a reading should have been.
var suspicionLimits = limits{iterations: 60, step: 1e-6, small: 1e-6, longest: 1e4}

// solve finds the coordinates of the part and its statistics.
func (p *part) solve() {
	p.settle(networkLimits)
	if p.normal != nil {
		p.normal.invert()
	}
	p.reliability()
}

// settle finds the coordinates and what predictions need, without the statistics.
func (p *part) settle(lim limits) {
	p.active = p.active[:0]
	for _, i := range p.obs {
		if p.a.used[i] {
			p.active = append(p.active, i)
		}
	}
	p.chord = false
	if len(p.coords) > 0 && len(p.active) > 0 {
		minimise(p, lim)
	}
	p.chord = false
	p.linearise()
	p.vpv = 0
	for _, e := range p.v {
		p.vpv += e * e
	}
	p.invert()
}

// row returns the whitened derivatives of an observation by the part's columns,
// appended to cols and coefs, and its computed value.
func (p *part) row(o Observation, cols []int32, coefs []float64) (float64, []int32, []float64) {
	from := len(cols)
	var f float64
	f, p.a.buf = o.predict(p.a.at, p.a.shift, p.a.buf[:0])
	for _, d := range p.a.buf {
		u := p.a.unknown[d.point][d.axis]
		if u < 0 || d.d == 0 {
			continue
		}
		c, twice := int32(p.a.column[u]), false
		for k := from; k < len(cols); k++ {
			if cols[k] == c {
				coefs[k] += d.d / o.Sigma
				twice = true
			}
		}
		if !twice {
			cols, coefs = append(cols, c), append(coefs, d.d/o.Sigma)
		}
	}
	return f, cols, coefs
}

// linearise forms rows, residuals and the scaled normal equations; while the last
// factor serves, the gradient only.
func (p *part) linearise() {
	p.cols, p.coefs, p.v, p.rowStart = p.cols[:0], p.coefs[:0], p.v[:0], append(p.rowStart[:0], 0)
	for _, i := range p.active {
		o := p.a.n.Observations[i]
		var f float64
		f, p.cols, p.coefs = p.row(o, p.cols, p.coefs)
		p.v = append(p.v, o.miss(f)/o.Sigma)
		p.rowStart = append(p.rowStart, len(p.cols))
	}
	if p.normal == nil {
		return
	}
	s := p.normal
	clear(p.gradient)
	if p.chord {
		for row, v := range p.v {
			for k := p.rowStart[row]; k < p.rowStart[row+1]; k++ {
				p.gradient[p.cols[k]] += p.coefs[k] * v
			}
		}
		for c := range p.gradient {
			p.gradient[c] /= p.scale[c]
		}
		return
	}
	clear(s.value)
	for row, v := range p.v {
		cols, coefs := p.cols[p.rowStart[row]:p.rowStart[row+1]], p.coefs[p.rowStart[row]:p.rowStart[row+1]]
		for i, c := range cols {
			p.gradient[c] += coefs[i] * v
			for k := 0; k <= i; k++ {
				s.value[s.at(int(c), int(cols[k]))] += coefs[i] * coefs[k]
			}
		}
	}
	for c := range s.n {
		d := math.Sqrt(s.value[s.start[c]])
		if p.untouched[c] = d == 0; p.untouched[c] {
			d = 1
		}
		p.scale[c] = d
	}
	for c := range s.n {
		p.gradient[c] /= p.scale[c]
		for q := s.start[c]; q < s.start[c+1]; q++ {
			s.value[q] /= p.scale[c] * p.scale[s.rows[q]]
		}
		if p.untouched[c] {
			s.value[s.start[c]] = 1
		}
	}
}

func (p *part) cost() float64 {
	var sum float64
	for _, i := range p.active {
		o := p.a.n.Observations[i]
		var f float64
		f, p.a.buf = o.predict(p.a.at, p.a.shift, p.a.buf[:0])
		sum += sq(o.miss(f) / o.Sigma)
	}
	return sum
}

func (p *part) move(dx []float64, factor float64) {
	for c, at := range p.coords {
		v := &p.a.at[at.point]
		setCoord(v, at.axis, coord(*v, at.axis)+factor*dx[c])
	}
}

func (p *part) length(dx []float64) float64 {
	largest := 0.0
	for _, d := range dx {
		largest = math.Max(largest, math.Abs(d))
	}
	return largest
}

// step solves (N + λ·diag N) dx = g; unknowns that no observation moves get no step.
func (p *part) step(lambda float64) ([]float64, bool) {
	limit := 0.0
	if lambda == 0 {
		limit = pivotLimit
	}
	if p.chord && lambda > 0 {
		p.chord = false
		p.linearise()
	}
	if !p.chord {
		if p.a.work += p.normal.cost; p.a.work > workLimit {
			return nil, false
		}
		if p.normal.factor(lambda, limit) > 0 {
			return nil, false
		}
	}
	dx := append([]float64(nil), p.gradient...)
	p.normal.solve(dx)
	for c := range dx {
		dx[c] /= p.scale[c]
		if math.IsNaN(dx[c]) || math.IsInf(dx[c], 0) {
			return nil, false
		}
	}
	p.chord = lambda == 0 && p.length(dx) < chordStep
	return dx, true
}

// chordStep is a step, in metres, after which the derivatives of a network of
// metres change by so little that the next steps may use the same factor: they
// then shorten a hundredfold each instead of quadratically, at a tenth of the work.
const chordStep = 0.02

// Limits of work, in multiplications: one factorization may take about a second,
// the whole adjustment three. A thousand stations of a building take a
// thirtieth of the first.
const (
	factorLimit = 1e9
	workLimit   = 3e9
)

// apply returns Q·b for b by the part's columns, Q holding what the pivots left
// out.
func (p *part) apply(b []float64) []float64 {
	x := make([]float64, len(b))
	for c := range b {
		x[c] = b[c] / p.scale[c]
	}
	p.normal.solve(x)
	for c := range x {
		x[c] /= p.scale[c]
	}
	return x
}

// invert factors the normal matrix at the solution and, where the observations leave
// directions open, finds their orthonormal base.
func (p *part) invert() {
	p.null, p.qnull, p.gnull, p.rank = nil, nil, nil, 0
	m := len(p.coords)
	p.loose = make([]bool, m)
	if m == 0 {
		return
	}
	s := p.normal
	for c, u := range p.untouched {
		if u {
			s.value[s.start[c]] = 0
		}
	}
	left := s.factor(0, pivotLimit)
	p.rank = m - left
	if left == 0 {
		return
	}
	var open [][]float64
	for j := range m {
		if !s.open[j] {
			continue
		}
		u := make([]float64, m)
		for q := s.start[j] + 1; q < s.start[j+1]; q++ {
			u[s.rows[q]] = -s.value[q]
		}
		for q := s.leftStart[j]; q < s.leftStart[j+1]; q++ {
			u[s.leftCol[q]] = -s.value[s.leftAt[q]]
		}
		s.solve(u)
		u[j] = 1
		norm := 0.0
		for c := range u {
			u[c] /= p.scale[c]
			norm = math.Max(norm, math.Abs(u[c]))
		}
		for c := range u {
			u[c] /= norm
			p.loose[c] = p.loose[c] || math.Abs(u[c]) > looseShare
		}
		open = append(open, u)
	}
	if left > maxOpen {
		return
	}
	p.null = orthonormal(open)
	for c := range m {
		motion := 0.0
		for _, u := range p.null {
			motion += u[c] * u[c]
		}
		p.loose[c] = motion > looseShare*looseShare
	}
	p.qnull, p.gnull = make([][]float64, len(p.null)), make([][]float64, len(p.null))
	for i, u := range p.null {
		p.qnull[i] = p.apply(u)
		p.gnull[i] = make([]float64, len(p.null))
		for k, w := range p.null {
			p.gnull[i][k] = dot(p.qnull[i], w)
		}
	}
}

// q returns an element of the covariance with the open directions taken out,
// S·Q·S with S = I − U·Uᵀ, the free-datum covariance of inner constraints. Both
// coordinates must lie in the matrix' pattern, as those of one point do.
//
// Source: Caspary, Concepts of Network and Deformation Analysis, 1987, S-transformation
// (from memory).
func (p *part) q(i, k int) float64 {
	at := p.normal.at(i, k)
	v := p.normal.z[at] / (p.scale[i] * p.scale[k])
	for a, u := range p.null {
		v -= u[i]*p.qnull[a][k] + p.qnull[a][i]*u[k]
		for b, w := range p.null {
			v += u[i] * p.gnull[a][b] * w[k]
		}
	}
	return v
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

// orthonormal returns an orthonormal base of the vectors' span (Gram-Schmidt).
func orthonormal(vs [][]float64) [][]float64 {
	var out [][]float64
	for _, v := range vs {
		u := append([]float64(nil), v...)
		for range 2 {
			for _, w := range out {
				d := dot(u, w)
				for i := range u {
					u[i] -= d * w[i]
				}
			}
		}
		norm := math.Sqrt(dot(u, u))
		if norm < 1e-12 {
			continue
		}
		for i := range u {
			u[i] /= norm
		}
		out = append(out, u)
	}
	return out
}

// reliability computes redundancy numbers and standardized residuals:
// r_i = 1 − a_i Q a_iᵀ in whitened units, w_i = v_i/√r_i. An observation's own
// coordinates lie in the pattern, so no system is solved for it.
func (p *part) reliability() {
	n := len(p.active)
	p.r, p.w = make([]float64, n), make([]float64, n)
	for i := range n {
		used := 0.0
		cols, coefs := p.cols[p.rowStart[i]:p.rowStart[i+1]], p.coefs[p.rowStart[i]:p.rowStart[i+1]]
		for a, c := range cols {
			fa := coefs[a] / p.scale[c]
			used += fa * fa * p.normal.z[p.normal.start[c]]
			for b := range a {
				used += 2 * fa * coefs[b] / p.scale[cols[b]] * p.normal.z[p.normal.at(int(c), int(cols[b]))]
			}
		}
		p.r[i] = math.Min(1, math.Max(0, 1-used))
		if p.r[i] > minRedundancy {
			p.w[i] = p.v[i] / math.Sqrt(p.r[i])
		}
	}
}

// largest returns the row with the largest |w|; −1 when none can be checked.
func (p *part) largest() int {
	best := -1
	for i, w := range p.w {
		if p.r[i] > minRedundancy && (best < 0 || math.Abs(w) > math.Abs(p.w[best])) {
			best = i
		}
	}
	return best
}

// sumRow writes a row's coefficients by column.
func (p *part) sumRow(row int) []float64 {
	b := make([]float64, len(p.coords))
	for k := p.rowStart[row]; k < p.rowStart[row+1]; k++ {
		b[p.cols[k]] += p.coefs[k]
	}
	return b
}

// correlation returns |ρ| of a row's standardized residual with every other's.
func (p *part) correlation(row int) []float64 {
	out := make([]float64, len(p.active))
	var q []float64
	if len(p.coords) > 0 {
		q = p.apply(p.sumRow(row))
	}
	for i := range out {
		if i == row {
			out[i] = 1
			continue
		}
		if p.r[i] <= minRedundancy || p.r[row] <= minRedundancy {
			continue
		}
		c := 0.0
		for k := p.rowStart[i]; k < p.rowStart[i+1]; k++ {
			c += p.coefs[k] * q[p.cols[k]]
		}
		out[i] = math.Abs(c) / math.Sqrt(p.r[i]*p.r[row])
	}
	return out
}

// tied returns the rows that may be the cause of what row shows, row first: their
// residuals react alike and theirs is not significantly the smaller, the
// difference of two standardized residuals of correlation ρ having the standard
// deviation √(2(1−ρ)) times unit, what one standard deviation of w is.
func (p *part) tied(row int, unit float64) []int {
	out := []int{row}
	for i, rho := range p.correlation(row) {
		if i == row || p.r[i] <= minRedundancy {
			continue
		}
		gap := math.Abs(p.w[row]) - math.Abs(p.w[i])
		if rho > tieCorrelation && gap <= 1.96*unit*math.Sqrt(2*math.Max(0, 1-rho))+1e-6*math.Abs(p.w[row]) {
			out = append(out, i)
		}
	}
	return out
}

// bends is the error, in metres or radians, from which a network of metres is bent
// by more than a tenth of a millimetre (its square by twice a length).
const bends = 0.015

// suspicion describes a row by solving the part without it: a gross error bends
// the network, so the first-order value, reading + v/r, is taken for small ones only.
func (p *part) suspicion(row int) Suspicion {
	a := p.a
	i, w := p.active[row], math.Abs(p.w[row])
	o := a.n.Observations[i]
	if shift, r := p.v[row]*o.Sigma/p.r[row], p.r[row]; math.Abs(shift) < bends {
		return Suspicion{Observation: i, W: w, Expected: o.Value + shift, ExpectedSigma: o.Sigma * math.Sqrt((1-r)/r)}
	}
	back := p.keep()
	a.used[i] = false
	p.settle(suspicionLimits)
	expected, sigma := p.predicted(i)
	a.used[i] = true
	back()
	return Suspicion{Observation: i, W: w, Expected: expected, ExpectedSigma: sigma}
}

// Rivals of a gross error that bends the network: from which |w| it is one, how many
// rivals are tried, from which share of the largest |w|, and by what factor one must leave less than the
// leader to be taken instead.
const (
	bentFrom  = 30
	bentTried = 6
	bentShare = 0.25
	bentGain  = 0.5
)

// unbent returns the row to blame instead of the one with the largest |w|. Errors
// of many hundred standard deviations bend the network so far that the linear test
// points beside them; then the rows are left out in turn and the network is solved
// again: what leaves clearly the least is to blame.
func (p *part) unbent(row int) int {
	o := p.a.n.Observations[p.active[row]]
	if math.Abs(p.v[row]*o.Sigma/p.r[row]) < bends || math.Abs(p.w[row]) < bentFrom {
		return row
	}
	var rows []int
	for i, w := range p.w {
		if i != row && p.r[i] > minRedundancy && math.Abs(w) > bentShare*math.Abs(p.w[row]) {
			rows = append(rows, i)
		}
	}
	sort.SliceStable(rows, func(i, k int) bool { return math.Abs(p.w[rows[i]]) > math.Abs(p.w[rows[k]]) })
	rows = append([]int{row}, rows[:min(len(rows), bentTried)]...)
	best, least := row, math.Inf(1)
	for k, i := range rows {
		obs := p.active[i]
		back := p.keep()
		p.a.used[obs] = false
		p.settle(suspicionLimits)
		left := p.vpv
		p.a.used[obs] = true
		back()
		if k == 0 {
			least = left * bentGain
		} else if left < least {
			best, least = i, left
		}
	}
	return best
}

// keep remembers the part's solution and returns how to go back to it.
func (p *part) keep() func() {
	was := *p
	was.active = append([]int(nil), p.active...)
	was.rowStart = append([]int(nil), p.rowStart...)
	was.cols = append([]int32(nil), p.cols...)
	was.coefs = append([]float64(nil), p.coefs...)
	was.v = append([]float64(nil), p.v...)
	was.gradient = append([]float64(nil), p.gradient...)
	was.scale = append([]float64(nil), p.scale...)
	was.untouched = append([]bool(nil), p.untouched...)
	if p.normal != nil {
		n := *p.normal
		n.value = append([]float64(nil), n.value...)
		n.l = append([]float64(nil), n.l...)
		n.z = append([]float64(nil), n.z...)
		n.open = append([]bool(nil), n.open...)
		was.normal = &n
	}
	at := make([]float64, len(p.coords))
	for c, k := range p.coords {
		at[c] = coord(p.a.at[k.point], k.axis)
	}
	return func() {
		*p = was
		for c, k := range p.coords {
			setCoord(&p.a.at[k.point], k.axis, at[c])
		}
	}
}

// predicted returns what the solved part says an observation should be, with its
// standard deviation √(a Q aᵀ), open directions left out.
func (p *part) predicted(i int) (value, sigma float64) {
	o := p.a.n.Observations[i]
	o.Sigma = 1
	f, cols, coefs := p.row(o, nil, nil)
	if len(cols) == 0 {
		return f, 0
	}
	b := make([]float64, len(p.coords))
	for k, c := range cols {
		b[c] += coefs[k]
	}
	for _, u := range p.null {
		d := dot(u, b)
		for c := range b {
			b[c] -= d * u[c]
		}
	}
	return f, math.Sqrt(math.Max(0, dot(b, p.apply(b))))
}

// covariance writes the part's share into the points and marks loose axes.
func (p *part) covariance(points []SolvedPoint, loose [][3]bool) {
	m := len(p.coords)
	for i := 0; i < m; {
		k := i
		for k < m && p.coords[k].point == p.coords[i].point {
			k++
		}
		for a := i; a < k; a++ {
			for b := i; b < k; b++ {
				c := p.q(a, b)
				for _, u := range p.null {
					c += looseSigma * looseSigma * u[a] * u[b]
				}
				if len(p.null) == 0 && a == b && p.loose[a] {
					c += looseSigma * looseSigma
				}
				points[p.coords[a].point].Cov[p.coords[a].axis][p.coords[b].axis] = c
			}
			loose[p.coords[a].point][p.coords[a].axis] = p.loose[a]
		}
		i = k
	}
}
