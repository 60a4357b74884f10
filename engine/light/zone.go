package light

import (
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
)

const (
	// atPlaceM is how near to a key place a unit's aim must be to be meant for
	// it, where the unit names no place: half a person's reach.
	atPlaceM = 0.5
	// partnerShare is the share of the strongest unit's light below which a
	// unit does not count as a partner.
	partnerShare = 0.25
	// steepDeg is the elevation over which light counts as from above: there
	// eyes fall into shade. Source: common practice.
	steepDeg = 60
	// straightDeg is the bearing within which light comes from both sides alike.
	straightDeg = 0.5
)

// zone returns the result over one zone.
func (e *evaluator) zone(z brief.Zone) Zone {
	pts, step := e.faces(z)
	out := Zone{Name: z.Name, TargetLx: z.Target.Or(0).Lux(), GridStepM: step, BackRatio: math.NaN(), SigmaPct: math.NaN()}
	if len(pts) == 0 {
		return out
	}
	out.Faces = make([]Face, len(pts))
	parallel(len(pts), func(i int) { out.Faces[i] = e.face(pts[i], pts, step == 0) })
	out.average()
	out.SigmaPct = e.sigmaPct(out)
	out.Area, out.AreaStepM = e.area(z)
	return out
}

// average fills the zone's figures from its faces.
func (z *Zone) average() {
	z.MinLx = math.Inf(1)
	n := float64(len(z.Faces))
	for _, f := range z.Faces {
		z.AverageLx += f.VerticalLx / n
		z.MinLx = math.Min(z.MinLx, f.VerticalLx)
		z.MaxLx = math.Max(z.MaxLx, f.VerticalLx)
		z.FromLeftLx += f.LeftLx / n
		z.FromRightLx += f.RightLx / n
		z.FromAboveLx += f.AboveLx / n
		z.BackLx += f.BackLx / n
		z.KeyLx += f.OwnLx / n
		z.FillLx += f.FillLx / n
		z.OwnBackLx += f.OwnBackLx / n
	}
	if z.AverageLx > 0 {
		z.Evenness = z.MinLx / z.AverageLx
	}
	if z.KeyLx > 0 {
		z.BackRatio = z.OwnBackLx / z.KeyLx
	}
	z.Shape = meanShape(z.Faces, z.FromLeftLx, z.FromRightLx, z.BackLx, z.AverageLx)
}

// face returns what one face receives. keyed tells whether the zone's points
// are key places, which units may be meant for one by one.
func (e *evaluator) face(p Point, all []Point, keyed bool) Face {
	f := Face{Name: p.Name, At: p.At, Facing: p.Normal}
	var own, front []partner
	shape := shaper{facing: p.Normal}
	for _, s := range e.in.Sources {
		c := e.direct(s, p)
		c.front = s.isFront()
		shape.add(c, s.At.Sub(p.At).Unit(), s.isFront())
		if !s.isFront() && s.Purpose != backLight {
			continue
		}
		if c.NormalLx > 0 || c.Shadowed != "" {
			f.Contributions = append(f.Contributions, c)
		}
		mine := s.Zone == p.Zone && s.Zone != "" && (!keyed || s.meantFor(p, all))
		if s.Purpose == backLight {
			f.BackLx += c.NormalLx
			if mine {
				f.OwnBackLx += c.NormalLx
			}
			continue
		}
		f.addFront(s, c)
		at := partner{geom.BearingDeg(p.At, s.At), c.Lx}
		front = append(front, at)
		if mine && s.isKey() {
			f.OwnLx += c.Lx
			own = append(own, at)
		}
		if s.Purpose == fill && s.Zone == p.Zone {
			f.FillLx += c.Lx
		}
	}
	f.PlanSpreadDeg, f.AllSpreadDeg = spread(own), spread(front)
	f.Shape = shape.shape(f, e.probe(p.At), e.field, e.loss)
	return f
}

// addFront adds a front unit's light to the face's sums, by the side it comes
// from as the seats see it.
func (f *Face) addFront(s Source, c Contribution) {
	f.VerticalLx += c.Lx
	if geom.ElevationDeg(f.At, s.At) > steepDeg {
		f.AboveLx += c.Lx
	}
	switch b := geom.BearingDeg(f.At, s.At); {
	case b < -straightDeg:
		f.LeftLx += c.Lx
	case b > straightDeg:
		f.RightLx += c.Lx
	default:
		f.LeftLx += c.Lx / 2
		f.RightLx += c.Lx / 2
	}
}

// meantFor tells whether a unit of the zone is meant for one key place: by the
// place's name, else by its aim; a unit that is aimed at none of the places is
// meant for all.
func (s Source) meantFor(p Point, all []Point) bool {
	named, near := false, false
	for _, q := range all {
		named = named || s.Face == q.Name
		near = near || s.Aim.Sub(q.At).Norm() < atPlaceM
	}
	if s.Face != "" && named {
		return s.Face == p.Name
	}
	return !near || s.Aim.Sub(p.At).Norm() < atPlaceM
}

// partner is a unit as a face sees it: bearing and light on the face's plane.
type partner struct{ bearingDeg, lx float64 }

// spread returns the widest plan angle in degrees between two units that each
// give at least a quarter of the strongest; 0 with fewer than two.
func spread(ps []partner) float64 {
	strongest, widest := 0.0, 0.0
	for _, p := range ps {
		strongest = math.Max(strongest, p.lx)
	}
	for i, p := range ps {
		for _, q := range ps[:i] {
			if weak := math.Min(p.lx, q.lx); weak > 0 && weak >= partnerShare*strongest {
				widest = math.Max(widest, math.Abs(turnDeg(p.bearingDeg, q.bearingDeg)))
			}
		}
	}
	return widest
}

// balance compares the key levels of the zones that have one.
// Source: common practice: keys of all zones within ±20 %, steps up to 1.5:1.
func balance(zones []Zone) Balance {
	var b Balance
	low, high := math.Inf(1), 0.0
	for _, z := range zones {
		if !(z.KeyLx > 0) {
			continue
		}
		b.Zones++
		b.MeanLx += z.KeyLx
		if z.KeyLx < low {
			low, b.Darkest = z.KeyLx, z.Name
		}
		if z.KeyLx > high {
			high, b.Bright = z.KeyLx, z.Name
		}
	}
	if b.Zones == 0 {
		return b
	}
	b.MeanLx /= float64(b.Zones)
	b.LowPct = (low/b.MeanLx - 1) * 100
	b.HighPct = (high/b.MeanLx - 1) * 100
	b.Step = high / low
	return b
}
