package hanging

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Fixtures finds a fixture by its catalogue code; false when there is none.
type Fixtures interface {
	Get(code string) (catalogue.Fixture, bool)
}

// Input is what the hanging stage stands on.
type Input struct {
	Placed    []scheme.Placed
	Scheme    scheme.Scheme
	Catalogue Fixtures
	Room      room.Room
	Survey    survey.Survey
	Brief     brief.Brief
	Profile   region.Profile
	Book      *finding.Book
}

// The two results a line can have; there is no third.
const (
	Screened   = "screened, to be approved by a structural engineer"
	NotWithout = "not without an engineer"
)

// Masses of the hardware between structure and units.
const (
	// pipeKgPerM is 1½ in schedule 40 steel pipe (ASME B36.10, 2.72 lb/ft).
	pipeKgPerM = 4.05
	// cableKgPerM is cable and outlets along a line, 10 kg on 9 m (common practice).
	cableKgPerM = 10.0 / 9
	// armKg is a bracket arm with its plate on a pier or wall (common practice).
	armKg = 6.0
	// pipeOverhang is how far a pipe reaches past its last unit, m (common practice).
	pipeOverhang = 0.3
)

// deflectionRatio is the planned limit of the added load's deflection: span/240
// (common practice; the usual serviceability figure for floors and roofs).
const deflectionRatio = 240

type checker struct {
	Input
	mat       materials
	lines     map[string]room.Line
	fs        []finding.Finding
	questions []Question
	unweighed map[string][]string // units by fixture code
}

func (c *checker) add(f ...finding.Finding) { c.fs = append(c.fs, f...) }

func (c *checker) ask(who finding.Owner, text, why string) {
	c.questions = append(c.questions, Question{Who: string(who), Text: text, Why: why})
}

// Check adds up what every hanging line would carry, finds ways in for the lifts
// on offer and says how each place is reached. A line's result is a planning
// figure: Screened or NotWithout, never an approval. Unknown facts become
// questions; the findings come sorted.
func Check(in Input) (Plan, []finding.Finding) {
	if in.Book == nil {
		in.Book = finding.NewBook()
	}
	if in.Catalogue == nil {
		in.Catalogue = none{}
	}
	c := &checker{Input: in, mat: readMaterials(), lines: map[string]room.Line{}, unweighed: map[string][]string{}}
	for _, l := range in.Room.Lines {
		c.lines[l.Name] = l
	}
	var p Plan
	for _, name := range c.used() {
		p.Lines = append(p.Lines, c.line(name))
	}
	var codes []string
	for code := range c.unweighed {
		codes = append(codes, code)
	}
	sort.Strings(codes)
	for _, code := range codes {
		c.add(c.Book.New("HANGING_FIXTURE_UNKNOWN", "fixture "+named(code, "without code"), finding.Text("units", strings.Join(c.unweighed[code], ", "))))
	}
	c.never(p.Lines)
	c.overhead()
	p.Lifts = c.lifts()
	p.Places = c.reach(p.Lifts)
	c.floors(p.Places)
	for i, q := range c.questions {
		q.No = i + 1
		p.Questions = append(p.Questions, q)
	}
	finding.Sort(c.fs)
	return p, c.fs
}

type none struct{}

func (none) Get(string) (catalogue.Fixture, bool) { return catalogue.Fixture{}, false }

