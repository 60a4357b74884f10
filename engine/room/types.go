// Package room is the solved geometry of the room, with its uncertainty: what
// every later stage stands on.
package room

import (
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Room is derived from a survey; lengths in metres in the room's axes.
type Room struct {
	Stations  []Station
	Levels    []Level
	Footprint geom.Polygon // floor corners, counter-clockwise seen from above, z = 0
	Ceiling   Ceiling
	Platform  Platform
	Surfaces  []Surface // closed shell of the room, galleries, screens
	Solids    []Solid   // what blocks light besides the surfaces
	Lines     []Line
	Screens   []Screen
	Windows   []Window
	Seating   []Seating
	Eyes      []Eye
	Glosses   []Gloss
	// Questions are what is missing, most useful first.
	Questions []Question
	Suspects  []Suspect
	// Adjustment is the survey's least-squares result in numbers.
	Adjustment Adjustment
	Ground     Ground // slope of the hall floor
	Openings   []Opening
	Views      []View
	Panels     []Spot
	DataPlaces []Spot
}

// Opening is a door, arch, hatch or niche; Polygon's normal points into the room.
type Opening struct {
	Name, Kind, Wall string
	Polygon          geom.Polygon
	Sigma            geom.Vec // standard deviations of its middle, m
}

// View is something to keep in view; Polygon's normal points to where it is seen from.
type View struct {
	Name, Kind, MayLight string
	Polygon              geom.Polygon
	Sigma                geom.Vec // standard deviations of its middle, m
}

// Spot is a place of equipment.
type Spot struct {
	Name, Kind string
	At         geom.Vec
	Sigma      geom.Vec // standard deviations, m
	Known      bool     // x and y were given; otherwise it stands at the origin
}

// Station is a solved point with its standard deviations and covariance.
type Station struct {
	Name  string
	At    geom.Vec
	Sigma geom.Vec      // standard deviations in x, y, z, m
	Cov   [3][3]float64 // m²
	Loose string        // directions the measurements do not fix: "", "x", "yz" …
}

// Level is a floor with its height above the hall floor.
type Level struct {
	Name   string
	Height si.Length
	Sigma  si.Length
}

// Ceiling is the solved shape; HeightAt gives the clear height at a plan point.
type Ceiling struct {
	Shape            string
	Eaves            si.Length
	Ridge            si.Length
	RidgeAlongY      bool
	HalfWidth        si.Length // from the ridge to the eaves in plan
	CentreX, CentreY si.Length // of the ridge line
	// HalfLength is from the ridge's middle to the end walls, HipRun in plan from
	// an end wall to the ridge's end; of hipped ceilings.
	HalfLength, HipRun     si.Length
	Steps                  []CeilingStep // of a stepped ceiling, from the rear
	SigmaEaves, SigmaRidge si.Length
}

// CeilingStep is a part of a stepped ceiling, from FromY upstage to the next.
type CeilingStep struct{ FromY, Height si.Length }

// Platform is the raised floor; its front edge's middle is the origin.
type Platform struct {
	Outline      geom.Polygon // at its own height
	Height       si.Length
	Width, Depth si.Length
	Apron        geom.Polygon // at its own height; none without an apron
	ApronHeight  si.Length
	SigmaHeight  si.Length
}

// Surface is a planar, convex part of the room; its normal points into the room.
type Surface struct {
	Name        string // floor, ceiling, wall_1 …, wall_behind, platform, gallery_left_front …
	Kind        string // floor, ceiling, wall, platform, gallery, screen, window, opening
	Polygon     geom.Polygon
	Reflectance float64
	// SigmaReflectance is the standard deviation of a reflectance that nobody gave;
	// 0: it was surveyed.
	SigmaReflectance float64
}

// Solid is a convex body that blocks light, as outward-facing polygons.
type Solid struct {
	Name      string
	Faces     []geom.Polygon
	Base      geom.Vec
	KeepClear si.Length
	Movable   bool
	Sigma     geom.Vec // standard deviations of its base's middle, m
	// Reflectance of its faces as surveyed under its name, 0..1; 0: not known.
	Reflectance float64
}

// Line is a hanging line: ends at its underside.
type Line struct {
	Name     string
	Kind     string
	From, To geom.Vec
	Spans    []Span    // usable parts, by distance from From
	Drop     si.Length // lens below the underside
	SigmaZ   si.Length // of the underside
	SigmaY   si.Length
	Survey   survey.HangingLine
	// Forbidden is why nothing may ever hang from it, empty where something may.
	Forbidden string
	State     survey.State
	// Cov is the covariance of the ends, m²: x, y, z of From, then of To.
	Cov [6][6]float64
	// PlatformCov is the covariance of the same with the platform's height, m²: a
	// line that was measured up from the platform errs with it.
	PlatformCov [6]float64
	// SigmaDrop is the standard deviation of a drop that nobody gave, one for all
	// units of the line; 0: it was surveyed.
	SigmaDrop si.Length
}

// Span is a usable part of a line, by distance from its From end.
type Span struct{ From, To si.Length }

// Length returns the line's length.
func (l Line) Length() si.Length { return si.Length(l.To.Sub(l.From).Norm()) }

// Underside returns the point at a distance along the line.
func (l Line) Underside(along si.Length) geom.Vec {
	n := l.Length()
	if n == 0 {
		return l.From
	}
	return l.From.Lerp(l.To, float64(along/n))
}

// Lens returns where a unit's lens is when it hangs at a distance along the line.
func (l Line) Lens(along si.Length) geom.Vec {
	p := l.Underside(along)
	p.Z -= l.Drop.Metres()
	return p
}

// Screen is a picture surface; Corners run counter-clockwise seen from the front.
type Screen struct {
	Name    string
	Kind    string
	Corners geom.Polygon
	Bottom  si.Length
	White   si.Typed[si.Illuminance]
	Sigma   geom.Vec // standard deviations of its middle, m
}

// Window is an opening; Polygon's normal points into the room.
type Window struct {
	Name      string
	Polygon   geom.Polygon
	Glass     string
	Luminance si.Typed[si.Luminance]
	Blind     bool
	Sigma     geom.Vec // standard deviations of its middle, m
	// Transmittance, TintX and TintY are as read in the survey; 0: not read.
	Transmittance, TintX, TintY float64
}

// Seating is a block of rows with seated eyes.
type Seating struct {
	Name   string
	Rows   []SeatRow
	Fixed  string
	Survey survey.Seating
	// Sigma holds the standard deviations of the eyes in the rows, m.
	Sigma geom.Vec
}

// SeatRow is one row: the plan segment of seated eyes.
type SeatRow struct{ Left, Right geom.Vec }

// Eye is a named place from which somebody looks.
type Eye struct {
	Name  string
	At    geom.Vec
	Sigma geom.Vec // standard deviations, m
}

// Gloss is a mirror-like horizontal or upright surface.
type Gloss struct {
	Name    string
	Polygon geom.Polygon
}

// Question asks one person for one thing, with what is assumed meanwhile.
type Question struct {
	About   string
	Ask     string
	Why     string
	Assumed string // what the engine took meanwhile, with its uncertainty; empty: nothing
	Who     string // volunteer, electrician, engineer …
}

// Suspect is a measurement the network contradicts.
type Suspect struct {
	Measurement string
	Text        string // as typed
	Expected    si.Length
	Got         si.Length
	Normalised  float64 // standardized residual |w|
	Explanation string  // the mistake that explains it, for people; empty: none found
	Corrected   si.Typed[si.Length]
	// Line and Alternative say, for the height of a hanging line, which height
	// the line would have if the suspect were believed.
	Line        string
	Alternative si.Typed[si.Length]
}

// Adjustment is the least-squares result in numbers.
type Adjustment struct {
	Measurements, Unknowns, Redundancy int
	VPV, Sigma0                        float64
	ChiLow, ChiHigh                    float64 // two-sided 95 % bounds of VPV
	Pass                               bool
	Removed                            []string // measurement ids, in the order they were removed
	Residuals                          []Residual
}

// Residual of one measurement after adjustment.
type Residual struct {
	Measurement string
	Residual    si.Length
	Sigma       si.Length
	Redundancy  float64 // 0..1
	W           float64 // standardized
}
