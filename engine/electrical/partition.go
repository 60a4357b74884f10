package electrical

import (
	"math"
	"sort"
)

// aim is what a sharing-out over sets is judged by.
type aim int

const (
	leastSpread  aim = iota // largest sum less smallest: the unbalance of lines
	leastLargest            // largest sum: the worst line
)

// partition shares values out over k sets and says whether no better way exists.
// The start is the better of Karmarkar and Karp's differencing and largest-first;
// a branch-and-bound search goes on from it until it ends or its budget does.
// Sets are numbered from 0; k below 1 counts as 1.
//
// Source: N. Karmarkar and R. Karp, The differencing method of set partitioning
// (1982); R. E. Korf, Multi-way number partitioning (2009).
func partition(values []float64, k int, by aim, budget int) (sets []int, proven bool) {
	k = max(1, k)
	p := &partitioner{values: values, k: k, by: by, budget: budget}
	for i := range values {
		p.order = append(p.order, i)
	}
	sort.SliceStable(p.order, func(a, b int) bool { return values[p.order[a]] > values[p.order[b]] })
	p.left = make([]float64, len(values)+1)
	for i := len(values) - 1; i >= 0; i-- {
		p.left[i] = p.left[i+1] + values[p.order[i]]
	}
	for _, start := range [][]int{differenced(values, k), p.largestFirst()} {
		if c := p.rate(start); p.best == nil || c < p.cost-1e-12 {
			p.best, p.cost = start, c
		}
	}
	sums := make([]float64, k)
	pick := make([]int, len(values))
	p.search(0, sums, pick)
	return p.best, p.budget > 0
}

type partitioner struct {
	values []float64
	order  []int
	left   []float64 // sum of what is not placed, by depth
	k      int
	by     aim
	budget int
	best   []int
	cost   float64
}

func (p *partitioner) rate(sets []int) float64 {
	sums := make([]float64, p.k)
	for i, s := range sets {
		sums[s] += p.values[i]
	}
	return p.of(sums)
}

func (p *partitioner) of(sums []float64) float64 {
	high, low, _ := extremes(sums)
	if p.by == leastLargest {
		return high
	}
	return high - low
}

func (p *partitioner) largestFirst() []int {
	sets := make([]int, len(p.values))
	sums := make([]float64, p.k)
	for _, i := range p.order {
		b := 0
		for s := range sums {
			if sums[s] < sums[b] {
				b = s
			}
		}
		sets[i] = b
		sums[b] += p.values[i]
	}
	return sets
}

// search places the next largest value on every set that differs from those
// tried, the lightest first.
func (p *partitioner) search(depth int, sums []float64, pick []int) {
	if p.budget--; p.budget <= 0 {
		return
	}
	if depth == len(p.order) {
		if c := p.of(sums); c < p.cost-1e-12 {
			p.cost = c
			p.best = make([]int, len(pick))
			for d, i := range p.order {
				p.best[i] = pick[d]
			}
		}
		return
	}
	high, _, total := extremes(sums)
	mean := (total + p.left[depth]) / float64(p.k)
	floor := math.Max(high, mean)
	if p.by == leastSpread {
		// The others share what the heaviest set leaves, so their lightest has at
		// most the mean of it.
		floor = 0
		if p.k > 1 {
			floor = math.Max(0, high-(total+p.left[depth]-high)/float64(p.k-1))
		}
	}
	if floor >= p.cost-1e-12 {
		return
	}
	byLoad := make([]int, p.k)
	for s := range byLoad {
		byLoad[s] = s
	}
	sort.SliceStable(byLoad, func(a, b int) bool { return sums[byLoad[a]] < sums[byLoad[b]] })
	v := p.values[p.order[depth]]
	last := math.NaN()
	for _, s := range byLoad {
		if sums[s] == last {
			continue
		}
		last = sums[s]
		sums[s] += v
		pick[depth] = s
		p.search(depth+1, sums, pick)
		sums[s] = last
	}
}

// differenced is Karmarkar and Karp's method for k sets: the two partial
// sharings with the widest spread are joined, heaviest set to lightest, until one
// is left.
func differenced(values []float64, k int) []int {
	type partial struct {
		sums []float64
		of   [][]int
	}
	spread := func(p partial) float64 { return p.sums[0] - p.sums[k-1] }
	var ps []partial
	for i, v := range values {
		p := partial{make([]float64, k), make([][]int, k)}
		p.sums[0], p.of[0] = v, []int{i}
		ps = append(ps, p)
	}
	for len(ps) > 1 {
		sort.SliceStable(ps, func(a, b int) bool { return spread(ps[a]) > spread(ps[b]) })
		a, b := ps[0], ps[1]
		c := partial{make([]float64, k), make([][]int, k)}
		at := make([]int, k)
		for s := range k {
			at[s] = s
			c.sums[s] = a.sums[s] + b.sums[k-1-s]
			c.of[s] = append(append([]int(nil), a.of[s]...), b.of[k-1-s]...)
		}
		sort.SliceStable(at, func(x, y int) bool { return c.sums[at[x]] > c.sums[at[y]] })
		sorted := partial{make([]float64, k), make([][]int, k)}
		for s := range k {
			sorted.sums[s], sorted.of[s] = c.sums[at[s]], c.of[at[s]]
		}
		ps = append([]partial{sorted}, ps[2:]...)
	}
	sets := make([]int, len(values))
	if len(ps) == 1 {
		for s, is := range ps[0].of {
			for _, i := range is {
				sets[i] = s
			}
		}
	}
	return sets
}
