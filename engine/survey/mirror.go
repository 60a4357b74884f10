package survey

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"gonum.org/v1/gonum/mat"

	"roodbeam/engine/geom"
)

// Mirrored is a group of points that would agree with the measurements as well on
// the other side of a line or a level.
type Mirrored struct {
	Points []int      // of the network, in its order
	At     []geom.Vec // where they would stand then
	Level  bool       // below instead of above; else on the other side of a line in plan
	// Between are the points that the line runs through.
	Between []int
}

const (
	// mirrorMoved is by how much a point must move to be elsewhere, in metres.
	mirrorMoved = 0.05
	// mirrorLine is how far points may lie off one line or level and still be
	// mirrored about it, in metres: the mirror image misses by twice that.
	mirrorLine = 0.002
	// mirrorPairs bounds the networks whose every pair of points is tried as the
	// axis of a mirror.
	mirrorPairs = 40
	// mirrorCuts bounds the networks that are tried in pieces.
	mirrorCuts = 200
)

// Mirrored lists the points whose side nobody told and no measurement tells: two
// distances cross in two places, and a whole room that hangs on two corners can be
// turned over about the line between them. Points with a starting guess count as
// told.
func (s Solution) Mirrored() []Mirrored {
	m := mirrors{s: s, n: s.state.n, at: make([]geom.Vec, len(s.Points)), of: make([][]int, len(s.Points))}
	for i, p := range s.Points {
		m.at[i] = p.At
	}
	for i, o := range m.n.Observations {
		if !s.Results[i].Used {
			continue
		}
		for _, p := range pointsOf(o) {
			m.of[p] = append(m.of[p], i)
		}
	}
	var out []Mirrored
	taken := make([]bool, len(s.Points))
	add := func(group []int) {
		for _, p := range group {
			if taken[p] {
				return
			}
		}
		for _, level := range []bool{false, true} {
			if g, ok := m.over(group, level); ok {
				out = append(out, g)
				for _, p := range group {
					taken[p] = true
				}
				return
			}
		}
	}
	// The largest groups first: a room turned over is one doubt, not one per corner.
	for _, group := range m.groups() {
		add(group)
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Points[0] < out[k].Points[0] })
	return out
}

// pointsOf lists the points an observation needs.
func pointsOf(o Observation) (out []int) {
	need, _ := endsOf(o.Kind)
	for i, p := range []int{o.From, o.At, o.To} {
		if need[i] {
			out = append(out, p)
		}
	}
	if o.Kind == Parallel {
		out = append(out, o.With)
	}
	return out
}

type mirrors struct {
	s  Solution
	n  Network
	at []geom.Vec
	of [][]int // used observations of each point
}

// groups lists the sets of points that may turn over as one, the largest first.
func (m mirrors) groups() [][]int {
	seen := map[string]bool{}
	var out [][]int
	add := func(g []int) {
		key := fmt.Sprint(g)
		if len(g) > 0 && !seen[key] {
			seen[key] = true
			out = append(out, g)
		}
	}
	cut := make([]bool, len(m.at))
	m.parts(cut, add)
	for i := range m.at {
		if len(m.at) > mirrorCuts {
			add([]int{i})
			continue
		}
		cut[i] = true
		m.parts(cut, add)
		if len(m.at) <= mirrorPairs {
			for k := range i {
				cut[k] = true
				m.parts(cut, add)
				cut[k] = false
			}
		}
		cut[i] = false
		add([]int{i})
	}
	sort.SliceStable(out, func(i, k int) bool { return len(out[i]) > len(out[k]) })
	return out
}

// parts hands over the connected sets of points that are neither fixed in plan nor
// cut out.
func (m mirrors) parts(cut []bool, add func([]int)) {
	open := func(p int) bool { return !cut[p] && !(m.n.Points[p].Fixed[0] && m.n.Points[p].Fixed[1]) }
	seen := make([]bool, len(m.at))
	for i := range m.at {
		if seen[i] || !open(i) {
			continue
		}
		seen[i] = true
		group := []int{i}
		for k := 0; k < len(group); k++ {
			for _, o := range m.of[group[k]] {
				for _, p := range pointsOf(m.n.Observations[o]) {
					if !seen[p] && open(p) {
						seen[p] = true
						group = append(group, p)
					}
				}
			}
		}
		sort.Ints(group)
		add(group)
	}
}

