package light

import "math"

// LuminousPart is a source that dazzles, as an observer sees it.
type LuminousPart struct {
	CdM2      float64 // luminance toward the eye
	Steradian float64 // solid angle
	Position  float64 // Guth's position index, 1 in the line of sight
	AreaM2    float64 // of the luminous part
}

// smallestUGR and largestUGR bound the luminous areas in m² for which the unified
// glare rating was made: stage units fall below, a glazed wall above.
// Source: CIE 117:1995 and CIE 147:2002 (from summaries).
const smallestUGR, largestUGR = 0.005, 1.5

// UGR returns the unified glare rating of sources before a background of a
// luminance in cd/m²: 8·log₁₀(0.25/Lb·Σ L²·ω/p²), 10 hardly felt to 30 not to be
// borne. NaN without background, without sources, or where a source lies outside
// the sizes it was made for: for a bare spot take the veiling luminance.
// Source: CIE 117:1995.
func UGR(backgroundCdM2 float64, parts ...LuminousPart) float64 {
	sum := 0.0
	for _, p := range parts {
		if !(p.AreaM2 >= smallestUGR && p.AreaM2 <= largestUGR) || !(p.Position > 0) {
			return math.NaN()
		}
		sum += p.CdM2 * p.CdM2 * p.Steradian / (p.Position * p.Position)
	}
	if !(backgroundCdM2 > 0) || !(sum > 0) {
		return math.NaN()
	}
	return 8 * math.Log10(0.25/backgroundCdM2*sum)
}

// dimmestTI and brightestTI bound the mean luminance in cd/m² for which the
// threshold increment is given: streets, not lit churches.
// Source: EN 13201-3 (from memory).
const dimmestTI, brightestTI = 0.05, 5

// ThresholdIncrementPct returns by how many percent a veiling luminance raises the
// contrast that is just seen before a mean luminance, both in cd/m²: 65·Lv/L^0.8.
// NaN outside 0.05 to 5 cd/m²: there take ContrastKept.
// Source: EN 13201-3 (from memory).
func ThresholdIncrementPct(veilCdM2, meanCdM2 float64) float64 {
	if !(meanCdM2 > dimmestTI && meanCdM2 < brightestTI) || !(veilCdM2 >= 0) {
		return math.NaN()
	}
	return 65 * veilCdM2 / math.Pow(meanCdM2, 0.8)
}
