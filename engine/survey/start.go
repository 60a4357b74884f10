package survey

import (
	"math"

	"roodbeam/engine/geom"
)

// start builds starting coordinates: fixed and near ones as given, then what
// offsets, heights and rises say directly, then plan positions by intersecting
// distances, and last a place at the right distance to the left of the last
// known side, so that a room's corners come out in order round the floor.
type start struct {
	n     Network
	at    []geom.Vec
	known [][3]bool
}

func startingGuess(n Network) []geom.Vec {
	s := &start{n, make([]geom.Vec, len(n.Points)), make([][3]bool, len(n.Points))}
	for i, p := range n.Points {
		for axis := range 3 {
			if p.Fixed[axis] {
				s.set(i, axis, coord(p.FixedAt, axis))
			} else if p.Near[axis] {
				s.set(i, axis, coord(p.NearAt, axis))
			}
		}
	}
	for range 4*len(n.Points) + 4 {
		if !s.direct() && !s.intersect() && !s.fallback() {
			break
		}
	}
	return s.at
}

func coord(v geom.Vec, axis int) float64 {
	switch axis {
	case 0:
		return v.X
	case 1:
		return v.Y
	}
	return v.Z
}

func setCoord(v *geom.Vec, axis int, c float64) {
	switch axis {
	case 0:
		v.X = c
	case 1:
		v.Y = c
	default:
		v.Z = c
	}
}

// set gives a coordinate its value once.
func (s *start) set(i, axis int, v float64) bool {
	if s.known[i][axis] {
		return false
	}
	s.known[i][axis] = true
	setCoord(&s.at[i], axis, v)
	return true
}

func (s *start) plan(i int) bool { return s.known[i][0] && s.known[i][1] }

// direct uses the observations that give a coordinate without geometry.
func (s *start) direct() bool {
	changed := false
	for _, o := range s.n.Observations {
		switch o.Kind {
		case OffsetX:
			changed = s.set(o.To, 0, o.Value) || changed
		case OffsetY:
			changed = s.set(o.To, 1, o.Value) || changed
		case Height:
			changed = s.set(o.To, 2, o.Value) || changed
		case Rise, SameHeight:
			changed = s.along(o, 2) || changed
		case SameY:
			changed = s.along(o, 1) || changed
		}
	}
	return changed
}

func (s *start) along(o Observation, axis int) bool {
	if s.known[o.From][axis] {
		return s.set(o.To, axis, coord(s.at[o.From], axis)+o.Value)
	}
	if s.known[o.To][axis] {
		return s.set(o.From, axis, coord(s.at[o.To], axis)-o.Value)
	}
	return false
}

// ring is a known point and the plan distance of the sought one from it.
type ring struct {
	centre geom.Vec
	r      float64
	point  int
}

// rings lists the distances from a point to points known in plan.
func (s *start) rings(i int) []ring {
	var out []ring
	for _, o := range s.n.Observations {
		if o.Kind != Distance && o.Kind != Horizontal {
			continue
		}
		other := -1
		switch i {
		case o.From:
			other = o.To
		case o.To:
			other = o.From
		}
		if other < 0 || !s.plan(other) {
			continue
		}
		r := o.Value
		if o.Kind == Distance && s.known[i][2] && s.known[other][2] {
			dz := s.at[i].Z - s.at[other].Z
			r = math.Sqrt(math.Max(0, r*r-dz*dz))
		}
		out = append(out, ring{s.at[other].Plan(), r, other})
	}
	return out
}

// intersect places one point from two or more distances, or from one distance
// and one known coordinate.
func (s *start) intersect() bool {
	for i := range s.n.Points {
		if s.plan(i) {
			continue
		}
		rs := s.rings(i)
		if len(rs) == 0 {
			continue
		}
		var candidates []geom.Vec
		switch {
		case s.known[i][0]:
			h := math.Sqrt(math.Max(0, rs[0].r*rs[0].r-sq(s.at[i].X-rs[0].centre.X)))
			candidates = []geom.Vec{{X: s.at[i].X, Y: rs[0].centre.Y - h}, {X: s.at[i].X, Y: rs[0].centre.Y + h}}
		case s.known[i][1]:
			h := math.Sqrt(math.Max(0, rs[0].r*rs[0].r-sq(s.at[i].Y-rs[0].centre.Y)))
			candidates = []geom.Vec{{X: rs[0].centre.X + h, Y: s.at[i].Y}, {X: rs[0].centre.X - h, Y: s.at[i].Y}}
		default:
			candidates = crossings(rs)
		}
		if len(candidates) == 0 {
			continue
		}
		best, fit := candidates[0], misfit(candidates[0], rs)
		for _, c := range candidates[1:] {
			if f := misfit(c, rs); f < fit-1e-9 {
				best, fit = c, f
			}
		}
		s.set(i, 0, best.X)
		s.set(i, 1, best.Y)
		return true
	}
	return false
}

// crossings returns the two places where the first two distinct rings cross,
// the one to the left of the line between their centres first.
func crossings(rs []ring) []geom.Vec {
	for j := 1; j < len(rs); j++ {
		a, b := rs[0], rs[j]
		d := b.centre.Sub(a.centre)
		l := d.Norm()
		if l < 1e-6 {
			continue
		}
		x := (a.r*a.r - b.r*b.r + l*l) / (2 * l)
		h := math.Sqrt(math.Max(0, a.r*a.r-x*x))
		u := d.Scale(1 / l)
		left := geom.Vec{X: -u.Y, Y: u.X}
		foot := a.centre.Add(u.Scale(x))
		return []geom.Vec{foot.Add(left.Scale(h)), foot.Sub(left.Scale(h))}
	}
	return nil
}

func misfit(p geom.Vec, rs []ring) float64 {
	var sum float64
	for _, r := range rs {
		sum += sq(p.Sub(r.centre).Norm() - r.r)
	}
	return sum
}

// fallback places one more point somewhere plausible; false when all are placed.
func (s *start) fallback() bool {
	for i := range s.n.Points {
		if s.plan(i) {
			continue
		}
		if rs := s.rings(i); len(rs) > 0 {
			p := s.turnLeft(rs[0])
			s.set(i, 0, p.X)
			s.set(i, 1, p.Y)
			return true
		}
	}
	for i := range s.n.Points {
		if !s.plan(i) {
			// Spread out, so that no two points coincide.
			s.set(i, 0, float64(i%7))
			s.set(i, 1, float64(i/7))
			return true
		}
	}
	for i := range s.n.Points {
		if !s.known[i][2] {
			return s.set(i, 2, 0)
		}
	}
	return false
}

// turnLeft goes the ring's distance from its centre, square to the left of a
// known side that ends there; along x where there is none.
func (s *start) turnLeft(r ring) geom.Vec {
	for _, o := range s.n.Observations {
		if o.Kind != Distance && o.Kind != Horizontal || (o.From != r.point && o.To != r.point) {
			continue
		}
		other := o.From + o.To - r.point
		if !s.plan(other) {
			continue
		}
		if d := r.centre.Sub(s.at[other].Plan()).Unit(); d.Norm() > 0 {
			return r.centre.Add(geom.Vec{X: -d.Y, Y: d.X}.Scale(r.r))
		}
	}
	return r.centre.Add(geom.Vec{X: r.r})
}

func sq(v float64) float64 { return v * v }
