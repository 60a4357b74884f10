package light

import (
	"fmt"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// lamp is a light that may be seen in a mirror.
type lamp struct {
	name     string
	at       geom.Vec
	existing bool
	fate     string
	aim      geom.Vec // zero: shines all round
}

// mirrors finds every light, old or new, that a glossy surface throws into an
// eye in the seats or a camera.
func (e *evaluator) mirrors() {
	lamps := e.lamps()
	eyes := e.mirrorEyes()
	for _, g := range e.in.Room.Glosses {
		for _, l := range lamps {
			for _, w := range eyes {
				if at, ok := e.mirrored(l, g, w.At); ok {
					e.rep.Mirrors = append(e.rep.Mirrors, Mirror{
						Source: l.name, Existing: l.existing, Fate: l.fate, Gloss: g.Name, Eye: w.Name, At: at,
					})
				}
			}
		}
	}
}

// Reflection returns the point of a flat mirror in which an eye sees a source:
// where the line from the eye to the source's mirror image meets the polygon.
// False when either is behind or in the mirror's plane, taking its front as the
// source's side, or the point lies outside the polygon.
// Source: law of reflection, image construction.
func Reflection(source, eye geom.Vec, mirror geom.Polygon) (geom.Vec, bool) {
	if len(mirror) < 3 {
		return geom.Vec{}, false
	}
	n := mirror.Normal()
	hs, he := source.Sub(mirror[0]).Dot(n), eye.Sub(mirror[0]).Dot(n)
	if hs*he <= 0 {
		return geom.Vec{}, false
	}
	at := source.Sub(n.Scale(hs)).Lerp(eye.Sub(n.Scale(he)), hs/(hs+he))
	return at, insidePolygon(at, mirror)
}

func (e *evaluator) mirrored(l lamp, g room.Gloss, eye geom.Vec) (geom.Vec, bool) {
	at, ok := Reflection(l.at, eye, g.Polygon)
	if !ok {
		return at, false
	}
	if l.aim != (geom.Vec{}) && l.aim.Sub(l.at).Dot(at.Sub(l.at)) <= 0 {
		return at, false
	}
	if e.bare.Occluded(l.at, at) || e.bare.Occluded(at, shorten(at, eye, eyeRoomM)) {
		return at, false
	}
	return at, true
}

// lamps returns the lights that hang today, by their places, and the new units.
func (e *evaluator) lamps() []lamp {
	var out []lamp
	for _, g := range e.in.Survey.ExistingUnit {
		for i, p := range g.Places {
			at, ok := e.place(p)
			if !ok {
				continue
			}
			name := g.Name
			if len(g.Places) > 1 {
				name = fmt.Sprintf("%s %d", g.Name, i+1)
			}
			out = append(out, lamp{name: name, at: at, existing: true, fate: g.Fate})
		}
	}
	for _, s := range e.in.Sources {
		if s.Level > 0 && s.Purpose != house {
			out = append(out, lamp{name: s.ID, at: s.At, aim: s.Aim})
		}
	}
	return out
}

// place returns a surveyed place's point; false while a coordinate is unknown.
func (e *evaluator) place(p survey.Place) (geom.Vec, bool) {
	if p.Station != "" {
		for _, s := range e.in.Room.Stations {
			if s.Name == p.Station {
				return s.At, finite(s.At)
			}
		}
	}
	at := geom.Vec{X: p.X.Value.Metres(), Y: p.Y.Value.Metres(), Z: p.Z.Value.Metres()}
	return at, p.X.Set && p.Y.Set && p.Z.Set && finite(at)
}

// mirrorEyes returns the named eyes, the cameras, and the ends and middle of
// every first row.
func (e *evaluator) mirrorEyes() []room.Eye {
	out := append([]room.Eye(nil), e.in.Room.Eyes...)
	out = append(out, e.cameras()...)
	for _, r := range e.firstRows() {
		for _, part := range []struct {
			name string
			t    float64
		}{{"left end", 0}, {"middle", 0.5}, {"right end", 1}} {
			out = append(out, room.Eye{Name: part.name + " of the " + r.name, At: r.a.Lerp(r.b, part.t)})
		}
	}
	return out
}

// cameras returns the cameras whose place is known.
func (e *evaluator) cameras() []room.Eye {
	var out []room.Eye
	for _, c := range e.in.Brief.Cameras {
		if at, ok := CameraAt(c); ok {
			out = append(out, room.Eye{Name: called("camera", c.Name), At: at})
		}
	}
	return out
}

// CameraAt returns where a camera stands, metres; false where the brief does not
// say.
func CameraAt(c brief.Camera) (geom.Vec, bool) {
	at := geom.Vec{X: c.X.Value.Metres(), Y: c.Y.Value.Metres(), Z: c.Z.Value.Metres()}
	return at, c.X.Set && c.Y.Set && c.Z.Set && finite(at)
}
