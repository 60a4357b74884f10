package survey

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

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
	touched = slices.Compact(touched)
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
