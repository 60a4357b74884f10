package scheme

import (
	"math"
	"math/rand/v2"
	"slices"

	"roodbeam/engine/geom"
)

// looseBright is the share of the target to which faces may go in the second
// of two searches. The first lets no face be brighter than its tolerance, which
// favours even fields; the second counts on dimming units one by one.
const looseBright = 1.6

// search builds choices by greatest gain, improves them by removing and
// exchanging single columns, tries again from partly emptied ones, and keeps
// the one that costs least once its levels are set.
func (s *selection) search(rng *rand.Rand) {
	var best []int
	bestCost := math.Inf(1)
	for _, allow := range []float64{1 + s.z.tolerance, looseBright} {
		s.allow, s.picked = allow, s.picked[:0]
		s.grow()
		s.improve()
		here, hereCost := append([]int(nil), s.picked...), s.settled()
		for range restarts {
			if s.work > workBudget {
				break
			}
			s.picked = append(s.picked[:0], here...)
			for range 1 + rng.IntN(max(1, len(here)/2)) {
				if len(s.picked) > 0 {
					at := rng.IntN(len(s.picked))
					s.picked = append(s.picked[:at], s.picked[at+1:]...)
				}
			}
			s.grow()
			s.improve()
			if c := s.settled(); c < hereCost-gainNeeded {
				here, hereCost = append(here[:0], s.picked...), c
			}
		}
		if hereCost < bestCost-gainNeeded {
			best, bestCost = here, hereCost
		}
	}
	s.picked = best
	s.searchAlike(bestCost)
}

// searchAlike tries each fixture alone, since a row of one type is seldom
// reached by exchanging single columns of a mixed one, and keeps the best where
// it costs less than the picked columns.
func (s *selection) searchAlike(bestCost float64) {
	best := s.picked
	var codes []string
	for _, c := range s.columns {
		if !slices.Contains(codes, c.option.Code) {
			codes = append(codes, c.option.Code)
		}
	}
	for _, code := range codes {
		if s.work > workBudget {
			break
		}
		s.only, s.allow, s.picked = code, looseBright, nil
		s.grow()
		s.improve()
		s.only = ""
		if cost := s.settled(); cost < bestCost-gainNeeded {
			best, bestCost = s.picked, cost
		}
	}
	s.picked = best
}

// levelRounds is how often the levels of a choice are gone through.
const levelRounds = 20

// workBudget bounds the search of one zone, in target evaluations: about half a
// second. A count and not a clock, so that the same input gives the same answer.
const workBudget = 25_000_000

// settled returns the cost of the picked columns at the levels that even the
// zone out best, and its sides where light from both is asked for.
func (s *selection) settled() float64 {
	n := len(s.picked)
	s.work += n * len(s.points) * levelRounds
	s.store = append(s.store[:0], make([]float64, n)...)
	s.even = append(s.even[:0], s.base...)
	s.tilt = append(s.tilt[:0], make([]float64, len(s.points))...)
	change := func(c *candidate, by float64) {
		for t := range s.even {
			s.even[t] += by * c.lx[t]
			s.tilt[t] += by * c.lx[t] * c.side[t]
		}
	}
	for k, i := range s.picked {
		s.store[k] = 1
		change(s.columns[i], 1)
	}
	T := s.z.targetLx
	for range levelRounds {
		for k, i := range s.picked {
			c := s.columns[i]
			num, den := fullPull*(1-s.store[k]), fullPull
			for t := range s.even {
				if !s.points[t].key {
					continue
				}
				a := c.lx[t] / T
				side := c.side[t]
				num += a * (1 - s.even[t]/T - sidesWeight*side*s.tilt[t]/T)
				den += a * a * (1 + sidesWeight*side*side)
			}
			level := max(leastLevel, min(1, s.store[k]+num/den))
			change(c, level-s.store[k])
			s.store[k] = level
		}
	}
	allow := s.allow
	s.allow, s.levels = 1+s.z.tolerance, s.store
	cost := s.cost()
	for k, level := range s.levels {
		waste := wasteCost * (1 - level)
		if code := s.columns[s.picked[k]].option.Code; s.count[code] <= s.free[code] {
			waste *= ownedWaste
		}
		cost += waste
	}
	s.allow, s.levels = allow, nil
	return cost
}

