package drawing

import (
	"math"
	"sort"
)

// The layers of a scene; a reader of the PDF can switch them.
const (
	LayerRoom      = "room"
	LayerStructure = "structure"
	LayerUnits     = "units"
	LayerLight     = "light"
	LayerCable     = "cable"
	LayerText      = "text"
	LayerDimension = "dimension"
)

// Ink and its tints are the base colours of every sheet.
var (
	Ink    = Colour{R: 0x22, G: 0x2b, B: 0x33}
	Soft   = Colour{R: 0x6a, G: 0x74, B: 0x7c}
	Faint  = Colour{R: 0xb9, G: 0xc0, B: 0xc5}
	Wash   = Colour{R: 0xf1, G: 0xf2, B: 0xf0}
	Clay   = Colour{R: 0x9a, G: 0x4a, B: 0x2e}
	Straw  = Colour{R: 0xf8, G: 0xef, B: 0xdc}
	White  = Colour{R: 0xff, G: 0xff, B: 0xff}
	Slate  = Colour{R: 0x3c, G: 0x5a, B: 0x78}
	Timber = Colour{R: 0xe6, G: 0xdc, B: 0xcb}
)

// Distinct returns the i-th of eight colours that people with the common kinds
// of colour blindness tell apart; a label always says the same in words.
// Source: M. Okabe and K. Ito, "Color Universal Design", 2008 (from memory).
func Distinct(i int) Colour {
	set := [8]Colour{
		{R: 0x00, G: 0x72, B: 0xb2}, {R: 0xd5, G: 0x5e, B: 0x00},
		{R: 0x00, G: 0x9e, B: 0x73}, {R: 0xcc, G: 0x79, B: 0xa7},
		{R: 0xe6, G: 0x9f, B: 0x00}, {R: 0x56, G: 0xb4, B: 0xe9},
		{R: 0x5b, G: 0x4a, B: 0x8a}, {R: 0x00, G: 0x00, B: 0x00},
	}
	if i < 0 {
		i = -i
	}
	return set[i%len(set)]
}

// Solid returns a pen without dashes.
func Solid(widthMM float64, c Colour) Pen { return Pen{WidthMM: widthMM, Colour: c} }

// Dashed returns a pen with the given millimetres on and off.
func Dashed(widthMM float64, c Colour, onOff ...float64) Pen {
	return Pen{WidthMM: widthMM, Colour: c, Dash: onOff}
}

// Stroke adds an open path; fewer than two finite points add nothing.
func (s *Scene) Stroke(layer string, pen Pen, points ...[2]float64) {
	if ps := finitePoints(points); len(ps) > 1 {
		s.Items = append(s.Items, Item{Layer: layer, Line: &Line{Points: ps, Pen: pen}})
	}
}

// Arrow adds an open path with an arrow head at its last point.
func (s *Scene) Arrow(layer string, pen Pen, points ...[2]float64) {
	if ps := finitePoints(points); len(ps) > 1 {
		s.Items = append(s.Items, Item{Layer: layer, Line: &Line{Points: ps, Pen: pen, Arrow: true}})
	}
}

// Area adds a closed area; fill may be nil, a pen of no width draws no outline.
func (s *Scene) Area(layer string, pen Pen, fill *Colour, points ...[2]float64) {
	if ps := finitePoints(points); len(ps) > 2 {
		s.Items = append(s.Items, Item{Layer: layer, Poly: &Poly{Points: ps, Pen: pen, Fill: fill}})
	}
}

// Box adds an upright rectangle.
func (s *Scene) Box(layer string, pen Pen, fill *Colour, r Rect) {
	s.Area(layer, pen, fill, [2]float64{r.X, r.Y}, [2]float64{r.X + r.W, r.Y},
		[2]float64{r.X + r.W, r.Y + r.H}, [2]float64{r.X, r.Y + r.H})
}

// Disc adds a circle; fill may be nil.
func (s *Scene) Disc(layer string, pen Pen, fill *Colour, at [2]float64, radiusMM float64) {
	if finite(at[0]) && finite(at[1]) && finite(radiusMM) && radiusMM > 0 {
		s.Items = append(s.Items, Item{Layer: layer, Circle: &Circle{X: at[0], Y: at[1], R: radiusMM, Pen: pen, Fill: fill}})
	}
}

// Write adds one line of text; an empty text adds nothing.
func (s *Scene) Write(layer string, t Text) {
	if t.Value != "" && finite(t.X) && finite(t.Y) {
		if t.Colour == (Colour{}) {
			t.Colour = Ink
		}
		s.Items = append(s.Items, Item{Layer: layer, Text: &t})
	}
}

