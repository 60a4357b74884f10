package drawing

import "math"

// Rect is an upright box on the paper, in mm; X, Y is its top left corner.
type Rect struct{ X, Y, W, H float64 }

// Overlaps tells whether two boxes share area.
func (r Rect) Overlaps(o Rect) bool { return r.overlap(o) > 0 }

// Inside tells whether r lies wholly in o.
func (r Rect) Inside(o Rect) bool {
	return r.X >= o.X && r.Y >= o.Y && r.X+r.W <= o.X+o.W && r.Y+r.H <= o.Y+o.H
}

func (r Rect) overlap(o Rect) float64 {
	w := min(r.X+r.W, o.X+o.W) - max(r.X, o.X)
	h := min(r.Y+r.H, o.Y+o.H) - max(r.Y, o.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

// Em box of a line of text above and below its base line, as shares of the em
// height: ascent of capitals with accents and descent of DejaVu Sans Condensed,
// rounded up.
const (
	ascentShare  = 0.80
	descentShare = 0.22
)

// Placer puts labels near the points they belong to so that none covers
// another or a thing blocked before.
type Placer struct {
	bounds Rect
	taken  []Rect
}

// NewPlacer returns a placer that keeps labels inside bounds.
func NewPlacer(bounds Rect) *Placer { return &Placer{bounds: bounds} }

// Block reserves a box.
func (p *Placer) Block(r Rect) { p.taken = append(p.taken, r) }

// BlockDisc reserves the box round a circle.
func (p *Placer) BlockDisc(at [2]float64, radius float64) {
	p.Block(Rect{at[0] - radius, at[1] - radius, 2 * radius, 2 * radius})
}

// BlockText reserves the box of an upright or turned line of text.
func (p *Placer) BlockText(t Text) { p.Block(TextBox(t)) }

// TextBox returns the box a line of text covers; a turned text gets the upright
// box round it.
func TextBox(t Text) Rect {
	w := TextWidth(t.Value, t.Size, t.Bold)
	x0 := 0.0
	switch t.Anchor {
	case "middle":
		x0 = -w / 2
	case "end":
		x0 = -w
	}
	c, s := math.Cos(t.RotateDeg*math.Pi/180), math.Sin(t.RotateDeg*math.Pi/180)
	var b Span2
	for i, q := range [4][2]float64{{x0, -ascentShare * t.Size}, {x0 + w, -ascentShare * t.Size}, {x0 + w, descentShare * t.Size}, {x0, descentShare * t.Size}} {
		x, y := t.X+q[0]*c+q[1]*s, t.Y-q[0]*s+q[1]*c
		if i == 0 {
			b = Around([2]float64{x, y})
		} else {
			b = b.With(x, y)
		}
	}
	return Rect{b.MinU, b.MinV, b.Width(), b.Height()}
}

// labelRings are the gaps, in mm, tried between the point's own radius and the
// label, near ones first.
var labelRings = [...]float64{0.6, 2, 4, 7, 11, 16}

// Place writes a label near a point of the given radius and returns whether it
// found a free place. It tries eight directions on growing rings; a label that
// had to move away gets a thin leader. Without a free place the label goes
// where it covers least and false is returned.
func (p *Placer) Place(s *Scene, layer string, at [2]float64, radius float64, t Text) bool {
	if !finite(at[0]) || !finite(at[1]) || t.Value == "" {
		return false
	}
	w := TextWidth(t.Value, t.Size, t.Bold)
	h := (ascentShare + descentShare) * t.Size
	best, bestCost, bestRing := Rect{}, math.Inf(1), 0
	for ring, gap := range labelRings {
		d := radius + gap
		for i, dir := range [...][2]float64{{1, 0}, {-1, 0}, {0, -1}, {0, 1}, {1, -1}, {-1, -1}, {1, 1}, {-1, 1}} {
			cx, cy := at[0]+dir[0]*(d+w/2), at[1]+dir[1]*(d+h/2)
			if i >= 4 { // diagonals start at the corner
				cx, cy = at[0]+dir[0]*(0.71*d+w/2), at[1]+dir[1]*(0.71*d+h/2)
			}
			box := Rect{cx - w/2, cy - h/2, w, h}
			cost := p.cost(box)
			if cost < bestCost {
				best, bestCost, bestRing = box, cost, ring
			}
			if cost == 0 {
				break
			}
		}
		if bestCost == 0 {
			break
		}
	}
	p.Block(best)
	if bestRing >= 2 {
		s.Stroke(layer, Solid(0.1, Soft), at, nearest(best, at))
	}
	t.X, t.Y, t.Anchor, t.RotateDeg = best.X, best.Y+ascentShare*t.Size, "start", 0
	s.Write(layer, t)
	return bestCost == 0
}

func (p *Placer) cost(box Rect) float64 {
	c := box.W*box.H - box.overlap(p.bounds)
	if c < 1e-9 {
		c = 0
	}
	for _, o := range p.taken {
		c += box.overlap(o)
	}
	return c
}

func nearest(r Rect, p [2]float64) [2]float64 {
	return [2]float64{min(max(p[0], r.X), r.X+r.W), min(max(p[1], r.Y), r.Y+r.H)}
}
