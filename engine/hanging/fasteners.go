package hanging

import (
	"math"

	"roodbeam/engine/si"
)

// poundForce is one pound-force in N.
const poundForce = si.PoundForce

// LagWithdrawal returns the reference withdrawal value of a lag screw in side
// grain, N, for a specific gravity of the wood, a diameter and a thread length in
// the wood without the tip, both in m: W = 1800·G^1.5·D^0.75 lb per inch of
// thread, D in in. It holds before any adjustment; end grain takes three quarters.
// 0 for arguments that are not positive.
//
// Source: NDS 2018 12.2.1 and Table 12.2A.
func LagWithdrawal(gravity, diameter, thread float64) float64 {
	if !(gravity > 0) || !(diameter > 0) || !(thread > 0) {
		return 0
	}
	return 1800 * math.Pow(gravity, 1.5) * math.Pow(diameter/inchM, .75) * thread / inchM * poundForce
}

// Dowel is a bolt or lag screw in single shear between a main and a side member.
// Lengths in m, strengths in MPa.
type Dowel struct {
	Diameter     float64 // of the shank or, with the threads in the shear plane, of the root
	MainLength   float64 // bearing in the main member
	SideLength   float64
	MainBearing  float64 // dowel bearing strength of the main member
	SideBearing  float64
	YieldBending float64 // Fyb of the dowel
	// Angle is the largest angle of the load to the grain of either member, rad.
	Angle float64
}

// WoodBearing returns the dowel bearing strength of wood, MPa, for a specific
// gravity and a nominal diameter in m: 11 200·G psi along the grain and
// 6 100·G^1.45/√D psi across it.
//
// Source: NDS 2018 Table 12.3.3, footnotes.
func WoodBearing(gravity, diameter float64) (along, across float64) {
	if !(gravity > 0) || !(diameter > 0) {
		return 0, 0
	}
	return 11200 * gravity * psi, 6100 * math.Pow(gravity, 1.45) / math.Sqrt(diameter/inchM) * psi
}

// Yield returns the reference lateral value of the dowel, N, and the yield mode
// that decides it: the least of modes Im, Is, II, IIIm, IIIs and IV, each over its
// reduction term. It holds for diameters of 1/4 in to 1 in; thinner ones have another
// reduction term. 0 for sizes or strengths that are not positive.
//
// Source: NDS 2018 12.3.1, Tables 12.3.1A and 12.3.1B.
func (d Dowel) Yield() (n float64, mode string) {
	for _, v := range []float64{d.Diameter, d.MainLength, d.SideLength, d.MainBearing, d.SideBearing, d.YieldBending} {
		if !(v > 0) || !finite(v) {
			return 0, ""
		}
	}
	// In mm and MPa every mode comes out in N.
	dia, lm, ls := d.Diameter*1000, d.MainLength*1000, d.SideLength*1000
	fm, fs, fy := d.MainBearing, d.SideBearing, d.YieldBending
	re, rt := fm/fs, lm/ls
	k1 := (math.Sqrt(re+2*re*re*(1+rt+rt*rt)+rt*rt*re*re*re) - re*(1+rt)) / (1 + re)
	k2 := -1 + math.Sqrt(2*(1+re)+2*fy*(1+2*re)*dia*dia/(3*fm*lm*lm))
	k3 := -1 + math.Sqrt(2*(1+re)/re+2*fy*(2+re)*dia*dia/(3*fm*ls*ls))
	turn := 1 + .25*math.Min(math.Abs(d.Angle)/(math.Pi/2), 1)
	n = math.Inf(1)
	for _, m := range []struct {
		name    string
		z, term float64
	}{
		{"Im", dia * lm * fm, 4}, {"Is", dia * ls * fs, 4}, {"II", k1 * dia * ls * fs, 3.6},
		{"IIIm", k2 * dia * lm * fm / (1 + 2*re), 3.2}, {"IIIs", k3 * dia * ls * fm / (2 + re), 3.2},
		{"IV", dia * dia * math.Sqrt(2*fm*fy/(3*(1+re))), 3.2},
	} {
		if v := m.z / (m.term * turn); v < n {
			n, mode = v, m.name
		}
	}
	return n, mode
}

// AtAngle returns what a lag screw bears under a load at an angle to the wood's
// surface, rad, from its withdrawal value and its lateral value, both N:
// W·Z/(W·cos²α + Z·sin²α). 0 where either is not positive.
//
// Source: NDS 2018 12.4.1 (from memory).
func AtAngle(withdrawal, lateral, angle float64) float64 {
	if !(withdrawal > 0) || !(lateral > 0) {
		return 0
	}
	s, c := math.Sincos(angle)
	return withdrawal * lateral / (withdrawal*c*c + lateral*s*s)
}

// WasherBearing returns what a square plate washer bears across the grain, N, for
// a side and a hole in m and Fc⊥ in MPa.
//
// Source: NDS 2018 3.10.2: Fc⊥ on the net area.
func WasherBearing(side, hole, across float64) float64 {
	if !(side > hole) || !(hole >= 0) || !(across > 0) {
		return 0
	}
	return (side*side - math.Pi/4*hole*hole) * across * 1e6
}
