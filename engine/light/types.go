// Package light computes what reaches every face, screen, eye and wall: direct
// illuminance with shadowing, spill and glare.
package light

import (
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
)

// Source is one unit as light sees it.
type Source struct {
	ID       string
	Zone     string   // the zone it is meant for
	Purpose  string   // front_wash, back_light, wall_wash, accent, house
	At       geom.Vec // lens
	Aim      geom.Vec // focus point
	Dist     photometry.Distribution
	Level    float64 // 0..1 of full output
	FieldDeg float64
	// Face is the key place it is meant for; empty: the nearest to its aim, or
	// the whole zone.
	Face string
	// Line is the hanging line it hangs from, for the survey's uncertainty;
	// empty: the nearest line over it.
	Line string
	// Accessories fitted: barn_doors, shutters, half_hat, top_hat.
	Accessories []string
	// Circuit is the designer's, empty where the engine packs.
	Circuit string
	// PowerW is what it draws full on; 0 unknown.
	PowerW float64
	// ChromaX and ChromaY are the CIE 1931 chromaticity of its light; 0: not
	// known.
	ChromaX, ChromaY float64
	axes             *frame // of the aim, where they are known already
}

// Point is a place at which illuminance is asked for; Normal is the receiving
// surface's unit normal.
type Point struct {
	Name   string
	Zone   string
	At     geom.Vec
	Normal geom.Vec
}

// Report is what each face, screen, wall and eye receives.
type Report struct {
	Zones     []Zone
	Units     []Unit
	Screens   []Screen
	Eyes      []EyeGlare
	Walls     []Wall
	Balance   Balance
	Mirrors   []Mirror
	Sun       []SunHit
	Windows   []WindowContrast
	KeepClear []KeepClear
	Map       Map     // over the platform and the zones, for drawing
	Spill     []Spill // on the walls, windows and pictures that must stay dark
	Flares    []Flare // lights that shine into cameras
	Reflected Reflected
	House     HousePower
	Cameras   []Camera // of the brief, those with a place
	// CamerasByDay are the same at the service hour with most daylight; none
	// without daylight.
	CamerasByDay []Camera
	// Today is what the zones receive from the lights that hang now, in the room as
	// it stands; none where no light is surveyed.
	Today      []ZoneToday
	LossFactor float64  // maintenance factor included in every illuminance
	Limits     []string // what the calculation leaves out, for people
}

// Zone is the result over a zone's faces; front purposes only in the vertical
// figures, back light apart.
type Zone struct {
	Name                    string
	Faces                   []Face
	AverageLx, MinLx, MaxLx float64 // vertical, toward each face's own facing
	Evenness                float64 // min/average
	FromLeftLx, FromRightLx float64 // averages
	BackLx                  float64 // normal illuminance of back light, average
	TargetLx                float64
	SigmaPct                float64 // of the average, from the survey's uncertainty
	KeyLx                   float64 // average over the key places from the units meant for this zone alone
	FillLx                  float64 // average over the key places from the fill units meant for this zone
	OwnBackLx               float64 // normal illuminance of the back light meant for this zone, average
	BackRatio               float64 // OwnBackLx/KeyLx; NaN without a key
	GridStepM               float64 // spacing of the face points; 0: key places from the brief
	Shape                   Shape   // means over the faces
	Failure                 Failure // of one unit or circuit, the worst for this zone
	FromAboveLx             float64 // average of what comes from steeper than 60°, part of the sides
	// Area are the kinds of illuminance over the zone's whole extent, AreaStepM the
	// spacing of their points in metres; none where the zone has no extent.
	Area      []Quantity
	AreaStepM float64
}

// Face is one face point.
type Face struct {
	Name            string
	At              geom.Vec
	Facing          geom.Vec
	VerticalLx      float64 // all front units
	OwnLx           float64 // the units meant for this zone and aimed at this place alone
	LeftLx, RightLx float64
	BackLx          float64 // normal illuminance, all back light
	FillLx          float64 // the fill units meant for this zone, on the face's plane
	OwnBackLx       float64 // normal illuminance of the back light meant for this place
	PlanSpreadDeg   float64 // widest plan angle between two partners (units counted in OwnLx) that each give at least a quarter of the strongest
	AllSpreadDeg    float64 // same among all front units
	Contributions   []Contribution
	Shape           Shape
	AboveLx         float64 // of the front units steeper than 60°, part of the sides
}

// Contribution of one unit at one point.
type Contribution struct {
	Unit     string
	Lx       float64 // on the face's plane
	NormalLx float64 // facing the unit
	Shadowed string  // name of what blocks it; empty: nothing
	front    bool    // counted in the face's vertical light
}

