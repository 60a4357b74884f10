package scheme

import (
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// CheckInput is a placed scheme, by whomever it was made, and what it is held
// against.
type CheckInput struct {
	Scheme    Scheme
	Placed    []Placed
	Room      room.Room
	Brief     brief.Brief
	Survey    survey.Survey
	Catalogue catalogue.Set
	Book      *finding.Book
	Region    string
}

// Check judges a scheme by the trade's rules of geometry: elevation and
// sideways angle of every front unit, cross-aimed partners, counts, back light,
// clearance for heads and hands, places to keep clear, sprinklers, the view of
// screens, seats below, what a doubted height would change, and beams that
// would match the wanted level better. Levels, spill and glare in numbers are
// the light stage's.
func Check(in CheckInput) []finding.Finding {
	c := checker{in: in, rep: reporter{book: in.Book, region: in.Region}, lines: map[string]room.Line{}}
	c.rep.start()
	for _, l := range in.Room.Lines {
		if _, twice := c.lines[l.Name]; !twice {
			c.lines[l.Name] = l
		}
	}
	for _, z := range in.Brief.Zones {
		c.zones = append(c.zones, checkedZone{Zone: z, faces: zoneFaces(z, in.Room)})
	}
	c.nothingHung()
	c.frontAngles()
	c.straightLight()
	c.crossAim()
	c.counts()
	c.fallOff()
	c.backAngles()
	c.backSpacing()
	c.clearance()
	c.keepClear()
	c.sprinklers()
	c.seatsBelow()
	c.views()
	c.doubtedHeights()
	c.existingInTheWay()
	c.haze()
	c.wallSample()
	c.beams()
	return c.rep.done()
}

type checkedZone struct {
	brief.Zone
	faces []facePoint
}

type checker struct {
	in    CheckInput
	rep   reporter
	lines map[string]room.Line
	zones []checkedZone
}

// isKey tells whether a unit carries the front light of its zone.
func isKey(u Unit) bool { return u.Purpose == FrontWash || u.Purpose == "" }

// meantFor returns the units of one purpose test that are meant for a face of
// the zone: by name, or by the face their focus point is nearest to.
func (c *checker) meantFor(z checkedZone, face int, want func(Unit) bool) []Placed {
	var out []Placed
	for _, p := range c.in.Placed {
		if p.Zone != z.Name || !want(p.Unit) {
			continue
		}
		at := -1
		if p.Face != "" {
			for i, f := range z.faces {
				if f.name == p.Face {
					at = i
				}
			}
		}
		if at < 0 {
			at = nearestFace(z.faces, p.Target)
		}
		if at == face {
			out = append(out, p)
		}
	}
	return out
}

// faceOf returns the face a unit is meant for; its focus point, looking to the
// seats, where the zone has none.
func (c *checker) faceOf(p Placed) facePoint {
	for _, z := range c.zones {
		if z.Name != p.Zone {
			continue
		}
		for _, f := range z.faces {
			if p.Face != "" && f.name == p.Face {
				return f
			}
		}
		if i := nearestFace(z.faces, p.Target); i >= 0 {
			return z.faces[i]
		}
	}
	return facePoint{zone: p.Zone, name: p.Face, at: p.Target}
}

func levelShare(u Unit) float64 {
	if u.LevelPct <= 0 || !finite(u.LevelPct) {
		return 1
	}
	return math.Min(1, u.LevelPct/100)
}

// elevationAtAim returns the elevation in degrees of a unit at its focus point.
func elevationAtAim(p Placed) float64 { return geom.ElevationDeg(p.Target, p.At) }
