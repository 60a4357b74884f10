package photometry

import "roodbeam/engine/geom"

// staysLevel is the lamp-to-luminaire geometry of a lamp that stays horizontal
// however its luminaire tilts.
const staysLevel = 2

// tilting is the light of a lamp that gives more or less as its luminaire tilts.
// Untilted it is the file's own.
type tilting struct {
	Distribution
	tilt *Tilt
}

// AtTilt returns the light of a luminaire whose aim stands off straight down by
// an angle in degrees, 0 down, 90 level, 180 up: every candela times the file's
// factor at that angle. It returns the distribution itself where no factors are
// known, and where the lamp stays level (geometry 2), so that its attitude does
// not change.
// Source: IES LM-63-2002, TILT=INCLUDE (angles from memory).
func AtTilt(d Distribution, deg float64) Distribution {
	switch of := d.(type) {
	case *tilting:
		if of.tilt.LampGeometry == staysLevel {
			deg = 0
		}
		return dimmed{of.Distribution, of.tilt.At(deg)}
	case underField:
		if Tilts(of.Distribution) {
			return underField{AtTilt(of.Distribution, deg), of.fieldDeg}
		}
	case *Zoom:
		if Tilts(d) {
			return NewZoom(AtTilt(of.a, deg), AtTilt(of.b, deg), of.fieldDeg)
		}
	case Cut:
		if Tilts(d) {
			return Cut{AtTilt(of.Of, deg), of.Blades}
		}
	}
	return d
}

// Tilts tells whether a distribution's light depends on the luminaire's tilt.
func Tilts(d Distribution) bool {
	switch of := d.(type) {
	case *tilting:
		return true
	case underField:
		return Tilts(of.Distribution)
	case *Zoom:
		return Tilts(of.a) || Tilts(of.b)
	case Cut:
		return Tilts(of.Of)
	}
	return false
}

// dimmed is a distribution times a factor.
type dimmed struct {
	Distribution
	by float64
}

// Intensity returns candela toward dir in the fixture's frame (aim −Z).
func (d dimmed) Intensity(dir geom.Vec) float64 { return d.by * d.Distribution.Intensity(dir) }

// FluxLm returns the flux in lumens.
func (d dimmed) FluxLm() float64 { return d.by * d.Distribution.FluxLm() }

// PeakCd returns the largest intensity in candela.
func (d dimmed) PeakCd() float64 { return d.by * d.Distribution.PeakCd() }
