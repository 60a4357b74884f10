package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
)

// Day is the daylight of one moment, for a picture.
type Day struct {
	Title       string
	Toward      geom.Vec // the sun, unit
	SunNormalLx float64  // facing it, outside
	Panes       []DayPane
}

// DayPane is a window at that moment.
type DayPane struct {
	Name      string
	Polygon   geom.Polygon
	Normal    geom.Vec // into the room
	FluxLm    float64  // spread evenly into the room
	CdM2      float64  // as seen from the seats
	BeamShare float64  // of the sun's light that goes through straight; 0 through diffusing glass
	X, Y      float64  // CIE 1931 chromaticity
}

const (
	// paneStepM is the spacing of the points that stand for an evenly bright
	// window in pictures, panePoints their number along a side.
	paneStepM, panePoints = 1.0, 3
	// beforePaneM is how far before the glass light starts, past the wall's plane.
	beforePaneM = 0.05
)

// sources returns points that stand for the even light of a window. Their light
// is divided by the loss factor that sources get, which windows have not.
func (p DayPane) sources(loss float64) []Source {
	n := len(p.Polygon)
	if !(p.FluxLm > 0) || n < 3 {
		return nil
	}
	u, v := p.Polygon[1].Sub(p.Polygon[0]), p.Polygon[n-1].Sub(p.Polygon[0])
	nu := max(1, min(panePoints, int(u.Norm()/paneStepM)))
	nv := max(1, min(panePoints, int(v.Norm()/paneStepM)))
	even := photometry.Lambert(p.FluxLm / float64(nu*nv) / loss)
	var out []Source
	for j := range nv {
		for i := range nu {
			at := p.Polygon[0].Add(u.Scale((float64(i) + .5) / float64(nu))).Add(v.Scale((float64(j) + .5) / float64(nv))).Add(p.Normal.Scale(beforePaneM))
			out = append(out, Source{ID: p.Name, At: at, Aim: at.Add(p.Normal), Dist: even, Level: 1})
		}
	}
	return out
}

// sunOn returns the sun's light on the side of a point to which the normal looks,
// through clear glass.
func (l *Lit) sunOn(at, normal geom.Vec) float64 {
	if l.day == nil || !(l.day.SunNormalLx > 0) {
		return 0
	}
	cos := l.day.Toward.Dot(normal)
	if cos <= 0 {
		return 0
	}
	from := at.Add(normal.Scale(2 * endMarginM))
	for _, p := range l.day.Panes {
		if !(p.BeamShare > 0) {
			continue
		}
		to, _, ok := planeHit(from, l.day.Toward, p.Polygon)
		if ok && !l.m.sc.Occluded(from, to.Add(p.Normal.Scale(beforePaneM))) {
			return cos * l.day.SunNormalLx * p.BeamShare
		}
	}
	return 0
}

// sunFirst adds what the sun first brings to every patch through clear glass, in
// lumens over the loss factor.
func (d *Day) sunFirst(t *Transport, flux []float64, loss float64) {
	for _, p := range d.Panes {
		cos := -d.Toward.Dot(p.Normal)
		if !(p.BeamShare > 0) || cos <= 0 {
			continue
		}
		lm := p.Polygon.Area() * d.SunNormalLx * cos * p.BeamShare / loss
		middle := p.Polygon.Centroid()
		for _, v := range p.Polygon {
			t.Beam(middle.Lerp(v, 0.5).Add(p.Normal.Scale(beforePaneM)), d.Toward.Scale(-1), lm/float64(len(p.Polygon)), flux)
		}
	}
}

// pane returns what a window looks like: night behind it, or its light by day.
func (l *Lit) pane(i int) radiance {
	if l.day != nil {
		for _, p := range l.day.Panes {
			if p.Name == l.m.paneNames[i] {
				return linearSRGB(p.X, p.Y).scale(p.CdM2)
			}
		}
	}
	return radiance{.18, .24, .42}
}

// linearSRGB returns the linear sRGB of a chromaticity at a luminance of 1, what
// lies outside of the gamut cut off. Source: IEC 61966-2-1.
func linearSRGB(x, y float64) radiance {
	if !(y > 0) {
		return radiance{1, 1, 1}
	}
	X, Z := x/y, (1-x-y)/y
	c := radiance{3.2406*X - 1.5372 - 0.4986*Z, -0.9689*X + 1.8758 + 0.0415*Z, 0.0557*X - 0.2040 + 1.0570*Z}
	for k := range c {
		c[k] = math.Max(0, c[k])
	}
	return c
}
