package scheme

import (
	"math"
	"math/rand/v2"
	"slices"

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
	allow   float64         // share of the target above which a face dims the others with it
	levels  []float64       // of the picked columns; nil: full
	only    string          // fixture that alone is tried; empty: all
	others  map[string]bool // fixtures that light other zones' faces

	// What the picked columns give together, kept while one more is tried.
	skipped int // place in picked that is left out; −1: none
	sum     []float64
	trial   []float64
	store   []float64 // of levels, kept between calls
	even    []float64
	tilt    []float64 // right less left
	left    []float64 // of the zone's own units
	right   []float64
	views   [][]direction
	fixed   float64
	lines   map[string]bool
	count   map[string]int
	beams   map[*fixtureOption]int
}

// direction is light at a face from one bearing.
type direction struct{ bearing, lx float64 }

// othersShare is how much of the light of other zones' units a zone counts on:
// a quarter, because zones are not always lit together.
const othersShare = 0.25

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
	s := &selection{z: z, columns: columns, points: p.points[z.from:z.to], open: map[string]bool{}, free: map[string]int{}, others: map[string]bool{}, allow: 1 + z.tolerance}
	s.base, s.trial = make([]float64, len(s.points)), make([]float64, len(s.points))
	s.dirs = make([][]direction, len(s.points))
	add := func(src light.Source, mine bool) {
		for i, t := range s.points {
			lx := p.loss * light.Direct(src, t.Point, p.scene).Lx
			if !mine {
				lx *= othersShare
			}
			s.base[i] += lx
			if d := src.Aim.Sub(t.At); mine && lx > 0 && d.Norm() <= areaAcrossM/2 {
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
			s.others[c.option.Code] = true
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

// settled returns the cost of the picked columns at the levels that even the
// zone out best, and its sides where light from both is asked for.
func (s *selection) settled() float64 {
	n := len(s.picked)
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
	for range 20 {
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
