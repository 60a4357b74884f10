package network

import (
	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// Fixtures finds a catalogue fixture by its code; catalogue.Set is one.
type Fixtures interface {
	Get(code string) (catalogue.Fixture, bool)
}

// Input is what Route reads. Pins are addresses that are already glued on
// units; they never move.
type Input struct {
	Placed    []scheme.Placed
	Scheme    scheme.Scheme
	Catalogue Fixtures
	Room      room.Room
	Survey    survey.Survey
	Brief     brief.Brief
	Book      *finding.Book
	Region    string
	// Conventions are the region's; not filled in, those of the profile of Region.
	Conventions region.Conventions
	Pins        map[string]Address
	// Labels name the branch and place of units that are labelled already.
	Labels map[string]scheme.Label
}

// HouseControl is the name under which the house-light control stands among
// the devices, where the brief gives it slots and no unit carries them.
const HouseControl = "house control"

// device is one receiver on the network.
type device struct {
	id      string
	slots   int
	known   bool // the catalogue knows the fixture
	house   bool
	noPlace bool
	unit    scheme.Placed
}

// devices returns every receiver in the order of Placed, the house control
// last. Fixtures known to have no control slots are left out unless the
// designer put them on a branch.
func devices(in Input) []device {
	var out []device
	seen := map[string]bool{}
	listed := listedUnits(in.Scheme)
	houseSlots := 0
	for _, p := range in.Placed {
		if p.ID == "" || seen[p.ID] {
			continue
		}
		seen[p.ID] = true
		p.At = finite(p.At)
		d := device{id: p.ID, unit: p, house: p.Purpose == scheme.HouseLight}
		if in.Catalogue != nil {
			if f, ok := in.Catalogue.Get(p.Fixture); ok {
				d.known, d.slots = true, max(f.Slots, 0)
			}
		}
		if d.known && d.slots == 0 && p.Branch == "" && !listed[p.ID] {
			continue
		}
		if d.house {
			houseSlots += d.slots
		}
		out = append(out, d)
	}
	n := in.Brief.House.Slots - houseSlots
	if pin, ok := in.Pins[HouseControl]; ok && pin.Slots > 0 {
		n = pin.Slots // labelled: it keeps its size though units come and go
	}
	if n > 0 && !seen[HouseControl] {
		out = append(out, device{id: HouseControl, slots: n, known: true, house: true, noPlace: true})
	}
	return out
}

func listedUnits(s scheme.Scheme) map[string]bool {
	m := map[string]bool{}
	for _, b := range s.Branches {
		for _, u := range b.Units {
			m[u] = true
		}
	}
	return m
}
