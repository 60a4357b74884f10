package render

import (
	"bytes"
	"image/color"
	"image/png"
	"testing"
)

func TestPNG(t *testing.T) {
	raw, err := PNG(2, 1, []uint8{255, 0, 0, 1, 2, 3})
	if err != nil {
		t.Fatal(err)
	}
	im, err := png.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	if b := im.Bounds(); b.Dx() != 2 || b.Dy() != 1 {
		t.Errorf("bounds %v", b)
	}
	if got := color.NRGBAModel.Convert(im.At(1, 0)); got != (color.NRGBA{1, 2, 3, 255}) {
		t.Errorf("second pixel %v", got)
	}
	for _, bad := range [][]uint8{nil, {1, 2}, make([]uint8, 7)} {
		if _, err := PNG(2, 1, bad); err == nil {
			t.Errorf("%d bytes were taken", len(bad))
		}
	}
}