// over turns a group over, about the line in plan or the level its neighbours lie
// on; false where that contradicts a measurement, moves nothing or was told.
func (m mirrors) over(group []int, level bool) (Mirrored, bool) {
	in := map[int]bool{}
	for _, p := range group {
		in[p] = true
		pt := m.n.Points[p]
		if !level && (pt.Near[0] && pt.Near[1]) || level && pt.Near[2] || strings.ContainsAny(m.s.Points[p].Loose, "xy") {
			return Mirrored{}, false
		}
	}
	var touched []int
	next := map[int]bool{}
	for _, p := range group {
		for _, o := range m.of[p] {
			touched = append(touched, o)
			for _, q := range pointsOf(m.n.Observations[o]) {
				if !in[q] {
					next[q] = true
				}
			}
		}
	}
	sort.Ints(touched)
	touched = compactInts(touched)
	between := make([]int, 0, len(next))
	for p := range next {
		between = append(between, p)
	}
	sort.Ints(between)
	flip, ok := m.flip(between, level)
	if !ok {
		return Mirrored{}, false
	}
	out := Mirrored{Points: group, Level: level, Between: between}
	moved := append([]geom.Vec(nil), m.at...)
	far := false
	for _, p := range group {
		moved[p] = flip(m.at[p])
		for axis := range 3 {
			if m.n.Points[p].Fixed[axis] && math.Abs(coord(moved[p], axis)-coord(m.at[p], axis)) > 1e-9 {
				return Mirrored{}, false
			}
		}
		d := moved[p].Sub(m.at[p]).Norm()
		far = far || d > mirrorMoved && d > 2*CriticalW*m.s.Points[p].Sigma().Norm()
		out.At = append(out.At, moved[p])
	}
	if !far || m.cost(touched, moved) > m.cost(touched, m.at)+CriticalW*CriticalW {
		return Mirrored{}, false
	}
	return out, true
}

func (m mirrors) cost(observations []int, at []geom.Vec) float64 {
	sum := 0.0
	for _, i := range observations {
		o := m.n.Observations[i]
		f, _ := o.predict(at, geom.Vec{}, nil)
		sum += sq(o.miss(f) / o.Sigma)
	}
	return sum
}

// flip is the mirror about the line in plan or the level that points lie on.
func (m mirrors) flip(points []int, level bool) (func(geom.Vec) geom.Vec, bool) {
	if level {
		if len(points) < 3 {
			return nil, false
		}
		z := m.at[points[0]].Z
		for _, p := range points {
			if math.Abs(m.at[p].Z-z) > mirrorLine {
				return nil, false
			}
		}
		return func(v geom.Vec) geom.Vec { v.Z = 2*z - v.Z; return v }, true
	}
	if len(points) < 2 {
		return nil, false
	}
	a, far := m.at[points[0]].Plan(), geom.Vec{}
	for _, p := range points {
		if d := m.at[p].Plan().Sub(a); d.Norm() > far.Norm() {
			far = d
		}
	}
	if far.Norm() < mirrorMoved {
		return nil, false
	}
	u := far.Unit()
	for _, p := range points {
		d := m.at[p].Plan().Sub(a)
		if math.Abs(d.X*u.Y-d.Y*u.X) > mirrorLine {
			return nil, false
		}
	}
	return func(v geom.Vec) geom.Vec {
		d := v.Plan().Sub(a)
		q := a.Add(u.Scale(2 * d.Dot(u))).Sub(d)
		q.Z = v.Z
		return q
	}, true
}

func compactInts(sorted []int) []int {
	var out []int
	for _, v := range sorted {
		if len(out) == 0 || out[len(out)-1] != v {
			out = append(out, v)
		}
	}
	return out
}

// rigidShare is how much of an open motion may be other than moving and turning
// a group as a whole.
const rigidShare = 1e-3

// Afloat is a group of points that hold together but are not tied down: all their
// open motions are those of a rigid body.
type Afloat struct {
	Points []int
	Moves  bool // it can be moved; else only turned
}

// Afloat lists the groups of two or more points that are open as a whole.
func (s Solution) Afloat() []Afloat {
	var out []Afloat
	for _, p := range s.state.parts {
		points := map[int]bool{}
		for _, c := range p.coords {
			points[c.point] = true
		}
		if len(p.null) == 0 || len(points) < 2 {
			continue
		}
		rigid, moves := s.state.rigid(p)
		if !rigid {
			continue
		}
		g := Afloat{Moves: moves}
		for i := range points {
			g.Points = append(g.Points, i)
		}
		sort.Ints(g.Points)
		out = append(out, g)
	}
	return out
}

