package room

import (
	"math"

	"roodbeam/engine/geom"
)

// boxFaces returns the six outward faces of an upright box on its base centre.
func boxFaces(base geom.Vec, width, depth, height float64) []geom.Polygon {
	w, d := width/2, depth/2
	return prism(geom.Polygon{
		{X: base.X - w, Y: base.Y - d, Z: base.Z}, {X: base.X + w, Y: base.Y - d, Z: base.Z},
		{X: base.X + w, Y: base.Y + d, Z: base.Z}, {X: base.X - w, Y: base.Y + d, Z: base.Z}}, height)
}

// cylinderFaces returns a twelve-sided prism of the cylinder's own plan area.
func cylinderFaces(base geom.Vec, diameter, height float64) []geom.Polygon {
	const n = 12
	// Equal area: n/2·r²·sin(2π/n) = π·(d/2)².
	r := diameter / 2 * math.Sqrt(math.Pi/(n/2*math.Sin(2*math.Pi/n)))
	var g geom.Polygon
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		g = append(g, base.Add(geom.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}))
	}
	return prism(g, height)
}

// prism raises a counter-clockwise plan polygon; its faces look outward.
func prism(base geom.Polygon, height float64) []geom.Polygon {
	up := geom.Vec{Z: height}
	top := make(geom.Polygon, len(base))
	for i, v := range base {
		top[i] = v.Add(up)
	}
	faces := []geom.Polygon{reversed(base), top}
	for i, a := range base {
		b := base[(i+1)%len(base)]
		faces = append(faces, geom.Polygon{a, b, b.Add(up), a.Add(up)})
	}
	return faces
}

// memberFaces returns a member of a width and depth whose underside runs between
// two points; nil for a member without length.
func memberFaces(from, to geom.Vec, width, depth float64) []geom.Polygon {
	axis := to.Sub(from).Unit()
	if axis.Norm() == 0 || width <= 0 || depth <= 0 {
		return nil
	}
	side := axis.Cross(geom.Vec{Z: 1})
	if side.Norm() < 1e-9 {
		side = geom.Vec{X: 1}
	}
	side = side.Unit()
	up := side.Cross(axis).Unit().Scale(depth)
	s := side.Scale(width / 2)
	a0, a1, b0, b1 := from.Sub(s), from.Add(s), to.Sub(s), to.Add(s)
	faces := []geom.Polygon{
		{a0, b0, b1, a1},
		{a0.Add(up), a1.Add(up), b1.Add(up), b0.Add(up)},
		{a0, a1, a1.Add(up), a0.Add(up)},
		{b0, b0.Add(up), b1.Add(up), b1},
		{a0, a0.Add(up), b0.Add(up), b0},
		{a1, b1, b1.Add(up), a1.Add(up)},
	}
	// Every face looks away from the middle.
	middle := from.Lerp(to, 0.5).Add(up.Scale(0.5))
	for i, f := range faces {
		if f.Normal().Dot(f.Centroid().Sub(middle)) < 0 {
			faces[i] = reversed(f)
		}
	}
	return faces
}

// upright returns a rectangle standing on its bottom centre, seen from the side
// its normal points to: corners counter-clockwise, the normal at the plan bearing
// facing (0 = −y, + toward +x).
func upright(bottom geom.Vec, width, height, facingDeg float64) geom.Polygon {
	f := facingDeg * math.Pi / 180
	right := geom.Vec{X: math.Cos(f), Y: math.Sin(f)}.Scale(width / 2)
	up := geom.Vec{Z: height}
	return geom.Polygon{bottom.Sub(right), bottom.Add(right), bottom.Add(right).Add(up), bottom.Sub(right).Add(up)}
}
