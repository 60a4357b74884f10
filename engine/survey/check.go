package survey

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// checker collects the findings of one document.
type checker struct {
	s      Survey
	built  *Built
	book   *finding.Book
	region string
	d      si.Display
	out    []finding.Finding
}

// Check returns the contradictions inside a survey that show without solving
// it, each with the two clashing numbers and the cheapest thing to measure
// again, and the facts and gaps that block work. region is the rule region
// ("us", "metric").
func Check(s Survey, book *finding.Book, region string) []finding.Finding {
	c := &checker{s: s, built: Build(s), book: book, region: region, d: surveyDisplay(s)}
	c.diagonals()
	c.twoReadings()
	c.ridge()
	c.slopeAsHeight()
	c.rows()
	c.steps()
	c.spacing()
	c.screens()
	c.ranges()
	c.stacks()
	c.units()
	c.unusable()
	c.dimmers()
	c.feeders()
	c.directories()
	c.standing()
	c.bearings()
	c.facts()
	c.missing()
	c.checklist()
	finding.Sort(c.out)
	return c.out
}

func (c *checker) new(code, subject string, args ...finding.Arg) {
	c.out = append(c.out, c.book.New(code, subject, args...))
}

func (c *checker) check(code, subject string, value float64, args ...finding.Arg) {
	if f, ok := c.book.Check(code, c.region, subject, value, args...); ok {
		c.out = append(c.out, f)
	}
}

func remeasure(format string, a ...any) finding.Arg {
	return finding.Text("remeasure", fmt.Sprintf(format, a...))
}

// diagonals: diagonals² = length² + width² within 1 %.
func (c *checker) diagonals() {
	if odd, expected, ok := oddDiagonal(sides(c.s)); ok {
		why := "No usual slip explains it"
		o := Observation{Kind: odd.kind, Typed: odd.typed, Value: float64(odd.value), Sigma: odd.sigma, Instrument: odd.instrument}
		if m, ok := Explain(o, float64(expected), 0.05, nil); ok {
			why = "Likely " + m.Text
		}
		c.new("SURVEY_DIAGONAL_ODD", odd.object, finding.Len("typed", odd.value), finding.Len("expected", expected),
			finding.Text("explanation", why), remeasure("%s along the floor", odd.object))
	}
	for _, d := range diagonals(c.s) {
		c.check("SURVEY_DIAGONAL_MISMATCH", d.suspect.object, d.percent,
			finding.Len("typed", d.suspect.value), finding.Len("other", d.other.value), finding.Len("expected", d.expected),
			finding.Len("diagonal_low", d.low), finding.Len("diagonal_high", d.high), finding.Len("implied", d.implied),
			finding.Text("instrument", precisionOf(d.suspect.instrument).name),
			remeasure("%s with a tape or laser along the floor", d.suspect.object))
	}
}

// twoReadings: the same object by two people or methods; a difference equal to a
// floor's height is the wrong floor.
func (c *checker) twoReadings() {
	for _, k := range clashes(c.s) {
		by := k.other.by
		if by == "" {
			by = "another reading"
		}
		args := []finding.Arg{finding.Len("kept", k.kept.value), finding.Len("other", k.other.value),
			finding.Len("difference", si.Length(math.Abs(float64(k.kept.value-k.other.value)))),
			finding.Text("kept_by", precisionOf(k.kept.instrument).name), finding.Text("other_by", by),
			finding.Text("measurement", NameOf(c.s, k.other.id))}
		if k.explained && k.mistake.Kind == "wrong_level" {
			level, _ := c.built.Level(k.mistake.Level)
			c.new("SURVEY_WRONG_FLOOR", k.other.object, append(args,
				finding.Text("floor", floorName(k.mistake.Level)), finding.Len("floor_height", level.Height),
				finding.Len("corrected", c.built.aboveHall(k.kept)), finding.Text("explanation", k.mistake.Text),
				remeasure("the %s once more, with a laser held against the hall floor", k.other.object))...)
			continue
		}
		why := "No usual slip explains it"
		if k.explained {
			why = "Likely " + k.mistake.Text
		}
		used := "The better instrument is used; both stay on record"
		if !k.explained && k.kept.grade == k.other.grade {
			used = "Nothing tells which is right: both are used until one is measured again"
		}
		args = append(args, finding.Text("used", used))
		c.new("SURVEY_TWO_READINGS", otherName(c.s, k.other), append(args, finding.Text("explanation", why),
			remeasure("the %s a third time by another person", k.other.object))...)
	}
}

