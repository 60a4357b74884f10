package drawing

import (
	"fmt"
	"math"
)

// glyphs are figures and the letters of "lx" and "SEATS", five columns of seven
// dots each, row by row: for what a light map that is only pixels has to say. Own
// drawing.
var glyphs = map[rune][7]uint8{
	'0': {14, 17, 19, 21, 25, 17, 14}, '1': {4, 12, 4, 4, 4, 4, 14}, '2': {14, 17, 1, 6, 8, 16, 31}, '3': {14, 17, 1, 6, 1, 17, 14},
	'4': {2, 6, 10, 18, 31, 2, 2}, '5': {31, 16, 30, 1, 1, 17, 14}, '6': {6, 8, 16, 30, 17, 17, 14}, '7': {31, 1, 2, 4, 4, 8, 8},
	'8': {14, 17, 17, 14, 17, 17, 14}, '9': {14, 17, 17, 15, 1, 2, 12},
	'l': {12, 4, 4, 4, 4, 4, 14}, 'x': {0, 0, 17, 10, 4, 10, 17},
	'S': {15, 16, 16, 14, 1, 1, 30}, 'E': {31, 16, 16, 30, 16, 16, 31}, 'A': {14, 17, 17, 31, 17, 17, 17}, 'T': {31, 4, 4, 4, 4, 4, 4},
}

const (
	// rasterCell bounds the pixels along a cell, rasterSide those of a picture.
	rasterCell, rasterSide = 48, 1600
	// dotPixels is the size of a letter's dot.
	dotPixels = 3
	// glyphCols and glyphRows are a letter's dots.
	glyphCols, glyphRows = 5, 7
)

// Mark is a place on a light map with its value.
type Mark struct{ X, Y, Value float64 }

// Overlay is what a light map of pixels shows besides the field: the outline of a
// platform and places with their values, in metres of plan.
type Overlay struct {
	Outline [][2]float64
	Marks   []Mark
}

// Picture returns the field as pixels: colours by viridis between 0 and hi,
// smooth between the cells' middles, contour lines at the levels with their
// values on plates, the overlay's outline and its places with their values, the
// word SEATS on the side of the congregation, and a colour key along the foot
// with 0 and hi in lx. Cells that are NaN stay white. Empty for an empty field.
func (f Field) Picture(hi float64, levels []float64, over Overlay) Image {
	if f.Cols <= 0 || f.Rows <= 0 || !(f.StepM > 0) || !(hi > 0) || !finite(hi) {
		return Image{}
	}
	k := max(1, min(rasterCell, rasterSide/max(f.Cols, f.Rows)))
	const line = (glyphRows + 4) * dotPixels
	const foot = 3*line + 2*dotPixels
	p := &pixels{cols: max(f.Cols*k, 80*dotPixels), rows: f.Rows*k + foot}
	p.rgb = make([]uint8, 3*p.cols*p.rows)
	for i := range p.rgb {
		p.rgb[i] = 255
	}
	for y := range f.Rows * k {
		for x, t := range f.smoothRow((float64(f.Rows*k-1-y)+.5)/float64(k)-.5, k) {
			if finite(t) {
				p.set(x, y, Viridis(t/hi))
			}
		}
	}
	at := func(x, y float64) (float64, float64) {
		return (x - f.MinX) / f.StepM * float64(k), float64(f.Rows*k) - (y-f.MinY)/f.StepM*float64(k)
	}
	fine := f.Finer(fieldFiner)
	for _, level := range levels {
		for _, g := range fine.Contour(level) {
			x0, y0 := at(g[0][0], g[0][1])
			x1, y1 := at(g[1][0], g[1][1])
			p.line(x0, y0, x1, y1, 3, OnColour(Viridis(level/hi)))
		}
	}
	for i, a := range over.Outline {
		b := over.Outline[(i+1)%len(over.Outline)]
		x0, y0 := at(a[0], a[1])
		x1, y1 := at(b[0], b[1])
		p.line(x0, y0, x1, y1, 5, White)
		p.line(x0, y0, x1, y1, 3, Ink)
	}
	var plates []Rect
	for _, m := range over.Marks {
		x, y := at(m.X, m.Y)
		p.disc(x, y, 4*dotPixels, White)
		p.disc(x, y, 3*dotPixels, Ink)
		plates = append(plates, Rect{X: x - 4*dotPixels, Y: y - 4*dotPixels, W: 8 * dotPixels, H: 8 * dotPixels})
	}
	for _, m := range over.Marks {
		x, y := at(m.X, m.Y)
		text := fmt.Sprintf("%.0f lx", m.Value)
		w, h := textWidth(text), float64(glyphRows*dotPixels)
		for _, q := range [...][2]float64{{5 * dotPixels, -h / 2}, {-w - 5*dotPixels, -h / 2}, {-w / 2, 6 * dotPixels}, {-w / 2, -h - 6*dotPixels}} {
			if p.plate(text, x+q[0], y+q[1], f.Rows*k, &plates) {
				break
			}
		}
	}
	for _, level := range levels {
		segs := fine.Contour(level)
		// The first of a few places along the line where nothing else stands.
		for _, share := range [...]float64{.5, .25, .75, .1, .9, .4, .6} {
			if len(segs) == 0 {
				break
			}
			text := fmt.Sprintf("%.0f", level)
			g := segs[int(share*float64(len(segs)))][0]
			x, y := at(g[0], g[1])
			if p.plate(text, x-textWidth(text)/2, y-glyphRows*dotPixels/2, f.Rows*k, &plates) {
				break
			}
		}
	}
	seats := "SEATS"
	x0, y0 := float64(p.cols)/2-textWidth(seats)/2, float64(f.Rows*k+2*dotPixels)
	p.text(x0, y0, seats, Ink)
	for _, x := range [...]float64{x0 - 12*dotPixels, x0 + textWidth(seats) + 8*dotPixels} { // arrows to them
		for d := range 4 {
			p.line(x-float64((3-d)*dotPixels), y0+float64((d+1)*dotPixels), x+float64((3-d)*dotPixels), y0+float64((d+1)*dotPixels), dotPixels, Ink)
		}
	}
	key := f.Rows*k + line
	for x := range p.cols {
		for y := range line - 2*dotPixels {
			p.set(x, key+y, Viridis((float64(x)+.5)/float64(p.cols)))
		}
	}
	under := float64(key + line)
	p.text(dotPixels, under, "0", Ink)
	for _, share := range [...]float64{.25, .5, .75} {
		text := fmt.Sprintf("%.0f", share*hi)
		p.text(share*float64(p.cols)-textWidth(text)/2, under, text, Ink)
	}
	top := fmt.Sprintf("%.0f lx", hi)
	p.text(float64(p.cols)-textWidth(top)-dotPixels, under, top, Ink)
	return Image{Cols: p.cols, Rows: p.rows, RGB: p.rgb}
}

