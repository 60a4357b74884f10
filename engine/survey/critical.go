package survey

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// ChiSquareBounds returns the two-sided 95 % bounds of a χ² variable with r
// degrees of freedom; zeros for r < 1.
func ChiSquareBounds(r int) (low, high float64) {
	if r < 1 {
		return 0, 0
	}
	d := distuv.ChiSquared{K: float64(r)}
	return d.Quantile(0.025), d.Quantile(0.975)
}

// NormalCritical returns the bound that |w|, normal with mean 0 and standard
// deviation 1, exceeds with probability alpha in (0, 1): 3.2905 for 0.1 %.
//
// Source: W. Baarda, A testing procedure for use in geodetic networks, 1968 (from memory).
func NormalCritical(alpha float64) float64 {
	return distuv.UnitNormal.Quantile(1 - alpha/2)
}

// TauCritical returns the bound that |τ| = |v|/(s0·σ·√r_i) exceeds with probability
// alpha in (0, 1) in a network of redundancy r whose variance is estimated from the
// same residuals: τ = t·√r/√(r − 1 + t²) with Student's t of r − 1 degrees of
// freedom. It tends to √r, which no τ exceeds; for r < 2 it is +∞, since all |τ|
// are then 1.
//
// Source: A. Pope, The statistics of residuals and the detection of outliers,
// NOAA Technical Report NOS 65 NGS 1, 1976 (from memory).
func TauCritical(r int, alpha float64) float64 {
	if r < 2 {
		return math.Inf(1)
	}
	t := StudentCritical(r-1, alpha)
	return t * math.Sqrt(float64(r)) / math.Sqrt(float64(r-1)+t*t)
}

// StudentCritical returns the bound that |t| with r degrees of freedom exceeds with
// probability alpha in (0, 1); +∞ for r < 1.
func StudentCritical(r int, alpha float64) float64 {
	if r < 1 {
		return math.Inf(1)
	}
	return distuv.StudentsT{Sigma: 1, Nu: float64(r)}.Quantile(1 - alpha/2)
}

// SmallestDetectable returns the gross error, in units of the observation's
// standard deviation, that the test of |w| at the given critical value finds with
// a probability of 80 %: (critical + 0.8416)/√r_i. It is +∞ where nothing checks
// the observation.
//
// Source: W. Baarda, A testing procedure for use in geodetic networks, 1968
// (δ₀ = 4.13 for α₀ = 0.1 %; from memory).
func SmallestDetectable(redundancy, critical float64) float64 {
	if redundancy <= minRedundancy {
		return math.Inf(1)
	}
	return (critical + distuv.UnitNormal.Quantile(0.8)) / math.Sqrt(redundancy)
}
