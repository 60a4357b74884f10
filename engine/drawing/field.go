package drawing

import (
	"math"
	"sort"
)

// Field is a quantity on a regular grid over the plan, for a light map. The
// value of column i, row j belongs to the cell's middle at
// x = MinX + (i+½)·StepM, y = MinY + (j+½)·StepM; NaN is outside the map.
type Field struct {
	Title      string
	Unit       string // "lx"
	MinX, MinY float64
	StepM      float64
	Cols, Rows int
	Values     []float64 // row by row from MinY upward
}

// mostCells bounds a grid: finer cells than this could not be told apart on paper.
const mostCells = 40000

// NewField samples a quantity over a box on cells of about stepM metres; the step
// grows where the grid would pass 40 000 cells. A box without extent, or one that
// is not finite, gives an empty field.
func NewField(title, unit string, box Span2, stepM float64, value func(x, y float64) float64) Field {
	f := Field{Title: title, Unit: unit, MinX: box.MinU, MinY: box.MinV}
	w, h := box.Width(), box.Height()
	if !(w > 0 && h > 0 && stepM > 0) || !finite(w) || !finite(h) {
		return f
	}
	f.StepM = max(stepM, math.Sqrt(w*h/mostCells), max(w, h)/mostCells)
	f.Cols, f.Rows = int(math.Ceil(w/f.StepM-1e-9)), int(math.Ceil(h/f.StepM-1e-9))
	f.Values = make([]float64, 0, f.Cols*f.Rows)
	for j := range f.Rows {
		for i := range f.Cols {
			f.Values = append(f.Values, value(f.MinX+(float64(i)+0.5)*f.StepM, f.MinY+(float64(j)+0.5)*f.StepM))
		}
	}
	return f
}

// At returns the value of a cell; NaN outside the grid.
func (f Field) At(i, j int) float64 {
	if i < 0 || j < 0 || i >= f.Cols || j >= f.Rows || j*f.Cols+i >= len(f.Values) {
		return math.NaN()
	}
	return f.Values[j*f.Cols+i]
}

// Box returns the extent of the grid in metres.
func (f Field) Box() Span2 {
	return Span2{f.MinX, f.MinX + float64(f.Cols)*f.StepM, f.MinY, f.MinY + float64(f.Rows)*f.StepM}
}

// Range returns the least and the greatest finite value; false without any.
func (f Field) Range() (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for j := 0; j < f.Rows; j++ {
		for i := 0; i < f.Cols; i++ {
			if v := f.At(i, j); finite(v) {
				lo, hi, ok = min(lo, v), max(hi, v), true
			}
		}
	}
	return lo, hi, ok
}

// ContourLevels returns up to about n round levels inside (0, hi): steps of 1,
// 2 or 5 times a power of ten.
func ContourLevels(hi float64, n int) []float64 {
	if !(hi > 0) || !finite(hi) || n < 1 {
		return nil
	}
	raw := hi / float64(n)
	p := math.Pow(10, math.Floor(math.Log10(raw)))
	step := 10 * p
	for _, k := range []float64{1, 2, 5} {
		if k*p >= raw {
			step = k * p
			break
		}
	}
	var out []float64
	for k := 1; float64(k)*step < hi && k <= 2*n; k++ {
		out = append(out, float64(k)*step)
	}
	return out
}

// Contour returns the segments, in metres, of the line along which the field
// has the level: marching squares over the cells' middles, values taken linear
// between neighbours; squares with a NaN corner are left out. Saddles are
// resolved by the mean of the four corners.
// Source: Lorensen and Cline, "Marching Cubes", SIGGRAPH 1987, in two
// dimensions (from memory).
func (f Field) Contour(level float64) [][2][2]float64 {
	var out [][2][2]float64
	for j := 0; j+1 < f.Rows; j++ {
		for i := 0; i+1 < f.Cols; i++ {
			out = append(out, f.square(i, j, level)...)
		}
	}
	return out
}

