// Package survey holds what people measured and saw in the room, adjusts the
// measurements and finds the mistakes among them.
package survey

import (
	"time"

	"roodbeam/engine/si"
)

// L is a length as a person typed it.
type L = si.Typed[si.Length]

// Survey is the document volunteers write: stations and measurements between
// them, and the features seen in the room. Whatever is unknown stays unknown
// and becomes a question with an assumption, never a silent default.
type Survey struct {
	Stations     []Station
	Measurements []Measurement
	Levels       []Level
	Footprint    []string // station names of the floor's corners, in order round the room
	Ceiling      Ceiling
	Platform     Platform
	Lines        []HangingLine
	Galleries    []Gallery
	Solids       []Solid
	Screens      []Screen
	Windows      []Window
	Seating      []Seating
	Eyes         []Eye
	Glosses      []Gloss
	Finishes     []Finish
	ExistingUnit []ExistingLight
	Dimmers      []Dimmer
	Supply       Supply
	Panels       []Panel
	DataPlaces   []DataPlace
	Routes       []AccessRoute
	Floor        Floor
	Hazards      []Hazard
	Site         Site
	Sun          []SunCheck
	OldControls  []OldControl // what works the old lights
	Walls        []Wall
	Views        []KeepInView
	Conduits     []Conduit
	Photos       []Photo
	// Changes to the one-of-a-kind parts of the room that are decided on; what
	// is unknown in them stays as it is.
	PlannedCeiling  Ceiling
	PlannedPlatform Platform
	PlannedFloor    Floor
	Intake          Intake
}

// State tells whether a feature stands today, is to come, or is to go.
type State string

// States of a feature; empty means Existing.
const (
	Existing State = "existing"
	Planned  State = "planned"
	Removed  State = "removed"
)

// Place is a point by its coordinates in the room's axes (offset from the
// centre line, distance upstage of the platform's front edge, height above the
// hall floor) or by the name of a station; each coordinate may be unknown.
// Typed coordinates count as measurements with the instrument given.
type Place struct {
	Station    string
	X, Y, Z    L
	Instrument Instrument
}

// Station is a named point. A fixed coordinate defines the datum; a near
// coordinate is a starting guess only.
type Station struct {
	Name           string
	FixedX, FixedY L
	FixedZ         L
	NearX, NearY   L
	NearZ          L
	Note           string
}

// Level is a floor from which heights may be measured: the hall floor (0), the
// platform, a gallery.
type Level struct {
	Name   string
	Height L // above the hall floor
}

// Kind is the kind of a measurement.
type Kind string

// Kinds of measurement. Lengths are in metres, angles in radians.
const (
	Distance   Kind = "distance"   // slope distance between From and To
	Horizontal Kind = "horizontal" // plan distance between From and To
	Height     Kind = "height"     // height of To above the level named in Reference (hall floor when empty)
	Rise       Kind = "rise"       // height of To above From
	OffsetX    Kind = "offset_x"   // x of To: offset from the centre line, + to stage left
	OffsetY    Kind = "offset_y"   // y of To: from the platform's front edge, + upstage
	Square     Kind = "square"     // soft assumption: the corner From-At-To is square
	SameHeight Kind = "same_height"
	Slope      Kind = "slope"    // slope distance From-To with its inclination, + upward, in Angle
	Angle      Kind = "angle"    // horizontal angle at At, from From clockwise to To seen from above, in Angle
	Offset     Kind = "offset"   // plan distance of To from the wall through From and At
	Parallel   Kind = "parallel" // soft assumption: the walls From-At and To-With run parallel
	Drawn      Kind = "drawn"    // slope distance From-To as dimensioned on an existing drawing
)

// Instrument is how a number was taken; it gives the standard deviation where
// none is stated.
type Instrument string

// Instruments.
const (
	SteelTape  Instrument = "steel_tape"
	FibreTape  Instrument = "fibre_tape"
	Laser      Instrument = "laser"
	PhoneAR    Instrument = "phone_ar"
	Clinometer Instrument = "clinometer"
	Counted    Instrument = "counted"
	Drawing    Instrument = "drawing"
	Guess      Instrument = "guess"
	// LaserEitherEnd is a laser meter of which nobody remembers from which end it
	// was read.
	LaserEitherEnd Instrument = "laser_either_end"
	PhoneLidar     Instrument = "phone_lidar" // a phone that measures with light pulses; PhoneAR has its camera only
	CountedTiles   Instrument = "counted_tiles"
)