// otherName names a reading by its object and which of its readings it is.
func otherName(s Survey, r reading) string {
	for _, m := range s.Measurements {
		if m.ID == r.id && m.ID != "" {
			return called(r.object, m)
		}
	}
	return r.object + " (" + r.id + ")"
}

// halfWidths returns the possible distances in plan from eaves to ridge: half of
// each side of the floor; the right one first where the axes are known.
func (c *checker) halfWidths() []float64 {
	along := c.s.Ceiling.RidgeRun != "across"
	var xs, ys []float64
	corner := map[string]bool{}
	for _, n := range c.s.Footprint {
		corner[n] = true
	}
	for _, st := range c.s.Stations {
		if !corner[st.Name] {
			continue
		}
		for i, pair := range [2][2]L{{st.FixedX, st.NearX}, {st.FixedY, st.NearY}} {
			for _, l := range pair {
				if l.Set {
					if i == 0 {
						xs = append(xs, float64(l.Value))
					} else {
						ys = append(ys, float64(l.Value))
					}
					break
				}
			}
		}
	}
	use := xs
	if !along {
		use = ys
	}
	if len(use) >= 3 {
		sort.Float64s(use)
		return []float64{(use[len(use)-1] - use[0]) / 2}
	}
	var out []float64
	for _, m := range c.s.Measurements {
		if m.Void || !m.Value.Set || (m.Kind != Distance && m.Kind != Horizontal) || !corner[m.From] || !corner[m.To] {
			continue
		}
		out = append(out, float64(m.Value.Value)/2)
	}
	return out
}

func (c *checker) eaves() float64 {
	if c.s.Ceiling.Shape == "a_frame" {
		return 0
	}
	return float64(c.s.Ceiling.Height.Or(0))
}

// ridge: ridge = eaves + √(slope² − half width²) within 3 %.
func (c *checker) ridge() {
	cl := c.s.Ceiling
	if (cl.Shape != "gable" && cl.Shape != "a_frame") || !cl.Ridge.Set || !cl.Slope.Set || (cl.Shape == "gable" && !cl.Height.Set) {
		return
	}
	best, bestHalf := math.Inf(1), 0.0
	var expected float64
	for _, h := range c.halfWidths() {
		rise := float64(cl.Slope.Value)*float64(cl.Slope.Value) - h*h
		if rise < 0 {
			continue
		}
		e := c.eaves() + math.Sqrt(rise)
		if miss := math.Abs(float64(cl.Ridge.Value)-e) / e * 100; miss < best {
			best, bestHalf, expected = miss, h, e
		}
	}
	if !math.IsInf(best, 1) {
		c.check("SURVEY_RIDGE_MISMATCH", "ridge", best, finding.Len("typed", cl.Ridge.Value), finding.Len("expected", si.Length(expected)),
			finding.Len("slope", cl.Slope.Value), finding.Len("half_width", si.Length(bestHalf)),
			remeasure("the ridge height with a laser from the floor of the centre aisle"))
	}
}

// slopeTolerance is by how much a typed height may miss the slope's length and
// still be taken for it (common practice).
const slopeTolerance = 0.01

// SlopeHeight is a height that is the length of the roof's slope.
type SlopeHeight struct {
	What        string // "ridge", "ceiling height", "measurement h3"
	Measurement string // its id; empty for the ceiling's own numbers
	Typed       si.Length
	HalfWidth   si.Length
	Implied     si.Length // the height the slope leads to
	PitchDeg    float64
}

