package light

import (
	"math"

	"roodbeam/engine/geom"
)

// ParallelRectangles returns the view factor between two equal, opposite
// rectangles of sides a and b at a distance c, in one unit of length:
//
//	F = 2/(π·X·Y)·{ln √[(1+X²)(1+Y²)/(1+X²+Y²)] + X·√(1+Y²)·atan(X/√(1+Y²))
//	    + Y·√(1+X²)·atan(Y/√(1+X²)) − X·atan X − Y·atan Y},  X = a/c, Y = b/c
//
// 0 for a length that is not positive. Source: Howell, A Catalog of Radiation
// Heat Transfer Configuration Factors, C-11 (number from memory).
func ParallelRectangles(a, b, c float64) float64 {
	if !(a > 0) || !(b > 0) || !(c > 0) {
		return 0
	}
	x, y := a/c, b/c
	sx, sy := math.Sqrt(1+x*x), math.Sqrt(1+y*y)
	return 2 / (math.Pi * x * y) * (math.Log(sx*sy/math.Sqrt(1+x*x+y*y)) +
		x*sy*math.Atan(x/sy) + y*sx*math.Atan(y/sx) - x*math.Atan(x) - y*math.Atan(y))
}

// PerpendicularRectangles returns the view factor from a rectangle of width w to
// one of height h that stands on it at right angles along a common edge l:
//
//	F = 1/(π·W)·{W·atan(1/W) + H·atan(1/H) − √(H²+W²)·atan(1/√(H²+W²))
//	    + ¼·ln[(1+W²)(1+H²)/(1+W²+H²) · (W²(1+W²+H²)/((1+W²)(W²+H²)))^W²
//	    · (H²(1+H²+W²)/((1+H²)(H²+W²)))^H²]},  H = h/l, W = w/l
//
// 0 for a length that is not positive. Source: Howell, C-14 (number from
// memory).
func PerpendicularRectangles(l, h, w float64) float64 {
	if !(l > 0) || !(h > 0) || !(w > 0) {
		return 0
	}
	H, W := h/l, w/l
	h2, w2 := H*H, W*W
	r := math.Sqrt(h2 + w2)
	ln := math.Log((1+w2)*(1+h2)/(1+w2+h2)) + w2*math.Log(w2*(1+w2+h2)/((1+w2)*(w2+h2))) +
		h2*math.Log(h2*(1+h2+w2)/((1+h2)*(h2+w2)))
	return (W*math.Atan(1/W) + H*math.Atan(1/H) - r*math.Atan(1/r) + ln/4) / (math.Pi * W)
}

// CoaxialDiscs returns the view factor from a disc of radius r1 to a parallel
// one of radius r2 on the same axis at a distance h:
//
//	F = [X − √(X² − 4(r2/r1)²)]/2,  X = 1 + (1 + R2²)/R1²,  Ri = ri/h
//
// 0 for a length that is not positive. Source: Howell, C-41 (number from
// memory).
func CoaxialDiscs(r1, r2, h float64) float64 {
	if !(r1 > 0) || !(r2 > 0) || !(h > 0) {
		return 0
	}
	R1, R2 := r1/h, r2/h
	x := 1 + (1+R2*R2)/(R1*R1)
	q := r2 / r1
	return (x - math.Sqrt(x*x-4*q*q)) / 2
}

// PointToCorner returns the view factor from a point of a plane to a parallel
// rectangle a × b at a distance c, one corner of which lies straight over it:
//
//	F = 1/(2π)·[A/√(1+A²)·atan(B/√(1+A²)) + B/√(1+B²)·atan(A/√(1+B²))],  A = a/c, B = b/c
//
// 0 for a length that is not positive. Source: Howell, B-3 (number from memory).
func PointToCorner(a, b, c float64) float64 {
	if !(a > 0) || !(b > 0) || !(c > 0) {
		return 0
	}
	A, B := a/c, b/c
	sa, sb := math.Sqrt(1+A*A), math.Sqrt(1+B*B)
	return (A/sa*math.Atan(B/sa) + B/sb*math.Atan(A/sb)) / (2 * math.Pi)
}

