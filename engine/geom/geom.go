// Package geom holds points, directions, polygons and meshes in the room's
// axes: right-handed, metres, origin on the floor at the middle of the
// platform's front edge, x to stage left, y upstage, z up.
package geom

import "math"

// Vec is a point or a displacement in metres, or a dimensionless direction.
type Vec struct{ X, Y, Z float64 }

// Add returns v + w.
func (v Vec) Add(w Vec) Vec { return Vec{v.X + w.X, v.Y + w.Y, v.Z + w.Z} }

// Sub returns v − w.
func (v Vec) Sub(w Vec) Vec { return Vec{v.X - w.X, v.Y - w.Y, v.Z - w.Z} }

// Scale returns s·v.
func (v Vec) Scale(s float64) Vec { return Vec{s * v.X, s * v.Y, s * v.Z} }

// Dot returns the scalar product.
func (v Vec) Dot(w Vec) float64 { return v.X*w.X + v.Y*w.Y + v.Z*w.Z }

// Cross returns the vector product v × w.
func (v Vec) Cross(w Vec) Vec {
	return Vec{v.Y*w.Z - v.Z*w.Y, v.Z*w.X - v.X*w.Z, v.X*w.Y - v.Y*w.X}
}

// Norm returns the Euclidean length.
func (v Vec) Norm() float64 { return math.Sqrt(v.Dot(v)) }

// Unit returns v/|v|; the zero vector stays zero.
func (v Vec) Unit() Vec {
	n := v.Norm()
	if n == 0 {
		return Vec{}
	}
	return v.Scale(1 / n)
}

// Plan returns v with z = 0.
func (v Vec) Plan() Vec { return Vec{v.X, v.Y, 0} }

// Lerp returns the point at fraction t from v (t = 0) to w (t = 1).
func (v Vec) Lerp(w Vec, t float64) Vec { return v.Add(w.Sub(v).Scale(t)) }

// Polygon is a planar polygon in space; its outward (front) normal follows the
// right-hand rule along the corners.
type Polygon []Vec

// Normal returns the unit normal by Newell's method; the zero vector for a
// degenerate polygon. Source: Newell's method as in Glassner (ed.), Graphics
// Gems III, 1992, "Newell's method for computing the plane equation" (from memory).
func (p Polygon) Normal() Vec {
	var n Vec
	for i, a := range p {
		b := p[(i+1)%len(p)]
		n.X += (a.Y - b.Y) * (a.Z + b.Z)
		n.Y += (a.Z - b.Z) * (a.X + b.X)
		n.Z += (a.X - b.X) * (a.Y + b.Y)
	}
	return n.Unit()
}

// Area returns the polygon's area in m².
func (p Polygon) Area() float64 {
	var s Vec
	for i := 1; i+1 < len(p); i++ {
		s = s.Add(p[i].Sub(p[0]).Cross(p[i+1].Sub(p[0])))
	}
	return s.Norm() / 2
}

// Centroid returns the mean of the corners' triangle fan weighted by area; the
// mean of the corners for a degenerate polygon.
func (p Polygon) Centroid() Vec {
	if len(p) == 0 {
		return Vec{}
	}
	var sum Vec
	var total float64
	n := p.Normal()
	for i := 1; i+1 < len(p); i++ {
		a := p[i].Sub(p[0]).Cross(p[i+1].Sub(p[0])).Dot(n) / 2
		sum = sum.Add(p[0].Add(p[i]).Add(p[i+1]).Scale(a / 3))
		total += a
	}
	if total == 0 {
		for _, v := range p {
			sum = sum.Add(v)
		}
		return sum.Scale(1 / float64(len(p)))
	}
	return sum.Scale(1 / total)
}

// ContainsPlan tells whether the plan point (x, y) lies inside the polygon's
// plan projection (even-odd rule); points on the edge may fall on either side.
func (p Polygon) ContainsPlan(x, y float64) bool {
	in := false
	for i, a := range p {
		b := p[(i+1)%len(p)]
		if (a.Y > y) != (b.Y > y) && x < (b.X-a.X)*(y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
	}
	return in
}

// NearestPlan returns the point of the polygon's outline nearest to the plan point
// (x, y), in plan with height 0, and how far it is, in metres. Without corners it is
// the point itself, infinitely far.
func (p Polygon) NearestPlan(x, y float64) (at Vec, distance float64) {
	from := Vec{X: x, Y: y}
	at, distance = from, math.Inf(1)
	for i, a := range p {
		a = a.Plan()
		d, t := p[(i+1)%len(p)].Plan().Sub(a), 0.0
		if n2 := d.Dot(d); n2 > 0 {
			t = math.Max(0, math.Min(1, from.Sub(a).Dot(d)/n2))
		}
		q := a.Add(d.Scale(t))
		if far := from.Sub(q).Norm(); far < distance {
			at, distance = q, far
		}
	}
	return at, distance
}

// Triangles splits a convex polygon into a fan.
func (p Polygon) Triangles() []Triangle {
	var ts []Triangle
	for i := 1; i+1 < len(p); i++ {
		ts = append(ts, Triangle{p[0], p[i], p[i+1]})
	}
	return ts
}

// Triangle is three corners in space.
type Triangle [3]Vec

// ElevationDeg returns the angle above the horizontal, in degrees, at which
// from sees to. Straight up is 90; coincident points give 0.
func ElevationDeg(from, to Vec) float64 {
	d := to.Sub(from)
	h := math.Hypot(d.X, d.Y)
	if h == 0 && d.Z == 0 {
		return 0
	}
	return math.Atan2(d.Z, h) * 180 / math.Pi
}

// BearingDeg returns the plan angle, in degrees, from the direction toward the
// congregation (−y) to the direction from → to: 0 straight from the seats,
// positive toward +x (from the right as seen from the seats), negative toward
// −x, ±180 from behind.
func BearingDeg(from, to Vec) float64 {
	d := to.Sub(from)
	if d.X == 0 && d.Y == 0 {
		return 0
	}
	return math.Atan2(d.X, -d.Y) * 180 / math.Pi
}
