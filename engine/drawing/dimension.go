package drawing

import (
	"sort"

	"roodbeam/engine/si"
)

// sameMark is the least distance between two marks of a chain: a millimetre in
// the room, finer than any tape.
const sameMark = 1e-3

// Chain is a row of dimensions between marks along one direction of a view.
type Chain struct {
	Upright bool      // along v (up the paper); false: along u
	Marks   []float64 // model coordinates, m, any order
	At      float64   // paper x of an upright chain, paper y of a level one
	// From is the paper coordinate from which the witness lines start, across
	// the chain; equal to At for none.
	From float64
	Size float64 // em height of the figures, mm
	Both bool    // the other system in brackets where it fits
}

// dimensionRows is how many rows of figures may stand above each other over a
// chain whose marks lie closer than their figures are wide.
const dimensionRows = 4

// Dimension adds a chain with ticks, witness lines and figures, and returns how
// many figures found no room. A figure is the distance of its two marks in the
// display's unit, formatted by si; one that does not fit between its ticks moves
// to a row above where it covers no other. Fewer than two different marks add
// nothing.
func (s *Scene) Dimension(v View, c Chain, d si.Display) (leftOut int) {
	marks := distinctMarks(c.Marks)
	if len(marks) < 2 {
		return 0
	}
	paper := func(m float64) float64 {
		if c.Upright {
			return v.At(v.U0, m)[1]
		}
		return v.At(m, v.V0)[0]
	}
	point := func(along, across float64) [2]float64 {
		if c.Upright {
			return [2]float64{across, along}
		}
		return [2]float64{along, across}
	}
	s.Stroke(LayerDimension, Solid(0.13, Soft), point(paper(marks[0]), c.At), point(paper(marks[len(marks)-1]), c.At))
	for _, m := range marks {
		a := paper(m)
		if c.From != c.At {
			s.Stroke(LayerDimension, Solid(0.1, Faint), point(a, c.From), point(a, c.At))
		}
		s.Stroke(LayerDimension, Solid(0.3, Ink), point(a-0.9, c.At+0.9), point(a+0.9, c.At-0.9))
	}
	var others []Rect // figures of earlier chains
	for _, it := range s.Items {
		if it.Text != nil && it.Layer == LayerDimension {
			others = append(others, TextBox(*it.Text))
		}
	}
	var rows [dimensionRows][]Rect
	for i := 0; i+1 < len(marks); i++ {
		a, b := paper(marks[i]), paper(marks[i+1])
		text, size, inside := figure(si.Length(marks[i+1]-marks[i]), abs(b-a)-1.2, c, d)
		first := 0
		if !inside {
			first = 1
		}
		placed := false
		for row := first; row < dimensionRows && !placed; row++ {
			lift := 0.8 + float64(row)*1.15*c.Size
			t := Text{Size: size, Value: text, Anchor: "middle", Colour: Ink}
			if c.Upright {
				t.X, t.Y, t.RotateDeg = c.At-lift, (a+b)/2, 90
			} else {
				t.X, t.Y = (a+b)/2, c.At-lift
			}
			box := TextBox(t)
			if covers(rows[row], box) || covers(others, box) {
				continue
			}
			if row > 0 {
				s.Stroke(LayerDimension, Solid(0.08, Faint), point((a+b)/2, c.At), point((a+b)/2, c.At-lift+0.5))
			}
			rows[row] = append(rows[row], box)
			s.Write(LayerDimension, t)
			placed = true
		}
		if !placed {
			leftOut++
		}
	}
	return leftOut
}

func covers(taken []Rect, box Rect) bool {
	for _, o := range taken {
		if o.Overlaps(box) {
			return true
		}
	}
	return false
}

// figure returns the text of a dimension, its size and whether it fits.
func figure(l si.Length, room float64, c Chain, d si.Display) (string, float64, bool) {
	short := si.FormatLength(l, d)
	if c.Both {
		if both := si.FormatBoth(l, d); TextWidth(both, c.Size, false) <= room {
			return both, c.Size, true
		}
	}
	for _, share := range []float64{1, 0.85} {
		if TextWidth(short, share*c.Size, false) <= room {
			return short, share * c.Size, true
		}
	}
	return short, 0.85 * c.Size, false
}

func distinctMarks(in []float64) []float64 {
	var ms []float64
	for _, m := range in {
		if finite(m) {
			ms = append(ms, m)
		}
	}
	sort.Float64s(ms)
	out := ms[:0]
	for _, m := range ms {
		if len(out) == 0 || m-out[len(out)-1] > sameMark {
			out = append(out, m)
		}
	}
	return out
}

func abs(v float64) float64 {
	if v < 0 {
		return -v
	}
	return v
}

// Bar adds a scale bar with its zero at (x, y) and returns its length on paper
// in mm: a round model length in the display's unit, drawn exactly at scale,
// with the other system below. It is the longest of its steps that stays within
// widthMM.
func (s *Scene) Bar(v View, d si.Display, x, y, widthMM float64) float64 {
	unit, other := si.Metre, si.Foot
	name, otherName := "m", "ft"
	if d == si.US {
		unit, other, name, otherName = si.Foot, si.Metre, "ft", "m"
	}
	n := 1.0
	for _, k := range []float64{1, 2, 5, 10, 20, 30, 50, 100, 200, 500, 1000} {
		if v.MM(k*unit.Metres()) <= widthMM {
			n = k
		}
	}
	total := v.MM(n * unit.Metres())
	parts := 5.0
	if n == 1 || n == 2 {
		parts = 4
	}
	for i := 0.0; i < parts; i++ {
		fill := White
		if int(i)%2 == 0 {
			fill = Ink
		}
		s.Box(LayerDimension, Solid(0.15, Ink), &fill, Rect{x + i*total/parts, y, total / parts, 1.2})
	}
	s.Write(LayerDimension, Text{X: x, Y: y - 0.8, Size: 2.2, Value: "0", Anchor: "middle"})
	s.Write(LayerDimension, Text{X: x + total, Y: y - 0.8, Size: 2.2, Value: trimNumber(n) + " " + name, Anchor: "middle"})
	// The second row of ticks: whole steps of the other system under the same bar.
	step := 1.0
	for _, k := range []float64{1, 2, 5, 10, 20, 50, 100} {
		if v.MM(k*other.Metres()) <= total {
			step = k
		}
	}
	w := v.MM(step * other.Metres())
	s.Stroke(LayerDimension, Solid(0.15, Soft), [2]float64{x, y + 2.6}, [2]float64{x + w, y + 2.6})
	s.Stroke(LayerDimension, Solid(0.15, Soft), [2]float64{x, y + 1.9}, [2]float64{x, y + 2.6})
	s.Stroke(LayerDimension, Solid(0.15, Soft), [2]float64{x + w, y + 1.9}, [2]float64{x + w, y + 2.6})
	s.Write(LayerDimension, Text{X: x + w, Y: y + 5, Size: 2, Value: trimNumber(step) + " " + otherName, Anchor: "middle", Colour: Soft})
	return total
}
