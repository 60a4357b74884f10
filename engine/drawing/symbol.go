package drawing

import "math"

// Symbol adds the plan symbol of a fixture class at a paper point, turned
// toward the paper direction (dx, dy). The shapes are plain geometry: circles
// for soft-edged units, squares for hard-edged ones, wedges for the rest; an
// unknown class gets a hexagon. Size is the diameter in mm.
func (s *Scene) Symbol(class string, at [2]float64, dx, dy, size float64, pen Pen, fill Colour) {
	n := math.Hypot(dx, dy)
	if n == 0 || !finite(n) {
		dx, dy, n = 0, -1, 1
	}
	ux, uy := dx/n, dy/n
	r := size / 2
	// p maps forward and sideways offsets in units of r to the paper.
	p := func(forward, side float64) [2]float64 {
		return [2]float64{at[0] + r*(forward*ux-side*uy), at[1] + r*(forward*uy+side*ux)}
	}
	square := func(k float64, f *Colour) {
		s.Area(LayerUnits, pen, f, p(k, k), p(k, -k), p(-k, -k), p(-k, k))
	}
	wedge := func(f *Colour) { s.Area(LayerUnits, pen, f, p(-0.9, 0.45), p(0.9, 1), p(0.9, -1), p(-0.9, -0.45)) }
	dark := pen.Colour
	switch class {
	case "fresnel":
		s.Disc(LayerUnits, pen, &fill, at, r)
	case "wash":
		s.Disc(LayerUnits, pen, &fill, at, r)
		s.Disc(LayerUnits, pen, &dark, at, 0.3*r)
	case "moving_wash":
		s.Disc(LayerUnits, pen, &fill, at, r)
		s.Disc(LayerUnits, pen, nil, at, 0.6*r)
	case "ellipsoidal":
		square(0.85, &fill)
	case "moving_spot":
		square(0.85, &fill)
		s.Disc(LayerUnits, pen, nil, at, 0.55*r)
	case "linear_wash":
		s.Area(LayerUnits, pen, &fill, p(0.45, 1.8), p(0.45, -1.8), p(-0.45, -1.8), p(-0.45, 1.8))
	case "par":
		wedge(&fill)
	case "sconce":
		wedge(&dark)
	case "downlight":
		s.Disc(LayerUnits, pen, &dark, at, 0.7*r)
	case "pendant", "lamp":
		s.Disc(LayerUnits, pen, &fill, at, 0.8*r)
		s.Stroke(LayerUnits, pen, p(0.8, 0), p(-0.8, 0))
		s.Stroke(LayerUnits, pen, p(0, 0.8), p(0, -0.8))
	default:
		s.Area(LayerUnits, pen, &fill, p(1, 0), p(0.5, 0.87), p(-0.5, 0.87), p(-1, 0), p(-0.5, -0.87), p(0.5, -0.87))
	}
}
