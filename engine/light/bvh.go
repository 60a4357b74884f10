package light

import (
	"math"
	"sort"

	"roodbeam/engine/geom"
)

// node is one box of the bounding-volume tree. A leaf holds count triangles
// from first; an inner node's children are the next node and the one at first.
// Boxes are padded by boxPadM.
type node struct {
	lo, hi geom.Vec
	first  int32
	count  int32 // 0: inner node
}

const (
	leafSize = 2  // triangles in a leaf, unless they cannot be parted
	sahBins  = 16 // candidate splits per axis
	// boxPadM covers the hair by which triangles count beyond their edges: 1e-9
	// of an edge is under 1e-7 m in any room.
	boxPadM = 1e-7
	// maxDepth bounds the walk's stack. Below half of it splits halve the
	// count, so that 2^31 triangles fit.
	maxDepth = 64
)

func emptyBox() (lo, hi geom.Vec) {
	inf := math.Inf(1)
	return geom.Vec{X: inf, Y: inf, Z: inf}, geom.Vec{X: -inf, Y: -inf, Z: -inf}
}

func grow(lo, hi, v geom.Vec) (geom.Vec, geom.Vec) {
	return geom.Vec{X: math.Min(lo.X, v.X), Y: math.Min(lo.Y, v.Y), Z: math.Min(lo.Z, v.Z)},
		geom.Vec{X: math.Max(hi.X, v.X), Y: math.Max(hi.Y, v.Y), Z: math.Max(hi.Z, v.Z)}
}

func halfArea(lo, hi geom.Vec) float64 {
	d := hi.Sub(lo)
	if d.X < 0 {
		return 0
	}
	return d.X*d.Y + d.Y*d.Z + d.Z*d.X
}

func axisOf(v geom.Vec, axis int) float64 {
	switch axis {
	case 0:
		return v.X
	case 1:
		return v.Y
	}
	return v.Z
}

func (t *tri) box() (lo, hi geom.Vec) {
	lo, hi = grow(t.a, t.a, t.a.Add(t.ab))
	return grow(lo, hi, t.a.Add(t.ac))
}

func (t *tri) centre() geom.Vec {
	lo, hi := t.box()
	return lo.Lerp(hi, 0.5)
}

// build makes the tree by the surface-area heuristic over binned centroids and
// orders the triangles by leaf.
// Source: Wald, On fast construction of SAH-based bounding volume hierarchies,
// IEEE Symposium on Interactive Ray Tracing 2007 (from memory).
func (s *Scene) build() {
	if len(s.tris) > 0 {
		s.nodes = make([]node, 0, 2*len(s.tris))
		s.split(0, len(s.tris), 0)
	}
}

func (s *Scene) split(from, to, depth int) {
	lo, hi := emptyBox()
	for i := from; i < to; i++ {
		l, h := s.tris[i].box()
		lo, hi = grow(lo, hi, l)
		lo, hi = grow(lo, hi, h)
	}
	pad := geom.Vec{X: boxPadM, Y: boxPadM, Z: boxPadM}
	me := len(s.nodes)
	s.nodes = append(s.nodes, node{lo: lo.Sub(pad), hi: hi.Add(pad)})
	if to-from <= leafSize {
		s.nodes[me].first, s.nodes[me].count = int32(from), int32(to-from)
		return
	}
	mid := s.partition(from, to, depth)
	s.split(from, mid, depth+1)
	s.nodes[me].first = int32(len(s.nodes))
	s.split(mid, to, depth+1)
}

// partition reorders the triangles and returns where the second half begins:
// the cheapest binned split, or the median where bins cannot part them or the
// tree has grown deep.
func (s *Scene) partition(from, to, depth int) int {
	axis, at := -1, 0.0
	if depth < maxDepth/2 {
		axis, at = s.cheapest(from, to)
	}
	part := s.tris[from:to]
	if axis >= 0 {
		mid := 0
		for i := range part {
			if axisOf(part[i].centre(), axis) < at {
				part[i], part[mid] = part[mid], part[i]
				mid++
			}
		}
		if mid > 0 && mid < len(part) {
			return from + mid
		}
	}
	long := s.longest(from, to)
	sort.SliceStable(part, func(i, j int) bool {
		return axisOf(part[i].centre(), long) < axisOf(part[j].centre(), long)
	})
	return from + len(part)/2
}

func (s *Scene) centreBox(from, to int) (lo, hi geom.Vec) {
	lo, hi = emptyBox()
	for i := from; i < to; i++ {
		lo, hi = grow(lo, hi, s.tris[i].centre())
	}
	return lo, hi
}

