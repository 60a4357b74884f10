package light

import "math"

// ageM is the age in years at which scatter in the eye has doubled.
// Source: Vos 2003, CIE 146.
const ageM = 70

// VeilAtAge is Veil for an age in years: Lv = 10·E/θ²·(1 + (A/70)⁴), for angles
// from 1° to 30°. Source: J. J. Vos 2003 and CIE 146, age-adjusted
// Stiles–Holladay form.
func VeilAtAge(eyeLx, angleDeg, ageYears float64) float64 {
	return Veil(eyeLx, angleDeg) * (1 + math.Pow(ageYears/ageM, 4))
}

// ContrastKept returns the share of contrast left under a veiling luminance,
// Lb/(Lb + Lv), for a background luminance Lb in cd/m²; 0 for a dark background
// under a veil, 1 without a veil. Source: definition of disability glare,
// CIE 146.
func ContrastKept(backgroundCdM2, veilCdM2 float64) float64 {
	if !(veilCdM2 > 0) {
		return 1
	}
	return backgroundCdM2 / (backgroundCdM2 + veilCdM2)
}
