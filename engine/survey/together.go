package survey

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"roodbeam/engine/geom"
)

// looseEigenShare is the eigenvalue, as a share of the largest, under which a
// direction counts as not fixed by the observations.
const looseEigenShare = 1e-12

// mostTogether bounds the points of one connected part for which covariances
// between points are worked out; beyond it they are left out.
const mostTogether = 150

// Together returns the covariances between pairs of solved points, in m²: for
// points i and k the block E[δi·δkᵀ]. It stands on the observations that the
// solution used. Pairs that no chain of observations joins err apart: their
// blocks are nought, as are those of parts of more than 150 points.
//
//	Σ = (JᵀWJ)⁺, W = diag(1/σ²)
//
// Source: C. D. Ghilani, Adjustment Computations, 5th ed. 2010, ch. 13 (from memory).
func (n Network) Together(s Solution, pairs [][2]int) [][3][3]float64 {
	out := make([][3][3]float64, len(pairs))
	groups := n.joined(s)
	at := make([]geom.Vec, len(n.Points))
	for i := range at {
		if i < len(s.Points) {
			at[i] = s.Points[i].At
		}
	}
	done := map[int]*partCovariance{}
	for k, p := range pairs {
		if p[0] < 0 || p[1] < 0 || p[0] >= len(s.Points) || p[1] >= len(s.Points) || groups[p[0]] != groups[p[1]] {
			continue
		}
		g := groups[p[0]]
		c, ok := done[g]
		if !ok {
			c = n.partCovariance(s, at, groups, g)
			done[g] = c
		}
		out[k] = c.block(p[0], p[1])
	}
	return out
}

// joined numbers the groups of points that observations join.
func (n Network) joined(s Solution) []int {
	root := make([]int, len(n.Points))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for i, o := range n.Observations {
		if i < len(s.Results) && !s.Results[i].Used {
			continue
		}
		ends := []int{o.From, o.At}
		if o.Kind == Parallel {
			ends = append(ends, o.With)
		}
		for _, other := range ends {
			if other >= 0 && o.To >= 0 {
				root[find(other)] = find(o.To)
			}
		}
	}
	for i := range root {
		root[i] = find(i)
	}
	return root
}

type partCovariance struct {
	column map[[2]int]int // point and axis → column
	q      *mat.SymDense
}

func (n Network) partCovariance(s Solution, at []geom.Vec, groups []int, group int) *partCovariance {
	c := &partCovariance{column: map[[2]int]int{}}
	points := 0
	for i, p := range n.Points {
		if groups[i] != group {
			continue
		}
		points++
		for axis := range 3 {
			if !p.Fixed[axis] {
				c.column[[2]int{i, axis}] = len(c.column)
			}
		}
	}
	m := len(c.column)
	if m == 0 || points > mostTogether {
		return c
	}
	normal := mat.NewSymDense(m, nil)
	var buf []partial
	for i, o := range n.Observations {
		if i < len(s.Results) && !s.Results[i].Used || o.To < 0 || groups[o.To] != group {
			continue
		}
		_, buf = o.predict(at, geom.Vec{}, buf[:0])
		w := 1 / (o.Sigma * o.Sigma)
		row := map[int]float64{}
		var cols []int
		for _, d := range buf {
			if k, ok := c.column[[2]int{d.point, d.axis}]; ok {
				if _, seen := row[k]; !seen {
					cols = append(cols, k)
				}
				row[k] += d.d
			}
		}
		for a, ka := range cols {
			for _, kb := range cols[a:] {
				normal.SetSym(ka, kb, normal.At(ka, kb)+w*row[ka]*row[kb])
			}
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(normal, true) {
		return c
	}
	values := eig.Values(nil)
	var v mat.Dense
	eig.VectorsTo(&v)
	largest := 0.0
	for _, e := range values {
		largest = math.Max(largest, e)
	}
	scaled := mat.NewDense(m, m, nil)
	for k, e := range values {
		if e <= looseEigenShare*largest {
			continue
		}
		for i := range m {
			scaled.Set(i, k, v.At(i, k)/math.Sqrt(e))
		}
	}
	c.q = mat.NewSymDense(m, nil)
	c.q.SymOuterK(1, scaled)
	return c
}

func (c *partCovariance) block(i, k int) (out [3][3]float64) {
	if c.q == nil {
		return out
	}
	for a := range 3 {
		ca, ok := c.column[[2]int{i, a}]
		if !ok {
			continue
		}
		for b := range 3 {
			if cb, ok := c.column[[2]int{k, b}]; ok {
				out[a][b] = c.q.At(ca, cb)
			}
		}
	}
	return out
}
