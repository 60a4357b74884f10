package scheme

import (
	"fmt"
	"math"
	"slices"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/survey"
)

const (
	// backLeast and backMost bound the normal illuminance of back light as
	// shares of the key. Source: common practice, 0.7 to 1.2 on camera.
	backLeast = 0.7
	backMost  = 1.2
	// mostIfRoom is how many back lights a zone gets that wants them only if
	// there is room.
	mostIfRoom = 4
	mostBack   = 12
	// seatGlareDeg is the angle above the horizontal below which a seated eye
	// is shielded from a lens. Source: common practice.
	seatGlareDeg = 30.0
)

// backRowPlan is one way to give a zone back light: one fixture and beam, one
// unit per focus point.
type backRowPlan struct {
	option *fixtureOption
	sites  []*site
	aims   []geom.Vec
	cost   float64
	level  float64
	spread [2]float64 // least and greatest elevation
	pool   float64
}

// backLight decides the back light of a zone after its front light: a row of
// equal units behind it, spaced by the width of their fields.
func (p *proposer) backLight(z *zoneWork) {
	if (z.BackLight != "wanted" && z.BackLight != "if_room") || len(z.faces) == 0 || z.wall || z.averageLx <= 0 {
		return
	}
	for _, u := range p.locked {
		if u.Zone == z.Name && u.Purpose == BackLight {
			return
		}
	}
	var best *backRowPlan
	for i := range p.options {
		o := &p.options[i]
		if !backClass(o.Class) {
			continue
		}
		for _, l := range p.in.Room.Lines {
			if row := p.backRowOn(z, o, l.Name); row != nil && (best == nil || row.cost < best.cost-gainNeeded) {
				best = row
			}
		}
	}
	if best == nil || (z.BackLight == "if_room" && (len(best.aims) > mostIfRoom || best.spread[0] < backMinDeg || best.spread[1] > backMaxDeg)) {
		return // what is missing stands in the check's finding, with numbers

	}
	p.hangBack(z, best)
}

func backClass(c catalogue.Class) bool {
	return c == catalogue.Wash || c == catalogue.PAR || c == catalogue.Fresnel
}

// backRowOn plans the row with one fixture and beam on one line; nil where its
// angles are outside 40° to 75° or its light too weak.
func (p *proposer) backRowOn(z *zoneWork, o *fixtureOption, line string) *backRowPlan {
	mid := middle(z.faces)
	first := p.behind(line, mid)
	if first == nil {
		return nil
	}
	width := zoneWidthM(z.Zone, z.faces)
	pool := fieldDiameterM(first.at.Sub(mid).Norm(), o.beam.FieldDeg)
	n := backCount(width, pool)
	if n == 0 || n > mostBack {
		return nil
	}
	row := &backRowPlan{option: o, pool: pool, spread: [2]float64{math.Inf(1), math.Inf(-1)}}
	normal, merit := 0.0, 0.0
	for i := range n {
		aim := mid
		aim.X += width * ((float64(i)+0.5)/float64(n) - 0.5)
		s := p.behind(line, aim, row.sites...)
		if s == nil || p.scene.Occluded(s.at, aim) {
			return nil
		}
		e := geom.ElevationDeg(aim, s.at)
		if e < backGlareDeg || e > backTopDeg {
			return nil
		}
		merit += interpolate(e, [][2]float64{{40, 1}, {45, 0.2}, {50, 0}, {65, 0}, {70, 0.2}, {75, 1}})
		if s.ask {
			merit += askCost
		}
		if s.line.State == survey.Planned {
			merit += buildCost
		}
		d := s.at.Sub(aim)
		normal += p.loss * o.beam.PeakCd / d.Dot(d) / float64(n)
		row.sites, row.aims = append(row.sites, s), append(row.aims, aim)
		row.spread[0], row.spread[1] = math.Min(row.spread[0], e), math.Max(row.spread[1], e)
	}
	if normal < backLeast*z.averageLx || normal > 6*z.averageLx {
		return nil
	}
	row.level = math.Min(1, math.Max(levelStep, math.Round(z.averageLx/normal/levelStep)*levelStep))
	each := hangCost + priceCost*float64(o.priceMinor)/p.ref + 0.05*o.Power.Watts()/100
	if !o.ColourMix {
		each += 1 // back light in colour separates better. Source: common practice
	}
	row.cost = float64(n)*each + merit
	return row
}

