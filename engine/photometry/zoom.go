package photometry

import (
	"math"

	"roodbeam/engine/geom"
)

// Zoom is a distribution between two measured zoom settings. Both are stretched
// about the aim to the wanted field angle and mixed; the flux lies between
// theirs, since a lens train loses what it loses at either end and adds nothing.
// Source: own model; the settings themselves are measured.
type Zoom struct {
	a, b       Distribution
	fieldDeg   float64
	share      float64 // of b
	toA, toB   float64 // angle at the setting per angle at the wanted field
	fluxLm     float64
	cdA, cdB   float64 // factors on the candelas
	beam, peak float64
}

// NewZoom returns the distribution at a field angle in degrees between the
// narrower setting a and the wider b; at or beyond an end that end itself. The
// share of b goes with the logarithm of the field angle, as does the flux's
// logarithm. A setting without light or field angle gives a.
func NewZoom(a, b Distribution, fieldDeg float64) Distribution {
	fa, fb := a.FieldDeg(), b.FieldDeg()
	la, lb := a.FluxLm(), b.FluxLm()
	if !(fa > 0) || !(fb > fa) || !(la > 0) || !(lb > 0) || !(fieldDeg > fa) {
		return a
	}
	if fieldDeg >= fb {
		return b
	}
	t := math.Log(fieldDeg/fa) / math.Log(fb/fa)
	z := &Zoom{a: a, b: b, fieldDeg: fieldDeg, share: t, toA: fa / fieldDeg, toB: fb / fieldDeg, cdA: 1, cdB: 1}
	z.fluxLm = la * math.Pow(lb/la, t)
	z.cdA, z.cdB = z.scaleOf(a, z.toA), z.scaleOf(b, z.toB)
	z.peak = (1-t)*z.cdA*a.PeakCd() + t*z.cdB*b.PeakCd()
	z.beam = fieldDeg*(a.BeamDeg()/fa*(1-t)) + fieldDeg*(b.BeamDeg()/fb*t)
	return z
}

// scaleOf returns the factor that gives a stretched setting the wanted flux.
func (z *Zoom) scaleOf(d Distribution, to float64) float64 {
	got := sphereFlux(stretched{d, to}, z.fieldDeg, 1)
	if !(got > 0) {
		return 0
	}
	return z.fluxLm / got
}

// stretched is a distribution whose angles off the aim are divided by to.
type stretched struct {
	d  Distribution
	to float64
}

// Intensity returns candela toward dir in the fixture's frame.
func (s stretched) Intensity(dir geom.Vec) float64 {
	flat := math.Hypot(dir.X, dir.Y)
	angle := math.Atan2(flat, -dir.Z) * s.to
	if angle > math.Pi {
		return 0
	}
	if flat == 0 {
		return s.d.Intensity(dir)
	}
	sin, cos := math.Sincos(angle)
	return s.d.Intensity(geom.Vec{X: dir.X / flat * sin, Y: dir.Y / flat * sin, Z: -cos})
}

// Intensity returns candela toward dir in the fixture's frame (aim −Z).
func (z *Zoom) Intensity(dir geom.Vec) float64 {
	return (1-z.share)*z.cdA*stretched{z.a, z.toA}.Intensity(dir) + z.share*z.cdB*stretched{z.b, z.toB}.Intensity(dir)
}

// FluxLm returns the flux in lumens, between those of the two settings.
func (z *Zoom) FluxLm() float64 { return z.fluxLm }

// PeakCd returns the largest intensity in candela, taking the settings' largest
// to lie in one direction.
func (z *Zoom) PeakCd() float64 { return z.peak }

// BeamDeg returns the full angle in degrees at half the peak, from the two
// settings' own ratios of beam to field.
func (z *Zoom) BeamDeg() float64 { return z.beam }

// FieldDeg returns the field angle in degrees asked for.
func (z *Zoom) FieldDeg() float64 { return z.fieldDeg }

// underField is a distribution that goes by another field angle than its own.
type underField struct {
	Distribution
	fieldDeg float64
}

// FieldDeg returns the angle in degrees it goes by.
func (l underField) FieldDeg() float64 { return l.fieldDeg }

// BeamDeg returns its beam angle in degrees, never over the angle it goes by.
func (l underField) BeamDeg() float64 { return math.Min(l.Distribution.BeamDeg(), l.fieldDeg) }

// WithField returns the distribution under the field angle in degrees that its
// maker or designer calls it by, for zooming between settings so called.
func WithField(d Distribution, fieldDeg float64) Distribution {
	if d == nil || !(fieldDeg > 0) || d.FieldDeg() == fieldDeg {
		return d
	}
	return underField{d, fieldDeg}
}