// Raster adds an image.
func (s *Scene) Raster(layer string, im Image) {
	if im.Cols > 0 && im.Rows > 0 && len(im.RGB) == 3*im.Cols*im.Rows {
		s.Items = append(s.Items, Item{Layer: layer, Image: &im})
	}
}

// Head returns the three corners of the arrow head of a path, in mm, for the
// encoders; false for a path without length.
func (l Line) Head() ([3][2]float64, bool) {
	n := len(l.Points)
	for i := n - 2; i >= 0; i-- {
		tip, from := l.Points[n-1], l.Points[i]
		dx, dy := tip[0]-from[0], tip[1]-from[1]
		d := math.Hypot(dx, dy)
		if d < 1e-6 {
			continue
		}
		long := max(1.4, 5*l.Pen.WidthMM)
		ux, uy := dx/d*long, dy/d*long
		return [3][2]float64{tip,
			{tip[0] - ux - uy*0.35, tip[1] - uy + ux*0.35},
			{tip[0] - ux + uy*0.35, tip[1] - uy - ux*0.35}}, true
	}
	return [3][2]float64{}, false
}

// Clip returns the parts of a path that lie inside a paper box, segment by
// segment (Liang and Barsky's parametric clipping, ACM TOG 3(1), 1984, from
// memory).
func Clip(r Rect, points ...[2]float64) [][2][2]float64 {
	var out [][2][2]float64
	ps := finitePoints(points)
	for i := 0; i+1 < len(ps); i++ {
		a, b := ps[i], ps[i+1]
		t0, t1 := 0.0, 1.0
		dx, dy := b[0]-a[0], b[1]-a[1]
		seen := true
		for _, e := range [4][2]float64{{-dx, a[0] - r.X}, {dx, r.X + r.W - a[0]}, {-dy, a[1] - r.Y}, {dy, r.Y + r.H - a[1]}} {
			switch p, q := e[0], e[1]; {
			case p == 0 && q < 0:
				seen = false
			case p < 0:
				t0 = max(t0, q/p)
			case p > 0:
				t1 = min(t1, q/p)
			}
		}
		if seen && t0 < t1 {
			out = append(out, [2][2]float64{
				{a[0] + t0*dx, a[1] + t0*dy}, {a[0] + t1*dx, a[1] + t1*dy}})
		}
	}
	return out
}

// ClipArea returns the part of a closed area inside a paper box (Sutherland and
// Hodgman, CACM 17(1), 1974, from memory); nothing where they do not meet.
func ClipArea(r Rect, points ...[2]float64) [][2]float64 {
	ps := finitePoints(points)
	// Each edge of the box in turn: the signed distance inside it.
	for _, inside := range []func(p [2]float64) float64{
		func(p [2]float64) float64 { return p[0] - r.X },
		func(p [2]float64) float64 { return r.X + r.W - p[0] },
		func(p [2]float64) float64 { return p[1] - r.Y },
		func(p [2]float64) float64 { return r.Y + r.H - p[1] },
	} {
		var out [][2]float64
		for i, a := range ps {
			b := ps[(i+1)%len(ps)]
			da, db := inside(a), inside(b)
			if da >= 0 {
				out = append(out, a)
			}
			if (da >= 0) != (db >= 0) {
				t := da / (da - db)
				out = append(out, [2]float64{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1])})
			}
		}
		ps = out
	}
	return ps
}

// Hull returns the convex hull of points, in order round it (Andrew's monotone
// chain, Information Processing Letters 9(5), 1979, from memory).
func Hull(points ...[2]float64) [][2]float64 {
	ps := finitePoints(points)
	sort.Slice(ps, func(i, j int) bool {
		if ps[i][0] != ps[j][0] {
			return ps[i][0] < ps[j][0]
		}
		return ps[i][1] < ps[j][1]
	})
	if len(ps) < 3 {
		return ps
	}
	var hull [][2]float64
	half := func(p [2]float64, base int) {
		for len(hull) >= base+2 {
			a, b := hull[len(hull)-2], hull[len(hull)-1]
			if (b[0]-a[0])*(p[1]-a[1])-(b[1]-a[1])*(p[0]-a[0]) > 0 {
				break
			}
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	for _, p := range ps {
		half(p, 0)
	}
	base := len(hull) - 1
	for i := len(ps) - 2; i >= 0; i-- {
		half(ps[i], base)
	}
	return hull[:len(hull)-1]
}

func finitePoints(ps [][2]float64) [][2]float64 {
	out := make([][2]float64, 0, len(ps))
	for _, p := range ps {
		if finite(p[0]) && finite(p[1]) {
			out = append(out, p)
		}
	}
	return out
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
