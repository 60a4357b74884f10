package network

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// equipmentHeightM is taken for equipment whose height nobody gave: a rack or a
// desk at hand height (common practice).
const equipmentHeightM = 1.2

// sigmas of places, in metres, one standard deviation.
const (
	surveyedSigmaM = 0.05 // a place given by its coordinates
	assumedSigmaM  = 3    // a place the engine had to assume: about a third of a small hall
	typedLegSigma  = 0.03 // of a leg somebody typed, as a share of its length (common practice)
)

// splitter returns where the branches start, its standard deviation, and how
// the place was found: "scheme", "survey", "booth" or "assumed".
func splitter(in Input) (at geom.Vec, sigmaM float64, how string) {
	if d := in.Scheme.Splitter; d.X.Set && d.Y.Set {
		z := d.Z.Or(equipmentHeightM)
		return finite(geom.Vec{X: d.X.Value.Metres(), Y: d.Y.Value.Metres(), Z: z.Metres()}), surveyedSigmaM, "scheme"
	}
	for _, try := range []struct{ kind, how string }{{"splitter", "survey"}, {"booth", "booth"}} {
		if at, sigma, ok := dataPlace(in, try.kind); ok {
			return at, sigma, try.how
		}
	}
	at = geom.Vec{Y: -10, Z: equipmentHeightM}
	if len(in.Room.Footprint) > 0 {
		at.Y = math.Inf(1)
		for _, c := range in.Room.Footprint {
			at.Y = math.Min(at.Y, c.Y)
		}
	}
	return at, assumedSigmaM, "assumed"
}

// dataPlace returns the first surveyed place of a kind and how well a cable
// length from it, square to the building, is known: √(σx² + σy² + σz²).
func dataPlace(in Input, kind string) (geom.Vec, float64, bool) {
	for _, d := range in.Survey.DataPlaces {
		if d.Kind != kind {
			continue
		}
		if at, ok := resolve(in, d.At); ok {
			sigma := surveyedSigmaM
			for _, s := range in.Room.DataPlaces {
				if s.Name == d.Name && s.Known {
					sigma = finite(s.Sigma).Norm()
				}
			}
			return at, sigma, true
		}
	}
	return geom.Vec{}, 0, false
}

// resolve returns a surveyed place in the room's axes; false while x or y is
// unknown.
func resolve(in Input, p survey.Place) (geom.Vec, bool) {
	if p.Station != "" {
		for _, s := range in.Room.Stations {
			if s.Name == p.Station {
				return finite(s.At), true
			}
		}
	}
	if !p.X.Set || !p.Y.Set {
		return geom.Vec{}, false
	}
	z := p.Z.Or(equipmentHeightM)
	return finite(geom.Vec{X: p.X.Value.Metres(), Y: p.Y.Value.Metres(), Z: z.Metres()}), true
}

// slack is what is left coiled at both ends of a branch together.
func (in Input) slack() si.Length {
	return si.Length(in.Conventions.OrOf(in.Region).DataSlackM)
}
