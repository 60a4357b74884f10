package si

// PoundForce is one pound-force in newtons, exact (NIST SP 811, appendix B.8).
const PoundForce = 4.4482216152605

// psi is one pound-force per square inch in pascals (NIST SP 811, appendix B.8).
const psi = 6894.757293168

var (
	forceUnits = unitTable{"force", map[string]float64{
		"n": 1, "newton": 1, "newtons": 1, "kn": 1e3,
		"kg": StandardGravity, "kgf": StandardGravity,
		"lb": PoundForce, "lbs": PoundForce, "lbf": PoundForce,
	}, []string{"N", "kg"}, []string{"1000 N", "1.2 kN", "12 kg", "26 lb"}, true, 1e9}
	stressUnits = unitTable{"stress", map[string]float64{
		"pa": 1, "kpa": 1e3, "mpa": 1e6, "gpa": 1e9, "n/mm2": 1e6, "psi": psi, "ksi": 1e3 * psi,
	}, []string{"MPa", "GPa"}, []string{"210 GPa", "1770 MPa", "1600 ksi"}, true, 1e13}
)

// ParseForce returns a force in newtons: N, kN, and the weight of kg and lb under
// standard gravity.
func ParseForce(text string, hint Display) (Force, error) {
	v, err := forceUnits.parse(text, hint)
	return Force(v), err
}

// ParseStress returns a stress or a modulus in pascals: Pa, MPa, GPa, N/mm², psi,
// ksi.
func ParseStress(text string, hint Display) (Stress, error) {
	v, err := stressUnits.parse(text, hint)
	return Stress(v), err
}
