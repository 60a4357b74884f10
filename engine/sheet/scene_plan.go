package sheet

import (
	"math"
	"strings"

	"roodbeam/engine/drawing"
	"roodbeam/engine/geom"
)

const (
	legendWidth = 96.0
	chainBand   = 17.0 // mm for two chains beside the drawing
	chainSize   = 2.1
)

// PlanScene returns the plan of the whole room at the largest standard scale
// that fits the packet's paper.
func PlanScene(in Input) drawing.Scene {
	_, _, w, h := in.page().Frame()
	return in.planScene("Plan", in.extent(plan), w, h, false)
}

// PlatformScene returns the plan of the platform and the lines that light it,
// at a larger scale, with a dimension chain for every line.
func PlatformScene(in Input) drawing.Scene {
	_, _, w, h := in.page().Frame()
	return in.planScene("Plan of the platform and its lights", in.platformExtent(), w, h, true)
}

// platformExtent is the box round the platform and the units, from wall to wall
// across, since every dimension starts at a wall.
func (in *Input) platformExtent() drawing.Span2 {
	whole := in.extent(plan)
	var ps [][2]float64
	add := func(v geom.Vec) {
		if q := plan(v); whole.Holds(q[0], q[1]) {
			ps = append(ps, q)
		}
	}
	for _, v := range in.Room.Platform.Outline {
		add(v)
	}
	for _, u := range in.Placed {
		add(u.At)
		add(u.Target)
	}
	if len(ps) == 0 {
		return whole
	}
	b := drawing.Around(ps...).Grow(0.6)
	for _, v := range in.Room.Footprint {
		if whole.Holds(v.X, v.Y) {
			b = b.With(v.X, b.MinV)
		}
	}
	return drawing.Span2{
		MinU: math.Max(b.MinU, whole.MinU), MaxU: math.Min(b.MaxU, whole.MaxU),
		MinV: math.Max(b.MinV, whole.MinV), MaxV: math.Min(b.MaxV, whole.MaxV),
	}
}

func (in *Input) planScene(title string, box drawing.Span2, w, h float64, detail bool) drawing.Scene {
	s := drawing.Scene{WidthMM: w, HeightMM: h, Title: title}
	chains := in.unitChains(box, detail)
	top := 4.0 + 11*float64(len(chains))
	frame := drawing.Rect{X: chainBand, Y: top, W: w - legendWidth - chainBand - 6, H: h - top - chainBand}
	scale := drawing.Fit(in.Display, box.Width(), box.Height(), frame.W, frame.H)
	s.Scale = scale.Ratio
	view := drawing.Centre(scale, box, frame)
	corner, far := view.At(box.MinU, box.MaxV), view.At(box.MaxU, box.MinV)
	clip := drawing.Rect{X: corner[0] - 1, Y: corner[1] - 1, W: far[0] - corner[0] + 2, H: far[1] - corner[1] + 2}
	p := &painter{Scene: &s, view: view, clip: clip, labels: drawing.NewPlacer(labelBounds(clip, frame)), flat: plan}

	in.paintRoom(p)
	in.paintSeats(p)
	in.paintZones(p)
	in.paintLines(p)
	in.paintData(p)
	if detail {
		in.paintOutlets(p)
	}
	in.paintUnits(p)
	leftOut := 0
	p.keepClear(func() {
		leftOut = in.planChains(p, box, clip)
		for i, c := range chains {
			at := clip.Y - 3.5 - 11*float64(len(chains)-1-i)
			s.Write(drawing.LayerDimension, drawing.Text{X: clip.X - 2, Y: at + 0.8, Size: 2.4, Bold: true, Anchor: "end", Value: drawing.Shorten(c.name, chainBand-2, 2.4, true)})
			leftOut += s.Dimension(view, drawing.Chain{Marks: c.marks, At: at, From: at, Size: chainSize}, in.Display)
		}
	})
	in.paintUnknown(p, frame)
	in.paintNames(p, detail)

	l := &legend{Scene: &s, x: w - legendWidth, y: 0, w: legendWidth, bottom: h}
	in.planLegend(l, scale, view, leftOut, p.labels)
	return s
}

