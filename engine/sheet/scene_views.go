package sheet

import (
	"strings"

	"roodbeam/engine/drawing"
)

// Picture is a view of the room, row by row from the top, sRGB.
type Picture struct {
	Name, Title string
	Cols, Rows  int
	RGB         []uint8
}

// viewsOf returns how many pictures have names that begin with prefix.
func (in *Input) viewsOf(prefix string) int {
	n := 0
	for _, p := range in.Pictures {
		if strings.HasPrefix(p.Name, prefix) {
			n++
		}
	}
	return n
}

// viewsScene puts the pictures whose names begin with prefix side by side over a
// width, each with its title under it; false without any.
func (in *Input) viewsScene(prefix string, width float64) (drawing.Scene, bool) {
	var shown []Picture
	for _, p := range in.Pictures {
		if len(p.Name) > len(prefix) && p.Name[:len(prefix)] == prefix && p.Cols > 0 && p.Rows > 0 {
			shown = append(shown, p)
		}
	}
	if len(shown) == 0 {
		return drawing.Scene{}, false
	}
	const gap, line, size = 4.0, 5.0, 3.2
	w := (width - gap*float64(len(shown)-1)) / float64(len(shown))
	if len(shown) == 1 {
		w = width / 2
	}
	s := drawing.Scene{WidthMM: width, Title: "The room in the evening"}
	for i, p := range shown {
		h := w * float64(p.Rows) / float64(p.Cols)
		x := float64(i) * (w + gap)
		s.Raster(drawing.LayerLight, drawing.Image{X: x, Y: 0, W: w, H: h, Cols: p.Cols, Rows: p.Rows, RGB: p.RGB})
		lines := drawing.Wrap(p.Title, w, size, false)
		for k, l := range lines {
			s.Write(drawing.LayerText, drawing.Text{X: x, Y: h + line*float64(k+1) - 1, Size: size, Value: l})
		}
		s.HeightMM = max(s.HeightMM, h+line*float64(len(lines)))
	}
	return s, true
}
