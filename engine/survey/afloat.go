package survey

import (
	"sort"

	"gonum.org/v1/gonum/mat"

	"roodbeam/engine/geom"
)

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
