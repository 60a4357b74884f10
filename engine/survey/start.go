package survey

import (
	"math"

	"roodbeam/engine/geom"
)

// start builds starting coordinates: fixed and near ones as given, then what
// offsets, heights and rises say directly, then plan positions by intersecting
// distances and angles, and last a place at the right distance to the left of the
// last known side, so that a room's corners come out in order round the floor.
type start struct {
	n     Network
	at    []geom.Vec
	known [][3]bool
	given [][3]bool          // fixed or near
	of    [][]int            // observations of each point
	climb map[[2]int]float64 // inclination from one point to another
	flips int                // bit k: take the other of two equal crossings at the k-th such choice
	even  int                // such choices so far
}

func newStart(n Network) *start {
	s := &start{n: n, at: make([]geom.Vec, len(n.Points)), known: make([][3]bool, len(n.Points)),
		of: make([][]int, len(n.Points)), climb: map[[2]int]float64{}}
	for i, p := range n.Points {
		for axis := range 3 {
			if p.Fixed[axis] {
				s.set(i, axis, coord(p.FixedAt, axis))
			} else if p.Near[axis] {
				s.set(i, axis, coord(p.NearAt, axis))
			}
		}
	}
	s.given = append([][3]bool(nil), s.known...)
	for i, o := range n.Observations {
		need, _ := endsOf(o.Kind)
		for k, p := range []int{o.From, o.At, o.To} {
			if need[k] {
				s.of[p] = append(s.of[p], i)
			}
		}
		if o.Kind == Incline {
			s.climb[[2]int{o.From, o.To}] = o.Value
			s.climb[[2]int{o.To, o.From}] = -o.Value
		}
	}
	return s
}

// mirrorsTried bounds the choices between two equal crossings that are tried both
// ways, and mirrorPoints the networks for which that is worth the time.
const (
	mirrorsTried = 5
	mirrorPoints = 200
	mirrorMiss   = 0.05 // mean miss in metres from which a start is doubted
)

func startingGuess(n Network) []geom.Vec {
	var best []geom.Vec
	least := math.Inf(1)
	for flips := 0; flips < 1<<mirrorsTried; flips++ {
		s := newStart(n)
		s.flips = flips
		s.run()
		if miss := s.miss(); miss < least*(1-1e-9) {
			best, least = s.at, miss
		}
		if flips+1 >= 1<<min(s.even, mirrorsTried) || least < mirrorMiss || len(n.Points) > mirrorPoints {
			break
		}
	}
	if best == nil {
		s := newStart(n)
		s.run()
		best = s.at
	}
	return best
}

func (s *start) run() {
	for range 4*len(s.n.Points) + 4 {
		if !s.direct() && !s.intersect(3) && !s.intersect(2) && !s.lift() && !s.fallback() {
			break
		}
	}
	s.unmirror()
}

