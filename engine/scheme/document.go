// Package scheme finds and judges where to hang what: candidate places along
// hanging lines, the proposal, and the checks of a designer's own scheme.
package scheme

import (
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/si"
)

// L is a length as a person typed it.
type L = si.Typed[si.Length]

// Scheme is the document: one option, proposed by the engine or entered by the
// designer.
type Scheme struct {
	Name      string
	Parent    string
	Author    string // engine, designer
	Units     []Unit
	Pipes     []Pipe
	Splitter  DataPoint
	Branches  []Branch // designer's choice; empty: the engine's
	Circuits  []CircuitChoice
	HouseStep string // phase in which the house lights are converted; empty: not
	Reasons   []Reason
	Passed    []Passed
	Seed      uint64
}

// Purpose of a unit.
type Purpose string

// Purposes.
const (
	FrontWash  Purpose = "front_wash"
	Fill       Purpose = "fill"
	BackLight  Purpose = "back_light"
	WallWash   Purpose = "wall_wash"
	Accent     Purpose = "accent"
	HouseLight Purpose = "house"
)

// Unit is one placed fixture. Its place is either along a line or given by its
// lens; what the designer typed wins.
type Unit struct {
	ID                  string
	Fixture             string  // catalogue code
	FieldDeg            float64 // zoom or lens setting
	Line                string
	Along               L // distance from the line's From end
	LensX, LensY, LensZ L // explicit lens, where no line or another place is wanted
	AimX, AimY, AimZ    L // focus point
	Zone                string
	Face                string // key place it is meant for; empty: the whole zone
	Purpose             Purpose
	LevelPct            float64 // 0 means 100
	Accessories         []string
	Locked              bool
	Circuit             string // designer's circuit; empty: the engine packs
	Branch              string // designer's data branch; empty: the engine routes
	Universe, Address   int    // 0: the engine assigns
	Phase               string // install phase, A first; empty: A
	Note                string
	WhiteK              float64            // white it is set to, kelvin; 0: the fixture's own, or not stated
	Blades              []photometry.Blade // shutters and barn doors as focused; none: open
	Fall                L                  // how far it can fall before its secondary suspension is tight, as designed; not set: not stated
}

// Pipe is a length of pipe hung under a line to carry units.
type Pipe struct {
	Line   string
	Length L
	Phase  string
}

// DataPoint is where the splitter stands.
type DataPoint struct {
	X, Y, Z L
	Outputs int
}

// Branch is a data branch the designer named, with its route as right-angle
// legs; empty legs: the engine routes along the structure.
type Branch struct {
	Name  string
	Units []string
	Legs  []L
	Slack L
	Phase string
}

// CircuitChoice pins a circuit to a leg or panel.
type CircuitChoice struct {
	Name  string
	Leg   string
	Panel string
	Phase string
	// Approved and Installed are the licensed electrician's sizes as written back:
	// "20 A, 12 AWG, EMT 3/4 in"; they stand beside the proposal and change no figure.
	Approved, Installed string
}

// Reason says why a unit is what and where it is.
type Reason struct {
	Unit string
	Text string
	// SeatsPct is the share of the room's seats and eyes that see the unit.
	SeatsPct float64
	// Cameras that see it.
	Cameras []string
	// Crosses are the screens and things to be kept in view before which it hangs
	// from some seat.
	Crosses []string
}

// Passed is a place that was not used, and why, with its numbers.
type Passed struct {
	Line         string
	Place        string
	Zone         string
	Why          string
	ElevationDeg float64
	ThrowM       float64
}

// Placed is a unit with its geometry solved in a room.
type Placed struct {
	Unit
	At, Target geom.Vec
}

// LineRow is the one-line answer for a hanging line or a place on it: its
// elevation to each zone straight from the seats and at its best, and why not.
type LineRow struct {
	Line, Place string
	At          geom.Vec
	Zones       []LineZone
	HangsFrom   string
	Reach       string
	Verdict     string // used, possible, refused
	Why         string
}

// LineZone is one cell of the table.
type LineZone struct {
	Zone         string
	Face         string
	ElevationDeg float64 // from the point of the line straight in front of the face
	SigmaDeg     float64
	ThrowM       float64
	Band         string   // ideal, good, usable, ask, refuse; from behind: back, back_ask, top, glare
	BearingDeg   float64  // geom.BearingDeg from the face to that point
	Behind       bool     // the line is upstage of the face: back light
	From         geom.Vec // the point of the line the cell speaks of
	SigmaThrowM  float64
}
