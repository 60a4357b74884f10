package hanging

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// reachAbovePlatform is how far above a platform a person works, m.
//
// Source: common practice, 1.5 m (5 ft).
const reachAbovePlatform = 5 * 0.3048

// lowPlatform is the platform height, m, up to which a low work platform serves.
//
// Source: common practice.
const lowPlatform = 1.0

// below is the floor under a place.
type below struct {
	name   string
	height float64
	kind   string // hall, platform, gallery
}

// reach says for every hung unit how its place is reached and what stands below.
func (c *checker) reach(lifts []LiftCheck) []ReachCheck {
	galleries := c.galleries()
	in := map[string]bool{}
	for _, l := range lifts {
		if l.Fits && math.IsNaN(l.SweptM) {
			in[l.Lift] = true
		}
	}
	var out []ReachCheck
	towers := map[string][]string{}
	onGallery := map[string][]string{}
	benches := map[string]map[string]string{}
	for _, u := range c.Placed {
		if !c.hangs(u) || !finite(u.At.X+u.At.Y+u.At.Z) {
			continue
		}
		rl, hung := c.lines[u.Line]
		top := u.At.Z
		if hung {
			top += math.Max(0, finiteOr(float64(rl.Drop), 0))
		}
		b := c.floorBelow(u.At, top, galleries)
		r := ReachCheck{Unit: u.ID, Line: u.Line, HangM: top - b.height}
		r.NeedPlatformM = math.Max(0, r.HangM-reachAbovePlatform)
		r.Below, c.floorOf[u.ID] = b.name, b.name
		c.chooseReach(&r, b, rl, in, "unit "+r.Unit)
		if b.kind == "hall" {
			if set := c.rowsUnder(u, r.By); set.count() > 0 {
				rows := set.text()
				r.Below += ", " + rows
				if benches[u.Line] == nil {
					benches[u.Line] = map[string]string{}
				}
				benches[u.Line][rows] = set.fixed
				all := c.rows[u.ID]
				all.put(set)
				c.rows[u.ID] = all
			}
		}
		if r.By == "tower" {
			towers[r.Why] = append(towers[r.Why], u.ID)
			if b.kind == "gallery" {
				onGallery[b.name] = append(onGallery[b.name], u.ID)
			}
		}
		out = append(out, r)
	}
	for _, r := range out {
		if r.By == "lift, to be chosen" {
			c.ask(finding.LiftHire, "Which machine reaches the places over the floor, gets in and may stand there?", sentence([]string{r.Why, "the floor: " + c.floorNote()}))
			break
		}
	}
	c.towerNotes(towers)
	c.galleryNotes(onGallery)
	c.benchFindings(benches)
	return out
}

func finiteOr(v, otherwise float64) float64 {
	if finite(v) {
		return v
	}
	return otherwise
}

// chooseReach picks the lightest machine that gets in and reaches; subject is whom a
// finding names.
func (c *checker) chooseReach(r *ReachCheck, b below, rl room.Line, in map[string]bool, subject string) {
	switch {
	case rl.Survey.Access == "from_gallery":
		r.By, r.Why = "from the gallery", "as surveyed"
	case r.NeedPlatformM <= lowPlatform:
		r.By, r.Why = "low work platform", "on "+b.name
	case b.kind == "gallery":
		r.By, r.Why = "tower", "over "+b.name
	case b.kind == "platform":
		r.By, r.Why = "tower", "over the platform, where no lift stands"
	case rl.Survey.Access == "tower":
		r.By, r.Why = "tower", "as surveyed"
	case len(c.Brief.Lifts) == 0 && rl.Survey.Access == "lift":
		r.By = "lift, to be chosen"
		r.Why = "no machine is on offer; a platform at " + si.FormatLength(si.Length(r.NeedPlatformM), c.Profile.Display) + " is needed"
	default:
		best, highest := -1, math.Inf(-1)
		for i, m := range c.Brief.Lifts {
			h := length(m.PlatformHeight)
			if !in[m.Name] || h == 0 {
				continue
			}
			highest = math.Max(highest, h)
			if h >= r.NeedPlatformM && (best < 0 || lighter(m, c.Brief.Lifts[best])) {
				best = i
			}
		}
		if best >= 0 {
			m := c.Brief.Lifts[best]
			r.By = liftName(m)
			r.Why = fmt.Sprintf("platform %s, needed %s", si.FormatLength(m.PlatformHeight.Value, c.Profile.Display), si.FormatLength(si.Length(r.NeedPlatformM), c.Profile.Display))
			return
		}
		r.By, r.Why = "tower", "no machine on offer gets in"
		if len(c.Brief.Lifts) == 0 {
			r.Why = "no machine is on offer"
		}
		if !math.IsInf(highest, 0) {
			r.Why = "no machine that gets in reaches it"
			f := c.Book.New("LIFT_REACH", subject, finding.Len("need", si.Length(r.NeedPlatformM)), finding.Len("highest", si.Length(highest)))
			c.add(measured(f, r.NeedPlatformM, highest))
		}
	}
}