// miss returns the mean absolute miss of the lengths in the network, in metres,
// each at most a metre.
func (s *start) miss() float64 {
	sum, n := 0.0, 0
	var buf []partial
	for _, o := range s.n.Observations {
		if angular(o.Kind) || o.Assumed {
			continue
		}
		var f float64
		f, buf = o.predict(s.at, geom.Vec{}, buf[:0])
		sum += math.Min(1, math.Abs(o.miss(f)))
		n++
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// choose returns the closest candidate; where another is as close, the bit of
// flips for this choice says which.
func (s *start) choose(candidates []geom.Vec, rs []ring, ys []ray) geom.Vec {
	best := closest(candidates, rs, ys)
	fit := misfit(best, rs, ys)
	for _, c := range candidates {
		if c.Sub(best).Norm() > 0.05 && misfit(c, rs, ys) < fit+1e-6 {
			s.even++
			if s.flips>>(s.even-1)&1 == 1 {
				return c
			}
			return best
		}
	}
	return best
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
		case Distance:
			if up, ok := s.climb[[2]int{o.From, o.To}]; ok {
				o.Value *= math.Sin(up)
				changed = s.along(o, 2) || changed
			}
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
	for _, k := range s.of[i] {
		o := s.n.Observations[k]
		if o.Kind != Distance && o.Kind != Horizontal {
			continue
		}
		other := o.From + o.To - i
		if !s.plan(other) {
			continue
		}
		r := o.Value
		if o.Kind == Distance {
			if up, ok := s.climb[[2]int{o.From, o.To}]; ok {
				r *= math.Cos(up)
			} else if s.known[i][2] && s.known[other][2] {
				dz := s.at[i].Z - s.at[other].Z
				r = math.Sqrt(math.Max(0, r*r-dz*dz))
			}
		}
		out = append(out, ring{s.at[other].Plan(), r, other})
	}
	return out
}

// ray is a known point from which the sought one is seen in a known direction.
type ray struct{ from, dir geom.Vec }

// rays lists the directions in which a point is seen from points known in plan.
func (s *start) rays(i int) []ray {
	var out []ray
	for _, k := range s.of[i] {
		o := s.n.Observations[k]
		if o.Kind != Angle || o.At == i || !s.plan(o.At) {
			continue
		}
		other, sign := o.To, 1.0
		if o.To == i {
			other, sign = o.From, -1
		}
		if !s.plan(other) {
			continue
		}
		az, _ := turn(s.at[o.At], s.at[other])
		az += sign * o.Value
		out = append(out, ray{s.at[o.At].Plan(), geom.Vec{X: math.Cos(az), Y: math.Sin(az)}})
	}
	return out
}

// candidates are the places a point may have in plan by two of its rings and rays.
func (s *start) candidates(i int, rs []ring, ys []ray) []geom.Vec {
	if len(rs) > 0 && s.known[i][0] {
		h := math.Sqrt(math.Max(0, rs[0].r*rs[0].r-sq(s.at[i].X-rs[0].centre.X)))
		return []geom.Vec{{X: s.at[i].X, Y: rs[0].centre.Y - h}, {X: s.at[i].X, Y: rs[0].centre.Y + h}}
	}
	if len(rs) > 0 && s.known[i][1] {
		h := math.Sqrt(math.Max(0, rs[0].r*rs[0].r-sq(s.at[i].Y-rs[0].centre.Y)))
		return []geom.Vec{{X: rs[0].centre.X + h, Y: s.at[i].Y}, {X: rs[0].centre.X - h, Y: s.at[i].Y}}
	}
	out := crossings(rs)
	for _, y := range ys {
		for _, r := range rs {
			if r.centre.Sub(y.from).Norm() < 1e-6 {
				out = append(out, y.from.Add(y.dir.Scale(r.r)))
			}
		}
		for _, z := range ys {
			cross := y.dir.X*z.dir.Y - y.dir.Y*z.dir.X
			d := z.from.Sub(y.from)
			if math.Abs(cross) < 0.02 || d.Norm() < 1e-6 {
				continue
			}
			if t := (d.X*z.dir.Y - d.Y*z.dir.X) / cross; t > 0 {
				out = append(out, y.from.Add(y.dir.Scale(t)))
			}
		}
	}
	return out
}

// intersect places the points that at least this many distances, angles and known
// coordinates fix.
func (s *start) intersect(least int) bool {
	placed := false
	for i := range s.n.Points {
		if s.plan(i) {
			continue
		}
		rs, ys := s.rings(i), s.rays(i)
		have := len(rs) + len(ys)
		if s.known[i][0] || s.known[i][1] {
			have += 2
		}
		if have < least {
			continue
		}
		candidates := s.candidates(i, rs, ys)
		if len(candidates) == 0 {
			continue
		}
		best := s.choose(candidates, rs, ys)
		s.set(i, 0, best.X)
		s.set(i, 1, best.Y)
		placed = true
		if least == 2 {
			return true // the next may now be fixed better
		}
	}
	return placed
}

// closest returns the candidate that misses distances and angles least.
func closest(candidates []geom.Vec, rs []ring, ys []ray) geom.Vec {
	best, fit := candidates[0], misfit(candidates[0], rs, ys)
	for _, c := range candidates[1:] {
		if f := misfit(c, rs, ys); f < fit-1e-9 {
			best, fit = c, f
		}
	}
	return best
}

// unmirror looks once more at the points that were placed by what was known at
// the time: two distances have two crossings.
func (s *start) unmirror() {
	for range 2 {
		for i := range s.n.Points {
			if s.given[i][0] || s.given[i][1] {
				continue
			}
			rs, ys := s.rings(i), s.rays(i)
			if len(rs)+len(ys) < 3 {
				continue
			}
			here := s.at[i].Plan()
			if best := closest(append([]geom.Vec{here}, s.candidates(i, rs, ys)...), rs, ys); best != here && !s.direction(i) {
				s.at[i].X, s.at[i].Y = best.X, best.Y
			}
		}
	}
}

// direction tells whether an offset or the like holds a coordinate of the point.
func (s *start) direction(i int) bool {
	for _, k := range s.of[i] {
		switch s.n.Observations[k].Kind {
		case OffsetX, OffsetY, SameY, CentredX:
			return true
		}
	}
	return false
}

// lift gives a height to a point that three slope distances fix in space: the
// upper one of the two places they cross in.
func (s *start) lift() bool {
	for i := range s.n.Points {
		if s.known[i][2] || s.given[i][0] {
			continue
		}
		var from []geom.Vec
		var d []float64
		for _, k := range s.of[i] {
			o := s.n.Observations[k]
			if other := o.From + o.To - i; o.Kind == Distance && s.plan(other) && s.known[other][2] {
				from, d = append(from, s.at[other]), append(d, o.Value)
			}
		}
		if len(d) < 3 {
			continue
		}
		p, ok := trilaterate(from, d)
		if !ok {
			continue
		}
		s.known[i] = [3]bool{true, true, true}
		s.at[i] = p
		return true
	}
	return false
}

// trilaterate returns the upper point at the distances d from points of about one
// height; false when they lie in one line.
func trilaterate(from []geom.Vec, d []float64) (geom.Vec, bool) {
	a := from[0]
	for j := 1; j < len(from); j++ {
		for k := j + 1; k < len(from); k++ {
			u, v := from[j].Sub(a), from[k].Sub(a)
			det := u.X*v.Y - u.Y*v.X
			if math.Abs(det) < 0.05*u.Norm()*v.Norm() {
				continue
			}
			ru, rv := (d[0]*d[0]-d[j]*d[j]+u.Dot(u))/2, (d[0]*d[0]-d[k]*d[k]+v.Dot(v))/2
			p := geom.Vec{X: (ru*v.Y - rv*u.Y) / det, Y: (rv*u.X - ru*v.X) / det}
			p.Z = math.Sqrt(math.Max(0, d[0]*d[0]-p.X*p.X-p.Y*p.Y))
			return a.Add(p), true
		}
	}
	return geom.Vec{}, false
}

// crossed is how many rings are crossed with each other: one wrong distance among
// them still leaves the right crossing.
const crossed = 6

// crossings returns the places where pairs of rings cross, of each pair the one to
// the left of the line between their centres first.
func crossings(rs []ring) []geom.Vec {
	var out []geom.Vec
	for i := 0; i < len(rs) && i < crossed; i++ {
		for j := i + 1; j < len(rs) && j < crossed; j++ {
			a, b := rs[i], rs[j]
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
			out = append(out, foot.Add(left.Scale(h)), foot.Sub(left.Scale(h)))
		}
	}
	return out
}

// misfit is the sum of absolute misses, so that one wrong number does not outweigh
// the right ones.
func misfit(p geom.Vec, rs []ring, ys []ray) float64 {
	var sum float64
	for _, r := range rs {
		sum += math.Abs(p.Sub(r.centre).Norm() - r.r)
	}
	for _, y := range ys {
		v := p.Sub(y.from)
		if along := v.Dot(y.dir); along > 0 {
			sum += math.Abs(v.X*y.dir.Y - v.Y*y.dir.X)
		} else {
			sum += v.Norm()
		}
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
	for _, k := range s.of[r.point] {
		o := s.n.Observations[k]
		if o.Kind != Distance && o.Kind != Horizontal {
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
