package sheet

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/drawing"
	"roodbeam/engine/geom"
)

// SectionScene returns the long section on the centre line, seen from stage
// left: the seats on the left, the platform on the right.
func SectionScene(in Input) drawing.Scene {
	_, _, w, h := in.page().Frame()
	return in.sectionScene("Long section", lengthwise, w, h)
}

// CrossScene returns the cross section, seen from the seats.
func CrossScene(in Input) drawing.Scene {
	_, _, w, h := in.page().Frame()
	return in.sectionScene("Cross section", across, w, h)
}

const sectionLegend = 74.0

func (in *Input) sectionScene(title string, flat func(geom.Vec) [2]float64, w, h float64) drawing.Scene {
	s := drawing.Scene{WidthMM: w, HeightMM: h, Title: title}
	long := title == "Long section"
	box := in.extent(flat).With(0, 0)
	const left, right, foot, top = 22.0, 26.0, 20.0, 6.0
	frame := drawing.Rect{X: left, Y: top, W: w - left - right - sectionLegend, H: h - top - foot}
	scale := drawing.Fit(in.Display, box.Width(), box.Height(), frame.W, frame.H)
	s.Scale = scale.Ratio
	view := drawing.Centre(scale, box, frame)
	a, b := view.At(box.MinU, box.MaxV), view.At(box.MaxU, box.MinV)
	clip := drawing.Rect{X: a[0] - 1, Y: a[1] - 1, W: b[0] - a[0] + 2, H: b[1] - a[1] + 2}
	p := &painter{Scene: &s, view: view, clip: clip, labels: drawing.NewPlacer(labelBounds(clip, frame)), flat: flat}

	in.paintShell(p, box, long)
	in.paintSightLines(p)
	p.keepClear(func() {
		in.sectionChains(p, box, clip, long)
		in.heightTicks(p, box, clip, w-sectionLegend-right)
	})
	in.paintUnknown(p, frame)
	in.paintSpill(p, long)
	in.paintRays(p)
	in.sectionNames(p, long)

	l := &legend{Scene: &s, x: w - sectionLegend, w: sectionLegend, bottom: h}
	in.sectionLegendRows(l, scale, view, long, p.labels)
	return s
}

