package render

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/png"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"

	"roodbeam/engine/drawing"
	"roodbeam/engine/sheet"
)

// file is one PDF being written, with the state that fpdf does not let us ask for.
type file struct {
	pdf    *fpdf.Fpdf
	page   sheet.Page
	layers map[string]int
	// outside lists lines of text that reach over the page's margins: a fault of
	// the layout that the tests look for.
	outside []string
	// measuring places everything and draws nothing.
	measuring bool
	widths    map[int][sha256.Size]byte // of the rasters, in pixels
}

// newFile starts a deterministic PDF on the packet's paper: sorted catalogue,
// the packet's own date as creation date, two embedded font subsets.
func newFile(paper string, date time.Time) *file {
	page := sheet.PageOf(paper)
	pdf := fpdf.NewCustom(&fpdf.InitType{
		OrientationStr: "P", UnitStr: "mm",
		Size: fpdf.SizeType{Wd: page.WidthMM, Ht: page.HeightMM},
	})
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(date)
	pdf.SetModificationDate(date)
	pdf.SetProducer("Roodbeam", true)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	// The font bytes are shared by all files of the process; fpdf does not promise
	// to leave them untouched.
	pdf.AddUTF8FontFromBytes(fontName, "", bytes.Clone(dejavusanscondensed.TTF))
	pdf.AddUTF8FontFromBytes(fontName, "B", bytes.Clone(dejavusanscondensedbold.TTF))
	f := &file{pdf: pdf, page: page, layers: map[string]int{}}
	for _, name := range []string{drawing.LayerRoom, drawing.LayerStructure, drawing.LayerLight,
		drawing.LayerCable, drawing.LayerUnits, drawing.LayerText, drawing.LayerDimension} {
		f.layers[name] = pdf.AddLayer(name, true)
	}
	return f
}

// stamp returns the time a packet's date stands for: RFC 3339 or a plain day; a
// fixed day for any other text, so that the file stays reproducible.
func stamp(date string) time.Time {
	for _, layout := range []string{time.RFC3339, time.DateOnly} {
		if t, err := time.Parse(layout, date); err == nil {
			return t.UTC()
		}
	}
	return time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
}

func (f *file) draw(c drawing.Colour)   { f.pdf.SetDrawColor(int(c.R), int(c.G), int(c.B)) }
func (f *file) fill(c drawing.Colour)   { f.pdf.SetFillColor(int(c.R), int(c.G), int(c.B)) }
func (f *file) colour(c drawing.Colour) { f.pdf.SetTextColor(int(c.R), int(c.G), int(c.B)) }

func (f *file) alpha(c drawing.Colour) {
	a := 1.0
	if c.A != 0 {
		a = float64(c.A) / 255
	}
	f.pdf.SetAlpha(a, "Normal")
}

// write sets one line of text with its base line at y.
func (f *file) write(x, y float64, t drawing.Text) {
	if f.measuring {
		return
	}
	style := ""
	if t.Bold {
		style = "B"
	}
	text := printable(t.Value)
	f.pdf.SetFont(fontName, style, pt(t.Size))
	f.colour(t.Colour)
	switch w := drawing.TextWidth(text, t.Size, t.Bold); t.Anchor {
	case "middle":
		x -= w / 2
	case "end":
		x -= w
	}
	f.pdf.Text(x, y, text)
	w := drawing.TextWidth(text, t.Size, t.Bold)
	const slack = 0.3 // rounding of glyph widths, mm
	if t.RotateDeg == 0 && (x < sheet.MarginLeft-slack || x+w > f.page.WidthMM-sheet.MarginRight+slack || y > f.page.HeightMM-sheet.MarginBottom+3 || y < sheet.MarginTop) {
		f.outside = append(f.outside, fmt.Sprintf("%.1f,%.1f to %.1f: %s", x, y, x+w, text))
	}
}

// scene draws a display list with its origin at (x0, y0), true to size.
func (f *file) scene(s *drawing.Scene, x0, y0 float64) {
	if f.measuring {
		return
	}
	f.pdf.ClipRect(x0, y0, s.WidthMM, s.HeightMM, false)
	defer f.pdf.ClipEnd()
	f.pdf.SetLineCapStyle("round")
	f.pdf.SetLineJoinStyle("round")
	open := ""
	for _, it := range s.Items {
		if it.Layer != open {
			if open != "" {
				f.pdf.EndLayer()
			}
			open = ""
			if id, ok := f.layers[it.Layer]; ok {
				f.pdf.BeginLayer(id)
				open = it.Layer
			}
		}
		f.item(it, x0, y0)
	}
	if open != "" {
		f.pdf.EndLayer()
	}
	f.pdf.SetDashPattern(nil, 0)
	f.pdf.SetAlpha(1, "Normal")
}

