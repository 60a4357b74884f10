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
	Zones      []Zone
	Units      []Unit
	Screens    []Screen
	Eyes       []EyeGlare
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
}

// Face is one face point.
type Face struct {
	Name            string
	At              geom.Vec
	Facing          geom.Vec
	VerticalLx      float64 // all front units
	OwnLx           float64 // the units meant for this zone and aimed at this place alone
	LeftLx, RightLx float64
	BackLx          float64
	PlanSpreadDeg   float64 // widest plan angle between two units that each give at least a quarter of the strongest
	Contributions   []Contribution
}

// Contribution of one unit at one point.
type Contribution struct {
	Unit     string
	Lx       float64 // on the face's plane
	NormalLx float64 // facing the unit
	Shadowed string  // name of what blocks it; empty: nothing
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
	Shadowed          string
	LowestEyeDeg      float64 // least angle above the horizontal at which any seated or standing eye sees it; NaN none
	LowestEye         string
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
}

// EyeGlare is the light in one person's eyes.
type EyeGlare struct {
	Name         string
	At           geom.Vec
	VeilCdM2     float64 // veiling luminance, Stiles-Holladay
	WorstUnit    string
	WorstDeg     float64 // angle from the line of sight
	ElevationDeg float64 // above the horizontal
}
