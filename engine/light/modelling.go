package light

import (
	"math"

	"roodbeam/engine/geom"
)

// Kinds are the illuminances at one point, lx. Sums over sources add up; a
// source of normal illuminance En = I/d² in the unit direction l toward it gives
//
//	plane          En·(l·n)
//	horizontal     En·lz
//	cylindrical    En·sin e/π            e from the vertical
//	semi-cyl.      En·(1 + cos a)·sin e/π   a in plan, from the facing
//	hemispherical  En·(1 + cos e)/4
//	scalar         En/4                   mean spherical
//
// Source: EN 12665 and EN 12464-1 (cylindrical), EN 13201-3 (semi-cylindrical,
// hemispherical), from memory.
type Kinds struct {
	PlaneLx, HorizontalLx, CylindricalLx, SemiCylindricalLx, HemisphericalLx, ScalarLx float64

	vector geom.Vec // Σ En·l
}

// Add adds a source of that normal illuminance in lux in a unit direction from
// the point, whose face looks along a unit vector.
//
// Source: as at Kinds.
func (k *Kinds) Add(normalLx float64, toward, facing geom.Vec) {
	sinE := math.Hypot(toward.X, toward.Y)
	level := facing.Plan().Unit()
	k.PlaneLx += normalLx * math.Max(0, toward.Dot(facing))
	k.HorizontalLx += normalLx * math.Max(0, toward.Z)
	k.CylindricalLx += normalLx * sinE / math.Pi
	k.SemiCylindricalLx += normalLx * (sinE + toward.Plan().Dot(level)) / math.Pi // (1 + cos a)·sin e
	k.HemisphericalLx += normalLx * (1 + toward.Z) / 4
	k.ScalarLx += normalLx / 4
	k.vector = k.vector.Add(toward.Scale(normalLx))
}

// ModellingIndex returns cylindrical over horizontal illuminance; NaN without
// horizontal light. EN 12464-1 asks for 0.30 to 0.60 (from summaries).
//
// Source: EN 12464-1 (from summaries).
func (k Kinds) ModellingIndex() float64 { return ratio(k.CylindricalLx, k.HorizontalLx) }

// VectorScalar returns the strength of the light's flow, |Σ En·l| over the mean
// spherical illuminance: 0 from all round, 4 from one source in the dark; NaN
// without light. Source: Lynes et al., The flow of light into buildings, Trans.
// IES 31, 1966 (from memory).
func (k Kinds) VectorScalar() float64 { return ratio(k.vector.Norm(), k.ScalarLx) }

// ratio returns a/b; NaN for b not positive.
func ratio(a, b float64) float64 {
	if !(b > 0) {
		return math.NaN()
	}
	return a / b
}

// The head by which shadows on a face are judged, upright and looking level: a
// brow edge before and over the eye, and a nose as a straight ridge.
// Source: common practice, about an adult's measures; browDepthM/browRiseM put
// the eye in the shade from 59° up, where trade rules speak of dark sockets.
const (
	browDepthM = 0.015 // brow edge before the eye
	browRiseM  = 0.025 // brow edge over the eye
	noseM      = 0.022 // tip before the lip and the cheeks
	lipM       = 0.020 // from the base of the nose to the mouth
)

// ProfileDeg returns the elevation in degrees at which a light stands in the
// upright plane along a face's facing: atan(tan ε/cos a) for an elevation ε and
// a plan angle a off the facing, 90 or more from beside or behind.
// Source: plane geometry (profile angle, as for louvres).
func ProfileDeg(toward, facing geom.Vec) float64 {
	ahead := toward.Dot(facing.Plan().Unit())
	return math.Atan2(toward.Z, ahead) * 180 / math.Pi
}

// BrowShades tells whether the brow keeps a light off the middle of the eye.
func BrowShades(toward, facing geom.Vec) bool {
	return ProfileDeg(toward, facing) > math.Atan2(browRiseM, browDepthM)*180/math.Pi
}

// NoseShadow returns how far the tip of the nose throws its shadow down the
// face and sideways, in metres; infinite from beside, above or behind. Over
// 20 mm down it reaches the mouth.
func NoseShadow(toward, facing geom.Vec) (down, side float64) {
	f := facing.Plan().Unit()
	ahead := toward.Dot(f)
	if ahead <= 1e-9 {
		return math.Inf(1), math.Inf(1)
	}
	across := toward.Dot(f.Cross(geom.Vec{Z: 1}))
	return noseM * math.Max(0, toward.Z/ahead), noseM * math.Abs(across/ahead)
}

