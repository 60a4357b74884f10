package colour

// lampWhites are the targets of nominal lamp whites: colour temperature in
// kelvin and distance from the Planckian locus.
// Source: ANSI C78.377, nominal CCT table (from memory).
var lampWhites = []struct{ nominal, kelvin, duv float64 }{
	{2700, 2725, 0}, {3000, 3045, .0001}, {3500, 3465, .0005}, {4000, 3985, .0010},
	{5000, 5029, .0020}, {5700, 5667, .0025}, {6500, 6532, .0031},
}

// LampWhite returns the chromaticity of a white LED of a nominal colour
// temperature in kelvin: the target of ANSI C78.377, linear between its nominal
// values and on the Planckian locus's side of the last one beyond them. The
// zero XY for a temperature that is not positive.
func LampWhite(nominalK float64) XY {
	if !(nominalK > 0) {
		return XY{}
	}
	t := lampWhites
	n := len(t)
	if nominalK <= t[0].nominal {
		return White(nominalK*t[0].kelvin/t[0].nominal, t[0].duv)
	}
	for i := 1; i < n; i++ {
		if nominalK <= t[i].nominal {
			u := (nominalK - t[i-1].nominal) / (t[i].nominal - t[i-1].nominal)
			return White(t[i-1].kelvin+u*(t[i].kelvin-t[i-1].kelvin), t[i-1].duv+u*(t[i].duv-t[i-1].duv))
		}
	}
	return White(nominalK*t[n-1].kelvin/t[n-1].nominal, t[n-1].duv)
}
