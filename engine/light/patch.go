package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

const (
	// patchesWanted is about how many patches a room is split into; patchLeastM
	// and patchMostM bound their side in metres. Halving the side changes the
	// indirect light of a plain room by under 1 % (a test holds this).
	patchesWanted = 500
	patchLeastM   = 0.6
	patchMostM    = 3
	// overlayM is how far before a wall a picture or a window counts as lying
	// on it.
	overlayM = 0.3
	// liftM lifts a patch's sample point off a picture that lies on it.
	liftM = 2e-3
	// solidFaceM2 is the area from which the face of a solid takes part in the
	// exchange of light; smaller ones only block.
	solidFaceM2 = 1
	// solidReflectance of furniture and members nobody described: dark wood and
	// cloth. Source: common practice.
	solidReflectance = 0.3
	// backReflectance of the back of a hanging picture. Source: common practice.
	backReflectance = 0.3
	// highestReflectance bounds what a surface may reflect, so that light dies
	// out; fresh magnesium oxide reflects about 0.97 (from memory).
	highestReflectance = 0.97
)

// sheetOf is one polygon that takes part in the exchange of light, or only blocks
// it (no patches), with the grid of its patches.
type sheetOf struct {
	name    string
	kind    string // of the surface; empty: a solid
	poly    geom.Polygon
	normal  geom.Vec
	rho     float64
	patches bool
	// The grid: origin, axes and steps in the polygon's plane.
	origin, u, v geom.Vec
	du, dv       float64
	nu, nv       int
	at           []int32 // patch of each cell, −1 none
	twins        []int   // sheets that share the plane and look the other way
	overlays     []int   // of the list of pictures and windows that lie on it
}

// overlay is a picture or window that lies on a wall.
type overlay struct {
	name   string
	poly   geom.Polygon
	normal geom.Vec
	rho    float64
	solid  bool // in the scene: rays start before it
}

// patch is a small convex part of a sheet.
type patch struct {
	sheet  int32
	poly   geom.Polygon
	centre geom.Vec
	normal geom.Vec
	area   float64 // of what is not covered, m²
	whole  float64 // with what is covered, m²
	rho    float64
	size   float64 // diameter, m
	// Sample points with their shares of the area.
	pts     []geom.Vec
	weights []float64
	over    []float64 // share covered by each overlay of the sheet
	lifts   []float64 // how far each corner's point stands before the plane, none: nowhere
}

// sheets returns everything that blocks or reflects light in the room, and the
// pictures and windows that lie on it.
func sheets(r room.Room) ([]sheetOf, []overlay) {
	var out []sheetOf
	var thin []overlay
	add := func(name, kind string, poly geom.Polygon, rho float64, patches bool) {
		n := poly.Normal()
		if len(poly) < 3 || n == (geom.Vec{}) || !finite(n) || !(poly.Area() > 0) || math.IsInf(poly.Area(), 0) {
			return
		}
		if !(rho >= 0) {
			rho = 0
		}
		out = append(out, sheetOf{name: name, kind: kind, poly: poly, normal: n, rho: math.Min(rho, highestReflectance), patches: patches})
	}
	seen := map[string]bool{}
	for _, f := range r.Surfaces {
		seen[f.Name] = true
		if f.Kind == "screen" || f.Kind == "window" || f.Kind == "opening" {
			thin = append(thin, overlay{f.Name, f.Polygon, f.Polygon.Normal(), f.Reflectance, f.Kind == "screen"})
			continue
		}
		add(f.Name, f.Kind, f.Polygon, f.Reflectance, true)
	}
	for _, sc := range r.Screens {
		if !screenIn(r.Surfaces, sc) {
			thin = append(thin, overlay{sc.Name, sc.Corners, sc.Corners.Normal(), 0.8, true})
		}
	}
	for _, b := range r.Solids {
		seen[b.Name] = true
		if !thickEnough(b.Faces) {
			continue
		}
		rho := b.Reflectance
		if !(rho > 0) {
			rho = solidReflectance
		}
		for _, f := range b.Faces {
			add(b.Name, "", f, rho, f.Area() >= solidFaceM2)
		}
	}
	for _, l := range r.Lines {
		if !seen[l.Name] {
			for _, f := range beamBox(l) {
				add(l.Name, "", f, solidReflectance, f.Area() >= solidFaceM2)
			}
		}
	}
	var lying []overlay
	for _, o := range thin {
		if o.normal == (geom.Vec{}) || !finite(o.normal) {
			continue
		}
		on := false
		for i := range out {
			if out[i].carries(o) {
				out[i].overlays = append(out[i].overlays, len(lying))
				on = true
			}
		}
		switch {
		case on:
			lying = append(lying, o)
		case o.solid: // it hangs free: both sides take part
			add(o.name, "screen", o.poly, o.rho, true)
			add(o.name+" (back)", "", reversed(o.poly), backReflectance, true)
		}
	}
	for i := range out {
		for j := range out {
			if out[i].normal.Dot(out[j].normal) < -0.999 && math.Abs(out[j].poly[0].Sub(out[i].poly[0]).Dot(out[i].normal)) < 0.01 {
				out[i].twins = append(out[i].twins, j)
			}
		}
	}
	return out, lying
}

// screenIn tells whether a picture stands among the surfaces already.
func screenIn(fs []room.Surface, sc room.Screen) bool {
	for _, f := range fs {
		if f.Kind == "screen" && len(f.Polygon) == len(sc.Corners) && len(sc.Corners) > 0 && f.Polygon[0] == sc.Corners[0] {
			return true
		}
		if f.Name == sc.Name {
			return true
		}
	}
	return false
}