// paintShell draws walls, ceiling, galleries, platform, solids and lines.
func (in *Input) paintShell(p *painter, box drawing.Span2, long bool) {
	outline := in.ceilingProfile(box, long)
	p.Area(drawing.LayerRoom, drawing.Pen{}, &drawing.Wash, points2(p.view, outline)...)
	for _, f := range in.Room.Surfaces {
		if f.Kind == "gallery" {
			fill := drawing.Colour{R: 0xe2, G: 0xe4, B: 0xe2}
			p.outline(drawing.LayerStructure, drawing.Solid(0.2, drawing.Faint), &fill, []geom.Polygon{f.Polygon})
		}
	}
	for _, b := range in.Room.Solids {
		fill := drawing.Colour{R: 0xd9, G: 0xdc, B: 0xdb}
		p.outline(drawing.LayerStructure, drawing.Solid(0.15, drawing.Faint), &fill, b.Faces)
	}
	if len(in.Room.Platform.Outline) > 0 {
		var body []geom.Polygon
		floor := make(geom.Polygon, 0, len(in.Room.Platform.Outline))
		for _, v := range in.Room.Platform.Outline {
			floor = append(floor, v.Plan())
		}
		body = append(body, in.Room.Platform.Outline, floor)
		fill := drawing.Straw
		p.outline(drawing.LayerRoom, drawing.Solid(0.35, drawing.Ink), &fill, body)
	}
	for _, w := range in.Room.Windows {
		p.ring(drawing.LayerRoom, drawing.Solid(0.25, drawing.Colour{R: 0x8f, G: 0xb4, B: 0xc9}), nil, w.Polygon...)
	}
	for _, sc := range in.Room.Screens {
		p.ring(drawing.LayerRoom, drawing.Solid(0.9, drawing.Clay), nil, sc.Corners...)
	}
	for _, b := range in.Room.Seating {
		for _, r := range b.Rows {
			q := p.at(r.Left.Lerp(r.Right, 0.5))
			if p.shows(q) && long {
				p.Disc(drawing.LayerRoom, drawing.Solid(0.15, drawing.Soft), &drawing.White, q, 0.6)
			}
		}
	}
	used := in.linesInUse()
	for _, l := range in.Room.Lines {
		pen := drawing.Solid(0.3, drawing.Soft)
		fill := drawing.White
		if l.Forbidden != "" {
			pen = drawing.Dashed(0.3, drawing.Ink, 0.4, 1.2)
		} else if contains(used, l.Name) {
			pen, fill = drawing.Solid(0.4, drawing.Clay), drawing.Timber
		}
		from, to := p.at(l.From), p.at(l.To)
		if math.Hypot(from[0]-to[0], from[1]-to[1]) > 2 {
			p.path(drawing.LayerStructure, pen, l.From, l.To)
			continue
		}
		// Seen end on: the member stands on its underside.
		wide := math.Max(p.view.MM(l.Survey.Width.Or(0.15).Metres()), 1.2)
		high := math.Max(p.view.MM(l.Survey.Depth.Or(0.15).Metres()), 1.2)
		if p.shows(from) {
			member := drawing.Rect{X: from[0] - wide/2, Y: from[1] - high, W: wide, H: high}
			p.Box(drawing.LayerStructure, pen, &fill, member)
			p.labels.Block(member)
		}
	}
	if c := in.Room.Ceiling; c.Shape != "hipped" && c.Shape != "stepped" && c.Ridge > c.Eaves && c.Eaves > 0 && c.RidgeAlongY == long && len(outline) > 1 {
		// The roof slopes away from the viewer: the ridge is the outline, the eaves
		// are a line on the wall.
		a, b := p.view.At(outline[0][0], c.Eaves.Metres()), p.view.At(outline[1][0], c.Eaves.Metres())
		p.Stroke(drawing.LayerRoom, drawing.Dashed(0.2, drawing.Soft, 4, 1.5), a, b)
	}
	var closed [][2]float64
	closed = append(closed, points2(p.view, outline)...)
	if len(closed) > 0 {
		closed = append(closed, closed[0])
	}
	p.Stroke(drawing.LayerRoom, drawing.Solid(0.8, drawing.Ink), closed...)
}

// ceilingProfile returns the section's outline: floor, walls and the ceiling's
// shape on the centre line. Without a known ceiling it is open at the top box.
func (in *Input) ceilingProfile(box drawing.Span2, long bool) [][2]float64 {
	lo, hi := box.MinU, box.MaxU
	if n := len(in.Room.Footprint); n > 0 {
		var us []float64
		for _, v := range in.Room.Footprint {
			if long {
				us = append(us, v.Y)
			} else {
				us = append(us, v.X)
			}
		}
		e := ends(us)
		lo, hi = e[0], e[1]
	}
	c := in.Room.Ceiling
	eaves, ridge := c.Eaves.Metres(), c.Ridge.Metres()
	if ridge < eaves {
		ridge = eaves
	}
	centre, runsAway := c.CentreX.Metres(), c.RidgeAlongY
	if long {
		centre, runsAway = c.CentreY.Metres(), !c.RidgeAlongY
	}
	switch {
	case c.Shape == "hipped" || c.Shape == "barrel" || c.Shape == "stepped":
		return in.sampledProfile(lo, hi, long)
	case ridge == 0:
		return [][2]float64{{lo, 0}, {hi, 0}, {hi, box.MaxV}, {lo, box.MaxV}}
	case ridge > eaves && runsAway: // the gable is seen in true shape
		half := c.HalfWidth.Metres()
		if half <= 0 {
			half = (hi - lo) / 2
		}
		at := func(u float64) float64 { return math.Max(0, ridge-(ridge-eaves)*math.Abs(u-centre)/half) }
		out := [][2]float64{{lo, 0}, {hi, 0}, {hi, at(hi)}}
		if centre > lo && centre < hi {
			out = append(out, [2]float64{centre, ridge})
		}
		return append(out, [2]float64{lo, at(lo)})
	default:
		return [][2]float64{{lo, 0}, {hi, 0}, {hi, ridge}, {lo, ridge}}
	}
}

