package drawing

import (
	"math"
	"testing"
)

// TestFieldPicture: a field that rises from left to right is coloured by its
// values between the cells' middles, has one upright line where it crosses the
// level, and its key runs from one end of the scale to the other.
func TestFieldPicture(t *testing.T) {
	f := Field{StepM: .5, Cols: 4, Rows: 3}
	for range 3 {
		f.Values = append(f.Values, 0, 100, 200, 300)
	}
	im := f.Picture(400, []float64{150}, Overlay{})
	if im.Cols < 4*rasterCell || len(im.RGB) != 3*im.Cols*im.Rows {
		t.Fatalf("%d × %d, %d bytes", im.Cols, im.Rows, len(im.RGB))
	}
	at := func(x, y int) Colour {
		i := 3 * (y*im.Cols + x)
		return Colour{R: im.RGB[i], G: im.RGB[i+1], B: im.RGB[i+2]}
	}
	near := func(a, b Colour) bool {
		d := func(x, y uint8) float64 { return math.Abs(float64(x) - float64(y)) }
		return d(a.R, b.R)+d(a.G, b.G)+d(a.B, b.B) < 12
	}
	for i, v := range []float64{0, 100, 200, 300} {
		if got := at(i*rasterCell+rasterCell/2, 5); !near(got, Viridis(v/400)) {
			t.Errorf("cell %d is %v, want %v", i, got, Viridis(v/400))
		}
	}
	// 150 lies half way between the second and the third middle.
	line := 0
	for x := range 4 * rasterCell {
		if at(x, rasterCell) == OnColour(Viridis(150.0/400)) {
			line = x
		}
	}
	if line < 2*rasterCell-2 || line > 2*rasterCell+2 {
		t.Errorf("line at %d, want %d", line, 2*rasterCell)
	}
	if !near(at(im.Cols-1, 3*rasterCell+(glyphRows+5)*dotPixels), Viridis(1)) {
		t.Error("the key does not end with the brightest colour")
	}
}

func TestPictureOfNothing(t *testing.T) {
	nan := math.NaN()
	for _, f := range []Field{{}, {StepM: 1, Cols: 2, Rows: 2}, {StepM: 1, Cols: 1, Rows: 1, Values: []float64{nan}}} {
		for _, hi := range []float64{0, nan, 100} {
			im := f.Picture(hi, []float64{50}, Overlay{Outline: [][2]float64{{0, 0}, {nan, 1}}, Marks: []Mark{{X: nan}, {X: 1, Y: 1, Value: 77}}})
			if len(im.RGB) != 3*im.Cols*im.Rows {
				t.Errorf("%d × %d, %d bytes", im.Cols, im.Rows, len(im.RGB))
			}
		}
	}
	big := Field{StepM: 1, Cols: 4000, Rows: 2}
	if im := big.Picture(1, nil, Overlay{}); im.Cols > 4000 {
		t.Errorf("%d columns", im.Cols)
	}
}

// TestFiner: the cubic keeps the cells' middles, stays between its neighbours, is
// exact on a slope, and leaves what is not known unknown.
func TestFiner(t *testing.T) {
	f := Field{StepM: 1, Cols: 4, Rows: 3, Values: []float64{0, 1, 2, 3, 0, 1, 9, 3, 0, 1, 2, 3}}
	g := f.Finer(3)
	if g.Cols != 12 || g.Rows != 9 || math.Abs(g.StepM-1./3) > 1e-12 || g.MinX != f.MinX {
		t.Fatalf("%+v", g)
	}
	for j := range f.Rows {
		for i := range f.Cols {
			if got := g.At(3*i+1, 3*j+1); math.Abs(got-f.At(i, j)) > 1e-12 {
				t.Errorf("cell %d, %d: %v, want %v", i, j, got, f.At(i, j))
			}
		}
	}
	for _, v := range g.Values {
		if v < 0 || v > 9 {
			t.Errorf("%v lies beyond the field", v)
		}
	}
	slope := Field{StepM: 1, Cols: 5, Rows: 2, Values: []float64{0, 1, 2, 3, 4, 0, 1, 2, 3, 4}}.Finer(2)
	if got := slope.At(4, 1); math.Abs(got-1.75) > 1e-12 {
		t.Errorf("on a slope %v", got)
	}
	hole := f
	hole.Values = append([]float64(nil), f.Values...)
	hole.Values[5] = math.NaN()
	if h := hole.Finer(2); !math.IsNaN(h.At(3, 3)) || math.IsNaN(h.At(7, 5)) {
		t.Error("a hole is filled, or spreads over the map")
	}
}
