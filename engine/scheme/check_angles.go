package scheme

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
)

// frontAngles holds each front unit's elevation and sideways angle against the bands.
func (c *checker) frontAngles() {
	for _, p := range c.in.Placed {
		e := elevationAtAim(p)
		side := geom.BearingDeg(p.Target, p.At)
		args := []finding.Arg{finding.Text("line", orNone(p.Line)), finding.Text("place", orNone(c.faceOf(p).label())), finding.Deg("sideways", side)}
		if !isKey(p.Unit) {
			continue
		}
		switch {
		case e < refuseFrontMinDeg:
			c.rep.check("SCHEME_ELEVATION_LOW", subject(p.Unit), e, args...)
		case e > refuseFrontMaxDeg && !c.lowerPartner(p):
			c.rep.check("FRONT_ELEVATION_HIGH", subject(p.Unit), e, args...)
		case FrontBand(e) == BandAsk:
			c.rep.add("SCHEME_ELEVATION_ASK", subject(p.Unit), append(args, finding.Deg("elevation", e))...)
		}
		c.rep.check("SCHEME_SIDE_ANGLE", subject(p.Unit), math.Abs(wrapDeg(side-c.faceOf(p).facingDeg)), args...)
	}
}

// lowerPartner tells whether another front unit for the same face comes from
// below the steep limit and above the glare limit.
func (c *checker) lowerPartner(p Placed) bool {
	face := c.faceOf(p)
	for _, q := range c.in.Placed {
		if q.ID == p.ID || q.Zone != p.Zone || (!isKey(q.Unit) && q.Purpose != Fill) || c.faceOf(q).name != face.name {
			continue
		}
		if e := elevationAtAim(q); e >= refuseFrontMinDeg && e <= refuseFrontMaxDeg {
			return true
		}
	}
	return false
}

// straightLight notes where a line is good only because its units cross: light
// straight from the seats would be too steep.
func (c *checker) straightLight() {
	type key struct{ zone, face, line string }
	done := map[key]bool{}
	for _, p := range c.in.Placed {
		line, ok := c.lines[p.Line]
		e := elevationAtAim(p)
		if !ok || !isKey(p.Unit) || e > refuseFrontMaxDeg {
			continue
		}
		f := c.faceOf(p)
		f.at = p.Target
		k := key{f.zone, f.name, p.Line}
		cell := lineZone(c.in.Room, line, f, lensAt(line, bestAlong(line, usableSpans(line), f)))
		if done[k] || cell.Behind || cell.ElevationDeg <= refuseFrontMaxDeg {
			continue
		}
		done[k] = true
		c.rep.check("SCHEME_STRAIGHT_STEEP", f.label()+" from "+p.Line, cell.ElevationDeg,
			finding.Deg("crossed", e), finding.Deg("sideways", geom.BearingDeg(p.Target, p.At)), finding.Text("line", p.Line))
	}
}

func (f facePoint) label() string {
	if f.zone == "" || f.zone == f.name {
		return f.name
	}
	if f.name == "" {
		return f.zone
	}
	return f.zone + " " + f.name
}

// crossAim looks, for each face that asks for light from both sides, for two
// partners far enough apart in plan; where there are none it says which x the
// missing one would need on the line of the one that is there.
func (c *checker) crossAim() {
	for _, z := range c.zones {
		if !z.CrossAim {
			continue
		}
		for i, f := range z.faces {
			units := c.directions(z, i, "")
			if len(units) == 0 {
				continue
			}
			subject := "face " + f.label()
			if spread := planSpreadDeg(f, units); spread < partnersApartDeg {
				c.missingPartner(f, units, subject, spread)
				continue
			}
			c.crossAimByPhase(z, i, subject)
		}
	}
}

// crossAimByPhase notes faces that get their partner only in a later phase.
func (c *checker) crossAimByPhase(z checkedZone, face int, subject string) {
	first := "A"
	early := c.directions(z, face, first)
	if len(early) == 0 || len(early) == len(c.directions(z, face, "")) {
		return
	}
	if spread := planSpreadDeg(z.faces[face], early); spread < partnersApartDeg {
		c.rep.add("SCHEME_CROSS_AIM_LATER", subject, finding.Text("units", ids(early)), finding.Text("phase", first), finding.Deg("spread", spread))
	}
}

