package plan

import (
	"math"

	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
)

// Search steers the search for a proposal.
type Search struct {
	Seed uint64
	// Work and Gap bound each stage, see scheme.ProposeInput.
	Work int64
	Gap  float64
	// Progress, when set, is told how far the search is; false ends it.
	Progress func(scheme.Progress) bool
	// Stop, when set, is asked now and then; true ends the search.
	Stop func() bool
}

// Plan returns the engine's own scheme for the documents with the models it was
// chosen by. What later stages know comes in as numbers: the watts the supply
// can still give, and what lines are documented to carry.
func Plan(d Documents, s Search, book *finding.Book) scheme.Proposal {
	rm, _ := room.Solve(d.Survey, book, d.Profile.ID)
	return planIn(d, rm, s, book)
}

func planIn(d Documents, rm room.Room, s Search, book *finding.Book) scheme.Proposal {
	return scheme.Plan(scheme.ProposeInput{
		Room: rm, Brief: d.Brief, Survey: d.Survey, Catalogue: d.set(),
		Keep: d.Scheme, Labels: d.Labels, Seed: s.Seed, LossFactor: lossFactor, Display: d.Profile.Display, Book: book, Region: d.Profile.ID,
		PowerW: spareW(d, rm, book), LineKg: documentedKg(rm), Work: s.Work, Gap: s.Gap, Progress: s.Progress, Stop: s.Stop})
}

// documentedKg returns what lines are documented to carry, in kilograms.
func documentedKg(rm room.Room) map[string]float64 {
	out := map[string]float64{}
	for _, l := range rm.Lines {
		if c := l.Survey.Carries; c.Set && c.Value > 0 {
			out[l.Name] = float64(c.Value)
		}
	}
	return out
}

// spareW returns the watts that the supply's legs can still give within their
// limits beside today's load, less the share the brief wants spare; 0 where the
// supply is not known.
func spareW(d Documents, rm room.Room, book *finding.Book) float64 {
	load, _ := electrical.Design(electrical.Input{Room: rm, Survey: d.Survey, Brief: d.Brief, Profile: d.Profile, Book: book,
		Catalogue: d.set()})
	volts := d.Survey.Supply.Voltage
	if !volts.Set || !(volts.Value > 0) || len(load.Steps) == 0 {
		return 0
	}
	sum := 0.0
	for _, leg := range load.Steps[0].Legs {
		if leg.LimitA > leg.CurrentA {
			sum += leg.LimitA - leg.CurrentA
		}
	}
	spare := d.Brief.Limits.SpareCircuitPct
	if !(spare > 0) {
		spare = defaultSparePct
	}
	w := sum * float64(volts.Value) * planPF * (1 - math.Min(spare, 90)/100)
	if math.IsNaN(w) || math.IsInf(w, 0) {
		return 0
	}
	return w
}

// defaultSparePct of the supply is kept for later. Source: common practice, 20 %
// to 30 %.
const defaultSparePct = 25.0

// Levels returns the documents' scheme with the levels of its front light set so
// that the zones come out even, see scheme.Levels.
func Levels(d Documents, book *finding.Book) scheme.Scheme {
	rm, _ := room.Solve(d.Survey, book, d.Profile.ID)
	return levelsIn(d, rm, book)
}

func levelsIn(d Documents, rm room.Room, book *finding.Book) scheme.Scheme {
	return scheme.Levels(scheme.ProposeInput{Room: rm, Brief: d.Brief, Survey: d.Survey, Catalogue: d.set(), Keep: d.Scheme,
		LossFactor: lossFactor, Display: d.Profile.Display, Book: book, Region: d.Profile.ID})
}