func middle(faces []facePoint) geom.Vec {
	lo, hi := faces[0].at, faces[0].at
	z := 0.0
	for _, f := range faces {
		lo.X, hi.X = math.Min(lo.X, f.at.X), math.Max(hi.X, f.at.X)
		lo.Y, hi.Y = math.Min(lo.Y, f.at.Y), math.Max(hi.Y, f.at.Y)
		z += f.at.Z / float64(len(faces))
	}
	return geom.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2, Z: z}
}

// behind returns the free place on a line nearest to straight behind a point;
// nil without one.
func (p *proposer) behind(line string, aim geom.Vec, taken ...*site) *site {
	var best *site
	off := math.Inf(1)
	for _, s := range p.sites {
		if s.line.Name != line || s.at.Y <= aim.Y || p.occupied(s.at) || slices.ContainsFunc(taken, func(t *site) bool { return tooNear(t.at, s.at) }) {
			continue
		}
		if d := math.Abs(s.at.X - aim.X); d < off-1e-9 && d <= s.at.Y-aim.Y {
			best, off = s, d
		}
	}
	return best
}

func (p *proposer) occupied(at geom.Vec) bool {
	for _, u := range p.locked {
		if tooNear(u.At, at) {
			return true
		}
	}
	for _, c := range p.chosen {
		if tooNear(c.site.at, at) {
			return true
		}
	}
	return false
}

func (p *proposer) hangBack(z *zoneWork, row *backRowPlan) {
	for i, s := range row.sites {
		c := &choice{candidate: &candidate{site: s, option: row.option, aim: row.aims[i], face: nearestKey(z, row.aims[i]),
			elevationDeg: geom.ElevationDeg(row.aims[i], s.at), bearingDeg: geom.BearingDeg(row.aims[i], s.at)},
			zone: z, purpose: BackLight, level: row.level, id: p.ids.back()}
		c.extra = p.backAccessories(c)
		src := light.Source{At: s.at, Aim: c.aim, Dist: row.option.dist, Level: row.level}
		normal := p.loss * light.Direct(src, light.Point{At: c.aim, Normal: s.at.Sub(c.aim).Unit()}, p.scene).NormalLx
		c.reason = fmt.Sprintf("Back light for %s from %s at %.0f° from behind (45° to 70° is usual); %s at %.0f° gives pools of %s, so %d across its width; at %.0f %% it gives %.0f lx, %.1f of the key.",
			z.Name, s.line.Name, c.elevationDeg, row.option.Name, row.option.beam.FieldDeg, p.length(row.pool), len(row.sites), row.level*100, normal, normal/z.averageLx)
		p.used[row.option.Code]++
		p.chosen = append(p.chosen, c)
	}
}

// nearestKey returns the key place a focus point coincides with, −1 for a point
// between places.
func nearestKey(z *zoneWork, aim geom.Vec) int {
	if i := nearestFace(z.faces, aim); i >= 0 && z.faces[i].at.Sub(aim).Norm() <= stepM {
		return i
	}
	return -1
}

// backAccessories shields the lens from eyes that see it low.
func (p *proposer) backAccessories(c *choice) []string {
	seen := false
	for _, e := range (&checker{in: CheckInput{Room: p.in.Room}}).viewers() {
		seen = seen || (e.Y < c.site.at.Y && geom.ElevationDeg(e, c.site.at) < seatGlareDeg)
	}
	if !seen {
		return nil
	}
	for _, name := range []string{"half_hat", "barn_doors", "top_hat"} {
		if slices.Contains(c.option.Accessories, name) {
			return []string{name}
		}
	}
	return nil
}
