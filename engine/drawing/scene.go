// Package drawing is a display list in paper space: what a plan or a section
// shows, in millimetres, independent of the file format that carries it.
package drawing

// Scene is one drawing; origin at the paper's top left, x right, y down, mm.
type Scene struct {
	WidthMM, HeightMM float64
	Title             string
	Scale             float64 // model millimetres per paper millimetre: 50 for 1:50; 0 for a diagram
	Items             []Item
}

// Item is one thing to draw; exactly one of the pointers is set.
type Item struct {
	Layer  string // room, structure, units, light, cable, text, dimension
	Line   *Line
	Poly   *Poly
	Circle *Circle
	Text   *Text
	Image  *Image
}

// Pen is how a line is drawn.
type Pen struct {
	WidthMM float64
	Colour  Colour
	Dash    []float64 // mm on, off …
}

// Colour is sRGB, 0..255; Alpha 0 means opaque, as in 255.
type Colour struct{ R, G, B, A uint8 }

// Line is an open path.
type Line struct {
	Points [][2]float64
	Pen    Pen
	Arrow  bool // at the last point
}

// Poly is a closed, optionally filled area.
type Poly struct {
	Points [][2]float64
	Pen    Pen
	Fill   *Colour
}

// Circle is a circle or a disc.
type Circle struct {
	X, Y, R float64
	Pen     Pen
	Fill    *Colour
}

// Text is one line of text; size is the em height in mm.
type Text struct {
	X, Y      float64 // of the anchor on the base line
	Size      float64
	Value     string
	Anchor    string // start, middle, end
	Bold      bool
	Colour    Colour
	RotateDeg float64 // counter-clockwise
}

// Image is a raster (a light map), row by row from the top, RGB.
type Image struct {
	X, Y, W, H float64 // mm
	Cols, Rows int
	RGB        []uint8
}
