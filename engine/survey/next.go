package survey

import (
	"math"
	"sort"

	"roodbeam/engine/geom"
)

// Quantity is something the design depends on: a function of solved points, in
// metres or radians.
type Quantity struct {
	Name   string
	Unit   string  // "m" or "rad"
	Wanted float64 // the standard deviation that is enough, in the unit
	Points []int
	Of     func(at []geom.Vec) float64 // of the places of Points, in their order
}

// Candidate is a measurement that somebody could take.
type Candidate struct {
	Kind       Kind
	From, To   string // names as a person would write them
	Instrument Instrument
	Reference  string
	Sigma      float64 // expected, in metres or radians
	Minutes    float64 // two people, with the walk
	Ask        string  // for people
	Measures   Quantity
}

// Ranked is a candidate with what it would do.
type Ranked struct {
	Candidate
	// Leverage is aᵀQa/σ²: by how much less is known of the thing than the
	// measurement would tell. The determinant of the covariance falls to
	// 1/(1 + Leverage).
	Leverage float64
	// Gain is the sum of the variances it takes from the quantities, each in units
	// of the variance wanted.
	Gain float64
	// Rate is Gain per minute of work: what the ranking goes by.
	Rate    float64
	Effects []Effect // what narrows by at least a hundredth, the most first
}

// Effect is what a candidate does to one quantity, as standard deviations.
type Effect struct {
	Quantity      string
	Unit          string
	Before, After float64
}

// Measured returns an observation as what a candidate measures.
func Measured(o Observation) Quantity {
	q := Quantity{Unit: "m"}
	if angular(o.Kind) {
		q.Unit = "rad"
	}
	at := o
	need, _ := endsOf(o.Kind)
	place := func(p int) int {
		for i, k := range q.Points {
			if k == p {
				return i
			}
		}
		q.Points = append(q.Points, p)
		return len(q.Points) - 1
	}
	if need[0] {
		at.From = place(o.From)
	}
	if need[1] {
		at.At = place(o.At)
	}
	if need[2] {
		at.To = place(o.To)
	}
	if o.Kind == Parallel {
		at.With = place(o.With)
	}
	q.Of = func(v []geom.Vec) float64 {
		f, _ := at.predict(v, geom.Vec{}, nil)
		return f
	}
	return q
}

// difference is the step of the central differences that linearise a quantity, in
// metres: the error falls with its square and rounding rises under it; quantities
// of a room bend over metres.
const difference = 1e-4

// gradient linearises a quantity at the solved places.
func (a *adjuster) gradient(q Quantity) []partial {
	at := make([]geom.Vec, len(q.Points))
	for i, p := range q.Points {
		at[i] = a.at[p].Add(a.shift)
	}
	var out []partial
	for i, p := range q.Points {
		for axis := range 3 {
			if a.unknown[p][axis] < 0 {
				continue
			}
			c := coord(at[i], axis)
			setCoord(&at[i], axis, c+difference)
			up := q.Of(at)
			setCoord(&at[i], axis, c-difference)
			down := q.Of(at)
			setCoord(&at[i], axis, c)
			d := (up - down) / (2 * difference)
			if d != 0 && !math.IsNaN(d) && !math.IsInf(d, 0) {
				out = append(out, partial{p, axis, d})
			}
		}
	}
	return out
}

// SigmaOf returns a quantity's value at the solved places and its standard
// deviation by the covariance of the network; directions that nothing fixes count
// with 5 m.
func (s Solution) SigmaOf(q Quantity) (value, sigma float64) {
	at := make([]geom.Vec, len(q.Points))
	for i, p := range q.Points {
		at[i] = s.Points[p].At
	}
	v := s.state.vector(s.state.gradient(q))
	return q.Of(at), math.Sqrt(math.Max(0, s.state.product(v, v)))
}

// leastMinutes is what any measurement takes at least, with writing it down, in
// minutes (common practice).
const leastMinutes = 1

