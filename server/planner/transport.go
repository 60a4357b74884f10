package planner

import (
	"crypto/sha256"
	"fmt"

	"roodbeam/engine/light"
	"roodbeam/engine/room"
)

// roomsKept bounds the interreflections kept: one is some 10 MB, and a
// project's schemes share one room.
const roomsKept = 8

// transports keeps the interreflection of the rooms used last, by what they
// rest on: surfaces, pictures, solids and lines.
type transports struct{ kept[*light.Transport] }

// rooms are those of the whole process: what is kept rests on nothing but the
// room, so that all planners may share it.
var rooms transports

// of returns the interreflection of a room.
func (t *transports) of(r room.Room) *light.Transport {
	return t.kept.of(roomKey(r), roomsKept, func() *light.Transport { return light.NewTransport(r) })
}

func roomKey(r room.Room) key {
	h := sha256.New()
	fmt.Fprintf(h, "%v|%v|%v|", r.Surfaces, r.Screens, r.Solids)
	for _, l := range r.Lines {
		fmt.Fprintf(h, "%v|%v|%v|%v|%v|%v|", l.Name, l.Kind, l.From, l.To, l.Survey.Width, l.Survey.Depth)
	}
	return key(h.Sum(nil))
}
