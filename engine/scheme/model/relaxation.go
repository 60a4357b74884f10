package model

import (
	"math"
)

// relaxation solves the linear relaxation by the dual simplex method with
// bounded variables. Rows are taken in only when the point at hand breaks them,
// so the basis stays as small as the rows that matter. Its result is used in two
// ways: the point steers the search, and the duals give a lower bound that is
// worked out from the problem's own numbers and holds whatever the method did.
//
// Sources: A. Koberstein, The Dual Simplex Method: Techniques for a fast and
// stable implementation, 2005 (steepest edge, bound flipping), from memory.
type relaxation struct {
	p    *Problem
	rows []lpRow
	// variables: columns, openings, then two for each row (short, over), then one
	// logical for each row: activity + short − over.
	n, m    int
	cost    []float64
	lo, hi  []float64
	cols    [][]entry // of columns and openings
	active  []int     // rows in the basis, in order of taking in
	pos     []int     // row → place in active, −1
	basis   []int     // variable of each active row
	inBasis []int     // variable → place in basis, −1
	atHi    []bool
	inv     []float64 // inverse of the basis, size k×k, row by row
	k       int
	xb      []float64
	d       []float64 // reduced costs
	y       []float64
	rho     []float64
	alpha   []float64
	x       []float64 // columns and openings at the last optimum
	work    int64
	limit   int64
	since   int  // pivots since the inverse was made anew
	failed  bool // the numbers gave up
	noPlan  bool // a hard limit cannot be kept under the bounds at hand
}

// lpRow is one row of the relaxation over columns and openings.
type lpRow struct {
	lo, hi      float64
	short, over float64
	at          []int32
	coef        []float64
}

const (
	feasTol     = 1e-7
	pivotTol    = 1e-9
	dualTol     = 1e-9
	refactor    = 64
	rowsAtATime = 40
)

// newRelaxation returns the relaxation of a problem; of the plans that choose
// anything alone, where that is known of every plan worth having.
func newRelaxation(p *Problem, something bool) *relaxation {
	r := &relaxation{p: p, n: len(p.Columns) + len(p.Openings)}
	for _, row := range p.Rows {
		l := lpRow{lo: row.Lo, hi: row.Hi, short: row.Short, over: row.Over}
		for _, t := range row.Terms {
			l.at, l.coef = append(l.at, int32(t.Column)), append(l.coef, t.Coef)
		}
		r.rows = append(r.rows, l)
	}
	for _, list := range p.placeLists() {
		if len(list) < 2 {
			continue
		}
		l := lpRow{lo: math.Inf(-1), hi: 1}
		for _, j := range list {
			l.at, l.coef = append(l.at, int32(j)), append(l.coef, 1)
		}
		r.rows = append(r.rows, l)
	}
	for _, k := range p.links() {
		l := lpRow{lo: math.Inf(-1), hi: 0}
		for _, j := range k.columns {
			l.at, l.coef = append(l.at, int32(j)), append(l.coef, 1)
		}
		l.at, l.coef = append(l.at, int32(len(p.Columns)+k.opening)), append(l.coef, -1)
		r.rows = append(r.rows, l)
	}
	if something {
		r.rows = append(r.rows, p.oneOfEachClass()...)
	}
	r.m = len(r.rows)
	total := r.n + 3*r.m
	r.cost, r.lo, r.hi = make([]float64, total), make([]float64, total), make([]float64, total)
	for j, c := range p.Columns {
		r.cost[j], r.hi[j] = c.Cost, 1
	}
	for o, v := range p.Openings {
		r.cost[len(p.Columns)+o], r.hi[len(p.Columns)+o] = v.Cost, 1
	}
	r.cols = make([][]entry, r.n)
	for i, row := range r.rows {
		for t, j := range row.at {
			r.cols[j] = append(r.cols[j], entry{int32(i), row.coef[t]})
		}
		r.cost[r.shortOf(i)], r.cost[r.overOf(i)] = row.short, row.over
		if row.short > 0 {
			r.hi[r.shortOf(i)] = math.Inf(1)
		}
		if row.over > 0 {
			r.hi[r.overOf(i)] = math.Inf(1)
		}
		r.lo[r.logicalOf(i)], r.hi[r.logicalOf(i)] = row.lo, row.hi
	}
	r.pos, r.inBasis = make([]int, r.m), make([]int, total)
	for i := range r.pos {
		r.pos[i] = -1
	}
	for v := range r.inBasis {
		r.inBasis[v] = -1
	}
	r.atHi = make([]bool, total)
	r.d = append([]float64(nil), r.cost...)
	r.alpha = make([]float64, total)
	r.x = make([]float64, r.n)
	return r
}

