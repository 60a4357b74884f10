package photometry

import "math"

// ZonalConstant returns the solid angle in steradians between two cones round
// one axis with the half angles a and b in degrees, a ≤ b: 2π(cos a − cos b).
// Source: IES Lighting Handbook, zonal constants.
func ZonalConstant(aDeg, bDeg float64) float64 {
	// 2·sin·sin of half sum and half difference keeps the digits that the
	// difference of two cosines near 1 would lose.
	a, b := aDeg*math.Pi/180, bDeg*math.Pi/180
	return 4 * math.Pi * math.Sin((a+b)/2) * math.Sin((b-a)/2)
}

// ZonalFlux returns the flux in lumens of a rotationally symmetric curve given
// by ascending angles in degrees and candelas: the mean of a zone's two edges
// times its zonal constant. This is the trapezoid in cos θ, exact for isotropic
// and Lambertian curves on any grid. Fewer than two angles give 0.
func ZonalFlux(gammaDeg, cd []float64) float64 {
	flux := 0.0
	for i := 1; i < len(gammaDeg) && i < len(cd); i++ {
		flux += (cd[i-1] + cd[i]) / 2 * ZonalConstant(gammaDeg[i-1], gammaDeg[i])
	}
	return flux
}

// zonalFlux integrates a symmetric intensity function between two half angles
// in degrees, in equal steps.
func zonalFlux(candela func(deg float64) float64, fromDeg, toDeg float64, steps int) float64 {
	if !(toDeg > fromDeg) {
		return 0
	}
	at := func(i int) float64 { return fromDeg + (toDeg-fromDeg)*float64(i)/float64(steps) }
	flux, last := 0.0, candela(fromDeg)
	for i := 1; i <= steps; i++ {
		next := candela(at(i))
		flux += (last + next) / 2 * ZonalConstant(at(i-1), at(i))
		last = next
	}
	return flux
}

// FullAngle returns the full angle in degrees at which a symmetric curve, given
// by ascending angles in degrees off the axis and candelas, last falls through
// share times its maximum, linear between the angles: share 0.5 gives the beam
// angle, 0.1 the field angle. A curve that never falls that low gives twice its
// last angle; an empty or dark one 0.
// Source: IES definitions of beam and field angle (of the maximum, not of the
// centre-beam intensity of CIE/ANSI C78.379; the two differ for hollow beams).
func FullAngle(gammaDeg, cd []float64, share float64) float64 {
	n := min(len(gammaDeg), len(cd))
	peak := 0.0
	for _, v := range cd[:n] {
		peak = math.Max(peak, v)
	}
	return 2 * outermost(gammaDeg[:n], cd[:n], share*peak)
}

// outermost returns the largest angle at which the curve is at the level.
func outermost(gammaDeg, cd []float64, level float64) float64 {
	n := len(gammaDeg)
	if n == 0 || level <= 0 {
		return 0
	}
	if cd[n-1] >= level {
		return gammaDeg[n-1]
	}
	for i := n - 1; i > 0; i-- {
		if cd[i-1] >= level {
			t := (cd[i-1] - level) / (cd[i-1] - cd[i])
			return gammaDeg[i-1] + t*(gammaDeg[i]-gammaDeg[i-1])
		}
	}
	return 0
}
