package sheet

import (
	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/drawing"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/hanging"
	"roodbeam/engine/light"
	"roodbeam/engine/network"
	"roodbeam/engine/phase"
	"roodbeam/engine/preset"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Fixtures finds a fixture type by its catalogue code.
type Fixtures interface {
	Get(code string) (catalogue.Fixture, bool)
}

// Input is everything a packet shows: the documents and what was derived from
// them. Catalogue and Book may be nil; then codes stand for names and texts.
type Input struct {
	Name, Town string
	Revision   string
	Date       string // day of issue, 2006-01-02 or RFC 3339
	Status     string // for approval, for pricing, for construction, as built
	Author     string // role
	Checked    string // role, empty: not yet checked
	Display    si.Display

	Survey    survey.Survey
	Brief     brief.Brief
	Room      room.Room
	Scheme    scheme.Scheme
	Placed    []scheme.Placed
	Catalogue Fixtures
	Lines     []scheme.LineRow
	Light     light.Report
	// Maps are light maps over the plan, computed by the light stage; without
	// one the map shows the face points alone.
	Maps     []drawing.Field
	Load     electrical.Plan
	Hanging  hanging.Plan
	Network  network.Plan
	Presets  preset.Set
	Estimate cost.Estimate
	Phases   phase.Plan
	Findings []finding.Finding
	Profile  region.Profile
	Book     *finding.Book
	// Changes since the last issue, newest first, for the cover.
	Changes []string

	look *lookup
}
