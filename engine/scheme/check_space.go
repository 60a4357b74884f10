package scheme

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

const (
	// housingHalfM is half the height of a housing: its lowest part below the
	// lens and its highest above. From memory, small and middle LED fixtures
	// 0.25 m to 0.40 m high in their yoke.
	housingHalfM = 0.15
	// raisedHandM is what a standing adult reaches with a raised hand. Source:
	// common practice.
	raisedHandM = 2.30
	// handGapM keeps a raised hand from touching a housing.
	handGapM = 0.05
	// sprinklerZoneM is the depth below a sprinkler's deflector in which
	// obstructions disturb its spray: 18 in. Source: NFPA 13, clear space below
	// deflectors of standard spray sprinklers (from memory).
	sprinklerZoneM = 0.46
	// seatReachM is how far in plan from a row a unit is taken to hang over it:
	// one row pitch.
	seatReachM = 0.9
)

// clearance holds each unit's underside against a raised hand and a head on
// the floor below it.
func (c *checker) clearance() {
	for _, p := range c.in.Placed {
		if p.Purpose == HouseLight || c.lines[p.Line].Kind == "stand" {
			continue
		}
		level, where := c.standingLevel(p.At)
		bottom := p.At.Z - housingHalfM
		where = orNone(where)
		args := []finding.Arg{finding.Text("where", where), finding.Len("bottom", lengthOf(bottom)), finding.Len("hand", lengthOf(level+raisedHandM)), finding.Len("above", lengthOf(bottom-level))}
		if f, low := c.rep.book.Check("SCHEME_HEADROOM", c.rep.region, subject(p.Unit), bottom-level, args...); low {
			c.rep.keep(f)
			continue
		}
		c.rep.check("SCHEME_HAND_REACH", subject(p.Unit), bottom-level-raisedHandM, args...)
	}
}

// standingLevel returns the highest floor below a point on which people stand.
func (c *checker) standingLevel(at geom.Vec) (float64, string) {
	level, where := 0.0, "hall floor"
	try := func(z float64, name string, p geom.Polygon) {
		if len(p) >= 3 && z > level && z < at.Z && p.ContainsPlan(at.X, at.Y) {
			level, where = z, name
		}
	}
	try(c.in.Room.Platform.Height.Metres(), "platform", c.in.Room.Platform.Outline)
	for _, s := range c.in.Room.Surfaces {
		if s.Kind == "gallery" && s.Polygon.Normal().Z > 0.9 {
			try(s.Polygon[0].Z, strings.ReplaceAll(s.Name, "_", " "), s.Polygon)
		}
	}
	return level, where
}

// keepClear reports units inside the space to be kept free round a solid.
func (c *checker) keepClear() {
	for _, s := range c.in.Room.Solids {
		if s.KeepClear <= 0 || isSprinkler(s.Name) {
			continue
		}
		lo, hi, ok := bounds(s)
		if !ok {
			continue
		}
		for _, p := range c.in.Placed {
			if d := boxDistance(p.At, lo, hi); d < s.KeepClear.Metres() {
				c.rep.add("SCHEME_KEEP_CLEAR", fmt.Sprintf("unit %s and %s", p.ID, s.Name),
					finding.Text("what", s.Name), finding.Len("distance", lengthOf(d)), finding.Len("keep", s.KeepClear))
			}
		}
	}
}

// bounds returns the corners of the box round a solid; false without faces.
func bounds(s room.Solid) (lo, hi geom.Vec, ok bool) {
	lo = geom.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi = lo.Scale(-1)
	for _, f := range s.Faces {
		for _, v := range f {
			lo = geom.Vec{X: math.Min(lo.X, v.X), Y: math.Min(lo.Y, v.Y), Z: math.Min(lo.Z, v.Z)}
			hi = geom.Vec{X: math.Max(hi.X, v.X), Y: math.Max(hi.Y, v.Y), Z: math.Max(hi.Z, v.Z)}
			ok = true
		}
	}
	return lo, hi, ok
}

// boxDistance returns the distance in metres from a point to a box, 0 inside.
func boxDistance(p, lo, hi geom.Vec) float64 {
	out := func(v, a, b float64) float64 { return math.Max(0, math.Max(a-v, v-b)) }
	return geom.Vec{X: out(p.X, lo.X, hi.X), Y: out(p.Y, lo.Y, hi.Y), Z: out(p.Z, lo.Z, hi.Z)}.Norm()
}

func isSprinkler(name string) bool { return strings.Contains(strings.ToLower(name), "sprinkler") }

