package light

import (
	"math"

	"roodbeam/engine/geom"
)

// downstage is the direction toward the congregation.
var downstage = geom.Vec{Y: -1}

// nearestM is the least distance at which the point-source formula is used, in
// metres; nearer points get no light.
const nearestM = 1e-3

// Direct returns what one source gives at a point at its level, without a loss
// factor:
//
//	E = I(C, γ)·cos θ/d²,   normal illuminance I/d²
//
// with I toward the point, θ from the point's normal and d from the lens. A
// blocked path gives zero and the blocker's name. A point behind its own
// surface gets Lx = 0; a zero Normal too. Valid from about five times the
// source's size (ten for narrow projectors).
// Source: inverse-square cosine law, IES Lighting Handbook; CIE 171 case 5.2.
func Direct(src Source, p Point, sc Scene) Contribution {
	c := unblocked(src, p)
	if c.NormalLx == 0 {
		return c
	}
	if name, hit := sc.Blocked(src.At, p.At); hit {
		c.Lx, c.NormalLx, c.Shadowed = 0, 0, name
	}
	return c
}

// unblocked is Direct in an empty room.
func unblocked(src Source, p Point) Contribution {
	c := Contribution{Unit: src.ID}
	path := p.At.Sub(src.At)
	d := path.Norm()
	if src.Dist == nil || !(d > nearestM) || !(src.Level > 0) || math.IsInf(d, 0) {
		return c
	}
	dir := path.Scale(1 / d)
	axes := src.axes
	if axes == nil {
		f := newFrame(src.Aim.Sub(src.At))
		axes = &f
	}
	I := src.Dist.Intensity(axes.toLocal(dir))
	E := src.Level * I / (d * d)
	if !(E > 0) {
		return c
	}
	c.NormalLx = E
	c.Lx = E * math.Max(0, -dir.Dot(p.Normal))
	return c
}

// frame is a fixture's own axes in the room: z against the aim, x its
// right-hand side looking along the aim, level.
type frame struct{ x, y, z geom.Vec }

// newFrame returns the frame of an aim; straight up or down takes the room's x
// for its right-hand side, and no aim at all means straight down.
func newFrame(aim geom.Vec) frame {
	aim = aim.Unit()
	if aim == (geom.Vec{}) {
		aim = geom.Vec{Z: -1}
	}
	right := aim.Cross(geom.Vec{Z: 1})
	if right.Norm() < 1e-9 {
		right = geom.Vec{X: 1}
	}
	f := frame{x: right.Unit(), z: aim.Scale(-1)}
	f.y = f.z.Cross(f.x)
	return f
}

func (f frame) toLocal(dir geom.Vec) geom.Vec {
	return geom.Vec{X: dir.Dot(f.x), Y: dir.Dot(f.y), Z: dir.Dot(f.z)}
}