func lighter(a, b brief.Lift) bool {
	ma, mb := positive(float64(a.Mass.Or(0))), positive(float64(b.Mass.Or(0)))
	return ma > 0 && (mb == 0 || ma < mb)
}

type gallery struct {
	name    string
	outline geom.Polygon
	floor   float64
}

// galleries resolves the outlines of the surveyed galleries.
func (c *checker) galleries() []gallery {
	at := map[string]geom.Vec{}
	for _, s := range c.Room.Stations {
		at[s.Name] = s.At
	}
	level := map[string]float64{}
	for _, l := range c.Room.Levels {
		level[l.Name] = float64(l.Height)
	}
	var out []gallery
	for _, g := range c.Survey.Galleries {
		floor := length(g.Floor)
		if floor == 0 {
			floor = positive(level[g.Name])
		}
		var p geom.Polygon
		for _, pl := range g.Outline {
			v, ok := at[pl.Station]
			if pl.Station == "" || !ok {
				if !pl.X.Set || !pl.Y.Set {
					continue
				}
				v = geom.Vec{X: float64(pl.X.Value), Y: float64(pl.Y.Value)}
			}
			p = append(p, v)
		}
		if floor > 0 && len(p) >= 3 {
			out = append(out, gallery{g.Name, p, floor})
		}
	}
	return out
}

// floorBelow returns the highest floor under a place, below the line's height.
func (c *checker) floorBelow(at geom.Vec, top float64, gs []gallery) below {
	b := below{"the hall floor", 0, "hall"}
	if p := c.Room.Platform; len(p.Outline) >= 3 && p.Outline.ContainsPlan(at.X, at.Y) && finite(float64(p.Height)) && float64(p.Height) < top {
		b = below{"the platform", float64(p.Height), "platform"}
	}
	for _, g := range gs {
		if g.floor < top && g.floor > b.height && g.outline.ContainsPlan(at.X, at.Y) {
			b = below{named(g.name, "the gallery"), g.floor, "gallery"}
		}
	}
	return b
}

// rowsUnder returns the rows on the floor that stand within the machine's length
// of the place under a unit, and how they are fixed: loose, pinned or screwed;
// unknown counts as screwed.
func (c *checker) rowsUnder(u scheme.Placed, by string) rowsOf {
	half := c.standHalf(by)
	out := rowsOf{map[string]map[int]bool{}, "loose"}
	for _, s := range c.Survey.Seating {
		if s.Level != "" && s.Level != "floor" && s.Level != "hall" {
			continue
		}
		if w := length(s.Width); w > 0 && finite(float64(s.CentreX.Or(0))) &&
			math.Abs(u.At.X-float64(s.CentreX.Or(0))) > w/2+c.standHalfWidth(by) {
			continue
		}
		name, some := named(s.Name, "the seating"), false
		for i, y := range rowLines(s) {
			if math.Abs(y-u.At.Y) <= half {
				if out.rows[name] == nil {
					out.rows[name] = map[int]bool{}
				}
				out.rows[name][i+1], some = true, true
			}
		}
		if some && s.Fixed != "loose" {
			out.fixed = named(s.Fixed, "taken as screwed down")
		}
	}
	return out
}

