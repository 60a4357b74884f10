package drawing

import "math"

// digits are the figures 0 to 9, three columns of five dots each, row by row:
// for the values on a light map that is only pixels. Own drawing.
var digits = [10][5]uint8{
	{7, 5, 5, 5, 7}, {2, 6, 2, 2, 7}, {7, 1, 7, 4, 7}, {7, 1, 3, 1, 7}, {5, 5, 7, 1, 1},
	{7, 4, 7, 1, 7}, {7, 4, 7, 5, 7}, {7, 1, 2, 2, 2}, {7, 5, 7, 5, 7}, {7, 5, 7, 1, 7},
}

const (
	// rasterCell bounds the pixels along a cell, rasterSide those of a picture.
	rasterCell, rasterSide = 48, 1600
	// dotPixels is the size of a digit's dot.
	dotPixels = 3
)

// Picture returns the field as pixels: colours by viridis between 0 and hi,
// smooth between the cells' middles, contour lines at the levels with their
// values beside them, and a colour key along the foot with 0 and hi. Cells that
// are NaN stay white. Empty for an empty field.
func (f Field) Picture(hi float64, levels []float64) Image {
	if f.Cols <= 0 || f.Rows <= 0 || !(f.StepM > 0) || !(hi > 0) || !finite(hi) {
		return Image{}
	}
	k := max(1, min(rasterCell, rasterSide/max(f.Cols, f.Rows)))
	const foot = 10 * dotPixels
	p := &pixels{cols: max(f.Cols*k, 60*dotPixels), rows: f.Rows*k + foot}
	p.rgb = make([]uint8, 3*p.cols*p.rows)
	for i := range p.rgb {
		p.rgb[i] = 255
	}
	for y := range f.Rows * k {
		for x := range f.Cols * k {
			u, v := (float64(x)+.5)/float64(k)-.5, (float64(f.Rows*k-1-y)+.5)/float64(k)-.5
			if t := f.between(u, v); finite(t) {
				p.set(x, y, Viridis(t/hi))
			}
		}
	}
	var values []Rect
	for _, level := range levels {
		c := OnColour(Viridis(level / hi))
		segs := f.Contour(level)
		at := func(q [2]float64) (float64, float64) {
			return (q[0] - f.MinX) / f.StepM * float64(k), float64(f.Rows*k) - (q[1]-f.MinY)/f.StepM*float64(k)
		}
		for _, g := range segs {
			x0, y0 := at(g[0])
			x1, y1 := at(g[1])
			p.line(x0, y0, x1, y1, c)
		}
		// The first of a few places along the line where no other value stands.
		for _, share := range [...]float64{.5, .25, .75, .1, .9, .4, .6} {
			if len(segs) == 0 {
				break
			}
			x, y := at(segs[int(share*float64(len(segs)))][0])
			n := int(math.Round(level))
			box := Rect{X: x + dotPixels, Y: y - 2*dotPixels, W: float64(numberWidth(n)), H: 5 * dotPixels}
			if box.X+box.W <= float64(f.Cols*k) && box.Y >= 0 && !taken(values, box) {
				values = append(values, box)
				p.number(int(box.X), int(box.Y), n, c)
				break
			}
		}
	}
	wide := p.cols
	for x := range wide {
		for y := range 3 * dotPixels {
			p.set(x, f.Rows*k+dotPixels+y, Viridis((float64(x)+.5)/float64(wide)))
		}
	}
	p.number(0, p.rows-5*dotPixels-1, 0, Ink)
	top := int(math.Round(hi))
	p.number(wide-numberWidth(top), p.rows-5*dotPixels-1, top, Ink)
	return Image{Cols: p.cols, Rows: p.rows, RGB: p.rgb}
}

func taken(boxes []Rect, b Rect) bool {
	for _, o := range boxes {
		if o.Overlaps(b) {
			return true
		}
	}
	return false
}

// between returns the value at u, v cells from the first cell's middle, straight
// between neighbours; at the rim the nearest.
func (f Field) between(u, v float64) float64 {
	u, v = math.Max(0, math.Min(u, float64(f.Cols-1))), math.Max(0, math.Min(v, float64(f.Rows-1)))
	i, j := min(int(u), max(0, f.Cols-2)), min(int(v), max(0, f.Rows-2))
	a, b := u-float64(i), v-float64(j)
	ip, jp := min(i+1, f.Cols-1), min(j+1, f.Rows-1)
	return (f.At(i, j)*(1-a)+f.At(ip, j)*a)*(1-b) + (f.At(i, jp)*(1-a)+f.At(ip, jp)*a)*b
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

// line draws two pixels wide.
func (p *pixels) line(x0, y0, x1, y1 float64, c Colour) {
	n := int(math.Ceil(math.Max(math.Abs(x1-x0), math.Abs(y1-y0)))) + 1
	for k := range n + 1 {
		t := float64(k) / float64(n)
		x, y := int(x0+(x1-x0)*t), int(y0+(y1-y0)*t)
		p.set(x, y, c)
		p.set(x+1, y, c)
		p.set(x, y+1, c)
	}
}

// number draws a whole number from its top left corner.
func (p *pixels) number(x, y, n int, c Colour) {
	var ds []int
	for n = max(0, n); ; n /= 10 {
		ds = append([]int{n % 10}, ds...)
		if n < 10 {
			break
		}
	}
	for i, d := range ds {
		for r, bits := range digits[d] {
			for col := range 3 {
				if bits>>(2-col)&1 == 0 {
					continue
				}
				for a := range dotPixels {
					for b := range dotPixels {
						p.set(x+(4*i+col)*dotPixels+a, y+r*dotPixels+b, c)
					}
				}
			}
		}
	}
}

func numberWidth(n int) int {
	w := 1
	for ; n >= 10; n /= 10 {
		w++
	}
	return 4 * w * dotPixels
}
