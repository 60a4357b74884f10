package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
)

// unit returns one unit's own geometry, and its light at its aim alone, at full
// level and without loss factor.
func (e *evaluator) unit(s Source) Unit {
	u := Unit{
		ID:           s.ID,
		ElevationDeg: geom.ElevationDeg(s.Aim, s.At),
		BearingDeg:   geom.BearingDeg(s.Aim, s.At),
		ThrowM:       s.At.Sub(s.Aim).Norm(),
		UpperEdgeM:   math.NaN(),
	}
	u.FieldDiameterM = FieldDiameterM(u.ThrowM, s.field())
	full := s
	full.Level = 1
	c := Direct(full, Point{At: s.Aim, Normal: downstage}, e.sc)
	u.NormalLx, u.VerticalLx, u.Shadowed = c.NormalLx, c.Lx, c.Shadowed
	if wall, ok := wallBehind(e.in.Room); ok {
		u.UpperEdgeM = upperEdge(s, wall)
	}
	e.clearances(s, &u)
	e.lowestEye(s, &u)
	u.SigmaElevationDeg, u.SigmaThrowM = math.NaN(), math.NaN()
	if l, ok := e.lineOf(s); ok {
		u.SigmaElevationDeg = sigmaElevationDeg(s, l, e.in.Room)
		u.SigmaThrowM = e.in.Room.ThrowSigma(l, s.At, s.Aim)
	}
	return u
}

// FieldDiameterM returns the diameter in metres of the pool across the beam at
// a throw in metres: 2·d·tan(φ/2), φ the full field angle in degrees; infinite
// at 180°. Source: plane geometry.
func FieldDiameterM(throwM, fieldDeg float64) float64 {
	if fieldDeg >= 180 {
		return math.Inf(1)
	}
	return 2 * throwM * math.Tan(fieldDeg/2*math.Pi/180)
}

// wallBehind returns the wall behind the platform: the surface of that name,
// else the wall farthest upstage.
func wallBehind(r room.Room) (room.Surface, bool) {
	best, found, far := room.Surface{}, false, math.Inf(-1)
	for _, f := range r.Surfaces {
		if len(f.Polygon) < 3 {
			continue
		}
		if f.Name == "wall_behind" {
			return f, true
		}
		n := f.Polygon.Normal()
		if y := f.Polygon.Centroid().Y; f.Kind == "wall" && n.Y < -0.7 && y > far {
			best, found, far = f, true, y
		}
	}
	return best, found
}

// upperEdge returns the height in metres at which the upper edge of the field
// meets a wall's plane, along the beam's own line in plan:
//
//	lens z − (plan distance to the wall on that line) · tan(elevation − φ/2)
//
// with less than φ/2 where a blade from above stands in the field.
// It may lie above the ceiling or below the floor: then it meets those first.
// NaN when the beam does not go toward the wall, or its edge rises past the
// vertical. Source: plane geometry; the rule to compare it is common practice.
func upperEdge(s Source, wall room.Surface) float64 {
	d, ok := planDistance(s, wall.Polygon)
	rise := geom.ElevationDeg(s.Aim, s.At) - s.upperHalf()
	if !ok || rise <= -90 {
		return math.NaN()
	}
	return s.At.Z - d*math.Tan(rise*math.Pi/180)
}

// upperHalf returns the angle in degrees above the aim at which the field ends.
func (s Source) upperHalf() float64 {
	if cut, ok := s.Dist.(photometry.Cut); ok {
		return cut.UpperDeg(s.field())
	}
	return s.field() / 2
}

// planDistance returns the level distance in metres from the lens along the
// beam's line in plan to where it meets an upright polygon's plane from the
// front; false when it does not.
func planDistance(s Source, wall geom.Polygon) (float64, bool) {
	dir := s.Aim.Sub(s.At).Plan().Unit()
	n := wall.Normal().Plan()
	toward := dir.Dot(n)
	if len(wall) < 3 || toward > -1e-6 {
		return 0, false
	}
	d := wall[0].Sub(s.At).Plan().Dot(n) / toward
	return d, d > 0
}