func (f *file) item(it drawing.Item, x0, y0 float64) {
	switch {
	case it.Line != nil:
		f.pen(it.Line.Pen)
		for i, p := range it.Line.Points {
			if i == 0 {
				f.pdf.MoveTo(x0+p[0], y0+p[1])
			} else {
				f.pdf.LineTo(x0+p[0], y0+p[1])
			}
		}
		f.pdf.DrawPath("D")
		if head, ok := it.Line.Head(); ok && it.Line.Arrow {
			f.fill(it.Line.Pen.Colour)
			f.pdf.Polygon(points(head[:], x0, y0), "F")
		}
	case it.Poly != nil:
		if it.Poly.Fill != nil {
			f.alpha(*it.Poly.Fill)
			f.fill(*it.Poly.Fill)
			f.pdf.Polygon(points(it.Poly.Points, x0, y0), "F")
		}
		if it.Poly.Pen.WidthMM > 0 {
			f.pen(it.Poly.Pen)
			f.pdf.Polygon(points(it.Poly.Points, x0, y0), "D")
		}
	case it.Circle != nil:
		c := it.Circle
		if c.Fill != nil {
			f.alpha(*c.Fill)
			f.fill(*c.Fill)
			f.pdf.Circle(x0+c.X, y0+c.Y, c.R, "F")
		}
		if c.Pen.WidthMM > 0 {
			f.pen(c.Pen)
			f.pdf.Circle(x0+c.X, y0+c.Y, c.R, "D")
		}
	case it.Text != nil:
		t := *it.Text
		f.alpha(t.Colour)
		x, y := x0+t.X, y0+t.Y
		if t.RotateDeg == 0 {
			f.write(x, y, t)
			return
		}
		f.pdf.TransformBegin()
		f.pdf.TransformRotate(t.RotateDeg, x, y)
		f.write(x, y, t)
		f.pdf.TransformEnd()
	case it.Image != nil:
		f.pdf.SetAlpha(1, "Normal")
		raw := pngOf(f.ofOwnWidth(*it.Image))
		sum := sha256.Sum256(raw)
		name := hex.EncodeToString(sum[:])
		opt := fpdf.ImageOptions{ImageType: "PNG"}
		f.pdf.RegisterImageOptionsReader(name, opt, bytes.NewReader(raw))
		f.pdf.ImageOptions(name, x0+it.Image.X, y0+it.Image.Y, it.Image.W, it.Image.H, false, opt, 0, "")
	}
}

func (f *file) pen(p drawing.Pen) {
	f.alpha(p.Colour)
	f.draw(p.Colour)
	f.pdf.SetLineWidth(p.WidthMM)
	if len(p.Dash) > 0 {
		f.pdf.SetDashPattern(p.Dash, 0)
	} else {
		f.pdf.SetDashPattern(nil, 0)
	}
}

func points(ps [][2]float64, x0, y0 float64) []fpdf.PointType {
	out := make([]fpdf.PointType, len(ps))
	for i, p := range ps {
		out[i] = fpdf.PointType{X: x0 + p[0], Y: y0 + p[1]}
	}
	return out
}

// ofOwnWidth returns the raster with a width that no other raster of the file
// has, its last column repeated: the library writes images in the order of
// their widths, and equal ones in any order.
func (f *file) ofOwnWidth(im drawing.Image) drawing.Image {
	sum := sha256.Sum256(im.RGB)
	if f.widths == nil {
		f.widths = map[int][sha256.Size]byte{}
	}
	wide := im
	for {
		width := wide.Cols * repeat(wide)
		has, taken := f.widths[width]
		if !taken || has == sum {
			f.widths[width] = sum
			return wide
		}
		rgb := make([]uint8, 0, len(wide.RGB)+3*wide.Rows)
		for y := range wide.Rows {
			row := wide.RGB[3*y*wide.Cols : 3*(y+1)*wide.Cols]
			rgb = append(append(rgb, row...), row[len(row)-3:]...)
		}
		wide.Cols, wide.RGB = wide.Cols+1, rgb
	}
}

// repeat returns how often a cell of a raster is repeated along each side.
func repeat(im drawing.Image) int { return 1 + cellPixels/max(im.Cols, im.Rows, 1) }

// cellPixels is the least number of pixels along the longer side of an encoded
// raster: viewers smooth coarse images, and a light map's cells must stay cells.
const cellPixels = 600

// pngOf encodes a raster with every cell repeated, so that it shows as a square.
func pngOf(im drawing.Image) []byte {
	k := repeat(im)
	out := image.NewNRGBA(image.Rect(0, 0, im.Cols*k, im.Rows*k))
	for y := range im.Rows * k {
		row := out.Pix[y*out.Stride : (y+1)*out.Stride]
		if y%k > 0 {
			copy(row, out.Pix[(y-1)*out.Stride:])
			continue
		}
		from := im.RGB[3*(y/k)*im.Cols:]
		for x := range im.Cols * k {
			copy(row[4*x:], from[3*(x/k):3*(x/k)+3])
			row[4*x+3] = 255
		}
	}
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed} // a fifth larger, several times sooner
	if err := enc.Encode(&b, out); err != nil {
		panic(err) // writing to memory can't fail
	}
	return b.Bytes()
}