func (in *Input) planLegend(l *legend, scale drawing.Scale, view drawing.View, leftOut int, names *drawing.Placer) {
	l.Write(drawing.LayerText, drawing.Text{X: l.x, Y: 4, Size: 3.4, Bold: true, Value: "Scale " + scale.Name})
	l.Bar(view, in.Display, l.x+1, 12, 64)
	in.compass(l.Scene, l.x+82, 13)
	l.y = 20
	in.symbols(l)
	in.circuits(l)
	l.numbers(names)
	l.head("Lines and marks")
	l.row(l.stroke(drawing.Dashed(0.5, drawing.Clay, 4, 1.2)), "hanging line in use")
	l.row(l.stroke(drawing.Dashed(0.25, drawing.Soft, 4, 1.2)), "hanging line not in use")
	var never []string
	for _, ln := range in.Room.Lines {
		if ln.Forbidden != "" {
			never = append(never, ln.Name+" ("+ln.Forbidden+")")
		}
	}
	if len(never) > 0 {
		l.row(l.stroke(drawing.Dashed(0.3, drawing.Ink, 0.4, 1.2)), "nothing may ever hang here: "+strings.Join(never, ", "))
	}
	if len(in.Network.Branches) > 0 {
		l.row(l.stroke(drawing.Dashed(0.3, drawing.Slate, 1.2, 0.8)), "data branch, in cable order; drawn straight, lengths on the data sheet")
	}
	l.row(l.stroke(drawing.Dashed(0.25, drawing.Slate, 2.4, 1.2)), "zone to be lit")
	l.row(func(at [2]float64) { cross(l.Scene, drawing.LayerText, at, 1.1, drawing.Ink) }, "focus point; place where light is counted")
	l.row(func(at [2]float64) {
		l.Stroke(drawing.LayerText, drawing.Solid(1.2, drawing.Clay), [2]float64{at[0] - 4, at[1]}, [2]float64{at[0] + 4, at[1]})
	}, "screen")
	l.row(func(at [2]float64) {
		l.Box(drawing.LayerText, drawing.Solid(0.3, drawing.Ink), &drawing.White, drawing.Rect{X: at[0] - 1.2, Y: at[1] - 1.2, W: 2.4, H: 2.4})
	}, "outlet, panel, splitter, booth (named)")
	l.row(func(at [2]float64) { triangle(l.Scene, drawing.LayerText, at, drawing.Ink) }, "camera, place of an eye (named)")
	l.y += 2
	l.note("Dimensions run between inside faces of walls, the platform's front edge (y = 0) and the centre line (x = 0). " +
		"x grows to stage left, the right as seen from the seats; y grows upstage. Do not scale from a copy; measure the bar first.")
	if leftOut > 0 {
		l.note(plural(leftOut, "dimension", "dimensions") + " without room in the chains: see the hanging schedule.")
	}
}

