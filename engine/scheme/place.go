package scheme

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

const (
	// spanSlackM is how far past a usable span a clamp may sit before anyone
	// could tell on site.
	spanSlackM = 0.02
	// offLineM is the longest arm between a line and a lens that is said to
	// hang from it.
	offLineM = 1.0
	// pipeEndM is the pipe that stands past the outermost clamp. Source: common practice.
	pipeEndM = 0.15
)

// PlaceInput is what placing a scheme needs.
type PlaceInput struct {
	Scheme    Scheme
	Room      room.Room
	Brief     brief.Brief
	Catalogue catalogue.Set
	Book      *finding.Book
	Region    string
}

// Place solves each unit's lens and focus point. A lens the designer typed
// wins; else it hangs at its distance along its line; a single typed coordinate
// of the lens gives that distance on a line that changes in it. The focus point
// is as typed, else the face or the middle of the zone the unit is meant for,
// else straight below a house light. Units whose lens cannot be found are
// reported and left out; the rest come in the scheme's order, with Along filled
// in. The findings say what is unknown, forbidden, outside a usable span, too
// near a neighbour, or not carried by its pipe.
func Place(in PlaceInput) ([]Placed, []finding.Finding) {
	rep := reporter{book: in.Book, region: in.Region}
	rep.start()
	p := placer{in: in, rep: &rep, lines: map[string]room.Line{}, zones: map[string]brief.Zone{}}
	for _, l := range in.Room.Lines {
		if _, twice := p.lines[l.Name]; !twice {
			p.lines[l.Name] = l
		}
	}
	for _, z := range in.Brief.Zones {
		p.zones[z.Name] = z
	}
	seen := map[string]bool{}
	var out []Placed
	for _, u := range in.Scheme.Units {
		if seen[u.ID] {
			rep.add("SCHEME_UNIT_TWICE", subject(u))
			continue
		}
		seen[u.ID] = true
		if placed, ok := p.place(u); ok {
			out = append(out, placed)
		}
	}
	p.barredLines(out)
	p.neighbours(out)
	p.pipes(out)
	return out, rep.done()
}

type placer struct {
	in    PlaceInput
	rep   *reporter
	lines map[string]room.Line
	zones map[string]brief.Zone
}

func (p *placer) place(u Unit) (Placed, bool) {
	p.fixture(&u)
	zone, zoneKnown := p.zones[u.Zone]
	if !zoneKnown && (u.Zone != "" || u.Purpose != HouseLight) {
		p.rep.add("SCHEME_ZONE_UNKNOWN", subject(u), finding.Text("given", orNone(u.Zone)), finding.Text("allowed", names(p.in.Brief.Zones, func(z brief.Zone) string { return z.Name })))
	}
	line, lineKnown := p.lines[u.Line]
	if !lineKnown && (u.Line != "" || u.Purpose != HouseLight) {
		p.rep.add("SCHEME_LINE_UNKNOWN", subject(u), finding.Text("given", orNone(u.Line)), finding.Text("allowed", names(p.in.Room.Lines, func(l room.Line) string { return l.Name })))
	}
	at, along, ok := p.lens(u, line, lineKnown)
	if !ok {
		p.rep.add("SCHEME_PLACE_UNKNOWN", subject(u))
		return Placed{}, false
	}
	if lineKnown {
		if !u.Along.Set {
			u.Along = si.Known(lengthOf(along))
		}
		p.onLine(u, line, at, along)
	}
	p.insideRoom(u, at)
	target, ok := p.target(u, zone, zoneKnown, at)
	if !ok {
		p.rep.add("SCHEME_AIM_UNKNOWN", subject(u))
	}
	return Placed{Unit: u, At: at, Target: target}, true
}

// lens returns the lens and its distance in metres along the line.
func (p *placer) lens(u Unit, line room.Line, lineKnown bool) (geom.Vec, float64, bool) {
	set := [3]bool{known(u.LensX), known(u.LensY), known(u.LensZ)}
	typed := geom.Vec{X: float64(u.LensX.Value), Y: float64(u.LensY.Value), Z: float64(u.LensZ.Value)}
	if set == [3]bool{true, true, true} {
		if !lineKnown {
			return typed, 0, true
		}
		return typed, project(line, typed), true
	}
	if !lineKnown || !finite(line.From.X, line.From.Y, line.From.Z, line.To.X, line.To.Y, line.To.Z) {
		return geom.Vec{}, 0, false
	}
	var along float64
	d, n := line.To.Sub(line.From), line.Length().Metres()
	switch {
	case known(u.Along):
		along = u.Along.Value.Metres()
	case set[0] && d.X != 0:
		along = (typed.X - line.From.X) / d.X * n
	case set[1] && d.Y != 0:
		along = (typed.Y - line.From.Y) / d.Y * n
	default:
		return geom.Vec{}, 0, false
	}
	at := lensAt(line, along)
	if set[0] {
		at.X = typed.X
	}
	if set[1] {
		at.Y = typed.Y
	}
	if set[2] {
		at.Z = typed.Z
	}
	return at, along, finite(at.X, at.Y, at.Z)
}