// Unit is a unit's own geometry and light at its aim.
type Unit struct {
	ID                string
	ElevationDeg      float64 // at the aim, above the horizontal
	SigmaElevationDeg float64
	BearingDeg        float64 // geom.BearingDeg at the aim
	ThrowM            float64
	FieldDiameterM    float64
	NormalLx          float64 // at the aim, full level, no loss factor, alone
	VerticalLx        float64 // same on a face looking to the seats
	UpperEdgeM        float64 // height at which the upper edge of the field meets the wall behind; NaN: does not
	ClearanceM        float64 // least distance of the beam's axis to a named solid or line
	ClearanceOf       string
	CrossingM         float64 // height of that line or thing over the beam's axis where they cross in plan, negative: below it; NaN: they do not cross
	LensClearanceM    float64 // least distance of the lens to a thing that must be kept clear; NaN: there is none
	LensClearanceOf   string
	FirstRowDeg       float64 // angle above the horizontal from the nearest seated eye of a first row; NaN: it does not see the unit
	Shadowed          string
	LowestEyeDeg      float64 // least angle above the horizontal at which an eye in a first row or a named eye sees it; NaN: none does
	LowestEye         string
	SigmaThrowM       float64 // of the throw, from the survey's covariance; NaN: its line is not known
}

// Screen is what falls on a picture.
type Screen struct {
	Name      string
	AverageLx float64
	MaxLx     float64
	WhiteLx   float64 // 0 unknown
	SpillPct  float64 // of white; NaN unknown
	Contrast  float64 // simultaneous, with this ambient; NaN unknown
	Worst     string  // unit that adds most
	// With reflected light: what falls on the picture in all, the contrast left
	// and the viewing for which it is enough.
	IndirectLx      float64
	AmbientContrast float64 // NaN unknown
	Class           string
	SelfLit         bool // contrast from an assumed picture luminance
}

// EyeGlare is the light in one person's eyes.
type EyeGlare struct {
	Name         string
	At           geom.Vec
	VeilCdM2     float64 // veiling luminance, Stiles-Holladay
	WorstUnit    string
	WorstDeg     float64 // angle from the line of sight
	ElevationDeg float64 // above the horizontal
	KeptPct      float64 // of the contrast of a face as bright as the zones' mean; NaN without
}

// Wall is what falls on the wall behind the platform.
type Wall struct {
	Name      string
	AverageLx float64
	MaxLx     float64
	FacePct   float64 // average as a share of the mean key level; NaN without a key
	// IndirectLx is the reflected light on it, average.
	IndirectLx float64
}

// Spill is what falls on a surface that the brief wants kept dark.
type Spill struct {
	Name       string
	AverageLx  float64 // direct
	MaxLx      float64
	IndirectLx float64 // reflected, average
	FacePct    float64 // average, direct, as a share of the mean key level; NaN without a key
	Worst      string  // unit that adds most
}

// Flare is a light that shines into a camera.
type Flare struct {
	Camera string
	Unit   string
	Deg    float64 // off the camera's axis
}

// Reflected is the light that goes round in the room.
type Reflected struct {
	Patches    int
	FluxLm     float64 // of all units at their levels
	AbsorbedLm float64 // by all surfaces: the same, as an audit
	MeanLx     float64 // reflected illuminance, mean over all surfaces
}

// Failure is the worst that one dark unit or circuit does to a zone.
type Failure struct {
	What    string  // "unit R1", "circuit W1a"; empty: no light to lose
	LeftLx  float64 // average of all front units that is left
	LeftPct float64 // of the average before
	LeastLx float64 // at the darkest face
}

// Balance compares the zones' key levels.
type Balance struct {
	Zones   int     // that have a key
	MeanLx  float64 // of the zones' KeyLx
	LowPct  float64 // deviation of the darkest zone from the mean, negative
	HighPct float64 // of the brightest
	Step    float64 // brightest/darkest
	Darkest string
	Bright  string // brightest zone
}

// Mirror is a light that a glossy surface throws into an eye.
type Mirror struct {
	Source   string
	Existing bool // one of the lights that hang today
	Fate     string
	Gloss    string
	Eye      string
	At       geom.Vec // point of the surface in which the eye sees the light
}

// SunHit is a sun position whose ray reaches a face through a window.
type SunHit struct {
	Check      string
	Zone, Face string
	Window     string
	At         geom.Vec // where the ray passes the window
	OffAxisDeg float64  // plan angle from the face's own facing, positive toward its bearing's +x side
	KeyLx      float64
	FillLx     float64 // from fill units on the other side
	FillPct    float64 // of the key; NaN without a key
	Blind      bool
}

// WindowContrast is a bright window seen beside a face.
type WindowContrast struct {
	Window, Zone, From string
	WindowCdM2         float64
	FaceCdM2           float64
	Ratio              float64
	NeededLx           float64 // on the face, to bring the ratio to the limit
}

// KeepClear is a thing that must be kept clear, with the lenses nearest to it.
type KeepClear struct {
	Name      string
	NeedM     float64
	NearestM  float64
	Units     []string // nearest lenses, sorted by distance
	UnitsText string   // for people
}

// Map is the vertical illuminance toward the congregation on a grid at face
// height, all front units, with the loss factor; row by row from MinY upstage.
type Map struct {
	MinX, MinY float64 // of the first point, m
	StepM      float64
	NX, NY     int
	HeightM    float64 // above the floor or platform under the point
	Lx         []float64
}
