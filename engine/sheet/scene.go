package sheet

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/drawing"
	"roodbeam/engine/geom"
)

// painter draws model geometry of one plane of the room, clipped to a frame.
type painter struct {
	*drawing.Scene
	view   drawing.View
	clip   drawing.Rect
	labels *drawing.Placer
	// flat projects a point of the room to the plane, u to the right, v up.
	flat func(geom.Vec) [2]float64
}

// labelBounds is where labels may stand: on the room, or anywhere in the frame
// where the room is drawn too small to hold them.
func labelBounds(clip, frame drawing.Rect) drawing.Rect {
	const least = 60.0 // mm
	if clip.W < least || clip.H < least {
		return frame
	}
	return clip
}

func plan(v geom.Vec) [2]float64 { return [2]float64{v.X, v.Y} }

// lengthwise looks from stage left to stage right: upstage is to the right.
func lengthwise(v geom.Vec) [2]float64 { return [2]float64{v.Y, v.Z} }

// across looks upstage from the seats: stage left is to the right.
func across(v geom.Vec) [2]float64 { return [2]float64{v.X, v.Z} }

func (p *painter) at(v geom.Vec) [2]float64 {
	uv := p.flat(v)
	return p.view.At(uv[0], uv[1])
}

func (p *painter) shows(q [2]float64) bool {
	return q[0] >= p.clip.X && q[0] <= p.clip.X+p.clip.W && q[1] >= p.clip.Y && q[1] <= p.clip.Y+p.clip.H
}

func (p *painter) path(layer string, pen drawing.Pen, points ...geom.Vec) {
	ps := make([][2]float64, len(points))
	all := true
	for i, v := range points {
		ps[i] = p.at(v)
		all = all && p.shows(ps[i])
	}
	for i := range ps[:max(len(ps)-1, 0)] {
		p.labels.Avoid(ps[i], ps[i+1])
	}
	if all {
		p.Stroke(layer, pen, ps...)
		return
	}
	for _, g := range drawing.Clip(p.clip, ps...) {
		p.Stroke(layer, pen, g[0], g[1])
	}
}

func (p *painter) ring(layer string, pen drawing.Pen, fill *drawing.Colour, points ...geom.Vec) {
	ps := make([][2]float64, len(points))
	all := true
	for i, v := range points {
		ps[i] = p.at(v)
		all = all && p.shows(ps[i])
	}
	for i := range ps {
		p.labels.Avoid(ps[i], ps[(i+1)%len(ps)])
	}
	if all {
		p.Area(layer, pen, fill, ps...)
		return
	}
	p.Area(layer, drawing.Pen{}, fill, drawing.ClipArea(p.clip, ps...)...)
	for _, g := range drawing.Clip(p.clip, append(ps, ps[:min(1, len(ps))]...)...) {
		p.Stroke(layer, pen, g[0], g[1])
	}
}

// outline draws the shadow of a body on the plane.
func (p *painter) outline(layer string, pen drawing.Pen, fill *drawing.Colour, faces []geom.Polygon) {
	var ps [][2]float64
	for _, f := range faces {
		for _, v := range f {
			ps = append(ps, p.at(v))
		}
	}
	hull := drawing.Hull(ps...)
	p.Area(layer, pen, fill, drawing.ClipArea(p.clip, hull...)...)
}

// paintUnknown says that the room's outline is missing, so that an empty drawing
// is not taken for an empty room.
func (in *Input) paintUnknown(p *painter, frame drawing.Rect) {
	if len(in.Room.Footprint) == 0 {
		t := drawing.Text{X: frame.X + frame.W/2, Size: 3.4, Anchor: "middle",
			Value: "The room's outline is not measured yet; see the questions on sheet P2.", Colour: drawing.Clay}
		for t.Y = frame.Y + 3; t.Y < frame.Y+frame.H; t.Y += 3 {
			if p.labels.Free(drawing.TextBox(t)) {
				p.Write(drawing.LayerText, t)
				p.labels.BlockText(t)
				return
			}
		}
	}
}

// label writes a text near a point of the room where it covers nothing.
func (p *painter) label(layer string, v geom.Vec, radius float64, t drawing.Text) {
	if q := p.at(v); p.shows(q) {
		p.labels.Place(p.Scene, layer, q, radius, t)
	}
}

// keepClear draws and then keeps labels off every text that was drawn.
func (p *painter) keepClear(draw func()) {
	n := len(p.Items)
	draw()
	for _, it := range p.Items[n:] {
		if it.Text != nil {
			p.labels.BlockText(*it.Text)
		}
	}
}

// farthest is the coordinate, in metres, from which a point is a slip of the
// keyboard and not part of a room: such points do not widen a drawing.
const farthest = 1000

// extent returns the box round everything of the room on a plane.
func (in *Input) extent(flat func(geom.Vec) [2]float64) drawing.Span2 {
	var ps [][2]float64
	add := func(vs ...geom.Vec) {
		for _, v := range vs {
			if q := flat(v); math.Abs(q[0]) < farthest && math.Abs(q[1]) < farthest {
				ps = append(ps, q)
			}
		}
	}
	add(in.Room.Footprint...)
	add(in.Room.Platform.Outline...)
	for _, s := range in.Room.Surfaces {
		add(s.Polygon...)
	}
	for _, l := range in.Room.Lines {
		add(l.From, l.To)
	}
	for _, u := range in.Placed {
		add(u.At, u.Target)
	}
	top := math.Max(in.Room.Ceiling.Eaves.Metres(), in.Room.Ceiling.Ridge.Metres())
	for _, v := range in.Room.Footprint {
		add(geom.Vec{X: v.X, Y: v.Y, Z: top})
	}
	if len(ps) == 0 {
		// Nothing is known yet: an empty square of ten metres to draw on.
		return drawing.Span2{MinU: -5, MaxU: 5, MinV: -5, MaxV: 5}
	}
	b := drawing.Around(ps...)
	if b.Width() < 0.5 {
		b = drawing.Span2{MinU: b.MinU - 1, MaxU: b.MaxU + 1, MinV: b.MinV, MaxV: b.MaxV}
	}
	if b.Height() < 0.5 {
		b.MinV, b.MaxV = b.MinV-1, b.MaxV+1
	}
	return b
}