// oneOfEachClass returns Σ openings ≥ 1 for each class of which every column
// needs one, and Σ columns ≥ 1.
func (p *Problem) oneOfEachClass() []lpRow {
	count, order := map[int]int{}, []int(nil)
	for _, c := range p.Columns {
		seen := map[int]bool{}
		for _, o := range c.Needs {
			if k := p.Openings[o].Class; !seen[k] {
				seen[k] = true
				if count[k]++; count[k] == 1 {
					order = append(order, k)
				}
			}
		}
	}
	any := lpRow{lo: 1, hi: math.Inf(1)}
	for j := range p.Columns {
		any.at, any.coef = append(any.at, int32(j)), append(any.coef, 1)
	}
	out := []lpRow{any}
	for _, k := range order {
		if count[k] < len(p.Columns) {
			continue
		}
		l := lpRow{lo: 1, hi: math.Inf(1)}
		for o, v := range p.Openings {
			if v.Class == k {
				l.at, l.coef = append(l.at, int32(len(p.Columns)+o)), append(l.coef, 1)
			}
		}
		out = append(out, l)
	}
	return out
}

func (r *relaxation) shortOf(i int) int   { return r.n + 2*i }
func (r *relaxation) overOf(i int) int    { return r.n + 2*i + 1 }
func (r *relaxation) logicalOf(i int) int { return r.n + 2*r.m + i }

// unit returns the row and coefficient of a variable that stands in one row alone.
func (r *relaxation) unit(v int) (int, float64) {
	if v >= r.n+2*r.m {
		return v - r.n - 2*r.m, -1
	}
	i := (v - r.n) / 2
	if (v-r.n)%2 == 0 {
		return i, 1
	}
	return i, -1
}

func (r *relaxation) value(v int) float64 {
	if b := r.inBasis[v]; b >= 0 {
		return r.xb[b]
	}
	if r.atHi[v] {
		return r.hi[v]
	}
	if math.IsInf(r.lo[v], -1) {
		return 0
	}
	return r.lo[v]
}

// solve brings the relaxation to its optimum under the bounds at hand; false
// when the work ran out or the numbers gave up, in which case the duals still
// give a bound.
func (r *relaxation) solve() bool {
	for {
		if !r.pivots() {
			return false
		}
		for v := range r.x {
			r.x[v] = r.value(v)
		}
		if !r.takeIn() {
			return true
		}
	}
}

// takeIn adds the rows that the point breaks most; false where there is none.
func (r *relaxation) takeIn() bool {
	type broken struct {
		row int
		by  float64
	}
	var list []broken
	for i, row := range r.rows {
		if r.pos[i] >= 0 {
			continue
		}
		sum, norm := 0.0, 0.0
		for t, j := range row.at {
			sum += row.coef[t] * r.x[j]
			norm = max(norm, math.Abs(row.coef[t]))
		}
		r.work += int64(len(row.at))
		if by := max(row.lo-sum, sum-row.hi); by > feasTol*max(1, norm) {
			list = append(list, broken{i, by / max(1e-9, norm)})
		}
	}
	if len(list) == 0 {
		return false
	}
	// Selection of the worst few, in a fixed order.
	for a := 0; a < min(rowsAtATime, len(list)); a++ {
		for b := a + 1; b < len(list); b++ {
			if list[b].by > list[a].by {
				list[a], list[b] = list[b], list[a]
			}
		}
	}
	for _, b := range list[:min(rowsAtATime, len(list))] {
		r.addRow(b.row)
	}
	r.primal()
	return true
}

