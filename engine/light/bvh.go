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
}

func (s *Scene) build() {
	if len(s.tris) == 0 {
		return
	}
	items := make([]item, len(s.tris))
	for i, t := range s.tris {
		lo, hi := t.box()
		items[i] = item{t, lo, hi, lo.Lerp(hi, 0.5)}
	}
	b := builder{nodes: make([]node, 0, 2*len(items)), tris: make([]tri, 0, len(items))}
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
	pad := geom.Vec{X: boxPadM, Y: boxPadM, Z: boxPadM}
	me := len(b.nodes)
	b.nodes = append(b.nodes, node{lo: lo.Sub(pad), hi: hi.Add(pad)})
	if len(items) <= leafSize {
		b.nodes[me].first, b.nodes[me].count = int32(len(b.tris)), int32(len(items))
		for _, it := range items {
			b.tris = append(b.tris, it.tri)
		}
		return
	}
	mid := partition(items, clo, chi, depth)
	b.split(items[:mid], depth+1)
	b.nodes[me].first = int32(len(b.nodes))
	b.split(items[mid:], depth+1)
}

// partition reorders the items and returns where the second half begins: the
// cheapest binned split, or the median where bins cannot part them or the tree
// has grown deep.
func partition(items []item, clo, chi geom.Vec, depth int) int {
	if depth < maxDepth/2 {
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
