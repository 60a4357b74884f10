// Package hanging adds up what each hanging line would carry, for a structural
// engineer to approve: a planning figure, never an approval.
package hanging

import (
	"roodbeam/engine/electrical"
	"roodbeam/engine/si"
)

// Plan is the hanging load of every line in use, the way in for a lift and the
// questions for the engineer and the rigger.
type Plan struct {
	Lines     []Line
	Lifts     []LiftCheck
	Places    []ReachCheck
	Questions []Question
	Hardware  []HardwareNeed
	Jobs      []AccessJob
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
	// HogMomentNM is the largest moment that bends the line upward, over a support
	// or on an overhang, 0 or negative.
	HogMomentNM float64
	// AloneMomentNM, AloneReactionsN and AloneDeflectionM are the same with the
	// line cut over every inner support: nobody has seen whether it runs through.
	// The stress and the deflection held against a limit are the larger of both.
	// NaN and empty with two supports.
	AloneMomentNM    float64
	AloneReactionsN  []float64
	AloneDeflectionM float64
	// LongTermM is the largest deflection once timber has crept; NaN unknown.
	LongTermM float64
	// SelfKgPerM is the line's own mass, kg/m; NaN unknown.
	SelfKgPerM float64
	// TotalMomentNM is with its own mass and what hangs there already; a roof or
	// ceiling it bears is never in it. NaN unknown.
	TotalMomentNM float64
	// LoadFactor multiplies the added load where it is held against ReferenceMPa.
	LoadFactor float64
	// SharePct is the added load's share of the bending value, ShearSharePct of the
	// shear value, percent; TotalSharePct that of everything on a bar that bears
	// nothing of the building. NaN unknown.
	SharePct, ShearSharePct, TotalSharePct float64
	// Factors are behind ReferenceMPa, each with its source.
	Factors []Factor
	// Reasons are why the line is not without an engineer, one each.
	Reasons []string
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
	// HaveHeightM is the door's clear height, StowedM the machine's; 0 unknown.
	HaveHeightM, StowedM float64
	// PlatformM is the machine's highest platform, WorkingHeightM how high hands
	// work from it; NaN unknown.
	PlatformM, WorkingHeightM float64
	// PlatformKg is its rated platform load, PlatformNeedKg that of a crew of two,
	// their tools and the heaviest unit; NaN unknown.
	PlatformKg, PlatformNeedKg float64
	// PressurePa is the mean pressure under its outline, FloorPa what such a floor is
	// designed for where nothing is written, WheelN the heaviest wheel, BoardPa the
	// pressure under a 600 mm square board below it; with its load. NaN unknown.
	PressurePa, FloorPa, WheelN, BoardPa float64
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
	// Key stays the same as long as the same is asked of the same trade.
	Key string
	// Answers are what came back; a transcribed answer clears nothing.
	Answers []electrical.Answer
}
