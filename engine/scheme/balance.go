package scheme

import (
	"fmt"
	"math"
	"slices"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
)

const (
	// leastLevel keeps units at a level at which white stays white and dimming
	// smooth. Source: common practice.
	leastLevel = 0.3
	// levelStep is what people set levels by.
	levelStep = 0.05
	// fullPull is the weight with which levels are held near full, against a
	// squared relative deviation of one face.
	fullPull = 0.02
	// sidesWeight is how much the difference between the light from the left and
	// from the right counts, where light from both sides is asked for.
	sidesWeight = 0.5
	// ownWeight is how much more a zone lit alone counts than with all others lit.
	ownWeight = 2.0
)

// response is the light of every front unit at full on every key target, and
// what the locked units add.
type response struct {
	units  []*choice
	keys   []int // targets
	target []float64
	weight []float64
	full   [][]float64 // unit, key
	base   []float64
}

// sideOf returns −1 for a unit that lights a face from the left of the way it
// looks as seen from the seats, 1 from the right, 0 where sides are not asked for.
func (p *proposer) sideOf(r response, u, k int) float64 {
	c, t := r.units[u], p.points[r.keys[k]]
	if c.zone.cross == 0 {
		return 0
	}
	return math.Copysign(1, wrapDeg(geom.BearingDeg(t.At, c.site.at)-t.facingDeg))
}

// mine tells whether a key target lies in the unit's own zone.
func (r response) mine(u, k int) bool {
	z := r.units[u].zone
	return r.keys[k] >= z.from && r.keys[k] < z.to
}

// response returns that of the units of some purposes on the zones that count;
// the light of proposed units of other purposes is in the base where they were
// decided before.
func (p *proposer) response(zones func(*zoneWork) bool, purposes ...Purpose) response {
	var r response
	var others []*choice
	for _, c := range p.chosen {
		switch {
		case slices.Contains(purposes, c.purpose):
			r.units = append(r.units, c)
		case c.purpose == FrontWash:
			others = append(others, c)
		}
	}
	for _, z := range p.zones {
		for i := z.from; i < z.to; i++ {
			if zones(z) && p.points[i].key {
				r.keys = append(r.keys, i)
				r.target = append(r.target, z.targetLx)
				r.weight = append(r.weight, z.weight/float64(len(z.faces)))
			}
		}
	}
	r.base = make([]float64, len(r.keys))
	for i, src := range Sources(p.locked, p.in.Catalogue) {
		if u := p.locked[i]; isKey(u.Unit) || u.Purpose == Fill {
			for k, t := range r.keys {
				r.base[k] += p.loss * light.Direct(src, p.points[t].Point, p.scene).Lx
			}
		}
	}
	for _, c := range others {
		for k, t := range r.keys {
			r.base[k] += p.loss * light.Direct(c.source(), p.points[t].Point, p.scene).Lx
		}
	}
	for _, c := range r.units {
		row := make([]float64, len(r.keys))
		src := c.source()
		src.Level = 1
		for k, t := range r.keys {
			row[k] = p.loss * light.Direct(src, p.points[t].Point, p.scene).Lx
		}
		r.full = append(r.full, row)
	}
	return r
}

// balance sets the levels of the front units for the faces, and then those of the
// wall washes for the walls beside what the front units throw there.
func (p *proposer) balance() {
	p.balanceOf(p.response(func(z *zoneWork) bool { return !z.wall }, FrontWash))
	p.balanceOf(p.response(func(z *zoneWork) bool { return z.wall }, WallWash))
}

