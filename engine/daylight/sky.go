package daylight

import "math"

// Sky is a type of the standard general sky, 1 to 15. Its luminance relative to
// the zenith's is
//
//	La/Lz = f(χ)·φ(Z)/[f(Zs)·φ(0)],  φ(Z) = 1 + a·exp(b/cos Z),
//	f(χ) = 1 + c·[exp(d·χ) − exp(d·π/2)] + e·cos²χ
//
// with Z and Zs the zenith angles of the sky's element and the sun and χ the
// angle between them. Source: ISO 15469:2004/CIE S 011, parameters as in Darula
// & Kittler, CIE general sky standard, 2002, and Li et al. 2016.
type Sky int

// Named types.
const (
	Overcast    Sky = 1  // steep grading toward the zenith
	Uniform     Sky = 5  // of even luminance
	Clear       Sky = 12 // low turbidity
	ClearTurbid Sky = 13 // polluted
)

var skies = [...][5]float64{
	{4, -.70, 0, -1, 0}, {4, -.70, 2, -1.5, .15}, {1.1, -.80, 0, -1, 0}, {1.1, -.80, 2, -1.5, .15},
	{0, -1, 0, -1, 0}, {0, -1, 2, -1.5, .15}, {0, -1, 5, -2.5, .30}, {0, -1, 10, -3, .45},
	{-1, -.55, 2, -1.5, .15}, {-1, -.55, 5, -2.5, .30}, {-1, -.55, 10, -3, .45}, {-1, -.32, 10, -3, .45},
	{-1, -.32, 16, -3, .30}, {-1, -.15, 16, -3, .30}, {-1, -.15, 24, -2.8, .15},
}

// Relative returns a sky element's luminance over the zenith's: zenith angles in
// radians and the plan angle in radians between element and sun. 0 below the
// horizon and for an unknown type.
//
// Source: ISO 15469:2004/CIE S 011, the formula and parameters named at Sky.
func (s Sky) Relative(zenith, sunZenith, turn float64) float64 {
	if s < 1 || int(s) > len(skies) || zenith > math.Pi/2+1e-12 {
		return 0
	}
	p := skies[s-1]
	phi := func(z float64) float64 {
		c := math.Cos(z)
		if c <= 1e-12 {
			return 1
		}
		return 1 + p[0]*math.Exp(p[1]/c)
	}
	f := func(chi float64) float64 {
		c := math.Cos(chi)
		return 1 + p[2]*(math.Exp(p[3]*chi)-math.Exp(p[3]*math.Pi/2)) + p[4]*c*c
	}
	cosChi := math.Cos(sunZenith)*math.Cos(zenith) + math.Sin(sunZenith)*math.Sin(zenith)*math.Cos(turn)
	return f(math.Acos(math.Max(-1, math.Min(1, cosChi)))) * phi(zenith) / (f(sunZenith) * phi(0))
}

// TraditionalOvercast returns the luminance over the zenith's of the CIE
// traditional overcast sky at a zenith angle in radians: (1 + 2·cos Z)/3.
// Source: Moon & Spencer 1942, ISO 15469 clause on the traditional sky.
func TraditionalOvercast(zenith float64) float64 { return (1 + 2*math.Max(0, math.Cos(zenith))) / 3 }

// integrate returns ∫ L·w dω over the sky's half sphere with the middle rule,
// for a luminance and a weight of zenith angle and turn.
func integrate(rings, turns int, value func(zenith, turn float64) float64) float64 {
	sum := 0.0
	dz, dt := math.Pi/2/float64(rings), 2*math.Pi/float64(turns)
	for i := range rings {
		z := (float64(i) + 0.5) * dz
		w := (math.Cos(z-dz/2) - math.Cos(z+dz/2)) * dt
		for k := range turns {
			sum += w * value(z, (float64(k)+0.5)*dt)
		}
	}
	return sum
}

// Steps of the integrals over the sky; four times as many change no sky's
// horizontal illuminance by 1 % (a test holds this).
const skyRings, skyTurns = 24, 48

// HorizontalRatio returns the sky's horizontal illuminance over its zenith
// luminance, lx per cd/m², with the sun at a zenith angle in radians. Rings of
// equal sin² Z count alike on the level: an even sky comes out exact.
//
// Source: illuminance is the integral of luminance times the cosine of incidence
// over the hemisphere, any textbook of photometry (from memory).
func (s Sky) HorizontalRatio(sunZenith float64) float64 {
	return s.horizontal(sunZenith, skyRings, skyTurns)
}

func (s Sky) horizontal(sunZenith float64, rings, turns int) float64 {
	sum := 0.0
	for i := range rings {
		z := math.Asin(math.Sqrt((float64(i) + 0.5) / float64(rings)))
		for k := range turns / 2 { // both sides of the sun are alike
			sum += 2 * s.Relative(z, sunZenith, (float64(k)+0.5)*2*math.Pi/float64(turns))
		}
	}
	return sum * math.Pi / float64(rings*turns)
}

// VerticalRatio returns the illuminance of an upright plane over the zenith
// luminance: the plane looks toward a plan angle in radians off the sun. The
// ground below gives nothing here.
//
// Source: illuminance is the integral of luminance times the cosine of incidence
// over the hemisphere, any textbook of photometry (from memory).
func (s Sky) VerticalRatio(sunZenith, off float64) float64 {
	return integrate(skyRings, skyTurns, func(z, t float64) float64 {
		return s.Relative(z, sunZenith, t) * math.Sin(z) * math.Max(0, math.Cos(t-off))
	})
}
