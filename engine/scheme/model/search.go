package model

import (
	"math"
	"math/rand/v2"
	"slices"
)

// search is a local search over choices: columns are added, removed and
// exchanged while that gains; when nothing gains, part of the choice is ruined
// and built anew. What rows miss may count less for a while, so that the way
// from one good choice to another may lead through worse ones.
type search struct {
	p       *Problem
	start   []int32 // of each column's entries
	row     []int32
	coef    []float64
	rows    []rowState
	hard    []int32 // rows whose upper limit is hard
	place   []int
	allowed []int // columns worth trying, by reduced cost where that is known
	trying  []int // those of them that this round tries
	scale   float64
	softer  []float64 // shares of the rows' prices to build with
	root    float64   // bound of the relaxation without branching
	reduced []float64
	strict  bool // no hard limit may be passed; else only those of rows without a lower one

	opened []int
	taken  []int // column of each place, −1
	chosen []int

	rng   *rand.Rand
	work  int64
	limit int64
	stop  func() bool
	tick  int64
	ended bool

	best     []int
	bestCost float64
	found    func() // told of every new best
}

// stiff is how many times the dearest column a unit above a hard limit costs
// while searching, per unit of the row's largest coefficient.
const stiff = 3.0

// rowState is a row with what it lacks and what room it has under the choice at hand.
type rowState struct {
	lack  float64 // below the lower limit; negative: above it
	room  float64 // to the upper limit; negative: above it
	short float64
	over  float64 // a stiff price for a hard limit
	cap   bool    // the upper limit is hard and there is no lower one
	hard  bool
}

func newSearch(p *Problem, rng *rand.Rand) *search {
	s := &search{p: p, rng: rng, scale: 1, softer: []float64{1}, bestCost: math.Inf(1)}
	for _, list := range p.byColumn() {
		s.start = append(s.start, int32(len(s.row)))
		for _, e := range list {
			s.row, s.coef = append(s.row, e.row), append(s.coef, e.coef)
		}
	}
	s.start = append(s.start, int32(len(s.row)))
	dearest := 1e-3
	for _, c := range p.Columns {
		dearest = max(dearest, c.Cost)
	}
	for _, r := range p.Rows {
		over := r.Over
		hard := over == 0 && !math.IsInf(r.Hi, 1)
		if hard {
			s.hard = append(s.hard, int32(len(s.rows)))
			most := 0.0
			for _, t := range r.Terms {
				most = max(most, t.Coef)
			}
			over = stiff * dearest / max(1e-3, most)
			over = max(over, 2*r.Short)
		}
		s.rows = append(s.rows, rowState{lack: r.Lo, room: r.Hi, short: r.Short, over: over, hard: hard, cap: hard && math.IsInf(r.Lo, -1)})
	}
	for j, c := range p.Columns {
		s.place = append(s.place, c.Place)
		s.allowed = append(s.allowed, j)
	}
	s.trying = s.allowed
	s.opened, s.taken = make([]int, len(p.Openings)), make([]int, p.Places)
	for k := range s.taken {
		s.taken[k] = -1
	}
	return s
}

// tickWork is how much work passes between two looks at whether to stop.
const tickWork = 1 << 18

func (s *search) spent() bool {
	if s.ended {
		return true
	}
	if s.work > s.limit {
		s.ended = true
	} else if s.stop != nil && s.work > s.tick {
		s.tick = s.work + tickWork
		s.ended = s.stop()
	}
	return s.ended
}

// gain returns what adding a column changes in cost.
func (s *search) gain(j int) float64 {
	c := &s.p.Columns[j]
	fixed, rows := c.Cost, 0.0
	for _, o := range c.Needs {
		if s.opened[o] == 0 {
			fixed += s.p.Openings[o].Cost
		}
	}
	from, to := s.start[j], s.start[j+1]
	index, coef := s.row[from:to], s.coef[from:to]
	for t, i := range index {
		r := &s.rows[i]
		e := coef[t]
		if e < 0 {
			rows += r.giving(e)
			continue
		}
		if r.lack > 0 {
			rows -= r.short * min(e, r.lack)
		}
		if e > r.room {
			if r.cap || (s.strict && r.hard && e > r.room+hardSlack) {
				if e > r.room+hardSlack {
					s.work += int64(t)
					return math.Inf(1)
				}
				continue
			}
			rows += r.over * (e - max(r.room, 0))
		}
	}
	s.work += int64(to - from)
	return fixed + s.scale*rows
}

// giving returns what a coefficient below 0 costs: the row lacks more, or is less
// above its limit.
func (r *rowState) giving(e float64) float64 {
	cost := 0.0
	if lack := r.lack - e; lack > 0 {
		cost += r.short * (lack - max(0, r.lack))
	}
	if r.room < 0 {
		cost += r.over * max(e, r.room)
	}
	return cost
}

// take removes a column and returns what that changed in cost.
func (s *search) take(j int) float64 {
	s.remove(j)
	strict := s.strict
	s.strict = false
	g := s.gain(j)
	s.strict = strict
	return -g
}

