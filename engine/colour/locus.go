package colour

import "math"

// Range of the Planckian locus below, in kelvin.
const (
	leastPlanckK = 1000
	mostPlanckK  = 15000
)

// Planck returns the chromaticity of a full radiator of a temperature in
// kelvin, held within 1000 K to 15 000 K. It is within 8·10⁻⁵ in u and v.
//
// Source: M. Krystek, Color Research and Application 10, 1985 (coefficients from
// memory, checked against published results).
func Planck(kelvin float64) XY {
	u, v := planckUV(kelvin)
	return FromUV(u, v)
}

func planckUV(kelvin float64) (u, v float64) {
	t := math.Max(leastPlanckK, math.Min(kelvin, mostPlanckK))
	u = (0.860117757 + 1.54118254e-4*t + 1.28641212e-7*t*t) / (1 + 8.42420235e-4*t + 7.08145163e-7*t*t)
	v = (0.317398726 + 4.22806245e-5*t + 4.20481691e-8*t*t) / (1 - 2.89741816e-5*t + 1.61456053e-7*t*t)
	return u, v
}

// PlanckCubic returns the chromaticity of a full radiator by the cubic spline
// in common use, from 1667 K to 25 000 K (held at the ends); up to 0.0006 off
// in x at 2856 K. It is the second method beside Planck.
// Source: B. Kang et al., J. Korean Physical Society 41, 2002.
func PlanckCubic(kelvin float64) XY {
	t := math.Max(1667, math.Min(kelvin, 25000))
	poly := func(x, a, b, c, d float64) float64 { return ((a*x+b)*x+c)*x + d }
	var x float64
	if t <= 4000 {
		x = poly(1/t, -.2661239e9, -.2343589e6, .8776956e3, .179910)
	} else {
		x = poly(1/t, -3.0258469e9, 2.1070379e6, .2226347e3, .240390)
	}
	switch {
	case t <= 2222:
		return XY{x, poly(x, -1.1063814, -1.34811020, 2.18555832, -.20219683)}
	case t <= 4000:
		return XY{x, poly(x, -.9549476, -1.37418593, 2.09137015, -.16748867)}
	}
	return XY{x, poly(x, 3.0817580, -5.87338670, 3.75112997, -.37001483)}
}

// Daylight returns the chromaticity of a phase of daylight of a correlated
// colour temperature in kelvin, held within 4000 K to 25 000 K:
//
//	x = −4.6070e9/T³ + 2.9678e6/T² + 0.09911e3/T + 0.244063   up to 7000 K
//	x = −2.0064e9/T³ + 1.9018e6/T² + 0.24748e3/T + 0.237040   above
//	y = −3x² + 2.87x − 0.275
//
// The named D illuminants lie at 1.4388/1.438 times their nominal temperature.
// Source: CIE 15, method of calculating D illuminants.
func Daylight(kelvin float64) XY {
	t := math.Max(4000, math.Min(kelvin, 25000))
	x := -4.6070e9/(t*t*t) + 2.9678e6/(t*t) + .09911e3/t + .244063
	if t > 7000 {
		x = -2.0064e9/(t*t*t) + 1.9018e6/(t*t) + .24748e3/t + .237040
	}
	return XY{x, -3*x*x + 2.87*x - .275}
}

// Nearest returns the temperature in kelvin at which the Planckian locus
// (Krystek) comes nearest in the CIE 1960 diagram and the signed distance,
// positive above: the definition of correlated colour temperature searched
// directly. It is the second method beside CCT; ok as there.
func Nearest(c XY) (kelvin, duv float64, ok bool) {
	if !c.Known() {
		return 0, 0, false
	}
	u, v := c.UV()
	at := func(mired float64) float64 {
		pu, pv := planckUV(1e6 / mired)
		return math.Hypot(u-pu, v-pv)
	}
	lo, hi := bracketLeast(at, 1e6/mostPlanckK, 1e6/leastPlanckK)
	mired := least(at, lo, hi)
	_, pv := planckUV(1e6 / mired)
	if duv = at(mired); v < pv {
		duv = -duv
	}
	inside := mired > 1e6/mostPlanckK+1e-3 && mired < 1e6/leastPlanckK-1e-3
	return 1e6 / mired, duv, inside && math.Abs(duv) <= 0.05
}

// bracketLeast returns an interval round the least of f on a coarse grid.
func bracketLeast(f func(float64) float64, a, b float64) (lo, hi float64) {
	const n = 200
	at := func(i int) float64 { return a + (b-a)*float64(i)/n }
	best := 0
	for i := range n + 1 {
		if f(at(i)) < f(at(best)) {
			best = i
		}
	}
	return at(max(0, best-1)), at(min(n, best+1))
}

// least returns where f is least between a and b by golden section.
func least(f func(float64) float64, a, b float64) float64 {
	const golden = 0.61803398874989485
	for range 80 {
		c, d := b-golden*(b-a), a+golden*(b-a)
		if f(c) < f(d) {
			b = d
		} else {
			a = c
		}
	}
	return (a + b) / 2
}

// White returns the chromaticity of a white of a correlated colour temperature
// in kelvin (1000 K to 15 000 K) and a distance from the Planckian locus in the
// CIE 1960 diagram, positive above it.
func White(kelvin, duv float64) XY {
	u, v := planckUV(kelvin)
	const step = 1e-4
	ua, va := planckUV(kelvin * (1 - step))
	ub, vb := planckUV(kelvin * (1 + step))
	du, dv := ub-ua, vb-va
	n := math.Hypot(du, dv)
	if n == 0 {
		return FromUV(u, v)
	}
	// Across the locus, on the side of larger v.
	nu, nv := -dv/n, du/n
	if nv < 0 {
		nu, nv = -nu, -nv
	}
	return FromUV(u+duv*nu, v+duv*nv)
}