// rigid tells whether all open motions of a part move it as a whole, what is fixed
// beside it included, and whether it can be moved without turning.
func (a *adjuster) rigid(p *part) (rigid, moves bool) {
	all := append([]coordinate(nil), p.coords...)
	there := map[coordinate]bool{}
	for _, c := range all {
		there[c] = true
	}
	for _, i := range p.obs {
		o := a.n.Observations[i]
		if pts := pointsOf(o); len(pts) < 2 {
			continue // it holds the point by itself, and no other
		}
		for _, c := range o.coordinates() {
			if !there[c] {
				there[c] = true
				all = append(all, c)
			}
		}
	}
	n := len(all)
	var centre geom.Vec
	for _, c := range all {
		setCoord(&centre, c.axis, coord(centre, c.axis)+coord(a.at[c.point], c.axis)/float64(n))
	}
	b := mat.NewDense(n, 6, nil)
	for i, c := range all {
		d := a.at[c.point].Sub(centre)
		b.Set(i, c.axis, 1)
		for k, v := range [3]float64{-d.Y, d.X, 0} {
			if c.axis == k {
				b.Set(i, 3, v)
			}
		}
		b.Set(i, 4, [3]float64{0, -d.Z, d.Y}[c.axis])
		b.Set(i, 5, [3]float64{d.Z, 0, -d.X}[c.axis])
	}
	var svd mat.SVD
	if !svd.Factorize(b, mat.SVDThin) {
		return false, false
	}
	var u mat.Dense
	svd.UTo(&u)
	values := svd.Values(nil)
	for _, null := range p.null {
		rest := append([]float64(nil), null...)
		rest = append(rest, make([]float64, n-len(null))...)
		whole := 0.0
		for _, v := range null {
			whole += v * v
		}
		for k, value := range values {
			if value < 1e-9*values[0] {
				continue
			}
			dot := 0.0
			for i, v := range null {
				dot += u.At(i, k) * v
			}
			for i := range n {
				rest[i] -= dot * u.At(i, k)
			}
		}
		left := 0.0
		for _, v := range rest {
			left += v * v
		}
		if left > rigidShare*rigidShare*whole {
			return false, false
		}
	}
	// A shift along an axis that the open motions hold whole.
	for axis := range 3 {
		length, held := 0.0, 0.0
		for _, c := range p.coords {
			if c.axis == axis {
				length++
			}
		}
		for _, null := range p.null {
			dot := 0.0
			for i, c := range p.coords {
				if c.axis == axis {
					dot += null[i]
				}
			}
			held += dot * dot
		}
		moves = moves || length > 0 && held > (1-rigidShare)*length
	}
	return true, moves
}

// Doubts are what an adjusted network leaves open beyond its numbers, for people:
// groups that may lie on the other side, and groups that hang on nothing.
func (s Solution) Doubts() []string {
	var out []string
	names := func(points []int) string {
		var t []string
		for k, p := range points {
			if k == doubtNames {
				t = append(t, fmt.Sprintf("%d more", len(points)-k))
				break
			}
			t = append(t, s.Points[p].Name)
		}
		return strings.Join(t, ", ")
	}
	for _, g := range s.Afloat() {
		how, fix := "turned", "Fix the direction to one of them, or measure it from another station that is tied."
		if g.Moves {
			how, fix = "moved or turned", "Fix one of them and the direction to another, or measure them from stations that are tied."
		}
		out = append(out, fmt.Sprintf("%s hold together, but not to a place: as a whole they can still be %s. %s", names(g.Points), how, fix))
	}
	for _, m := range s.Mirrored() {
		p := m.At[0]
		side := "on the other side of the line through " + names(m.Between)
		fix := "give a row near, or measure from a station off that line"
		if m.Level {
			side, fix = "below instead of above "+names(m.Between), "give a row near, or measure a height"
		}
		what := s.Points[m.Points[0]].Name
		if len(m.Points) > 1 {
			what = names(m.Points)
		}
		out = append(out, fmt.Sprintf("%s would agree as well %s: %s then stands at %.3f, %.3f, %.3f m. Nothing tells which; to tell, %s.", what, side, s.Points[m.Points[0]].Name, p.X, p.Y, p.Z, fix))
	}
	return out
}

// doubtNames bounds the names told in one doubt.
const doubtNames = 8