// Shape is how light models a face: from front units, back light and, where the
// room's transport is known, reflected light.
type Shape struct {
	IndirectLx        float64 // reflected, on the face's plane
	HorizontalLx      float64 // direct and reflected, all units
	CylindricalLx     float64 // same
	SemiCylindricalLx float64 // same, toward the face's facing
	ModellingIndex    float64 // cylindrical/horizontal; NaN without horizontal light
	VectorScalar      float64 // strength of flow, 0 from all round to 4 from one side; NaN without light
	SideRatio         float64 // brighter side over darker, reflected light on both; NaN with one side dark
	BackFrontRatio    float64 // back light facing it over the front on the plane; NaN without a front
	DominantDeg       float64 // elevation of the front unit that gives most; NaN without one
	BrowShadePct      float64 // of the plane's light that the brow keeps from the eyes
	NoseShadowM       float64 // down the face, of the dominant unit; NaN without one
	ShadowKeptPct     float64 // of the plane's light that is left in that shadow
}

// shaper gathers a face's Shape.
type shaper struct {
	Kinds
	facing, dominant geom.Vec
	most, shaded     float64
}

func (s *shaper) add(c Contribution, toward geom.Vec, front bool) {
	s.Kinds.Add(c.NormalLx, toward, s.facing)
	if !front || !(c.Lx > 0) {
		return
	}
	if BrowShades(toward, s.facing) {
		s.shaded += c.Lx
	}
	if c.Lx > s.most {
		s.most, s.dominant = c.Lx, toward
	}
}

// shape returns the face's shape with its reflected light.
func (s *shaper) shape(f Face, p Probe, field Field, loss float64) Shape {
	out := Shape{DominantDeg: math.NaN(), NoseShadowM: math.NaN()}
	k := s.Kinds
	if field.t != nil {
		out.IndirectLx = loss * p.Plane(field, s.facing)
		k.HorizontalLx += loss * p.Plane(field, geom.Vec{Z: 1})
		k.CylindricalLx += loss * p.Cylindrical(field)
		k.SemiCylindricalLx += loss * p.SemiCylindrical(field, s.facing.Plan().Unit())
		k.ScalarLx += loss * p.Scalar(field)
	}
	out.HorizontalLx, out.CylindricalLx, out.SemiCylindricalLx = k.HorizontalLx, k.CylindricalLx, k.SemiCylindricalLx
	out.ModellingIndex, out.VectorScalar = k.ModellingIndex(), k.VectorScalar()
	lo, hi := math.Min(f.LeftLx, f.RightLx), math.Max(f.LeftLx, f.RightLx)
	out.SideRatio = ratio(hi+out.IndirectLx/2, lo+out.IndirectLx/2)
	out.BackFrontRatio = ratio(f.BackLx, f.VerticalLx)
	whole := f.VerticalLx + out.IndirectLx
	if s.most > 0 {
		out.DominantDeg = math.Asin(math.Max(-1, math.Min(1, s.dominant.Z))) * 180 / math.Pi
		out.NoseShadowM, _ = NoseShadow(s.dominant, s.facing)
	}
	if whole > 0 {
		out.BrowShadePct = s.shaded / whole * 100
		out.ShadowKeptPct = (whole - s.most) / whole * 100
	}
	return out
}

// meanShape returns the means of the faces' shapes, ratios from the means.
func meanShape(faces []Face, left, right, back, front float64) Shape {
	out := Shape{DominantDeg: math.NaN(), NoseShadowM: math.NaN(), VectorScalar: math.NaN()}
	n := float64(len(faces))
	var deg, nose, flow mean
	for _, f := range faces {
		out.IndirectLx += f.Shape.IndirectLx / n
		out.HorizontalLx += f.Shape.HorizontalLx / n
		out.CylindricalLx += f.Shape.CylindricalLx / n
		out.SemiCylindricalLx += f.Shape.SemiCylindricalLx / n
		out.BrowShadePct += f.Shape.BrowShadePct / n
		out.ShadowKeptPct += f.Shape.ShadowKeptPct / n
		deg.add(f.Shape.DominantDeg)
		nose.add(f.Shape.NoseShadowM)
		flow.add(f.Shape.VectorScalar)
	}
	out.DominantDeg, out.NoseShadowM, out.VectorScalar = deg.value(), nose.value(), flow.value()
	out.ModellingIndex = ratio(out.CylindricalLx, out.HorizontalLx)
	out.SideRatio = ratio(math.Max(left, right)+out.IndirectLx/2, math.Min(left, right)+out.IndirectLx/2)
	out.BackFrontRatio = ratio(back, front)
	return out
}

// mean is of the finite values added; NaN of none.
type mean struct{ sum, n float64 }

func (m *mean) add(v float64) {
	if !math.IsNaN(v) && !math.IsInf(v, 0) {
		m.sum += v
		m.n++
	}
}

func (m mean) value() float64 { return ratio(m.sum, m.n) }
