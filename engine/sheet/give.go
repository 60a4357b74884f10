package sheet

import "math"

// give is " ± " with a standard deviation of a length; nothing where it is not
// known or nought.
func (in *Input) give(sigmaM float64) string {
	if !(sigmaM > 0) || math.IsInf(sigmaM, 0) {
		return ""
	}
	return " ± " + in.length(sigmaM)
}

// giveDeg is " ± " with a standard deviation of an angle; nothing where it is not
// known or nought.
func giveDeg(sigma float64) string {
	if !(sigma > 0) || math.IsInf(sigma, 0) {
		return ""
	}
	return " ± " + degrees(sigma)
}