// target returns the focus point; where none can be found, a point straight
// below the lens, and false.
func (p *placer) target(u Unit, zone brief.Zone, zoneKnown bool, at geom.Vec) (geom.Vec, bool) {
	if known(u.AimX) && known(u.AimY) && known(u.AimZ) {
		return geom.Vec{X: float64(u.AimX.Value), Y: float64(u.AimY.Value), Z: float64(u.AimZ.Value)}, true
	}
	below := geom.Vec{X: at.X, Y: at.Y, Z: math.Min(0, at.Z-1)}
	if zoneKnown {
		faces := zoneFaces(zone, p.in.Room)
		for _, f := range faces {
			if u.Face != "" && f.name == u.Face {
				return f.at, true
			}
		}
		if u.Face != "" {
			p.rep.add("SCHEME_FACE_UNKNOWN", subject(u), finding.Text("given", u.Face), finding.Text("zone", zone.Name),
				finding.Text("allowed", names(faces, func(f facePoint) string { return f.name })))
		}
		if len(faces) > 0 {
			var c geom.Vec
			for _, f := range faces {
				c = c.Add(f.at)
			}
			return c.Scale(1 / float64(len(faces))), true
		}
	}
	return below, u.Purpose == HouseLight
}

func (p *placer) onLine(u Unit, line room.Line, at geom.Vec, along float64) {
	spans := usableSpans(line)
	nearest := clampToSpans(spans, along)
	if past := math.Abs(nearest - along); past > spanSlackM || len(spans) == 0 {
		span := spanAt(spans, nearest)
		p.rep.add("SCHEME_OUTSIDE_SPAN", subject(u), finding.Text("line", line.Name), finding.Len("along", lengthOf(along)),
			finding.Len("past", lengthOf(past)), finding.Len("from", lengthOf(span[0])), finding.Len("to", lengthOf(span[1])))
	}
	if off := at.Sub(lensAt(line, along)).Norm(); off > offLineM {
		p.rep.add("SCHEME_OFF_LINE", subject(u), finding.Text("line", line.Name), finding.Len("off", lengthOf(off)))
	}
}

func (p *placer) insideRoom(u Unit, at geom.Vec) {
	r := p.in.Room
	if len(r.Footprint) >= 3 && !r.Footprint.ContainsPlan(at.X, at.Y) && outsideBy(r.Footprint, at) > spanSlackM {
		p.rep.add("SCHEME_OUTSIDE_ROOM", subject(u), finding.Text("what", "beyond the walls"))
	} else if h, ok := ceilingAt(r, at.X, at.Y); ok && at.Z > h+spanSlackM {
		p.rep.add("SCHEME_OUTSIDE_ROOM", subject(u), finding.Text("what", "above the ceiling"))
	} else if at.Z < 0 {
		p.rep.add("SCHEME_OUTSIDE_ROOM", subject(u), finding.Text("what", "below the floor"))
	}
}

// barredLines reports each line that carries units although it may not.
func (p *placer) barredLines(placed []Placed) {
	for _, l := range p.in.Room.Lines {
		b, is := barred(l, p.in.Brief.Limits)
		units := unitsOn(placed, l.Name)
		if !is || len(units) == 0 {
			continue
		}
		p.rep.add(b.code, "line "+l.Name, finding.Text("units", strings.Join(units, ", ")), finding.Text("why", b.why))
	}
}

func (p *placer) neighbours(placed []Placed) {
	for i, a := range placed {
		for _, b := range placed[i+1:] {
			if d := a.At.Sub(b.At).Norm(); d < lensApartM {
				p.rep.check("SCHEME_LENSES_CLOSE", fmt.Sprintf("units %s and %s", a.ID, b.ID), d)
			}
		}
	}
}