// classes of fixtures, in the order of legends.
var classes = []string{"ellipsoidal", "fresnel", "par", "wash", "linear_wash", "moving_wash",
	"moving_spot", "downlight", "pendant", "sconce", "lamp"}

func (in *Input) class(code string) string {
	f, _ := in.fixture(code)
	return string(f.Class)
}

const unitSize = 3.4 // mm, diameter of a plan symbol

// circuitColour is the colour of a unit by its circuit.
func (in *Input) circuitColour(unit string) drawing.Colour {
	if i, ok := in.lookups().circuit[unit]; ok {
		return drawing.Distinct(i)
	}
	return drawing.Soft
}

// legend collects the right-hand column of a scene.
type legend struct {
	*drawing.Scene
	x, y, w, bottom float64
}

func (l *legend) head(text string) {
	if l.y+8 > l.bottom {
		return
	}
	l.y += 5.6
	l.Write(drawing.LayerText, drawing.Text{X: l.x, Y: l.y, Size: 2.9, Bold: true, Value: text, Colour: drawing.Slate})
	l.y += 1.2
}

// row draws a mark with its words; words that need more lines than there is
// room for end in an ellipsis.
func (l *legend) row(mark func(at [2]float64), text string) {
	lines := drawing.Wrap(text, l.w-12, 2.3, false)
	if l.y+4.2 > l.bottom {
		return
	}
	if mark != nil {
		mark([2]float64{l.x + 4, l.y + 2.9})
	}
	for i, t := range lines {
		if l.y+4.2 > l.bottom {
			return
		}
		if l.y+8.4 > l.bottom && i+1 < len(lines) {
			t = drawing.Shorten(t+"…", l.w-12, 2.3, false)
		}
		l.y += 3.4
		l.Write(drawing.LayerText, drawing.Text{X: l.x + 11, Y: l.y + 0.3, Size: 2.3, Value: t})
	}
	l.y += 0.9
}

// numbers lists the labels that stand on the drawing as a number only.
func (l *legend) numbers(p *drawing.Placer) {
	keys := p.Keys()
	if len(keys) == 0 {
		return
	}
	l.head("Names that stand as numbers")
	for _, k := range keys {
		text := k.Text
		if !k.Drawn {
			text += " (not marked, no room)"
		}
		at := l.y + 3.7
		if l.y+4.2 <= l.bottom {
			l.Write(drawing.LayerText, drawing.Text{X: l.x + 6, Y: at, Size: 2.3, Bold: true, Anchor: "end", Value: fmt.Sprint(k.Number)})
		}
		l.row(nil, text)
	}
}

func (l *legend) stroke(pen drawing.Pen) func([2]float64) {
	return func(at [2]float64) {
		l.Stroke(drawing.LayerText, pen, [2]float64{at[0] - 4, at[1]}, [2]float64{at[0] + 4, at[1]})
	}
}

func (l *legend) note(text string) {
	for _, t := range drawing.Wrap(text, l.w, 2.2, false) {
		if l.y+4 > l.bottom {
			return
		}
		l.y += 3.2
		l.Write(drawing.LayerText, drawing.Text{X: l.x, Y: l.y, Size: 2.2, Value: t, Colour: drawing.Soft})
	}
	l.y += 1
}

// symbols lists the classes in use with their plan symbol.
func (in *Input) symbols(l *legend) {
	used := map[string][]string{}
	count := map[string]int{}
	for _, u := range in.Placed {
		c := in.class(u.Fixture)
		name := in.fixtureName(u.Fixture)
		count[c]++
		if !contains(used[c], name) {
			used[c] = append(used[c], name)
		}
	}
	if len(in.Placed) == 0 {
		return
	}
	l.head("Units: the line points to the focus point")
	for _, c := range append(append([]string(nil), classes...), "") {
		if count[c] == 0 {
			continue
		}
		name := words(c)
		if name == "" {
			name = "class not in the catalogue"
		}
		l.row(func(at [2]float64) {
			l.Stroke(drawing.LayerText, drawing.Solid(0.2, drawing.Soft), at, [2]float64{at[0] + 4.4, at[1]})
			l.Symbol(c, at, 1, 0, unitSize, drawing.Solid(0.3, drawing.Ink), drawing.White)
		}, fmt.Sprintf("%s, %d: %s", name, count[c], strings.Join(used[c], ", ")))
	}
}

// circuits lists the circuits' colours.
func (in *Input) circuits(l *legend) {
	if len(in.Load.Circuits) == 0 {
		return
	}
	l.head("Circuits (colour of the symbol), proposed")
	for i, c := range in.Load.Circuits {
		fill := drawing.Distinct(i)
		l.row(func(at [2]float64) {
			l.Disc(drawing.LayerText, drawing.Solid(0.2, drawing.Ink), &fill, at, 1.5)
		}, fmt.Sprintf("%s: %s, %s", c.Name, strings.Join(c.Units, " "), orText(c.Leg, "leg open")))
	}
}

func contains(in []string, s string) bool {
	for _, t := range in {
		if t == s {
			return true
		}
	}
	return false
}
