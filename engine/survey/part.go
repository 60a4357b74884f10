package survey

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

type coordinate struct{ point, axis int }

// part is a group of unknowns joined by observations, solved by itself.
type part struct {
	coords []coordinate
	local  map[int]int // unknown → column
	obs    []int       // observations of the part
	closed bool        // suspects that cannot be told apart: search ended

	// Of the last solution:
	active  []int // observations used
	v, r, w []float64
	vpv     float64
	rank    int
	q       *mat.SymDense // covariance of the unknowns, loose directions left out
	null    [][]float64   // orthonormal loose directions
	qvv     *mat.Dense    // cofactors of the whitened residuals
}

// maxIterations bounds the damped steps; published networks need under ten.
const maxIterations = 200

// stepTolerance ends the iteration, in metres: far below what anybody measures
// and above the rounding of coordinates of a room.
const stepTolerance = 1e-11

// longestStep is how far one step may move a coordinate, in metres.
const longestStep = 1e4

// solve finds the coordinates of the part and its statistics.
func (p *part) solve(a *adjuster) {
	p.active = p.active[:0]
	for _, i := range p.obs {
		if a.used[i] {
			p.active = append(p.active, i)
		}
	}
	m, n := len(p.coords), len(p.active)
	if m > 0 && n > 0 {
		p.iterate(a)
	}
	j, v := p.linearise(a)
	p.v = v
	p.vpv = 0
	for _, e := range v {
		p.vpv += e * e
	}
	p.invert(j, m, n)
	p.reliability(j, m, n)
}

// linearise returns the whitened design matrix (nil when empty) and the
// whitened residuals, computed − observed.
func (p *part) linearise(a *adjuster) (*mat.Dense, []float64) {
	m, n := len(p.coords), len(p.active)
	v := make([]float64, n)
	var j *mat.Dense
	if m > 0 && n > 0 {
		j = mat.NewDense(n, m, nil)
	}
	var buf []partial
	for row, i := range p.active {
		o := a.n.Observations[i]
		var f float64
		f, buf = o.predict(a.at, a.shift, buf[:0])
		v[row] = (f - o.Value) / o.Sigma
		for _, d := range buf {
			if u := a.unknown[d.point][d.axis]; u >= 0 {
				c := p.local[u]
				j.Set(row, c, j.At(row, c)+d.d/o.Sigma)
			}
		}
	}
	return j, v
}

func (p *part) cost(a *adjuster) float64 {
	var sum float64
	var buf []partial
	for _, i := range p.active {
		o := a.n.Observations[i]
		var f float64
		f, buf = o.predict(a.at, a.shift, buf[:0])
		sum += sq((f - o.Value) / o.Sigma)
	}
	return sum
}

func (p *part) move(a *adjuster, dx []float64, factor float64) {
	for c, at := range p.coords {
		v := &a.at[at.point]
		setCoord(v, at.axis, coord(*v, at.axis)+factor*dx[c])
	}
}

// iterate takes Gauss-Newton steps, damped after Levenberg when a step does not
// lower the weighted sum of squares or the normal equations are singular.
//
// Source: Nocedal & Wright, Numerical Optimization, 2nd ed. 2006, §10.3 (from memory).
func (p *part) iterate(a *adjuster) {
	m := len(p.coords)
	lambda := 0.0
	cost := p.cost(a)
	for range maxIterations {
		j, v := p.linearise(a)
		var normal mat.SymDense
		normal.SymOuterK(1, j.T())
		g := mat.NewVecDense(m, nil)
		g.MulVec(j.T(), mat.NewVecDense(len(v), v))
		dx, ok := dampedStep(&normal, g, lambda)
		if !ok {
			lambda = math.Max(1e-9, lambda*10)
			if lambda > 1e12 {
				return
			}
			continue
		}
		largest := 0.0
		for _, d := range dx {
			largest = math.Max(largest, math.Abs(d))
		}
		if largest > longestStep {
			// A corner's angle tends to its assumption at infinity: stay here.
			lambda = math.Max(1e-4, lambda*10)
			if lambda > 1e12 {
				return
			}
			continue
		}
		p.move(a, dx, -1)
		next := p.cost(a)
		if next <= cost*(1+1e-14) && !math.IsNaN(next) {
			done := largest < stepTolerance || (cost-next < 1e-15*cost && largest < 1e-9)
			cost = next
			if lambda > 0 {
				lambda = lambda / 10
				if lambda < 1e-9 {
					lambda = 1e-9
				}
			}
			if done {
				return
			}
			continue
		}
		p.move(a, dx, 1)
		if largest < 1e-9 {
			return
		}
		lambda = math.Max(1e-4, lambda*10)
		if lambda > 1e12 {
			return
		}
	}
}

