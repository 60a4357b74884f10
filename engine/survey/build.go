package survey

import (
	"fmt"
	"slices"
	"sort"
	"strings"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// Names of the points a document gives besides its stations.
const (
	EavesPoint = "ceiling eaves" // height of a flat ceiling, or of the eaves
	RidgePoint = "ceiling ridge"
)

// LevelPoint is the name of a level's point.
func LevelPoint(level string) string { return "level " + level }

// LinePoint is the name of the point of a hanging line's end ("from", "to") or,
// with an empty end, of its one height.
func LinePoint(line, end string) string {
	return strings.TrimSpace("line " + line + " " + end)
}

// Problem is an entry of a document the network cannot use.
type Problem struct {
	Measurement string
	Reason      string // unknown_station, unknown_level, no_unit, no_value, itself, negative
	Detail      string // the name or text at fault
}

// Built is the network of a document.
type Built struct {
	Network
	// Line names the hanging line whose height an observation gives, by
	// observation; empty for others.
	Line     []string
	Floors   []NamedFloor // levels with a known height, platform and galleries included
	OnFloor  []string
	Problems []Problem
	index    map[string]int
	ends     map[string][2]int // of hanging lines
}

// Index returns the place of a point by name.
func (b *Built) Index(name string) (int, bool) {
	i, ok := b.index[name]
	return i, ok
}

// Build returns the network of a document: stations, levels, ends of hanging
// lines and ceiling heights as points; measurements and typed coordinates as
// observations with their instruments' standard deviations. Void and unusable
// measurements are left out; what is unusable is listed.
func Build(s Survey) *Built {
	b := &Built{index: map[string]int{}, ends: map[string][2]int{}}
	b.levels(s)
	b.stations(s)
	b.ceiling(s)
	for _, l := range s.Lines {
		if l.State != Removed {
			b.line(l)
		}
	}
	for _, m := range s.Measurements {
		if !m.Void {
			b.measurement(m)
		}
	}
	b.dropToFloor(s)
	return b
}

// Add appends an observation that is not of the document.
func (b *Built) Add(o Observation) {
	b.Observations = append(b.Observations, o)
	b.Line = append(b.Line, "")
}

// AddPoint adds a point that is not of the document, or returns the one of that name.
func (b *Built) AddPoint(p Point) int { return b.point(p) }

// AddTyped adds what somebody typed of a point; nothing when it is unknown.
func (b *Built) AddTyped(id string, kind Kind, to int, l L, i Instrument) {
	b.typed(id, kind, to, l, i, "")
}

// point returns the place of a point, adding it when it is new.
func (b *Built) point(p Point) int {
	if i, ok := b.index[p.Name]; ok {
		return i
	}
	b.index[p.Name] = len(b.Points)
	b.Points = append(b.Points, p)
	return len(b.Points) - 1
}

// upright is a point of which only the height counts.
func (b *Built) upright(name string) int {
	return b.point(Point{Name: name, Fixed: [3]bool{true, true, false}})
}

func (b *Built) typed(id string, kind Kind, to int, l L, i Instrument, line string) {
	if !l.Set {
		return
	}
	b.Observations = append(b.Observations, Observation{ID: id, Kind: kind, From: -1, At: -1, To: to,
		Value: float64(l.Value), Sigma: float64(SigmaOf(i, l)), Typed: l, Instrument: i})
	b.Line = append(b.Line, line)
}

func (b *Built) levels(s Survey) {
	add := func(name string, h L) {
		if name == "" {
			return
		}
		for _, f := range b.Floors {
			if sameLevel(f.Name, name) {
				return
			}
		}
		if isHall(name) || !h.Set {
			return
		}
		b.Floors = append(b.Floors, NamedFloor{name, h.Value})
		b.typed(LevelPoint(name), Height, b.upright(LevelPoint(name)), h, "", "")
	}
	for _, l := range s.Levels {
		add(l.Name, l.Height)
	}
	add("platform", s.Platform.Height)
	for _, g := range s.Galleries {
		add(galleryLevel(g.Name), g.Floor)
	}
}

// galleryLevel names a gallery's floor: "left gallery" for a gallery "left".
func galleryLevel(name string) string {
	n := strings.ToLower(name)
	if name == "" || strings.Contains(n, "gallery") || strings.Contains(n, "balcony") || strings.Contains(n, "loft") {
		return name
	}
	return name + " gallery"
}

// Level returns a floor by the name people gave it (see floorWords): the one of
// that name, or for "gallery" every gallery where they are on one height. ok is
// false when nothing fits; the hall floor is height 0.
func (b *Built) Level(name string) (NamedFloor, bool) {
	if isHall(name) {
		return NamedFloor{HallFloor, 0}, true
	}
	names := make([]string, len(b.Floors))
	for i, f := range b.Floors {
		names[i] = f.Name
	}
	var found []NamedFloor
	for _, n := range FloorsCalled(name, names) {
		f := b.Floors[slices.Index(names, n)]
		if len(found) > 0 && f.Height != found[0].Height {
			return NamedFloor{}, false
		}
		found = append(found, f)
	}
	if len(found) == 0 {
		return NamedFloor{}, false
	}
	return found[0], true
}

func (b *Built) stations(s Survey) {
	floor := map[string]bool{}
	for _, n := range s.Footprint {
		floor[n] = true
	}
	for _, st := range s.Stations {
		p := Point{Name: st.Name}
		for axis, pair := range [3][2]L{{st.FixedX, st.NearX}, {st.FixedY, st.NearY}, {st.FixedZ, st.NearZ}} {
			p.Fixed[axis], p.Near[axis] = pair[0].Set, pair[1].Set
			setCoord(&p.FixedAt, axis, float64(pair[0].Or(0)))
			setCoord(&p.NearAt, axis, float64(pair[1].Or(0)))
		}
		if floor[st.Name] && !p.Fixed[2] && !p.Near[2] {
			p.Fixed[2] = true
		}
		b.point(p)
	}
	// Corners nobody listed as stations still are points of the floor.
	for _, n := range s.Footprint {
		b.point(Point{Name: n, Fixed: [3]bool{false, false, true}})
	}
}

func (b *Built) ceiling(s Survey) {
	c := s.Ceiling
	if c.flatOrUnknown() {
		for _, z := range ceilingLines(s) {
			b.typed("ceiling by a line on it", Height, b.upright(EavesPoint), z, "", "")
		}
	}
	if c.Shape != "a_frame" {
		b.typed(EavesPoint, Height, b.upright(EavesPoint), c.Height, "", "")
	}
	if c.ridged() {
		b.typed(RidgePoint, Height, b.upright(RidgePoint), c.Ridge, "", "")
	}
}

// line adds a hanging line's ends, and a point for its one height that both ends
// share within a beam's levelness.
func (b *Built) line(l HangingLine) {
	for _, e := range []struct {
		end   string
		place Place
	}{{"from", l.From}, {"to", l.To}} {
		if e.place.Station != "" {
			continue
		}
		name := LinePoint(l.Name, e.end)
		p := b.point(Point{Name: name})
		b.typed(name+" x", OffsetX, p, e.place.X, e.place.Instrument, "")
		b.typed(name+" y", OffsetY, p, e.place.Y, e.place.Instrument, "")
		b.typed(name+" z", Height, p, e.place.Z, e.place.Instrument, l.Name)
	}
	ends := [2]string{LinePoint(l.Name, "from"), LinePoint(l.Name, "to")}
	if l.From.Station != "" {
		ends[0] = l.From.Station
	}
	if l.To.Station != "" {
		ends[1] = l.To.Station
	}
	b.ends[l.Name] = [2]int{b.point(Point{Name: ends[0]}), b.point(Point{Name: ends[1]})}
}

// LineEnds returns the points of a line's ends.
func (b *Built) LineEnds(line string) (from, to int, ok bool) {
	e, ok := b.ends[line]
	return e[0], e[1], ok
}

// lineHeight returns the point of a line's one height, tied to both ends.
func (b *Built) lineHeight(line string) (int, bool) {
	from, to, ok := b.LineEnds(line)
	if !ok {
		return 0, false
	}
	name := LinePoint(line, "")
	if i, ok := b.index[name]; ok {
		return i, true
	}
	i := b.upright(name)
	for k, end := range []int{from, to} {
		b.Observations = append(b.Observations, Observation{ID: name + [2]string{" level from", " level to"}[k],
			Kind: SameHeight, From: i, At: -1, To: end, Sigma: SameHeightSigma, Assumed: true})
		b.Line = append(b.Line, "")
	}
	return i, true
}

// target finds the point a measurement's end names.
func (b *Built) target(name string) (i int, line string, ok bool) {
	if i, ok := b.index[name]; ok {
		return i, "", true
	}
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "ceiling", "eaves":
		return b.upright(EavesPoint), "", true
	case "ridge", "crown":
		return b.upright(RidgePoint), "", true
	}
	if i, ok := b.lineHeight(name); ok {
		return i, name, true
	}
	if f, ok := b.Level(name); ok && f.Name != HallFloor {
		i, ok := b.index[LevelPoint(f.Name)]
		return i, "", ok
	}
	return -1, "", false
}

