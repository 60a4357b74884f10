package light

import (
	"math"
	"sort"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

// endMarginM is how close to an end of a segment a hit is ignored, in metres: it
// lets a point lie on a surface. A millimetre is below what anyone measures in
// a room and far above rounding at its size.
const endMarginM = 1e-3

// thinM is the width below which a thing throws no shadow worth naming: a rope
// or rod is narrower than a lens, so some light always passes it (common
// practice).
const thinM = 0.1

// Scene answers which straight lines through the room are blocked. It is built
// once and never changes, so that many goroutines may ask it.
type Scene struct {
	tris  []tri
	names []string
	nodes []node
}

// tri is a triangle by a corner and two edges, with its owner's index.
type tri struct {
	a, ab, ac geom.Vec
	owner     int32
}

// NewScene returns the scene of a room: every surface but windows, the screens,
// solids that stand there or are to come, and the beams whose width and depth
// are known. Light leaves through windows, and so does not come back from them.
func NewScene(r room.Room) Scene {
	s := sceneOf(r)
	s.build()
	return s
}

// sceneOf returns the scene of a room before its tree is built.
func sceneOf(r room.Room) Scene {
	var s Scene
	seen := map[string]bool{}
	for _, f := range r.Surfaces {
		seen[f.Name] = true
		if f.Kind != "window" && f.Kind != "opening" {
			s.add(f.Name, f.Polygon)
		}
	}
	for _, sc := range r.Screens {
		if !seen[sc.Name] {
			s.add(sc.Name, sc.Corners)
		}
	}
	for _, b := range r.Solids {
		seen[b.Name] = true
		if thickEnough(b.Faces) {
			s.add(b.Name, b.Faces...)
		}
	}
	for _, l := range r.Lines {
		if !seen[l.Name] {
			s.add(l.Name, beamBox(l)...)
		}
	}
	return s
}

// add appends the triangles of polygons under one name; degenerate and
// non-finite ones are left out.
func (s *Scene) add(name string, faces ...geom.Polygon) {
	owner := int32(len(s.names))
	s.names = append(s.names, name)
	for _, f := range faces {
		for _, t := range f.Triangles() {
			ab, ac := t[1].Sub(t[0]), t[2].Sub(t[0])
			if n := ab.Cross(ac).Norm(); n > 0 && !math.IsInf(n, 0) {
				s.tris = append(s.tris, tri{t[0], ab, ac, owner})
			}
		}
	}
}

// thickEnough tells whether a body is at least thinM wide in two directions.
func thickEnough(faces []geom.Polygon) bool {
	lo, hi := emptyBox()
	for _, f := range faces {
		for _, v := range f {
			lo, hi = grow(lo, hi, v)
		}
	}
	d := hi.Sub(lo)
	sizes := []float64{d.X, d.Y, d.Z}
	sort.Float64s(sizes)
	return sizes[1] >= thinM
}

// beamBox returns the faces of a solid beam over its underside; none for lines
// of another kind or of unknown section. Vertical lines have no underside.
func beamBox(l room.Line) []geom.Polygon {
	switch l.Kind {
	case "beam", "tie_beam", "purlin":
	default:
		return nil
	}
	w, d := l.Survey.Width.Or(0).Metres(), l.Survey.Depth.Or(0).Metres()
	along := l.To.Sub(l.From)
	side := geom.Vec{Z: 1}.Cross(along).Unit().Scale(w / 2)
	if !(w > 0) || !(d > 0) || side == (geom.Vec{}) {
		return nil
	}
	up := geom.Vec{Z: d}
	return prism([]geom.Vec{l.From.Add(side), l.To.Add(side), l.To.Sub(side), l.From.Sub(side)}, up)
}

// prism returns the faces of the body swept by a polygon along up.
func prism(base geom.Polygon, up geom.Vec) []geom.Polygon {
	n := len(base)
	top := make(geom.Polygon, n)
	for i, v := range base {
		top[i] = v.Add(up)
	}
	faces := []geom.Polygon{top}
	bottom := make(geom.Polygon, n)
	for i := range base {
		bottom[n-1-i] = base[i]
		j := (i + 1) % n
		faces = append(faces, geom.Polygon{base[i], base[j], top[j], top[i]})
	}
	return append(faces, bottom)
}

// Triangles returns every triangle that throws shadows, in the tree's order.
func (s Scene) Triangles() []geom.Triangle {
	out := make([]geom.Triangle, len(s.tris))
	for i, t := range s.tris {
		out[i] = geom.Triangle{t.a, t.a.Add(t.ab), t.a.Add(t.ac)}
	}
	return out
}

// Occluded tells whether anything stands between a and b. Hits within 1 mm of
// either end do not count; coincident or non-finite points are never occluded.
func (s Scene) Occluded(a, b geom.Vec) bool {
	_, hit := s.walk(a, b, false)
	return hit
}

// Blocked tells whether anything stands between a and b, and the name of what
// is nearest to a. Ends as in Occluded.
func (s Scene) Blocked(a, b geom.Vec) (name string, blocked bool) {
	if !s.Occluded(a, b) {
		return "", false
	}
	i, _ := s.walk(a, b, true)
	return s.names[s.tris[i].owner], true
}

// hit returns the parameter t in 0..1 along a+t·d at which the segment meets
// the triangle; false when it does not within (lo, hi). Triangles count a hair
// beyond their edges, so that light cannot leak through a shared edge.
// Source: Möller & Trumbore, Fast, Minimum Storage Ray/Triangle Intersection,
// Journal of Graphics Tools 2(1), 1997 (from memory).
// As for the race detector, see trace.
//
//go:norace
func (t *tri) hit(a, d geom.Vec, lo, hi float64) (float64, bool) {
	const edge = 1e-9 // share of an edge's length: rounding only
	p := d.Cross(t.ac)
	det := t.ab.Dot(p)
	if det == 0 {
		return 0, false
	}
	inv := 1 / det
	from := a.Sub(t.a)
	u := from.Dot(p) * inv
	if u < -edge || u > 1+edge {
		return 0, false
	}
	q := from.Cross(t.ab)
	v := d.Dot(q) * inv
	if v < -edge || u+v > 1+edge {
		return 0, false
	}
	at := t.ac.Dot(q) * inv
	return at, at > lo && at < hi
}

// margins returns the open interval of t in which hits count; false when the
// segment is too short or not finite.
func margins(d geom.Vec) (lo, hi float64, ok bool) {
	n := d.Norm()
	if !(n > 2*endMarginM) || math.IsInf(n, 0) {
		return 0, 0, false
	}
	m := endMarginM / n
	return m, 1 - m, true
}