// addRow extends the basis by a row with its logical basic.
func (r *relaxation) addRow(i int) {
	k := r.k
	old := r.inv
	inv := make([]float64, (k+1)*(k+1))
	for a := range k {
		copy(inv[a*(k+1):], old[a*k:(a+1)*k])
	}
	row := r.rows[i]
	last := inv[k*(k+1):]
	for t, j := range row.at {
		if b := r.inBasis[j]; b >= 0 {
			for c := range k {
				last[c] += row.coef[t] * old[b*k+c]
			}
		}
	}
	last[k] = -1
	r.inv, r.k = inv, k+1
	v := r.logicalOf(i)
	r.pos[i] = k
	r.active, r.basis, r.xb = append(r.active, i), append(r.basis, v), append(r.xb, 0)
	r.inBasis[v] = k
	r.y, r.rho = append(r.y, 0), append(r.rho, 0)
	r.d[v] = 0
	r.work += int64(k * k)
}

// primal works the basic values out from the nonbasic ones: B xb = −N xn.
func (r *relaxation) primal() {
	k := r.k
	rhs := make([]float64, k)
	for v := range r.n {
		if r.inBasis[v] >= 0 {
			continue
		}
		if x := r.value(v); x != 0 {
			for _, e := range r.cols[v] {
				if a := r.pos[e.row]; a >= 0 {
					rhs[a] -= e.coef * x
				}
			}
		}
	}
	for a, i := range r.active {
		if v := r.logicalOf(i); r.inBasis[v] < 0 {
			rhs[a] += r.value(v)
		}
		// Short and over are 0 or infinite: nonbasic ones stand at 0.
	}
	for a := range k {
		sum := 0.0
		line := r.inv[a*k : (a+1)*k]
		for c, v := range rhs {
			sum += line[c] * v
		}
		r.xb[a] = sum
	}
	r.work += int64(k * k)
}

// duals works y and the reduced costs out anew.
func (r *relaxation) duals() {
	k := r.k
	clear(r.y)
	for a, v := range r.basis {
		if c := r.cost[v]; c != 0 {
			line := r.inv[a*k : (a+1)*k]
			for b := range k {
				r.y[b] += c * line[b]
			}
		}
	}
	copy(r.d[:r.n], r.cost[:r.n])
	for a, i := range r.active {
		row, y := r.rows[i], r.y[a]
		if y != 0 {
			for t, j := range row.at {
				r.d[j] -= y * row.coef[t]
			}
			r.work += int64(len(row.at))
		}
		r.d[r.shortOf(i)] = row.short - y
		r.d[r.overOf(i)] = row.over + y
		r.d[r.logicalOf(i)] = y
	}
	for _, v := range r.basis {
		r.d[v] = 0
	}
}

// invert makes the inverse of the basis anew, by elimination with row
// exchanges; false where the basis is singular.
func (r *relaxation) invert() bool {
	k := r.k
	a := make([]float64, k*k)
	for c, v := range r.basis {
		if v < r.n {
			for _, e := range r.cols[v] {
				if p := r.pos[e.row]; p >= 0 {
					a[p*k+c] = e.coef
				}
			}
		} else {
			i, coef := r.unit(v)
			a[r.pos[i]*k+c] = coef
		}
	}
	inv := make([]float64, k*k)
	for i := range k {
		inv[i*k+i] = 1
	}
	for c := range k {
		best, at := 0.0, -1
		for i := c; i < k; i++ {
			if v := math.Abs(a[i*k+c]); v > best {
				best, at = v, i
			}
		}
		if best < pivotTol {
			return false
		}
		if at != c {
			for j := range k {
				a[at*k+j], a[c*k+j] = a[c*k+j], a[at*k+j]
				inv[at*k+j], inv[c*k+j] = inv[c*k+j], inv[at*k+j]
			}
		}
		f := 1 / a[c*k+c]
		ac, ic := a[c*k:(c+1)*k], inv[c*k:(c+1)*k]
		for j := range k {
			ac[j] *= f
			ic[j] *= f
		}
		for i := range k {
			if g := a[i*k+c]; i != c && g != 0 {
				ai, ii := a[i*k:(i+1)*k], inv[i*k:(i+1)*k]
				for j := range k {
					ai[j] -= g * ac[j]
					ii[j] -= g * ic[j]
				}
			}
		}
	}
	r.inv = inv
	r.work += int64(2 * k * k * k)
	return true
}

// refresh makes inverse, duals and basic values anew, and puts nonbasic
// variables on the side their reduced cost asks for.
func (r *relaxation) refresh() bool {
	r.since = 0
	if r.k > 0 && !r.invert() {
		r.failed = true
		return false
	}
	r.duals()
	r.settle()
	r.primal()
	return true
}

