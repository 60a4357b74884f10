package survey

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/si"
)

// units: numbers typed without unit, with the reading that fits and those that
// do not.
func (c *checker) units() {
	for _, st := range c.s.Seating {
		if len(st.Pitch.Readings) > 0 && !st.Pitch.Set {
			_, fits, _ := FitPitch(c.s, st)
			c.unit("pitch of seating "+st.Name, st.Pitch, fits, "the distance from one row's back to the next")
		}
	}
	for _, g := range c.s.Galleries {
		if len(g.RailTop.Readings) > 0 && !g.RailTop.Set {
			_, fits, _ := FitRailTop(g)
			c.unit("rail top of "+GalleryWord(g.Name), g.RailTop, fits, "the height of the front from behind the rail, and the soffit from the hall floor")
		}
	}
	if l := c.s.Ceiling.Height; len(l.Readings) > 0 && !l.Set {
		_, fits, _ := FitCeiling(c.s, l)
		c.unit("ceiling height", l, fits, "the ceiling with a laser held against the floor")
	}
	for _, m := range c.s.Measurements {
		if m.Void || m.Value.Set || len(m.Value.Readings) == 0 {
			continue
		}
		_, fits, _ := c.fitMeasurement(m)
		c.unit(NameOf(c.s, m.ID), m.Value, fits, "it again, with the unit beside the number")
	}
	for _, e := range []struct {
		what string
		l    L
		r    span
	}{
		{"platform width", c.s.Platform.Width, span{1, 30}}, {"platform depth", c.s.Platform.Depth, span{1, 20}},
		{"platform height", c.s.Platform.Height, span{0.05, 2}}, {"ridge height", c.s.Ceiling.Ridge, ceilingRange},
		{"roof slope", c.s.Ceiling.Slope, span{1, 40}},
		{"height of the tallest speaker", c.s.Platform.TallestSpeaker, peopleRange},
		{"height of the shortest speaker", c.s.Platform.ShortestSpeaker, peopleRange},
	} {
		c.plainUnit(e.what, e.l, e.r)
	}
	for _, l := range c.s.Lines {
		for _, end := range []struct {
			what string
			p    Place
		}{{"from", l.From}, {"to", l.To}} {
			c.plainUnit(fmt.Sprintf("line %s %s x", l.Name, end.what), end.p.X, span{-40, 40})
			c.plainUnit(fmt.Sprintf("line %s %s y", l.Name, end.what), end.p.Y, span{-80, 40})
			c.plainUnit(fmt.Sprintf("line %s %s z", l.Name, end.what), end.p.Z, span{0.3, 30})
		}
	}
	for _, sc := range c.s.Screens {
		c.plainUnit("width of screen "+sc.Name, sc.Width, span{0.5, 12})
		c.plainUnit("height of screen "+sc.Name, sc.Height, span{0.3, 8})
		c.plainUnit("bottom of screen "+sc.Name, sc.Bottom, span{0, 12})
	}
	for _, st := range c.s.Seating {
		c.plainUnit("first row of seating "+st.Name, st.FirstY, span{-60, 5})
		c.plainUnit("last row of seating "+st.Name, st.LastY, span{-80, 5})
	}
	for _, g := range c.s.Galleries {
		c.plainUnit("floor of "+GalleryWord(g.Name), g.Floor, span{1.8, 12})
		c.plainUnit("soffit of "+GalleryWord(g.Name), g.Soffit, span{1.8, 12})
		c.plainUnit("front of "+GalleryWord(g.Name), g.Front, span{0.5, 2})
	}
}

// GalleryWord says "gallery left", but not "gallery left gallery".
func GalleryWord(name string) string {
	if galleryLevel(name) == name && name != "" {
		return name
	}
	return strings.TrimSpace("gallery " + name)
}

func (c *checker) plainUnit(what string, l L, r span) {
	if l.Set || len(l.Readings) == 0 {
		return
	}
	fits := fitAll(l, func(v si.Length) (bool, float64, string) {
		if r.has(v) {
			return true, 0, si.FormatLength(v, c.d) + " is a usual size"
		}
		return false, 1, si.FormatLength(v, c.d) + " is no usual size"
	})
	c.unit(what, l, fits, "it again, with the unit beside the number")
}