// directions returns the units whose light counts as a direction at a face:
// those meant for it, and those of its zone that give it at least half of what
// the strongest gives. With a phase only the units of that phase.
func (c *checker) directions(z checkedZone, face int, phase string) []Placed {
	meant := map[string]bool{}
	for _, p := range c.meantFor(z, face, lightsFaces) {
		meant[p.ID] = true
	}
	f := z.faces[face]
	at := light.Point{At: f.at, Normal: f.normal()}
	var units []Placed
	var lx []float64
	strongest := 0.0
	for _, p := range c.in.Placed {
		if p.Zone != z.Name || !lightsFaces(p.Unit) || (phase != "" && phaseOf(p.Unit) != phase) {
			continue
		}
		E := light.Direct(Sources([]Placed{p}, c.in.Catalogue)[0], at, light.Scene{}).Lx
		units, lx = append(units, p), append(lx, E)
		strongest = math.Max(strongest, E)
	}
	var out []Placed
	for i, p := range units {
		if meant[p.ID] || (lx[i] > 0 && lx[i] >= sharedShareOfBest*strongest) {
			out = append(out, p)
		}
	}
	return out
}

func lightsFaces(u Unit) bool { return isKey(u) || u.Purpose == Fill }

func phaseOf(u Unit) string {
	if u.Phase == "" {
		return "A"
	}
	return u.Phase
}

// planSpreadDeg returns the widest plan angle in degrees at a face between two
// units; 0 with fewer than two.
func planSpreadDeg(f facePoint, units []Placed) float64 {
	widest := 0.0
	for i, a := range units {
		for _, b := range units[i+1:] {
			widest = math.Max(widest, math.Abs(wrapDeg(geom.BearingDeg(f.at, a.At)-geom.BearingDeg(f.at, b.At))))
		}
	}
	return widest
}

// missingPartner reports a face whose units are too near each other in plan,
// with the x at which a partner of the outermost unit would have to hang on that
// unit's own line, and what is in the way there.
func (c *checker) missingPartner(f facePoint, units []Placed, subject string, spread float64) {
	outer := units[0]
	for _, u := range units[1:] {
		if math.Abs(wrapDeg(geom.BearingDeg(f.at, u.At)-f.facingDeg)) > math.Abs(wrapDeg(geom.BearingDeg(f.at, outer.At)-f.facingDeg)) {
			outer = u
		}
	}
	bearing := geom.BearingDeg(f.at, outer.At)
	partner := bearing - partnersApartDeg
	if wrapDeg(bearing-f.facingDeg) < 0 {
		partner = bearing + partnersApartDeg
	}
	toSeats := f.at.Y - outer.At.Y
	x := f.at.X + toSeats*math.Tan(partner*math.Pi/180)
	args := []finding.Arg{finding.Text("units", ids(units)), finding.Text("line", orNone(outer.Line))}
	if toSeats <= 0 || math.Abs(partner) >= 90 || !finite(x) {
		c.rep.check("SCHEME_CROSS_AIM_ELSEWHERE", subject, spread, args...)
		return
	}
	hint := "no unit is meant for the face from there"
	at := geom.Vec{X: x, Y: outer.At.Y, Z: outer.At.Z}
	switch line, ok := c.lines[outer.Line]; {
	case len(c.in.Room.Footprint) >= 3 && (!c.in.Room.Footprint.ContainsPlan(x, at.Y) || outsideBy(c.in.Room.Footprint, at) < lensApartM):
		hint = "that is the wall; take the partner from another line"
	case ok && math.Abs(clampToSpans(usableSpans(line), project(line, at))-project(line, at)) > spanSlackM:
		hint = "that is outside the line's usable span; take the partner from another line"
	}
	c.rep.check("SCHEME_CROSS_AIM", subject, spread, append(args, finding.Len("x", lengthOf(x)), finding.Text("hint", hint))...)
}

func ids(units []Placed) string {
	var out []string
	for _, u := range units {
		out = append(out, u.ID)
	}
	return strings.Join(out, ", ")
}

// counts tells how many areas width and pool size give a zone that has fewer units.
func (c *checker) counts() {
	for _, z := range c.zones {
		have, pool := 0, 0.0
		for _, p := range c.in.Placed {
			if p.Zone == z.Name && lightsFaces(p.Unit) {
				have++
				pool += fieldDiameterM(p.At.Sub(p.Target).Norm(), p.FieldDeg)
			}
		}
		if have == 0 {
			continue
		}
		pool /= float64(have)
		width := zoneWidthM(z.Zone, z.faces)
		areas := areasAcross(width, pool)
		want := areas
		if z.CrossAim {
			want *= 2
		}
		if have < want {
			c.rep.add("SCHEME_COUNT", "zone "+z.Name, finding.Len("width", lengthOf(width)), finding.Len("pool", lengthOf(pool)),
				finding.CountOf("areas", areas), finding.CountOf("units", have), finding.CountOf("rule", want))
		}
	}
}

