package room

import (
	"math"

	"roodbeam/engine/geom"
)

// areaTolerance is the plan area, in m², below which a sliver is dropped.
const areaTolerance = 1e-9

// signedArea returns the plan area, positive for corners counter-clockwise seen
// from above.
func signedArea(p geom.Polygon) float64 {
	var a float64
	for i, v := range p {
		w := p[(i+1)%len(p)]
		a += v.X*w.Y - w.X*v.Y
	}
	return a / 2
}

// counterClockwise returns the corners in counter-clockwise order.
func counterClockwise(p geom.Polygon) geom.Polygon {
	if signedArea(p) < 0 {
		return reversed(p)
	}
	return p
}

func reversed(p geom.Polygon) geom.Polygon {
	out := make(geom.Polygon, len(p))
	for i, v := range p {
		out[len(p)-1-i] = v
	}
	return out
}

// tidy drops corners that coincide with their neighbour or lie on a straight line.
func tidy(p geom.Polygon) geom.Polygon {
	var out geom.Polygon
	for i, v := range p {
		if len(out) > 0 && out[len(out)-1].Sub(v).Norm() < 1e-6 {
			continue
		}
		if i == len(p)-1 && len(out) > 0 && out[0].Sub(v).Norm() < 1e-6 {
			continue
		}
		out = append(out, v)
	}
	return out
}

func turn(a, b, c geom.Vec) float64 { return (b.X-a.X)*(c.Y-b.Y) - (b.Y-a.Y)*(c.X-b.X) }

func convex(p geom.Polygon) bool {
	n := len(p)
	for i := range p {
		if turn(p[i], p[(i+1)%n], p[(i+2)%n]) < -1e-9 {
			return false
		}
	}
	return true
}

// convexParts splits a simple plan polygon, counter-clockwise, into convex parts:
// ear clipping, then merging across diagonals that are not needed. A polygon that
// crosses itself gives parts that may overlap.
//
// Source: S. Hertel, K. Mehlhorn, Fast triangulation of simple polygons, 1983
// (from memory).
func convexParts(p geom.Polygon) []geom.Polygon {
	p = tidy(p)
	if len(p) < 3 {
		return nil
	}
	if convex(p) {
		return []geom.Polygon{p}
	}
	var parts []geom.Polygon
	for _, t := range ears(p) {
		if math.Abs(signedArea(t)) > areaTolerance {
			parts = append(parts, t)
		}
	}
	for merged := true; merged; {
		merged = false
	search:
		for i := range parts {
			for k := i + 1; k < len(parts); k++ {
				if u, ok := join(parts[i], parts[k]); ok && convex(u) {
					parts[i] = u
					parts = append(parts[:k], parts[k+1:]...)
					merged = true
					break search
				}
			}
		}
	}
	return parts
}

// ears clips one triangle after the other off a simple polygon.
func ears(p geom.Polygon) []geom.Polygon {
	rest := append(geom.Polygon(nil), p...)
	var out []geom.Polygon
	for len(rest) > 3 {
		n, clipped := len(rest), false
		for i := range rest {
			a, b, c := rest[(i+n-1)%n], rest[i], rest[(i+1)%n]
			if turn(a, b, c) <= 1e-12 || holdsCorner(rest, a, b, c) {
				continue
			}
			out = append(out, geom.Polygon{a, b, c})
			rest = append(append(geom.Polygon(nil), rest[:i]...), rest[i+1:]...)
			clipped = true
			break
		}
		if !clipped {
			break
		}
	}
	if len(rest) == 3 {
		return append(out, rest)
	}
	for i := 1; i+1 < len(rest); i++ {
		out = append(out, geom.Polygon{rest[0], rest[i], rest[i+1]})
	}
	return out
}

func holdsCorner(p geom.Polygon, a, b, c geom.Vec) bool {
	for _, v := range p {
		if v == a || v == b || v == c {
			continue
		}
		if turn(a, b, v) >= 0 && turn(b, c, v) >= 0 && turn(c, a, v) >= 0 {
			return true
		}
	}
	return false
}

// join glues two polygons along a shared edge.
func join(a, b geom.Polygon) (geom.Polygon, bool) {
	for i := range a {
		for k := range b {
			if a[i] == b[(k+1)%len(b)] && a[(i+1)%len(a)] == b[k] {
				var u geom.Polygon
				for t := 0; t < len(a)-1; t++ {
					u = append(u, a[(i+1+t)%len(a)])
				}
				for t := 0; t < len(b)-1; t++ {
					u = append(u, b[(k+1+t)%len(b)])
				}
				return tidy(u), true
			}
		}
	}
	return nil, false
}

// clip keeps the part of a convex polygon where side·(coordinate − at) ≤ 0, with
// the coordinate x or y.
//
// Source: Sutherland & Hodgman, Reentrant polygon clipping, CACM 17, 1974 (from memory).
func clip(p geom.Polygon, alongY bool, at, side float64) geom.Polygon {
	u := func(v geom.Vec) float64 {
		if alongY {
			return side * (v.X - at)
		}
		return side * (v.Y - at)
	}
	var out geom.Polygon
	for i, v := range p {
		w := p[(i+1)%len(p)]
		a, b := u(v), u(w)
		if a <= 0 {
			out = append(out, v)
		}
		if (a < 0 && b > 0) || (a > 0 && b < 0) {
			out = append(out, v.Lerp(w, a/(a-b)))
		}
	}
	out = tidy(out)
	if len(out) < 3 || math.Abs(signedArea(out)) < areaTolerance {
		return nil
	}
	return out
}

type bounds struct{ minX, maxX, minY, maxY float64 }

func boundsOf(p geom.Polygon) bounds {
	b := bounds{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	for _, v := range p {
		b.minX, b.maxX = math.Min(b.minX, v.X), math.Max(b.maxX, v.X)
		b.minY, b.maxY = math.Min(b.minY, v.Y), math.Max(b.maxY, v.Y)
	}
	return b
}
