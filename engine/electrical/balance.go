package electrical

import (
	"math"
	"sort"
)

// exactCircuits is up to how many circuits every sharing-out is tried:
// 3^12 = 531 441 of them.
const exactCircuits = 12

// cost of a sharing-out: first how far the worst leg passes the limit while the
// works go on, then the unbalance in the end, then the worst leg.
type cost struct{ over, spread, worst float64 }

func (a cost) less(b cost) bool {
	const eps = 1e-9
	switch {
	case math.Abs(a.over-b.over) > eps:
		return a.over < b.over
	case math.Abs(a.spread-b.spread) > eps:
		return a.spread < b.spread
	case math.Abs(a.worst-b.worst) > eps:
		return a.worst < b.worst
	}
	return false
}

// share puts every circuit whose leg is open on one of the system's ways, by
// trying all when there are few, else heaviest first. works and end are what the
// lines carry besides, while the works go on and after them.
func (s System) share(va []float64, fixed []string, works, end tally, limitA float64) []string {
	legs := append([]string(nil), fixed...)
	var open []int
	for i, f := range fixed {
		if f == "" {
			open = append(open, i)
		} else {
			works, end = works.plus(s.on(f, va[i])), end.plus(s.on(f, va[i]))
		}
	}
	if len(open) == 0 {
		return legs
	}
	n := len(s.Lines)
	rate := func(t tally) cost {
		w, e := works.plus(t), end.plus(t)
		cw, ce := currents(&w, n), currents(&e, n)
		high, low, _ := extremes(ce[:n])
		worst, _, _ := extremes(cw[:n])
		c := cost{spread: high - low, worst: worst}
		if limitA > 0 {
			c.over = math.Max(0, worst-limitA)
		}
		return c
	}
	sort.SliceStable(open, func(a, b int) bool { return va[open[a]] > va[open[b]] })
	if len(open) > exactCircuits {
		pick := s.shareMany(va, open, rate)
		for k, i := range open {
			legs[i] = s.Ways[pick[k]]
		}
		return legs
	}
	// What each open circuit adds on each way, worked out once.
	adds := make([][]tally, len(open))
	for k, i := range open {
		for _, way := range s.Ways {
			adds[k] = append(adds[k], s.on(way, va[i]))
		}
	}
	pick := make([]int, len(open))
	best := make([]int, len(open))
	var bestCost cost
	found := false
	var try func(int, tally)
	try = func(k int, t tally) {
		if k == len(open) {
			if c := rate(t); !found || c.less(bestCost) {
				found, bestCost = true, c
				copy(best, pick)
			}
			return
		}
		for w := range s.Ways {
			pick[k] = w
			try(k+1, t.plus(adds[k][w]))
		}
	}
	try(0, tally{})
	for k, i := range open {
		legs[i] = s.Ways[best[k]]
	}
	return legs
}

// shareMany shares out more circuits than can all be tried: heaviest first, and
// by differencing, each bettered by moves and exchanges until none helps; the
// better of the two.
func (s System) shareMany(va []float64, open []int, rate func(tally) cost) []int {
	loads := make([]float64, len(open))
	for k, i := range open {
		loads[k] = va[i]
	}
	greedy := make([]int, len(open))
	var t tally
	for k := range open {
		best, bestCost := 0, cost{}
		for w, way := range s.Ways {
			if c := rate(t.plus(s.on(way, loads[k]))); w == 0 || c.less(bestCost) {
				best, bestCost = w, c
			}
		}
		greedy[k] = best
		t = t.plus(s.on(s.Ways[best], loads[k]))
	}
	a, ca := s.bettered(greedy, loads, rate)
	b, cb := s.bettered(differenced(loads, len(s.Ways)), loads, rate)
	if cb.less(ca) {
		return b
	}
	return a
}

// mostRounds bounds the rounds of betterment; each is better than the last, so
// few are ever made.
const mostRounds = 50

func (s System) bettered(pick []int, loads []float64, rate func(tally) cost) ([]int, cost) {
	of := func() cost {
		var t tally
		for k, w := range pick {
			t = t.plus(s.on(s.Ways[w], loads[k]))
		}
		return rate(t)
	}
	now := of()
	for range mostRounds {
		before := now
		for k := range pick {
			old := pick[k]
			for w := range s.Ways {
				kept := pick[k]
				pick[k] = w
				if c := of(); c.less(now) {
					now = c
				} else {
					pick[k] = kept
				}
			}
			if pick[k] != old {
				continue
			}
			for j := k + 1; j < len(pick); j++ {
				if pick[j] == pick[k] {
					continue
				}
				pick[j], pick[k] = pick[k], pick[j]
				if c := of(); c.less(now) {
					now = c
				} else {
					pick[j], pick[k] = pick[k], pick[j]
				}
			}
		}
		if !now.less(before) {
			break
		}
	}
	return pick, now
}