// RankNext orders candidates by how much they would narrow the quantities per minute
// of work, without solving anything again: a measurement with derivatives a and variance σ² takes
// (cᵀQa)²/(σ² + aᵀQa) from the variance of c. Candidates that narrow nothing are
// left out.
//
// Source: E. Grafarend, Optimisation of geodetic networks, 1974 (third-order
// design; from memory); the update is that of sequential least squares.
func (s Solution) RankNext(quantities []Quantity, candidates []Candidate) []Ranked {
	a := s.state
	targets := make([]vector, len(quantities))
	before := make([]float64, len(quantities))
	for i, q := range quantities {
		targets[i] = a.vector(a.gradient(q))
		before[i] = math.Max(0, a.product(targets[i], targets[i]))
	}
	var out []Ranked
	for _, c := range candidates {
		v := a.vector(a.gradient(c.Measures))
		own := math.Max(0, a.product(v, v))
		r := Ranked{Candidate: c, Leverage: own / sq(c.Sigma)}
		for i, q := range quantities {
			taken := sq(a.product(targets[i], v)) / (sq(c.Sigma) + own)
			r.Gain += taken / sq(q.Wanted)
			b, e := math.Sqrt(before[i]), math.Sqrt(math.Max(0, before[i]-taken))
			if b > 0 && e < 0.99*b {
				r.Effects = append(r.Effects, Effect{q.Name, q.Unit, b, e})
			}
		}
		r.Rate = r.Gain / math.Max(leastMinutes, c.Minutes)
		if r.Gain <= 0 || len(r.Effects) == 0 {
			continue
		}
		sort.SliceStable(r.Effects, func(i, k int) bool {
			x, y := r.Effects[i], r.Effects[k]
			return x.After/x.Before < y.After/y.Before-1e-9
		})
		out = append(out, r)
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Rate > out[k].Rate*(1+1e-9) })
	return out
}

// Coordinates are the free coordinates of a network as quantities: what to narrow
// where nothing else is wanted.
func (s Solution) Coordinates() []Quantity {
	var out []Quantity
	for i, p := range s.Points {
		for axis, name := range []string{"x", "y", "z"} {
			if s.state.unknown[i][axis] < 0 {
				continue
			}
			out = append(out, Quantity{Name: name + " of " + p.Name, Unit: "m", Wanted: 0.01, Points: []int{i},
				Of: func(at []geom.Vec) float64 { return coord(at[0], axis) }})
		}
	}
	return out
}

// roomHeight is the height of the highest room, handReach up to what height a tape or
// a laser can be held at a point from the floor, in metres (common practice).
const (
	roomHeight = 30
	handReach  = 2
)

// Pairs are the distances between all pairs of points of a network and the heights
// of its points as candidates, taken with an instrument of the given standard
// deviation in metres; at most limit of them, the shortest first. Pairs of fixed
// points tell nothing and are left out; so are, in a network no higher than a room,
// pairs of which neither end can be reached from the lowest point's level.
func (s Solution) Pairs(sigma float64, limit int) []Candidate {
	type pair struct {
		i, k int
		d    float64
	}
	var ps []pair
	free := make([]bool, len(s.Points))
	heights := false
	for i := range s.Points {
		for axis := range 3 {
			free[i] = free[i] || s.state.unknown[i][axis] >= 0
		}
		heights = heights || s.state.unknown[i][2] >= 0
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range s.Points {
		low, high = math.Min(low, p.At.Z), math.Max(high, p.At.Z)
	}
	reach := func(i int) bool { return high-low > roomHeight || s.Points[i].At.Z-low < handReach }
	for i := range s.Points {
		for k := i + 1; k < len(s.Points); k++ {
			if !reach(i) && !reach(k) {
				continue
			}
			if (free[i] || free[k]) && fixedFor(s.state.n.Points[i], Distance) && fixedFor(s.state.n.Points[k], Distance) {
				if d := s.Points[i].At.Sub(s.Points[k].At).Norm(); d > 0.1 {
					ps = append(ps, pair{i, k, d})
				}
			}
		}
	}
	sort.SliceStable(ps, func(i, k int) bool { return ps[i].d < ps[k].d })
	var out []Candidate
	if heights {
		for i, p := range s.Points {
			if s.state.unknown[i][2] >= 0 && len(out) < limit {
				o := Observation{Kind: Height, From: -1, At: -1, To: i}
				out = append(out, Candidate{Kind: Height, To: p.Name, Sigma: sigma, Measures: Measured(o), Minutes: 2,
					Ask: "Measure the height of " + p.Name + "."})
			}
		}
	}
	for _, p := range ps {
		if len(out) >= limit {
			break
		}
		o := Observation{Kind: Distance, From: p.i, At: -1, To: p.k}
		from, to := s.Points[p.i].Name, s.Points[p.k].Name
		out = append(out, Candidate{Kind: Distance, From: from, To: to, Sigma: sigma, Measures: Measured(o), Minutes: 3,
			Ask: "Measure the distance from " + from + " to " + to + "."})
	}
	return out
}