// Measurement is one number a person took.
type Measurement struct {
	ID         string
	Kind       Kind
	From       string
	At         string
	To         string
	Value      L
	Sigma      L // stated standard deviation; by instrument when unknown
	Instrument Instrument
	Reference  string // level the height was said to be taken from; empty: not said, hall floor assumed
	By         string // role: "a volunteer", "second helper"
	Taken      time.Time
	Note       string
	Void       bool
	With       string             // second point of Parallel's second wall
	Angle      si.Typed[si.Angle] // of Angle and Slope
	AngleSigma si.Typed[si.Angle] // stated standard deviation of Angle; by instrument when unknown
	Repeats    []L                // further readings of the same thing by the same person
}

// Ceiling is the shape above the floor.
type Ceiling struct {
	Shape    string // flat, gable, hipped, barrel, a_frame, stepped
	Height   L      // flat: height; gable, hipped, barrel: eaves or springing; a_frame: 0; stepped: before the first step
	Ridge    L      // gable, hipped and a_frame; crown of a barrel
	Slope    L      // length of the slope from eaves to ridge, a cross-check
	RidgeRun string // "along" (ridge parallel to y, the usual case) or "across"
	Material string
	Above    string // what is above it: slab, void, joists …
	MayHang  string // yes, no, ask
	HipRun   L      // hipped: in plan from the end wall to the ridge's end; unknown: the roof has one pitch
	Steps    []CeilingStep
}

// Platform is the raised floor people lead from. Its front edge's middle is
// the origin of the axes.
type Platform struct {
	Width, Depth, Height L
	Steps                int
	Riser                L
	Rating               string  // load rating as documented; empty: unknown
	Outline              []Place // for other than a rectangle
	Apron                []Place // corners of a lower part before it
	ApronHeight          L       // above the hall floor
	Flights              []StepFlight
	// Heights of the tallest and the shortest grown person who speaks from it.
	TallestSpeaker, ShortestSpeaker L
}

// HangingLine is a beam, truss chord, wall, rail or pipe that may carry units.
// Its ends are given at its underside.
type HangingLine struct {
	Name       string
	Kind       string // beam, tie_beam, truss_chord, purlin, pipe, tension_rod, wall, pier, rail, frame, stand, slab, ceiling
	From, To   Place
	Usable     []Span // by distance from From; empty: the whole line
	Drop       L      // lens below the underside; unknown: assumed per kind
	Material   string // timber_solid, glulam, steel, aluminium, masonry, concrete, unknown
	Width      L
	Depth      L
	Section    string // named section, e.g. "tube 48.3x4.0"
	Grade      string
	Bearings   []L               // distances of supports from From; empty: both ends
	Carries    si.Typed[si.Mass] // what hangs there already
	Condition  string            // sound, cracked, decayed, unknown
	Documents  string            // drawings, engineer's letter; empty: none
	Permission string            // yes, no, ask: may it be clamped or strapped
	Drill      string            // yes, no, ask
	Places     []LinePlace
	PipeLength L      // of a pipe to be hung under the line for this scheme; unknown: from the units
	Access     string // lift, tower, ladder_none, from_gallery
	Below      string // what stands below: "bench rows 1 and 2", "gallery floor", "platform"
	State      State
	Note       string
	VouchedBy  string            // who says what it carries and how: role or firm; empty: nobody
	Vouched    string            // what was said, of what date
	Allowed    si.Typed[si.Mass] // what its documents allow to be added
	Hung       []HungThing       // what hangs there already, at its places
	Wet        bool              // timber damper than a heated room: unheated porch, leak, open air
}

// HungThing is one thing that hangs on a line already: a fan, a loudspeaker.
type HungThing struct {
	Name  string
	Along L // from the From end
	Mass  si.Typed[si.Mass]
}

// Span is a part of a line by distances from its From end.
type Span struct{ From, To L }

// LinePlace is a place on a line that somebody asked about.
type LinePlace struct {
	Name  string
	Along L // from the From end
}

// Gallery is a balcony; its outline is the plan of its floor.
type Gallery struct {
	Name                          string
	Outline                       []Place
	Floor, Soffit, Front, RailTop L // floor, soffit and rail top above the hall floor; Front is the height of its front
	FrontEyes                     L // height of seated eyes above its floor
	State                         State
}

// Solid is a box or cylinder that blocks light or a route: column, pulpit,
// piano, organ case, rope.
type Solid struct {
	Name      string
	Shape     string // box, cylinder
	Centre    Place  // of its base
	Width     L      // along x; diameter of a cylinder
	Depth     L      // along y
	Height    L
	KeepClear L // distance to keep free all round: a rope, a hatch, a sprinkler head
	Movable   bool
	State     State
}

// Screen is a picture surface.
type Screen struct {
	Name          string
	Kind          string // projected, led, tv
	Centre        Place  // X and the wall's Y; Z unknown when Bottom is given
	Width, Height L
	Bottom        L                        // above the hall floor
	FacingDeg     float64                  // plan bearing of its normal, 0 toward the congregation
	White         si.Typed[si.Illuminance] // projector white on the screen
	State         State
	Projector     Place // where its projector is
	Rear          bool  // projected from behind
	Note          string
}

