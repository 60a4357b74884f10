package light

import (
	"math"

	"roodbeam/engine/room"
)

// Today is the room as it stands: with what is to go, without what is planned.
type Today struct {
	Room      room.Room
	Transport *Transport // its interreflection; nil leaves reflected light out
}

// ZoneToday is what a zone's faces receive today, all house and stage lights that
// hang there full on, in the room as it stands; vertical, averages over the same
// faces as in the finished room, with the maintenance factor.
type ZoneToday struct {
	Zone       string
	DirectLx   float64
	IndirectLx float64 // reflected
	AverageLx  float64 // both
}

// today fills what the zones receive today. Where the platform is to change, the
// faces stand where they will.
func (e *evaluator) today() {
	d := e.in.Today
	if d == nil {
		return
	}
	lights := HouseSources(d.Room, e.in.Survey, e.in.Catalogue, false)
	if len(lights) == 0 {
		e.limit("No existing light is surveyed with its power and count, so nothing is worked out for today.")
		return
	}
	e.limit("Today's figures take the surveyed lights full on, as lamps that shine all round; their shades are not surveyed.")
	sc := NewScene(d.Room)
	var field Field
	if d.Transport != nil && d.Transport.Patches() > 0 {
		var rays Rays // of another room than the scheme's, maybe
		field = d.Transport.Spread(rays.first(d.Transport, gathered(lights)))
	}
	out := make([]ZoneToday, len(e.rep.Zones))
	parallel(len(out), func(i int) {
		z := e.rep.Zones[i]
		out[i].Zone = z.Name
		n := float64(len(z.Faces))
		for _, f := range z.Faces {
			for _, s := range lights {
				out[i].DirectLx += e.loss * Direct(s, Point{At: f.At, Normal: f.Facing}, sc).Lx / n
			}
			if field.t != nil {
				out[i].IndirectLx += e.loss * field.t.Probe(f.At).Plane(field, f.Facing) / n
			}
		}
		out[i].AverageLx = out[i].DirectLx + out[i].IndirectLx
		if len(z.Faces) == 0 {
			out[i].DirectLx, out[i].IndirectLx, out[i].AverageLx = math.NaN(), math.NaN(), math.NaN()
		}
	})
	e.rep.Today = out
}