// profileSamples is how many pieces a bent ceiling is drawn in: finer than a pen
// on the largest sheet would show on a curve of eight facets.
const profileSamples = 96

// sampledProfile is the section's outline under a ceiling that is neither flat
// nor a gable, on the centre line.
func (in *Input) sampledProfile(lo, hi float64, long bool) [][2]float64 {
	c := in.Room.Ceiling
	out := [][2]float64{{lo, 0}, {hi, 0}}
	for i := range profileSamples + 1 {
		u := hi - (hi-lo)*float64(i)/profileSamples
		x, y := u, 0.0
		if long {
			x, y = c.CentreX.Metres(), u
		} else {
			y = c.CentreY.Metres()
		}
		out = append(out, [2]float64{u, c.HeightAt(x, y).Metres()})
	}
	return out
}

func points2(v drawing.View, uv [][2]float64) [][2]float64 {
	out := make([][2]float64, len(uv))
	for i, q := range uv {
		out[i] = v.At(q[0], q[1])
	}
	return out
}

// paintRays draws the axis of every unit's beam; units whose rays coincide on
// this section share a label. The label is the true elevation at the focus
// point, not the angle on paper.
func (in *Input) paintRays(p *painter) {
	type ray struct {
		from, to geom.Vec
		names    []string
		deg      float64
	}
	rays := map[string]*ray{}
	var order []string
	for _, u := range in.Placed {
		lu, ok := in.lookups().light[u.ID]
		deg := math.NaN()
		if ok {
			deg = lu.ElevationDeg
		}
		a, b := p.at(u.At), p.at(u.Target)
		key := fmt.Sprintf("%.1f %.1f %.1f %.1f %.1f", a[0], a[1], b[0], b[1], deg)
		r := rays[key]
		if r == nil {
			r = &ray{from: u.At, to: u.Target, deg: deg}
			rays[key] = r
			order = append(order, key)
		}
		r.names = append(r.names, u.ID)
		c := in.circuitColour(u.ID)
		for _, g := range drawing.Clip(p.clip, a, b) {
			p.Stroke(drawing.LayerLight, drawing.Solid(0.28, c), g[0], g[1])
			p.labels.Avoid(g[0], g[1])
		}
		if p.shows(b) {
			cross(p.Scene, drawing.LayerLight, b, 1.1, drawing.Ink)
		}
	}
	for _, u := range in.Placed {
		q, t := p.at(u.At), p.at(u.Target)
		if !p.shows(q) {
			continue
		}
		fill := in.circuitColour(u.ID)
		p.Symbol(in.class(u.Fixture), q, t[0]-q[0], t[1]-q[1], 2.8, drawing.Solid(0.2, drawing.Ink), fill)
		p.labels.BlockDisc(q, 1.4)
	}
	for i, key := range order {
		r := rays[key]
		text := shortList(r.names)
		if !math.IsNaN(r.deg) {
			text += "  " + degrees(r.deg)
		}
		// Labels stand at different fractions of the way, so that a fan of rays
		// does not crowd them at one end.
		at := r.from.Lerp(r.to, 0.30+0.16*float64(i%4))
		p.label(drawing.LayerLight, at, 0.2, drawing.Text{Size: 2.2, Bold: true, Value: text})
	}
}

func shortList(names []string) string {
	if len(names) > 5 {
		return fmt.Sprintf("%s … %s (%d)", names[0], names[len(names)-1], len(names))
	}
	return strings.Join(names, " ")
}

