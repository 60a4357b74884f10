package scheme

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/survey"
)

// oldLightM is how near to the axis of a beam, or to the line of sight to a
// screen, a light that hangs today is in its way: half of a stage fixture or
// pendant. Source: common practice.
const oldLightM = 0.3

// existingInTheWay names the lights that hang today and are to stay, but stand
// in the beams of the scheme's units or before a screen: taking them out opens
// light, picture and view.
func (c *checker) existingInTheWay() {
	eyes := c.viewers()
	for _, e := range c.in.Survey.ExistingUnit {
		if e.Fate == "remove" {
			continue
		}
		var what []string
		for _, at := range placesOf(e) {
			for _, p := range c.in.Placed {
				if p.Purpose == HouseLight {
					continue
				}
				if d := axisDistance(at, p.At, p.Target); d < oldLightM {
					what = append(what, "the beam of "+p.ID)
				}
			}
			for _, s := range c.in.Room.Screens {
				if len(s.Corners) < 3 {
					continue
				}
				hidden := 0
				for _, eye := range eyes {
					if crosses(eye, at, s.Corners) {
						hidden++
					}
				}
				if hidden > 0 {
					what = append(what, fmt.Sprintf("%s from %.0f %% of the seats", s.Name, 100*float64(hidden)/float64(len(eyes))))
				}
			}
		}
		if len(what) == 0 {
			continue
		}
		c.rep.add("SCHEME_REMOVE_LIGHT", "existing light "+orNone(e.Name), finding.Text("what", strings.Join(compactTexts(what), ", ")),
			finding.Text("feed", orNone(e.Dimmer)))
	}
}

func placesOf(e survey.ExistingLight) []geom.Vec {
	var out []geom.Vec
	for _, p := range e.Places {
		if known(p.X) && known(p.Y) && known(p.Z) {
			out = append(out, geom.Vec{X: float64(p.X.Value), Y: float64(p.Y.Value), Z: float64(p.Z.Value)})
		}
	}
	return out
}

// axisDistance returns the distance in metres from a point to the axis of a
// beam between its lens and its focus point; +Inf beyond its ends.
func axisDistance(at, lens, focus geom.Vec) float64 {
	d := focus.Sub(lens)
	n2 := d.Dot(d)
	if n2 == 0 {
		return math.Inf(1)
	}
	t := at.Sub(lens).Dot(d) / n2
	if t <= 0 || t >= 1 {
		return math.Inf(1)
	}
	return at.Sub(lens.Add(d.Scale(t))).Norm()
}

// mostTexts is how many things a list in a sentence names.
const mostTexts = 6

func compactTexts(list []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, s := range list {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	if len(out) > mostTexts {
		out = append(out[:mostTexts-1], fmt.Sprintf("%d more", len(out)-mostTexts+1))
	}
	return out
}

// haze stops a scheme whose brief asks for haze until the detectors are dealt
// with by the people who own them.
func (c *checker) haze() {
	if c.in.Brief.Limits.Haze != "asked" {
		return
	}
	detectors := c.in.Survey.Site.Detectors
	if detectors == "" {
		detectors = "unknown"
	}
	first := ""
	for _, z := range c.zones {
		if (z.BackLight == "wanted") && !c.hasPurpose(z.Name, BackLight) {
			first = " Back light of " + z.Name + " comes before it and is missing."
		}
		if z.Use != "wall" && !c.hasPurpose(z.Name, FrontWash) {
			first = " Front light of " + z.Name + " comes before it and is missing."
		}
	}
	c.rep.add("SCHEME_HAZE", "haze", finding.Text("detectors", detectors), finding.Text("first", first))
}

func (c *checker) hasPurpose(zone string, purpose Purpose) bool {
	for _, p := range c.in.Placed {
		if p.Zone == zone && (p.Purpose == purpose || (purpose == FrontWash && isKey(p.Unit))) {
			return true
		}
	}
	return false
}

// wallSample advises to try one unit on the floor before a row of wall washes is
// bought.
func (c *checker) wallSample() {
	count := map[string]int{}
	first := map[string]string{}
	for _, p := range c.in.Placed {
		if p.Purpose != WallWash {
			continue
		}
		if count[p.Zone]++; count[p.Zone] == 1 {
			first[p.Zone] = p.Fixture
		}
	}
	for _, z := range c.zones {
		if n := count[z.Name]; n > 0 {
			c.rep.add("SCHEME_WALL_SAMPLE", "zone "+z.Name, finding.CountOf("units", n), finding.Text("fixture", first[z.Name]))
		}
	}
}
