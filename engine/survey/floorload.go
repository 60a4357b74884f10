package survey

import (
	"strconv"
	"strings"

	"roodbeam/engine/si"
)

// areaLoads are the units in which floor ratings are written, in pascals; the
// pound-force is exact (NIST SP 811, appendix B.8), a mass stands for its weight
// under standard gravity.
var areaLoads = []struct {
	unit   string
	pascal float64
}{
	{"kn/m2", 1e3}, {"kpa", 1e3}, {"n/m2", 1}, {"kg/m2", si.StandardGravity}, {"t/m2", 1e3 * si.StandardGravity},
	{"lb/ft2", si.PoundForce / (0.3048 * 0.3048)}, {"lbs/ft2", si.PoundForce / (0.3048 * 0.3048)}, {"psf", si.PoundForce / (0.3048 * 0.3048)},
}

// ReadAreaLoad returns the evenly spread load that a documented rating allows, in
// pascals: the number before kN/m², kPa, kg/m², t/m², lb/ft² or psf. It is false for
// words, for a rating of another kind (a point load, a class), for two numbers of
// the kind, and for a number with a comma that may part thousands.
func ReadAreaLoad(text string) (float64, bool) {
	t := strings.ToLower(strings.NewReplacer("²", "2", "^2", "2", "sq ft", "ft2", "sq. ft", "ft2", "per", "/", "\u00a0", " ").Replace(text))
	t = strings.ReplaceAll(strings.ReplaceAll(t, " /", "/"), "/ ", "/")
	found, out := false, 0.0
	words := strings.FieldsFunc(t, func(r rune) bool { return r == ' ' || r == ';' || r == '(' || r == ')' || r == ':' })
	for i, w := range words {
		w = strings.TrimRight(w, ".,")
		for _, a := range areaLoads {
			number, ok := strings.CutSuffix(w, a.unit)
			if !ok || number != "" && (number[len(number)-1] < '0' || number[len(number)-1] > '9') {
				continue
			}
			if number == "" && i > 0 {
				number = words[i-1]
			}
			v, err := strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
			if err != nil || !(v > 0) || v > 1e6 || found || (strings.Contains(number, ",") && len(number)-strings.Index(number, ",") == 4) {
				return 0, false
			}
			found, out = true, v*a.pascal
			break
		}
	}
	return out, found
}
