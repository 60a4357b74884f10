package light

import (
	"math"
	"sort"

	"roodbeam/engine/geom"
)

// node is one box of the bounding-volume tree in single precision, by centre
// and half extents; two fill a cache line. Nodes stand in depth-first order: a
// segment that meets the box goes on with the next node, one that misses it
// with the node at skip, so that a walk needs no stack.
type node struct {
	cx, cy, cz float32
	hx, hy, hz float32
	skip       int32
	leaf       leaf
}

// leaf is the range of a leaf's triangles: the first and, in the top bits, how
// many. 0 is an inner node.
type leaf uint32

const (
	countAt        = 28
	firstMask leaf = 1<<countAt - 1

	leafSize = 2  // triangles in a leaf
	sahBins  = 16 // candidate splits per axis
	// boxPadM widens the boxes. It covers the hair by which triangles count
	// beyond their edges (1e-9 of an edge is under 1e-7 m in any room) and the
	// rounding of planes, ends and products to single precision (6e-8 of 100 m);
	// boxPadShare does so for larger coordinates.
	boxPadM     = 1e-4
	boxPadShare = 1e-6
	// medianDepth is the depth from which splits halve the count, so that the
	// builder's recursion stays bounded.
	medianDepth = 32
)

func newLeaf(first, count int) leaf { return leaf(count)<<countAt | leaf(first) }

func (l leaf) triangles() (from, to int) {
	from = int(l & firstMask)
	return from, from + int(l>>countAt)
}

func emptyBox() (lo, hi geom.Vec) {
	inf := math.Inf(1)
	return geom.Vec{X: inf, Y: inf, Z: inf}, geom.Vec{X: -inf, Y: -inf, Z: -inf}
}

func grow(lo, hi, v geom.Vec) (geom.Vec, geom.Vec) {
	return geom.Vec{X: math.Min(lo.X, v.X), Y: math.Min(lo.Y, v.Y), Z: math.Min(lo.Z, v.Z)},
		geom.Vec{X: math.Max(hi.X, v.X), Y: math.Max(hi.Y, v.Y), Z: math.Max(hi.Z, v.Z)}
}

