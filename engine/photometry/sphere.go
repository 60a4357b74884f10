package photometry

import (
	"math"

	"roodbeam/engine/geom"
)

// Steps of the flux integral over all directions. Twice as many in every way
// change the flux of no beam cut by blades by more than 1e-3 (a test holds this).
const (
	sphereNear     = 120 // zones within the field and its skirt
	sphereFar      = 60  // zones from there to the opposite of the aim
	sphereAzimuths = 144
)

// sphereFlux integrates any distribution over all directions, in lumens: zonal
// constants times the mean over azimuths, in fine zones near the aim and coarse
// ones beyond.
func sphereFlux(d interface{ Intensity(geom.Vec) float64 }, fieldDeg float64, finer int) float64 {
	near := math.Max(1, math.Min(180, skirt*fieldDeg/2))
	ring := func(deg float64) float64 {
		sinG, cosG := math.Sincos(deg * math.Pi / 180)
		n := finer * sphereAzimuths
		sum := 0.0
		for i := range n {
			sinC, cosC := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(n))
			sum += d.Intensity(geom.Vec{X: sinG * cosC, Y: sinG * sinC, Z: -cosG})
		}
		return sum / float64(n)
	}
	return zonalFlux(ring, 0, near, finer*sphereNear) + zonalFlux(ring, near, 180, finer*sphereFar)
}
