package cost

import "math"

// Labour norms, in hours. They are common practice for crews who have done it
// before; a project's own records should replace them.
const (
	HangHours      = 25.0 / 60 // a crew of two hangs and secures one unit: 20 to 30 min
	FocusHours     = 10.0 / 60 // aiming one unit in the dark: 10 min
	PipeHoursPerM  = 4.0 / 9   // a pipe run of 9 m takes 3 h to 5 h
	ArmHours       = 2.0       // one arm anchored in a pier
	DataDropHours  = 1.25      // one data run to a line: 1 h to 1.5 h
	OutletHours    = 2.5       // one outlet at a hanging line: 2 h to 3 h
	CableHoursPerM = 0.2       // mains cable fixed on or in old walls: 5 m/h
	BreakerHours   = 0.5       // breaker, labels and test of one circuit
	StrikeHours    = 0.5       // one old fixture down and out
	BenchHours     = 10.0 / 60 // one bench moved by four people: 10 min
	LampHours      = 0.1       // one lamp changed, reached from the floor, a tower or a lift
	FitHours       = 0.75      // one house light replaced by another, without new wiring (0.7 h to 0.8 h, published US labour-unit charts)
	UnpackHours    = 0.25      // one unit unpacked, checked, labelled, photographed
	BoardsHours    = 4.0       // floor protection laid and taken up, whole crew
	CleanHours     = 6.0       // clearing, cleaning and making ready, per install phase
)

// Crew sizes behind the norms (common practice: never alone at height).
const (
	HangCrew  = 2
	BenchCrew = 4
)

// DayHours is what a crew gets done on a working day beside moving and breaks.
const DayHours = 6.0

// Source of every norm above.
const NormSource = "common practice: labour norms of lighting retrofits"

// quarterHours rounds to what a time sheet shows.
func quarterHours(h float64) float64 { return math.Round(h*4) / 4 }