// settle puts nonbasic boxed variables on the side of their bound at which
// their reduced cost is of the right sign.
func (r *relaxation) settle() {
	side := func(v int) {
		if r.inBasis[v] >= 0 {
			return
		}
		if r.d[v] < -dualTol && !math.IsInf(r.hi[v], 1) {
			r.atHi[v] = true
		} else if r.d[v] > dualTol && !math.IsInf(r.lo[v], -1) {
			r.atHi[v] = false
		}
		if r.lo[v] == r.hi[v] {
			r.atHi[v] = false
		}
	}
	for v := range r.n {
		side(v)
	}
	for _, i := range r.active {
		side(r.logicalOf(i))
	}
}

type breakpoint struct {
	v     int
	ratio float64
	alpha float64
}

// pivots runs the dual simplex method on the active rows; false when it gave up.
func (r *relaxation) pivots() bool {
	if !r.refresh() {
		return false
	}
	var points []breakpoint
	for {
		if r.work > r.limit {
			return false
		}
		if r.since >= refactor && !r.refresh() {
			return false
		}
		k := r.k
		// Leaving: the greatest infeasibility over the length of its row of the inverse.
		out, best, below := -1, 0.0, false
		for a, v := range r.basis {
			by, low := r.lo[v]-r.xb[a], true
			if over := r.xb[a] - r.hi[v]; over > by {
				by, low = over, false
			}
			if by <= feasTol*max(1, math.Abs(r.xb[a])) {
				continue
			}
			norm := 0.0
			for _, c := range r.inv[a*k : (a+1)*k] {
				norm += c * c
			}
			if s := by * by / norm; s > best {
				best, out, below = s, a, low
			}
		}
		r.work += int64(k * k)
		if out < 0 {
			return true
		}
		copy(r.rho, r.inv[out*k:(out+1)*k])
		// The row of the tableau.
		alpha := r.alpha
		clear(alpha[:r.n])
		for a, i := range r.active {
			f := r.rho[a]
			if f == 0 {
				continue
			}
			row := r.rows[i]
			for t, j := range row.at {
				alpha[j] += f * row.coef[t]
			}
			r.work += int64(len(row.at))
		}
		leaving := r.basis[out]
		// xb[out] must rise when below its bound, fall when above it.
		sign, need := 1.0, r.lo[leaving]-r.xb[out]
		if !below {
			sign, need = -1, r.xb[out]-r.hi[leaving]
		}
		points = points[:0]
		consider := func(v int, al float64) {
			if r.inBasis[v] >= 0 || math.Abs(al) < pivotTol || r.lo[v] == r.hi[v] {
				return
			}
			// Moving v up changes xb[out] by −al.
			up := -al * sign
			if free := math.IsInf(r.lo[v], -1) && math.IsInf(r.hi[v], 1); free {
				points = append(points, breakpoint{v, 0, al})
				return
			}
			if !r.atHi[v] && up > 0 || r.atHi[v] && up < 0 {
				points = append(points, breakpoint{v, math.Abs(r.d[v]) / math.Abs(al), al})
			}
		}
		for v := range r.n {
			consider(v, alpha[v])
		}
		for a, i := range r.active {
			f := r.rho[a]
			if r.rows[i].short > 0 {
				consider(r.shortOf(i), f)
			}
			if r.rows[i].over > 0 {
				consider(r.overOf(i), -f)
			}
			consider(r.logicalOf(i), -f)
		}
		in := r.ratio(points, need)
		if in < 0 {
			r.noPlan = true
			return false
		}
		q := points[in].v
		// Column of the entering variable: B⁻¹ a_q.
		col := make([]float64, k)
		if q < r.n {
			for _, e := range r.cols[q] {
				if b := r.pos[e.row]; b >= 0 {
					for a := range k {
						col[a] += e.coef * r.inv[a*k+b]
					}
				}
			}
		} else {
			i, coef := r.unit(q)
			b := r.pos[i]
			for a := range k {
				col[a] = coef * r.inv[a*k+b]
			}
		}
		if math.Abs(col[out]) < pivotTol || math.Abs(col[out]-points[in].alpha) > 1e-6*(1+math.Abs(col[out])) {
			if r.since == 0 {
				r.failed = true
				return false
			}
			if !r.refresh() {
				return false
			}
			continue
		}
		// Duals.
		theta := r.d[q] / points[in].alpha
		for v := range r.n {
			if alpha[v] != 0 {
				r.d[v] -= theta * alpha[v]
			}
		}
		for a, i := range r.active {
			f := r.rho[a]
			r.y[a] += theta * f
			r.d[r.shortOf(i)] -= theta * f
			r.d[r.overOf(i)] += theta * f
			r.d[r.logicalOf(i)] += theta * f
		}
		r.d[q], r.d[leaving] = 0, -theta
		r.atHi[leaving] = !below
		// Inverse.
		pivot := 1 / col[out]
		line := r.inv[out*k : (out+1)*k]
		for c := range line {
			line[c] *= pivot
		}
		for a := range k {
			if g := col[a]; a != out && g != 0 {
				other := r.inv[a*k : (a+1)*k]
				for c, v := range line {
					other[c] -= g * v
				}
			}
		}
		r.basis[out], r.inBasis[q], r.inBasis[leaving] = q, out, -1
		r.work += int64(2 * k * k)
		r.since++
		r.flip(points)
		r.primal()
	}
}

