package cost

import (
	"math"

	"roodbeam/engine/hanging"
)

// Labour norms, in hours. They are common practice for crews who have done it
// before; a project's own records should replace them.
const (
	HangHours      = hanging.HangHours     // a crew of two hangs and secures one unit: 20 to 30 min
	FocusHours     = hanging.FocusHours    // aiming one unit in the dark: 10 min
	PipeHoursPerM  = hanging.PipeHoursPerM // a pipe run of 9 m takes 3 h to 5 h
	ArmHours       = hanging.ArmHours      // one arm anchored in a pier
	DataDropHours  = 1.25                  // one data run to a line: 1 h to 1.5 h
	OutletHours    = 2.5                   // one outlet at a hanging line: 2 h to 3 h
	CableHoursPerM = 0.2                   // mains cable fixed on or in old walls: 5 m/h
	BreakerHours   = 0.5                   // breaker, labels and test of one circuit
	StrikeHours    = hanging.StrikeHours   // one old fixture down and out
	BenchHours     = hanging.BenchHours    // one bench moved by four people: 10 min
	LampHours      = hanging.LampHours     // one lamp changed, reached from the floor, a tower or a lift
	FitHours       = hanging.FitHours      // one house light replaced by another, without new wiring (0.7 h to 0.8 h, published US labour-unit charts)
	UnpackHours    = 0.25                  // one unit unpacked, checked, labelled, photographed
	BoardsHours    = 4.0                   // floor protection laid and taken up, whole crew
	CleanHours     = 6.0                   // clearing, cleaning and making ready, per install phase
)

// Crew sizes behind the norms (common practice: never alone at height).
const (
	HangCrew  = hanging.HangCrew
	BenchCrew = hanging.BenchCrew
)

// DayHours is what a crew gets done on a working day beside moving and breaks.
const DayHours = 6.0

// Source of every norm above.
const NormSource = "common practice: labour norms of lighting retrofits"

// quarterHours rounds to what a time sheet shows.
func quarterHours(h float64) float64 { return math.Round(h*4) / 4 }