// SlopesAsHeights lists typed heights of a ridge that equal the length of the
// slope, √(half width² + rise²), where another number confirms it.
func SlopesAsHeights(s Survey) []SlopeHeight {
	c := &checker{s: s}
	cl := s.Ceiling
	if cl.Shape != "gable" && cl.Shape != "a_frame" {
		return nil
	}
	type height struct {
		what, id string
		l        L
	}
	heights := []height{{"ridge", "", cl.Ridge}}
	if cl.Shape == "a_frame" {
		heights = append(heights, height{"ceiling height", "", cl.Height})
	}
	for _, m := range s.Measurements {
		to := strings.ToLower(m.To)
		if !m.Void && m.Kind == Height && isHall(m.Reference) && (to == "ridge" || to == "ceiling" || to == "crown" || to == "roof") {
			heights = append(heights, height{NameOf(s, m.ID), m.ID, m.Value})
		}
	}
	var out []SlopeHeight
	for i, h := range heights {
		if !h.l.Set || float64(h.l.Value) <= c.eaves() {
			continue
		}
		for _, half := range c.halfWidths() {
			rise2 := sq(float64(h.l.Value)) - half*half
			if rise2 <= 0 {
				continue
			}
			implied := c.eaves() + math.Sqrt(rise2)
			confirmed := cl.Slope.Set && math.Abs(float64(cl.Slope.Value-h.l.Value)) < slopeTolerance*float64(h.l.Value)
			for k, other := range heights {
				confirmed = confirmed || (k != i && other.l.Set && math.Abs(float64(other.l.Value)-implied) < slopeTolerance*implied)
			}
			if !confirmed {
				continue
			}
			out = append(out, SlopeHeight{h.what, h.id, h.l.Value, si.Length(half), si.Length(implied), math.Atan2(math.Sqrt(rise2), half) * 180 / math.Pi})
			break
		}
	}
	return out
}

// slopeAsHeight: a typed height that equals the length of the roof's slope.
func (c *checker) slopeAsHeight() {
	for _, h := range SlopesAsHeights(c.s) {
		c.new("SURVEY_SLOPE_AS_HEIGHT", h.What, finding.Len("typed", h.Typed), finding.Len("half_width", h.HalfWidth),
			finding.Len("implied", h.Implied), finding.Deg("pitch", h.PitchDeg),
			remeasure("the ridge straight up with a laser from the middle of the floor"))
	}
}

// rows: rows × pitch against the taped run within 4 %.
func (c *checker) rows() {
	for _, st := range c.s.Seating {
		if st.Rows < 2 || !st.Pitch.Set || !st.FirstY.Set || !st.LastY.Set {
			continue
		}
		run := math.Abs(float64(st.FirstY.Value - st.LastY.Value))
		if run == 0 {
			continue
		}
		byPitch := float64(st.Rows-1) * float64(st.Pitch.Value)
		c.check("SURVEY_ROWS_MISMATCH", "seating "+st.Name, math.Abs(byPitch-run)/run*100,
			finding.CountOf("rows", st.Rows), finding.Len("pitch", st.Pitch.Value), finding.Len("by_pitch", si.Length(byPitch)),
			finding.Len("by_tape", si.Length(run)), remeasure("from the back of the first to the back of the last row with one tape"))
	}
}

// steps: steps × riser against the platform's height.
func (c *checker) steps() {
	p := c.s.Platform
	if p.Riser.Set && !riserRange.has(p.Riser.Value) {
		c.new("SURVEY_RISER_ODD", "platform steps", finding.Len("riser", p.Riser.Value), finding.Len("low", si.Length(riserRange.low)), finding.Len("high", si.Length(riserRange.high)), remeasure("one riser with a tape"))
	}
	if p.Steps <= 0 || !p.Riser.Set || !p.Height.Set {
		return
	}
	byRisers := float64(p.Steps) * float64(p.Riser.Value)
	// 25 mm is the accuracy asked for the platform (common practice).
	if math.Abs(byRisers-float64(p.Height.Value)) > 0.025 {
		c.new("SURVEY_STEPS_MISMATCH", "platform height", finding.CountOf("steps", p.Steps), finding.Len("riser", p.Riser.Value),
			finding.Len("by_risers", si.Length(byRisers)), finding.Len("typed", p.Height.Value), remeasure("from the hall floor to the platform's edge with a tape"))
	}
}

