package light

import "math"

// FieldForDeg returns the full angle in degrees whose pool across the beam has
// a diameter at a throw, both in metres: 2·atan(D/2d); 180 without a throw.
// Source: plane geometry, inverse of FieldDiameterM.
func FieldForDeg(diameterM, throwM float64) float64 {
	if !(throwM > 0) {
		return 180
	}
	return 2 * math.Atan(diameterM/2/throwM) * 180 / math.Pi
}

// Pool is the ellipse of a beam on a level plane, in metres of plan distance
// from below the lens.
type Pool struct {
	NearM, FarM, LengthM float64
	WidthM               float64 // across, where the axis meets the plane
}

// ObliquePool returns the pool of a beam that comes down at an elevation in
// degrees (90 straight down) from a lens at a height in metres over the plane:
//
//	near, far = h/tan(el ± φ/2),  width = 2·h/sin(el)·tan(φ/2)
//
// with the full angle φ in degrees. Far is infinite when the upper edge does
// not come down. Source: plane geometry.
func ObliquePool(heightM, elevationDeg, fieldDeg float64) Pool {
	const rad = math.Pi / 180
	half := fieldDeg / 2
	at := func(deg float64) float64 {
		if deg <= 0 {
			return math.Inf(1)
		}
		return heightM * math.Cos(deg*rad) / math.Sin(deg*rad)
	}
	p := Pool{NearM: at(elevationDeg + half), FarM: at(elevationDeg - half)}
	p.LengthM = p.FarM - p.NearM
	p.WidthM = FieldDiameterM(heightM/math.Sin(elevationDeg*rad), fieldDeg)
	return p
}