// plate writes a text on a white plate where it stays above a row and on no other;
// false where it does not.
func (p *pixels) plate(text string, x, y float64, below int, plates *[]Rect) bool {
	const rim = 1.5 * dotPixels
	box := Rect{X: x - rim, Y: y - rim, W: textWidth(text) + 2*rim, H: glyphRows*dotPixels + 2*rim}
	if box.X < 0 || box.Y < 0 || box.X+box.W > float64(p.cols) || box.Y+box.H > float64(below) || taken(*plates, box) {
		return false
	}
	*plates = append(*plates, box)
	for j := range int(box.H) {
		for i := range int(box.W) {
			p.set(int(box.X)+i, int(box.Y)+j, White)
		}
	}
	p.text(x, y, text, Ink)
	return true
}

func taken(boxes []Rect, b Rect) bool {
	for _, o := range boxes {
		if o.Overlaps(b) {
			return true
		}
	}
	return false
}

// pixels is a picture being drawn.
type pixels struct {
	cols, rows int
	rgb        []uint8
}

func (p *pixels) set(x, y int, c Colour) {
	if x < 0 || y < 0 || x >= p.cols || y >= p.rows {
		return
	}
	i := 3 * (y*p.cols + x)
	p.rgb[i], p.rgb[i+1], p.rgb[i+2] = c.R, c.G, c.B
}

// line draws a line some pixels wide.
func (p *pixels) line(x0, y0, x1, y1 float64, wide int, c Colour) {
	n := int(math.Ceil(math.Max(math.Abs(x1-x0), math.Abs(y1-y0)))) + 1
	for k := range n + 1 {
		t := float64(k) / float64(n)
		x, y := int(math.Floor(x0+(x1-x0)*t)), int(math.Floor(y0+(y1-y0)*t))
		for a := range wide {
			for b := range wide {
				p.set(x+a-wide/2, y+b-wide/2, c)
			}
		}
	}
}

func (p *pixels) disc(x, y, r float64, c Colour) {
	for j := int(y - r); j <= int(y+r); j++ {
		for i := int(x - r); i <= int(x+r); i++ {
			if math.Hypot(float64(i)-x, float64(j)-y) <= r {
				p.set(i, j, c)
			}
		}
	}
}

// textWidth returns the width of a text in pixels.
func textWidth(text string) float64 {
	return float64((len(text)*(glyphCols+1) - 1) * dotPixels)
}

// text writes from its top left corner; letters without a glyph are blanks.
func (p *pixels) text(x, y float64, text string, c Colour) {
	for i, r := range text {
		for row, bits := range glyphs[r] {
			for col := range glyphCols {
				if bits>>(glyphCols-1-col)&1 == 0 {
					continue
				}
				for a := range dotPixels {
					for b := range dotPixels {
						p.set(int(x)+(i*(glyphCols+1)+col)*dotPixels+a, int(y)+row*dotPixels+b, c)
					}
				}
			}
		}
	}
}