// spacing: one odd gap between otherwise evenly spaced beams.
func (c *checker) spacing() {
	type beam struct {
		name string
		y    float64
	}
	byKind := map[string][]beam{}
	for _, l := range c.s.Lines {
		switch l.Kind {
		case "beam", "tie_beam", "truss_chord", "frame":
		default:
			continue
		}
		if l.State != Removed && l.From.Y.Set && l.To.Y.Set && math.Abs(float64(l.From.Y.Value-l.To.Y.Value)) < 0.1 {
			byKind[l.Kind] = append(byKind[l.Kind], beam{l.Name, float64(l.From.Y.Value)})
		}
	}
	for _, kind := range []string{"beam", "tie_beam", "truss_chord", "frame"} {
		bs := byKind[kind]
		sort.Slice(bs, func(i, k int) bool { return bs[i].y > bs[k].y })
		if len(bs) < 4 {
			continue
		}
		gaps := make([]float64, len(bs)-1)
		for i := range gaps {
			gaps[i] = bs[i].y - bs[i+1].y
		}
		sorted := append([]float64(nil), gaps...)
		sort.Float64s(sorted)
		usual := sorted[len(sorted)/2]
		odd, count := -1, 0
		for i, g := range gaps {
			if math.Abs(g-usual) > 0.1*usual {
				odd = i
				count++
			}
		}
		if count == 1 {
			c.new("SURVEY_SPACING_ODD", "lines "+bs[odd].name+" and "+bs[odd+1].name, finding.Len("gap", si.Length(gaps[odd])),
				finding.Len("usual", si.Length(usual)), remeasure("the distance between %s and %s along the floor, plumbed down", bs[odd].name, bs[odd+1].name))
		}
	}
}

// screens: inside the wall's height, and of a usual shape.
func (c *checker) screens() {
	for _, sc := range c.s.Screens {
		if sc.State == Removed || !sc.Height.Set {
			continue
		}
		if top := sc.Bottom.Value + sc.Height.Value; sc.Bottom.Set {
			limit := math.Max(float64(c.s.Ceiling.Height.Or(0)), float64(c.s.Ceiling.Ridge.Or(0)))
			if (limit > 0 && float64(top) > limit+0.02) || sc.Bottom.Value < 0 {
				c.new("SURVEY_SCREEN_OUTSIDE", "screen "+sc.Name, finding.Len("bottom", sc.Bottom.Value), finding.Len("top", top),
					finding.Len("ceiling", si.Length(limit)), remeasure("the screen's bottom edge above the hall floor"))
			}
		}
		if !sc.Width.Set || sc.Height.Value <= 0 || sc.Kind == "led" {
			continue
		}
		ratio := float64(sc.Width.Value / sc.Height.Value)
		usual := false
		for _, r := range []float64{16. / 9, 16. / 10, 4. / 3} {
			usual = usual || math.Abs(ratio/r-1) < 0.04
		}
		if !usual {
			c.new("SURVEY_SCREEN_RATIO", "screen "+sc.Name, finding.Len("width", sc.Width.Value), finding.Len("height", sc.Height.Value),
				finding.Num("ratio", ratio, ""), remeasure("the picture's width and height with a tape"))
		}
	}
}