func (s *search) add(j int) {
	for t := s.start[j]; t < s.start[j+1]; t++ {
		r := &s.rows[s.row[t]]
		r.lack -= s.coef[t]
		r.room -= s.coef[t]
	}
	for _, o := range s.p.Columns[j].Needs {
		s.opened[o]++
	}
	s.taken[s.place[j]] = j
	s.chosen = append(s.chosen, j)
}

func (s *search) remove(j int) {
	for t := s.start[j]; t < s.start[j+1]; t++ {
		r := &s.rows[s.row[t]]
		r.lack += s.coef[t]
		r.room += s.coef[t]
	}
	for _, o := range s.p.Columns[j].Needs {
		s.opened[o]--
	}
	s.taken[s.place[j]] = -1
	at := slices.Index(s.chosen, j)
	s.chosen = slices.Delete(s.chosen, at, at+1)
}

// set makes a choice the one at hand, adding up anew.
func (s *search) set(columns []int) {
	for i := range s.rows {
		s.rows[i].lack, s.rows[i].room = s.p.Rows[i].Lo, s.p.Rows[i].Hi
	}
	clear(s.opened)
	for k := range s.taken {
		s.taken[k] = -1
	}
	s.chosen = s.chosen[:0]
	for _, j := range columns {
		if s.taken[s.place[j]] < 0 {
			s.add(j)
		}
	}
	s.work += int64(len(s.rows))
}

// bestAdd returns the column in a free place that lowers the cost most, and by
// how much; with noise up to a share of each gain.
func (s *search) bestAdd(noise float64) (int, float64) {
	at, best := -1, math.Inf(1)
	for _, j := range s.trying {
		if s.taken[s.place[j]] >= 0 {
			continue
		}
		g := s.gain(j)
		if noise > 0 {
			g += noise * math.Abs(g) * s.rng.Float64()
		}
		if g < best {
			at, best = j, g
		}
	}
	return at, best
}

const gainNeeded = 1e-9

// build adds columns as long as one gains.
func (s *search) build(noise float64) {
	for !s.spent() {
		at, g := s.bestAdd(noise)
		if at < 0 || g >= -gainNeeded {
			return
		}
		s.add(at)
	}
}

// descend adds, removes and exchanges until nothing gains.
func (s *search) descend() {
	for {
		s.build(0)
		changed := false
		order := slices.Clone(s.chosen)
		s.rng.Shuffle(len(order), func(a, b int) { order[a], order[b] = order[b], order[a] })
		for _, j := range order {
			if s.spent() {
				return
			}
			was := s.take(j)
			at, g := s.bestAdd(0)
			switch {
			case at >= 0 && at != j && was+g < -gainNeeded && g < 0:
				s.add(at)
				changed = true
			case was < -gainNeeded:
				changed = true
			default:
				s.add(j)
			}
		}
		if !changed {
			return
		}
	}
}

// merge tries to do with one column fewer: two are taken away and one put in
// their place, then the rest exchanged.
func (s *search) merge() bool {
	order := slices.Clone(s.chosen)
	for a := range order {
		for b := a + 1; b < len(order); b++ {
			if s.spent() {
				return false
			}
			was := s.take(order[a])
			was += s.take(order[b])
			at, g := s.bestAdd(0)
			if at >= 0 && was+g < -gainNeeded {
				s.add(at)
				return true
			}
			s.add(order[b])
			s.add(order[a])
		}
	}
	return false
}

// repair takes columns away until no hard limit is passed, then descends within
// the hard limits.
func (s *search) repair() {
	broken := func() int32 {
		for _, i := range s.hard {
			if s.rows[i].room < -hardSlack {
				return i
			}
		}
		return -1
	}
	if broken() < 0 {
		return
	}
	for i := broken(); i >= 0; i = broken() {
		at, best := -1, math.Inf(1)
		for _, j := range slices.Clone(s.chosen) {
			if !s.touches(j, i) {
				continue
			}
			was := s.take(j)
			s.add(j)
			if was < best {
				at, best = j, was
			}
		}
		if at < 0 {
			break
		}
		s.remove(at)
	}
	s.strict = true
	s.descend()
	s.strict = false
}

func (s *search) touches(j int, row int32) bool {
	_, ok := slices.BinarySearch(s.row[s.start[j]:s.start[j+1]], row)
	return ok
}

// keep records the choice at hand when it is the best that keeps all limits.
func (s *search) keep() float64 {
	s.repair()
	cost, ok := s.p.Value(s.chosen)
	s.work += int64(len(s.row))
	if !ok {
		return math.Inf(1)
	}
	if cost < s.bestCost-gainNeeded {
		s.best, s.bestCost = slices.Clone(s.chosen), cost
		slices.Sort(s.best)
		if s.found != nil {
			s.found()
		}
	}
	return cost
}

