package scheme

import (
	"math"
)

// Weights of a zone's shortcomings, in units: a missing target costs more than
// the units that would reach it, so that money only chooses between ways to
// reach it.
const (
	averageWeight = 60.0
	leastWeight   = 60.0
	worstWeight   = 15.0
	marginWeight  = 15.0
	marginShare   = 0.5 // of the target, one step away from a key place
	sideUseful    = 0.6 // of the target, most that one unit is counted for in the balance of sides
	overWeight    = 3.0
	brightWeight  = 10.0 // light above the tolerance that no level can take away
	aloneWeight   = 20.0
	aloneShare    = 0.75 // of the target, wanted at a key place from the units focused on it alone
	overShare     = 1.25 // light above this share of the target only has to be dimmed away
	sideShare     = 0.35 // of the target, wanted from each side
	mixCost       = 0.6  // of each further type in one zone: one white for all key lights
	mixBeamCost   = 0.25 // of each further beam
	wasteCost     = 0.6  // of a unit that would have to be dimmed to nothing: a wider beam serves better
	ownedWaste    = 0.3  // share of that for a fixture the church has already
	restarts      = 4
	maxUnits      = 40 // of one zone
	gainNeeded    = 1e-6
)

// cost returns the cost of the picked columns.
func (s *selection) cost() float64 {
	s.prepare(-1)
	return s.total(nil)
}

// prepare sums what the picked columns give, leaving out the one at a place in
// picked, −1 for none.
func (s *selection) prepare(skip int) {
	s.skipped = skip
	s.sum = append(s.sum[:0], s.base...)
	s.left = append(s.left[:0], make([]float64, len(s.points))...)
	s.right = append(s.right[:0], make([]float64, len(s.points))...)
	s.views = make([][]direction, len(s.points))
	for i, t := range s.points {
		s.views[i] = append(s.views[i], s.dirs[i]...)
		for _, d := range s.dirs[i] {
			if wrapDeg(d.bearing-t.facingDeg) < 0 {
				s.left[i] += d.lx
			} else {
				s.right[i] += d.lx
			}
		}
	}
	s.fixed, s.lines, s.count, s.beams = 0, map[string]bool{}, map[string]int{}, map[*fixtureOption]int{}
	for n, i := range s.picked {
		if n == skip {
			continue
		}
		c := s.columns[i]
		s.fixed += s.priceOf(c)
		s.count[c.option.Code]++
		s.beams[c.option]++
		s.lines[c.site.line.Name] = true
		level := 1.0
		if s.levels != nil {
			level = s.levels[n]
		}
		for t := range s.points {
			s.sum[t] += level * c.lx[t]
			if c.side[t] < 0 {
				s.left[t] += level * c.lx[t]
			} else {
				s.right[t] += level * c.lx[t]
			}
			if s.points[t].key && c.focusedOn(s.points[t]) {
				s.views[t] = append(s.views[t], direction{c.bearingDeg, level * c.lx[t]})
			}
		}
	}
}

// priceOf returns what one more column costs by itself, in units.
func (s *selection) priceOf(c *candidate) float64 {
	cost := hangCost + c.merit
	if s.count[c.option.Code] >= s.free[c.option.Code] {
		cost += c.priceUnits
	}
	switch {
	case len(s.count) > 0 && s.count[c.option.Code] == 0:
		cost += mixCost
	case len(s.count) > 0 && s.beams[c.option] == 0:
		cost += mixBeamCost
	case len(s.count) == 0 && len(s.others) > 0 && !s.others[c.option.Code]:
		cost += mixCost
	}
	if name := c.site.line.Name; !s.open[name] && !s.lines[name] {
		cost += openLineCost
	}
	return cost
}

