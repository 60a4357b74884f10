package region

import (
	"sync"

	"roodbeam/engine/si"
)

// Conventions are a region's habits that are no electrical table, each with its
// source.
type Conventions struct {
	// AsbestosFrom to AsbestosTo are the years whose buildings are taken to hold
	// asbestos.
	AsbestosFrom, AsbestosTo int
	AsbestosSource           string
	// DataSlackM is what is left coiled at both ends of a data branch together, m.
	DataSlackM      float64
	DataSlackSource string
	// HouseLightWM2 is what the energy code allows for the general light of a
	// whole religious building, W/m².
	HouseLightWM2    float64
	HouseLightSource string
	// PriceBook is the region whose generic prices stand in.
	PriceBook string
}

type habit struct {
	conventions Conventions
	display     si.Display
}

var habits = sync.OnceValue(func() map[string]habit {
	out := map[string]habit{}
	for _, p := range Profiles() {
		out[p.ID] = habit{p.Conventions, p.Display}
	}
	return out
})

// ConventionsOf returns the conventions of the built-in profile with the id; those
// of "metric" for an id without a profile.
func ConventionsOf(id string) Conventions {
	if h, ok := habits()[id]; ok {
		return h.conventions
	}
	return habits()["metric"].conventions
}

// DisplayOf returns in which units the built-in profile with the id reads; metric
// for an id without a profile.
func DisplayOf(id string) si.Display {
	if h, ok := habits()[id]; ok {
		return h.display
	}
	return si.Metric
}

// OrOf returns the conventions, or where they are not filled in those of the
// profile with the id.
func (c Conventions) OrOf(id string) Conventions {
	if c.DataSlackM > 0 {
		return c
	}
	return ConventionsOf(id)
}