// soften sets the shares of the rows' prices that count while a ruined choice is
// built anew: all of it, and a few times what the relaxation says light is worth.
func (s *search) soften(r *relaxation) {
	sum, n := 0.0, 0
	for a, i := range r.active {
		if short := r.rows[i].short; short > 0 && r.y[a] > 0 {
			sum += min(1, r.y[a]/short)
			n++
		}
	}
	s.softer = []float64{1}
	if n == 0 {
		return
	}
	for _, times := range timesWorth {
		s.softer = append(s.softer, min(1, times*sum/float64(n)))
	}
}

var timesWorth = [...]float64{25, 10, 5, 3, 2, 1.3}

// tried are the numbers of columns, by reduced cost, that a round looks at.
var tried = [...]int{60, 60, 120, 240, 600}

// round ruins part of the choice at hand, builds it anew and descends; it goes
// on from the result when that is not much worse.
func (s *search) round(here []int, hereCost, slack float64) ([]int, float64) {
	s.trying = s.allowed[:min(len(s.allowed), tried[s.rng.IntN(len(tried))])]
	s.set(here)
	n := 1 + s.rng.IntN(max(1, min(5, len(here))))
	if len(here) > 0 && s.rng.IntN(2) == 0 {
		s.ruinNear(s.chosen[s.rng.IntN(len(s.chosen))], n)
	} else {
		for range n {
			if len(s.chosen) > 0 {
				s.remove(s.chosen[s.rng.IntN(len(s.chosen))])
			}
		}
	}
	if s.rng.IntN(2) == 0 {
		s.widely()
	} else {
		s.scale = s.softer[s.rng.IntN(len(s.softer))]
		s.build(0.3)
		if s.scale < 1 {
			s.descend()
			s.scale = 1
		}
	}
	s.descend()
	for s.rng.IntN(4) == 0 && s.merge() {
		s.descend()
	}
	cost := s.keep()
	if cost <= hereCost+slack {
		return slices.Clone(s.chosen), cost
	}
	return here, hereCost
}

// firsts is how many first columns widely goes on from.
const firsts = 8

// widely builds a ruined choice anew in several ways, one from each of the best
// first columns, and keeps the best of them.
func (s *search) widely() {
	type first struct {
		j    int
		gain float64
	}
	var list []first
	for _, j := range s.trying {
		if s.taken[s.place[j]] >= 0 {
			continue
		}
		if g := s.gain(j); g < -gainNeeded && (len(list) < firsts || g < list[len(list)-1].gain) {
			at := len(list)
			for at > 0 && list[at-1].gain > g {
				at--
			}
			list = slices.Insert(list, at, first{j, g})
			list = list[:min(firsts, len(list))]
		}
	}
	bestCost, best := math.Inf(1), slices.Clone(s.chosen)
	if len(list) == 0 {
		return
	}
	rest := slices.Clone(s.chosen)
	for _, f := range list {
		cost := s.gain(f.j)
		s.add(f.j)
		for !s.spent() {
			at, g := s.bestAdd(0)
			if at < 0 || g >= -gainNeeded {
				break
			}
			s.add(at)
			cost += g
		}
		if cost < bestCost {
			best, bestCost = slices.Clone(s.chosen), cost
		}
		for _, j := range slices.Clone(s.chosen) {
			if !slices.Contains(rest, j) {
				s.remove(j)
			}
		}
	}
	for _, j := range best {
		if !slices.Contains(rest, j) {
			s.add(j)
		}
	}
}

// afresh builds a choice from nothing, with much noise and softened prices; most
// times of columns alone that need one opening, since a choice of one type is
// seldom reached by exchanging single columns of another.
func (s *search) afresh(n int) ([]int, float64) {
	s.trying = s.allowed
	if k := len(s.p.Openings); k > 0 && n%(k+1) < k {
		var alike []int
		for _, j := range s.allowed {
			if slices.Contains(s.p.Columns[j].Needs, n%(k+1)) {
				alike = append(alike, j)
			}
		}
		s.trying = alike
	}
	s.trying = s.trying[:min(len(s.trying), tried[len(tried)-1])]
	s.set(nil)
	s.scale = s.softer[s.rng.IntN(len(s.softer))]
	s.build(0.6)
	s.descend()
	s.scale = 1
	s.descend()
	cost := s.keep()
	return slices.Clone(s.chosen), cost
}

// ruinNear takes away the columns that share most of their rows' light with one.
func (s *search) ruinNear(j, n int) {
	mark := map[int32]float64{}
	for t := s.start[j]; t < s.start[j+1]; t++ {
		mark[s.row[t]] = s.coef[t]
	}
	type near struct {
		j     int
		share float64
	}
	var list []near
	for _, i := range s.chosen {
		sum := 0.0
		for t := s.start[i]; t < s.start[i+1]; t++ {
			sum += min(mark[s.row[t]], s.coef[t])
		}
		list = append(list, near{i, sum})
	}
	slices.SortStableFunc(list, func(a, b near) int {
		switch {
		case a.share > b.share:
			return -1
		case a.share < b.share:
			return 1
		}
		return 0
	})
	for _, v := range list[:min(n, len(list))] {
		s.remove(v.j)
	}
}
