package survey

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/si"
)

// reading is one value somebody gave for an object.
type reading struct {
	id         string
	object     string // "height of W1", "distance a – b"
	value      si.Length
	sigma      float64
	grade      int
	reference  string
	by         string
	instrument Instrument
	typed      L
	kind       Kind
}

// readings lists the direct values of every object that is measured at all, in
// the document's order: measurements, and typed heights of lines, ceiling.
func readings(s Survey) map[string][]reading {
	out := map[string][]reading{}
	add := func(key string, r reading) { out[key] = append(out[key], r) }
	lines := map[string]bool{}
	for _, l := range s.Lines {
		lines[l.Name] = true
		if l.State == Removed {
			continue
		}
		for _, p := range []Place{l.From, l.To} {
			if p.Z.Set && p.Station == "" && (!l.From.Z.Set || !l.To.Z.Set || l.From.Z.Value == l.To.Z.Value) {
				add("height "+l.Name, reading{"line " + l.Name, "height of " + l.Name, p.Z.Value, float64(SigmaOf(p.Instrument, p.Z)),
					precisionOf(p.Instrument).grade, "", "", p.Instrument, p.Z, Height})
				break
			}
		}
	}
	if s.Ceiling.Shape != "a_frame" && s.Ceiling.Height.Set {
		add("height ceiling", reading{"ceiling", "height of ceiling", s.Ceiling.Height.Value, float64(SigmaOf("", s.Ceiling.Height)), 1, "", "", "", s.Ceiling.Height, Height})
	}
	for _, m := range s.Measurements {
		if m.Void || !m.Value.Set {
			continue
		}
		r := reading{m.ID, "", m.Value.Value, m.sigma(), precisionOf(m.Instrument).grade, m.Reference, m.By, m.Instrument, m.Value, m.Kind}
		switch m.Kind {
		case Distance, Horizontal:
			a, b := m.From, m.To
			if b < a {
				a, b = b, a
			}
			r.object = fmt.Sprintf("distance %s – %s", a, b)
			add(string(m.Kind)+" "+a+"|"+b, r)
		case Height:
			to := m.To
			if !lines[to] {
				to = strings.ToLower(to)
				if to == "eaves" {
					to = "ceiling"
				}
			}
			r.object = "height of " + m.To
			add("height "+to, r)
		case Rise:
			r.object = fmt.Sprintf("rise from %s to %s", m.From, m.To)
			add("rise "+m.From+"|"+m.To, r)
		case OffsetX, OffsetY:
			r.object = fmt.Sprintf("%s of %s", strings.ReplaceAll(string(m.Kind), "_", " "), m.To)
			add(string(m.Kind)+" "+m.To, r)
		}
	}
	return out
}

// clash is two readings of one object that contradict each other.
type clash struct {
	kept, other reading
	mistake     Mistake
	explained   bool
}

// Two readings of one object are asked about when they differ by more than this
// (common practice: 3 % or 100 mm).
const (
	twoReadingsShare = 0.03
	twoReadingsM     = 0.1
)

