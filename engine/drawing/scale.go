package drawing

import (
	"fmt"

	"roodbeam/engine/si"
)

// Scale is a standard drawing scale: one paper millimetre stands for Ratio
// model millimetres.
type Scale struct {
	Ratio float64
	Name  string // "1:50", "1/4 in = 1 ft (1:48)"
}

// Scales returns the standard scales of a display, largest drawing first:
// 1:20 to 1:200 in metric, fractions of an inch to the foot in US display.
// Source: common practice of building drawings.
func Scales(d si.Display) []Scale {
	if d == si.US {
		return []Scale{
			{24, "1/2 in = 1 ft (1:24)"}, {32, "3/8 in = 1 ft (1:32)"},
			{48, "1/4 in = 1 ft (1:48)"}, {64, "3/16 in = 1 ft (1:64)"},
			{96, "1/8 in = 1 ft (1:96)"}, {128, "3/32 in = 1 ft (1:128)"},
			{192, "1/16 in = 1 ft (1:192)"},
		}
	}
	var out []Scale
	for _, r := range []float64{20, 25, 50, 75, 100, 150, 200} {
		out = append(out, Scale{r, fmt.Sprintf("1:%.0f", r)})
	}
	return out
}

// Fit returns the standard scale at which a model of widthM × heightM metres is
// drawn as large as fits into a frame of frameW × frameH millimetres. A model
// too large for the last standard scale gets that scale doubled until it fits;
// a model or a frame without extent gets the first scale.
func Fit(d si.Display, widthM, heightM, frameW, frameH float64) Scale {
	all := Scales(d)
	fits := func(r float64) bool { return widthM*1000/r <= frameW && heightM*1000/r <= frameH }
	if !(frameW > 0 && frameH > 0) {
		return all[0]
	}
	for _, s := range all {
		if fits(s.Ratio) {
			return s
		}
	}
	s := all[len(all)-1]
	const mostDoublings = 40 // a model of millions of kilometres; bounds the loop
	for i := 0; i < mostDoublings && !fits(s.Ratio); i++ {
		s.Ratio *= 2
	}
	s.Name = fmt.Sprintf("1:%.0f", s.Ratio)
	return s
}

// View maps a plane of the model, in metres, to the paper: u to the right, v up.
type View struct {
	Scale Scale
	// U0, V0 is the model point drawn at the paper point X0, Y0.
	U0, V0, X0, Y0 float64
}

// Centre returns the view that draws the middle of the model box at the middle
// of the paper box.
func Centre(s Scale, model Span2, paper Rect) View {
	return View{
		Scale: s,
		U0:    (model.MinU + model.MaxU) / 2, V0: (model.MinV + model.MaxV) / 2,
		X0: paper.X + paper.W/2, Y0: paper.Y + paper.H/2,
	}
}

// At returns the paper point of a model point.
func (v View) At(u, w float64) [2]float64 {
	return [2]float64{v.X0 + v.MM(u-v.U0), v.Y0 - v.MM(w-v.V0)}
}

// MM returns the paper length, in millimetres, of a model length in metres.
func (v View) MM(metres float64) float64 { return metres * 1000 / v.Scale.Ratio }

// Span2 is an upright box in the model plane, in metres; the zero value is a
// box of no extent at the origin.
type Span2 struct{ MinU, MaxU, MinV, MaxV float64 }

// Around returns the smallest box round the points; the zero box without points.
func Around(points ...[2]float64) Span2 {
	if len(points) == 0 {
		return Span2{}
	}
	b := Span2{points[0][0], points[0][0], points[0][1], points[0][1]}
	for _, p := range points[1:] {
		b = b.With(p[0], p[1])
	}
	return b
}

// With returns the box grown to hold a point; a coordinate that is not finite
// is left out.
func (b Span2) With(u, v float64) Span2 {
	if finite(u) {
		b.MinU, b.MaxU = min(b.MinU, u), max(b.MaxU, u)
	}
	if finite(v) {
		b.MinV, b.MaxV = min(b.MinV, v), max(b.MaxV, v)
	}
	return b
}

// Grow returns the box with a margin all round.
func (b Span2) Grow(m float64) Span2 {
	return Span2{b.MinU - m, b.MaxU + m, b.MinV - m, b.MaxV + m}
}

// Holds tells whether a point lies in the box, edges included.
func (b Span2) Holds(u, v float64) bool {
	return u >= b.MinU && u <= b.MaxU && v >= b.MinV && v <= b.MaxV
}

// Width and Height return the extents in metres.
func (b Span2) Width() float64  { return b.MaxU - b.MinU }
func (b Span2) Height() float64 { return b.MaxV - b.MinV }