func (p *placer) pipes(placed []Placed) {
	for _, pipe := range p.in.Scheme.Pipes {
		if _, ok := p.lines[pipe.Line]; !ok {
			p.rep.add("SCHEME_LINE_UNKNOWN", "pipe on "+orNone(pipe.Line), finding.Text("given", orNone(pipe.Line)),
				finding.Text("allowed", names(p.in.Room.Lines, func(l room.Line) string { return l.Name })))
			continue
		}
		if !known(pipe.Length) {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, u := range placed {
			if u.Line == pipe.Line {
				a := u.Along.Value.Metres()
				lo, hi = math.Min(lo, a), math.Max(hi, a)
			}
		}
		if need := hi - lo + 2*pipeEndM; finite(need) && pipe.Length.Value.Metres() < need-spanSlackM {
			p.rep.add("SCHEME_PIPE_SHORT", "pipe on "+pipe.Line, finding.Len("length", pipe.Length.Value), finding.Len("need", lengthOf(need)))
		}
	}
}

// fixture checks that the catalogue has the unit's fixture and its beam, and
// fills in the beam where the scheme leaves it open or names one it has not.
func (p *placer) fixture(u *Unit) {
	f, ok := p.in.Catalogue.Get(u.Fixture)
	if !ok {
		p.rep.add("SCHEME_FIXTURE_UNKNOWN", subject(*u), finding.Text("given", orNone(u.Fixture)),
			finding.Text("allowed", names(p.in.Catalogue.All(), func(f catalogue.Fixture) string { return f.Code })))
		if !finite(u.FieldDeg) {
			u.FieldDeg = 0
		}
		return
	}
	if len(f.Beams) == 0 {
		u.FieldDeg = 0
		return
	}
	b, ok := f.BeamAt(u.FieldDeg)
	if !ok {
		p.rep.add("SCHEME_BEAM_UNKNOWN", subject(*u), finding.Text("given", fmt.Sprintf("%.4g°", u.FieldDeg)),
			finding.Text("fixture", f.Code), finding.Text("allowed", beamText(f)))
		b = f.Beams[len(f.Beams)/2]
		if finite(u.FieldDeg) {
			b.FieldDeg = f.NearestField(u.FieldDeg)
		}
	}
	u.FieldDeg = b.FieldDeg
}

func beamText(f catalogue.Fixture) string {
	var parts []string
	for _, b := range f.Beams {
		parts = append(parts, fmt.Sprintf("%.4g°", b.FieldDeg))
	}
	if f.Zooms() {
		return parts[0] + " to " + parts[len(parts)-1]
	}
	return strings.Join(parts, ", ")
}

// project returns the distance in metres along a line of the point of its
// lenses nearest to at.
func project(l room.Line, at geom.Vec) float64 {
	d := l.To.Sub(l.From)
	n2 := d.Dot(d)
	if n2 == 0 {
		return 0
	}
	from := l.From
	from.Z -= l.Drop.Metres()
	return at.Sub(from).Dot(d) / n2 * math.Sqrt(n2)
}

// outsideBy returns the plan distance in metres from a point to a polygon's edge.
func outsideBy(p geom.Polygon, at geom.Vec) float64 {
	_, by := p.NearestPlan(at.X, at.Y)
	return by
}

// segmentDistance returns the distance in metres from a point to a segment.
func segmentDistance(p, a, b geom.Vec) float64 {
	d := b.Sub(a)
	t := 0.0
	if n2 := d.Dot(d); n2 > 0 {
		t = math.Max(0, math.Min(1, p.Sub(a).Dot(d)/n2))
	}
	return p.Sub(a.Add(d.Scale(t))).Norm()
}

func unitsOn(placed []Placed, line string) []string {
	var ids []string
	for _, u := range placed {
		if u.Line == line {
			ids = append(ids, u.ID)
		}
	}
	slices.Sort(ids)
	return ids
}

// spanAt returns the span that holds a distance; an empty one without any.
func spanAt(spans [][2]float64, along float64) [2]float64 {
	for _, s := range spans {
		if along >= s[0] && along <= s[1] {
			return s
		}
	}
	return [2]float64{}
}

func known(l L) bool { return l.Set && finite(float64(l.Value)) }

func lengthOf(m float64) si.Length { return si.Length(m) }

func subject(u Unit) string { return "unit " + orNone(u.ID) }

func orNone(s string) string {
	if s == "" {
		return "(none)"
	}
	return s
}

func names[T any](list []T, name func(T) string) string {
	var out []string
	for _, v := range list {
		out = append(out, name(v))
	}
	slices.Sort(out)
	out = slices.Compact(out)
	if len(out) == 0 {
		return "none yet"
	}
	return strings.Join(out, ", ")
}