// paintSpill draws the upper edge of each front beam to where it meets the wall
// behind, beside the screens' lower edges.
func (in *Input) paintSpill(p *painter, long bool) {
	if !long {
		return
	}
	back := math.Inf(-1)
	for _, v := range in.Room.Footprint {
		back = math.Max(back, v.Y)
	}
	if math.IsInf(back, -1) {
		return
	}
	for _, u := range in.Placed {
		lu, ok := in.lookups().light[u.ID]
		if !ok || math.IsNaN(lu.UpperEdgeM) || lu.UpperEdgeM < 0 || u.At.Y >= u.Target.Y {
			continue
		}
		p.path(drawing.LayerLight, drawing.Dashed(0.13, drawing.Soft, 1, 1), u.At, geom.Vec{X: u.At.X, Y: back, Z: lu.UpperEdgeM})
	}
}

// paintSightLines draws thin lines from the first and the last row, the named
// eyes and the cameras to the first zone's faces and the screens' lower edges.
func (in *Input) paintSightLines(p *painter) {
	target, ok := in.firstFace()
	if !ok {
		return
	}
	var from []geom.Vec
	for _, b := range in.Room.Seating {
		if n := len(b.Rows); n > 0 {
			from = append(from, b.Rows[0].Left.Lerp(b.Rows[0].Right, 0.5), b.Rows[n-1].Left.Lerp(b.Rows[n-1].Right, 0.5))
		}
	}
	for _, e := range in.Room.Eyes {
		from = append(from, e.At)
	}
	for _, c := range in.Brief.Cameras {
		if c.X.Set && c.Y.Set && c.Z.Set {
			from = append(from, geom.Vec{X: c.X.Value.Metres(), Y: c.Y.Value.Metres(), Z: c.Z.Value.Metres()})
		}
	}
	if len(from) > 12 {
		from = from[:12]
	}
	for _, v := range from {
		p.path(drawing.LayerText, drawing.Dashed(0.12, drawing.Slate, 3, 1.4), v, target)
	}
}

// firstFace is the first face of the zone with the best priority.
func (in *Input) firstFace() (geom.Vec, bool) {
	best, name := math.MaxInt, ""
	for _, z := range in.Brief.Zones {
		if z.Priority > 0 && z.Priority < best {
			best, name = z.Priority, z.Name
		}
	}
	for _, z := range in.Light.Zones {
		if (z.Name == name || name == "") && len(z.Faces) > 0 {
			return z.Faces[0].At, true
		}
	}
	for _, z := range in.Light.Zones {
		if len(z.Faces) > 0 {
			return z.Faces[0].At, true
		}
	}
	return geom.Vec{}, false
}

func (in *Input) sectionNames(p *painter, long bool) {
	used := in.linesInUse()
	for _, l := range in.Room.Lines {
		at := l.From
		if contains(used, l.Name) || l.Forbidden != "" {
			if from, to := p.at(l.From), p.at(l.To); math.Hypot(from[0]-to[0], from[1]-to[1]) > 2 {
				at = l.From.Lerp(l.To, 0.5)
			}
			name := l.Name
			if l.Forbidden != "" {
				name += ": hang nothing"
			}
			p.label(drawing.LayerStructure, at, 1.4, drawing.Text{Size: 2.3, Value: short(name), Colour: drawing.Clay, Bold: l.Forbidden == ""})
		}
	}
	for _, z := range in.Light.Zones {
		for _, f := range z.Faces {
			if q := p.at(f.At); p.shows(q) {
				p.Disc(drawing.LayerText, drawing.Solid(0.2, drawing.Slate), &drawing.White, q, 0.8)
			}
		}
		if len(z.Faces) > 0 {
			p.label(drawing.LayerText, z.Faces[0].At, 1, drawing.Text{Size: 2.2, Value: short(z.Name), Colour: drawing.Slate})
		}
	}
	for _, s := range in.Room.Screens {
		p.label(drawing.LayerText, s.Corners.Centroid(), 1, drawing.Text{Size: 2.1, Value: short("screen " + s.Name), Colour: drawing.Clay})
	}
	for _, e := range in.Room.Eyes {
		if q := p.at(e.At); p.shows(q) {
			triangle(p.Scene, drawing.LayerText, q, drawing.Ink)
			p.label(drawing.LayerText, e.At, 1, drawing.Text{Size: 2, Value: short(e.Name), Colour: drawing.Soft})
		}
	}
	for _, c := range in.Brief.Cameras {
		if !c.X.Set || !c.Y.Set || !c.Z.Set {
			continue
		}
		at := geom.Vec{X: c.X.Value.Metres(), Y: c.Y.Value.Metres(), Z: c.Z.Value.Metres()}
		if q := p.at(at); p.shows(q) {
			triangle(p.Scene, drawing.LayerText, q, drawing.Ink)
			p.label(drawing.LayerText, at, 1, drawing.Text{Size: 2, Value: short("camera " + c.Name), Colour: drawing.Soft})
		}
	}
	for _, b := range in.Room.Seating {
		if n := len(b.Rows); n > 0 && long {
			p.label(drawing.LayerText, b.Rows[n-1].Left.Lerp(b.Rows[n-1].Right, 0.5), 0.8, drawing.Text{Size: 2, Value: "last row, seated eye", Colour: drawing.Soft})
			break
		}
	}
}

