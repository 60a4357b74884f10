package scheme

import (
	"math/rand/v2"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
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
	work    int             // done so far, in target evaluations
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