// Window is an opening that lets daylight in.
type Window struct {
	Name          string
	Centre        Place // middle of the glass; Z unknown when Sill is given
	Width, Height L
	Sill          L
	FacingDeg     float64 // plan bearing of its inward normal, 0 toward the congregation
	// Glass is clear, frosted, stained_pale, stained_dense, stained_white,
	// stained_amber, stained_green, stained_blue, stained_red or opalescent.
	Glass      string
	Luminance  si.Typed[si.Luminance] // as measured from the seats or a camera at service time
	Blind      bool
	State      State
	BearingDeg float64 // compass bearing one looks toward through it from inside
	Bearing    bool    // BearingDeg is known
	SunAt      string  // services at which sun comes through it onto the platform
	// Transmittance is a light meter's reading close inside the glass over one
	// close outside, both looking out, 0..1, leads and dirt included; 0: not read.
	Transmittance float64
	// TintX and TintY are the CIE 1931 chromaticity of daylight behind it; 0: not
	// measured.
	TintX, TintY float64
}

// Seating is a block of rows.
type Seating struct {
	Name        string
	FirstY      L // y of the first row's back, negative toward the congregation
	LastY       L
	Rows        int
	Pitch       L
	Width       L
	CentreX     L
	Fixed       string // loose, pinned, screwed
	Aisle       L      // clear width of the aisle a lift would use
	AisleRadius L      // inner radius of a curved aisle
	Level       string // level it stands on
	EyeHeight   L      // above its level; unknown: seated 1.2 m
	Count       int
	State       State
	FloorHoles  bool // screws or pins leave holes
	PerPew      int  // people it takes to carry one
}

// Eye is a named place from which somebody looks: a seat, a gallery seat.
type Eye struct {
	Name  string
	At    Place
	State State
}

// Gloss is a mirror-like surface: piano lid, polished stone, glass.
type Gloss struct {
	Name         string
	Centre       Place
	Width, Depth L // of a horizontal surface
	State        State
}

// Finish is the reflectance of a surface, today or planned.
type Finish struct {
	Surface     string  // floor, walls, ceiling, wall_behind, platform, seating
	Reflectance float64 // 0..1
	Gloss       string
	State       State
}

// ExistingLight is a group of lights that hang today.
type ExistingLight struct {
	Name         string
	Kind         string // house, stage, under_gallery, emergency, exit
	Count        int
	Watts        si.Typed[si.Power] // per light
	Places       []Place
	Dimmer       string // channel name; empty: switched
	Leg          string // L1, L2, L3 where known
	Voltage      si.Typed[si.Voltage]
	Fate         string // keep, remove, relamp, replace
	OverPlatform bool
	LampCode     string // catalogue code of the lamp or fixture that replaces it
	Flux         si.Typed[si.LuminousFlux]
	Base         string  // lamp base or module: "E26", "B22", "GU10"
	LampLifeH    float64 // life of one lamp, h; 0 unknown
	// Clearance is how far the lamp is from wood, drapes or other stuff that burns,
	// ClearanceMarked what the luminaire's label asks for.
	Clearance, ClearanceMarked L
	Label                      string // what the lamp's label says
	Fault                      string // hums, flickers, never dims to nothing
	BlocksScreen               bool
	Height                     L // above the hall floor where Places say none
	// Phase is the install phase in which it is taken out where its Fate is remove;
	// empty: the first.
	Phase string
}

// Dimmer is one channel of an existing dimmer cabinet.
type Dimmer struct {
	Channel  string
	Cabinet  string
	Rating   si.Typed[si.Power]
	Minimum  si.Typed[si.Power]
	Kind     string // forward_phase, reverse_phase, unknown
	Leg      string
	Controls string // what it feeds
	State    State
	FedFrom  string // panel and way; empty: unknown
	Signal   string // what its control cable is
	At       Place  // of its cabinet
}

// OldControl is one fader, button or switch somebody works the old lights with,
// and what it was traced to.
type OldControl struct {
	Name      string
	Kind      string   // fader, button, switch
	Where     string   // "booth", "wall by the west door"
	Channel   string   // dimmer channel it works; empty: none or not traced
	Lights    []string // names of existing lights
	Panel     string
	Breaker   string // breaker or fuse number
	Decision  string // keep, drop: what leadership decided of the look; empty: open
	DecidedBy string // role
	Note      string
}