// sprinklers reports the units whose housing reaches into the zone below
// sprinkler heads: below the surveyed heads, or below the ceiling where
// sprinklers are present and their heads unknown.
func (c *checker) sprinklers() {
	head, surveyed := math.Inf(1), false
	for _, s := range c.in.Room.Solids {
		if lo, _, ok := bounds(s); ok && isSprinkler(s.Name) {
			head, surveyed = math.Min(head, lo.Z), true
		}
	}
	if !surveyed && c.in.Survey.Site.Sprinklers != "present" {
		return
	}
	var inZone []string
	lowest := math.Inf(1)
	for _, p := range c.in.Placed {
		z := head
		if !surveyed {
			h, ok := ceilingAt(c.in.Room, p.At.X, p.At.Y)
			if !ok {
				continue
			}
			z = h
		}
		if p.At.Z+housingHalfM > z-sprinklerZoneM {
			inZone = append(inZone, p.ID)
			lowest = math.Min(lowest, z)
		}
	}
	if len(inZone) > 0 {
		slices.Sort(inZone)
		c.rep.add("SCHEME_SPRINKLER_ZONE", "sprinklers", finding.Text("units", strings.Join(inZone, ", ")),
			finding.Len("head", lengthOf(lowest)), finding.Len("zone", sprinklerZoneM))
	}
}

// seatsBelow notes the rows over which units of a line hang.
func (c *checker) seatsBelow() {
	type key struct{ line, block string }
	rows, units := map[key][]int{}, map[key][]string{}
	var order []key
	for _, p := range c.in.Placed {
		for _, s := range c.in.Room.Seating {
			k := key{p.Line, s.Name}
			for i, r := range s.Rows {
				if segmentDistance(p.At.Plan(), r.Left.Plan(), r.Right.Plan()) > seatReachM || r.Left.Z > p.At.Z {
					continue
				}
				if len(units[k]) == 0 {
					order = append(order, k)
				}
				rows[k] = append(rows[k], i+1)
				units[k] = append(units[k], p.ID)
			}
		}
	}
	for _, k := range order {
		slices.Sort(rows[k])
		slices.Sort(units[k])
		var text []string
		for _, n := range slices.Compact(rows[k]) {
			text = append(text, fmt.Sprint(n))
		}
		c.rep.add("SCHEME_OVER_SEATS", fmt.Sprintf("line %s over %s", orNone(k.line), orNone(k.block)), finding.Text("rows", strings.Join(text, ", ")),
			finding.Text("units", strings.Join(slices.Compact(units[k]), ", ")))
	}
}

// views reports units that hang between people and a screen, or between people
// and what they came to see.
func (c *checker) views() {
	eyes := c.viewers()
	for _, s := range c.in.Room.Screens {
		c.view("screen "+s.Name, s.Corners, eyes)
	}
	for _, w := range c.in.Room.Windows {
		if slices.Contains(c.in.Brief.KeepInView, w.Name) {
			c.view("window "+w.Name, w.Polygon, eyes)
		}
	}
	for _, v := range c.in.Room.Views {
		if !keptWindow(c.in.Room, c.in.Brief.KeepInView, v.Name) {
			c.view(v.Name, v.Polygon, eyes)
		}
	}
}

// keptWindow tells whether a thing to keep in view is a window that the brief
// already names.
func keptWindow(r room.Room, keep []string, name string) bool {
	return slices.Contains(keep, name) && slices.ContainsFunc(r.Windows, func(w room.Window) bool { return w.Name == name })
}

func (c *checker) view(name string, target geom.Polygon, eyes []geom.Vec) {
	if len(target) < 3 || len(eyes) == 0 {
		return
	}
	for _, p := range c.in.Placed {
		hidden := 0
		for _, e := range eyes {
			if crosses(e, p.At, target) {
				hidden++
			}
		}
		if hidden > 0 {
			c.rep.add("SCHEME_IN_VIEW", fmt.Sprintf("unit %s before %s", p.ID, name), finding.Text("what", name),
				finding.Percent("share", 100*float64(hidden)/float64(len(eyes))))
		}
	}
}

// viewers returns the middle and the ends of every row, and the named eyes.
func (c *checker) viewers() []geom.Vec {
	var out []geom.Vec
	for _, s := range c.in.Room.Seating {
		for _, r := range s.Rows {
			out = append(out, r.Left, r.Left.Lerp(r.Right, 0.5), r.Right)
		}
	}
	for _, e := range c.in.Room.Eyes {
		out = append(out, e.At)
	}
	return out
}

// crosses tells whether the line of sight from an eye through a point meets a
// convex polygon beyond the point.
func crosses(eye, through geom.Vec, poly geom.Polygon) bool {
	n := poly.Normal()
	d := through.Sub(eye)
	den := n.Dot(d)
	if den == 0 {
		return false
	}
	t := n.Dot(poly[0].Sub(eye)) / den
	if !(t > 1) {
		return false
	}
	hit := eye.Add(d.Scale(t))
	for i, a := range poly {
		if poly[(i+1)%len(poly)].Sub(a).Cross(hit.Sub(a)).Dot(n) < 0 {
			return false
		}
	}
	return true
}
