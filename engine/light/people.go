package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

// People in the light's way, as plain bodies. Source: about an adult's measures,
// common practice.
const (
	overEyesM   = 0.12 // top of the head over the eyes
	standingUpM = 1.75 // height of a standing person
	rowDeepM    = 0.30
	shoulderM   = 0.45 // width of the shoulders
	chestM      = 0.25 // depth of the chest
	underFaceM  = 0.25 // of the shoulders under the face
	behindFaceM = 0.20 // of the chest's middle behind the face
	seatFloorM  = 1.2  // of seated eyes over their floor
)

// Words of the brief for people in the light's way.
const (
	peopleSeated   = "seated"
	peopleStanding = "standing"
)

// withPeople returns the room's scene with the people of the brief's wish in the
// way of light: every row of seats filled, seated or standing, and the shoulders
// and bodies of those at the key places. Heads at key places are left out, so
// that nobody shades their own face.
func (e *evaluator) withPeople() Scene {
	how := e.in.Brief.PeopleInWay
	if how != peopleSeated && how != peopleStanding {
		return e.bare
	}
	s := sceneOf(e.in.Room)
	for _, block := range e.in.Room.Seating {
		for _, row := range block.Rows {
			s.add("people in "+block.Name, rowOf(row, how == peopleStanding)...)
		}
	}
	for _, z := range e.in.Brief.Zones {
		for i, f := range z.Faces {
			p, ok := e.keyPlace(z, f, i)
			if floor := e.levelZ(z.Level, p.At.X, p.At.Y); ok && p.At.Z-underFaceM > floor {
				s.add("the person at "+p.Name, bodyAt(p, floor)...)
			}
		}
	}
	s.build()
	e.limit("People in the seats, " + how + ", and at the key places stand in the way of direct light; reflected light goes through them.")
	return s
}

// rowOf returns the body of a filled row.
func rowOf(row room.SeatRow, standing bool) []geom.Polygon {
	along := row.Right.Sub(row.Left)
	if !finite(along) || along.Plan().Norm() == 0 {
		return nil
	}
	deep := geom.Vec{Z: 1}.Cross(along).Unit().Scale(rowDeepM / 2)
	top := overEyesM
	if standing {
		top = standingUpM - seatFloorM
	}
	down, up := geom.Vec{Z: -seatFloorM}, geom.Vec{Z: seatFloorM + top}
	a, b := row.Left.Add(down), row.Right.Add(down)
	return prism(geom.Polygon{a.Add(deep), a.Sub(deep), b.Sub(deep), b.Add(deep)}, up)
}

// bodyAt returns the body under a face that stands on a floor at a height in
// metres.
func bodyAt(p Point, floor float64) []geom.Polygon {
	ahead := p.Normal.Plan().Unit()
	across := ahead.Cross(geom.Vec{Z: 1}).Scale(shoulderM / 2)
	if ahead == (geom.Vec{}) || !finite(p.At) || math.IsInf(floor, 0) {
		return nil
	}
	c := p.At.Sub(ahead.Scale(behindFaceM))
	c.Z = floor
	half := ahead.Scale(chestM / 2)
	return prism(geom.Polygon{c.Add(half).Add(across), c.Add(half).Sub(across), c.Sub(half).Sub(across), c.Sub(half).Add(across)},
		geom.Vec{Z: p.At.Z - underFaceM - floor})
}
