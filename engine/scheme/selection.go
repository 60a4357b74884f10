package scheme

import (
	"math"
	"math/rand/v2"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
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
	overWeight    = 3.0
	overShare     = 1.25 // light above this share of the target only has to be dimmed away
	sideShare     = 0.35 // of the target, wanted from each side
	restarts      = 4
	maxUnits      = 40 // of one zone
	gainNeeded    = 1e-6
)

// selection chooses columns of one zone.
type selection struct {
	z       *zoneWork
	columns []*candidate
	base    []float64 // light on the zone's targets from what is decided already
	dirs    [][]direction
	points  []target
	open    map[string]bool // lines that carry something already
	free    map[string]int  // fixtures the church owns and has not used yet
	taken   []geom.Vec      // lenses hung already
	picked  []int

	// What the picked columns give together, kept while one more is tried.
	skipped int // place in picked that is left out; −1: none
	sum     []float64
	views   [][]direction
	fixed   float64
	lines   map[string]bool
	count   map[string]int
}

// direction is light at a face from one bearing.
type direction struct{ bearing, lx float64 }

// frontLight decides the front light of a zone.
func (p *proposer) frontLight(z *zoneWork) {
	if len(z.faces) == 0 {
		p.rep.add("SCHEME_NOTHING_TO_HANG", "zone "+z.Name, finding.Text("why", "the brief does not say where its faces are"))
		return
	}
	columns := p.frontCandidates(z)
	if len(columns) == 0 {
		p.noColumns(z)
		return
	}
	s := p.newSelection(z, columns)
	s.search(rand.New(rand.NewPCG(p.in.Seed, uint64(z.order)+1)))
	for n, i := range s.picked {
		c := &choice{candidate: s.columns[i], zone: z, purpose: FrontWash, level: 1}
		if z.wall {
			c.purpose = WallWash
		}
		c.extra = p.frontAccessories(c)
		c.reason = p.explain(s, n, c)
		p.used[c.option.Code]++
		p.chosen = append(p.chosen, c)
	}
	p.nameUnits(z)
}

func (p *proposer) noColumns(z *zoneWork) {
	if len(p.optionsFor(z)) == 0 {
		p.rep.add("SCHEME_NO_FIXTURE", "zone "+z.Name, finding.Text("why", "no white fixture that hangs, has a known beam and fits the supply"))
		return
	}
	why := "no allowed hanging line has a usable place"
	if len(p.sites) > 0 {
		why = "no allowed line sees its faces at 25° to 60° with a fixture of fitting strength"
		if best := p.bestFrontCell(z); best != "" {
			why += " (" + best + ")"
		}
	}
	p.rep.add("SCHEME_NOTHING_TO_HANG", "zone "+z.Name, finding.Text("why", why))
}

func (p *proposer) newSelection(z *zoneWork, columns []*candidate) *selection {
	s := &selection{z: z, columns: columns, points: p.points[z.from:z.to], open: map[string]bool{}, free: map[string]int{}}
	s.base = make([]float64, len(s.points))
	s.dirs = make([][]direction, len(s.points))
	add := func(src light.Source, mine bool) {
		for i, t := range s.points {
			lx := p.loss * light.Direct(src, t.Point, p.scene).Lx
			s.base[i] += lx
			if mine && lx > 0 {
				s.dirs[i] = append(s.dirs[i], direction{geom.BearingDeg(t.At, src.At), lx})
			}
		}
	}
	for i, src := range Sources(p.locked, p.in.Catalogue) {
		u := p.locked[i]
		s.taken = append(s.taken, u.At)
		s.open[u.Line] = true
		if isKey(u.Unit) || u.Purpose == Fill {
			add(src, u.Zone == z.Name)
		}
	}
	for _, c := range p.chosen {
		s.taken = append(s.taken, c.site.at)
		s.open[c.site.line.Name] = true
		if c.purpose == FrontWash {
			add(c.source(), false)
		}
	}
	for _, o := range p.options {
		s.free[o.Code] = max(0, o.Owned-p.used[o.Code])
	}
	return s
}

func (c *choice) source() light.Source {
	return light.Source{ID: c.id, Zone: c.zone.Name, Purpose: string(c.purpose), At: c.site.at, Aim: c.aim, Dist: c.option.dist, Level: c.level, FieldDeg: c.option.beam.FieldDeg}
}

// search builds a choice by greatest gain, improves it by removing and
// exchanging single columns, and tries again from partly emptied choices.
func (s *selection) search(rng *rand.Rand) {
	s.grow()
	s.improve()
	best, bestCost := append([]int(nil), s.picked...), s.cost()
	for range restarts {
		if len(best) == 0 {
			return
		}
		s.picked = append(s.picked[:0], best...)
		for range 1 + rng.IntN(max(1, len(best)/2)) {
			if len(s.picked) > 0 {
				at := rng.IntN(len(s.picked))
				s.picked = append(s.picked[:at], s.picked[at+1:]...)
			}
		}
		s.grow()
		s.improve()
		if c := s.cost(); c < bestCost-gainNeeded {
			best, bestCost = append(best[:0], s.picked...), c
		}
	}
	s.picked = best
}

