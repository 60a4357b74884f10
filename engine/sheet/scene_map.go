package sheet

import (
	"fmt"
	"math"

	"roodbeam/engine/drawing"
	"roodbeam/engine/geom"
)

// LightMapScene returns the light map over the platform: cells by viridis with
// contour lines where the light stage computed a grid, and every face with its
// value.
func LightMapScene(in Input) drawing.Scene {
	_, _, w, h := in.page().Frame()
	if len(in.Maps) == 0 {
		return in.mapScene(drawing.Field{Unit: "lx"}, w, h)
	}
	return in.mapScene(in.Maps[0], w, h)
}

// MapOverlay returns the platform's outline and every face with its light, for a
// light map of pixels.
func MapOverlay(in Input) drawing.Overlay {
	var out drawing.Overlay
	for _, v := range in.Room.Platform.Outline {
		out.Outline = append(out.Outline, plan(v))
	}
	for _, z := range in.Light.Zones {
		if z.GridStepM != 0 {
			continue
		}
		for _, f := range z.Faces {
			out.Marks = append(out.Marks, drawing.Mark{X: f.At.X, Y: f.At.Y, Value: f.VerticalLx})
		}
	}
	return out
}

func (in *Input) mapScene(f drawing.Field, w, h float64) drawing.Scene {
	title := "Light on the faces"
	if f.Title != "" {
		title = f.Title
	}
	s := drawing.Scene{WidthMM: w, HeightMM: h, Title: title}
	var ps [][2]float64
	if f.Cols > 0 && f.Rows > 0 && f.StepM > 0 {
		b := f.Box()
		ps = append(ps, [2]float64{b.MinU, b.MinV}, [2]float64{b.MaxU, b.MaxV})
	}
	for _, v := range in.Room.Platform.Outline {
		ps = append(ps, plan(v))
	}
	hi := 0.0
	for _, z := range in.Light.Zones {
		hi = math.Max(hi, z.TargetLx)
		for _, c := range z.Faces {
			ps = append(ps, plan(c.At))
			hi = math.Max(hi, c.VerticalLx)
		}
	}
	if _, top, ok := f.Range(); ok {
		hi = math.Max(hi, top)
	}
	if !(hi > 0) || math.IsInf(hi, 0) {
		hi = 100
	}
	hi = roundUp(hi)
	box := in.extent(plan)
	near := ps[:0]
	for _, q := range ps {
		if math.Abs(q[0]) < farthest && math.Abs(q[1]) < farthest {
			near = append(near, q)
		}
	}
	if len(near) > 1 {
		box = drawing.Around(near...).Grow(0.5)
	}
	const side = 84.0
	frame := drawing.Rect{X: 2, Y: 2, W: w - side - 6, H: h - 4}
	scale := drawing.Fit(in.Display, box.Width(), box.Height(), frame.W, frame.H)
	s.Scale = scale.Ratio
	view := drawing.Centre(scale, box, frame)
	a, b := view.At(box.MinU, box.MaxV), view.At(box.MaxU, box.MinV)
	clip := drawing.Rect{X: a[0], Y: a[1], W: b[0] - a[0], H: b[1] - a[1]}
	p := &painter{Scene: &s, view: view, clip: clip, labels: drawing.NewPlacer(labelBounds(clip, frame)), flat: plan}

	type faceMark struct {
		at  geom.Vec
		lx  float64
		who string
	}
	var marks []faceMark
	for _, z := range in.Light.Zones {
		for _, c := range z.Faces {
			marks = append(marks, faceMark{c.At, c.VerticalLx, c.Name})
			p.labels.BlockDisc(p.at(c.At), 2.1)
		}
	}
	levels := drawing.ContourLevels(hi, 8)
	s.LightMap(view, f, hi, levels, p.labels)
	p.ring(drawing.LayerRoom, drawing.Solid(0.5, drawing.Ink), nil, in.Room.Footprint...)
	p.ring(drawing.LayerRoom, drawing.Solid(0.3, drawing.Ink), nil, in.Room.Platform.Outline...)
	in.paintZones(p)
	halo := drawing.White
	for _, m := range marks {
		c := drawing.Viridis(m.lx / hi)
		if q := p.at(m.at); p.shows(q) {
			p.Disc(drawing.LayerLight, drawing.Solid(0.3, halo), &c, q, 1.9)
			p.Disc(drawing.LayerLight, drawing.Solid(0.2, drawing.Ink), nil, q, 2.1)
		}
	}
	for _, m := range marks {
		in.plate(p, m.at, 2.2, drawing.Text{Size: 2.3, Bold: true, Value: number(m.lx, 0, "lx")})
	}
	for _, z := range in.Brief.Zones {
		if z.MinX.Set && z.MaxX.Set && z.MinY.Set && z.MaxY.Set {
			top := geom.Vec{X: float64(z.MinX.Value+z.MaxX.Value) / 2, Y: z.MaxY.Value.Metres()}
			in.plate(p, top, 0.5, drawing.Text{Size: 2.3, Value: short(z.Name), Colour: drawing.Slate})
		}
	}

	l := &legend{Scene: &s, x: w - side, w: side, bottom: h}
	s.Write(drawing.LayerText, drawing.Text{X: l.x, Y: 4, Size: 3.4, Bold: true, Value: "Scale " + scale.Name})
	s.Bar(view, in.Display, l.x+1, 12, 56)
	s.ColourKey(l.x+2, 24, side-14, hi, "lx")
	l.y = 34
	l.numbers(p.labels)
	l.note(fmt.Sprintf("%s. Colours: perceptual scale from 0 to %.0f lx.", title, hi))
	if f.Cols > 0 {
		l.note(fmt.Sprintf("Calculated every %s, smooth in between; thin lines join places of equal light, with their value in lx.", in.both(f.StepM)))
	} else {
		l.note("Only the counted places are shown; between them nothing is claimed.")
	}
	l.row(func(at [2]float64) {
		s.Disc(drawing.LayerText, drawing.Solid(0.2, drawing.Ink), &drawing.White, at, 2.1)
	}, "face, with the light on it from all front units")
	l.row(l.stroke(drawing.Dashed(0.25, drawing.Slate, 2.4, 1.2)), "zone to be lit")
	if in.Light.LossFactor > 0 {
		l.note(fmt.Sprintf("A loss factor of %.2f for dirt and age is included.", in.Light.LossFactor))
	}
	for _, t := range in.Light.Limits {
		l.note(t)
	}
	return s
}

// plate writes a text on a white plate, so that it reads on any colour.
func (in *Input) plate(p *painter, at geom.Vec, radius float64, text drawing.Text) {
	q := p.at(at)
	if !p.shows(q) {
		return
	}
	n := len(p.Items)
	p.labels.Place(p.Scene, drawing.LayerLight, q, radius, text)
	for i := n; i < len(p.Items); i++ {
		if t := p.Items[i].Text; t != nil {
			b := drawing.TextBox(*t)
			item := p.Items[i]
			p.Items = p.Items[:i]
			p.Box(drawing.LayerLight, drawing.Pen{}, &drawing.White, drawing.Rect{X: b.X - 0.4, Y: b.Y - 0.1, W: b.W + 0.8, H: b.H + 0.1})
			p.Items = append(p.Items, item)
			return
		}
	}
}

// roundUp returns the next 1, 2, 2.5 or 5 times a power of ten, or a whole
// multiple of its tenth part that is near: 580 gives 600.
func roundUp(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	return math.Ceil(v/p) * p
}