// grow adds the column of greatest gain as long as one gains.
func (s *selection) grow() {
	now := s.settled()
	for len(s.picked) < maxUnits {
		at, cost := s.bestColumn(-1)
		if at < 0 || cost >= now-gainNeeded {
			return
		}
		s.picked, now = append(s.picked, at), cost
	}
}

// improve removes and exchanges single columns until nothing gains.
func (s *selection) improve() {
	now := s.settled()
	for range 8 {
		if s.work > workBudget {
			return
		}
		changed := false
		for n := 0; n < len(s.picked); n++ {
			was := s.picked[n]
			at, cost := s.bestColumn(n)
			rest := append(append([]int(nil), s.picked[:n]...), s.picked[n+1:]...)
			all := s.picked
			s.picked = rest
			without := s.settled()
			s.picked = all
			switch {
			case without < now-gainNeeded && (at < 0 || without <= cost):
				s.picked, now = rest, without
				n--
				changed = true
			case at >= 0 && at != was && cost < now-gainNeeded:
				s.picked[n], now = at, cost
				changed = true
			}
		}
		if s.reequip() {
			changed = true
		}
		if !changed {
			return
		}
		s.grow()
		now = s.settled()
	}
}

// perOption is how many columns of each fixture and beam, best at full level,
// are tried with levels set.
const perOption = 2

type ranked struct {
	column int
	cost   float64
}

// bestColumn returns the column that costs least when it joins the picked ones,
// in the place of the one at skip unless that is −1.
func (s *selection) bestColumn(skip int) (int, float64) {
	s.prepare(skip)
	s.work += len(s.columns) * len(s.points)
	short := make(map[*fixtureOption][]ranked)
	var order []*fixtureOption
	for i, c := range s.columns {
		if !s.fits(c) {
			continue
		}
		cost := s.total(c)
		list := short[c.option]
		if list == nil {
			order = append(order, c.option)
		}
		if len(list) == perOption && cost >= list[perOption-1].cost {
			continue
		}
		list = append(list, ranked{i, cost})
		slices.SortStableFunc(list, func(a, b ranked) int { return compareFloat(a.cost, b.cost) })
		short[c.option] = list[:min(perOption, len(list))]
	}
	best, at := math.Inf(1), -1
	all := s.picked
	tried := append([]int(nil), all...)
	if skip < 0 {
		skip = len(tried)
		tried = append(tried, 0)
	}
	s.picked = tried
	for _, o := range order {
		for _, r := range short[o] {
			tried[skip] = r.column
			if cost := s.settled(); cost < best {
				best, at = cost, r.column
			}
		}
	}
	s.picked = all
	return at, best
}

// reequip tries every fixture and beam for all picked places at once, which
// exchanges one by one would not reach over the cost of mixing; true when one
// gained.
func (s *selection) reequip() bool {
	type place struct {
		site *site
		face int
	}
	now := s.settled()
	all := s.picked
	best := all
	byOption := map[*fixtureOption]map[place]int{}
	var order []*fixtureOption
	for i, c := range s.columns {
		if byOption[c.option] == nil {
			byOption[c.option] = map[place]int{}
			order = append(order, c.option)
		}
		byOption[c.option][place{c.site, c.face}] = i
	}
	for _, o := range order {
		var tried []int
		for _, i := range all {
			if j, ok := byOption[o][place{s.columns[i].site, s.columns[i].face}]; ok {
				tried = append(tried, j)
			}
		}
		if len(tried) < len(all) {
			continue
		}
		s.picked = tried
		if cost := s.settled(); cost < now-gainNeeded {
			best, now = tried, cost
		}
	}
	changed := len(all) > 0 && &best[0] != &all[0]
	s.picked = best
	return changed
}

// fits tells whether a column may be tried: its lens is far enough from those
// hung.
func (s *selection) fits(c *candidate) bool {
	if s.only != "" && c.option.Code != s.only {
		return false
	}
	for _, t := range s.taken {
		if tooNear(t, c.site.at) {
			return false
		}
	}
	for n, i := range s.picked {
		if n != s.skipped && tooNear(s.columns[i].site.at, c.site.at) {
			return false
		}
	}
	return true
}

func tooNear(a, b geom.Vec) bool { return a.Sub(b).Dot(a.Sub(b)) < hungApartM*hungApartM }