func join(lo, hi, lo2, hi2 geom.Vec) (geom.Vec, geom.Vec) {
	return geom.Vec{X: math.Min(lo.X, lo2.X), Y: math.Min(lo.Y, lo2.Y), Z: math.Min(lo.Z, lo2.Z)},
		geom.Vec{X: math.Max(hi.X, hi2.X), Y: math.Max(hi.Y, hi2.Y), Z: math.Max(hi.Z, hi2.Z)}
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

// item is a triangle with its box and the box's centre, while the tree is built.
type item struct {
	tri
	lo, hi, centre geom.Vec
}

// builder makes the tree by the surface-area heuristic over binned centres and
// puts the triangles in the order of the leaves.
// Source: Wald, On fast construction of SAH-based bounding volume hierarchies,
// IEEE Symposium on Interactive Ray Tracing 2007 (from memory).
type builder struct {
	nodes []node
	tris  []tri
	pad   float64
}

func (s *Scene) build() {
	if len(s.tris) == 0 {
		return
	}
	items := make([]item, len(s.tris))
	lo, hi := emptyBox()
	for i, t := range s.tris {
		tlo, thi := t.box()
		items[i] = item{t, tlo, thi, tlo.Lerp(thi, 0.5)}
		lo, hi = join(lo, hi, tlo, thi)
	}
	far := math.Max(math.Max(math.Max(-lo.X, -lo.Y), math.Max(-lo.Z, hi.X)), math.Max(hi.Y, hi.Z))
	b := builder{nodes: make([]node, 0, 2*len(items)), tris: make([]tri, 0, len(items)), pad: boxPadM + boxPadShare*far}
	b.split(items, 0)
	s.nodes, s.tris = b.nodes, b.tris
}

func (b *builder) split(items []item, depth int) {
	lo, hi := emptyBox()
	clo, chi := emptyBox() // of the centres
	for i := range items {
		lo, hi = join(lo, hi, items[i].lo, items[i].hi)
		clo, chi = grow(clo, chi, items[i].centre)
	}
	c, h := lo.Lerp(hi, 0.5), hi.Sub(lo).Scale(0.5)
	me := len(b.nodes)
	b.nodes = append(b.nodes, node{cx: float32(c.X), cy: float32(c.Y), cz: float32(c.Z),
		hx: float32(h.X + b.pad), hy: float32(h.Y + b.pad), hz: float32(h.Z + b.pad)})
	if len(items) <= leafSize {
		b.nodes[me].leaf = newLeaf(len(b.tris), len(items))
		for _, it := range items {
			b.tris = append(b.tris, it.tri)
		}
	} else {
		mid := partition(items, clo, chi, depth)
		b.split(items[:mid], depth+1)
		b.split(items[mid:], depth+1)
	}
	b.nodes[me].skip = int32(len(b.nodes))
}

// partition reorders the items and returns where the second half begins: the
// cheapest binned split, or the median where bins cannot part them or the tree
// has grown deep.
func partition(items []item, clo, chi geom.Vec, depth int) int {
	if depth < medianDepth {
		if axis, at := cheapest(items, clo, chi); axis >= 0 {
			mid := 0
			for i := range items {
				if axisOf(items[i].centre, axis) < at {
					items[i], items[mid] = items[mid], items[i]
					mid++
				}
			}
			if mid > 0 && mid < len(items) {
				return mid
			}
		}
	}
	long := longest(chi.Sub(clo))
	sort.SliceStable(items, func(i, j int) bool {
		return axisOf(items[i].centre, long) < axisOf(items[j].centre, long)
	})
	return len(items) / 2
}

func longest(d geom.Vec) int {
	switch {
	case d.X >= d.Y && d.X >= d.Z:
		return 0
	case d.Y >= d.Z:
		return 1
	}
	return 2
}

// bin gathers the boxes whose centres fall in one slice along an axis.
type bin struct {
	lo, hi geom.Vec
	n      int
}

func (b *bin) add(lo, hi geom.Vec, n int) {
	b.lo, b.hi = join(b.lo, b.hi, lo, hi)
	b.n += n
}

func (b *bin) cost() float64 { return halfArea(b.lo, b.hi) * float64(b.n) }

func emptyBin() bin {
	lo, hi := emptyBox()
	return bin{lo: lo, hi: hi}
}

// cheapest returns the axis and coordinate of the split of least expected
// cost; axis −1 when all centres coincide.
func cheapest(items []item, clo, chi geom.Vec) (axis int, at float64) {
	best, axis := math.Inf(1), -1
	for a := range 3 {
		l, w := axisOf(clo, a), axisOf(chi, a)-axisOf(clo, a)
		if !(w > 0) {
			continue
		}
		bins := fillBins(items, a, l, w)
		var right [sahBins]bin // everything from a bin on
		sum := emptyBin()
		for k := sahBins - 1; k > 0; k-- {
			sum.add(bins[k].lo, bins[k].hi, bins[k].n)
			right[k] = sum
		}
		left := emptyBin()
		for k := 1; k < sahBins; k++ {
			left.add(bins[k-1].lo, bins[k-1].hi, bins[k-1].n)
			if c := left.cost() + right[k].cost(); left.n > 0 && right[k].n > 0 && c < best {
				best, axis, at = c, a, l+w*float64(k)/sahBins
			}
		}
	}
	return axis, at
}

func fillBins(items []item, axis int, lo, width float64) (bins [sahBins]bin) {
	for k := range bins {
		bins[k] = emptyBin()
	}
	for i := range items {
		k := int((axisOf(items[i].centre, axis) - lo) / width * sahBins)
		bins[max(0, min(k, sahBins-1))].add(items[i].lo, items[i].hi, 1)
	}
	return bins
}

func abs32(v float32) float32 { return math.Float32frombits(math.Float32bits(v) &^ (1 << 31)) }

// half returns half a vector in single precision and its absolute values.
func half(d geom.Vec) (hx, hy, hz, ax, ay, az float32) {
	hx, hy, hz = float32(d.X)*0.5, float32(d.Y)*0.5, float32(d.Z)*0.5
	return hx, hy, hz, abs32(hx), abs32(hy), abs32(hz)
}

// walk returns a triangle that the segment a–b meets: any one, or the nearest
// to a. It allocates nothing.
func (s *Scene) walk(a, b geom.Vec, nearest bool) (int32, bool) {
	i, _ := s.trace(a, b.Sub(a), nearest)
	return i, i >= 0
}

// trace returns the triangle that a + t·d meets within the margins of its ends,
// any one or the one of least t, and its t; −1 when there is none.
//
// A box is left out when one of six axes parts it from the segment: the three
// of the room and their cross products with the segment. That needs no
// division, and seldom more than three comparisons.
// Source: separating axes of a box and a segment, Ericson, Real-Time Collision
// Detection, 2005, 5.3.3 (from memory).
//
// The race detector does not follow the reads in here: a scene is written by
// build alone, before anyone has it, and telling of every read would take the
// tests of whole rooms an hour.
//
//go:norace
func (s *Scene) trace(a, d geom.Vec, nearest bool) (int32, float64) {
	// The segment's middle m, half vector h and its absolute values, as plain
	// variables: the compiler keeps those in registers, and a struct of them not.
	hx, hy, hz, ax, ay, az := half(d)
	mx, my, mz := float32(a.X)+hx, float32(a.Y)+hy, float32(a.Z)+hz
	found, lo, hi := int32(-1), 0.0, 0.0
	for i := 0; i < len(s.nodes); {
		n := &s.nodes[i]
		z := n.cz - mz
		if r := n.hz + az; z > r || z < -r {
			i = int(n.skip)
			continue
		}
		y := n.cy - my
		if r := n.hy + ay; y > r || y < -r {
			i = int(n.skip)
			continue
		}
		x := n.cx - mx
		if r := n.hx + ax; x > r || x < -r {
			i = int(n.skip)
			continue
		}
		if v, r := y*hz-z*hy, n.hy*az+n.hz*ay; v > r || v < -r {
			i = int(n.skip)
			continue
		}
		if v, r := z*hx-x*hz, n.hz*ax+n.hx*az; v > r || v < -r {
			i = int(n.skip)
			continue
		}
		if v, r := x*hy-y*hx, n.hx*ay+n.hy*ax; v > r || v < -r {
			i = int(n.skip)
			continue
		}
		i++
		if n.leaf == 0 {
			continue
		}
		if hi == 0 { // seldom reached, so the root and the division wait until here
			var ok bool
			if lo, hi, ok = margins(d); !ok {
				return -1, 0
			}
		}
		t, k := s.inLeaf(n.leaf, a, d, lo, hi)
		if k < 0 {
			continue
		}
		if found, hi = k, t; !nearest {
			break
		}
		hx, hy, hz, ax, ay, az = half(d.Scale(hi))
		mx, my, mz = float32(a.X)+hx, float32(a.Y)+hy, float32(a.Z)+hz
	}
	return found, hi
}

// inLeaf returns the least t at which a + t·d meets a leaf's triangles within
// (lo, hi), and which; −1 when it meets none. As for the race detector, see trace.
//
//go:norace
func (s *Scene) inLeaf(l leaf, a, d geom.Vec, lo, hi float64) (float64, int32) {
	found := int32(-1)
	from, to := l.triangles()
	for k := from; k < to; k++ {
		if t, ok := s.tris[k].hit(a, d, lo, hi); ok {
			found, hi = int32(k), t
		}
	}
	return hi, found
}