func (s *Scene) longest(from, to int) int {
	lo, hi := s.centreBox(from, to)
	d := hi.Sub(lo)
	switch {
	case d.X >= d.Y && d.X >= d.Z:
		return 0
	case d.Y >= d.Z:
		return 1
	}
	return 2
}

type bin struct {
	lo, hi geom.Vec
	n      int
}

// cheapest returns the axis and coordinate of the split of least expected
// cost; axis −1 when all centroids coincide.
func (s *Scene) cheapest(from, to int) (axis int, at float64) {
	lo, hi := s.centreBox(from, to)
	best, axis := math.Inf(1), -1
	for a := range 3 {
		l, w := axisOf(lo, a), axisOf(hi, a)-axisOf(lo, a)
		if !(w > 0) {
			continue
		}
		bins := s.fillBins(from, to, a, l, w)
		for k := 1; k < sahBins; k++ {
			left, right := joinBins(bins[:k]), joinBins(bins[k:])
			cost := halfArea(left.lo, left.hi)*float64(left.n) + halfArea(right.lo, right.hi)*float64(right.n)
			if left.n > 0 && right.n > 0 && cost < best {
				best, axis, at = cost, a, l+w*float64(k)/sahBins
			}
		}
	}
	return axis, at
}

func (s *Scene) fillBins(from, to, axis int, lo, width float64) [sahBins]bin {
	var bins [sahBins]bin
	for k := range bins {
		bins[k].lo, bins[k].hi = emptyBox()
	}
	for i := from; i < to; i++ {
		k := int((axisOf(s.tris[i].centre(), axis) - lo) / width * sahBins)
		k = max(0, min(k, sahBins-1))
		l, h := s.tris[i].box()
		bins[k].lo, bins[k].hi = grow(bins[k].lo, bins[k].hi, l)
		bins[k].lo, bins[k].hi = grow(bins[k].lo, bins[k].hi, h)
		bins[k].n++
	}
	return bins
}

func joinBins(bins []bin) bin {
	var b bin
	b.lo, b.hi = emptyBox()
	for _, c := range bins {
		if c.n > 0 {
			b.lo, b.hi = grow(b.lo, b.hi, c.lo)
			b.lo, b.hi = grow(b.lo, b.hi, c.hi)
			b.n += c.n
		}
	}
	return b
}

// walk returns a triangle that the segment a–b meets: any one, or the nearest
// to a. It allocates nothing.
func (s *Scene) walk(a, b geom.Vec, nearest bool) (int32, bool) {
	d := b.Sub(a)
	lo, hi, ok := margins(d)
	if !ok || len(s.nodes) == 0 {
		return 0, false
	}
	inv := geom.Vec{X: 1 / d.X, Y: 1 / d.Y, Z: 1 / d.Z}
	var stack [maxDepth + 1]int32
	top, at := 0, int32(0)
	found, hit := int32(0), false
	for {
		n := &s.nodes[at]
		if n.meets(a, inv, lo, hi) {
			if n.count == 0 {
				stack[top] = n.first
				top++
				at++
				continue
			}
			for i := n.first; i < n.first+n.count; i++ {
				t, ok := s.tris[i].hit(a, d, lo, hi)
				if !ok {
					continue
				}
				found, hit = i, true
				if !nearest {
					return found, true
				}
				hi = t
			}
		}
		if top == 0 {
			return found, hit
		}
		top--
		at = stack[top]
	}
}

// meets tells whether the segment a + t·d, with inv = 1/d, passes the box for
// some t in lo..hi. A zero component of d gives infinities that the comparisons
// treat rightly, except 0·∞ on the box's own plane, which counts as inside.
// Source: the slab test, Williams et al., An efficient and robust ray–box
// intersection algorithm, Journal of Graphics Tools 10(1), 2005 (from memory).
func (n *node) meets(a, inv geom.Vec, lo, hi float64) bool {
	lo, hi = slab((n.lo.X-a.X)*inv.X, (n.hi.X-a.X)*inv.X, lo, hi)
	lo, hi = slab((n.lo.Y-a.Y)*inv.Y, (n.hi.Y-a.Y)*inv.Y, lo, hi)
	lo, hi = slab((n.lo.Z-a.Z)*inv.Z, (n.hi.Z-a.Z)*inv.Z, lo, hi)
	return lo <= hi
}

func slab(t0, t1, lo, hi float64) (float64, float64) {
	if t0 > t1 {
		t0, t1 = t1, t0
	}
	if t0 > lo {
		lo = t0
	}
	if t1 < hi {
		hi = t1
	}
	return lo, hi
}