// grow adds the column of greatest gain as long as one gains.
func (s *selection) grow() {
	for len(s.picked) < maxUnits {
		s.prepare(-1)
		now := s.total(nil)
		at, cost := s.bestColumn()
		if at < 0 || cost >= now-gainNeeded {
			return
		}
		s.picked = append(s.picked, at)
	}
}

// improve removes and exchanges single columns until nothing gains.
func (s *selection) improve() {
	for range 8 {
		changed := false
		for n := 0; n < len(s.picked); n++ {
			now := s.cost()
			s.prepare(n)
			without := s.total(nil)
			at, cost := s.bestColumn()
			switch {
			case without < now-gainNeeded && (at < 0 || without <= cost):
				s.picked = append(s.picked[:n], s.picked[n+1:]...)
				n--
				changed = true
			case at >= 0 && cost < now-gainNeeded:
				s.picked[n] = at
				changed = true
			}
		}
		if !changed {
			return
		}
		s.grow()
	}
}

// bestColumn returns the column that, added to the prepared choice, costs least.
func (s *selection) bestColumn() (int, float64) {
	best, at := math.Inf(1), -1
	for i, c := range s.columns {
		if !s.fits(c) {
			continue
		}
		if cost := s.total(c); cost < best {
			best, at = cost, i
		}
	}
	return at, best
}

// fits tells whether a column's lens is far enough from those hung.
func (s *selection) fits(c *candidate) bool {
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
	s.views = make([][]direction, len(s.points))
	for i := range s.points {
		s.views[i] = append(s.views[i], s.dirs[i]...)
	}
	s.fixed, s.lines, s.count = 0, map[string]bool{}, map[string]int{}
	for n, i := range s.picked {
		if n == skip {
			continue
		}
		c := s.columns[i]
		s.fixed += s.priceOf(c)
		s.count[c.option.Code]++
		s.lines[c.site.line.Name] = true
		for t := range s.points {
			s.sum[t] += c.lx[t]
			if s.points[t].key && c.lx[t] > 0 {
				s.views[t] = append(s.views[t], direction{c.bearingDeg, c.lx[t]})
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
	var keys, margins, mean, short, worst, margin, over, cross float64
	for t := range s.points {
		E := s.sum[t]
		if c != nil {
			E += c.lx[t]
		}
		if !s.points[t].key {
			margins++
			margin += math.Max(0, marginShare-E/T)
			continue
		}
		keys++
		mean += E / T
		low := math.Max(0, s.leastWanted()-E/T)
		short += low
		worst = math.Max(worst, low)
		over += math.Max(0, E/T-overShare)
		if s.z.cross > 0 {
			cross += s.oneSided(t, c)
		}
	}
	if keys == 0 {
		return cost
	}
	cost += averageWeight*math.Max(0, s.averageWanted()-mean/keys) + leastWeight*short/keys + worstWeight*worst
	cost += overWeight*over/keys + s.z.cross*cross/keys
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
		return math.Max(s.z.evenness, 1-s.z.tolerance)
	}
	return s.z.evenness
}

// oneSided returns how far a face is from light from both sides, 0 to 1: the
// share of light wanted from each side, and the plan angle between the two
// outermost units that give at least a quarter of the strongest.
func (s *selection) oneSided(t int, c *candidate) float64 {
	strongest, left, right := 0.0, 0.0, 0.0
	views := s.views[t]
	more := direction{}
	if c != nil && c.lx[t] > 0 {
		more = direction{c.bearingDeg, c.lx[t]}
	}
	facing := s.points[t].facingDeg
	side := func(d direction) {
		strongest = math.Max(strongest, d.lx)
		if wrapDeg(d.bearing-facing) < 0 {
			left += d.lx
		} else {
			right += d.lx
		}
	}
	for _, d := range views {
		side(d)
	}
	side(more)
	if strongest == 0 {
		return 1
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	widen := func(d direction) {
		if d.lx > 0 && d.lx >= sharedShareOfBest*strongest {
			b := wrapDeg(d.bearing - facing)
			lo, hi = math.Min(lo, b), math.Max(hi, b)
		}
	}
	for _, d := range views {
		widen(d)
	}
	widen(more)
	spread := math.Max(0, partnersApartDeg-(hi-lo)) / partnersApartDeg
	weak := 1 - math.Min(1, math.Min(left, right)/(sideShare*s.z.targetLx))
	return 0.5*weak + 0.5*spread
}
