package scheme

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
)

// BeamOption is one beam the units for a face could have: what they would give
// together at the face, and how wide the pool would be.
type BeamOption struct {
	Zone, Face string
	Units      []string
	Fixture    string
	FieldDeg   float64
	Lx         float64 // on the face's plane, units together, at their levels, no loss factor
	PoolM      float64 // field diameter at the face, mean over the units
	Chosen     bool
	Matches    bool // of the options the nearest to the target
}

// BeamOptions returns, for each key place of a zone with a known target and the
// units of one fixture and beam meant for it, every beam of that fixture. The
// illuminance is the peak intensity along the axis by the inverse-square law
// and the cosine at the face; shadows are the light stage's.
func BeamOptions(in CheckInput) []BeamOption {
	c := checker{in: in}
	for _, z := range in.Brief.Zones {
		c.zones = append(c.zones, checkedZone{Zone: z, faces: zoneFaces(z, in.Room)})
	}
	return c.beamOptions()
}

func (c *checker) beamOptions() []BeamOption {
	var out []BeamOption
	for _, z := range c.zones {
		if !z.Target.Set || !(z.Target.Value > 0) || len(z.Zone.Faces) == 0 {
			continue
		}
		for i, f := range z.faces {
			units := c.meantFor(z, i, isKey)
			if len(units) == 0 || !sameBeam(units) {
				continue
			}
			out = append(out, c.optionsOf(z, f, units)...)
		}
	}
	return out
}

func sameBeam(units []Placed) bool {
	for _, u := range units {
		if u.Fixture != units[0].Fixture || u.FieldDeg != units[0].FieldDeg {
			return false
		}
	}
	return true
}

func (c *checker) optionsOf(z checkedZone, f facePoint, units []Placed) []BeamOption {
	fixture, ok := c.in.Catalogue.Get(units[0].Fixture)
	if !ok {
		return nil
	}
	var out []BeamOption
	best, at := math.Inf(1), -1
	for _, b := range fixture.Beams {
		o := BeamOption{Zone: z.Name, Face: f.name, Fixture: fixture.Code, FieldDeg: b.FieldDeg, Chosen: b.FieldDeg == units[0].FieldDeg}
		for _, u := range units {
			d := u.At.Sub(u.Target)
			o.Units = append(o.Units, u.ID)
			o.Lx += levelShare(u.Unit) * b.PeakCd * axisFactor(d, f.normal())
			o.PoolM += fieldDiameterM(d.Norm(), b.FieldDeg) / float64(len(units))
		}
		out = append(out, o)
		if miss := math.Abs(math.Log(o.Lx / z.Target.Value.Lux())); miss < best {
			best, at = miss, len(out)-1
		}
	}
	if at >= 0 {
		out[at].Matches = true
	}
	return out
}

// axisFactor returns illuminance over intensity, in 1/m², on a plane with a
// unit normal, from a lens at displacement d from it: cosine over squared
// distance; 0 from behind or at no distance.
func axisFactor(d, normal geom.Vec) float64 {
	n := d.Norm()
	if n == 0 {
		return 0
	}
	return math.Max(0, d.Dot(normal)) / (n * n * n)
}

// beams notes where another beam of the same fixture would match the target
// better than the chosen one.
func (c *checker) beams() {
	options := c.beamOptions()
	for i := 0; i < len(options); {
		j := i + 1
		for j < len(options) && options[j].Zone == options[i].Zone && options[j].Face == options[i].Face {
			j++
		}
		c.beamChoice(options[i:j])
		i = j
	}
}

func (c *checker) beamChoice(options []BeamOption) {
	var chosen, matching *BeamOption
	var list []string
	for i := range options {
		o := &options[i]
		if o.Chosen {
			chosen = o
		}
		if o.Matches {
			matching = o
		}
		list = append(list, fmt.Sprintf("%.0f° %.0f lx", o.FieldDeg, o.Lx))
	}
	if chosen == nil || matching == nil || chosen == matching {
		return
	}
	c.rep.add("SCHEME_BEAM_CHOICE", "units "+strings.Join(chosen.Units, ", "),
		finding.Num("chosen", chosen.FieldDeg, "°"), finding.Num("chosen_lx", chosen.Lx, "lx"),
		finding.Num("better", matching.FieldDeg, "°"), finding.Num("better_lx", matching.Lx, "lx"),
		finding.Len("better_pool", lengthOf(matching.PoolM)), finding.Text("fixture", chosen.Fixture), finding.Text("list", strings.Join(list, "; ")))
}