// soft tells whether a kind is an assumption without a number.
func soft(k Kind) bool { return k == Square || k == SameHeight || k == Parallel }

// unusable says why a measurement's numbers cannot be used; empty when they can.
func (m Measurement) unusable() (reason, detail string) {
	if soft(m.Kind) {
		return "", ""
	}
	if m.Kind != Angle && !m.Value.Set {
		if len(m.Value.Readings) > 0 {
			return "no_unit", m.Value.Text
		}
		return "no_value", m.Value.Text
	}
	if (m.Kind == Angle || m.Kind == Slope) && !m.Angle.Set {
		return "no_value", m.Angle.Text
	}
	return "", ""
}

func (b *Built) measurement(m Measurement) {
	problem := func(reason, detail string) {
		b.Problems = append(b.Problems, Problem{m.ID, reason, detail})
	}
	need, known := endsOf(m.Kind)
	if !known || m.Kind == CentredX || m.Kind == SameY || m.Kind == Incline {
		problem("no_value", string(m.Kind))
		return
	}
	if reason, detail := m.unusable(); reason != "" {
		problem(reason, detail)
		return
	}
	o := Observation{ID: m.ID, Kind: m.Kind, From: -1, At: -1, To: -1, Sigma: m.sigma(), Typed: m.Value,
		Instrument: m.instrument(), Reference: m.Reference, Assumed: soft(m.Kind)}
	switch {
	case m.Kind == Angle:
		o.Value, o.TypedAngle, o.Typed = float64(m.Angle.Value), m.Angle, L{}
	case !o.Assumed:
		o.Value = float64(m.Value.Value)
	}
	line := ""
	if !need[0] && (m.Kind == OffsetX || m.Kind == OffsetY) {
		if from, to, ok := b.LineEnds(m.To); ok {
			for _, end := range []int{from, to} {
				o.To = end
				b.repeat(m, o, "")
			}
			return
		}
	}
	for i, end := range []struct {
		name string
		at   *int
		need bool
	}{{m.From, &o.From, need[0]}, {m.At, &o.At, need[1]}, {m.To, &o.To, need[2]}, {m.With, &o.With, m.Kind == Parallel}} {
		if !end.need {
			continue
		}
		idx, l, ok := b.target(end.name)
		if !ok {
			problem("unknown_station", end.name)
			return
		}
		if l != "" && m.Kind != Height && m.Kind != Rise && m.Kind != SameHeight {
			problem("unknown_station", end.name)
			return
		}
		*end.at = idx
		if i == 2 {
			line = l
		}
	}
	itself := need[0] && need[2] && o.From == o.To || need[1] && (o.At == o.From || o.At == o.To)
	if m.Kind == Parallel {
		itself = o.From == o.At || o.To == o.With
	}
	if itself {
		problem("itself", m.From)
		return
	}
	if o.Value < 0 && unsigned(m.Kind) {
		problem("negative", m.Value.Text)
		return
	}
	if m.Kind == Height && !isHall(m.Reference) {
		f, ok := b.Level(m.Reference)
		if !ok {
			problem("unknown_level", m.Reference)
			return
		}
		if f.Name != HallFloor {
			o.Kind, o.From, o.Reference = Rise, b.index[LevelPoint(f.Name)], f.Name
			if o.From == o.To {
				problem("itself", m.Reference)
				return
			}
		}
	}
	if m.Kind == Slope {
		b.observe(Observation{ID: m.ID + " inclination", Kind: Incline, From: o.From, At: -1, To: o.To, Value: float64(m.Angle.Value),
			Sigma: m.angleSigma(), TypedAngle: m.Angle, Instrument: m.Instrument}, "")
	}
	if m.Kind == Slope || m.Kind == Drawn {
		o.Kind = Distance
	}
	b.repeat(m, o, line)
}

