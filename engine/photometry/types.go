// Package photometry holds luminous-intensity distributions: read from files,
// made from a smooth beam model, integrated to flux and beam angles.
package photometry

import "roodbeam/engine/geom"

// Distribution is the luminous intensity of one fixture state (one zoom, one
// colour) as a function of direction.
type Distribution interface {
	// Intensity returns candela toward dir, a unit vector in the fixture's own
	// frame: aim along −Z, +X the fixture's right-hand reference.
	Intensity(dir geom.Vec) float64
	// FluxLm returns the total flux in lumens.
	FluxLm() float64
	// PeakCd returns the largest intensity in candela.
	PeakCd() float64
	// BeamDeg and FieldDeg return the full angles, in degrees, at which the
	// intensity falls to 50 % and 10 % of the peak.
	BeamDeg() float64
	FieldDeg() float64
}
