package photometry

import (
	"math"

	"roodbeam/engine/geom"
)

// Steps of the flux integral over all directions. Twice as many every way
// change the flux of a whole beam by less than 1e-5 and of one cut by hard
// edges, which no smooth rule follows, by less than 4e-3 (a test holds this).
const (
	sphereNear     = 60 // zones within the field and its skirt
	sphereFar      = 20 // zones from there to the opposite of the aim
	sphereAzimuths = 72
)

// goldenShare spreads the starts of the rings evenly: the golden section.
const goldenShare = 0.61803398874989485

// sphereFlux integrates any distribution over all directions, in lumens: two
// Gauss points in each zone of the angle off the aim, fine zones near it and
// coarse ones beyond, and evenly spaced azimuths that start elsewhere on every
// ring, so that an edge through the aim falls evenly between them.
//
//	Φ = ∫∫ I sin γ dγ dC
func sphereFlux(d interface{ Intensity(geom.Vec) float64 }, fieldDeg float64, finer int) float64 {
	near := math.Max(1, math.Min(180, skirt*fieldDeg/2)) * math.Pi / 180
	azimuths, rings := finer*sphereAzimuths, 0
	ring := func(gamma float64) float64 {
		sin, cos := math.Sincos(gamma)
		start, sum := math.Mod(float64(rings)*goldenShare, 1), 0.0
		rings++
		for i := range azimuths {
			sinC, cosC := math.Sincos(2 * math.Pi * (float64(i) + start) / float64(azimuths))
			sum += d.Intensity(geom.Vec{X: sin * cosC, Y: sin * sinC, Z: -cos})
		}
		return sum / float64(azimuths) * 2 * math.Pi * sin
	}
	return gauss2(ring, 0, near, finer*sphereNear) + gauss2(ring, near, math.Pi, finer*sphereFar)
}

// gauss2 integrates f from a to b in steps of two Gauss points each.
func gauss2(f func(float64) float64, a, b float64, steps int) float64 {
	const point = 0.57735026918962576 // 1/√3
	half, sum := (b-a)/float64(steps)/2, 0.0
	for i := range steps {
		mid := a + float64(2*i+1)*half
		sum += f(mid-point*half) + f(mid+point*half)
	}
	return sum * half
}