// Supply is the building's electrical supply as surveyed; nothing of it is assumed.
type Supply struct {
	System       string               // single_phase_2w, single_phase_3w, three_phase_4w, three_phase_3w
	Earthing     string               // tn_s, tn_c_s, tt, it, men
	Voltage      si.Typed[si.Voltage] // line to neutral, or line to line where there is no neutral
	VoltageLL    si.Typed[si.Voltage] // between lines
	Frequency    float64              // Hz
	Main         si.Typed[si.Current] // main breaker or fuse
	FaultCurrent si.Typed[si.Current] // prospective; unknown is a question
	Standing     []StandingLoad
	RCD          si.Typed[si.Current] // rated residual current of a device that covers everything
	Reading      string               // how the standing load was found: spot, nameplate, twelve_months, thirty_days
	LoopOhm      float64              // external fault-loop impedance at the origin, Ω; 0 unknown
	Demand       si.Typed[si.Power]   // highest demand of that period, by the supplier's meter
	DemandPF     float64              // its power factor; 0 unknown
}

// StandingLoad is what runs today, per leg or line, or by item.
type StandingLoad struct {
	Name      string
	Leg       string               // L1, L2, L3; empty: on all
	Current   si.Typed[si.Current] // of the leg, as read
	Power     si.Typed[si.Power]   // of the item, by nameplate
	PF        float64
	Interlock string // name of a group of which one only runs at a time
	Sheddable bool
	Scenarios []string // it runs in these alone: "winter", "summer"; none: in all
}

// Panel is a distribution board.
type Panel struct {
	Name       string
	At         Place
	Rating     si.Typed[si.Current]
	Poles      int
	Spaces     int
	SpacesUsed int
	Note       string
	ClearDepth L // in front of it
	ClearWidth L
	Feeds      string
	SpacesBack int // that come back when old equipment goes
	Feeder     si.Typed[si.Current]
	Ways       []PanelWay // breakers in place, where the directory was read
	Label      string     // what its label says
	State      State
	// BreakerCurve is the type of its breakers by the band of their instantaneous
	// trip (B, C, D); empty: unknown or not standardised.
	BreakerCurve string
	// PulseFactor is how much more than its band a breaker lets through for pulses
	// of the drivers' length, by its maker; 0 unknown.
	PulseFactor float64
}

// PanelWay is one breaker in place, as its directory says.
type PanelWay struct {
	Space  int // its lowest space
	Rating si.Typed[si.Current]
	Poles  int
	Leg    string
	Feeds  string
	Load   si.Typed[si.Current] // as measured or by nameplate
	// SharedNeutral names a neutral it shares with other ways of the same name;
	// empty: it has its own, or nobody looked. Tied is whether its handle is tied
	// to theirs.
	SharedNeutral string
	Tied          bool
}

// DataPlace is where control equipment is or could be.
type DataPlace struct {
	Name  string
	Kind  string // booth, splitter, wall_panel, console
	At    Place
	State State
	Plug  string // what is in the wall there: 5_pin, 3_pin, rj45, none, unknown
	Note  string
}

// AccessRoute is one way a lift could come in.
type AccessRoute struct {
	Name       string
	DoorWidth  L
	DoorHeight L
	StepRise   L
	Steps      int
	Passage    L       // width of the passage after a turn; unknown: straight
	Landing    L       // width of the landing before the turn
	RampSlope  float64 // rise/run of an existing ramp, 0 none
	Doors      []Door  // every door on the way, outside first
	Note       string
	// LobbyHeight is the lowest clear height between the doors.
	LobbyHeight L
}

// Floor is what a lift would stand on.
type Floor struct {
	Kind   string // slab_on_ground, timber_suspended, over_cellar, sprung_timber, heated_slab, unknown
	Rating string
	// A sloped floor rises by Rise, toward the rear wall, between RiseFromY and
	// RiseToY; RiseTo is the farther from the platform.
	Rise               L
	RiseFromY, RiseToY L
	Cover              string // carpet, tile, boards, stone
	Voids              string // graves, hatches, heating grilles
}

// Hazard is something seen or suspected.
type Hazard struct {
	Kind  string // asbestos, lead, bats, wet, wiring, storage, panel_access, damp, mould, flame, valuables, light_sensitivity
	Where string
	Note  string
	State State
	Owner string // who deals with it
	Due   time.Time
}

// Site is where and what the building is.
type Site struct {
	YearBuilt, YearAltered    int
	Protected                 string  // none, listed, worth_preserving, unknown
	CongregationFacingDeg     float64 // compass bearing toward which the congregation looks, from north clockwise
	LatitudeDeg, LongitudeDeg float64
	Orientation               bool // CongregationFacingDeg is known
	Lease                     string
	Sprinklers                string // none, present, unknown
	Detectors                 string // smoke, heat, beam, aspirating, none, unknown
}

// SunCheck is a sun position to test, given or computed for a service.
type SunCheck struct {
	Name         string
	AzimuthDeg   float64 // from north clockwise
	ElevationDeg float64
}
