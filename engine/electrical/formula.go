package electrical

import "math"

// BTUhPerWatt is one watt in British thermal units per hour: 3600 s over
// 1055.05585262 J (NIST SP 811, appendix B.8, international table BTU).
const BTUhPerWatt = 3600 / 1055.05585262

// assumedPF is taken where a fixture gives no power factor.
//
// Source: common practice, 0.9 for electronic drivers.
const assumedPF = 0.9

// ApparentPower returns W/PF in volt-amperes; a power factor outside 0..1
// counts as 0.9, an impossible power as 0.
//
// Source: definition of the power factor, P = S·PF; 0.9 where it is not known is
// common practice.
func ApparentPower(watts, pf float64) float64 {
	if !(watts > 0) || math.IsInf(watts, 0) {
		return 0
	}
	if !(pf > 0 && pf <= 1) {
		pf = assumedPF
	}
	return watts / pf
}

// DropByArea returns the voltage drop, V, of a two-wire circuit: 2·ρ·I·L/A with
// the resistivity ρ in Ω·mm²/m at operating temperature, the current in A, the
// route length in m and the area in mm². An area of zero gives +Inf.
//
// Source: the textbook form VD = 2·K·I·L/cmil (K = 12.9 Ω·cmil/ft for copper).
func DropByArea(resistivity, currentA, lengthM, areaMM2 float64) float64 {
	return 2 * resistivity * currentA * lengthM / areaMM2
}

// NeutralCurrent returns the neutral's current, A, of three linear loads between
// line and neutral, each in phase with its voltage:
// √(a² + b² + c² − ab − bc − ca). Third harmonics, which add up in the neutral,
// are not in it.
//
// Source: phasor sum of currents 120° apart.
func NeutralCurrent(a, b, c float64) float64 {
	return math.Sqrt(math.Max(0, a*a+b*b+c*c-a*b-b*c-c*a))
}

// PairLineCurrent returns the current, A, of a line that is shared by two
// loads between lines (ab and ca, in phase with their own voltages):
// √(ab² + ca² + ab·ca); equal loads give √3 times one of them.
//
// Source: phasor difference of currents 120° apart.
func PairLineCurrent(ab, ca float64) float64 {
	return math.Sqrt(math.Max(0, ab*ab+ca*ca+ab*ca))
}

// RangeOverMeanPct returns (largest − smallest)/mean in percent, 0 for no load.
//
// Source: the panel-schedule measure of unbalance.
func RangeOverMeanPct(loads ...float64) float64 {
	high, low, sum := extremes(loads)
	if sum <= 0 {
		return 0
	}
	return (high - low) / (sum / float64(len(loads))) * 100
}

// ImbalancePct returns (largest − smallest)/largest in percent, 0 for no load.
//
// Source: common practice, difference between legs against the heavier one.
func ImbalancePct(loads ...float64) float64 {
	high, low, _ := extremes(loads)
	if high <= 0 {
		return 0
	}
	return (high - low) / high * 100
}

func extremes(v []float64) (high, low, sum float64) {
	for i, x := range v {
		if i == 0 || x > high {
			high = x
		}
		if i == 0 || x < low {
			low = x
		}
		sum += x
	}
	return high, low, sum
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// positive returns v where it is a positive finite number, else 0.
func positive(v float64) float64 {
	if v > 0 && finite(v) {
		return v
	}
	return 0
}
