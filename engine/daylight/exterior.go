package daylight

import "math"

// Weather is a kind of day.
type Weather string

// Kinds of day.
const (
	ClearDay    Weather = "clear"
	PartlyDay   Weather = "partly_cloudy"
	OvercastDay Weather = "overcast"
)

// Extraterrestrial returns the normal illuminance in lux outside the air on a
// day of the year, 1 to 366: 127 500·[1 + 0.034·cos(2π(J − 2)/365)].
// Source: IES, Recommended practice for the calculation of daylight
// availability, J. Illum. Eng. Soc. 13(4), 1984.
func Extraterrestrial(day int) float64 {
	return 127500 * (1 + 0.034*math.Cos(2*math.Pi*float64(day-2)/365))
}

// AirMass returns the relative length of the sun's way through the air at an
// apparent elevation in degrees: 1/(sin h + 0.50572·(h + 6.07995)^−1.6364).
// Infinite 6.08° and more below the horizon. Source: Kasten & Young, Applied
// Optics 28, 1989.
func AirMass(elevationDeg float64) float64 {
	if !(elevationDeg > -6.07995) {
		return math.Inf(1)
	}
	return 1 / (math.Sin(elevationDeg*rad) + 0.50572*math.Pow(elevationDeg+6.07995, -1.6364))
}

// lowSunDeg is the elevation below which 1/sin h departs from the true air mass
// by more than 1 % and Kasten & Young's is taken.
const lowSunDeg = 15

// Exterior is the daylight on open ground, lx.
type Exterior struct {
	NormalLx float64 // of the sun, facing it
	SunLx    float64 // of the sun, horizontal
	SkyLx    float64 // of the sky, horizontal
}

// Outside returns the mean daylight on a day of the year at a sun elevation in
// degrees: the sun Edn = Ext·exp(−c·m), the sky Ekh = A + B·sin^C h. A single
// moment may have half or double. Nothing with the sun below the horizon.
// Source: IES 1984 as above, clear and overcast rows as in Gillette 1984; the
// partly cloudy row from memory.
func Outside(w Weather, day int, elevationDeg float64) Exterior {
	if !(elevationDeg > 0) {
		return Exterior{}
	}
	var c, a, b, p float64
	switch w {
	case ClearDay:
		c, a, b, p = 0.21, 800, 15500, 0.5
	case PartlyDay:
		c, a, b, p = 0.80, 300, 45000, 1
	default:
		c, a, b, p = math.Inf(1), 300, 21000, 1
	}
	s := math.Sin(elevationDeg * rad)
	m := 1 / s
	if elevationDeg < lowSunDeg {
		m = AirMass(elevationDeg)
	}
	normal := Extraterrestrial(day) * math.Exp(-c*m)
	return Exterior{NormalLx: normal, SunLx: normal * s, SkyLx: a + b*math.Pow(s, p)}
}
