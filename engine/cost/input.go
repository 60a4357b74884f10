package cost

import (
	"sort"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/hanging"
	"roodbeam/engine/network"
	"roodbeam/engine/region"
	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// Fixtures finds a catalogue fixture by its code; catalogue.Set is one.
type Fixtures interface {
	Get(code string) (catalogue.Fixture, bool)
}

// Input is what Make reads. Own are the project's own prices.
type Input struct {
	Placed    []scheme.Placed
	Scheme    scheme.Scheme
	Brief     brief.Brief
	Survey    survey.Survey
	Catalogue Fixtures
	Load      electrical.Plan
	Hanging   hanging.Plan
	Network   network.Plan
	Own       []Price
	Profile   region.Profile
	Book      *finding.Book
}

// regionID is the profile's, else the brief's, else metric.
func (in Input) regionID() string {
	switch {
	case in.Profile.ID != "":
		return in.Profile.ID
	case in.Brief.Region != "":
		return in.Brief.Region
	}
	return "metric"
}

func (in Input) fixture(code string) (catalogue.Fixture, bool) {
	if in.Catalogue == nil {
		return catalogue.Fixture{}, false
	}
	return in.Catalogue.Get(code)
}

// FirstPhase is the install phase of whatever names none.
const FirstPhase = "A"

// PhaseOf returns the phase, FirstPhase for an empty one.
func PhaseOf(p string) string {
	if p == "" {
		return FirstPhase
	}
	return p
}

// PhaseNames returns the install phases of a design in order of their names.
func PhaseNames(in Input) []string {
	set := map[string]bool{}
	for _, u := range in.Placed {
		set[PhaseOf(u.Phase)] = true
	}
	for _, c := range in.Load.Circuits {
		set[CircuitPhase(in, c)] = true
	}
	for _, b := range in.Network.Branches {
		set[PhaseOf(b.Phase)] = true
	}
	for _, p := range in.Scheme.Pipes {
		set[PhaseOf(p.Phase)] = true
	}
	if in.Scheme.HouseStep != "" {
		set[in.Scheme.HouseStep] = true
	}
	for _, w := range in.Brief.Works {
		set[PhaseOf(w.Phase)] = true
	}
	names := make([]string, 0, len(set))
	for n := range set {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// CircuitPhase returns the install phase of a circuit: its own, else the
// designer's choice for it, else the first phase of its units.
func CircuitPhase(in Input, c electrical.Circuit) string {
	if c.Phase != "" {
		return c.Phase
	}
	for _, ch := range in.Scheme.Circuits {
		if ch.Name == c.Name && ch.Phase != "" {
			return ch.Phase
		}
	}
	phase := ""
	for _, id := range c.Units {
		for _, u := range in.Placed {
			if p := PhaseOf(u.Phase); u.ID == id && (phase == "" || p < phase) {
				phase = p
			}
		}
	}
	return PhaseOf(phase)
}

// byHouse tells whether a unit is part of the house lights, which hang by their
// own means.
func byHouse(u scheme.Placed, f catalogue.Fixture) bool {
	switch f.Class {
	case catalogue.Pendant, catalogue.Sconce, catalogue.Downlight, catalogue.Lamp:
		return true
	}
	return u.Purpose == scheme.HouseLight
}

// lineKind returns the survey's kind of a hanging line, empty when unknown.
func (in Input) lineKind(name string) string {
	for _, l := range in.Survey.Lines {
		if l.Name == name {
			return l.Kind
		}
	}
	return ""
}

// Ways in which a unit's place is reached.
const (
	ByLift  = "lift"
	ByTower = "tower"
	ByFloor = "floor"
)

// floorReachM is what two people can reach from a low platform; above it a lift
// or a tower is hired (common practice).
const floorReachM = 3.0

// ReachOf tells how each unit's place is reached: as the hanging plan found,
// else as surveyed for its line, else by a lift above three metres.
func ReachOf(in Input) map[string]string {
	plan := map[string]string{}
	for _, p := range in.Hanging.Places {
		plan[p.Unit] = p.By
	}
	access := map[string]string{}
	for _, l := range in.Survey.Lines {
		access[l.Name] = l.Access
	}
	out := map[string]string{}
	for _, u := range in.Placed {
		by := plan[u.ID]
		if by == "" {
			by = access[u.Line]
		}
		low := strings.ToLower(by)
		switch {
		case strings.Contains(low, "tower") || strings.Contains(low, "scaffold"):
			out[u.ID] = ByTower
		case strings.Contains(low, "lift"):
			out[u.ID] = ByLift
		case by != "" || u.At.Z <= floorReachM:
			out[u.ID] = ByFloor
		default:
			out[u.ID] = ByLift
		}
	}
	return out
}

// rowReachM is how far from the plan line of a unit a lift's body and its drop
// zone reach: seat rows within it are taken up (common practice: half a machine
// of 2 m and a step).
const rowReachM = 1.25

// RowsUnder counts the fixed seat rows a lift would stand on to reach the units
// it serves in one phase.
func RowsUnder(in Input, phase string) int {
	reach := ReachOf(in)
	n := 0
	for _, s := range in.Survey.Seating {
		if s.Fixed == "" || s.Fixed == "loose" || s.Rows <= 0 || s.Rows > 1000 || !s.FirstY.Set || !s.LastY.Set {
			continue
		}
		for i := range s.Rows {
			y := s.FirstY.Value.Metres()
			if s.Rows > 1 {
				y += (s.LastY.Value.Metres() - y) * float64(i) / float64(s.Rows-1)
			}
			for _, u := range in.Placed {
				d := u.At.Y - y
				if reach[u.ID] == ByLift && PhaseOf(u.Phase) == phase && d < rowReachM && d > -rowReachM {
					n++
					break
				}
			}
		}
	}
	return n
}
