package model

import (
	"math"
	"slices"
)

// tree is a branch and bound over the relaxation: it raises the bound, and its
// points start the search anew.
type tree struct {
	p    *Problem
	r    *relaxation
	open []node
	// floor is the least bound of nodes whose relaxation could not be solved.
	floor float64
}

// node is a set of bounds on columns and openings, with the bound of its parent.
type node struct {
	bound float64
	depth int
	fixed []fixing
}

type fixing struct {
	v  int
	up bool
}

func newTree(p *Problem, r *relaxation, bound float64) *tree {
	return &tree{p: p, r: r, open: []node{{bound: bound}}, floor: math.Inf(1)}
}

// bound is the least bound of the open nodes; +Inf without any.
func (t *tree) bound() float64 {
	least := t.floor
	for _, n := range t.open {
		least = min(least, n.bound)
	}
	return least
}

// step works on the open node of least bound; false when none is left that
// could hold a better plan.
func (t *tree) step(s *search) bool {
	at, least := -1, s.bestCost-gainNeeded
	for i, n := range t.open {
		if n.bound < least || (at >= 0 && n.bound == least && n.depth > t.open[at].depth) {
			at, least = i, n.bound
		}
	}
	if at < 0 {
		t.open = nil
		return false
	}
	n := t.open[at]
	t.open = slices.Delete(t.open, at, at+1)
	r := t.r
	for v := range r.n {
		r.lo[v], r.hi[v] = 0, 1
	}
	for _, f := range n.fixed {
		if f.up {
			r.lo[f.v] = 1
		} else {
			r.hi[f.v] = 0
		}
	}
	r.noPlan = false
	r.limit = r.work + nodeWork
	solved := r.solve()
	if r.noPlan {
		return true
	}
	if r.failed {
		r.restart()
	}
	bound := max(n.bound, r.bound())
	if bound >= s.bestCost-gainNeeded {
		return true
	}
	branch := t.branchOn(solved)
	if branch < 0 {
		// The point is a plan; or the relaxation could not be solved.
		s.set(roundUp(t.p, r.x))
		s.keep()
		if !solved {
			t.floor = min(t.floor, bound)
		}
		return true
	}
	s.set(roundUp(t.p, r.x))
	s.descend()
	s.keep()
	for _, up := range []bool{true, false} {
		t.open = append(t.open, node{bound, n.depth + 1, append(slices.Clone(n.fixed), fixing{branch, up})})
	}
	return true
}

// nodeWork bounds the relaxation of one node.
const nodeWork = 40_000_000

const integral = 1e-6

// branchOn returns the variable to branch on: an opening before columns, the
// most undecided first; −1 for a point that is a plan.
func (t *tree) branchOn(solved bool) int {
	if !solved {
		return -1
	}
	pick := func(from, to int) int {
		at, best := -1, integral
		for v := from; v < to; v++ {
			if f := min(t.r.x[v], 1-t.r.x[v]); f > best {
				at, best = v, f
			}
		}
		return at
	}
	if v := pick(len(t.p.Columns), t.r.n); v >= 0 {
		return v
	}
	return pick(0, len(t.p.Columns))
}

// reduced returns the reduced costs of the columns, worked out as bound does.
func (r *relaxation) reduced() []float64 {
	_, d := r.dualValues()
	return d
}

// restart begins from the basis of logicals.
func (r *relaxation) restart() {
	for v := range r.inBasis {
		r.inBasis[v], r.atHi[v] = -1, false
	}
	for i := range r.pos {
		r.pos[i] = -1
	}
	r.active, r.basis, r.xb, r.y, r.rho, r.inv, r.k = nil, nil, nil, nil, nil, nil, 0
	r.failed = false
}
