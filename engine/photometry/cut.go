package photometry

import (
	"math"

	"roodbeam/engine/geom"
)

// Blade is one shutter or one leaf of a barn door: a straight edge that takes
// away the light beyond it. With the lens as a point the edge and the lens span
// a plane, and what lies beyond that plane is dark.
type Blade struct {
	// SideDeg is the side the blade comes in from, looking along the aim:
	// 0 right (+X), 90 up (+Y), 180 left, 270 down.
	SideDeg float64
	// OffAxisDeg is the angle between the aim and the edge, −90..90; negative
	// when the blade has passed the aim.
	OffAxisDeg float64
	// SoftDeg is the full angle over which light fades out across the edge: 0
	// for a shutter in the gate; for a barn door see BarnDoorSoftDeg.
	SoftDeg float64
}

// BarnDoorSoftDeg returns the angle in degrees over which a barn door's edge
// fades: the lens as seen from the edge, 2·atan(D/2L), with D the lens diameter
// and L the distance of the edge from the lens, in metres; 0 without a lens,
// 180 without a distance. Source: plane geometry.
func BarnDoorSoftDeg(lensM, edgeM float64) float64 {
	if !(lensM > 0) {
		return 0
	}
	if !(edgeM > 0) {
		return 180
	}
	return 2 * math.Atan(lensM/2/edgeM) * 180 / math.Pi
}

// passes returns the share of light toward a unit direction that the blade lets
// through, 0..1: a linear fade across the edge.
func (b Blade) passes(dir geom.Vec) float64 {
	sinS, cosS := math.Sincos(b.SideDeg * math.Pi / 180)
	sinO, cosO := math.Sincos(b.OffAxisDeg * math.Pi / 180)
	// Distance from the plane as the sine of the angle to it, positive beyond.
	beyond := (dir.X*cosS+dir.Y*sinS)*cosO + dir.Z*sinO
	deg := math.Asin(math.Max(-1, math.Min(1, beyond))) * 180 / math.Pi
	if b.SoftDeg <= 0 {
		if deg > 0 {
			return 0
		}
		return 1
	}
	return math.Max(0, math.Min(1, 0.5-deg/b.SoftDeg))
}

// Cut is a distribution with blades in front of it. Blades absorb: the
// candelas inside stay, the flux falls by what is taken away.
type Cut struct {
	Of     Distribution
	Blades []Blade
}

// NewCut returns the distribution behind the blades; without blades it returns
// the distribution itself.
func NewCut(of Distribution, blades ...Blade) Distribution {
	if of == nil || len(blades) == 0 {
		return of
	}
	return Cut{Of: of, Blades: blades}
}

// Intensity returns candela toward dir in the fixture's frame (aim −Z).
func (c Cut) Intensity(dir geom.Vec) float64 {
	share := 1.0
	for _, b := range c.Blades {
		if share *= b.passes(dir); share == 0 {
			return 0
		}
	}
	return share * c.Of.Intensity(dir)
}

// FluxLm returns the flux in lumens that passes the blades, integrated over all
// directions.
func (c Cut) FluxLm() float64 { return sphereFlux(c, c.Of.FieldDeg(), 1) }

// PeakCd returns the largest intensity in candela of the uncut distribution, to
// which beam and field angles are held: blades take light away, they do not
// make the rest a wider beam.
func (c Cut) PeakCd() float64 { return c.Of.PeakCd() }

// BeamDeg returns the beam angle in degrees of the uncut distribution.
func (c Cut) BeamDeg() float64 { return c.Of.BeamDeg() }

// FieldDeg returns the field angle in degrees of the uncut distribution.
func (c Cut) FieldDeg() float64 { return c.Of.FieldDeg() }

// UpperDeg returns the greatest angle in degrees above the aim, in the upright
// plane through it, at which the blades let light of a full field angle in
// degrees pass: half the field, or where a blade from above stands in between its
// edge's angle. A blade whose edge is set o degrees off the aim from a side s
// (90 straight from above) crosses that plane at atan(tan o/sin s).
// Source: plane geometry.
func (c Cut) UpperDeg(fieldDeg float64) float64 {
	most := fieldDeg / 2
	for _, b := range c.Blades {
		sinS := math.Sin(b.SideDeg * math.Pi / 180)
		if sinS < 1e-6 || math.Abs(b.OffAxisDeg) >= 90 {
			continue
		}
		most = math.Min(most, math.Atan(math.Tan(b.OffAxisDeg*math.Pi/180)/sinS)*180/math.Pi)
	}
	return most
}