// dampedStep solves (N + λ·diag N) dx = g in units scaled to a unit diagonal;
// unknowns that no observation moves get no step.
func dampedStep(n *mat.SymDense, g *mat.VecDense, lambda float64) ([]float64, bool) {
	m := n.SymmetricDim()
	d := make([]float64, m)
	for i := range d {
		d[i] = math.Sqrt(n.At(i, i))
	}
	s := mat.NewSymDense(m, nil)
	rhs := mat.NewVecDense(m, nil)
	for i := range m {
		if d[i] == 0 {
			s.SetSym(i, i, 1)
			continue
		}
		rhs.SetVec(i, g.AtVec(i)/d[i])
		s.SetSym(i, i, 1+lambda)
		for k := i + 1; k < m; k++ {
			if d[k] != 0 {
				s.SetSym(i, k, n.At(i, k)/(d[i]*d[k]))
			}
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(s) || (lambda == 0 && chol.Cond() > maxCondition) {
		return nil, false
	}
	x := mat.NewVecDense(m, nil)
	// A high condition number is reported as an error; the step is then only
	// less exact and is judged by the cost it reaches.
	_ = chol.SolveVecTo(x, rhs)
	out := make([]float64, m)
	for i := range out {
		if d[i] != 0 {
			out[i] = x.AtVec(i) / d[i]
		}
		if math.IsNaN(out[i]) || math.IsInf(out[i], 0) {
			return nil, false
		}
	}
	return out, true
}

// maxCondition of the normal equations scaled to a unit diagonal, beyond which
// they are analysed by eigenvalues. The weakest real direction of a room (metres
// of assumption beside millimetres of laser) is about 1e8.
const maxCondition = 1e11

// invert forms the covariance of the unknowns and, where the observations leave
// directions open, their orthonormal base.
func (p *part) invert(j *mat.Dense, m, n int) {
	p.q, p.null, p.rank = nil, nil, 0
	if m == 0 {
		return
	}
	if n == 0 {
		p.q = mat.NewSymDense(m, nil)
		for i := range m {
			e := make([]float64, m)
			e[i] = 1
			p.null = append(p.null, e)
		}
		return
	}
	var normal mat.SymDense
	normal.SymOuterK(1, j.T())
	d := make([]float64, m)
	s := mat.NewSymDense(m, nil)
	for i := range d {
		d[i] = math.Sqrt(normal.At(i, i))
		if d[i] == 0 {
			d[i] = 1
		}
	}
	for i := range m {
		for k := i; k < m; k++ {
			s.SetSym(i, k, normal.At(i, k)/(d[i]*d[k]))
		}
	}
	var chol mat.Cholesky
	if chol.Factorize(s) && chol.Cond() < maxCondition {
		inv := mat.NewSymDense(m, nil)
		if err := chol.InverseTo(inv); err == nil {
			p.q, p.rank = unscale(inv, d), m
			return
		}
	}
	p.pseudoInvert(s, d)
}

func unscale(s *mat.SymDense, d []float64) *mat.SymDense {
	m := len(d)
	q := mat.NewSymDense(m, nil)
	for i := range m {
		for k := i; k < m; k++ {
			q.SetSym(i, k, s.At(i, k)/(d[i]*d[k]))
		}
	}
	return q
}

// nullTolerance is the share of the largest eigenvalue below which a direction
// counts as open: the rounding of a few hundred double-precision terms.
const nullTolerance = 1e-12

// pseudoInvert parts determined from open directions by the eigenvalues of the
// scaled normal matrix.
func (p *part) pseudoInvert(s *mat.SymDense, d []float64) {
	m := len(d)
	var eig mat.EigenSym
	if !eig.Factorize(s, true) {
		p.q = mat.NewSymDense(m, nil)
		return
	}
	values := eig.Values(nil)
	var vectors mat.Dense
	eig.VectorsTo(&vectors)
	limit := nullTolerance * math.Max(values[m-1], 0) * float64(m)
	inv := mat.NewSymDense(m, nil)
	var open [][]float64
	for c := range m {
		if values[c] > limit {
			p.rank++
			x := mat.NewVecDense(m, mat.Col(nil, c, &vectors))
			inv.SymRankOne(inv, 1/values[c], x)
			continue
		}
		u := make([]float64, m)
		for i := range u {
			u[i] = vectors.At(i, c) / d[i]
		}
		open = append(open, u)
	}
	p.null = orthonormal(open)
	p.q = project(unscale(inv, d), p.null)
}

// orthonormal returns an orthonormal base of the vectors' span (Gram-Schmidt).
func orthonormal(vs [][]float64) [][]float64 {
	var out [][]float64
	for _, v := range vs {
		u := append([]float64(nil), v...)
		for range 2 {
			for _, w := range out {
				dot := 0.0
				for i := range u {
					dot += u[i] * w[i]
				}
				for i := range u {
					u[i] -= dot * w[i]
				}
			}
		}
		norm := 0.0
		for _, e := range u {
			norm += e * e
		}
		if norm = math.Sqrt(norm); norm < 1e-12 {
			continue
		}
		for i := range u {
			u[i] /= norm
		}
		out = append(out, u)
	}
	return out
}

// project takes the open directions out of a covariance: S·Q·S with S = I − UUᵀ,
// the free-datum covariance of inner constraints.
//
// Source: Caspary, Concepts of Network and Deformation Analysis, 1987, S-transformation
// (from memory).
func project(q *mat.SymDense, null [][]float64) *mat.SymDense {
	m := q.SymmetricDim()
	if len(null) == 0 {
		return q
	}
	s := mat.NewDense(m, m, nil)
	for i := range m {
		s.Set(i, i, 1)
	}
	for _, u := range null {
		for i := range m {
			for k := range m {
				s.Set(i, k, s.At(i, k)-u[i]*u[k])
			}
		}
	}
	var left, full mat.Dense
	left.Mul(s, q)
	full.Mul(&left, s.T())
	out := mat.NewSymDense(m, nil)
	for i := range m {
		for k := i; k < m; k++ {
			out.SetSym(i, k, (full.At(i, k)+full.At(k, i))/2)
		}
	}
	return out
}

// reliability computes redundancy numbers and standardized residuals:
// Qvv = I − J Q Jᵀ in whitened units, r_i its diagonal, w_i = v_i/√r_i.
func (p *part) reliability(j *mat.Dense, m, n int) {
	p.r, p.w, p.qvv = make([]float64, n), make([]float64, n), nil
	if n == 0 {
		return
	}
	p.qvv = mat.NewDense(n, n, nil)
	if m > 0 && p.rank > 0 {
		var jq mat.Dense
		jq.Mul(j, p.q)
		p.qvv.Mul(&jq, j.T())
		p.qvv.Scale(-1, p.qvv)
	}
	for i := range n {
		r := 1 + p.qvv.At(i, i)
		p.qvv.Set(i, i, r)
		p.r[i] = math.Min(1, math.Max(0, r))
		if r > minRedundancy {
			p.w[i] = p.v[i] / math.Sqrt(r)
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

// tied returns the rows that may be the cause of what row shows, row first: their
// residuals react alike and theirs is not significantly the smaller, the
// difference of two standardized residuals of correlation ρ having the standard
// deviation √(2(1−ρ)).
func (p *part) tied(row int) []int {
	out := []int{row}
	for i, w := range p.w {
		if i == row || p.r[i] <= minRedundancy {
			continue
		}
		rho := math.Abs(p.qvv.At(row, i) / math.Sqrt(p.r[row]*p.r[i]))
		gap := math.Abs(p.w[row]) - math.Abs(w)
		if rho > tieCorrelation && gap <= 1.96*math.Sqrt(2*math.Max(0, 1-rho))+1e-6*math.Abs(p.w[row]) {
			out = append(out, i)
		}
	}
	return out
}

// suspicion describes a row by solving the part without it: a gross error bends
// the network, so the first-order value, reading + v/r, can be far off.
func (p *part) suspicion(a *adjuster, row int) Suspicion {
	i, w := p.active[row], math.Abs(p.w[row])
	before := make([]float64, len(p.coords))
	for c, at := range p.coords {
		before[c] = coord(a.at[at.point], at.axis)
	}
	a.used[i] = false
	p.solve(a)
	expected, sigma := p.predicted(a, i)
	a.used[i] = true
	for c, at := range p.coords {
		setCoord(&a.at[at.point], at.axis, before[c])
	}
	p.solve(a)
	return Suspicion{Observation: i, W: w, Expected: expected, ExpectedSigma: sigma}
}

// predicted returns what the solved part says an observation should be, with its
// standard deviation √(a Q aᵀ).
func (p *part) predicted(a *adjuster, i int) (value, sigma float64) {
	f, ds := a.n.Observations[i].predict(a.at, a.shift, nil)
	row := make([]float64, len(p.coords))
	for _, d := range ds {
		if u := a.unknown[d.point][d.axis]; u >= 0 {
			row[p.local[u]] += d.d
		}
	}
	var v float64
	for c, x := range row {
		if x == 0 {
			continue
		}
		for k, y := range row {
			if y != 0 {
				v += x * y * p.q.At(c, k)
			}
		}
	}
	return f, math.Sqrt(math.Max(0, v))
}

// covariance writes the part's share into the points and marks loose axes.
func (p *part) covariance(points []SolvedPoint, loose [][3]bool) {
	for i, ci := range p.coords {
		for k, ck := range p.coords {
			if ci.point != ck.point {
				continue
			}
			c := p.q.At(i, k)
			for _, u := range p.null {
				c += looseSigma * looseSigma * u[i] * u[k]
			}
			points[ci.point].Cov[ci.axis][ck.axis] = c
		}
		open := 0.0
		for _, u := range p.null {
			open += u[i] * u[i]
		}
		// A thousandth of the open motion is what rounding leaves behind.
		if open > 1e-6 {
			loose[ci.point][ci.axis] = true
		}
	}
}