// poolSpacing is the distance of neighbouring pools over their diameter.
// Source: common practice, 0.6 to 0.75, so that they overlap by 25 % to 40 %.
const poolSpacing = 0.7

// areasAcross returns how many lit areas a width in metres takes with pools of a
// diameter in metres: one up to the diameter of one area, else at least left,
// centre and right, and no farther apart than one area's diameter or the pools'
// overlap asks for. A pool of 0 leaves the width alone to decide.
// Source: common practice.
func areasAcross(widthM, poolM float64) int {
	step := areaAcrossM
	if s := poolSpacing * poolM; s > 0 && s < step {
		step = s
	}
	n := 1
	if widthM > 0 {
		n = int(math.Min(1e6, math.Ceil(widthM/step-1e-9)))
	}
	if widthM > areaAcrossM {
		return max(leastAreasAcross, n)
	}
	return n
}

// fallOff reports zones that one line lights so unequally in depth that a second
// line is needed: the normal illuminance at the nearest of its faces over that at
// the farthest, by the inverse-square law.
func (c *checker) fallOff() {
	for _, z := range c.zones {
		line, single := "", true
		for _, p := range c.in.Placed {
			if p.Zone == z.Name && isKey(p.Unit) {
				single = single && (line == "" || line == p.Line)
				line = p.Line
			}
		}
		l, ok := c.lines[line]
		if !ok || !single || len(z.faces) == 0 || z.Use == "wall" {
			continue
		}
		spans := usableSpans(l)
		near, far := math.Inf(1), 0.0
		for _, f := range z.faces {
			d := lensAt(l, bestAlong(l, spans, f)).Sub(f.at).Norm()
			near, far = math.Min(near, d), math.Max(far, d)
		}
		if near > 0 {
			c.rep.check("SCHEME_FALL_OFF", "zone "+z.Name, far*far/(near*near), finding.Text("line", line),
				finding.Len("near", lengthOf(near)), finding.Len("far", lengthOf(far)))
		}
	}
}

// doubtedHeights says, for each doubted height of a hanging line, what the
// units on it would become if the height were as first read: the unit of the most
// important zone with its two angles, and the range over all of them.
func (c *checker) doubtedHeights() {
	for _, s := range c.in.Room.Suspects {
		line, ok := c.lines[s.Line]
		if !ok || !known(s.Alternative) {
			continue
		}
		var first Placed
		var then, now float64
		lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		n := 0
		for _, p := range c.in.Placed {
			if p.Line != s.Line || p.Purpose == HouseLight {
				continue
			}
			at := p.At
			at.Z += float64(s.Alternative.Value) - line.Underside(p.Along.Or(line.Length()/2)).Z
			a, b := geom.ElevationDeg(p.Target, at), elevationAtAim(p)
			lo[0], hi[0] = math.Min(lo[0], a), math.Max(hi[0], a)
			lo[1], hi[1] = math.Min(lo[1], b), math.Max(hi[1], b)
			if n++; n == 1 || c.importance(p) < c.importance(first) {
				first, then, now = p, a, b
			}
		}
		if n > 0 {
			c.rep.add("SCHEME_DOUBTED_HEIGHT", fmt.Sprintf("line %s if %s reads %s", s.Line, s.Measurement, orNone(s.Text)),
				finding.Text("unit", first.ID), finding.Deg("then", then), finding.Deg("now", now),
				finding.Text("line", s.Line), finding.Len("height", s.Alternative.Value), finding.CountOf("units", n),
				finding.Text("list", fmt.Sprintf("%.1f° to %.1f° instead of %.1f° to %.1f°", lo[0], hi[0], lo[1], hi[1])))
		}
	}
}

// importance ranks a unit by its zone's priority, front light before the rest;
// the lower the more important.
func (c *checker) importance(p Placed) int {
	r := 1 << 20
	for _, z := range c.zones {
		if z.Name == p.Zone {
			r = min(r, rank(z.Priority))
		}
	}
	r *= 2
	if !isKey(p.Unit) {
		r++
	}
	return r
}
