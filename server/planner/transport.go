package planner

import (
	"crypto/sha256"
	"fmt"
	"sync"

	"roodbeam/engine/light"
	"roodbeam/engine/room"
)

// roomsKept bounds the interreflections kept: one is some 10 MB, and a
// project's schemes share one room.
const roomsKept = 8

// transports keeps the interreflection of the rooms used last, by what they
// rest on: surfaces, pictures, solids and lines.
type transports struct {
	mu    sync.Mutex
	kept  map[[sha256.Size]byte]*lazy
	order [][sha256.Size]byte // oldest use first
}

// rooms are those of the whole process: what is kept rests on nothing but the
// room, so that all planners may share it.
var rooms transports

// lazy is made by whoever asks first; others wait.
type lazy struct{ made func() *light.Transport }

// of returns the interreflection of a room.
func (t *transports) of(r room.Room) *light.Transport {
	return t.entry(roomKey(r), r).made()
}

func (t *transports) entry(key [sha256.Size]byte, r room.Room) *lazy {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.kept == nil {
		t.kept = map[[sha256.Size]byte]*lazy{}
	}
	l, ok := t.kept[key]
	if !ok {
		l = &lazy{sync.OnceValue(func() *light.Transport { return light.NewTransport(r) })}
		t.kept[key] = l
	}
	for i, k := range t.order {
		if k == key {
			t.order = append(t.order[:i], t.order[i+1:]...)
			break
		}
	}
	t.order = append(t.order, key)
	if len(t.order) > roomsKept {
		delete(t.kept, t.order[0])
		t.order = t.order[1:]
	}
	return l
}

func roomKey(r room.Room) [sha256.Size]byte {
	h := sha256.New()
	fmt.Fprintf(h, "%v|%v|%v|", r.Surfaces, r.Screens, r.Solids)
	for _, l := range r.Lines {
		fmt.Fprintf(h, "%v|%v|%v|%v|%v|%v|", l.Name, l.Kind, l.From, l.To, l.Survey.Width, l.Survey.Depth)
	}
	return [sha256.Size]byte(h.Sum(nil))
}