// PointToUpright returns the view factor from a point of a level plane to an
// upright rectangle of height a and width b at a distance c that stands on the
// plane with one corner straight before the point:
//
//	F = 1/(2π)·[atan(1/Y) − Y/√(X²+Y²)·atan(1/√(X²+Y²))],  X = a/b, Y = c/b
//
// 0 for a length that is not positive. Source: Howell, B-4 (number from memory).
func PointToUpright(a, b, c float64) float64 {
	if !(a > 0) || !(b > 0) || !(c > 0) {
		return 0
	}
	x, y := a/b, c/b
	r := math.Hypot(x, y)
	return (math.Atan(1/y) - y/r*math.Atan(1/r)) / (2 * math.Pi)
}

// PointToDisc returns the view factor from a point of a plane to a parallel disc
// of radius r at a distance h, its axis off the point by a:
//
//	F = ½·[1 − (Z − 2R²)/√(Z² − 4R²)],  H = h/a, R = r/a, Z = 1 + H² + R²
//
// and r²/(r² + h²) on the axis. 0 for a length that is not positive.
// Source: Howell, B-12 and B-13 (numbers from memory).
func PointToDisc(r, h, a float64) float64 {
	if !(r > 0) || !(h > 0) {
		return 0
	}
	if a == 0 {
		return r * r / (r*r + h*h)
	}
	H, R := h/a, r/a
	z := 1 + H*H + R*R
	return (1 - (z-2*R*R)/math.Sqrt(z*z-4*R*R)) / 2
}

// PointToPolygon returns the view factor from a point with a unit normal to a
// plane polygon, either side of it counted: the share of the point's
// illuminance when the polygon alone shines evenly, E = π·L·F.
//
//	F = 1/(2π)·|Σ θi·n·(ri × ri+1)/|ri × ri+1||
//
// with ri from the point to the corners of the part above the point's horizon
// and θi the angle between ri and ri+1. 0 when nothing is above the horizon or
// the point lies in the polygon's plane.
// Source: Lambert, Photometria, 1760, as in Howell's catalogue.
func PointToPolygon(at, normal geom.Vec, poly geom.Polygon) float64 {
	var buf [maxClip]geom.Vec
	above := clipHorizon(buf[:0], at, normal, poly)
	if len(above) < 3 {
		return 0
	}
	sum := 0.0
	prev := above[len(above)-1]
	for _, next := range above {
		c := prev.Cross(next)
		if n := c.Norm(); n > 0 {
			sum += math.Atan2(n, prev.Dot(next)) * normal.Dot(c) / n
		}
		prev = next
	}
	return math.Abs(sum) / (2 * math.Pi)
}

// maxClip is how many corners a clipped polygon may have before it is put on
// the heap.
const maxClip = 12

// clipHorizon appends the corners, relative to a point, of the part of a polygon
// on the side of its normal.
// Source: Sutherland & Hodgman, Reentrant polygon clipping, CACM 17(1), 1974
// (from memory).
func clipHorizon(out []geom.Vec, at, normal geom.Vec, poly geom.Polygon) []geom.Vec {
	if len(poly) == 0 {
		return out
	}
	prev := poly[len(poly)-1].Sub(at)
	hp := prev.Dot(normal)
	for _, v := range poly {
		r := v.Sub(at)
		h := r.Dot(normal)
		if (h > 0) != (hp > 0) {
			out = append(out, prev.Lerp(r, hp/(hp-h)))
		}
		if h > 0 {
			out = append(out, r)
		}
		prev, hp = r, h
	}
	return out
}

// SolidAngle returns the solid angle in steradians of a convex polygon seen from
// a point; 0 in its plane.
// Source: van Oosterom & Strackee, The solid angle of a plane triangle, IEEE
// Trans. Biomed. Eng. 30(2), 1983 (from memory).
func SolidAngle(at geom.Vec, poly geom.Polygon) float64 {
	sum := 0.0
	for _, t := range poly.Triangles() {
		a, b, c := t[0].Sub(at), t[1].Sub(at), t[2].Sub(at)
		la, lb, lc := a.Norm(), b.Norm(), c.Norm()
		den := la*lb*lc + a.Dot(b)*lc + a.Dot(c)*lb + b.Dot(c)*la
		sum += 2 * math.Atan2(a.Dot(b.Cross(c)), den)
	}
	return math.Abs(sum)
}
