package photometry

import (
	"math"

	"roodbeam/engine/geom"
)

// GaussRatio is field/beam of a Gaussian beam: √(ln 10/ln 2) = 1.823. It gives
// the beam angle where only the field angle is known.
// Source: closed form of a Gaussian's 50 % and 10 % points.
const GaussRatio = 1.8226157349

// leastRatio keeps the edge of a beam whose two angles (almost) coincide
// finite: field/beam is taken as at least 1.05, an exponent of about 25. No
// projector's measured angles lie closer together than 5 % (common practice).
const leastRatio = 1.05

// widestField is the widest full angle a beam model takes, in degrees: it
// emits into the half space in front of the lens only.
const widestField = 178

// fluxSteps is the number of zones of the flux integral over the field and its
// skirt, and again over what is left. Eight times as many change no beam's flux
// by more than 1e-5 (a test holds this).
const fluxSteps = 1000

// skirt is the multiple of half the field angle up to which the integral looks
// closely.
const skirt = 3

// Beam is a smooth beam round the aim with given full angles at 50 % and 10 %
// of its peak, a super-Gaussian:
//
//	I(θ) = I₀ · 2^−(2θ/β)^p,   p = ln(log₂ 10) / ln(φ/β)
//
// with β the beam angle, φ the field angle and θ the angle off the aim. θ = β/2
// gives I₀/2 and θ = φ/2 gives I₀/10 for every p; p = 2 is a Gaussian, larger p
// a flatter middle with a harder edge. The zero value gives no light.
// Source: own model; angles as in ANSI/IES definitions of beam and field angle.
type Beam struct {
	fieldDeg, beamDeg, peakCd float64
	exponent                  float64
	cutDeg                    float64 // half angle beyond which there is nothing
}

// NewBeam returns the smooth beam with the full field angle (10 %) and beam
// angle (50 %) in degrees and the peak intensity in candela. A beam angle of
// zero takes the Gaussian's, field/1.823; one that is not below the field
// angle is taken as field/1.05. A field angle or peak that is not positive and
// finite gives a beam without light; fields over 178° are taken as 178°.
func NewBeam(fieldDeg, beamDeg, peakCd float64) Beam {
	if !(fieldDeg > 0) || !(peakCd > 0) || math.IsInf(fieldDeg, 0) || math.IsInf(peakCd, 0) {
		return Beam{}
	}
	fieldDeg = math.Min(fieldDeg, widestField)
	if !(beamDeg > 0) {
		beamDeg = fieldDeg / GaussRatio
	}
	beamDeg = math.Min(beamDeg, fieldDeg/leastRatio)
	p := math.Log(math.Log2(10)) / math.Log(fieldDeg/beamDeg)
	return Beam{fieldDeg: fieldDeg, beamDeg: beamDeg, peakCd: peakCd, exponent: p, cutDeg: 90}
}

// Cut returns the beam with nothing beyond a half angle in degrees off the
// aim, as an iris or shutters all round leave it.
func (b Beam) Cut(halfDeg float64) Beam {
	if halfDeg >= 0 && halfDeg < b.cutDeg {
		b.cutDeg = halfDeg
	}
	return b
}

// Intensity returns candela toward dir in the fixture's frame (aim −Z).
func (b Beam) Intensity(dir geom.Vec) float64 {
	return b.OffAxis(math.Atan2(math.Hypot(dir.X, dir.Y), -dir.Z) * 180 / math.Pi)
}

// OffAxis returns candela at an angle in degrees off the aim.
func (b Beam) OffAxis(deg float64) float64 {
	if b.peakCd == 0 || deg > b.cutDeg {
		return 0
	}
	return b.peakCd * math.Exp2(-math.Pow(2*math.Abs(deg)/b.beamDeg, b.exponent))
}

// FluxLm returns the total flux in lumens by zonal integration.
func (b Beam) FluxLm() float64 { return b.flux(fluxSteps) }

func (b Beam) flux(steps int) float64 {
	near := math.Min(b.cutDeg, skirt*b.fieldDeg/2)
	return zonalFlux(b.OffAxis, 0, near, steps) + zonalFlux(b.OffAxis, near, b.cutDeg, steps)
}

// PeakCd returns the intensity along the aim in candela.
func (b Beam) PeakCd() float64 { return b.peakCd }

// BeamDeg returns the full angle in degrees between the 50 % points.
func (b Beam) BeamDeg() float64 { return math.Min(b.beamDeg, 2*b.cutDeg) }

// FieldDeg returns the full angle in degrees between the 10 % points.
func (b Beam) FieldDeg() float64 { return math.Min(b.fieldDeg, 2*b.cutDeg) }

// Lambertian is a flat diffuse emitter, I = (Φ/π)·cos θ into the half space
// round its aim: the stand-in for a house lamp of which only the flux is known.
type Lambertian struct{ fluxLm float64 }

// Lambert returns the diffuse emitter with a flux in lumens; none for a flux
// that is not positive and finite.
// Source: Lambert's cosine law, Φ = π·I₀.
func Lambert(fluxLm float64) Lambertian {
	if !(fluxLm > 0) || math.IsInf(fluxLm, 0) {
		return Lambertian{}
	}
	return Lambertian{fluxLm}
}

// Intensity returns candela toward dir in the fixture's frame (aim −Z).
func (l Lambertian) Intensity(dir geom.Vec) float64 {
	return math.Max(0, -dir.Z) * l.fluxLm / math.Pi
}

// FluxLm returns the flux in lumens.
func (l Lambertian) FluxLm() float64 { return l.fluxLm }

// PeakCd returns the intensity along the aim in candela.
func (l Lambertian) PeakCd() float64 { return l.fluxLm / math.Pi }

// BeamDeg returns 120°, where the cosine is one half.
func (l Lambertian) BeamDeg() float64 { return 120 }

// FieldDeg returns 168.5°, where the cosine is one tenth.
func (l Lambertian) FieldDeg() float64 { return 2 * math.Acos(0.1) * 180 / math.Pi }
