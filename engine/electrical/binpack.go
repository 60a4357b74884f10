package electrical

import (
	"math"
	"sort"
)

// burden is what one thing puts on a circuit, in shares of what the circuit may
// bear: apparent power, inrush and a place in the count of drivers.
type burden struct{ va, inrush float64 }

// packing is things put into bins, and how good that is.
type packing struct {
	bins  [][]int // by index, every thing once
	least int     // no packing has fewer
}

func (p packing) proven() bool { return len(p.bins) == p.least }

// packBudget is how many sets of companions the search looks at before it gives
// up on a number of bins; up to about twenty things it ends long before.
const packBudget = 300_000

// fits is the slack for shares that add up to exactly one.
const fits = 1 + 1e-9

// intoFewest puts things into as few bins as it finds, no bin bearing more than 1 of
// either share or more than most things; a thing above 1 alone gets a bin to
// itself. First-fit decreasing gives a start; then bin completion (the largest
// thing left is given every maximal set of companions in turn, the fullest and
// bulkiest first, so that small things stay for the end, and a branch ends when more is wasted than the number of bins allows) looks for
// fewer, and proves that there are not when it comes to its end. The bound is
// otherwise the larger of the volume, the count and the things above one half.
//
// Source: R. E. Korf, A new algorithm for optimal bin packing (2002); S. Martello
// and P. Toth, Knapsack Problems (1990), chapter 8 (bounds).
func intoFewest(things []burden, most, budget int) packing {
	if len(things) == 0 {
		return packing{}
	}
	s := &completion{things: things, most: max(1, most)}
	s.order = make([]int, len(things))
	for i := range s.order {
		s.order[i] = i
	}
	key := func(i int) float64 { return math.Max(things[i].va, things[i].inrush) }
	sort.SliceStable(s.order, func(a, b int) bool { return key(s.order[a]) > key(s.order[b]) })
	best := packing{bins: s.firstFit(), least: s.bound()}
	for n := best.least; n < len(best.bins); n++ {
		s.budget = budget
		bins, found := s.into(n)
		if found {
			best.bins = bins
			break
		}
		if s.budget > 0 { // every way was tried
			best.least = n + 1
		}
	}
	return best
}

type completion struct {
	things []burden
	order  []int // largest first
	most   int
	budget int

	allowed burden // waste that a number of bins leaves
}

func (s *completion) firstFit() [][]int {
	var bins [][]int
	var sums []burden
next:
	for _, i := range s.order {
		t := s.things[i]
		for b := range bins {
			if len(bins[b]) < s.most && sums[b].va+t.va <= fits && sums[b].inrush+t.inrush <= fits {
				bins[b] = append(bins[b], i)
				sums[b] = burden{sums[b].va + t.va, sums[b].inrush + t.inrush}
				continue next
			}
		}
		bins = append(bins, []int{i})
		sums = append(sums, t)
	}
	return bins
}

// bound is a number of bins that no packing goes below.
func (s *completion) bound() int {
	var va, inrush float64
	alone, halfVA, halfInrush := 0, 0, 0
	for _, t := range s.things {
		if t.va > fits || t.inrush > fits {
			alone++
			continue
		}
		va += t.va
		inrush += t.inrush
		if t.va > fits/2 {
			halfVA++
		}
		if t.inrush > fits/2 {
			halfInrush++
		}
	}
	rest := len(s.things) - alone
	up := func(v float64) int { return int(math.Ceil(v - 1e-9)) }
	return max(1, alone+max(up(va), up(inrush), halfVA, halfInrush, (rest+s.most-1)/s.most))
}

// into tries to put everything into n bins.
func (s *completion) into(n int) ([][]int, bool) {
	var sum burden
	for _, t := range s.things {
		sum.va += math.Min(t.va, 1)
		sum.inrush += math.Min(t.inrush, 1)
	}
	s.allowed = burden{float64(n) - sum.va, float64(n) - sum.inrush}
	left := append([]int(nil), s.order...)
	var bins [][]int
	if s.fill(left, n, burden{}, &bins) {
		return bins, true
	}
	return nil, false
}

// fill closes one bin round the largest thing left, every way in turn.
func (s *completion) fill(left []int, n int, wasted burden, bins *[][]int) bool {
	if len(left) == 0 {
		return true
	}
	if n == 0 || len(left) > n*s.most {
		return false
	}
	for _, set := range s.companions(left) {
		w := wasted
		w.va += math.Max(0, 1-set.sum.va)
		w.inrush += math.Max(0, 1-set.sum.inrush)
		if w.va > s.allowed.va+1e-9 || w.inrush > s.allowed.inrush+1e-9 {
			continue
		}
		rest := make([]int, 0, len(left))
		bin := make([]int, 0, len(set.at))
		k := 0
		for j, i := range left {
			if k < len(set.at) && set.at[k] == j {
				bin = append(bin, i)
				k++
				continue
			}
			rest = append(rest, i)
		}
		*bins = append(*bins, bin)
		if s.fill(rest, n-1, w, bins) {
			return true
		}
		*bins = (*bins)[:len(*bins)-1]
		if s.budget <= 0 {
			return false
		}
	}
	return false
}

// companion is the largest thing left with companions, by place in the list of what is
// left, ascending.
type companion struct {
	at    []int
	sum   burden
	worth float64
}

// mostSets bounds the ways to fill one bin that are looked at; passing it counts
// as not having tried every way.
const mostSets = 4000

// companions returns every maximal set that fits with the first of left, the
// fullest and bulkiest first.
func (s *completion) companions(left []int) []companion {
	var out []companion
	first := s.things[left[0]]
	if first.va > fits || first.inrush > fits {
		return []companion{{at: []int{0}, sum: first}}
	}
	at := []int{0}
	var grow func(from int, sum burden)
	grow = func(from int, sum burden) {
		if s.budget--; s.budget <= 0 || len(out) >= mostSets {
			return
		}
		fit := func(j int) bool {
			t := s.things[left[j]]
			return sum.va+t.va <= fits && sum.inrush+t.inrush <= fits
		}
		if len(at) < s.most {
			var last burden
			have := false
			for j := from; j < len(left); j++ {
				t := s.things[left[j]]
				if !fit(j) || (have && t == last) {
					continue
				}
				at = append(at, j)
				grow(j+1, burden{sum.va + t.va, sum.inrush + t.inrush})
				at = at[:len(at)-1]
				last, have = t, true
			}
		}
		// Maximal: nothing that was passed over would still go in.
		if len(at) < s.most {
			in := 0
			for j := range left {
				if in < len(at) && at[in] == j {
					in++
					continue
				}
				if fit(j) {
					return
				}
			}
		}
		out = append(out, companion{append([]int(nil), at...), sum, 0})
	}
	grow(1, first)
	if len(out) >= mostSets {
		s.budget = min(s.budget, 1) // not every way: no proof
	}
	for i := range out {
		for _, j := range out[i].at {
			t := s.things[left[j]]
			out[i].worth += t.va + t.inrush + t.va*t.va + t.inrush*t.inrush
		}
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].worth > out[b].worth })
	return out
}
