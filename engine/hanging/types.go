// Package hanging adds up what each hanging line would carry, for a structural
// engineer to approve: a planning figure, never an approval.
package hanging

import "roodbeam/engine/si"

// Plan is the hanging load of every line in use, the way in for a lift and the
// questions for the engineer and the rigger.
type Plan struct {
	Lines     []Line
	Lifts     []LiftCheck
	Places    []ReachCheck
	Questions []Question
}

// Line is one hanging line's added load.
type Line struct {
	Name                   string
	Material               string
	Section                string
	SpanM                  float64
	Loads                  []PointLoad
	UnitsKg                float64 // units with clamps and secondary suspensions
	PipeKg                 float64
	CableKg                float64
	OtherKg                float64 // arms, brackets
	AddedKg                float64
	ExistingKg             float64 // as surveyed; NaN unknown
	ReactionsN             []float64
	MaxShearN, MaxMomentNM float64
	MaxDeflectionM         float64 // NaN: section or material unknown
	StressMPa              float64 // NaN unknown
	Screening              string  // "screened, to be approved by a structural engineer" or "not without an engineer"
	Why                    string
	// SpreadKgPerM is the pipe and cable as an even load, from PipeFrom to PipeTo
	// along the line.
	SpreadKgPerM     float64
	PipeFrom, PipeTo si.Length
	// Supports are the distances of the supports from the line's From end, in
	// the order of ReactionsN.
	Supports []si.Length
	// ReferenceMPa is the bending value of the documented grade the stress is
	// printed beside; NaN unknown. ReferenceSource names it.
	ReferenceMPa    float64
	ReferenceSource string
	Units           []string
}

// PointLoad is one unit's load on a line.
type PointLoad struct {
	Unit  string
	Along si.Length
	Mass  si.Mass
}

// LiftCheck is one machine on one way in.
type LiftCheck struct {
	Lift, Route            string
	Fits                   bool
	Why                    string
	NeedWidthM, HaveWidthM float64
	LongestM               float64 // longest body of this width that turns the corner; NaN straight
	RampM                  float64 // ramp length at 1:12 for the step
	MassKg                 float64 // with capacity
	FloorNote              string
	LongestBareM           float64 // the same without clearance; NaN straight
	RiseM                  float64 // all steps together
	SweptM                 float64 // on a curved aisle; NaN straight
}

// ReachCheck says how one unit's place is reached.
type ReachCheck struct {
	Unit, Line    string
	HangM         float64 // underside of the line above the floor below it
	NeedPlatformM float64
	By            string // lift A, tower, from the gallery
	Below         string
	Why           string
}

// Question is for the engineer or rigger to answer.
type Question struct {
	No   int
	Who  string
	Text string
	Why  string
}