// ranges: what is far from every usual size.
func (c *checker) ranges() {
	odd := func(subject string, l L, r span, what string) {
		if l.Set && !r.has(l.Value) {
			c.new("SURVEY_RANGE_ODD", subject, finding.Len("typed", l.Value), finding.Len("low", si.Length(r.low)), finding.Len("high", si.Length(r.high)),
				finding.Text("what", what), remeasure("it and write the unit beside the number"))
		}
	}
	if c.s.Ceiling.Shape != "a_frame" {
		odd("ceiling height", c.s.Ceiling.Height, ceilingRange, "ceilings")
	}
	odd("ridge height", c.s.Ceiling.Ridge, ceilingRange, "ridges")
	for _, st := range c.s.Seating {
		odd("pitch of seating "+st.Name, st.Pitch, pitchRange, "distances between rows")
		odd("eye height of seating "+st.Name, st.EyeHeight, seatedRange, "eye heights of seated people")
	}
	for _, r := range c.s.Routes {
		if r.DoorHeight.Set && r.DoorHeight.Value < si.Length(doorRange.low) {
			odd("door height of "+r.Name, r.DoorHeight, doorRange, "doors")
		}
		for _, d := range r.Doors {
			if d.State != Removed && d.Height.Set && d.Height.Value < si.Length(doorRange.low) {
				odd("height of door "+d.Name+" of "+r.Name, d.Height, doorRange, "doors")
			}
		}
	}
	tall, short := c.s.Platform.TallestSpeaker, c.s.Platform.ShortestSpeaker
	odd("height of the tallest speaker", tall, peopleRange, "grown people")
	odd("height of the shortest speaker", short, peopleRange, "grown people")
	if tall.Set && short.Set && short.Value > tall.Value {
		c.new("SURVEY_SPEAKERS_ODD", "speakers' heights", finding.Len("tallest", tall.Value), finding.Len("shortest", short.Value),
			remeasure("both against a door post, shoes on"))
	}
	for _, g := range c.s.Galleries {
		odd("eye height of "+GalleryWord(g.Name), g.FrontEyes, seatedRange, "eye heights of seated people")
	}
}

// stacks: a gallery's soffit plus front against its rail top, and the order of
// its heights.
func (c *checker) stacks() {
	for _, g := range c.s.Galleries {
		want, _, ok := stackHeight(g)
		if ok && g.RailTop.Set && math.Abs(float64(g.RailTop.Value-want)) > stackTolerance {
			why := "No usual slip explains it"
			o := Observation{Kind: Height, Typed: g.RailTop, Value: float64(g.RailTop.Value), Sigma: 0.01}
			if m, ok := Explain(o, float64(want), 0.015, c.built.Floors); ok {
				why = "Likely " + m.Text
			} else if alt, ok := decimalFeet(g.RailTop, want); ok {
				why = fmt.Sprintf("Likely feet and inches written with a point: %s", si.FormatLength(alt, si.US))
			}
			c.new("SURVEY_STACK_MISMATCH", GalleryWord(g.Name), finding.Len("typed", g.RailTop.Value), finding.Len("expected", want),
				finding.Text("basis", "soffit plus front"), finding.Len("soffit", g.Soffit.Value), finding.Len("front", g.Front.Value),
				finding.Len("difference", si.Length(math.Abs(float64(g.RailTop.Value-want)))), finding.Text("explanation", why),
				remeasure("the height of the front with a tape from the gallery, behind the rail"))
		}
		if g.Soffit.Set && g.Floor.Set && g.Soffit.Value > g.Floor.Value {
			c.new("SURVEY_STACK_MISMATCH", "soffit of "+GalleryWord(g.Name), finding.Len("typed", g.Soffit.Value), finding.Len("expected", g.Floor.Value),
				finding.Text("basis", "the floor above it"), finding.Len("difference", g.Soffit.Value-g.Floor.Value),
				finding.Text("explanation", "The underside lies above the floor"), remeasure("the soffit with a laser from the hall floor"))
		}
	}
}

// decimalFeet reads "11.10 ft" as 11 ft 10 in when that is what is expected.
func decimalFeet(l L, want si.Length) (si.Length, bool) {
	number := strings.TrimSpace(strings.TrimRight(strings.ToLower(strings.TrimSpace(l.Text)), "fet.'′’ "))
	t, err := si.TypedLength(number, si.US)
	if err != nil {
		return 0, false
	}
	for _, r := range t.Readings {
		if r.As == "ft-in" && math.Abs(float64(r.Value-want)) <= stackTolerance {
			return r.Value, true
		}
	}
	return 0, false
}
