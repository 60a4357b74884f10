package room

import (
	"fmt"
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// HeightAt returns the clear height above the hall floor at a plan point; beyond
// the eaves the eaves' height.
func (c Ceiling) HeightAt(x, y float64) si.Length {
	switch c.Shape {
	case "hipped", "barrel":
		if fs := c.facets(); fs != nil {
			return si.Length(lowest(fs, x, y, float64(c.Eaves)))
		}
		return c.Eaves
	case "stepped":
		return c.stepAt(y)
	}
	if c.Shape == "flat" || c.HalfWidth <= 0 {
		return c.Eaves
	}
	u := math.Abs(x - float64(c.CentreX))
	if !c.RidgeAlongY {
		u = math.Abs(y - float64(c.CentreY))
	}
	t := math.Min(1, u/float64(c.HalfWidth))
	return c.Ridge - (c.Ridge-c.Eaves)*si.Length(t)
}

// ridged tells whether the ceiling breaks at a ridge, and where.
func (c Ceiling) ridged() (at float64, ok bool) {
	if (c.Shape != "gable" && c.Shape != "a_frame") || c.HalfWidth <= 0 {
		return 0, false
	}
	if c.RidgeAlongY {
		return float64(c.CentreX), true
	}
	return float64(c.CentreY), true
}

// shell returns the closed surfaces of the room: floor, ceiling and walls, all
// convex and planar with their normals into the room.
func shell(floor geom.Polygon, c Ceiling, g Ground, p Platform) []Surface {
	parts := convexParts(floor)
	out := numbered("floor", slice(parts, g.cuts()), func(_ int, piece geom.Polygon) geom.Polygon {
		on := make(geom.Polygon, len(piece))
		for i, v := range piece {
			on[i] = geom.Vec{X: v.X, Y: v.Y, Z: g.HeightAt(v.Y).Metres()}
		}
		return on
	})
	out = append(out, ceilingSurfaces(parts, c)...)
	return append(out, walls(floor, c, g, p)...)
}

// numbered names the parts kind, or kind_1, kind_2 … when there are several.
func numbered(kind string, parts []geom.Polygon, shape func(int, geom.Polygon) geom.Polygon) []Surface {
	var out []Surface
	for i, g := range parts {
		name := kind
		if len(parts) > 1 {
			name = fmt.Sprintf("%s_%d", kind, i+1)
		}
		out = append(out, Surface{Name: name, Kind: kind, Polygon: shape(i, g)})
	}
	return out
}

func ceilingSurfaces(parts []geom.Polygon, c Ceiling) []Surface {
	if fs := c.facets(); fs != nil {
		return facetedCeiling(parts, fs)
	}
	if c.Shape == "stepped" {
		return steppedCeiling(parts, c)
	}
	at, ridged := c.ridged()
	var flat []geom.Polygon
	for _, g := range parts {
		if !ridged {
			flat = append(flat, g)
			continue
		}
		for _, side := range []float64{1, -1} {
			if half := clip(g, c.RidgeAlongY, at, side); half != nil {
				flat = append(flat, half)
			}
		}
	}
	return numbered("ceiling", flat, func(_ int, g geom.Polygon) geom.Polygon {
		up := make(geom.Polygon, len(g))
		for i, v := range g {
			up[len(g)-1-i] = geom.Vec{X: v.X, Y: v.Y, Z: c.HeightAt(v.X, v.Y).Metres()}
		}
		return up
	})
}

// walls stand on each edge of the floor up to the ceiling; gable walls are five-cornered.
func walls(floor geom.Polygon, c Ceiling, g Ground, p Platform) []Surface {
	cuts := append(g.cuts(), c.stepCuts()...)
	var out []Surface
	plain, behind := 0, 0
	for i, a := range floor {
		b := floor[(i+1)%len(floor)]
		if a.Sub(b).Norm() < 1e-6 {
			continue
		}
		var faces []geom.Polygon
		for _, s := range segments(a, b, cuts) {
			if f := wallFace(s[0], s[1], c, g); len(f) >= 3 && f.Area() >= areaTolerance {
				faces = append(faces, f)
			}
		}
		if len(faces) == 0 {
			continue
		}
		name := ""
		if isBehind(a, b, p) {
			behind++
			name = "wall_behind"
			if behind > 1 {
				name = fmt.Sprintf("wall_behind_%d", behind)
			}
		} else {
			plain++
			name = fmt.Sprintf("wall_%d", plain)
		}
		for k, f := range faces {
			s := Surface{Name: name, Kind: "wall", Polygon: f}
			if k > 0 {
				s.Name = fmt.Sprintf("%s_part_%d", name, k+1)
			}
			out = append(out, s)
		}
	}
	return out
}

// wallFace is the wall between two plan points between which neither the
// ceiling steps nor the floor bends.
func wallFace(a, b geom.Vec, c Ceiling, g Ground) geom.Polygon {
	middle := a.Lerp(b, 0.5)
	top := func(v geom.Vec) geom.Vec {
		z := c.HeightAt(v.X, v.Y)
		if c.Shape == "stepped" {
			z = c.stepAt(middle.Y)
		}
		return geom.Vec{X: v.X, Y: v.Y, Z: z.Metres()}
	}
	foot := func(v geom.Vec) geom.Vec { return geom.Vec{X: v.X, Y: v.Y, Z: g.HeightAt(v.Y).Metres()} }
	f := geom.Polygon{foot(b), foot(a), top(a)}
	for _, t := range c.breaks(a, b) {
		f = append(f, top(a.Lerp(b, t)))
	}
	return tidy(append(f, top(b)))
}

// isBehind tells whether the wall on the edge a → b faces the congregation from
// behind the platform.
func isBehind(a, b geom.Vec, p Platform) bool {
	d := b.Sub(a).Unit()
	inwardY := d.X // of (−dy, dx), the left of a counter-clockwise edge
	if inwardY > -0.7 || (a.Y+b.Y)/2 < float64(p.Depth)/2 {
		return false
	}
	low, high := math.Min(a.X, b.X), math.Max(a.X, b.X)
	half := float64(p.Width) / 2
	return low < half && high > -half
}

// volume returns the volume enclosed by surfaces whose normals point inward, by
// the divergence theorem, in m³.
func volume(ss []Surface) float64 {
	var v float64
	for _, s := range ss {
		for _, t := range s.Polygon.Triangles() {
			v -= t[0].Dot(t[1].Cross(t[2])) / 6
		}
	}
	return v
}
