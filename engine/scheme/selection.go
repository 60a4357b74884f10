package scheme

import (
	"math"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
)

// selection is one zone's share of a stage: what lights it already, and its columns.
type selection struct {
	z       *zoneWork
	columns []*candidate
	base    []float64 // light on the zone's targets from what is decided already
	dirs    [][]direction
	points  []target
	taken   []geom.Vec // lenses hung already
	stage   *stageChoice
}

// direction is light at a face from one bearing.
type direction struct{ bearing, lx float64 }

// othersShare is how much of the light of other zones' units a zone counts on:
// a quarter, because zones are not always lit together.
const othersShare = 0.25

// frontStage decides the front light of all zones.
func (p *proposer) frontStage() {
	var zones []*zoneWork
	for _, z := range p.zones {
		if !z.wall {
			zones = append(zones, z)
		}
	}
	p.washStage(StageFront, FrontWash, zones, nil)
}

// washStage decides the front light of zones, or that of walls, by one model;
// more adds to it.
func (p *proposer) washStage(name string, purpose Purpose, zones []*zoneWork, more func(b *stageModel) []*zoneWork) {
	b := p.newStageModel()
	var list []*selection
	var asked []*zoneWork
	for _, z := range zones {
		if len(z.faces) == 0 {
			p.rep.add("SCHEME_NOTHING_TO_HANG", "zone "+z.Name, finding.Text("why", "the brief does not say where its faces are"))
			continue
		}
		s := p.newSelection(z, p.frontCandidates(z, zones))
		n := len(b.meaning)
		for _, c := range s.columns {
			if s.fits(c) {
				// A unit that alone is too bright counts as dimmed to what is wanted.
				c.level = math.Min(1, math.Max(leastLevel, s.mostWanted()*z.targetLx/max(1, c.lx[c.face])))
				b.add(c)
			}
		}
		if len(b.meaning) == n {
			p.noColumns(z)
			continue
		}
		list, asked = append(list, s), append(asked, z)
	}
	for _, s := range list {
		b.faceRows(s)
	}
	if more != nil {
		asked = append(asked, more(b)...)
	}
	if len(b.meaning) == 0 {
		return
	}
	stage := b.solve(name, purpose, asked)
	for _, s := range list {
		s.stage = stage
		for _, j := range stage.chosen {
			if picked := stage.meaning[j]; picked.zone == s.z && !picked.alike {
				c := &choice{candidate: picked, zone: s.z, purpose: purpose, level: 1}
				c.extra = p.frontAccessories(c)
				c.reason = p.explain(s, c)
				p.used[c.option.Code]++
				p.chosen = append(p.chosen, c)
			}
		}
		p.nameUnits(s.z)
	}
	p.takeCover(stage)
}

func (p *proposer) noColumns(z *zoneWork) {
	if len(p.optionsFor(z)) == 0 {
		p.rep.add("SCHEME_NO_FIXTURE", "zone "+z.Name, finding.Text("why", "no white fixture that hangs, has a known beam and fits the supply"))
		return
	}
	why := "no allowed hanging line has a usable place"
	if len(p.sites) > 0 {
		why = "no allowed place sees its faces at 25° to 60° with a fixture of fitting strength"
	}
	why += ". " + strings.TrimSuffix(p.missing(z), ".")
	p.rep.add("SCHEME_NOTHING_TO_HANG", "zone "+z.Name, finding.Text("why", why))
}

func (p *proposer) newSelection(z *zoneWork, columns []*candidate) *selection {
	s := &selection{z: z, columns: columns, points: p.points[z.from:z.to]}
	s.base = make([]float64, len(s.points))
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
		if isKey(u.Unit) || u.Purpose == Fill {
			add(src, u.Zone == z.Name)
		}
	}
	for _, c := range p.chosen {
		s.taken = append(s.taken, c.site.at)
		if c.purpose == FrontWash {
			add(c.source(), false)
		}
	}
	return s
}

func (c *choice) source() light.Source {
	return light.Source{ID: c.id, Zone: c.zone.Name, Purpose: string(c.purpose), At: c.site.at, Aim: c.aim, Dist: c.option.dist, Level: c.level, FieldDeg: c.option.beam.FieldDeg}
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

// focusedOn tells whether a column is focused within one lit area of a face:
// only then is it a direction of that face that stays when others are dimmed.
func (c *candidate) focusedOn(t target) bool {
	d := c.aim.Sub(t.At)
	return d.Dot(d) <= areaAcrossM*areaAcrossM/4
}

// fits tells whether a column's lens is far enough from those hung.
func (s *selection) fits(c *candidate) bool {
	for _, t := range s.taken {
		if tooNear(t, c.site.at) {
			return false
		}
	}
	return true
}

func tooNear(a, b geom.Vec) bool { return a.Sub(b).Dot(a.Sub(b)) < hungApartM*hungApartM }

// sideUseful is the most, as a share of the target, that one unit is counted for
// in the balance of sides: brighter ones can be dimmed to it.
const sideUseful = 0.6

// mostWanted is the most, as a share of the target, that one unit should give at
// its focus: where light from both sides is asked for it has a partner.
func (s *selection) mostWanted() float64 {
	if s.z.cross > 0 {
		return 0.58
	}
	return 1
}
