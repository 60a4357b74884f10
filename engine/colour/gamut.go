package colour

import (
	"math"
	"slices"
)

// point is a chromaticity in the CIE 1976 diagram. Straight lines of the 1931
// diagram stay straight there, so mixtures of two lights lie between them.
type point struct{ u, v float64 }

func (a point) cross(b, c point) float64 { return (b.u-a.u)*(c.v-a.v) - (b.v-a.v)*(c.u-a.u) }

// nearest returns the wanted chromaticity when the given ones can mix it, else
// the nearest they can, in the CIE 1976 diagram.
func nearest(points []XY, want XY) (XY, bool) {
	h := hull(points)
	w := prime(want)
	if h.holds(w) {
		return want, true
	}
	best, least := h[0], math.Inf(1)
	for i, a := range h {
		q := onSegment(a, h[(i+1)%len(h)], w)
		if d := math.Hypot(q.u-w.u, q.v-w.v); d < least {
			best, least = q, d
		}
	}
	return FromUV(best.u, best.v/1.5), least < slack
}

func prime(c XY) point {
	u, v := c.UVPrime()
	return point{u, v}
}

type polygon []point

// hull returns the convex hull counter-clockwise, by monotone chains.
// Source: A. M. Andrew, Information Processing Letters 9, 1979.
func hull(points []XY) polygon {
	ps := make([]point, len(points))
	for i, c := range points {
		ps[i] = prime(c)
	}
	slices.SortFunc(ps, func(a, b point) int {
		switch {
		case a.u < b.u || (a.u == b.u && a.v < b.v):
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	ps = slices.Compact(ps)
	if len(ps) < 3 {
		return ps
	}
	half := func() polygon {
		var out polygon
		for _, p := range ps {
			for len(out) > 1 && out[len(out)-2].cross(out[len(out)-1], p) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		return out[:len(out)-1]
	}
	lower := half()
	slices.Reverse(ps)
	return append(lower, half()...)
}

// holds tells whether the polygon has the point inside or on its edge.
func (h polygon) holds(p point) bool {
	if len(h) < 3 {
		return false
	}
	for i, a := range h {
		if a.cross(h[(i+1)%len(h)], p) < 0 {
			return false
		}
	}
	return true
}

// onSegment returns the point of a segment nearest to p.
func onSegment(a, b, p point) point {
	du, dv := b.u-a.u, b.v-a.v
	n := du*du + dv*dv
	if n == 0 {
		return a
	}
	t := math.Max(0, math.Min(1, ((p.u-a.u)*du+(p.v-a.v)*dv)/n))
	return point{a.u + t*du, a.v + t*dv}
}