// used returns the names of the lines that carry units or pipes, sorted.
func (c *checker) used() []string {
	seen := map[string]bool{}
	var out []string
	put := func(n string) {
		if n != "" && !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	for _, u := range c.Placed {
		if c.hangs(u) {
			put(u.Line)
		}
	}
	for _, p := range c.Scheme.Pipes {
		put(p.Line)
	}
	sort.Strings(out)
	return out
}

// hangs tells whether a unit is hung; a lamp sits in an old luminaire.
func (c *checker) hangs(u scheme.Placed) bool {
	fx, ok := c.Catalogue.Get(u.Fixture)
	return !ok || fx.Class != catalogue.Lamp
}

// line sums one line and screens it.
func (c *checker) line(name string) Line {
	rl, known := c.lines[name]
	sv := rl.Survey
	l := Line{Name: name, Material: sv.Material, Section: sv.Section, ExistingKg: math.NaN(), StressMPa: math.NaN(),
		ReferenceMPa: math.NaN(), MaxDeflectionM: math.NaN()}
	c.loads(&l, rl)
	l.AddedKg = l.UnitsKg + l.PipeKg + l.CableKg + l.OtherKg
	c.statics(&l, rl)
	c.numbers(&l, sv)
	c.screen(&l, rl, known)
	return l
}

// loads fills the masses and their places.
func (c *checker) loads(l *Line, rl room.Line) {
	dir := rl.To.Sub(rl.From).Unit()
	low, high, n := math.Inf(1), math.Inf(-1), 0
	for _, u := range c.Placed {
		if u.Line != l.Name || !c.hangs(u) {
			continue
		}
		l.Units = append(l.Units, u.ID)
		along := u.At.Sub(rl.From).Dot(dir)
		if u.Along.Set {
			along = float64(u.Along.Value)
		}
		if !finite(along) {
			along = 0
		}
		low, high = math.Min(low, along), math.Max(high, along)
		n++
		m := catalogue.ClampKg + catalogue.SafetyKg
		if fx, ok := c.Catalogue.Get(u.Fixture); ok && positive(float64(fx.Mass)) > 0 {
			m += float64(fx.Mass)
		} else {
			c.unweighed[u.Fixture] = append(c.unweighed[u.Fixture], u.ID)
		}
		l.Loads = append(l.Loads, PointLoad{u.ID, si.Length(along), si.Mass(m)})
		l.UnitsKg += m
	}
	sort.SliceStable(l.Loads, func(i, j int) bool {
		if l.Loads[i].Along != l.Loads[j].Along {
			return l.Loads[i].Along < l.Loads[j].Along
		}
		return l.Loads[i].Unit < l.Loads[j].Unit
	})
	if rl.Kind == "pier" || rl.Kind == "wall" {
		l.OtherKg = armKg * float64(n)
	}
	pipe := c.pipeLength(l.Name, rl, low, high, n)
	if pipe <= 0 {
		return
	}
	mid := float64(rl.Length()) / 2
	if n > 0 {
		mid = (low + high) / 2
	}
	l.PipeKg, l.CableKg = pipe*pipeKgPerM, pipe*cableKgPerM
	l.SpreadKgPerM = pipeKgPerM + cableKgPerM
	l.PipeFrom, l.PipeTo = si.Length(mid-pipe/2), si.Length(mid+pipe/2)
}

// pipeLength returns the pipe hung under a line, m: as the scheme or the survey
// says, else from the units on lines that need one.
func (c *checker) pipeLength(name string, rl room.Line, low, high float64, n int) float64 {
	sum := 0.0
	for _, p := range c.Scheme.Pipes {
		if p.Line == name {
			sum += positive(float64(p.Length.Or(0)))
		}
	}
	if sum > 0 {
		return sum
	}
	if v := positive(float64(rl.Survey.PipeLength.Or(0))); v > 0 {
		return v
	}
	switch rl.Kind {
	case "pier", "wall", "pipe", "frame", "stand", "rail":
		return 0
	}
	if n == 0 {
		return 0
	}
	return high - low + 2*pipeOverhang
}

// statics fills supports, reactions, shear and moment of the added load. Spans
// between more than two supports are taken one by one as simple spans.
func (c *checker) statics(l *Line, rl room.Line) {
	length := float64(rl.Length())
	weight := l.AddedKg * si.StandardGravity
	if !(length > 1e-3) || !finite(length) {
		l.ReactionsN = []float64{weight}
		l.Supports = []si.Length{0}
		l.MaxShearN, l.MaxMomentNM = weight, math.NaN()
		return
	}
	sup := supports(rl.Survey, length)
	r := make([]float64, len(sup))
	arm := 0.0
	if n := len(l.Loads); n > 0 {
		arm = l.OtherKg / float64(n)
	}
	var points []Force
	for _, p := range l.Loads {
		points = append(points, Force{math.Min(math.Max(float64(p.Along), 0), length), (float64(p.Mass) + arm) * si.StandardGravity})
	}
	var spread []Even
	if l.SpreadKgPerM > 0 {
		// What would stick out past the line's ends is pressed into the line, so
		// that no mass is lost.
		from, to := math.Max(0, float64(l.PipeFrom)), math.Min(length, float64(l.PipeTo))
		if to > from {
			spread = append(spread, Even{from, to, (l.PipeKg + l.CableKg) / (to - from) * si.StandardGravity})
		} else {
			points = append(points, Force{math.Min(math.Max(from, 0), length), (l.PipeKg + l.CableKg) * si.StandardGravity})
		}
	}
	var out []string
	for _, p := range l.Loads {
		if float64(p.Along) < sup[0]-1e-6 || float64(p.Along) > sup[len(sup)-1]+1e-6 {
			out = append(out, p.Unit)
		}
	}
	last := len(sup) - 1
	best := 0.0
	l.SpanM = sup[1] - sup[0]
	for i := range last {
		b := Beam{Length: sup[i+1] - sup[i]}
		for _, p := range points {
			if within(p.At, sup[i], sup[i+1], i == 0) {
				b.Points = append(b.Points, Force{p.At - sup[i], p.N})
			}
		}
		for _, e := range spread {
			b.Spread = append(b.Spread, Even{e.From - sup[i], e.To - sup[i], e.NPerM})
		}
		left, right := b.Reactions()
		r[i] += left
		r[i+1] += right
		l.MaxShearN = math.Max(l.MaxShearN, b.MaxShear())
		if m, _ := b.MaxMoment(); m > best {
			best, l.SpanM = m, b.Length
		}
	}
	// Loads beyond the last support: the next one is lifted.
	over := func(end, next int, at, n float64) {
		span, c := math.Abs(sup[next]-sup[end]), math.Abs(at-sup[end])
		r[end] += n * (span + c) / span
		r[next] -= n * c / span
		best = math.Max(best, n*c)
		l.MaxShearN = math.Max(l.MaxShearN, n)
	}
	for _, p := range points {
		if p.At < sup[0] {
			over(0, 1, p.At, p.N)
		} else if p.At > sup[last] {
			over(last, last-1, p.At, p.N)
		}
	}
	for _, e := range spread {
		if to := math.Min(e.To, sup[0]); to > e.From {
			over(0, 1, (e.From+to)/2, e.NPerM*(to-e.From))
		}
		if from := math.Max(e.From, sup[last]); e.To > from {
			over(last, last-1, (e.To+from)/2, e.NPerM*(e.To-from))
		}
	}
	l.ReactionsN, l.MaxMomentNM = r, best
	for _, s := range sup {
		l.Supports = append(l.Supports, si.Length(s))
	}
	if len(out) > 0 {
		c.add(c.Book.New("HANGING_OVERHANG", "line "+l.Name, finding.Text("units", strings.Join(out, ", "))))
	}
	low := 0.0
	for _, v := range r {
		low = math.Min(low, v)
	}
	if low < 0 {
		f := c.Book.New("HANGING_UPLIFT", "line "+l.Name, finding.Num("uplift", low, "N"))
		f.Value, f.HasValue = low, true
		c.add(f)
	}
	c.deflection(l, rl, sup, points, spread, len(out) > 0)
}

// within puts a load on a support into the span on its left, and one on the
// very first support into the first span.
func within(x, from, to float64, first bool) bool {
	return (x > from || (first && x == from)) && x <= to
}

func (c *checker) deflection(l *Line, rl room.Line, sup []float64, points []Force, spread []Even, overhang bool) {
	s, okS := c.mat.sectionOf(rl.Survey)
	e, okE := c.mat.stiffness(rl.Survey)
	if !okS || !okE || overhang {
		return
	}
	l.Section = s.Name
	l.MaxDeflectionM = 0
	for i := 0; i+1 < len(sup); i++ {
		b := Beam{Length: sup[i+1] - sup[i]}
		for _, p := range points {
			if within(p.At, sup[i], sup[i+1], i == 0) {
				b.Points = append(b.Points, Force{p.At - sup[i], p.N})
			}
		}
		for _, v := range spread {
			b.Spread = append(b.Spread, Even{v.From - sup[i], v.To - sup[i], v.NPerM})
		}
		y, _ := b.MaxDeflection(e * s.I)
		l.MaxDeflectionM = math.Max(l.MaxDeflectionM, y)
		if limit := b.Length / deflectionRatio; y > limit {
			f := c.Book.New("HANGING_DEFLECTION", "line "+l.Name, finding.Len("span", si.Length(b.Length)), finding.Len("sag", si.Length(y)))
			c.add(measured(f, y, limit))
			break
		}
	}
}

// numbers fills the bending stress of the added load where section, grade,
// condition and documents are known.
func (c *checker) numbers(l *Line, sv survey.HangingLine) {
	s, okS := c.mat.sectionOf(sv)
	g, okG := c.mat.gradeOf(sv)
	if !okS || !okG || sv.Condition != "sound" || sv.Documents == "" || !finite(l.MaxMomentNM) {
		return
	}
	l.StressMPa = l.MaxMomentNM / s.S / 1e6
	l.ReferenceMPa, l.ReferenceSource = g.BendingMPa, g.Source
	if l.StressMPa > l.ReferenceMPa {
		f := c.Book.New("HANGING_STRESS", "line "+l.Name, finding.Num("stress", l.StressMPa, "MPa"), finding.Num("reference", l.ReferenceMPa, "MPa"))
		f = measured(f, l.StressMPa, l.ReferenceMPa)
		f.Source = g.Source
		c.add(f)
	}
}

// supports returns the bearings' distances, m, at least two.
func supports(sv survey.HangingLine, length float64) []float64 {
	var out []float64
	for _, b := range sv.Bearings {
		if v := float64(b.Value); b.Set && finite(v) && v >= 0 && v <= length {
			out = append(out, v)
		}
	}
	sort.Float64s(out)
	n := 0
	for i, v := range out {
		if i == 0 || v-out[n-1] > 1e-3 {
			out[n] = v
			n++
		}
	}
	if n < 2 {
		return []float64{0, length}
	}
	return out[:n]
}

// alwaysEngineer are kinds of structure that no figure of a survey clears.
//
// Source: common practice; trusses, purlins, ceilings, slabs and masonry are
// left to the structural engineer.
var alwaysEngineer = map[string]string{
	"truss_chord": "it is part of a truss", "purlin": "it is a purlin", "ceiling": "a ceiling is not structure",
	"slab": "anchors in a slab are to be designed", "pier": "anchors in masonry are to be tested", "wall": "anchors in a wall are to be tested",
}

// screen says what may be said about a line.
func (c *checker) screen(l *Line, rl room.Line, known bool) {
	sv := rl.Survey
	subject := "line " + l.Name
	units := strings.Join(l.Units, ", ")
	l.Screening = NotWithout
	if why := forbidden(rl); why != "" {
		l.Why = why
		f := c.Book.New("HANGING_FORBIDDEN", subject, finding.Text("units", named(units, "a pipe")), finding.Text("why", why), finding.Mass("added", si.Mass(l.AddedKg)))
		f.Value, f.HasValue = l.AddedKg, true
		c.add(f)
		return
	}
	var why []string
	if !known {
		why = append(why, "it was not surveyed")
	}
	carries := positive(float64(sv.Carries.Or(0)))
	if carries == 0 {
		why = append(why, "what it may carry is not known")
	} else if sv.Documents == "" {
		why = append(why, "no drawing or letter stands behind what it may carry")
	}
	if sv.Grade == "" {
		why = append(why, "its grade is not known")
	}
	switch sv.Condition {
	case "sound":
	case "cracked", "decayed":
		why = append(why, "it is "+sv.Condition)
		c.add(c.Book.New("HANGING_CONDITION", subject, finding.Text("condition", sv.Condition), finding.Mass("added", si.Mass(l.AddedKg))))
	default:
		why = append(why, "its condition is not known")
	}
	if reason, ok := alwaysEngineer[rl.Kind]; ok {
		why = append(why, reason)
	}
	if carries > 0 && l.AddedKg > carries {
		why = append(why, "more is added than it was said to carry")
		f := c.Book.New("HANGING_OVER_CAPACITY", subject, finding.Mass("added", si.Mass(l.AddedKg)), finding.Mass("carries", si.Mass(carries)))
		c.add(measured(f, l.AddedKg, carries))
	}
	if l.StressMPa > l.ReferenceMPa {
		why = append(why, "the added load alone passes the bending value of its grade")
	}
	if low := minimum(l.ReactionsN); low < 0 {
		why = append(why, "a support is lifted")
	}
	if f, bad := c.Book.Check("HANGING_HEAVY", c.Profile.ID, subject, l.AddedKg); bad && !math.IsNaN(l.AddedKg) {
		c.add(f)
	}
	if anchored(rl) {
		f := c.Book.New("HANGING_ANCHOR_TEST", subject, finding.Text("units", named(units, "a pipe")), finding.Mass("added", si.Mass(l.AddedKg)))
		f.Value, f.HasValue = l.AddedKg, true
		c.add(f)
		c.ask(finding.Engineer, fmt.Sprintf("Which anchor may carry %s at %s, and what pull test proves it?", finding.Mass("", si.Mass(l.AddedKg)).Format(c.Profile.Display), l.Name),
			"Anchors in masonry or concrete of unknown strength.")
		if sv.Drill == "no" || c.Brief.Limits.NoDrill {
			c.add(c.Book.New("HANGING_DRILL", subject, finding.Text("units", named(units, "a pipe"))))
		}
	} else if carries == 0 || sv.Documents == "" {
		f := c.Book.New("HANGING_UNKNOWN_CAPACITY", subject, finding.Text("why", sentence(why)), finding.Mass("added", si.Mass(l.AddedKg)))
		f.Value, f.HasValue = l.AddedKg, true
		c.add(f)
	}
	answer := sv.Permission
	if answer == "" || answer == "yes" {
		if anchored(rl) && sv.Drill == "ask" {
			answer = sv.Drill
		}
	}
	if answer == "no" || answer == "ask" {
		c.add(c.Book.New("HANGING_PERMISSION", subject, finding.Text("units", named(units, "a pipe")), finding.Text("answer", answer)))
	}
	if len(why) == 0 {
		l.Screening, l.Why = Screened, fmt.Sprintf("%s added, %s documented", finding.Mass("", si.Mass(l.AddedKg)).Format(c.Profile.Display),
			finding.Mass("", si.Mass(carries)).Format(c.Profile.Display))
		return
	}
	l.Why = strings.Join(why, "; ")
	if anchored(rl) {
		return
	}
	c.ask(finding.Engineer, fmt.Sprintf("May %s carry %s more, at the places of the hanging schedule?", l.Name, finding.Mass("", si.Mass(l.AddedKg)).Format(c.Profile.Display)),
		sentence(why))
}

func minimum(v []float64) float64 {
	m := math.Inf(1)
	for _, x := range v {
		m = math.Min(m, x)
	}
	return m
}

func sentence(parts []string) string {
	s := strings.Join(parts, "; ")
	if s == "" {
		return "Nothing is missing but the approval."
	}
	return upperFirst(s) + "."
}

func upperFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[n:]
}