func (c *checker) unit(what string, l L, fits []Fit, again string) {
	var good, bad []string
	args := []finding.Arg{finding.Text("typed", l.Text)}
	chosen, ok := best(l, fits)
	for _, f := range fits {
		name := readingName(l.Text, f.Reading)
		if f.Fits {
			good = append(good, fmt.Sprintf("%s (%s)", name, f.Why))
		} else if !ok || worthNaming(f.Reading.Value, chosen.Value) {
			bad = append(bad, fmt.Sprintf("%s (%s)", name, f.Why))
		}
	}
	if len(fits) == 0 {
		for _, r := range l.Readings {
			bad = append(bad, readingName(l.Text, r))
		}
	}
	if len(good) == 0 {
		good = []string{"none that can be told from the rest of the survey"}
	}
	if len(bad) == 0 {
		bad = []string{"none"}
	}
	args = append(args, finding.Text("fits", strings.Join(good, "; ")), finding.Text("clashes", strings.Join(bad, "; ")), remeasure("%s", again))
	if ok {
		args = append(args, finding.Len("taken", chosen.Value))
	}
	c.new("SURVEY_UNIT_MISSING", what, args...)
}

// worthNaming leaves out readings so far from the one that fits that nobody
// could have meant them.
func worthNaming(v, fit si.Length) bool {
	r := math.Abs(float64(v / fit))
	return r > 0.2 && r < 8
}

// fitMeasurement holds the readings of a measurement without unit against other
// values of the same object, else against usual sizes.
func (c *checker) fitMeasurement(m Measurement) (L, []Fit, bool) {
	if m.Kind == Height && (strings.EqualFold(m.To, "ceiling") || strings.EqualFold(m.To, "eaves")) && isHall(m.Reference) {
		return FitCeiling(c.s, m.Value)
	}
	r := span{-60, 60}
	switch m.Kind {
	case Distance, Horizontal:
		r = span{0.3, 100}
	case Height:
		r = span{0.1, 30}
	}
	var others []si.Length
	for _, o := range c.s.Measurements {
		if !o.Void && o.Value.Set && o.Kind == m.Kind && o.Reference == m.Reference &&
			((o.From == m.From && o.To == m.To) || (o.From == m.To && o.To == m.From)) {
			others = append(others, o.Value.Value)
		}
	}
	fits := fitAll(m.Value, func(v si.Length) (bool, float64, string) {
		for _, o := range others {
			if miss := math.Abs(float64(v-o)) / math.Max(0.1, math.Abs(float64(o))); miss > 0.05 {
				return false, miss, fmt.Sprintf("%s contradicts %s by another reading", si.FormatLength(v, c.d), si.FormatLength(o, c.d))
			}
		}
		if !r.has(v) {
			return false, 1, si.FormatLength(v, c.d) + " is no usual size"
		}
		return true, 0, si.FormatLength(v, c.d) + " contradicts nothing"
	})
	l, ok := best(m.Value, fits)
	return l, fits, ok
}

// unusable: measurements that name places the survey does not know.
func (c *checker) unusable() {
	for _, p := range c.built.Problems {
		switch p.Reason {
		case "no_unit", "no_value":
			continue
		case "unknown_station":
			c.new("SURVEY_UNKNOWN_PLACE", NameOf(c.s, p.Measurement), finding.Text("name", p.Detail), finding.Text("what", "place"))
		case "unknown_level":
			c.new("SURVEY_UNKNOWN_PLACE", NameOf(c.s, p.Measurement), finding.Text("name", p.Detail), finding.Text("what", "floor"))
		case "itself":
			c.new("SURVEY_UNKNOWN_PLACE", NameOf(c.s, p.Measurement), finding.Text("name", p.Detail), finding.Text("what", "second place"))
		case "negative":
			c.new("SURVEY_NEGATIVE", NameOf(c.s, p.Measurement), finding.Text("typed", p.Detail))
		}
	}
}

// dimmers: lamps × watts per channel against the channel's rating.
func (c *checker) dimmers() {
	for _, d := range c.s.Dimmers {
		var load float64
		var parts []string
		for _, e := range c.s.ExistingUnit {
			if e.Dimmer == d.Channel && d.Channel != "" && e.Watts.Set && e.Count > 0 {
				load += float64(e.Count) * float64(e.Watts.Value)
				parts = append(parts, fmt.Sprintf("%d × %.0f W %s", e.Count, float64(e.Watts.Value), e.Name))
			}
		}
		if load == 0 || !d.Rating.Set || d.Rating.Value <= 0 {
			continue
		}
		c.check("SURVEY_DIMMER_OVER", "dimmer channel "+d.Channel, load/float64(d.Rating.Value)*100,
			finding.Num("load", load, "W"), finding.Num("rating", float64(d.Rating.Value), "W"), finding.Text("lamps", strings.Join(parts, ", ")),
			remeasure("count the lamps from the floor, and read one lamp's label and the channel's plate on a photograph"))
	}
}