func (in *Input) sectionChains(p *painter, box drawing.Span2, clip drawing.Rect, long bool) {
	var walls, marks []float64
	for _, v := range in.Room.Footprint {
		walls = append(walls, p.flat(v)[0])
	}
	walls = corners(walls)
	marks = append(append(marks, 0), walls...)
	for _, v := range in.Room.Platform.Outline {
		marks = append(marks, p.flat(v)[0])
	}
	used := in.linesInUse()
	for _, l := range in.Room.Lines {
		if a, b := p.flat(l.From)[0], p.flat(l.To)[0]; contains(used, l.Name) && math.Abs(a-b) < 0.05 {
			marks = append(marks, a)
		}
	}
	low := clip.Y + clip.H
	marks, walls = within(marks, box.MinU, box.MaxU), within(walls, box.MinU, box.MaxU)
	p.Dimension(p.view, drawing.Chain{Marks: marks, At: low + 7, From: low + 1, Size: chainSize, Both: true}, in.Display)
	p.Dimension(p.view, drawing.Chain{Marks: ends(walls), At: low + 14, From: low + 8, Size: chainSize, Both: true}, in.Display)
	heights := []float64{0, in.Room.Platform.Height.Metres()}
	for _, l := range in.Room.Lines {
		if contains(used, l.Name) {
			heights = append(heights, l.From.Z)
		}
	}
	if top := math.Max(in.Room.Ceiling.Ridge.Metres(), in.Room.Ceiling.Eaves.Metres()); top > 0 {
		heights = append(heights, top, in.Room.Ceiling.Eaves.Metres())
	}
	heights = within(heights, box.MinV, box.MaxV)
	p.Dimension(p.view, drawing.Chain{Upright: true, Marks: heights, At: clip.X - 4, From: clip.X - 0.5, Size: chainSize, Both: true}, in.Display)
	p.Dimension(p.view, drawing.Chain{Upright: true, Marks: ends(heights), At: clip.X - 12, From: clip.X - 8, Size: chainSize, Both: true}, in.Display)
}

