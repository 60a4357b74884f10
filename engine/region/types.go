// Package region holds the rule tables and units of a region as data, every
// number with its source and edition. A further region is one more data file.
package region

import "roodbeam/engine/si"

// Profile is one region's rules in one edition.
type Profile struct {
	ID             string // "us", "metric"
	Edition        string
	Title          string
	Display        si.Display
	Paper          string    // "Tabloid" or "A3"
	Gauges         string    // "AWG" or "mm2"
	Breakers       []float64 // standard ratings, A, ascending
	BreakersSource string
	// ContinuousFactor multiplies a continuous load before it is held against
	// a breaker's rating: 1.25 in NEC practice, 1 in IEC practice.
	ContinuousFactor      float64
	ContinuousSource      string
	Conductors            []Conductor
	ConductorsSource      string
	Ambient               []Factor // by ambient temperature, °C, at the conductor rating in use
	AmbientSource         string
	Grouping              []Factor // by count of current-carrying conductors (us) or circuits (metric)
	GroupingSource        string
	SmallConductor        []Factor // gauge → largest breaker, A, where the region has such a rule
	SmallConductorSource  string
	EquipmentGround       []Factor // breaker not over → gauge
	EquipmentGroundSource string
	VoltageDropPct        float64 // planning limit for a lighting branch
	VoltageDropSource     string
	Connectors            []Connector
	// BranchBreakers are the ratings tried first for outlets of hung units.
	BranchBreakers       []float64
	BranchBreakersSource string
	// TerminalC and InsulationC are the temperature columns, °C, that cap an
	// ampacity and that corrections start from.
	TerminalC, InsulationC float64
	// AmbientColumns holds the ambient factors of every temperature column;
	// Ambient is the one of InsulationC.
	AmbientColumns []AmbientColumn
	// GroupingPer says what Grouping counts: "conductors" that carry current,
	// or "circuits".
	GroupingPer string
	// SmallestConductor is the thinnest size used for a fixed circuit; empty:
	// the first of Conductors.
	SmallestConductor string
	// GroundAsLine is true where the protective conductor is as large as the
	// line conductor.
	GroundAsLine bool
	Notes        []string
	// DefaultSupply is what is assumed where the supply was not surveyed.
	DefaultSupply Supply
	Raceways      Raceways   // zero where circuits are run in cable
	Protection    Protection // zero where the region gives none
	// Installations are the ampacities by way of laying, beside those of
	// Conductors.
	Installations []Installation
	// Harmonics are the reduction factors for third harmonics in the neutral, by
	// share of the line current in percent; Name says what they are applied to.
	Harmonics       []Factor
	HarmonicsSource string
	// Tables are the further printed tables, by id.
	Tables      []Table
	Conventions Conventions
}

// Conductor is one size with its ampacity and resistance.
type Conductor struct {
	Name       string // "12 AWG", "2.5 mm²"
	AreaMM2    float64
	AmpacityA  float64 // at the profile's reference method and ambient
	OhmPerKm   float64 // of one conductor, at operating temperature
	ReactPerKm float64
	MVAM       float64 // two-wire millivolt per ampere and metre, 0 where not tabulated
	// Columns are the tabulated ampacities by conductor temperature, ascending.
	Columns []Column
	// Ampacity3A and MVAM3 are the figures with three loaded conductors, 0
	// where not tabulated.
	Ampacity3A float64
	MVAM3      float64
}

// Column is an ampacity at one conductor temperature.
type Column struct {
	TempC     float64
	AmpacityA float64
}

// AmbientColumn is the ambient factors at one conductor temperature.
type AmbientColumn struct {
	TempC   float64
	Factors []Factor
}

// Factor is a table row: up to this value, this factor.
type Factor struct {
	UpTo  float64
	Value float64
	Name  string
}

// Connector is a plug type by its standard name.
type Connector struct {
	Name    string
	MaxA    float64
	Volts   float64
	Poles   int
	Locking bool
	Source  string
}