func (in *Input) paintRoom(p *painter) {
	for _, f := range in.Room.Surfaces {
		if f.Kind == "gallery" {
			p.ring(drawing.LayerRoom, drawing.Dashed(0.2, drawing.Soft, 1.5, 1), nil, f.Polygon...)
		}
	}
	platform := drawing.Straw
	p.ring(drawing.LayerRoom, drawing.Solid(0.35, drawing.Ink), &platform, in.Room.Platform.Outline...)
	p.ring(drawing.LayerRoom, drawing.Solid(0.8, drawing.Ink), nil, in.Room.Footprint...)
	for _, b := range in.Room.Solids {
		fill := drawing.Colour{R: 0xd9, G: 0xdc, B: 0xdb}
		p.outline(drawing.LayerStructure, drawing.Solid(0.2, drawing.Soft), &fill, b.Faces)
	}
	for _, w := range in.Room.Windows {
		p.ring(drawing.LayerRoom, drawing.Solid(1.3, drawing.Colour{R: 0xa8, G: 0xc6, B: 0xd8}), nil, w.Polygon...)
	}
	for _, sc := range in.Room.Screens {
		p.ring(drawing.LayerRoom, drawing.Solid(1.2, drawing.Clay), nil, sc.Corners...)
	}
	// The centre line and the platform's front edge are the marks everything is
	// measured from.
	e := in.extent(plan)
	p.path(drawing.LayerRoom, drawing.Dashed(0.13, drawing.Soft, 5, 1, 0.6, 1), geom.Vec{Y: e.MinV}, geom.Vec{Y: e.MaxV})
}

func (in *Input) paintSeats(p *painter) {
	for _, b := range in.Room.Seating {
		for _, r := range b.Rows {
			p.path(drawing.LayerRoom, drawing.Solid(0.45, drawing.Faint), r.Left, r.Right)
		}
	}
}

func (in *Input) paintZones(p *painter) {
	for _, z := range in.Brief.Zones {
		if !(z.MinX.Set && z.MaxX.Set && z.MinY.Set && z.MaxY.Set) {
			continue
		}
		x0, x1, y0, y1 := z.MinX.Value.Metres(), z.MaxX.Value.Metres(), z.MinY.Value.Metres(), z.MaxY.Value.Metres()
		p.ring(drawing.LayerText, drawing.Dashed(0.25, drawing.Slate, 2.4, 1.2), nil,
			geom.Vec{X: x0, Y: y0}, geom.Vec{X: x1, Y: y0}, geom.Vec{X: x1, Y: y1}, geom.Vec{X: x0, Y: y1})
	}
	for _, z := range in.Light.Zones {
		for _, f := range z.Faces {
			if q := p.at(f.At); p.shows(q) {
				cross(p.Scene, drawing.LayerText, q, 0.9, drawing.Soft)
			}
		}
	}
}

func (in *Input) paintLines(p *painter) {
	used := in.linesInUse()
	for _, l := range in.Room.Lines {
		pen := drawing.Dashed(0.25, drawing.Soft, 4, 1.2)
		switch {
		case l.Forbidden != "":
			pen = drawing.Dashed(0.3, drawing.Ink, 0.4, 1.2)
		case contains(used, l.Name):
			pen = drawing.Dashed(0.5, drawing.Clay, 4, 1.2)
		}
		p.path(drawing.LayerStructure, pen, l.From, l.To)
	}
}

// paintData draws each branch from the splitter through its units in order.
func (in *Input) paintData(p *painter) {
	if len(in.Network.Branches) == 0 {
		return
	}
	at := map[string]geom.Vec{}
	for _, u := range in.Placed {
		at[u.ID] = u.At
	}
	sp := geom.Vec{X: in.Network.Splitter.X, Y: in.Network.Splitter.Y, Z: in.Network.Splitter.Z}
	for _, b := range in.Network.Branches {
		from := sp
		for _, id := range b.Units {
			to, ok := at[id]
			if !ok {
				continue
			}
			p.path(drawing.LayerCable, drawing.Dashed(0.25, drawing.Slate, 1.2, 0.8), from, geom.Vec{X: from.X, Y: to.Y, Z: to.Z}, to)
			from = to
		}
	}
}

// paintOutlets draws the outlets below the units, which may stand at the same place.
func (in *Input) paintOutlets(p *painter) {
	for _, c := range in.Load.Circuits {
		for _, o := range c.Places {
			if q := p.at(geom.Vec{X: o.X, Y: o.Y}); p.shows(q) {
				p.Box(drawing.LayerCable, drawing.Solid(0.25, drawing.Ink), &drawing.White, drawing.Rect{X: q[0] - 1, Y: q[1] - 1, W: 2, H: 2})
				p.labels.BlockDisc(q, 1)
			}
		}
	}
}

