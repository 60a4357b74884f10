package light

import (
	"math"

	"roodbeam/engine/geom"
)

// CylindricalLx returns what one source adds to the mean cylindrical
// illuminance in lux about the vertical: Ez = E·sin e/π, with E its normal
// illuminance in lux and e the angle of the unit direction toward it from the
// vertical. Source: EN 12665 and EN 12464-1 (from memory).
func CylindricalLx(normalLx float64, toward geom.Vec) float64 {
	return normalLx * math.Hypot(toward.X, toward.Y) / math.Pi
}

// SemiCylindricalLx returns what one source adds to the semi-cylindrical
// illuminance in lux of a face looking along a level unit direction:
// Esc = E·(1 + cos a)·sin e/π, with a the plan angle between the facing and the
// direction toward the source. Source: EN 13201-3 (from memory).
func SemiCylindricalLx(normalLx float64, toward, facing geom.Vec) float64 {
	return normalLx * (math.Hypot(toward.X, toward.Y) + toward.Dot(facing)) / math.Pi
}

// HemisphericalLx returns what one source adds to the hemispherical illuminance
// in lux of an upward dome: E·(1 + cos e)/4. Source: EN 13201-3 (from memory).
func HemisphericalLx(normalLx float64, toward geom.Vec) float64 {
	return normalLx * (1 + toward.Z) / 4
}

// SphericalLx returns what one source adds to the mean spherical illuminance in
// lux, E/4. Source: CIE International Lighting Vocabulary.
func SphericalLx(normalLx float64) float64 { return normalLx / 4 }

// DiscShare returns the illuminance on the axis of a diffuse disc over that of
// a point of the same intensity, E/E₀ = 1/(1 + (D/2d)²), for the diameter D and
// the distance d in metres: 0.99 at five diameters, the rule for taking a
// source as a point. A distance of 0 gives 0 unless the disc is a point.
// Source: configuration factor of a disc on its axis, closed form.
func DiscShare(diameterM, distanceM float64) float64 {
	if diameterM == 0 {
		return 1
	}
	k := diameterM / 2 / distanceM
	return 1 / (1 + k*k)
}