// total returns the cost of the prepared choice, with one more column unless
// that is nil.
func (s *selection) total(c *candidate) float64 {
	cost := s.fixed
	if c != nil {
		cost += s.priceOf(c)
	}
	T := s.z.targetLx
	brightest := 0.0
	for t := range s.points {
		s.trial[t] = s.sum[t] / T
		if c != nil {
			s.trial[t] += c.lx[t] / T
		}
		if s.points[t].key {
			brightest = max(brightest, s.trial[t])
		}
	}
	// Light above the tolerance has to be dimmed away, and dims the other faces
	// with it: only the evened-out share counts.
	dim := min(1, s.allow/brightest)
	var keys, margins, mean, full, short, worst, margin, over, cross, alone float64
	for t, share := range s.trial {
		if !s.points[t].key {
			margins++
			margin += max(0, marginShare-share)
			continue
		}
		keys++
		mean += share * dim
		full += share
		low := max(0, s.leastWanted()-share*dim)
		short += low
		worst = max(worst, low)
		over += max(0, share-overShare)
		if s.z.cross > 0 {
			cross += s.oneSided(t, c)
		}
		if len(s.z.Zone.Faces) > 0 {
			alone += s.aloneShort(t, c)
		}
	}
	if keys == 0 {
		return cost
	}
	cost += averageWeight*max(0, s.averageWanted()-mean/keys) + leastWeight*short/keys + worstWeight*worst
	cost += overWeight*over/keys + s.z.cross*cross/keys
	cost += aloneWeight * alone / keys
	if s.levels != nil {
		cost += brightWeight * max(0, full/keys-1-s.z.tolerance)
	}
	if margins > 0 {
		cost += marginWeight * margin / margins
	}
	return cost
}

// averageWanted is the share of the target the average must reach: half of the
// tolerance is kept for what is not known.
func (s *selection) averageWanted() float64 { return 1 - s.z.tolerance/2 }

// leastWanted is the share of the target each face must reach: evenness of the
// average, and not below the tolerance at a single key place.
func (s *selection) leastWanted() float64 {
	if len(s.z.Zone.Faces) > 0 {
		return max(s.z.evenness, 1-s.z.tolerance)
	}
	return s.z.evenness
}

// aloneShort returns what the units focused on a key place lack of the share of
// the target they should give without their neighbours.
func (s *selection) aloneShort(t int, c *candidate) float64 {
	lx := 0.0
	for _, d := range s.views[t] {
		lx += d.lx
	}
	if c != nil && c.focusedOn(s.points[t]) {
		lx += c.lx[t]
	}
	return max(0, aloneShare-lx/s.z.targetLx)
}

// focusedOn tells whether a column is focused within one lit area of a face:
// only then is it a direction of that face that stays when others are dimmed.
func (c *candidate) focusedOn(t target) bool {
	d := c.aim.Sub(t.At)
	return d.Dot(d) <= areaAcrossM*areaAcrossM/4
}

// nearlyApart is what partners that are only just too near each other cost, as
// a share of having none.
const nearlyApart = 0.15

// oneSided returns how far a face is from light from both sides, 0 to 1: the
// share of light wanted from each side, by all units of the zone, and the plan
// angle between the two outermost units focused on it that give at least half
// of the strongest.
func (s *selection) oneSided(t int, c *candidate) float64 {
	left, right := s.left[t], s.right[t]
	more := direction{}
	if c != nil {
		if c.side[t] < 0 {
			left += c.lx[t]
		} else {
			right += c.lx[t]
		}
		if c.focusedOn(s.points[t]) {
			more = direction{c.bearingDeg, c.lx[t]}
		}
	}
	useful := sideUseful * s.z.targetLx // brighter ones can be dimmed to it
	strongest := min(more.lx, useful)
	for _, d := range s.views[t] {
		strongest = max(strongest, min(d.lx, useful))
	}
	if strongest == 0 {
		return 1
	}
	facing := s.points[t].facingDeg
	lo, hi := math.Inf(1), math.Inf(-1)
	widen := func(d direction) {
		if d.lx > 0 && min(d.lx, useful) >= sharedShareOfBest*strongest {
			b := wrapDeg(d.bearing - facing)
			lo, hi = min(lo, b), max(hi, b)
		}
	}
	for _, d := range s.views[t] {
		widen(d)
	}
	widen(more)
	spread := 0.0
	if apart := hi - lo; apart < partnersApartDeg {
		spread = nearlyApart + (1-nearlyApart)*(partnersApartDeg-apart)/partnersApartDeg
	}
	weak := 1 - min(1, min(left, right)/(sideShare*s.z.targetLx))
	return 0.5*weak + 0.5*spread
}
