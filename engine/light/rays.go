package light

import (
	"fmt"
	"reflect"
	"sync"

	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
)

// Rays keeps what rays from the units of one scheme in one room meet, whatever
// the units' levels: every look of a scheme sends the same ones. One belongs to
// one room, brief and transport; the zero value is empty and ready. The answer is
// the same with and without one.
type Rays struct {
	mu       sync.Mutex
	bare     *Scene
	surfaces map[rayKey][]float64 // light on a surface's points, full on, lx
	shots    map[rayKey][]float64 // on the room's patches, full on, lm
}

// rayKey is one source, full on, and what it shines at.
type rayKey struct {
	onto    string
	at, aim geom.Vec
	dist    photometry.Distribution
	loss    float64
}

// keyOf returns a source's key; false where its distribution cannot be told from
// another.
func keyOf(s Source, onto string, loss float64) (rayKey, bool) {
	k := rayKey{onto: onto, at: s.At, aim: s.Aim, dist: s.Dist, loss: loss}
	return k, s.Dist == nil || reflect.ValueOf(s.Dist).Comparable()
}

// scene returns the room's bare scene.
func (r *Rays) scene(of room.Room) Scene {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.bare == nil {
		s := NewScene(of)
		r.bare = &s
	}
	return *r.bare
}

// columns returns for every source that is lit what do gives for it full on, and
// keeps it; nil for a source without light. do is called once for all sources that
// are not kept.
func (r *Rays) columns(kept *map[rayKey][]float64, onto string, loss float64, sources []Source, do func(full []Source) [][]float64) [][]float64 {
	r.mu.Lock()
	defer r.mu.Unlock()
	if *kept == nil {
		*kept = map[rayKey][]float64{}
	}
	out := make([][]float64, len(sources))
	var full []Source
	var whose []int
	for i, s := range sources {
		if !(s.Level > 0) {
			continue
		}
		if k, ok := keyOf(s, onto, loss); ok {
			if out[i] = (*kept)[k]; out[i] != nil {
				continue
			}
		}
		s.Level = 1
		full, whose = append(full, s), append(whose, i)
	}
	for j, column := range do(full) {
		out[whose[j]] = column
		if k, ok := keyOf(full[j], onto, loss); ok {
			(*kept)[k] = column
		}
	}
	return out
}

// onPoints returns what every lit source full on gives at the points of a surface.
func (e *evaluator) onPoints(poly geom.Polygon, steps int, pts []Point) [][]float64 {
	return e.rays.columns(&e.rays.surfaces, fmt.Sprint(poly, steps), e.loss, e.in.Sources, func(full []Source) [][]float64 {
		out := make([][]float64, len(full))
		for i := range out {
			out[i] = make([]float64, len(pts))
		}
		if len(full) > 0 {
			parallel(len(pts), func(k int) {
				for i, s := range full {
					out[i][k] = e.plane(s, pts[k])
				}
			})
		}
		return out
	})
}

// first returns the flux in lumens that first reaches every patch of the room from
// all sources at their levels.
func (r *Rays) first(t *Transport, sources []Source) []float64 {
	columns := r.columns(&r.shots, "", 0, sources, func(full []Source) [][]float64 {
		var kept bundles
		out := make([][]float64, len(full))
		parallel(len(full), func(i int) { out[i] = t.shootKept(full[i], &kept) })
		return out
	})
	flux := make([]float64, t.Patches())
	for i, column := range columns {
		for j, v := range column {
			if v > 0 {
				flux[j] += sources[i].Level * v
			}
		}
	}
	return flux
}

// shootKept is shoot for a source full on. The house's own lamps hang where the
// survey says, under every scheme: what they shine at is kept with the room.
func (t *Transport) shootKept(s Source, kept *bundles) []float64 {
	k, ok := keyOf(s, "", 0)
	if !ok || s.Purpose != house {
		return t.shoot(s, kept)
	}
	return t.memo.shots.of(k, memoShots, func() []float64 { return t.shoot(s, kept) })
}
