package planner

import (
	"fmt"
	"testing"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

func floor(rho float64) room.Room {
	return room.Room{Surfaces: []room.Surface{{Name: "floor", Kind: "floor", Reflectance: rho,
		Polygon: geom.Polygon{{}, {X: 1}, {X: 1, Y: 1}}}}}
}

// TestTransportsAreSharedAndBounded: one room is solved once, a change of it
// anew, and only the rooms used last stay.
func TestTransportsAreSharedAndBounded(t *testing.T) {
	var c transports
	a := c.of(floor(.2))
	if a == nil || c.of(floor(.2)) != a {
		t.Error("the same room was solved twice")
	}
	if c.of(floor(.3)) == a {
		t.Error("another reflectance gives the same answer")
	}
	for i := range roomsKept {
		r := floor(.2)
		r.Surfaces[0].Name = fmt.Sprint("floor ", i)
		c.of(r)
	}
	if c.of(floor(.2)) == a {
		t.Error("a room not used for long is still kept")
	}
	if len(c.made) != roomsKept || len(c.order) != roomsKept {
		t.Errorf("%d rooms kept, %d in order", len(c.made), len(c.order))
	}
}
