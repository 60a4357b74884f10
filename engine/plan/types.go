// Package plan wires the stages: documents in, results and findings out.
package plan

import (
	"time"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/daylight"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/hanging"
	"roodbeam/engine/light"
	"roodbeam/engine/network"
	"roodbeam/engine/phase"
	"roodbeam/engine/photometry"
	"roodbeam/engine/preset"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// Version names the engine's rules; it changes whenever the same documents may
// give other results.
const Version = "0.3.0"

// Documents is everything people wrote for one church.
type Documents struct {
	Name     string
	Town     string
	Zone     string // IANA time zone
	Survey   survey.Survey
	Brief    brief.Brief
	Scheme   scheme.Scheme
	Fixtures []catalogue.Fixture // beside the built-in generic ones; same code wins
	Prices   []cost.Price
	Profile  region.Profile
	Today    time.Time // given by the caller; the engine has no clock
	// Location is the time zone that Zone names, for the sun at the services; nil
	// is UTC.
	Location *time.Location
	// Transport returns the interreflection of a solved room, from a cache the
	// caller keeps; nil makes it anew.
	Transport func(room.Room) *light.Transport
	// Year returns the daylight of a year that no scheme changes, from a cache the
	// caller keeps; nil makes it anew.
	Year func(daylight.Setting, *light.Transport) *daylight.Year
	// Pins are the addresses glued to units already, by unit.
	Pins map[string]network.Address
	// Labels say what else is glued to units already, by unit.
	Labels map[string]scheme.Label
	// Answers are what came back to the electrician's questions.
	Answers []electrical.Answer
	// Files are the photometric files that the fixtures' beams name, by content
	// hash.
	Files map[string]*photometry.File
}

// set returns the fixtures the documents may use.
func (d Documents) set() catalogue.Set {
	return catalogue.NewSet(catalogue.Generic(), d.Fixtures).WithFiles(d.Files)
}

// Results is everything derived from Documents.
type Results struct {
	Room     room.Room
	Scheme   scheme.Scheme
	Placed   []scheme.Placed
	Lines    []scheme.LineRow
	Light    light.Report
	Daylight daylight.Report
	Load     electrical.Plan
	Hanging  hanging.Plan
	Network  network.Plan
	Presets  preset.Set
	Looks    []light.LookReport // what each preset gives
	Estimate cost.Estimate
	Phases   phase.Plan
	Findings []finding.Finding
}
