package colour

import (
	"math"
	"sort"
)

// McCamyK returns the correlated colour temperature in kelvin by McCamy's cubic,
//
//	n = (x − 0.3320)/(0.1858 − y),  T = 449n³ + 3525n² + 6823.3n + 5520.33
//
// within 2 K from 2856 K to 6500 K on the locus; 0 for an unknown chromaticity.
// Source: C. S. McCamy, Color Research and Application 17, 1992.
func McCamyK(c XY) float64 {
	if !c.Known() || c.Y == 0.1858 {
		return 0
	}
	n := (c.X - 0.3320) / (0.1858 - c.Y)
	return 449*n*n*n + 3525*n*n + 6823.3*n + 5520.33
}

// isotherm is a line of equal colour temperature in the CIE 1960 diagram.
type isotherm struct{ mired, u, v, slope float64 }

// isotherms is Robertson's table. Source: A. R. Robertson, J. Opt. Soc. Am. 58,
// 1968, p. 1528; Wyszecki & Stiles, Color Science, 2nd ed., table 1(3.11), with
// the corrected u of 325 mired (numbers from memory, checked against published
// results).
var isotherms = []isotherm{
	{0, .18006, .26352, -.24341}, {10, .18066, .26589, -.25479}, {20, .18133, .26846, -.26876},
	{30, .18208, .27119, -.28539}, {40, .18293, .27407, -.30470}, {50, .18388, .27709, -.32675},
	{60, .18494, .28021, -.35156}, {70, .18611, .28342, -.37915}, {80, .18740, .28668, -.40955},
	{90, .18880, .28997, -.44278}, {100, .19032, .29326, -.47888}, {125, .19462, .30141, -.58204},
	{150, .19962, .30921, -.70471}, {175, .20525, .31647, -.84901}, {200, .21142, .32312, -1.0182},
	{225, .21807, .32909, -1.2168}, {250, .22511, .33439, -1.4512}, {275, .23247, .33904, -1.7298},
	{300, .24010, .34308, -2.0637}, {325, .24792, .34655, -2.4681}, {350, .25591, .34951, -2.9641},
	{375, .26400, .35200, -3.5814}, {400, .27218, .35407, -4.3633}, {425, .28039, .35577, -5.3762},
	{450, .28863, .35714, -6.7262}, {475, .29685, .35823, -8.5955}, {500, .30505, .35907, -11.324},
	{525, .31320, .35968, -15.628}, {550, .32129, .36011, -23.325}, {575, .32931, .36038, -40.770},
	{600, .33724, .36051, -116.45},
}

// distance returns how far a point lies from the isotherm, positive on the side
// of more mired.
func (i isotherm) distance(u, v float64) float64 {
	return ((v - i.v) - i.slope*(u-i.u)) / math.Sqrt(1+i.slope*i.slope)
}

// CCT returns the correlated colour temperature in kelvin and the distance from
// the Planckian locus in the CIE 1960 diagram, positive above it (greenish). ok
// is false outside 1667 K to 100 000 K or farther than 0.05 from the locus,
// where a colour temperature says nothing.
//
// It interpolates Robertson's isotherms in mired; within a few kelvin up to
// 10 000 K. Source: A. R. Robertson, J. Opt. Soc. Am. 58, 1968; the bound 0.05
// from CIE 15.
func CCT(c XY) (kelvin, duv float64, ok bool) {
	if !c.Known() {
		return 0, 0, false
	}
	u, v := c.UV()
	n := len(isotherms)
	i := sort.Search(n, func(i int) bool { return isotherms[i].distance(u, v) < 0 })
	if i == 0 || i == n {
		return 0, 0, false
	}
	a, b := isotherms[i-1], isotherms[i]
	da, db := a.distance(u, v), -b.distance(u, v)
	t := da / (da + db)
	mired := a.mired + t*(b.mired-a.mired)
	if !(mired > 10) {
		return 0, 0, false
	}
	duv = math.Hypot(u-(a.u+t*(b.u-a.u)), v-(a.v+t*(b.v-a.v)))
	if v < a.v+t*(b.v-a.v) {
		duv = -duv
	}
	return 1e6 / mired, duv, math.Abs(duv) <= 0.05
}

// Duv returns the distance from the Planckian locus in the CIE 1960 diagram by
// the polynomial of ANSI C78.377, positive above the locus; for whites from
// about 2600 K to 20 000 K. NaN for an unknown chromaticity.
// Source: ANSI C78.377, after Y. Ohno, Leukos 10, 2014 (coefficients from memory,
// checked against published results).
func Duv(c XY) float64 {
	if !c.Known() {
		return math.NaN()
	}
	u, v := c.UV()
	l := math.Hypot(u-0.292, v-0.24)
	a := math.Acos((u - 0.292) / l)
	poly := 0.0
	for _, k := range []float64{-.00616793, .0893944, -.5179722, 1.5317403, -2.4243787, 1.925865, -.471106} {
		poly = poly*a + k
	}
	return l - poly
}

// Mired returns 10⁶/T for a colour temperature in kelvin; NaN when not positive.
// Filter shifts add in mired. Source: ISO 6728 and IES Lighting Handbook.
func Mired(kelvin float64) float64 {
	if !(kelvin > 0) {
		return math.NaN()
	}
	return 1e6 / kelvin
}

// ShiftK returns the colour temperature in kelvin behind a filter of a shift in
// mired, positive to warm: 10⁶/(10⁶/T + s). NaN when nothing positive is left.
func ShiftK(kelvin, shiftMired float64) float64 { return Mired(Mired(kelvin) + shiftMired) }