// rowWords lists rows: "row 3", "rows 1 and 2", "rows 1, 2 and 3".
func rowWords(rows []string) string {
	n := len(rows)
	if n == 1 {
		return "row " + rows[0]
	}
	return "rows " + strings.Join(rows[:n-1], ", ") + " and " + rows[n-1]
}

// standHalf is half the length a machine or tower needs along the room, m.
func (c *checker) standHalf(by string) float64 {
	for _, m := range c.Brief.Lifts {
		if by == liftName(m) && length(m.Length) > 0 {
			return math.Max(length(m.Length), length(m.Width)) / 2
		}
	}
	return towerHalf
}

// standHalfWidth is half the width a machine or tower needs across the room, m.
func (c *checker) standHalfWidth(by string) float64 {
	for _, m := range c.Brief.Lifts {
		if by == liftName(m) && length(m.Width) > 0 {
			return length(m.Width) / 2
		}
	}
	return towerHalf
}

// towerHalf is half the base of a mobile tower, m.
//
// Source: common practice, base about 1.35 m × 2 m.
const towerHalf = 1.0

// rowLines returns the y of every row's back, m; nil when unknown.
func rowLines(s survey.Seating) []float64 {
	if !s.FirstY.Set || !finite(float64(s.FirstY.Value)) || s.Rows < 1 || s.Rows > 1000 {
		return nil
	}
	first := float64(s.FirstY.Value)
	step := 0.0
	switch {
	case s.LastY.Set && s.Rows > 1 && finite(float64(s.LastY.Value)):
		step = (float64(s.LastY.Value) - first) / float64(s.Rows-1)
	case s.Pitch.Set && finite(float64(s.Pitch.Value)):
		step = -math.Abs(float64(s.Pitch.Value))
	case s.Rows > 1:
		return []float64{first}
	}
	out := make([]float64, s.Rows)
	for i := range out {
		out[i] = first + float64(i)*step
	}
	return out
}

func (c *checker) towerNotes(towers map[string][]string) {
	var whys []string
	for w := range towers {
		whys = append(whys, w)
	}
	sort.Strings(whys)
	for _, w := range whys {
		units := strings.Join(towers[w], ", ")
		c.add(c.Book.New("LIFT_TOWER", units, finding.Text("units", units), finding.Text("why", w)))
	}
}

// galleryNotes leaves a tower on a gallery's floor to the engineer.
func (c *checker) galleryNotes(on map[string][]string) {
	var names []string
	for n := range on {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		c.add(c.Book.New("LIFT_TOWER_GALLERY", n, finding.Text("units", strings.Join(on[n], ", "))))
		c.ask(finding.Engineer, "May a tower with two people stand on "+n+", and on which boards?", "Its floor's rating is not known to be written anywhere; units "+strings.Join(on[n], ", ")+" hang over it.")
	}
}

func (c *checker) benchFindings(benches map[string]map[string]string) {
	var lines []string
	for l := range benches {
		lines = append(lines, l)
	}
	sort.Strings(lines)
	for _, l := range lines {
		var rows []string
		for r := range benches[l] {
			rows = append(rows, r)
		}
		sort.Strings(rows)
		fixed := "loose"
		for _, r := range rows {
			if f := benches[l][r]; f != "loose" {
				fixed = f
			}
		}
		if fixed == "loose" {
			continue
		}
		subject := "line " + named(l, "without name")
		c.add(c.Book.New("LIFT_BENCHES", subject, finding.Text("line", named(l, "the units")), finding.Text("rows", strings.Join(rows, "; ")), finding.Text("fixed", fixed)))
	}
}