func (f Field) square(i, j int, level float64) [][2][2]float64 {
	// Corners counter-clockwise from the lower left.
	di := [4]int{0, 1, 1, 0}
	dj := [4]int{0, 0, 1, 1}
	var v [4]float64
	mean := 0.0
	for k := range v {
		v[k] = f.At(i+di[k], j+dj[k])
		mean += v[k] / 4
	}
	if !finite(mean) {
		return nil
	}
	var cut [][2]float64
	for k := range v {
		n := (k + 1) % 4
		if (v[k] >= level) == (v[n] >= level) {
			continue
		}
		t := (level - v[k]) / (v[n] - v[k])
		x := float64(i+di[k]) + t*float64(di[n]-di[k])
		y := float64(j+dj[k]) + t*float64(dj[n]-dj[k])
		cut = append(cut, [2]float64{f.MinX + (x+0.5)*f.StepM, f.MinY + (y+0.5)*f.StepM})
	}
	switch len(cut) {
	case 2:
		return [][2][2]float64{{cut[0], cut[1]}}
	case 4: // a saddle: keep apart the corners that differ from the middle
		if (mean >= level) == (v[0] >= level) {
			return [][2][2]float64{{cut[0], cut[1]}, {cut[2], cut[3]}}
		}
		return [][2][2]float64{{cut[3], cut[0]}, {cut[1], cut[2]}}
	}
	return nil
}

// fieldFiner is how many times finer than its cells a light map is drawn.
const fieldFiner = 4

// LightMap adds the field as colours by viridis between 0 and hi, smooth between its
// cells' middles, with contour lines and their values. Labels are placed by p, which may be nil for
// no values.
func (s *Scene) LightMap(v View, f Field, hi float64, levels []float64, p *Placer) {
	if f.Cols <= 0 || f.Rows <= 0 || !(f.StepM > 0) || !(hi > 0) {
		return
	}
	f = f.Finer(fieldFiner)
	top := v.At(f.MinX, f.MinY+float64(f.Rows)*f.StepM)
	im := Image{X: top[0], Y: top[1], W: v.MM(float64(f.Cols) * f.StepM), H: v.MM(float64(f.Rows) * f.StepM),
		Cols: f.Cols, Rows: f.Rows, RGB: make([]uint8, 0, 3*f.Cols*f.Rows)}
	for j := f.Rows - 1; j >= 0; j-- {
		for i := 0; i < f.Cols; i++ {
			c := White
			if x := f.At(i, j); finite(x) {
				c = Viridis(x / hi)
			}
			im.RGB = append(im.RGB, c.R, c.G, c.B)
		}
	}
	s.Raster(LayerLight, im)
	for _, level := range levels {
		segs := f.Contour(level)
		pen := Solid(0.2, OnColour(Viridis(level/hi)))
		for _, g := range segs {
			s.Stroke(LayerLight, pen, v.At(g[0][0], g[0][1]), v.At(g[1][0], g[1][1]))
		}
		if p != nil && len(segs) > 0 {
			sort.Slice(segs, func(a, b int) bool { return segs[a][0][0] < segs[b][0][0] })
			g := segs[len(segs)/2]
			p.Place(s, LayerLight, v.At(g[0][0], g[0][1]), 0,
				Text{Size: 2, Value: trimNumber(level), Colour: pen.Colour, Bold: true})
		}
	}
}

// ColourKey adds the colour scale of a light map: hi at the right end.
func (s *Scene) ColourKey(x, y, w float64, hi float64, unit string) {
	const steps = 64
	im := Image{X: x, Y: y, W: w, H: 3, Cols: steps, Rows: 1}
	for i := range steps {
		c := Viridis((float64(i) + 0.5) / steps)
		im.RGB = append(im.RGB, c.R, c.G, c.B)
	}
	s.Raster(LayerText, im)
	last := ""
	for i := 0; i <= 4; i++ {
		t := float64(i) / 4
		s.Stroke(LayerText, Solid(0.15, Ink), [2]float64{x + t*w, y + 3}, [2]float64{x + t*w, y + 4})
		value := trimNumber(math.Round(t * hi))
		if value == last {
			continue // a scale of a few lux says each number once
		}
		last = value
		if i == 4 {
			value += " " + unit
		}
		s.Write(LayerText, Text{X: x + t*w, Y: y + 6.4, Size: 2.2, Value: value, Anchor: "middle"})
	}
}
