package light

import (
	"math"

	"roodbeam/engine/geom"
)

// nearPart is the distance, in diameters of a part of a patch, below which its
// solid angle is taken exactly and not as A·cos/d².
const nearPart = 3

// Probe is what a point sees of a room's patches all round: the factors by
// which a field becomes reflected illuminance there. It depends on the room and
// the point alone, so a scheme's change leaves it as it is.
type Probe struct {
	seen []glimpse
}

// glimpse is a part of a patch that a point sees.
type glimpse struct {
	dir   geom.Vec
	omega float64 // sr
	patch int32
}

// memo keeps what the room alone decides: the probes of points asked before, the
// shares of zones' areas, and the light of the house's own lamps. Schemes of one
// room share them. No answer depends on what is kept.
type memo struct {
	probes recent[geom.Vec, Probe]
	areas  recent[string, [][]float64]
	shots  recent[rayKey, []float64]
}

const (
	// memoPoints bounds the probes kept, at about 40 kB each.
	memoPoints = 256
	// memoShots bounds the lamps whose light on the patches is kept, at about 8 kB
	// each.
	memoShots = 256
	// memoAreas bounds the zones' shares kept, at about 4 kB for each quantity.
	memoAreas = 64
)

// Probe looks round from a point: every part of every patch that faces it and
// is not hidden, with its solid angle.
func (t *Transport) Probe(at geom.Vec) Probe {
	return t.memo.probes.of(at, memoPoints, func() Probe { return t.look(at) })
}

func (t *Transport) look(at geom.Vec) Probe {
	if len(t.patches) == 0 || !finite(at) {
		return Probe{}
	}
	p := Probe{seen: make([]glimpse, 0, 2*len(t.patches))}
	for j := range t.patches {
		q := &t.patches[j]
		if q.area == 0 || q.centre.Sub(at).Dot(q.normal) >= 0 {
			continue
		}
		for k, part := range q.pts {
			d := part.Sub(at)
			r2 := d.Dot(d)
			r := math.Sqrt(r2)
			if r < nearestM {
				continue
			}
			omega := -d.Dot(q.normal) * q.weights[k] * q.whole / (r2 * r)
			if size := q.size / 2; r < nearPart*size && len(q.pts) == len(q.poly) {
				omega = SolidAngle(at, q.part(k))
			}
			if omega > 0 && !t.sc.Occluded(at, part) {
				p.seen = append(p.seen, glimpse{d.Scale(1 / r), omega, int32(j)})
			}
		}
	}
	return p
}

// part returns the k-th part of a patch none of whose points is covered.
func (p *patch) part(k int) geom.Polygon {
	n := len(p.poly)
	v := p.poly[k]
	return geom.Polygon{p.centre, p.poly[(k+n-1)%n].Lerp(v, 0.5), v, v.Lerp(p.poly[(k+1)%n], 0.5)}
}

// mean returns ∫ M·w dω ÷ ∫ w dω over what is seen: the exitance M in lm/m² as
// that kind of illuminance weighs it. What is not seen counts as the mean of the
// rest.
func (p Probe) mean(f Field, weight func(geom.Vec) float64) float64 {
	sum, seen := 0.0, 0.0
	for _, g := range p.seen {
		if w := weight(g.dir) * g.omega; w > 0 {
			sum += w * f.exitance[g.patch]
			seen += w
		}
	}
	if seen == 0 {
		return 0
	}
	return sum / seen
}

// shares returns what mean weighs every patch's exitance with.
func (p Probe) shares(patches int, weight func(geom.Vec) float64) []float64 {
	out := make([]float64, patches)
	seen := 0.0
	for _, g := range p.seen {
		if w := weight(g.dir) * g.omega; w > 0 {
			out[g.patch] += w
			seen += w
		}
	}
	for j := range out {
		if seen > 0 {
			out[j] /= seen
		}
	}
	return out
}

// The weights of the kinds of illuminance by the unit direction the light comes
// from: on a plane, on an upright cylinder, and on the half of one that looks along
// a level unit direction.
func onPlane(normal geom.Vec) func(geom.Vec) float64 {
	return func(d geom.Vec) float64 { return d.Dot(normal) }
}

func allRoundLevel(d geom.Vec) float64 { return math.Hypot(d.X, d.Y) }

func halfRound(toward geom.Vec) func(geom.Vec) float64 {
	return func(d geom.Vec) float64 { return allRoundLevel(d) + d.Dot(toward) }
}

// Plane returns the reflected illuminance in lux on a plane with that unit
// normal, ∫ L·cos θ dω.
func (p Probe) Plane(f Field, normal geom.Vec) float64 {
	return p.mean(f, onPlane(normal))
}

// Cylindrical returns the reflected cylindrical illuminance in lux about the
// vertical, (1/π)·∫ L·sin e dω with e from the vertical; ∫ sin e dω is π².
// Source: EN 12665 (from memory).
func (p Probe) Cylindrical(f Field) float64 {
	return p.mean(f, allRoundLevel)
}

// SemiCylindrical returns the reflected semi-cylindrical illuminance in lux
// toward a level unit direction, (1/π)·∫ L·(1 + cos a)·sin e dω; its weight's
// integral is π² too.
// Source: EN 13201-3 (from memory).
func (p Probe) SemiCylindrical(f Field, toward geom.Vec) float64 {
	return p.mean(f, halfRound(toward))
}

// Scalar returns the reflected mean spherical illuminance in lux, ¼·∫ L dω.
func (p Probe) Scalar(f Field) float64 {
	return p.mean(f, func(geom.Vec) float64 { return 1 })
}
