package survey

import "math"

// LongestThatTurns returns the length, m, of the longest rectangle of a width
// that can be moved on the level round a right-angled corner from a corridor of
// width a into one of width b, all in m: the least over the angle θ of
// (a·cosθ + b·sinθ − w)/(sinθ·cosθ). 0 when the rectangle is wider than either
// corridor, or an argument is not a positive number. Without width it is the
// ladder's (a^⅔ + b^⅔)^1.5.
//
// Source: the classical corner problem with a thick ladder; derived from the
// inner corner touching the long side while both ends slide on the outer walls.
func LongestThatTurns(width, a, b float64) float64 {
	if !(a > 0) || !(b > 0) || !(width >= 0) || width >= math.Min(a, b) || math.IsInf(a+b, 0) {
		return 0
	}
	l := func(t float64) float64 {
		s, c := math.Sincos(t)
		return (a*c + b*s - width) / (s * c)
	}
	// Coarse search first: near the ends the function grows without bound, and
	// nothing says it has one valley only.
	const steps = 720
	best := 1
	for i := 1; i < steps; i++ {
		if l(float64(i)*math.Pi/2/steps) < l(float64(best)*math.Pi/2/steps) {
			best = i
		}
	}
	lo, hi := float64(best-1)*math.Pi/2/steps, float64(best+1)*math.Pi/2/steps
	for range 80 {
		m1, m2 := lo+(hi-lo)/3, hi-(hi-lo)/3
		if l(m1) < l(m2) {
			hi = m2
		} else {
			lo = m1
		}
	}
	return math.Max(0, l((lo+hi)/2))
}
