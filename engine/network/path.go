package network

import (
	"math"

	"roodbeam/engine/geom"
)

// exactPathPoints is the largest count for which OpenPath is exact: the dynamic
// programme holds n·2ⁿ lengths, under 50 000 for twelve.
const exactPathPoints = 12

// Manhattan returns |Δx| + |Δy| + |Δz| in metres: the length of a cable that
// runs square to the building.
func Manhattan(a, b geom.Vec) float64 {
	return math.Abs(a.X-b.X) + math.Abs(a.Y-b.Y) + math.Abs(a.Z-b.Z)
}

// OpenPath returns the order in which one unbranched cable from start visits
// every point, and its length in metres in the Manhattan metric. The end is
// free. It is the shortest such path for up to twelve points (dynamic
// programming over subsets), else nearest neighbour improved by reversing
// stretches until nothing gets shorter. No points give an empty path.
//
// Source: M. Held and R. M. Karp, A dynamic programming approach to sequencing
// problems, J. SIAM 10 (1962) 196–210 (from memory); an unbranched data chain is
// an open travelling-salesman path from its source.
//
// A coordinate that is no number counts as 0, one beyond a thousand kilometres
// as that.
func OpenPath(start geom.Vec, points []geom.Vec) (order []int, lengthM float64) {
	start = finite(start)
	sane := make([]geom.Vec, len(points))
	for i, p := range points {
		sane[i] = finite(p)
	}
	points = sane
	switch n := len(points); {
	case n == 0:
		return nil, 0
	case n <= exactPathPoints:
		order = exactPath(start, points)
	default:
		order = improve(start, points, nearest(start, points))
	}
	at := start
	for _, i := range order {
		lengthM += Manhattan(at, points[i])
		at = points[i]
	}
	return order, lengthM
}

// farM is beyond any building and small enough that sums stay exact.
const farM = 1e6

func finite(v geom.Vec) geom.Vec {
	f := func(c float64) float64 {
		if math.IsNaN(c) {
			return 0
		}
		return math.Max(-farM, math.Min(farM, c))
	}
	return geom.Vec{X: f(v.X), Y: f(v.Y), Z: f(v.Z)}
}

func exactPath(start geom.Vec, pts []geom.Vec) []int {
	n := len(pts)
	full := 1 << n
	best := make([]float64, full*n) // best[set*n+last]: shortest path over set ending at last
	from := make([]int8, full*n)
	for i := range best {
		best[i] = math.Inf(1)
	}
	for i, p := range pts {
		best[(1<<i)*n+i], from[(1<<i)*n+i] = Manhattan(start, p), -1
	}
	for set := 1; set < full; set++ {
		for last := range n {
			b := best[set*n+last]
			if math.IsInf(b, 1) {
				continue
			}
			for next := range n {
				if set&(1<<next) != 0 {
					continue
				}
				k := (set|1<<next)*n + next
				if l := b + Manhattan(pts[last], pts[next]); l < best[k] {
					best[k], from[k] = l, int8(last)
				}
			}
		}
	}
	set, last := full-1, 0
	for i := range n {
		if best[set*n+i] < best[set*n+last] {
			last = i
		}
	}
	order := make([]int, n)
	for i := n - 1; i >= 0; i-- {
		order[i] = last
		prev := int(from[set*n+last])
		set &^= 1 << last
		last = max(prev, 0)
	}
	return order
}

func nearest(start geom.Vec, pts []geom.Vec) []int {
	used := make([]bool, len(pts))
	order := make([]int, 0, len(pts))
	for at := start; len(order) < len(pts); {
		pick := -1
		for i, p := range pts {
			if !used[i] && (pick < 0 || Manhattan(at, p) < Manhattan(at, pts[pick])) {
				pick = i
			}
		}
		used[pick] = true
		order = append(order, pick)
		at = pts[pick]
	}
	return order
}

// improve reverses stretches of the path while that shortens it (2-opt for an
// open path). minGainM keeps rounding noise from looping for ever.
func improve(start geom.Vec, pts []geom.Vec, order []int) []int {
	const minGainM = 1e-9
	at := func(i int) geom.Vec {
		if i < 0 {
			return start
		}
		return pts[order[i]]
	}
	for round := 0; round < len(pts)*len(pts); round++ {
		better := false
		for i := 0; i < len(order); i++ {
			for j := i + 1; j < len(order); j++ {
				gain := Manhattan(at(i-1), at(i)) - Manhattan(at(i-1), at(j))
				if j+1 < len(order) {
					gain += Manhattan(at(j), at(j+1)) - Manhattan(at(i), at(j+1))
				}
				if gain > minGainM {
					for a, b := i, j; a < b; a, b = a+1, b-1 {
						order[a], order[b] = order[b], order[a]
					}
					better = true
				}
			}
		}
		if !better {
			break
		}
	}
	return order
}