// clashes returns the contradicting readings of every object, each against the
// one that is kept: the one no usual mistake explains, else the better grade.
func clashes(s Survey) []clash {
	b := Build(s)
	all := readings(s)
	keys := make([]string, 0, len(all))
	for k := range all {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	var out []clash
	for _, k := range keys {
		rs := all[k]
		if len(rs) < 2 {
			continue
		}
		known := rs[:0:0]
		for _, r := range rs {
			if _, ok := b.Level(r.reference); ok {
				known = append(known, r)
			}
		}
		rs = known
		keep := 0
		for i := range rs {
			if betterReading(b, rs, i, keep) {
				keep = i
			}
		}
		for i, r := range rs {
			if i == keep || r.id == rs[keep].id {
				continue
			}
			v, w := b.aboveHall(r), b.aboveHall(rs[keep])
			diff := math.Abs(float64(v - w))
			if diff <= twoReadingsM && diff <= twoReadingsShare*math.Abs(float64(w)) {
				continue
			}
			c := clash{kept: rs[keep], other: r}
			c.mistake, c.explained = b.explainReading(r, rs[keep])
			out = append(out, c)
		}
	}
	return out
}

// aboveHall returns a height as above the hall floor, other values unchanged.
func (b *Built) aboveHall(r reading) si.Length {
	if r.kind == Height {
		if f, ok := b.Level(r.reference); ok {
			return r.value + f.Height
		}
	}
	return r.value
}

func (b *Built) explainReading(r, truth reading) (Mistake, bool) {
	o := Observation{Kind: r.kind, Value: float64(r.value), Sigma: r.sigma, Typed: r.typed, Instrument: r.instrument, Reference: r.reference}
	expected := float64(truth.value)
	if r.kind == Height {
		f, ok := b.Level(r.reference)
		if !ok {
			return Mistake{}, false
		}
		o.Reference = f.Name
		expected = float64(b.aboveHall(truth) - f.Height)
	}
	return Explain(o, expected, truth.sigma, b.Floors)
}

// betterReading tells whether reading i is to be preferred to reading k.
func betterReading(b *Built, rs []reading, i, k int) bool {
	_, iBad := b.explainReading(rs[i], rs[k])
	_, kBad := b.explainReading(rs[k], rs[i])
	if iBad != kBad {
		return kBad
	}
	if rs[i].grade != rs[k].grade {
		return rs[i].grade < rs[k].grade
	}
	return false
}

// diagonal is a side of a four-cornered floor that the diagonals contradict.
type diagonal struct {
	suspect   reading
	other     reading // the side it was combined with
	low, high si.Length
	expected  si.Length // diagonal that both sides give
	percent   float64
	implied   si.Length // what the diagonals and the other side give
}

// sides lists the readings of a four-cornered floor: its sides by direction, and
// its diagonals.
func sides(s Survey) (along, across, diag []reading) {
	if len(s.Footprint) != 4 {
		return nil, nil, nil
	}
	corner := map[string]int{}
	for i, n := range s.Footprint {
		corner[n] = i
	}
	for _, m := range s.Measurements {
		i, ok1 := corner[m.From]
		k, ok2 := corner[m.To]
		if m.Void || !m.Value.Set || !ok1 || !ok2 || i == k || (m.Kind != Distance && m.Kind != Horizontal) || m.Value.Value <= 0 {
			continue
		}
		r := reading{id: m.ID, object: fmt.Sprintf("distance %s – %s", m.From, m.To), value: m.Value.Value, sigma: m.sigma(),
			grade: precisionOf(m.Instrument).grade, by: m.By, instrument: m.Instrument, typed: m.Value, kind: m.Kind}
		switch (i + k) % 4 {
		case 1: // 0–1, 2–3
			across = append(across, r)
		case 3: // 1–2, 3–0
			along = append(along, r)
		default:
			diag = append(diag, r)
		}
	}
	return along, across, diag
}

// oddDiagonal returns the one diagonal that contradicts the sides and the other
// diagonal, when the other agrees with the sides, and the diagonal they give.
func oddDiagonal(along, across, diag []reading) (odd reading, expected si.Length, ok bool) {
	if len(diag) != 2 || len(along) == 0 || len(across) == 0 {
		return reading{}, 0, false
	}
	e := math.Hypot(float64(along[0].value), float64(across[0].value))
	miss := func(r reading) float64 { return math.Abs(float64(r.value)-e) / e * 100 }
	a, b := miss(diag[0]), miss(diag[1])
	switch {
	case a <= diagonalLimit && b > diagonalLimit:
		return diag[1], si.Length(e), true
	case b <= diagonalLimit && a > diagonalLimit:
		return diag[0], si.Length(e), true
	}
	return reading{}, 0, false
}

// diagonals compares sides and diagonals of a four-cornered floor.
func diagonals(s Survey) []diagonal {
	along, across, diag := sides(s)
	if len(along) == 0 || len(across) == 0 || len(diag) == 0 {
		return nil
	}
	low, high, sum := diag[0].value, diag[0].value, si.Length(0)
	for _, d := range diag {
		low, high, sum = min(low, d.value), max(high, d.value), sum+d.value
	}
	mean := float64(sum) / float64(len(diag))
	if _, _, ok := oddDiagonal(along, across, diag); ok {
		return nil // one diagonal is the odd one, not the sides
	}
	worst := map[string]diagonal{}
	for _, a := range along {
		for _, c := range across {
			expected := math.Hypot(float64(a.value), float64(c.value))
			suspect, other := a, c
			if c.grade > a.grade || (c.grade == a.grade && c.sigma > a.sigma*1.001) {
				suspect, other = c, a
			}
			d := diagonal{suspect: suspect, other: other, low: low, high: high, expected: si.Length(expected),
				percent: math.Abs(expected-mean) / mean * 100,
				implied: si.Length(math.Sqrt(math.Max(0, mean*mean-sq(float64(other.value)))))}
			if old, ok := worst[suspect.id]; !ok || d.percent > old.percent {
				worst[suspect.id] = d
			}
		}
	}
	var out []diagonal
	for _, d := range worst {
		out = append(out, d)
	}
	sort.Slice(out, func(i, k int) bool { return out[i].suspect.id < out[k].suspect.id })
	return out
}

// Contradicted returns the ids of measurements that the checks already hold
// against another number, so that nobody is told twice.
func Contradicted(s Survey) map[string]bool {
	out := map[string]bool{}
	for _, c := range clashes(s) {
		out[c.other.id] = true
	}
	for _, d := range diagonals(s) {
		if d.percent > diagonalLimit {
			out[d.suspect.id] = true
		}
	}
	if odd, _, ok := oddDiagonal(sides(s)); ok {
		out[odd.id] = true
	}
	return out
}

// diagonalLimit is the tolerance of the diagonals in percent (common practice).
const diagonalLimit = 1
