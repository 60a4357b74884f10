package photometry

import (
	"math"
	"sort"
)

// Dimming is how a fixture's flux follows its control level.
type Dimming string

// Dimming curves. An empty word is linear.
const (
	DimLinear Dimming = "linear"
	// DimSquare gives the square of the level: equal steps of the level look
	// nearly equal. Source: IES Lighting Handbook, square-law dimming (from memory).
	DimSquare Dimming = "square_law"
	// DimS is slow at both ends: 3x² − 2x³. Common practice; makers differ.
	DimS Dimming = "s_curve"
)

// dimmings are the curves, 0..1 to 0..1, each rising.
var dimmings = map[Dimming]func(x float64) float64{
	"":        func(x float64) float64 { return x },
	DimLinear: func(x float64) float64 { return x },
	DimSquare: func(x float64) float64 { return x * x },
	DimS:      func(x float64) float64 { return x * x * (3 - 2*x) },
}

// Known tells whether the curve is one of those above.
func (d Dimming) Known() bool { return dimmings[d] != nil }

// Output returns the share of full flux, 0..1, at a control level 0..1; levels
// outside are held at the ends, an unknown curve is linear.
func (d Dimming) Output(level float64) float64 {
	f := dimmings[d]
	if f == nil {
		f = dimmings[DimLinear]
	}
	if !(level > 0) {
		return 0
	}
	return f(math.Min(level, 1))
}

// levelSteps is 16-bit control, finer than any fixture's.
const levelSteps = 1 << 16

// Level returns the least control level, 0..1 in steps of 1/65536, that gives
// at least a share of full flux 0..1.
func (d Dimming) Level(output float64) float64 {
	i := sort.Search(levelSteps, func(i int) bool { return d.Output(float64(i)/levelSteps) >= output })
	return float64(i) / levelSteps
}
