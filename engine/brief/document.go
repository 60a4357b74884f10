// Package brief holds what the church wants: zones with their uses and targets,
// cameras, limits, money, and the services the works must fit around.
package brief

import (
	"time"

	"roodbeam/engine/si"
)

// L is a length as a person typed it.
type L = si.Typed[si.Length]

// Brief is the document of wishes, as testable statements.
type Brief struct {
	Region     string // profile id: "us" or "metric", pinned to an edition by the project
	Zones      []Zone
	Cameras    []Camera
	Limits     Limits
	Money      Money
	House      House
	Looks      []Look
	Calendar   Calendar
	People     People
	Control    Control
	KeepInView []string
	DoNotLight []string // names of screens, windows, walls
	Works      []Work   // works and purchases asked for or quoted, beside what the engine derives
	Lifts      []Lift   // machines on offer
	// PeopleInWay counts people as in the way of light: seated or standing says how
	// the congregation is; empty: nobody is in the way.
	PeopleInWay string
}

// Zone is an area to be lit, with the faces in it.
type Zone struct {
	Name         string
	Use          string // speaking, singing, band, altar, reading, piano, wall
	Level        string // platform, floor or the name of a survey level
	MinX, MaxX   L
	MinY, MaxY   L
	FaceHeight   L                        // above the level
	Faces        []Face                   // key places; empty: a grid over the zone
	Target       si.Typed[si.Illuminance] // vertical, toward the congregation
	TolerancePct float64                  // of the target, 0: 20 %
	Evenness     float64                  // min/average wanted, 0: 0.7
	CrossAim     bool                     // from house-left and from house-right
	BackLight    string                   // wanted, no, if_room
	Width        L                        // usable width, for the count rules; unknown: MaxX−MinX
	Camera       bool
	Priority     int // 1 first
	Rows         []Row
	// Separation is how much people should stand out from what is behind them:
	// strong asks for more back light; empty: usual.
	Separation string
	// BackColourApart is the least difference Δu′v′ of the back light's colour from
	// the front light's white; 0: none asked.
	BackColourApart float64
	// Movement asks for light that moves.
	Movement bool
}

// Row is one row of people of a zone, one behind the other.
type Row struct {
	Name string
	Y    L
	Z    L // of the faces above the hall floor
}

// Face is one key place of a zone.
type Face struct {
	Name      string
	X, Y      L
	Z         L       // above the hall floor; unknown: level + FaceHeight
	FacingDeg float64 // plan bearing of the face's normal, 0 toward the congregation, + toward stage left
}

// Camera is where a picture is taken from.
type Camera struct {
	Name     string
	X, Y, Z  L
	Frames   []string // zone names
	ISO      float64
	Aperture float64
	ShutterS float64
}

// Limits are what the church forbids or caps.
type Limits struct {
	NoDrill         bool
	NoHang          []string // names of hanging lines not to be used
	ScreenSpillPct  float64  // of screen white, 0: 5 %
	Haze            string   // no, asked
	SpareCircuitPct float64  // 0: 25 %
	PlanLoadPct     float64  // of the breaker, planned use of a circuit, 0: 70 %
	Heritage        string
}

// Money is the budget.
type Money struct {
	Currency          string // ISO 4217
	CapMinor          int64  // 0: none stated
	ContingencyPct    float64
	EnergyMinorPerKWh int64
	HoursPerWeek      float64
	DiscountPct       float64 // a year, for the house lights' payback
	EnergyRisePct     float64 // of the energy price, a year
}

// House is what is wanted of the house lights.
type House struct {
	Wish     string                   // keep, relamp, replace
	TargetLx si.Typed[si.Illuminance] // horizontal in the seats
	Slots    int                      // control slots the house lights will use
	DimBy    string                   // phase_cut, dmx, none
	// ControlPlace is where people want to work the house lights from.
	ControlPlace string
	WallPanels   int
	LampMinor    int64 // price of one old lamp, minor units; 0 unknown
}

// Look is a preset somebody asked for, with levels by zone or unit in percent.
type Look struct {
	Name   string
	Note   string
	Levels []LookLevel
	Flame  bool
}

// LookLevel sets zones or units of a look.
type LookLevel struct {
	Target   string // unit id or zone name
	LevelPct float64
}

// Calendar is when the room is in use.
type Calendar struct {
	Start    time.Time // first possible working day
	Services []Service
	Closed   []Span
}

// Service is a weekly use of the room.
type Service struct {
	Name         string
	Weekday      time.Weekday
	Hour, Minute int
	Minutes      int
}

// Span is a stretch of days in which nothing may be done.
type Span struct {
	Name     string
	From, To time.Time
}

// People is who can do what.
type People struct {
	Volunteers, Operators         int
	Electrician, Engineer, Rigger string // named role or empty
}

// Control is what is wanted of the control.
type Control struct {
	WallPanel bool
	Console   bool
	Midi      bool
}

// Work is a line of work or purchase with its price.
type Work struct {
	Name      string
	Code      string // price-book code it replaces; empty: its own
	Quantity  float64
	Unit      string
	UnitMinor int64
	Phase     string // A, B, C …
	By        string // volunteers, electrician, rigger, hire, church, engineer, inspector
	Kind      string // fixtures, hanging, electrical, data, control, house, access, fees, building
	Ahead     bool   // could be done in an earlier phase (power and metal for later fixtures)
	Needs     string // name of a gate it waits for: engineer, electrician_visit
}

// Lift is an access machine on offer.
type Lift struct {
	Name           string
	Width, Length  L
	StowedHeight   L
	PlatformHeight L
	Mass, Capacity si.Typed[si.Mass]
}
