package colour

import "math"

// XY is a chromaticity in the CIE 1931 2° system, both 0..1. The zero value is
// an unknown chromaticity.
type XY struct{ X, Y float64 }

// Known tells whether it is a chromaticity light can have: y above 0, nothing
// below 0, x + y at most 1.
func (c XY) Known() bool { return c.X >= 0 && c.Y > 0 && c.X+c.Y <= 1 }

// UV returns the CIE 1960 coordinates, in which distances from the Planckian
// locus are measured:
//
//	u = 4x/(−2x + 12y + 3),  v = 6y/(−2x + 12y + 3)
//
// Source: CIE 15, 1960 UCS diagram.
func (c XY) UV() (u, v float64) {
	d := -2*c.X + 12*c.Y + 3
	return 4 * c.X / d, 6 * c.Y / d
}

// FromUV returns the chromaticity of CIE 1960 coordinates:
// x = 3u/(2u − 8v + 4), y = 2v/(2u − 8v + 4). Source: inverse of UV.
func FromUV(u, v float64) XY {
	d := 2*u - 8*v + 4
	return XY{3 * u / d, 2 * v / d}
}

// UVPrime returns the CIE 1976 coordinates u′ = u, v′ = 1.5 v, in which equal
// distances look about equally different. Source: CIE 15, 1976 UCS diagram.
func (c XY) UVPrime() (u, v float64) {
	u, v = c.UV()
	return u, 1.5 * v
}

// DistanceUVPrime returns the distance of two chromaticities in the CIE 1976
// diagram, Δu′v′. A few thousandths can just be seen side by side.
func DistanceUVPrime(a, b XY) float64 {
	ua, va := a.UVPrime()
	ub, vb := b.UVPrime()
	return math.Hypot(ua-ub, va-vb)
}

// Published white points in the 2° system. Source: CIE 15.
var (
	IlluminantA = XY{.44757, .40745}
	D50         = XY{.34567, .35850}
	D55         = XY{.33242, .34743}
	D65         = XY{.31271, .32902}
	EqualEnergy = XY{1.0 / 3, 1.0 / 3}
)

// Light is an amount of light with its chromaticity. Amount is any quantity
// proportional to luminance: lumens, lux, candela.
type Light struct {
	XY
	Amount float64
}

// Add returns the additive mixture: tristimulus values X = xY/y and
// Z = (1−x−y)Y/y add up. Light without amount or chromaticity counts nothing;
// nothing at all gives the zero Light. Source: Grassmann's laws; CIE 15.
func Add(lights ...Light) Light {
	var x, y, sum float64
	for _, l := range lights {
		if !(l.Amount > 0) || !l.Known() {
			continue
		}
		s := l.Amount / l.Y // X + Y + Z
		x, y, sum = x+s*l.X, y+l.Amount, sum+s
	}
	if !(sum > 0) {
		return Light{}
	}
	return Light{XY: XY{x / sum, y / sum}, Amount: y}
}