func (in *Input) paintUnits(p *painter) {
	for _, u := range in.Placed {
		q, t := p.at(u.At), p.at(u.Target)
		c := in.circuitColour(u.ID)
		c.A = 150
		for _, g := range drawing.Clip(p.clip, q, t) {
			p.Stroke(drawing.LayerLight, drawing.Solid(0.18, c), g[0], g[1])
			p.labels.Avoid(g[0], g[1])
		}
		if p.shows(t) {
			cross(p.Scene, drawing.LayerLight, t, 1.1, drawing.Ink)
		}
	}
	for _, u := range in.Placed {
		q, t := p.at(u.At), p.at(u.Target)
		if !p.shows(q) {
			continue
		}
		fill := in.circuitColour(u.ID)
		p.Symbol(in.class(u.Fixture), q, t[0]-q[0], t[1]-q[1], unitSize, drawing.Solid(0.25, drawing.Ink), fill)
		p.labels.BlockDisc(q, unitSize/2)
	}
}

// paintNames places every label, what must be read first coming first.
func (in *Input) paintNames(p *painter, detail bool) {
	for _, u := range in.Placed {
		p.label(drawing.LayerText, u.At, unitSize/2, drawing.Text{Size: 2.5, Bold: true, Value: short(u.ID)})
	}
	for _, l := range in.Room.Lines {
		end := l.To
		if q := p.at(end); !p.shows(q) {
			end = l.From.Lerp(l.To, 0.5)
		}
		p.label(drawing.LayerText, end, 0.4, drawing.Text{Size: 2.2, Value: short(l.Name), Colour: drawing.Clay, Bold: contains(in.linesInUse(), l.Name)})
	}
	for _, z := range in.Brief.Zones {
		if z.MinX.Set && z.MaxX.Set && z.MinY.Set && z.MaxY.Set {
			mid := geom.Vec{X: float64(z.MinX.Value+z.MaxX.Value) / 2, Y: float64(z.MinY.Value+z.MaxY.Value) / 2}
			p.label(drawing.LayerText, mid, 1, drawing.Text{Size: 2.3, Value: short(z.Name), Colour: drawing.Slate, Bold: true})
		}
	}
	box := func(at geom.Vec, name string) {
		q := p.at(at)
		if math.IsNaN(q[0]+q[1]) || !p.shows(q) {
			return
		}
		p.Box(drawing.LayerCable, drawing.Solid(0.25, drawing.Ink), &drawing.White, drawing.Rect{X: q[0] - 1, Y: q[1] - 1, W: 2, H: 2})
		p.labels.BlockDisc(q, 1)
		p.label(drawing.LayerText, at, 1, drawing.Text{Size: 2.1, Value: short(name)})
	}
	if in.Network.Splitter.Outputs > 0 || len(in.Network.Branches) > 0 {
		box(geom.Vec{X: in.Network.Splitter.X, Y: in.Network.Splitter.Y}, "splitter")
	}
	for _, b := range in.Survey.Panels {
		box(in.place(b.At), "panel "+b.Name)
	}
	for _, d := range in.Survey.DataPlaces {
		if d.Kind != "splitter" {
			box(in.place(d.At), orText(d.Name, words(d.Kind)))
		}
	}
	if detail {
		for _, c := range in.Load.Circuits {
			for _, o := range c.Places {
				p.label(drawing.LayerText, geom.Vec{X: o.X, Y: o.Y}, 1, drawing.Text{Size: 2, Value: short(o.Name)})
			}
		}
	}
	for _, s := range in.Room.Screens {
		p.label(drawing.LayerText, s.Corners.Centroid(), 1, drawing.Text{Size: 2.1, Value: short("screen " + s.Name), Colour: drawing.Clay})
	}
	point := func(at geom.Vec, name string) {
		if q := p.at(at); !math.IsNaN(q[0]+q[1]) && p.shows(q) {
			triangle(p.Scene, drawing.LayerText, q, drawing.Ink)
			p.labels.BlockDisc(q, 1)
			p.label(drawing.LayerText, at, 1, drawing.Text{Size: 2, Value: short(name), Colour: drawing.Soft})
		}
	}
	for _, c := range in.Brief.Cameras {
		if c.X.Set && c.Y.Set {
			point(geom.Vec{X: c.X.Value.Metres(), Y: c.Y.Value.Metres()}, "camera "+c.Name)
		}
	}
	for _, e := range in.Room.Eyes {
		point(e.At, e.Name)
	}
	seen, lines := map[string]bool{}, map[string]bool{}
	for _, l := range in.Room.Lines {
		lines[l.Name] = true // a member that blocks light carries its name already
	}
	for _, b := range in.Room.Solids {
		stem := strings.TrimRight(b.Name, "0123456789 _-")
		if seen[stem] || len(b.Faces) == 0 || lines[b.Name] {
			continue
		}
		seen[stem] = true
		p.label(drawing.LayerText, b.Base, 1, drawing.Text{Size: 2, Value: short(words(stem)), Colour: drawing.Soft})
	}
	for _, b := range in.Room.Seating {
		if n := len(b.Rows); n > 0 {
			r := b.Rows[n/2]
			p.label(drawing.LayerText, r.Left.Lerp(r.Right, 0.5), 1, drawing.Text{Size: 2, Value: short("seating " + b.Name), Colour: drawing.Soft})
		}
	}
}