// heightTicks lists heights above the hall floor at the right edge, pushed apart
// where they would cover each other.
func (in *Input) heightTicks(p *painter, box drawing.Span2, clip drawing.Rect, x float64) {
	type tick struct {
		z    float64
		name string
	}
	var ticks []tick
	add := func(z float64, name string) {
		for _, t := range ticks {
			if math.Abs(t.z-z) < 0.02 {
				return
			}
		}
		if z > 0.01 && z <= box.MaxV {
			ticks = append(ticks, tick{z, name})
		}
	}
	for _, s := range in.Room.Screens {
		add(s.Bottom.Metres(), "screen, lower edge")
	}
	for _, u := range in.Placed {
		add(u.At.Z, "lens "+u.ID)
	}
	for _, z := range in.Light.Zones {
		for _, f := range z.Faces {
			add(f.At.Z, "face, "+short(z.Name))
		}
	}
	for _, v := range in.Room.Levels {
		add(v.Height.Metres(), short(v.Name))
	}
	sort.SliceStable(ticks, func(i, j int) bool { return ticks[i].z > ticks[j].z })
	const most = 22
	if len(ticks) > most {
		ticks = ticks[:most]
	}
	x = min(x, clip.X+clip.W+3)
	last := math.Inf(-1)
	for _, t := range ticks {
		y := p.view.At(p.view.U0, t.z)[1]
		at := math.Max(y+0.8, last+5.2)
		last = at
		p.Stroke(drawing.LayerDimension, drawing.Solid(0.13, drawing.Soft), [2]float64{clip.X + clip.W - 1, y}, [2]float64{x, y}, [2]float64{x + 3, at - 0.8})
		p.Write(drawing.LayerDimension, drawing.Text{X: x + 3.6, Y: at, Size: 2.1, Value: in.length(t.z)})
		p.Write(drawing.LayerDimension, drawing.Text{X: x + 3.6, Y: at + 2.2, Size: 1.8, Value: drawing.Shorten(t.name, 20, 1.8, false), Colour: drawing.Soft})
	}
}

func (in *Input) sectionLegendRows(l *legend, scale drawing.Scale, view drawing.View, long bool, names *drawing.Placer) {
	l.Write(drawing.LayerText, drawing.Text{X: l.x, Y: 4, Size: 3.4, Bold: true, Value: "Scale " + scale.Name})
	l.Bar(view, in.Display, l.x+1, 12, 52)
	l.y = 20
	if long {
		l.note("Seen from stage left on the centre line: seats on the left, platform on the right.")
	} else {
		l.note("Seen from the seats: stage left is on the right.")
	}
	in.symbols(l)
	in.circuits(l)
	l.numbers(names)
	l.head("Lines and marks")
	l.row(l.stroke(drawing.Solid(0.28, drawing.Slate)), "light ray to the focus point; its angle is the true elevation above the horizontal there, not the angle on paper")
	if long {
		l.row(l.stroke(drawing.Dashed(0.13, drawing.Soft, 1, 1)), "upper edge of the beam (10 % of the peak) to the wall behind")
	}
	l.row(l.stroke(drawing.Dashed(0.12, drawing.Slate, 3, 1.4)), "sight line to the first zone: first and last row, named eyes, cameras")
	l.row(l.stroke(drawing.Solid(0.9, drawing.Clay)), "screen; member in use where it is seen end on")
	l.row(l.stroke(drawing.Dashed(0.3, drawing.Ink, 0.4, 1.2)), "member from which nothing may ever hang")
	l.row(func(at [2]float64) {
		l.Disc(drawing.LayerText, drawing.Solid(0.2, drawing.Slate), &drawing.White, at, 0.8)
	}, "face where light is counted")
	if in.Room.Ceiling.Eaves == 0 && in.Room.Ceiling.Ridge == 0 {
		l.note("Ceiling height not measured: the outline is open to the highest known point.")
	}
	if long {
		in.spillRows(l)
	}
}

// spillRows lists where the beams' upper edges meet the wall, beside the
// screens' lower edges.
func (in *Input) spillRows(l *legend) {
	if len(in.Room.Screens) == 0 {
		return
	}
	l.head("Upper beam edge on the wall behind")
	for _, s := range in.Room.Screens {
		l.note("Screen " + s.Name + ": lower edge " + in.both(s.Bottom.Metres()))
	}
	byHeight := map[string][]string{}
	var order []string
	for _, u := range in.Light.Units {
		if math.IsNaN(u.UpperEdgeM) || u.UpperEdgeM < 0 {
			continue
		}
		k := in.length(u.UpperEdgeM)
		if len(byHeight[k]) == 0 {
			order = append(order, k)
		}
		byHeight[k] = append(byHeight[k], u.ID)
	}
	for _, k := range order {
		l.note(shortList(byHeight[k]) + ": " + k)
	}
}
