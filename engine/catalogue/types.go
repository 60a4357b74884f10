// Package catalogue holds the fixture types a scheme may use, with their
// photometry, power, mass, control footprint and price.
package catalogue

import (
	"roodbeam/engine/photometry"
	"roodbeam/engine/si"
)

// Class is a fixture class by trade term.
type Class string

// Classes.
const (
	Ellipsoidal Class = "ellipsoidal"
	Fresnel     Class = "fresnel"
	PAR         Class = "par"
	Wash        Class = "wash"
	LinearWash  Class = "linear_wash"
	MovingWash  Class = "moving_wash"
	MovingSpot  Class = "moving_spot"
	Downlight   Class = "downlight"
	Pendant     Class = "pendant"
	Sconce      Class = "sconce"
	Lamp        Class = "lamp" // a retrofit lamp for an existing light
)

// Fixture is one type. Generic fixtures are of our own invention and say so.
type Fixture struct {
	Code        string
	Name        string
	Class       Class
	Generic     bool
	Beams       []Beam          // one per zoom or lens setting, sorted by field angle; none for house lamps given by flux
	Flux        si.LuminousFlux // of a fixture used for general light
	Power       si.Power
	PF          float64
	InrushA     float64 // peak, A; 0 unknown
	InrushUs    float64 // duration, µs
	LeakageMA   float64 // earth leakage per unit, mA; 0 unknown
	VoltageMin  si.Voltage
	VoltageMax  si.Voltage
	Mass        si.Mass
	Slots       int // control slots (footprint)
	ColourMix   bool
	White       bool // can give a usable white
	CCTK        float64
	CRI         float64
	Accessories []string // barn_doors, shutters, half_hat, top_hat
	Throws      bool     // belongs on a hanging line
	PriceMinor  int64
	Currency    string
	Prices      map[string]int64 // minor units by ISO 4217 code, where several are known; nil for own fixtures
	Owned       int              // how many the church has already
	Source      string
	Dimming     photometry.Dimming // how flux follows the control level; empty: linear
	Emitters    []Emitter          // colours it mixes; none: one white, or not known
}

// Emitter is one colour of a fixture at full drive.
type Emitter struct {
	Name string
	X, Y float64 // CIE 1931 chromaticity
	Flux si.LuminousFlux
}

// Beam is one zoom or lens setting.
type Beam struct {
	FieldDeg float64 // full angle at 10 % of the peak
	BeamDeg  float64 // full angle at 50 %; 0: from the smooth beam model
	PeakCd   float64
	File     string // content hash of a photometric file; empty: model
}

// Extra hardware per unit.
const (
	ClampKg  = 0.6 // common practice: half coupler 0.4 kg to 0.9 kg
	SafetyKg = 0.2 // common practice: secondary suspension 0.1 kg to 0.2 kg
)
