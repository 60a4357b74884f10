package light

import "math"

// CalibrationC is the constant C of incident-light exposure meters with a flat
// receptor, in lx·s. Makers' constants differ; 340 is one for hemispherical
// receptors. Source: ISO 2720:1974, customary 250 for flat receptors.
const CalibrationC = 250.0

// CalibrationK is the constant K of reflected-light meters in cd·s/m².
// Source: ISO 2720:1974, range 10.6 to 13.4, customary 12.5.
const CalibrationK = 12.5

// ExposureLx returns the illuminance in lux on the subject that a camera's
// settings ask for:
//
//	E = C·N²/(t·S)
//
// with the calibration constant C in lx·s, N the aperture's f-number, t the
// shutter time in seconds and S the ISO speed. NaN unless all are positive.
// Source: ISO 2720:1974, incident-light equation N²/t = E·S/C.
func ExposureLx(iso, aperture, shutterS, c float64) float64 {
	if !(iso > 0) || !(aperture > 0) || !(shutterS > 0) || !(c > 0) {
		return math.NaN()
	}
	return c * aperture * aperture / (shutterS * iso)
}

// EV100 returns the exposure value at ISO 100 of an illuminance in lux,
// log₂(100·E/C): one more is twice the light. −Inf in the dark, NaN for a
// constant that is not positive. Source: ISO 2720:1974; EV = log₂(N²/t).
func EV100(lx, c float64) float64 {
	if !(c > 0) || lx < 0 {
		return math.NaN()
	}
	return math.Log2(100 * lx / c)
}

// SettingsEV100 returns the exposure value at ISO 100 that settings ask for,
// log₂(100·N²/(t·S)). NaN unless all are positive.
// Source: ISO 2720:1974.
func SettingsEV100(iso, aperture, shutterS float64) float64 {
	return EV100(ExposureLx(iso, aperture, shutterS, CalibrationC), CalibrationC)
}

// ImpliedGrey returns the reflectance at which incident and reflected metering
// ask for the same exposure, π·K/C. Source: from both equations of ISO 2720:1974.
func ImpliedGrey(k, c float64) float64 { return math.Pi * k / c }

// Stops returns how much brighter a is than b in stops, log₂(a/b); NaN unless
// both are positive.
func Stops(a, b float64) float64 {
	if !(a > 0) || !(b > 0) {
		return math.NaN()
	}
	return math.Log2(a / b)
}