// short keeps a name on a drawing from running over everything else.
func short(name string) string { return drawing.Shorten(name, 34, 2.2, false) }

type unitChain struct {
	name  string
	marks []float64
}

// unitChains returns, for the platform plan, the x of the units of every line
// that runs across the room, between the walls.
func (in *Input) unitChains(box drawing.Span2, detail bool) []unitChain {
	if !detail {
		return nil
	}
	var out []unitChain
	for _, name := range in.linesInUse() {
		c := unitChain{name: name}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, u := range in.Placed {
			if u.Line == name && box.Holds(u.At.X, u.At.Y) {
				c.marks = append(c.marks, u.At.X)
				lo, hi = math.Min(lo, u.At.Y), math.Max(hi, u.At.Y)
			}
		}
		// A line that runs along the room has its units one behind the other.
		const straight = 0.6
		if len(c.marks) == 0 || hi-lo > straight {
			continue
		}
		for _, v := range in.Room.Footprint {
			if v.X >= box.MinU-1e-9 && v.X <= box.MaxU+1e-9 {
				c.marks = append(c.marks, v.X)
			}
		}
		c.marks = within(append(c.marks, 0), box.MinU, box.MaxU)
		out = append(out, c)
		if len(out) == 6 {
			break
		}
	}
	return out
}

// planChains adds the chains below and to the left of the plan.
func (in *Input) planChains(p *painter, box drawing.Span2, clip drawing.Rect) int {
	xs, ys := []float64{0}, []float64{0}
	wallsX, wallsY := []float64{}, []float64{}
	for _, v := range in.Room.Footprint {
		wallsX, wallsY = append(wallsX, v.X), append(wallsY, v.Y)
	}
	wallsX, wallsY = corners(wallsX), corners(wallsY)
	xs, ys = append(xs, wallsX...), append(ys, wallsY...)
	for _, v := range in.Room.Platform.Outline {
		xs, ys = append(xs, v.X), append(ys, v.Y)
	}
	for _, l := range in.Room.Lines {
		if math.Abs(l.From.Y-l.To.Y) < 0.05 && contains(in.linesInUse(), l.Name) {
			ys = append(ys, l.From.Y)
		}
	}
	low, left := clip.Y+clip.H, clip.X
	n := p.Dimension(p.view, drawing.Chain{Marks: within(xs, box.MinU, box.MaxU), At: low + 7, From: low + 1, Size: chainSize, Both: true}, in.Display)
	n += p.Dimension(p.view, drawing.Chain{Marks: ends(within(wallsX, box.MinU, box.MaxU)), At: low + 14, From: low + 8, Size: chainSize, Both: true}, in.Display)
	n += p.Dimension(p.view, drawing.Chain{Upright: true, Marks: within(ys, box.MinV, box.MaxV), At: left - 4, From: left - 0.5, Size: chainSize, Both: true}, in.Display)
	n += p.Dimension(p.view, drawing.Chain{Upright: true, Marks: ends(within(wallsY, box.MinV, box.MaxV)), At: left - 11, From: left - 7, Size: chainSize, Both: true}, in.Display)
	return n
}

