package sheet

import (
	"fmt"

	"roodbeam/engine/drawing"
	"roodbeam/engine/network"
)

// riserScene returns the one-line diagram of the data branches, not to scale:
// the splitter on the left, the units of each branch in cable order, the
// terminator at the end. Branches are split over rows that fit the width.
func (in *Input) riserScene(branches []network.Branch, w float64) drawing.Scene {
	const (
		left, boxW, gap, rowH = 46.0, 24.0, 8.0, 15.0
	)
	per := max(1, int((w-left-26)/(boxW+gap)))
	rows := 0
	for _, b := range branches {
		rows += max(1, (len(b.Units)+per-1)/per)
	}
	h := float64(rows)*rowH + 8
	s := drawing.Scene{WidthMM: w, HeightMM: h, Title: "Data branches"}
	sp := in.Network.Splitter
	s.Box(drawing.LayerCable, drawing.Solid(0.4, drawing.Ink), &drawing.Wash, drawing.Rect{X: 1, Y: 3, W: 26, H: max(h-8, 10)})
	s.Write(drawing.LayerText, drawing.Text{X: 14, Y: 9, Size: 2.8, Bold: true, Anchor: "middle", Value: "splitter"})
	s.Write(drawing.LayerText, drawing.Text{X: 14, Y: 13, Size: 2.2, Anchor: "middle", Value: fmt.Sprintf("%d outputs, %d spare", sp.Outputs, sp.Spare)})
	y := 3.0
	for i, b := range branches {
		pen := drawing.Solid(0.4, drawing.Distinct(i))
		for k := 0; k == 0 || k < len(b.Units); k += per {
			mid := y + 6
			x := left
			if k == 0 {
				s.Stroke(drawing.LayerCable, pen, [2]float64{27, mid}, [2]float64{left, mid})
				s.Write(drawing.LayerText, drawing.Text{X: 28.5, Y: mid - 1.2, Size: 2.5, Bold: true, Value: drawing.Shorten(b.Name, 16, 2.5, true)})
				s.Write(drawing.LayerText, drawing.Text{X: 28.5, Y: mid + 3.2, Size: 2.1, Value: in.length(b.LengthM), Colour: drawing.Soft})
			} else {
				s.Stroke(drawing.LayerCable, pen, [2]float64{left - 8, mid}, [2]float64{left, mid})
				s.Write(drawing.LayerText, drawing.Text{X: left - 9, Y: mid + 0.8, Size: 2.1, Anchor: "end", Value: "continued", Colour: drawing.Soft})
			}
			end := min(k+per, len(b.Units))
			for _, u := range b.Units[k:end] {
				s.Box(drawing.LayerCable, drawing.Solid(0.3, drawing.Ink), &drawing.White, drawing.Rect{X: x, Y: mid - 4.2, W: boxW, H: 8.4})
				s.Write(drawing.LayerText, drawing.Text{X: x + boxW/2, Y: mid - 0.6, Size: 2.6, Bold: true, Anchor: "middle", Value: drawing.Shorten(u, boxW-2, 2.6, true)})
				s.Write(drawing.LayerText, drawing.Text{X: x + boxW/2, Y: mid + 3, Size: 2.1, Anchor: "middle", Value: in.addressText(u), Colour: drawing.Soft})
				s.Stroke(drawing.LayerCable, pen, [2]float64{x + boxW, mid}, [2]float64{x + boxW + gap, mid})
				x += boxW + gap
			}
			if end == len(b.Units) && len(b.Units) > 0 {
				s.Box(drawing.LayerCable, drawing.Solid(0.3, drawing.Ink), &drawing.Ink, drawing.Rect{X: x, Y: mid - 1.4, W: 2.2, H: 2.8})
				s.Write(drawing.LayerText, drawing.Text{X: x + 3.2, Y: mid + 0.8, Size: 2.1, Value: "terminator", Colour: drawing.Soft})
			}
			y += rowH
		}
	}
	return s
}

func (in *Input) addressText(unit string) string {
	a, ok := in.lookups().address[unit]
	if !ok {
		return "no address"
	}
	return fmt.Sprintf("%d / %d–%d", a.Universe, a.Start, a.End)
}
