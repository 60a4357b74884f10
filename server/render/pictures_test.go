package render

import (
	"bytes"
	"testing"

	"roodbeam/engine/drawing"
	"roodbeam/engine/sheet"
)

// TestPicturesOfOneSizeStayInOrder: several rasters of one size, one of them
// twice, give the same file every time.
func TestPicturesOfOneSizeStayInOrder(t *testing.T) {
	s := drawing.Scene{WidthMM: 200, HeightMM: 60}
	for i := range 7 {
		rgb := make([]uint8, 3*700*2)
		for j := range rgb {
			rgb[j] = uint8(j * (i%6 + 1))
		}
		s.Raster(drawing.LayerLight, drawing.Image{X: float64(20 * i), W: 18, H: 10, Cols: 700, Rows: 2, RGB: rgb})
	}
	p := sheet.Packet{Church: "a church", Date: "2026-11-25", Paper: "A3",
		Sheets: []sheet.Sheet{{Code: "P1", Title: "pictures", Blocks: []sheet.Block{{Drawing: &s}}}}}
	first, err := PDF(p)
	if err != nil {
		t.Fatal(err)
	}
	for range 12 {
		again, err := PDF(p)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first, again) {
			t.Fatal("the same packet gives another file")
		}
	}
}
