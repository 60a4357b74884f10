// Package daylight computes where the sun stands, how bright the sky is, what
// glass lets through, and what of it reaches faces and platform at the hours of
// the services.
package daylight

import (
	"math"
	"time"
)

const rad = math.Pi / 180

// JulianDay returns the Julian day of a moment, days from noon UT of 1 January
// 4713 BC. Source: Meeus, Astronomical Algorithms, 2nd ed., chapter 7; the Unix
// epoch is JD 2440587.5.
func JulianDay(t time.Time) float64 {
	return 2440587.5 + (float64(t.Unix())+float64(t.Nanosecond())/1e9)/86400
}

// Sun is where the sun stands seen from a place, without refraction.
type Sun struct {
	ElevationDeg   float64 // of the centre above the horizon
	AzimuthDeg     float64 // from north clockwise, 0..360
	DeclinationDeg float64
	EquationMin    float64 // equation of time, apparent minus mean solar time
}

// SunAt returns the sun's place at a moment seen from a latitude (north
// positive) and a longitude (east positive) in degrees. Good to about 0.02°
// from 1901 to 2099. Source: Meeus, Astronomical Algorithms, low-accuracy
// formulas as published on NOAA's solar calculation pages.
func SunAt(t time.Time, latitudeDeg, longitudeDeg float64) Sun {
	c := (JulianDay(t) - 2451545) / 36525 // Julian centuries from J2000
	l0 := math.Mod(280.46646+c*(36000.76983+c*0.0003032), 360) * rad
	m := (357.52911 + c*(35999.05029-0.0001537*c)) * rad
	e := 0.016708634 - c*(0.000042037+0.0000001267*c)
	centre := math.Sin(m)*(1.914602-c*(0.004817+0.000014*c)) + math.Sin(2*m)*(0.019993-0.000101*c) + math.Sin(3*m)*0.000289
	omega := (125.04 - 1934.136*c) * rad
	lambda := l0 + (centre-0.00569-0.00478*math.Sin(omega))*rad
	eps := (23 + (26+(21.448-c*(46.815+c*(0.00059-c*0.001813)))/60)/60 + 0.00256*math.Cos(omega)) * rad
	delta := math.Asin(math.Sin(eps) * math.Sin(lambda))
	y := math.Tan(eps/2) * math.Tan(eps/2)
	eqn := 4 / rad * (y*math.Sin(2*l0) - 2*e*math.Sin(m) + 4*e*y*math.Sin(m)*math.Cos(2*l0) -
		y*y*math.Sin(4*l0)/2 - 1.25*e*e*math.Sin(2*m))
	u := t.UTC()
	minutes := float64(u.Hour())*60 + float64(u.Minute()) + (float64(u.Second())+float64(u.Nanosecond())/1e9)/60
	hour := ((minutes+eqn+4*longitudeDeg)/4 - 180) * rad
	phi := latitudeDeg * rad
	sinH := math.Sin(phi)*math.Sin(delta) + math.Cos(phi)*math.Cos(delta)*math.Cos(hour)
	az := math.Atan2(math.Sin(hour), math.Cos(hour)*math.Sin(phi)-math.Tan(delta)*math.Cos(phi))/rad + 180
	return Sun{ElevationDeg: math.Asin(math.Max(-1, math.Min(1, sinH))) / rad, AzimuthDeg: math.Mod(az+360, 360),
		DeclinationDeg: delta / rad, EquationMin: eqn}
}

// Refraction returns by how many degrees the air lifts the sun at a true
// elevation in degrees, for usual pressure and temperature.
// Source: NOAA's solar calculation pages.
func Refraction(elevationDeg float64) float64 {
	h := elevationDeg
	t := math.Tan(h * rad)
	switch {
	case h > 85:
		return 0
	case h > 5:
		return (58.1/t - 0.07/(t*t*t) + 0.000086/(t*t*t*t*t)) / 3600
	case h > -0.575:
		return (1735 + h*(-518.2+h*(103.4+h*(-12.79+h*0.711)))) / 3600
	}
	return -20.774 / (3600 * t)
}

// RefractionAt returns the same for a pressure in mbar and a temperature in °C;
// 0 for a sun below the horizon by more than 1.5°.
// Source: Reda & Andreas, Solar Position Algorithm, NREL/TP-560-34302, eq. 42.
func RefractionAt(elevationDeg, pressureMbar, temperatureC float64) float64 {
	if elevationDeg < -1.5 {
		return 0
	}
	return pressureMbar / 1010 * 283 / (273 + temperatureC) * 1.02 / (60 * math.Tan((elevationDeg+10.3/(elevationDeg+5.11))*rad))
}

// IncidenceDeg returns the angle in degrees between the sun and the normal of a
// surface sloped from the level by slopeDeg and turned from south by rotationDeg,
// positive to the west, with the sun's zenith angle and azimuth from north
// clockwise. Source: NREL/TP-560-34302, eq. 47.
func IncidenceDeg(zenithDeg, azimuthDeg, slopeDeg, rotationDeg float64) float64 {
	c := math.Cos(zenithDeg*rad)*math.Cos(slopeDeg*rad) +
		math.Sin(slopeDeg*rad)*math.Sin(zenithDeg*rad)*math.Cos((azimuthDeg-180-rotationDeg)*rad)
	return math.Acos(math.Max(-1, math.Min(1, c))) / rad
}

// riseAltitudeDeg is the true elevation of the sun's centre when its upper edge
// is on the horizon: refraction 34′ and radius 16′.
const riseAltitudeDeg = -0.833

// RiseNoonSet returns sunrise, highest sun and sunset of the day that a moment
// belongs to in its own zone; false where the sun does not rise or set that day.
// Within a minute below 72° latitude. Source: Meeus, as NOAA's pages, iterated.
func RiseNoonSet(day time.Time, latitudeDeg, longitudeDeg float64) (rise, noon, set time.Time, ok bool) {
	y, mo, d := day.Date()
	midnight := time.Date(y, mo, d, 0, 0, 0, 0, day.Location())
	_, offset := midnight.Zone()
	at := func(minutesUT float64) time.Time {
		return midnight.Add(time.Duration((minutesUT*60 + float64(offset)) * float64(time.Second)))
	}
	transit := 720 - 4*longitudeDeg // minutes UT on the day of local midnight's own date
	for range 3 {
		transit = 720 - 4*longitudeDeg - SunAt(at(transit), latitudeDeg, longitudeDeg).EquationMin
	}
	find := func(sign float64) (time.Time, bool) {
		m := transit
		for range 5 {
			s := SunAt(at(m), latitudeDeg, longitudeDeg)
			c := math.Sin(riseAltitudeDeg*rad)/(math.Cos(latitudeDeg*rad)*math.Cos(s.DeclinationDeg*rad)) -
				math.Tan(latitudeDeg*rad)*math.Tan(s.DeclinationDeg*rad)
			if math.Abs(c) > 1 || math.IsNaN(c) {
				return time.Time{}, false
			}
			m = 720 - 4*longitudeDeg - s.EquationMin + sign*4*math.Acos(c)/rad
		}
		return at(m), true
	}
	rise, okR := find(-1)
	set, okS := find(1)
	return rise, at(transit), set, okR && okS
}
