package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

// nearestOnSegment returns the point of a–b nearest to p, and its share of the
// way from a.
func nearestOnSegment(p, a, b geom.Vec) (geom.Vec, float64) {
	d := b.Sub(a)
	n := d.Dot(d)
	if n == 0 {
		return a, 0
	}
	t := math.Max(0, math.Min(1, p.Sub(a).Dot(d)/n))
	return a.Lerp(b, t), t
}

// segmentDistance returns the least distance between the segments a–b and c–d.
// Source: Ericson, Real-Time Collision Detection, 2005, 5.1.9 (from memory).
func segmentDistance(a, b, c, d geom.Vec) float64 {
	u, v, w := b.Sub(a), d.Sub(c), a.Sub(c)
	uu, uv, vv := u.Dot(u), u.Dot(v), v.Dot(v)
	s := 0.0
	if den := uu*vv - uv*uv; den > 1e-12*uu*vv {
		s = math.Max(0, math.Min(1, (uv*v.Dot(w)-vv*u.Dot(w))/den))
	}
	p := a.Lerp(b, s)
	q, _ := nearestOnSegment(p, c, d)
	p, _ = nearestOnSegment(q, a, b)
	best := p.Sub(q).Norm()
	// For parallel segments any s is a minimum inside; the ends settle the rest.
	for _, end := range [...][3]geom.Vec{{a, c, d}, {b, c, d}, {c, a, b}, {d, a, b}} {
		q, _ := nearestOnSegment(end[0], end[1], end[2])
		best = math.Min(best, q.Sub(end[0]).Norm())
	}
	return best
}

// insidePolygon tells whether a point of a polygon's plane lies inside it.
func insidePolygon(p geom.Vec, poly geom.Polygon) bool {
	n := poly.Normal()
	ax, ay, az := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	flat := func(v geom.Vec) geom.Vec { return v }
	switch {
	case ax >= ay && ax >= az:
		flat = func(v geom.Vec) geom.Vec { return geom.Vec{X: v.Y, Y: v.Z} }
	case ay >= az:
		flat = func(v geom.Vec) geom.Vec { return geom.Vec{X: v.X, Y: v.Z} }
	}
	q := make(geom.Polygon, len(poly))
	for i, v := range poly {
		q[i] = flat(v)
	}
	p = flat(p)
	return q.ContainsPlan(p.X, p.Y)
}

// planeHit returns where the line a + t·d meets a polygon, and t; false when it
// is parallel, behind a, or outside the polygon.
func planeHit(a, d geom.Vec, poly geom.Polygon) (geom.Vec, float64, bool) {
	if len(poly) < 3 {
		return geom.Vec{}, 0, false
	}
	n := poly.Normal()
	den := d.Dot(n)
	if math.Abs(den) < 1e-12*d.Norm() || den == 0 {
		return geom.Vec{}, 0, false
	}
	t := poly[0].Sub(a).Dot(n) / den
	p := a.Add(d.Scale(t))
	return p, t, t > 0 && insidePolygon(p, poly)
}

// bodyDistance returns the least distance in metres between the segment a–b and
// a convex body; the same point twice asks for a point's distance. 0 inside or
// crossing; a body without faces is its base point.
func bodyDistance(a, b geom.Vec, s room.Solid) float64 {
	if len(s.Faces) == 0 {
		p, _ := nearestOnSegment(s.Base, a, b)
		return p.Sub(s.Base).Norm()
	}
	if insideBody(a, s) {
		return 0
	}
	best := math.Inf(1)
	for _, f := range s.Faces {
		best = math.Min(best, faceDistance(a, b, f))
	}
	return best
}

// insideBody tells whether a point lies behind every outward face.
func insideBody(p geom.Vec, s room.Solid) bool {
	for _, f := range s.Faces {
		if len(f) < 3 || p.Sub(f[0]).Dot(f.Normal()) > 0 {
			return false
		}
	}
	return true
}

func faceDistance(a, b geom.Vec, f geom.Polygon) float64 {
	if len(f) == 0 {
		return math.Inf(1)
	}
	if _, t, ok := planeHit(a, b.Sub(a), f); ok && t <= 1 {
		return 0
	}
	best := math.Inf(1)
	for i, c := range f {
		best = math.Min(best, segmentDistance(a, b, c, f[(i+1)%len(f)]))
	}
	n := f.Normal()
	for _, end := range [...]geom.Vec{a, b} {
		off := end.Sub(f[0]).Dot(n)
		if foot := end.Sub(n.Scale(off)); n != (geom.Vec{}) && insidePolygon(foot, f) {
			best = math.Min(best, math.Abs(off))
		}
	}
	return best
}

// crossingAbove returns by how many metres a line is above the segment a–b where
// the two cross in plan; NaN when they do not.
func crossingAbove(a, b, c, d geom.Vec) float64 {
	u, v, w := b.Sub(a), d.Sub(c), c.Sub(a)
	den := u.X*v.Y - u.Y*v.X
	if den == 0 {
		return math.NaN()
	}
	s := (w.X*v.Y - w.Y*v.X) / den
	t := (w.X*u.Y - w.Y*u.X) / den
	if s < 0 || s > 1 || t < 0 || t > 1 {
		return math.NaN()
	}
	return c.Lerp(d, t).Z - a.Lerp(b, s).Z
}