// facts: what was seen and makes a place unfit for work.
func (c *checker) facts() {
	c.asbestos()
	for _, p := range c.s.Panels {
		where := "panel " + p.Name
		if p.ClearDepth.Set {
			c.check("SURVEY_PANEL_DEPTH", where, float64(p.ClearDepth.Value), finding.Text("note", noteOf(p.Note)))
		}
		if p.ClearWidth.Set {
			c.check("SURVEY_PANEL_WIDTH", where, float64(p.ClearWidth.Value), finding.Text("note", noteOf(p.Note)))
		}
		if p.Spaces > 0 && p.SpacesUsed > p.Spaces {
			c.new("SURVEY_PANEL_COUNT", where, finding.CountOf("used", p.SpacesUsed), finding.CountOf("spaces", p.Spaces),
				remeasure("count the ways again on the photograph with the door open"))
		}
	}
	for i, h := range c.s.Hazards {
		subject := fmt.Sprintf("%s at %s", strings.ReplaceAll(h.Kind, "_", " "), orText(h.Where, fmt.Sprintf("place %d", i+1)))
		if h.Kind != "asbestos" {
			c.new("SURVEY_HAZARD", subject, finding.Text("note", orText(h.Note, "no more is said")))
		}
	}
	if c.needsLift() {
		switch c.s.Floor.Kind {
		case "slab_on_ground":
		default:
			if c.s.Floor.Rating == "" {
				c.new("SURVEY_FLOOR_UNKNOWN", "hall floor", finding.Text("floor", orText(strings.ReplaceAll(c.s.Floor.Kind, "_", " "), "unknown")),
					finding.Len("height", c.highestLine()))
			}
		}
	}
	if c.s.Platform.Rating == "" && c.linesOverPlatform() {
		c.new("SURVEY_PLATFORM_RATING", "platform")
	}
}

func noteOf(n string) string { return orText(n, "no note") }

func orText(t, fallback string) string {
	if strings.TrimSpace(t) == "" {
		return fallback
	}
	return t
}

// liftHeight is the height from which work needs a lift or tower, in metres:
// about what two people reach from the floor with low steps (common practice).
const liftHeight = 3.5

func (c *checker) highestLine() si.Length {
	high := si.Length(0)
	for _, l := range c.s.Lines {
		if l.State == Removed {
			continue
		}
		for _, z := range []L{l.From.Z, l.To.Z} {
			high = max(high, z.Or(0))
		}
		for _, r := range readings(c.s)["height "+l.Name] {
			high = max(high, c.built.aboveHall(r))
		}
	}
	return high
}

func (c *checker) needsLift() bool { return c.highestLine() > liftHeight }

func (c *checker) linesOverPlatform() bool {
	for _, l := range c.s.Lines {
		y := l.From.Y
		if l.State != Removed && y.Set && y.Value >= 0 && y.Value <= c.s.Platform.Depth.Or(4) {
			return true
		}
	}
	return false
}

func (c *checker) asbestos() {
	presumed := region.ConventionsOf(c.region)
	in := func(year int) bool {
		return year > 0 && year >= presumed.AsbestosFrom && year <= presumed.AsbestosTo
	}
	site := c.s.Site
	var why []string
	for _, h := range c.s.Hazards {
		if h.Kind == "asbestos" {
			why = append(why, strings.TrimSpace("suspected: "+orText(h.Where, "place not said")))
		}
	}
	if site.YearBuilt == 0 && site.YearAltered == 0 {
		why = append(why, "the year of building is not known")
	}
	if in(site.YearBuilt) {
		why = append(why, fmt.Sprintf("built %d", site.YearBuilt))
	}
	if in(site.YearAltered) {
		why = append(why, fmt.Sprintf("altered %d", site.YearAltered))
	}
	if len(why) > 0 {
		c.new("SURVEY_ASBESTOS", "building", finding.Text("why", strings.Join(why, ", ")))
	}
}

// Missing is an answer the survey lacks.
type Missing struct {
	What, Why, Who string
	// Assumed is what is taken meanwhile; empty: nothing.
	Assumed string
}

// missing: answers without which later sheets cannot be issued.
func (c *checker) missing() {
	for _, m := range MissingAnswers(c.s) {
		c.new("SURVEY_MISSING_ANSWER", m.What, finding.Text("why", m.Why), finding.Text("who", m.Who))
	}
}
