package light

import (
	"fmt"
	"testing"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

// What the survey says nobody may light is watched as what the brief says.
func TestViewsThatStayDark(t *testing.T) {
	in := meetingHouseInput()
	before, _ := Evaluate(in)
	y := 0.0
	for _, v := range in.Room.Footprint {
		y = max(y, v.Y)
	}
	mural := geom.Polygon{{X: -1, Y: y - .01, Z: 2}, {X: 1, Y: y - .01, Z: 2}, {X: 1, Y: y - .01, Z: 4}, {X: -1, Y: y - .01, Z: 4}}
	if mural.Normal().Y > 0 {
		mural = reversed(mural)
	}
	in.Room.Views = []room.View{{Name: "mural", MayLight: "no", Polygon: mural}, {Name: "cross", MayLight: "yes", Polygon: mural}}
	after, _ := Evaluate(in)
	if len(after.Spill) != len(before.Spill)+1 {
		t.Fatalf("%d spills, %d before", len(after.Spill), len(before.Spill))
	}
	s := after.Spill[len(after.Spill)-1]
	if s.Name != "mural" || !(s.AverageLx > 0) {
		t.Errorf("%+v", s)
	}
}

// Open arches in every wall take light out of the room.
func TestArchLetsLightOut(t *testing.T) {
	in := meetingHouseInput()
	in.Room.Surfaces = append([]room.Surface(nil), in.Room.Surfaces...)
	for i := range in.Room.Surfaces {
		in.Room.Surfaces[i].Reflectance = .5
	}
	closed := NewTransport(in.Room)
	n := 0
	surfaces := append([]room.Surface(nil), in.Room.Surfaces...)
	for _, f := range in.Room.Surfaces {
		if f.Kind != "wall" || f.Polygon.Area() < 20 {
			continue
		}
		c := f.Polygon.Centroid()
		arch := make(geom.Polygon, len(f.Polygon))
		for i, v := range f.Polygon {
			arch[i] = c.Add(v.Sub(c).Scale(.8))
		}
		surfaces = append(surfaces, room.Surface{Name: fmt.Sprint("opening_", n), Kind: "opening", Polygon: arch, Reflectance: .1})
		n++
	}
	if n == 0 {
		t.Fatal("no wall")
	}
	in.Room.Surfaces = surfaces
	opened := NewTransport(in.Room)
	mean := func(tr *Transport) float64 {
		in := in
		in.Transport = tr
		r, _ := Evaluate(in)
		sum := 0.0
		for _, z := range r.Zones {
			sum += z.Shape.IndirectLx
		}
		return sum
	}
	if a, b := mean(closed), mean(opened); !(b < .95*a) {
		t.Errorf("reflected %v lx in a closed room, %v with arches", a, b)
	}
}
