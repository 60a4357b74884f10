package hanging

// Labour norms of work at height, in hours, the ones the estimate and the install
// phases rest on as well. They are common practice for crews who have done it
// before; a project's own records should replace them.
const (
	HangHours     = 25.0 / 60 // a crew of two hangs and secures one unit: 20 to 30 min
	FocusHours    = 10.0 / 60 // aiming one unit in the dark: 10 min
	PipeHoursPerM = 4.0 / 9   // a pipe run of 9 m takes 3 h to 5 h
	ArmHours      = 2.0       // one arm anchored in a pier
	BenchHours    = 10.0 / 60 // one bench moved by four people: 10 min
	StrikeHours   = 0.5       // one old fixture down and out
	LampHours     = 0.1       // one lamp changed, reached from the floor, a tower or a lift
	FitHours      = 0.75      // one house light replaced by another, without new wiring (0.7 h to 0.8 h, published US labour-unit charts)
)

// Crew sizes behind the norms (common practice: never alone at height).
const (
	HangCrew  = 2
	BenchCrew = 4
)

// Labour returns hours for a number of pieces at a norm, times any number of
// factors: n·h·f1·f2… Nothing for a number, norm or factor that is not positive.
//
// Source: labour-unit charts of the electrical trade (published on the web): hours
// per piece times factors of height, occupation and remodelling.
func Labour(pieces int, hours float64, factors ...float64) float64 {
	v := float64(max(pieces, 0)) * positive(hours)
	for _, f := range factors {
		v *= positive(f)
	}
	return v
}

// heightFactor is the upper factor for work at a height of the platform in m:
// 1.15 from 10 ft, 1.25 from 15 ft. remodelFactor is the upper one of work in a
// room that stands.
//
// Source: labour-unit charts of the electrical trade (published on the web):
// 10–15 ft 1.10 to 1.15, 15–25 ft by lift 1.15 to 1.25, remodelling 1.20 to 1.50.
func heightFactor(height float64) float64 {
	switch ft := height / .3048; {
	case ft >= 15:
		return 1.25
	case ft >= 10:
		return 1.15
	}
	return 1
}

const remodelFactor = 1.5