// balanceOf sets the levels of the units of a response so that the squared
// relative deviations of all faces from their zones' targets, each zone
// counting once, become least within the bounds: with every zone lit, and with
// each zone lit by its own units alone, which counts twice; and so that the light
// from both sides is alike where that is asked for. A zone of lower priority
// counts less. By coordinate descent, which for this strictly convex sum converges
// to the least value.
func (p *proposer) balanceOf(r response) {
	all, own := append([]float64(nil), r.base...), append([]float64(nil), r.base...)
	sides := make([]float64, len(r.keys))
	add := func(u int, level float64) {
		for k := range all {
			all[k] += level * r.full[u][k]
			if r.mine(u, k) {
				own[k] += level * r.full[u][k]
				sides[k] += level * r.full[u][k] * p.sideOf(r, u, k)
			}
		}
	}
	for u, c := range r.units {
		add(u, c.level)
	}
	for range levelRounds {
		moved := 0.0
		for u, c := range r.units {
			num, den := fullPull*(1-c.level), fullPull
			for k := range all {
				a := r.full[u][k] / r.target[k]
				num += r.weight[k] * a * (1 - all[k]/r.target[k])
				den += r.weight[k] * a * a
				if r.mine(u, k) {
					num += ownWeight * r.weight[k] * a * (1 - own[k]/r.target[k])
					den += ownWeight * r.weight[k] * a * a
					side := p.sideOf(r, u, k)
					num -= sidesWeight * r.weight[k] * a * side * sides[k] / r.target[k]
					den += sidesWeight * r.weight[k] * a * a * side * side
				}
			}
			level := math.Max(leastLevel, math.Min(1, c.level+num/den))
			add(u, level-c.level)
			moved = math.Max(moved, math.Abs(level-c.level))
			c.level = level
		}
		if moved < levelTol {
			break
		}
	}
	for _, c := range r.units {
		c.level = math.Round(c.level/levelStep) * levelStep
	}
}

// averages records each zone's average at the balanced levels.
func (p *proposer) averages() {
	p.quiet = true
	p.judgeFront()
	p.quiet = false
}

// judgeFront records each zone's average at the balanced levels and reports the
// zones whose target or evenness is missed.
func (p *proposer) judgeFront() {
	r := p.response(func(*zoneWork) bool { return true }, FrontWash, WallWash)
	for _, z := range p.zones {
		all, own := stats{least: math.Inf(1)}, stats{least: math.Inf(1)}
		for k, t := range r.keys {
			if t < z.from || t >= z.to {
				continue
			}
			E, mine := r.base[k], r.base[k]
			for u, c := range r.units {
				E += c.level * r.full[u][k]
				if c.zone == z {
					mine += c.level * r.full[u][k]
				}
			}
			all.add(E)
			own.add(mine)
		}
		z.averageLx = all.average()
		if z.averageLx == 0 || p.quiet {
			continue // already reported: nothing could be hung
		}
		reached := z.averageLx
		if len(z.Zone.Faces) > 0 {
			reached = all.least
		}
		switch even := max(all.evenness(), own.evenness()); {
		case reached < (1-z.tolerance)*z.targetLx:
			p.missed(z, all, p.missing(z))
		case even < z.evenness-evenSlack:
			p.missed(z, all, fmt.Sprintf("It is uneven: the least is %.2f of the average, %.2f is wanted. ", even, z.evenness)+p.missing(z))
		}
	}
}

func (p *proposer) missed(z *zoneWork, all stats, missing string) {
	p.rep.add("SCHEME_TARGET_MISSED", "zone "+z.Name, finding.Num("average", z.averageLx, "lx"), finding.Num("least", all.least, "lx"),
		finding.Num("target", z.targetLx, "lx"), finding.Text("missing", missing))
}

// stats gathers the illuminances of a zone's faces, in lux.
type stats struct {
	sum, least float64
	n          int
}

func (s *stats) add(lx float64) { s.sum, s.least, s.n = s.sum+lx, min(s.least, lx), s.n+1 }

func (s stats) average() float64 {
	if s.n == 0 {
		return 0
	}
	return s.sum / float64(s.n)
}

func (s stats) evenness() float64 {
	if s.sum == 0 {
		return 0
	}
	return s.least / s.average()
}

// evenSlack is how far below the wanted evenness a proposal may fall before it
// is worth a finding: the step of its levels.
const evenSlack = levelStep
