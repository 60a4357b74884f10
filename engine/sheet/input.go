package sheet

import (
	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/daylight"
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
	Daylight  daylight.Report
	// Maps are light maps over the plan, computed by the light stage; without
	// one the map shows the face points alone.
	Maps []drawing.Field
	// Pictures are views of the room, "seat-before", "seat-after", "camera-…".
	Pictures []Picture
	Load     electrical.Plan
	Hanging  hanging.Plan
	Network  network.Plan
	Presets  preset.Set
	Looks    []light.LookReport // what each preset gives
	Estimate cost.Estimate
	Phases   phase.Plan
	Findings []finding.Finding
	// Cleared are the clearings and sign-offs on record; one whose fingerprint is
	// no longer the finding's has lapsed.
	Cleared []Clearing
	Profile region.Profile
	Book    *finding.Book
	// Options are other schemes set beside this one for the leadership's choice.
	Options []Option
	// Changes since the last issue, newest first, for the cover.
	Changes []string

	look *lookup
}

// Option is another way to do the job, as it is shown to the leadership.
type Option struct {
	Name, What string
	Lights     int
	Price      cost.Amount // contingency included
}

// Clearing is one finding cleared or signed off by the person who may.
type Clearing struct {
	Key, Fingerprint string
	By               string // role
	Reason           string
	Date             string
	// Name, Firm, Licence and Body are what the signer of a trade stated; empty
	// for the other roles.
	Name, Firm, Licence, Body string
	// InvitedBy is who let the signer in, Also the role of designer or manager
	// they have beside; both are recorded, not stated.
	InvitedBy, Also string
}

// clearing returns what stands in the findings' last column, and whether the
// finding is cleared with the values it has now.
func (in *Input) clearing(f finding.Finding) (string, bool) {
	text := ""
	for _, c := range in.Cleared {
		if c.Key != f.Key {
			continue
		}
		if c.Fingerprint == f.Fingerprint {
			return joinWords(", ", c.By, c.Date) + ": " + c.Reason, true
		}
		text = "lapsed, the values have changed since " + c.Date + " (" + c.By + ")"
	}
	return text, false
}

// openStops counts the findings that keep the packet from construction.
func (in *Input) openStops() int {
	n := 0
	for _, f := range in.Findings {
		if _, cleared := in.clearing(f); f.Severity == finding.Stop && !cleared {
			n++
		}
	}
	return n
}