// within keeps the marks that lie on the drawing; NaN never does.
func within(ms []float64, lo, hi float64) []float64 {
	var out []float64
	for _, m := range ms {
		if m >= lo-1e-9 && m <= hi+1e-9 {
			out = append(out, m)
		}
	}
	return out
}

// corners drops the corners of a wall that is not quite square: marks within a
// hand's width of an outermost one would only crowd the chain.
func corners(ms []float64) []float64 {
	out := ends(ms)
	for _, m := range ms {
		const hand = 0.1
		if math.Abs(m-out[0]) > hand && math.Abs(m-out[1]) > hand {
			out = append(out, m)
		}
	}
	return out
}

func ends(ms []float64) []float64 {
	if len(ms) == 0 {
		return nil
	}
	b := drawing.Around([2]float64{ms[0], 0})
	for _, m := range ms {
		b = b.With(m, 0)
	}
	return []float64{b.MinU, b.MaxU}
}

// compass draws the arrow upstage and, where the building's bearing is known,
// north. The congregation looks upstage, up on the plan.
func (in *Input) compass(s *drawing.Scene, x, y float64) {
	const r = 7.0
	s.Arrow(drawing.LayerText, drawing.Solid(0.3, drawing.Clay), [2]float64{x, y + r}, [2]float64{x, y - r})
	s.Write(drawing.LayerText, drawing.Text{X: x, Y: y - r - 1.2, Size: 2.1, Anchor: "middle", Value: "platform", Colour: drawing.Clay})
	if !in.Survey.Site.Orientation {
		s.Write(drawing.LayerText, drawing.Text{X: x, Y: y + r + 3, Size: 2, Anchor: "middle", Value: "north unknown", Colour: drawing.Soft})
		return
	}
	a := -in.Survey.Site.CongregationFacingDeg * math.Pi / 180
	dx, dy := math.Sin(a)*r, -math.Cos(a)*r
	s.Arrow(drawing.LayerText, drawing.Solid(0.3, drawing.Ink), [2]float64{x - dx, y - dy}, [2]float64{x + dx, y + dy})
	s.Write(drawing.LayerText, drawing.Text{X: x + 1.35*dx, Y: y + 1.35*dy + 0.8, Size: 2.5, Anchor: "middle", Bold: true, Value: "N"})
}

func cross(s *drawing.Scene, layer string, at [2]float64, r float64, c drawing.Colour) {
	s.Stroke(layer, drawing.Solid(0.18, c), [2]float64{at[0] - r, at[1]}, [2]float64{at[0] + r, at[1]})
	s.Stroke(layer, drawing.Solid(0.18, c), [2]float64{at[0], at[1] - r}, [2]float64{at[0], at[1] + r})
}

func triangle(s *drawing.Scene, layer string, at [2]float64, c drawing.Colour) {
	s.Area(layer, drawing.Solid(0.2, c), &drawing.White, [2]float64{at[0], at[1] - 1.2}, [2]float64{at[0] + 1.1, at[1] + 0.9}, [2]float64{at[0] - 1.1, at[1] + 0.9})
}
