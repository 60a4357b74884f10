package planner_test

import (
	"slices"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/plan"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

// change is one edit of the documents.
type change struct {
	what string
	edit func(*plan.Documents)
}

// copied returns documents whose slices edits may write to.
func copied(d plan.Documents) plan.Documents {
	d.Scheme.Units = slices.Clone(d.Scheme.Units)
	d.Fixtures, d.Prices = slices.Clone(d.Fixtures), slices.Clone(d.Prices)
	d.Survey.Panels, d.Survey.Routes, d.Survey.Dimmers = slices.Clone(d.Survey.Panels), slices.Clone(d.Survey.Routes), slices.Clone(d.Survey.Dimmers)
	d.Survey.ExistingUnit, d.Brief.Lifts, d.Brief.Zones = slices.Clone(d.Survey.ExistingUnit), slices.Clone(d.Brief.Lifts), slices.Clone(d.Brief.Zones)
	d.Survey.Supply.Standing = slices.Clone(d.Survey.Supply.Standing)
	return d
}

// what each trade signs on: a change of any of these makes its signatures lapse.
var signedOn = map[finding.Owner][]change{
	finding.Electrician: {
		{"a fixture's power", func(d *plan.Documents) {
			for i := range d.Fixtures {
				d.Fixtures[i].Power *= 1.1
			}
		}},
		{"the panel's rating", func(d *plan.Documents) {
			for i := range d.Survey.Panels {
				d.Survey.Panels[i].Rating = si.Known(d.Survey.Panels[i].Rating.Or(0) + 25)
			}
		}},
		{"the panel's spaces", func(d *plan.Documents) {
			for i := range d.Survey.Panels {
				d.Survey.Panels[i].Spaces++
			}
		}},
		{"the main breaker", func(d *plan.Documents) { d.Survey.Supply.Main = si.Known(d.Survey.Supply.Main.Or(0) + 1) }},
		{"the panel's place, so the lengths", func(d *plan.Documents) {
			for i := range d.Survey.Panels {
				d.Survey.Panels[i].At.Y = si.Known(d.Survey.Panels[i].At.Y.Or(0) - 1.5)
			}
		}},
		{"the external fault loop", func(d *plan.Documents) { d.Survey.Supply.LoopOhm += 0.07 }},
	},
	finding.FireAlarm: {
		{"the detectors", func(d *plan.Documents) { d.Survey.Site.Detectors += " and beam" }},
		{"the sprinklers", func(d *plan.Documents) { d.Survey.Site.Sprinklers += " dry" }},
	},
	finding.Hazards: {
		{"the year of the last change", func(d *plan.Documents) { d.Survey.Site.YearAltered = 1971 }},
	},
}

// unrelated changes leave every signature of a trade standing.
var unrelated = []change{
	{"a price", func(d *plan.Documents) {
		for i := range d.Prices {
			d.Prices[i].Minor += 100
		}
	}},
	{"the church's name", func(d *plan.Documents) { d.Name = "Another name" }},
	{"the limit of money", func(d *plan.Documents) { d.Brief.Money.CapMinor += 1000 }},
	{"the scheme's name", func(d *plan.Documents) { d.Scheme.Name += " renamed" }},
	{"a preset's name", func(d *plan.Documents) {
		d.Brief.Looks = slices.Clone(d.Brief.Looks)
		for i := range d.Brief.Looks {
			d.Brief.Looks[i].Name += " hour"
		}
	}},
}

// TestSignaturesRestOnTheirTrade: the fingerprint of a stop that a trade signs
// changes with everything its owner looks at and with nothing else.
func TestSignaturesRestOnTheirTrade(t *testing.T) {
	if testing.Short() {
		t.Skip("plans the same churches dozens of times; the whole run does")
	}
	lifts := []change{
		{"a unit's height", func(d *plan.Documents) {
			for i := range d.Scheme.Units {
				if u := &d.Scheme.Units[i]; u.LensZ.Set {
					u.LensZ.Value += 0.2
				}
			}
		}},
		{"a door", func(d *plan.Documents) {
			for i := range d.Survey.Routes {
				d.Survey.Routes[i].DoorWidth = si.Known(d.Survey.Routes[i].DoorWidth.Or(0) + 0.02)
			}
		}},
		{"the floor", func(d *plan.Documents) { d.Survey.Floor.Rating = "4 kPa by the drawings" }},
		{"a machine", func(d *plan.Documents) {
			for i := range d.Brief.Lifts {
				d.Brief.Lifts[i].Capacity = si.Known(d.Brief.Lifts[i].Capacity.Or(0) + 20)
			}
		}},
	}
	seen := map[string]bool{}
	for _, church := range demos() {
		d := documents(t, file(t, church), byHand)
		d.Brief.Limits.Haze = "asked"
		rm, _ := room.Solve(d.Survey, book, d.Profile.ID)
		kept := light.NewTransport(rm) // no change below moves a surface
		d.Transport = func(room.Room) *light.Transport { return kept }
		stops := func(d plan.Documents) map[string]finding.Finding {
			out := map[string]finding.Finding{}
			for _, f := range plan.Run(d, book).Findings {
				if f.Severity == finding.Stop && f.Owner != finding.Designer && f.Owner != finding.Leadership {
					out[f.Key] = f
				}
			}
			return out
		}
		before := stops(d)
		for _, ch := range unrelated {
			c := copied(d)
			ch.edit(&c)
			after := stops(c)
			for k, f := range before {
				if after[k].Fingerprint != f.Fingerprint {
					t.Errorf("%s: %s lapsed with %s", church, k, ch.what)
				}
			}
		}
		hold := func(ch change, mine func(finding.Finding) bool) {
			c := copied(d)
			ch.edit(&c)
			after := stops(c)
			for k, f := range before {
				if g, still := after[k]; still && mine(f) {
					seen[f.Code] = true
					if g.Fingerprint == f.Fingerprint {
						t.Errorf("%s: the signature on %s stands although %s changed", church, k, ch.what)
					}
				}
			}
		}
		for owner, changes := range signedOn {
			for _, ch := range changes {
				hold(ch, func(f finding.Finding) bool { return f.Owner == owner })
			}
		}
		for _, ch := range lifts {
			hold(ch, func(f finding.Finding) bool { return strings.HasPrefix(f.Code, "LIFT_") })
		}
	}
	for _, code := range []string{"SCHEME_HAZE", "LIFT_FLOOR", "ELECTRICAL_LEG_OVER_LIMIT", "ELECTRICAL_REMOVE_FIRST", "SURVEY_ASBESTOS"} {
		if !seen[code] {
			t.Errorf("no church has %s: it was not tried", code)
		}
	}
}