// flip moves the boxed variables whose reduced cost changed its sign to their
// other bound.
func (r *relaxation) flip(points []breakpoint) {
	for _, b := range points {
		v := b.v
		if r.inBasis[v] >= 0 {
			continue
		}
		if !r.atHi[v] && r.d[v] < -dualTol && !math.IsInf(r.hi[v], 1) {
			r.atHi[v] = true
		} else if r.atHi[v] && r.d[v] > dualTol && !math.IsInf(r.lo[v], -1) {
			r.atHi[v] = false
		}
	}
}

// ratio chooses the entering variable: it passes boxed variables whose flip to
// the other bound still leaves the leaving one infeasible, and among nearly
// equal ratios takes the largest pivot. −1 where nothing can enter.
func (r *relaxation) ratio(points []breakpoint, need float64) int {
	if len(points) == 0 {
		return -1
	}
	done := make([]bool, len(points))
	slope := need
	for {
		at, least := -1, math.Inf(1)
		for i, b := range points {
			if !done[i] && (b.ratio < least-1e-12 || (b.ratio <= least+1e-12 && (at < 0 || math.Abs(b.alpha) > math.Abs(points[at].alpha)))) {
				at, least = i, min(least, b.ratio)
			}
		}
		if at < 0 {
			return -1 // every flip together would not do: no plan under these bounds
		}
		b := points[at]
		span := r.hi[b.v] - r.lo[b.v]
		if math.IsInf(span, 1) {
			return at
		}
		slope -= math.Abs(b.alpha) * span
		if slope <= feasTol {
			return at
		}
		done[at] = true
		r.work += int64(len(points))
	}
}

// bound returns a lower bound of the problem from the duals at hand, worked out
// anew from the problem's numbers: with any duals within their signs,
//
//	Σ (dual × the limit it holds) + Σ min(0, reduced cost) over the boxed variables
//
// is not above any plan's cost.
func (r *relaxation) bound() float64 {
	sum, d := r.dualValues()
	for v, dv := range d {
		sum += min(dv*r.lo[v], dv*r.hi[v])
	}
	return sum
}

// dualValues returns the limits' share of the bound and the reduced costs of
// columns and openings.
func (r *relaxation) dualValues() (float64, []float64) {
	d := append([]float64(nil), r.cost[:r.n]...)
	sum := 0.0
	for a, i := range r.active {
		row, y := r.rows[i], r.y[a]
		switch {
		case y > 0 && math.IsInf(row.lo, -1), y < 0 && math.IsInf(row.hi, 1):
			y = 0
		case y > row.short && y > 0 && row.short > 0:
			y = row.short
		case y < 0 && row.over > 0 && y < -row.over:
			y = -row.over
		}
		if y > 0 {
			sum += y * row.lo
		} else if y < 0 {
			sum += y * row.hi
		}
		if y != 0 {
			for t, j := range row.at {
				d[j] -= y * row.coef[t]
			}
		}
	}
	return sum, d
}
