package render

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
)

// PNG encodes a raster, row by row from the top, three bytes a pixel.
func PNG(cols, rows int, rgb []uint8) ([]byte, error) {
	if cols <= 0 || rows <= 0 || len(rgb) != 3*cols*rows {
		return nil, fmt.Errorf("render: %d bytes are no picture of %d × %d", len(rgb), cols, rows)
	}
	im := image.NewNRGBA(image.Rect(0, 0, cols, rows))
	for i := range cols * rows {
		copy(im.Pix[4*i:], rgb[3*i:3*i+3])
		im.Pix[4*i+3] = 255
	}
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := enc.Encode(&b, im); err != nil {
		return nil, fmt.Errorf("render: %w", err)
	}
	return b.Bytes(), nil
}
