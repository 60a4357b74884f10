package drawing

import (
	"math"
	"strconv"
)

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
	if !(w > 0) || !(h > 0) { // also where a corner is not a number
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
	lines  [][2][2]float64
	keys   []Key
}

// Key is a label for which the drawing had no room: its number stands at the
// point and the text belongs in the legend.
type Key struct {
	Number int
	Text   string
	// Drawn: the number stands on the drawing; false where not even that had room.
	Drawn bool
}

// Keys returns the labels that became numbers, in their order.
func (p *Placer) Keys() []Key { return p.keys }

// NewPlacer returns a placer that keeps labels inside bounds.
func NewPlacer(bounds Rect) *Placer { return &Placer{bounds: bounds} }

// Block reserves a box.
func (p *Placer) Block(r Rect) { p.taken = append(p.taken, r) }

// BlockDisc reserves the box round a circle.
func (p *Placer) BlockDisc(at [2]float64, radius float64) {
	p.Block(Rect{at[0] - radius, at[1] - radius, 2 * radius, 2 * radius})
}

// Avoid asks labels to keep off a line where another place is as near; unlike a
// blocked box, a line may be covered.
func (p *Placer) Avoid(a, b [2]float64) {
	if finite(a[0]) && finite(a[1]) && finite(b[0]) && finite(b[1]) {
		p.lines = append(p.lines, [2][2]float64{a, b})
	}
}

// Free tells whether a box is within bounds and covers nothing reserved.
func (p *Placer) Free(r Rect) bool { return p.covered(r) == 0 }

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

// What a place for a label costs: covering a box is out of the question, covering
// a line weighs as much as going a good way off.
const (
	costPerLineMM  = 1.0
	costPerRingMM  = 0.35
	costOfDiagonal = 0.2
)

// Place writes a label near a point of the given radius and returns whether it
// found a place that covers no other label and no blocked box. It tries eight
// directions on growing rings; a label that had to move away gets a thin leader.
// Without a free place a number stands there, farther off if need be, and the
// label is among the Keys.
func (p *Placer) Place(s *Scene, layer string, at [2]float64, radius float64, t Text) bool {
	if !finite(at[0]) || !finite(at[1]) || t.Value == "" {
		return false
	}
	if best, ring := p.search(at, radius, t, labelRings[:]); ring >= 0 {
		p.put(s, layer, at, best, ring, t)
		return true
	}
	k := Key{Number: len(p.keys) + 1, Text: t.Value}
	t.Value = strconv.Itoa(k.Number)
	if best, ring := p.search(at, radius, t, keyRings[:]); ring >= 0 {
		p.put(s, layer, at, best, ring, t)
		k.Drawn = true
	}
	p.keys = append(p.keys, k)
	return false
}

// keyRings are the gaps tried for a number.
var keyRings = [...]float64{0.6, 1.2, 2, 3, 4, 5.5, 7, 9, 11, 13, 16, 20, 25, 31, 38}

// search returns the cheapest free box for a text and the ring it lies on, -1
// where every place covers something.
func (p *Placer) search(at [2]float64, radius float64, t Text, rings []float64) (Rect, int) {
	w := TextWidth(t.Value, t.Size, t.Bold)
	h := (ascentShare + descentShare) * t.Size
	best, bestCost, bestRing := Rect{}, math.Inf(1), -1
	for ring, gap := range rings {
		d := radius + gap
		if gap*costPerRingMM >= bestCost {
			break // no place this far off can cost less
		}
		for i, dir := range [...][2]float64{{1, 0}, {-1, 0}, {0, -1}, {0, 1}, {1, -1}, {-1, -1}, {1, 1}, {-1, 1}} {
			cx, cy := at[0]+dir[0]*(d+w/2), at[1]+dir[1]*(d+h/2)
			cost := gap * costPerRingMM
			if i >= 4 { // diagonals start at the corner
				cx, cy = at[0]+dir[0]*(0.71*d+w/2), at[1]+dir[1]*(0.71*d+h/2)
				cost += costOfDiagonal
			}
			box := Rect{cx - w/2, cy - h/2, w, h}
			if cost >= bestCost || p.covered(box) > 0 {
				continue
			}
			if cost += p.crossed(box) * costPerLineMM; cost < bestCost {
				best, bestCost, bestRing = box, cost, ring
			}
		}
	}
	return best, bestRing
}

// put writes a text into its box, with a leader where it stands off.
func (p *Placer) put(s *Scene, layer string, at [2]float64, box Rect, ring int, t Text) {
	p.Block(box)
	if ring >= 2 {
		s.Stroke(layer, Solid(0.1, Soft), at, nearest(box, at))
	}
	t.X, t.Y, t.Anchor, t.RotateDeg = box.X, box.Y+ascentShare*t.Size, "start", 0
	s.Write(layer, t)
}

// covered is the area of the box that is out of bounds or taken.
func (p *Placer) covered(box Rect) float64 {
	c := box.W*box.H - box.overlap(p.bounds)
	if c < 1e-9 {
		c = 0
	}
	for _, o := range p.taken {
		c += box.overlap(o)
	}
	return c
}

// crossed is the length of avoided lines inside the box.
func (p *Placer) crossed(box Rect) float64 {
	sum := 0.0
	for _, l := range p.lines {
		a, b := l[0], l[1]
		t0, t1 := 0.0, 1.0
		for axis, side := range [2][2]float64{{box.X, box.X + box.W}, {box.Y, box.Y + box.H}} {
			d := b[axis] - a[axis]
			if d == 0 {
				if a[axis] < side[0] || a[axis] > side[1] {
					t1 = t0
				}
				continue
			}
			u, v := (side[0]-a[axis])/d, (side[1]-a[axis])/d
			t0, t1 = max(t0, min(u, v)), min(t1, max(u, v))
		}
		if t1 > t0 {
			sum += (t1 - t0) * math.Hypot(b[0]-a[0], b[1]-a[1])
		}
	}
	return sum
}

func nearest(r Rect, p [2]float64) [2]float64 {
	return [2]float64{min(max(p[0], r.X), r.X+r.W), min(max(p[1], r.Y), r.Y+r.H)}
}