// forbidden says why nothing may ever hang from a line, empty where something may.
func forbidden(rl room.Line) string {
	if rl.Forbidden != "" {
		return rl.Forbidden
	}
	if rl.Kind == "tension_rod" || rl.Survey.Kind == "tension_rod" {
		return "It is a tension member that ties the building together."
	}
	return ""
}

// anchored tells whether units hold on a line by anchors in masonry or concrete.
func anchored(rl room.Line) bool {
	switch rl.Kind {
	case "pier", "wall":
		return true
	case "slab":
		return rl.Survey.Material == "concrete" || rl.Survey.Material == "masonry" || rl.Survey.Material == ""
	}
	return rl.Survey.Material == "masonry"
}

// never marks the lines that must not carry anything, used or not.
func (c *checker) never(used []Line) {
	seen := map[string]bool{}
	for _, l := range used {
		seen[l.Name] = true
	}
	for _, rl := range c.Room.Lines {
		why := forbidden(rl)
		switch {
		case seen[rl.Name]:
		case why != "":
			c.add(c.Book.New("HANGING_NEVER", "line "+rl.Name, finding.Text("why", why)))
		case rl.Kind == "purlin" || rl.Kind == "ceiling":
			c.add(c.Book.New("HANGING_NOT_STRUCTURE", "line "+rl.Name, finding.Text("why", sentence([]string{alwaysEngineer[rl.Kind]}))))
		}
	}
}

func (c *checker) overhead() {
	n := 0
	for _, u := range c.Placed {
		if c.hangs(u) {
			n++
		}
	}
	if n == 0 {
		return
	}
	c.add(c.Book.New("HANGING_SECONDARY", "all units", finding.CountOf("count", n)))
	c.ask(finding.Rigger, "Which clamps, secondary suspensions and links, with which rated loads, are used for each unit?",
		"Only marked hardware is hung overhead, at a fifth of its breaking load or less.")
}

func named(name, otherwise string) string {
	if name == "" {
		return otherwise
	}
	return name
}

// measured gives a finding its value and the limit that was found at run time.
func measured(f finding.Finding, value, limit float64) finding.Finding {
	f.Value, f.HasValue = value, true
	f.Limit, f.HasLimit = limit, true
	return f
}
