package model

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// Options of Solve. Work is counted in coefficients touched, not in time, so
// that the same seed gives the same plan on every machine.
type Options struct {
	Seed uint64
	// Work bounds the search; 0: DefaultWork. About 400 million a second.
	Work int64
	// RelaxWork bounds the linear relaxation, which the bound rests on, beside Work;
	// 0: the same as Work.
	RelaxWork int64
	// Gap ends the search early once the plan is proven within this share of the
	// best; 0: only when it is proven best.
	Gap float64
	// Start is a plan to begin with; may be nil.
	Start []int
	// Progress, when set, is told of every new best plan and every better bound;
	// false ends the search with the best so far.
	Progress func(Progress) bool
	// Stop, when set, is asked now and then; true ends the search.
	Stop func() bool
}

// DefaultWork takes about a third of a second.
const DefaultWork = 160_000_000

// Progress is how far a search has come.
type Progress struct {
	Cost  float64 // of the best plan so far; +Inf before the first
	Bound float64 // no plan costs less
	Gap   float64 // (Cost − Bound)/Cost
	Work  int64
}

// Result is a plan with the proof of how far from the best it can be.
type Result struct {
	Columns []int // chosen, ascending
	Cost    float64
	Bound   float64
	Relaxed float64 // optimum of the linear relaxation, as far as it was solved
	Gap     float64 // (Cost − Bound)/Cost; 0 for a cost of 0
	Proven  bool    // Cost is the least there is
	Stopped bool    // by Stop or Progress
	Work    int64
	Nodes   int  // of the branching that raised the bound
	Fixed   int  // columns proven useless
	Solved  bool // the relaxation reached its optimum
}

// Solve returns a plan of least cost as far as the work allows, with a lower
// bound. The problem must be valid and is solved as it stands: hand in
// Rounded() to solve what WriteLP writes.
func Solve(p *Problem, o Options) Result {
	if o.Work <= 0 {
		o.Work = DefaultWork
	}
	s := newSearch(p, rand.New(rand.NewPCG(o.Seed, 0x9e3779b97f4a7c15)))
	res := Result{Bound: 0}
	stopped := false
	tell := func() {
		if o.Progress != nil && !o.Progress(Progress{Cost: s.bestCost, Bound: res.Bound, Gap: gapOf(s.bestCost, res.Bound), Work: res.Work + s.work}) {
			stopped = true
		}
	}
	s.stop = func() bool { return stopped || (o.Stop != nil && o.Stop()) }
	s.found = tell
	s.limit = o.Work

	nothing := s.keep() // choosing nothing
	if len(o.Start) > 0 {
		s.set(o.Start)
		s.keep()
		s.descend()
		s.keep()
	}
	s.set(nil)
	s.build(0)
	s.descend()
	s.keep()

	// The relaxation: bound, and the columns worth trying. Once something is better
	// than choosing nothing, plans that choose something are all that matter.
	r := newRelaxation(p, s.bestCost < nothing-gainNeeded)
	if r.limit = o.RelaxWork; r.limit <= 0 {
		r.limit = o.Work
	}
	solved := r.solve()
	branching := solved
	res.Bound = min(s.bestCost, max(0, r.bound()))
	res.Relaxed = res.Bound
	res.Work += r.work
	if solved {
		s.set(roundUp(p, r.x))
		s.descend()
		s.keep()
	}
	tell()
	s.rank(r)
	s.soften(r)

	// Epochs of ruin and rebuilding, and branching beside them that takes half as
	// much work.
	tree := newTree(p, r, res.Bound)
	open := func() bool { return !s.spent() && gapOf(s.bestCost, res.Bound) > max(o.Gap, provenGap) }
	var treeWork int64
	quiet := 0
	for epoch := 0; open(); epoch++ {
		if quiet < quietRounds || !branching {
			quiet = s.epoch(epoch, quiet)
		}
		for branching && open() && (quiet >= quietRounds || quiet >= branchRounds && treeWork < (s.work-treeWork)/2) {
			before := tree.r.work
			more := tree.step(s)
			treeWork += tree.r.work - before
			s.work += tree.r.work - before
			res.Nodes++
			if !more {
				res.Bound = max(res.Bound, min(s.bestCost, tree.floor)) // every branch is closed
				branching = false
				break
			}
			if b := min(tree.bound(), s.bestCost); b > res.Bound+gainNeeded {
				res.Bound = b
				tell()
			}
		}
		if quiet >= endlessRounds {
			break
		}
	}
	res.Solved = solved
	res.Columns, res.Cost = s.best, s.bestCost
	slices.Sort(res.Columns)
	res.Bound = min(res.Bound, res.Cost)
	res.Gap = gapOf(res.Cost, res.Bound)
	res.Proven = res.Gap <= provenGap
	res.Stopped = stopped || (o.Stop != nil && s.ended && s.work <= s.limit)
	res.Work += s.work
	res.Fixed = len(p.Columns) - len(s.allowed)
	return res
}

// provenGap is the gap below which a plan counts as proven best: the rounding
// of sums of thousandths.
const provenGap = 1e-9

const (
	// quietRounds without a better choice leave the rest of the work to branching.
	quietRounds = 1500
	// branchRounds without a better choice begin the branching.
	branchRounds = 200
	// endlessRounds end the search where there is nothing to branch on.
	endlessRounds = 3000
	// calmRounds ends an epoch when so many rounds did not make its choice better.
	calmRounds = 18
)

// epoch runs rounds from the best choice or, every other time, from a new one
// built with much noise, and returns the number of rounds since the last new best.
func (s *search) epoch(n, quiet int) int {
	here, hereCost := s.best, s.bestCost
	if n%2 == 1 {
		here, hereCost = s.afresh(n / 2)
	}
	for calm := 0; calm < calmRounds && !s.spent(); calm++ {
		was, best := hereCost, s.bestCost
		here, hereCost = s.round(here, hereCost, 0.01*hereCost*s.rng.Float64()*s.rng.Float64())
		quiet++
		if hereCost < was-gainNeeded {
			calm = 0
		}
		if s.bestCost < best-gainNeeded {
			quiet = 0
			s.fix()
		}
	}
	return quiet
}

func gapOf(cost, bound float64) float64 {
	if math.IsInf(cost, 1) {
		return 1
	}
	if cost <= 0 {
		return 0
	}
	return max(0, (cost-bound)/cost)
}

// roundUp returns a choice near a point of the relaxation: in each place the
// column of the largest share, if that is at least half.
func roundUp(p *Problem, x []float64) []int {
	best := make([]int, p.Places)
	for k := range best {
		best[k] = -1
	}
	for j, c := range p.Columns {
		if x[j] >= 0.5 && (best[c.Place] < 0 || x[j] > x[best[c.Place]]) {
			best[c.Place] = j
		}
	}
	var out []int
	for _, j := range best {
		if j >= 0 {
			out = append(out, j)
		}
	}
	return out
}

// fix leaves out the columns that by their reduced cost at the root cannot stand
// in a plan better than the best one found.
func (s *search) fix() {
	allowed := s.allowed[:0]
	for _, j := range s.allowed {
		if s.root+s.reduced[j] <= s.bestCost-gainNeeded {
			allowed = append(allowed, j)
		}
	}
	s.allowed, s.trying = allowed, allowed
}

// rank keeps the root's bound and reduced costs, and puts columns in their order.
func (s *search) rank(r *relaxation) {
	s.root, s.reduced = r.bound(), r.reduced()
	slices.SortStableFunc(s.allowed, func(a, b int) int { return cmp.Compare(s.reduced[a], s.reduced[b]) })
	s.fix()
}