func (b *Built) observe(o Observation, line string) {
	b.Observations = append(b.Observations, o)
	b.Line = append(b.Line, line)
}

// repeat adds an observation and one for each further reading of the same thing.
func (b *Built) repeat(m Measurement, o Observation, line string) {
	b.observe(o, line)
	if o.Assumed || m.Kind == Angle {
		return
	}
	for i, l := range m.Repeats {
		if !l.Set || l.Value < 0 && unsigned(m.Kind) {
			reason := "no_value"
			if l.Set {
				reason = "negative"
			}
			b.Problems = append(b.Problems, Problem{m.ID, reason, l.Text})
			continue
		}
		again := o
		again.ID, again.Typed, again.Value = fmt.Sprintf("%s reading %d", m.ID, i+2), l, float64(l.Value)
		b.observe(again, line)
	}
}

// dropToFloor puts stations of which nobody gave a height on the hall floor,
// where volunteers set their marks.
func (b *Built) dropToFloor(s Survey) {
	tall := make([]bool, len(b.Points))
	for _, o := range b.Observations {
		switch o.Kind {
		case Height:
			tall[o.To] = true
		case Rise, SameHeight:
			tall[o.To], tall[o.From] = true, true
		case Incline:
			tall[o.To] = true // it is taken from a mark on the floor
		}
	}
	ends := map[int]bool{}
	for _, l := range s.Lines {
		from, to, ok := b.LineEnds(l.Name)
		if ok {
			ends[from], ends[to] = true, true
		}
	}
	for _, st := range s.Stations {
		i := b.index[st.Name]
		p := &b.Points[i]
		if p.Fixed[2] || p.Near[2] || tall[i] || ends[i] {
			continue
		}
		p.Fixed[2] = true
		p.FixedAt = geom.Vec{X: p.FixedAt.X, Y: p.FixedAt.Y}
		b.OnFloor = append(b.OnFloor, st.Name)
	}
	sort.Strings(b.OnFloor)
}

// HeightOf returns the height above the hall floor that a height observation
// would mean by itself, and whether it is one.
func (b *Built) HeightOf(o Observation) (si.Length, bool) {
	if !isHeight(o.Kind) || !o.Typed.Set {
		return 0, false
	}
	f, ok := b.Level(o.Reference)
	return o.Typed.Value + f.Height, ok
}
