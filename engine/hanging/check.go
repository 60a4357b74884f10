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
	"roodbeam/engine/electrical"
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
	Answers   []electrical.Answer // to earlier questions; they change no figure
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

type checker struct {
	Input
	mat       materials
	lines     map[string]room.Line
	fs        []finding.Finding
	questions []Question
	unweighed map[string][]string // units by fixture code
	needs     []HardwareNeed
	pipes     []Line            // with a pipe to be put up
	rows      map[string]rowsOf // rows in the way, by unit
	floorOf   map[string]string // the floor below, by unit
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
	c := &checker{Input: in, mat: readMaterials(), lines: map[string]room.Line{}, unweighed: map[string][]string{}, rows: map[string]rowsOf{}, floorOf: map[string]string{}}
	for _, l := range in.Room.Lines {
		c.lines[l.Name] = l
	}
	var p Plan
	for _, name := range c.used() {
		l := c.line(name)
		if l.PipeKg > 0 {
			c.pipes = append(c.pipes, l)
		}
		p.Lines = append(p.Lines, l)
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
	p.Jobs = append(c.jobs(p.Places), c.oldJobs(p.Lifts)...)
	sort.SliceStable(p.Jobs, func(i, j int) bool { return p.Jobs[i].Phase < p.Jobs[j].Phase })
	c.floors(p.Places)
	p.Hardware = c.needs
	for i, q := range c.questions {
		q.No, q.Key = i+1, QuestionKey(q)
		for _, a := range c.Answers {
			if a.Question == q.Key {
				q.Answers = append(q.Answers, a)
			}
		}
		p.Questions = append(p.Questions, q)
	}
	finding.Sort(c.fs)
	return p, c.fs
}

// QuestionKey returns a short name of a question to a trade that stays the same as
// long as the same is asked of the same trade in the same words.
func QuestionKey(q Question) string { return electrical.QuestionKey(q.Who + ": " + q.Text) }

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
	l := Line{Name: name, Material: sv.Material, Section: sv.Section, ExistingKg: existing(sv), SelfKgPerM: math.NaN()}
	l.unknownNumbers()
	c.loads(&l, rl)
	l.AddedKg = l.UnitsKg + l.PipeKg + l.CableKg + l.OtherKg
	c.statics(&l, rl)
	c.screen(&l, rl, known)
	c.hardware(&l, rl)
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

// alwaysEngineer are kinds of structure that no figure of a survey clears.
//
// Source: common practice; trusses, purlins, ceilings, slabs and masonry are
// left to the structural engineer.
var alwaysEngineer = map[string]string{
	"truss_chord": "it is part of a truss", "purlin": "it is a purlin", "ceiling": "a ceiling is not structure",
	"tie_beam": "it ties the roof together as well as bearing",
	"slab":     "anchors in a slab are to be designed", "pier": "anchors in masonry are to be tested", "wall": "anchors in a wall are to be tested",
}

// protected are the words of a survey for buildings whose fabric is protected.
var protected = map[string]string{"listed": "the building is listed", "worth_preserving": "the building is registered as worth preserving"}

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
	carries := positive(float64(sv.Allowed.Or(0)))
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
	if !finite(l.ExistingKg) {
		why = append(why, "what hangs there already is not known")
	}
	if reason, ok := alwaysEngineer[rl.Kind]; ok {
		why = append(why, reason)
	}
	if reason, ok := protected[c.Survey.Site.Protected]; ok {
		why = append(why, reason)
	}
	if s, ok := c.mat.sectionOf(sv); ok && s.Kind == shape {
		why = append(why, "clamps bend the flange of a rolled section, and it may turn sideways")
	} else if ok && s.Kind == rectangle && s.Depth > 2*s.Width*1.001 {
		why = append(why, "it is more than twice as deep as wide and may turn sideways")
	}
	if carries > 0 && l.AddedKg > carries {
		why = append(why, "more is added than it was said to carry")
		f := c.Book.New("HANGING_OVER_CAPACITY", subject, finding.Mass("added", si.Mass(l.AddedKg)), finding.Mass("carries", si.Mass(carries)))
		c.add(measured(f, l.AddedKg, carries))
	}
	why = append(why, l.Reasons...)
	l.Reasons = why
	if f, bad := c.Book.Check("HANGING_HEAVY", c.Profile.ID, subject, l.AddedKg); bad && !math.IsNaN(l.AddedKg) {
		c.add(f)
	}
	if anchored(rl) {
		f := c.Book.New("HANGING_ANCHOR_TEST", subject, finding.Text("units", named(units, "a pipe")), finding.Mass("added", si.Mass(l.AddedKg)),
			finding.Text("loads", placesOf(l, c.Profile.Display)))
		f.Value, f.HasValue = l.AddedKg, true
		c.add(f)
		c.ask(finding.Engineer, fmt.Sprintf("Which anchor may carry %s at %s, and what pull test proves it?", finding.Mass("", si.Mass(l.AddedKg)).Format(c.Profile.Display), l.Name),
			"Anchors in masonry or concrete of unknown strength.")
		if sv.Drill == "no" || c.Brief.Limits.NoDrill {
			c.add(c.Book.New("HANGING_DRILL", subject, finding.Text("units", named(units, "a pipe"))))
		}
	} else {
		// Papers change what is asked, never whether somebody signs. The loads are
		// arguments so that a signature lapses when one is moved.
		code := "HANGING_TO_APPROVE"
		if carries == 0 || sv.Documents == "" {
			code = "HANGING_UNKNOWN_CAPACITY"
		}
		f := c.Book.New(code, subject, finding.Text("why", sentence(why)), finding.Mass("added", si.Mass(l.AddedKg)),
			finding.Text("loads", placesOf(l, c.Profile.Display)), finding.Text("documents", sv.Documents),
			finding.Num("moment", l.MaxMomentNM, "N·m"), finding.Num("shear", l.MaxShearN, "N"))
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
		"Only marked hardware is hung overhead, over people at a tenth of its breaking load or less (DGUV Information 215-320; marks made at a fifth are used at half).")
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

// placesOf lists every point load with its place along the line and its mass.
func placesOf(l *Line, d si.Display) string {
	var out []string
	for _, p := range l.Loads {
		out = append(out, fmt.Sprintf("%s at %s, %s", p.Unit, si.FormatLength(p.Along, d), si.FormatMass(p.Mass, d)))
	}
	return strings.Join(out, "; ")
}