func reversed(p geom.Polygon) geom.Polygon {
	out := make(geom.Polygon, len(p))
	for i, v := range p {
		out[len(p)-1-i] = v
	}
	return out
}

// carries tells whether an overlay lies on the sheet's front.
func (s *sheetOf) carries(o overlay) bool {
	if !s.patches || s.normal.Dot(o.normal) < 0.999 {
		return false
	}
	c := o.poly.Centroid()
	d := c.Sub(s.poly[0]).Dot(s.normal)
	return d > -0.05 && d < overlayM && insidePolygon(c.Sub(s.normal.Scale(d)), s.poly)
}

// grid splits the sheet into cells of about a side and returns its patches,
// numbered from first.
func (s *sheetOf) grid(index int, side float64, over []overlay, first int) []patch {
	s.u = s.poly[1].Sub(s.poly[0]).Unit()
	s.v = s.normal.Cross(s.u)
	loU, hiU, loV, hiV := 0.0, 0.0, 0.0, 0.0
	for _, c := range s.poly {
		d := c.Sub(s.poly[0])
		loU, hiU = math.Min(loU, d.Dot(s.u)), math.Max(hiU, d.Dot(s.u))
		loV, hiV = math.Min(loV, d.Dot(s.v)), math.Max(hiV, d.Dot(s.v))
	}
	s.origin = s.poly[0].Add(s.u.Scale(loU)).Add(s.v.Scale(loV))
	s.nu, s.nv = max(1, int(math.Ceil((hiU-loU)/side-0.25))), max(1, int(math.Ceil((hiV-loV)/side-0.25)))
	s.du, s.dv = (hiU-loU)/float64(s.nu), (hiV-loV)/float64(s.nv)
	s.at = make([]int32, s.nu*s.nv)
	var out []patch
	for j := range s.nv {
		for i := range s.nu {
			corner := s.origin.Add(s.u.Scale(float64(i) * s.du)).Add(s.v.Scale(float64(j) * s.dv))
			cell := geom.Polygon{corner, corner.Add(s.u.Scale(s.du)), corner.Add(s.u.Scale(s.du)).Add(s.v.Scale(s.dv)), corner.Add(s.v.Scale(s.dv))}
			cell = clipConvex(cell, s.poly, s.normal)
			s.at[j*s.nu+i] = -1
			if a := cell.Area(); len(cell) >= 3 && a > 1e-6*s.du*s.dv {
				s.at[j*s.nu+i] = int32(first + len(out))
				out = append(out, s.patchOf(int32(index), cell, a, over))
			}
		}
	}
	return out
}

func (s *sheetOf) patchOf(index int32, cell geom.Polygon, area float64, over []overlay) patch {
	p := patch{sheet: index, poly: cell, centre: cell.Centroid(), normal: s.normal, area: area, whole: area, rho: s.rho}
	for k, v := range cell {
		next, prev := cell[(k+1)%len(cell)], cell[(k+len(cell)-1)%len(cell)]
		part := geom.Polygon{p.centre, prev.Lerp(v, 0.5), v, v.Lerp(next, 0.5)}
		p.pts = append(p.pts, p.centre.Lerp(v, 0.5))
		p.weights = append(p.weights, part.Area()/area)
		p.size = math.Max(p.size, 2*v.Sub(p.centre).Norm())
	}
	for _, o := range s.overlays {
		flat := make(geom.Polygon, len(over[o].poly))
		for i, v := range over[o].poly {
			flat[i] = v.Sub(s.normal.Scale(v.Sub(s.poly[0]).Dot(s.normal)))
		}
		share := math.Min(1, clipConvex(cell, flat, s.normal).Area()/area)
		p.over = append(p.over, share)
		p.rho += share * (over[o].rho - s.rho)
		if !over[o].solid {
			continue
		}
		for i, at := range p.pts {
			if insidePolygon(at, flat) {
				if p.lifts == nil {
					p.lifts = make([]float64, len(p.pts))
				}
				p.lifts[i] = over[o].poly[0].Sub(s.poly[0]).Dot(s.normal) + liftM
			}
		}
	}
	for i, h := range p.lifts {
		p.pts[i] = p.pts[i].Add(s.normal.Scale(h))
	}
	p.rho = math.Max(0, math.Min(p.rho, highestReflectance))
	return p
}

// clipConvex returns the part of a polygon inside a convex one of the same plane
// with that normal. Source: Sutherland & Hodgman, CACM 17(1), 1974 (from memory).
func clipConvex(p, by geom.Polygon, normal geom.Vec) geom.Polygon {
	for k, a := range by {
		inward := normal.Cross(by[(k+1)%len(by)].Sub(a))
		var out geom.Polygon
		for i, v := range p {
			w := p[(i+1)%len(p)]
			dv, dw := v.Sub(a).Dot(inward), w.Sub(a).Dot(inward)
			if dv >= 0 {
				out = append(out, v)
			}
			if dv*dw < 0 {
				out = append(out, v.Lerp(w, dv/(dv-dw)))
			}
		}
		p = out
	}
	return p
}

// patchAt returns the patch of a point of the sheet's plane, −1 none.
func (s *sheetOf) patchAt(p geom.Vec) int32 {
	if len(s.at) == 0 {
		return -1
	}
	d := p.Sub(s.origin)
	i := max(0, min(s.nu-1, int(d.Dot(s.u)/s.du)))
	j := max(0, min(s.nv-1, int(d.Dot(s.v)/s.dv)))
	return s.at[j*s.nu+i]
}
