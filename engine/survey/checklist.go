package survey

import (
	"embed"
	"encoding/json"
	"fmt"
	"reflect"
	"sort"
	"strconv"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// The checklist is data: what is asked on site, why, how well, how to take it
// from the floor, what is taken meanwhile, and which parts of the document answer
// it.
//
//go:embed checklist/*.json
var checklistFiles embed.FS

// ChecklistItem is one thing to measure, photograph or ask.
type ChecklistItem struct {
	ID    string `json:"id"`
	Group string `json:"-"`
	Item  string `json:"item"`
	Why   string `json:"why"`
	// Decides names what of the design rests on it; such an item is a finding of
	// its own while it is open.
	Decides  string `json:"decides"`
	Accuracy string `json:"accuracy"` // wanted
	Method   string `json:"method"`   // laser, tape, inclinometer, count, photograph, ask, look
	How      string `json:"how"`      // safely, from the floor
	Who      string `json:"who"`      // can answer
	// Unknown is what is taken while nobody knows, Sigma how well that holds;
	// without Unknown the item simply is missing.
	Unknown string `json:"unknown"`
	Sigma   string `json:"sigma"`
	// SigmaValue is the standard deviation of what is taken, in SigmaUnit: m, deg,
	// share (of what is taken), 1 (a reflectance), people, or chance: how often it
	// is otherwise, of which the standard deviation is √(p·(1 − p)).
	SigmaValue  float64 `json:"sigma_value"`
	SigmaUnit   string  `json:"sigma_unit"`
	SigmaSource string  `json:"sigma_source"`
	// All and Any name what answers it: parts of the document by their names in a
	// church's file ("lines.from.y"), or a question to it ("measure:height:ridge").
	All    []string `json:"all"`
	Any    []string `json:"any"`
	Source string   `json:"source"`
}

// ChecklistRules are what is printed on top of a volunteer's walk.
type ChecklistRules struct {
	Rules   []string          `json:"rules"`
	Grades  map[string]string `json:"grades"`
	Methods map[string]string `json:"methods"`
	Source  string            `json:"source"`
}

// must is an answer without which later sheets cannot be issued.
type must struct {
	Item, What, Why, Who, Assumed string
	All, Any, Unless              []string
	Each                          string
}

type checklistData struct {
	items []ChecklistItem
	rules ChecklistRules
	musts []must
}

// theChecklist is read once from the embedded files and never changed; a test
// holds the files' form.
var theChecklist = loadChecklist()

func loadChecklist() checklistData {
	var d checklistData
	read := func(name string, into any) {
		raw, err := checklistFiles.ReadFile("checklist/" + name)
		if err == nil {
			err = json.Unmarshal(raw, into)
		}
		if err != nil {
			panic("survey: checklist/" + name + ": " + err.Error())
		}
	}
	read("rules.json", &d.rules)
	var ms struct{ Must []must }
	read("must.json", &ms)
	d.musts = ms.Must
	files, err := checklistFiles.ReadDir("checklist")
	if err != nil {
		panic("survey: checklist: " + err.Error())
	}
	for _, f := range files { // sorted by name
		if f.Name() == "rules.json" || f.Name() == "must.json" {
			continue
		}
		var g struct {
			Title string
			Items []ChecklistItem
		}
		read(f.Name(), &g)
		for _, i := range g.Items {
			i.Group = g.Title
			d.items = append(d.items, i)
		}
	}
	return d
}

// Checklist returns all items in the order of the walk.
func Checklist() []ChecklistItem { return append([]ChecklistItem(nil), theChecklist.items...) }

// GroundRules returns what is printed on top of the walk.
func GroundRules() ChecklistRules { return theChecklist.rules }

// ItemState tells how far an item is answered.
type ItemState string

// States of an item.
const (
	ItemAnswered ItemState = "answered"
	ItemPart     ItemState = "part"    // of several things some are known
	ItemAssumed  ItemState = "assumed" // not known, something is taken meanwhile
	ItemMissing  ItemState = "missing" // not known, and nothing can be taken for it
)

// ItemStatus is one item as a survey stands.
type ItemStatus struct {
	ChecklistItem
	State ItemState
	// Known and Wanted count the parts of the document that answer it.
	Known, Wanted int
	Answer        string // as somebody wrote it for this item
	AnsweredBy    string
	Grade         string
	Asked         bool // somebody looked or asked, and it is not known
}

// ReadChecklist returns every item with how far the survey answers it.
func ReadChecklist(s Survey) []ItemStatus {
	q := asker{s: s, built: Build(s)}
	answers := map[string]ChecklistAnswer{}
	for _, a := range s.Intake.Answers {
		answers[a.Item] = a
	}
	var out []ItemStatus
	for _, i := range theChecklist.items {
		st := ItemStatus{ChecklistItem: i}
		st.Known, st.Wanted = q.count(i)
		a, said := answers[i.ID]
		st.Answer, st.AnsweredBy, st.Grade = a.Answer, a.By, a.Grade
		st.Asked = said && strings.TrimSpace(a.Answer) == ""
		switch {
		case strings.TrimSpace(a.Answer) != "", st.Wanted > 0 && st.Known >= st.Wanted:
			st.State = ItemAnswered
		case st.Known > 0:
			st.State = ItemPart
		case i.Unknown != "":
			st.State = ItemAssumed
		default:
			st.State = ItemMissing
		}
		out = append(out, st)
	}
	return out
}

// Taken returns what is taken for an item that is not known, with its standard
// deviation, for people; empty where it is answered or nothing can be taken.
func (i ItemStatus) Taken() string {
	if i.State == ItemAnswered || i.Unknown == "" {
		return ""
	}
	return i.Unknown + " (" + i.Give() + ")"
}

// Give returns how well what is taken for an unknown item holds, for people.
func (i ChecklistItem) Give() string {
	if i.SigmaUnit == "chance" {
		text := fmt.Sprintf("otherwise perhaps %.0f times in 10", 10*i.SigmaValue)
		if i.SigmaValue == 0.1 {
			text = "otherwise perhaps once in 10"
		}
		return text
	}
	if i.Sigma != "" {
		return "give or take: " + i.Sigma
	}
	switch i.SigmaUnit {
	case "m":
		return "give or take: " + si.FormatBoth(si.Length(i.SigmaValue), si.Metric)
	case "deg":
		return fmt.Sprintf("give or take: %.3g°", i.SigmaValue)
	case "share":
		return fmt.Sprintf("give or take: %.0f %%", 100*i.SigmaValue)
	case "people":
		return fmt.Sprintf("give or take: %.0f people", i.SigmaValue)
	}
	return fmt.Sprintf("give or take: %.2g", i.SigmaValue)
}

// AssumedSigma returns the standard deviation of what is taken for an item of the
// checklist while nobody knows it, in the item's unit; 0 for an item that takes
// nothing.
func AssumedSigma(item string) float64 {
	for _, i := range theChecklist.items {
		if i.ID == item {
			return i.SigmaValue
		}
	}
	return 0
}

// checklist reports what is open and what is taken meanwhile: what decides the
// design item by item, the rest by group, each on a line of its own.
func (c *checker) checklist() {
	type group struct {
		answered, all int
		open          []string
	}
	groups := map[string]*group{}
	var order []string
	for _, i := range ReadChecklist(c.s) {
		g := groups[i.Group]
		if g == nil {
			g = &group{}
			groups[i.Group] = g
			order = append(order, i.Group)
		}
		g.all++
		if i.State == ItemAnswered {
			g.answered++
			continue
		}
		taken := i.Taken()
		if taken == "" {
			taken = "nothing can be taken for it"
		} else if i.Decides != "" {
			c.itemAssumed(i)
			continue
		}
		g.open = append(g.open, fmt.Sprintf("%s %s: %s", i.ID, i.Item, taken))
	}
	for _, name := range order {
		if g := groups[name]; len(g.open) > 0 {
			c.new("SURVEY_CHECKLIST_OPEN", "checklist, "+name, finding.CountOf("answered", g.answered), finding.CountOf("all", g.all),
				finding.Text("open", "\n• "+strings.Join(g.open, "\n• ")))
		}
	}
}

// itemAssumed reports one open item that decides the design.
func (c *checker) itemAssumed(i ItemStatus) {
	part := ""
	switch {
	case i.State == ItemPart:
		part = fmt.Sprintf(" Known so far: %d of %d.", i.Known, i.Wanted)
	case i.Asked:
		part = " Somebody looked, and it is not known."
	}
	c.new("SURVEY_ITEM_ASSUMED", i.ID+" "+i.Item, finding.Text("taken", i.Unknown), finding.Text("give", i.Give()),
		finding.Text("decides", i.Decides), finding.Text("part", part), finding.Text("how", i.How), finding.Text("accuracy", i.Accuracy), finding.Text("who", i.Who))
}

// MissingAnswers lists the must-have answers a survey lacks, the most useful first.
func MissingAnswers(s Survey) []Missing {
	q := asker{s: s, built: Build(s)}
	var out []Missing
	for _, m := range theChecklist.musts {
		if q.anyOf("", m.Unless) {
			continue
		}
		if m.Each == "lines" {
			for _, l := range s.Lines {
				switch l.Kind {
				case "stand", "tension_rod", "purlin":
					continue
				}
				if l.State == Removed || (l.Permission != "" || l.Drill != "") {
					continue
				}
				out = append(out, Missing{strings.ReplaceAll(m.What, "{name}", l.Name), m.Why, m.Who, m.Assumed})
			}
			continue
		}
		if known, wanted := q.count(ChecklistItem{ID: m.Item, All: m.All, Any: m.Any}); known < wanted {
			out = append(out, Missing{m.What, m.Why, m.Who, m.Assumed})
		}
	}
	return out
}

// asker answers the names that items give.
type asker struct {
	s     Survey
	built *Built
}

// count returns how many of the wanted answers are known: of All together, or of
// the fullest of Any.
func (q asker) count(i ChecklistItem) (known, wanted int) {
	for _, name := range i.All {
		k, w := q.ask(i.ID, name)
		known, wanted = known+k, wanted+w
	}
	best := -1.0
	for _, name := range i.Any {
		k, w := q.ask(i.ID, name)
		if share := float64(k) / float64(max(w, 1)); share > best {
			best, known, wanted = share, k, w
		}
	}
	return known, wanted
}

func (q asker) anyOf(id string, names []string) bool {
	for _, n := range names {
		if k, w := q.ask(id, n); w > 0 && k >= w {
			return true
		}
	}
	return false
}

// questions are what an item can ask of a survey beside its fields; arg is what
// stands behind the colon.
var questions = map[string]func(q asker, item, arg string) (known, wanted int){
	"answer":          func(asker, string, string) (int, int) { return 0, 1 }, // by a written answer alone
	"photo":           askPhotos,
	"measure":         askMeasurement,
	"sides":           askSides,
	"diagonals":       askDiagonals,
	"footprint_fixed": askFixedFootprint,
	"flat_ceiling": func(q asker, _, _ string) (int, int) {
		return one(q.s.Ceiling.Shape == "flat" || q.s.Ceiling.Shape == "stepped"), 1
	},
	"line_heights":   askLineHeights,
	"planned":        func(q asker, _, _ string) (int, int) { return one(anythingPlanned(q.s)), 1 },
	"no_lift":        func(q asker, _, _ string) (int, int) { return one(!(&checker{s: q.s, built: q.built}).needsLift()), 1 },
	"hazard":         func(q asker, _, kind string) (int, int) { return one(hasHazard(q.s, kind)), 1 },
	"existing_light": func(q asker, _, kind string) (int, int) { return one(hasLight(q.s, kind)), 1 },
	"data_place":     func(q asker, _, kind string) (int, int) { return one(hasDataPlace(q.s, kind)), 1 },
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// ask answers one name: a question, else a part of the document.
func (q asker) ask(item, name string) (known, wanted int) {
	word, arg, _ := strings.Cut(name, ":")
	if f, ok := questions[word]; ok {
		return f(q, item, arg)
	}
	return countField(reflect.ValueOf(q.s), strings.Split(name, "."))
}

// aliases are the parts of the document whose name in a church's file does not
// follow from the engine's.
var aliases = map[string]string{"existinglights": "ExistingUnit"}

// fieldOf finds a struct's field by its name in a church's file.
func fieldOf(t reflect.Type, name string) (reflect.StructField, bool) {
	plain := strings.ReplaceAll(name, "_", "")
	if a, ok := aliases[plain]; ok {
		return t.FieldByName(a)
	}
	return t.FieldByNameFunc(func(f string) bool { return strings.EqualFold(f, plain) })
}

// countField counts the answers along a path: of a list every element's, one
// wanted while it is empty.
func countField(v reflect.Value, path []string) (known, wanted int) {
	if v.Kind() == reflect.Slice {
		if v.Len() == 0 {
			return 0, 1
		}
		if len(path) == 0 {
			return 1, 1
		}
		for i := range v.Len() {
			k, w := countField(v.Index(i), path)
			known, wanted = known+k, wanted+w
		}
		return known, wanted
	}
	if len(path) == 0 {
		return one(said(v)), 1
	}
	if v.Kind() != reflect.Struct {
		return 0, 1
	}
	f, ok := fieldOf(v.Type(), path[0])
	if !ok {
		return 0, 1
	}
	return countField(v.FieldByIndex(f.Index), path[1:])
}

// said tells whether a part of the document says anything: "unknown" does not,
// and a number whose unit is in doubt does.
func said(v reflect.Value) bool {
	if v.Kind() == reflect.Struct {
		if set := v.FieldByName("Set"); set.IsValid() && set.Kind() == reflect.Bool {
			return set.Bool() || v.FieldByName("Readings").Len() > 0
		}
	}
	if v.Kind() == reflect.String {
		return v.String() != "" && v.String() != "unknown"
	}
	return !v.IsZero()
}

// askPhotos counts the photographs of an item, up to the number wanted.
func askPhotos(q asker, item, arg string) (int, int) {
	want, err := strconv.Atoi(arg)
	if err != nil || want < 1 {
		want = 1
	}
	n := 0
	for _, p := range q.s.Photos {
		if strings.EqualFold(p.Of, "item "+item) {
			n++
		}
	}
	return min(n, want), want
}

// askMeasurement: "measure:height:ridge".
func askMeasurement(q asker, _, arg string) (int, int) {
	kind, to, _ := strings.Cut(arg, ":")
	for _, m := range q.s.Measurements {
		if !m.Void && string(m.Kind) == kind && strings.EqualFold(m.To, to) && (m.Value.Set || len(m.Value.Readings) > 0) && !(m.Value.Value < 0 && unsigned(m.Kind)) {
			return 1, 1
		}
	}
	return 0, 1
}

// askSides counts the sides of the floor that were measured: one long enough for
// its length, two for the width at both ends.
func askSides(q asker, _, arg string) (int, int) {
	measured := map[[2]string]bool{}
	for _, m := range q.s.Measurements {
		if !m.Void && (m.Kind == Distance || m.Kind == Horizontal) && m.Value.Set && m.Value.Value > 0 {
			measured[pairOf(m.From, m.To)] = true
		}
	}
	n := 0
	for i, a := range q.s.Footprint {
		if measured[pairOf(a, q.s.Footprint[(i+1)%len(q.s.Footprint)])] {
			n++
		}
	}
	want := map[string]int{"length": 2, "both_widths": 4}[arg]
	return min(n, max(want, 1)), max(want, 1)
}

func pairOf(a, b string) [2]string {
	p := []string{a, b}
	sort.Strings(p)
	return [2]string{p[0], p[1]}
}

func askDiagonals(q asker, _, _ string) (int, int) {
	f := q.s.Footprint
	if len(f) < 4 {
		return 0, 2
	}
	next := map[[2]string]bool{}
	corner := map[string]bool{}
	for i, a := range f {
		next[pairOf(a, f[(i+1)%len(f)])] = true
		corner[a] = true
	}
	found := map[[2]string]bool{}
	for _, m := range q.s.Measurements {
		p := pairOf(m.From, m.To)
		if !m.Void && (m.Kind == Distance || m.Kind == Horizontal) && m.Value.Set && corner[m.From] && corner[m.To] && !next[p] {
			found[p] = true
		}
	}
	return min(len(found), 2), 2
}

func askFixedFootprint(q asker, _, _ string) (int, int) {
	if len(q.s.Footprint) < 3 {
		return 0, 1
	}
	fixed := map[string]bool{}
	for _, st := range q.s.Stations {
		fixed[st.Name] = st.FixedX.Set && st.FixedY.Set
	}
	for _, n := range q.s.Footprint {
		if !fixed[n] {
			return 0, 1
		}
	}
	return 1, 1
}

func askLineHeights(q asker, _, _ string) (known, wanted int) {
	for _, l := range q.s.Lines {
		if l.State == Removed {
			continue
		}
		wanted++
		if l.From.Z.Set || l.To.Z.Set || len(q.heights(l)) > 0 {
			known++
		}
	}
	return known, max(wanted, 1)
}

// heights lists the measurements of a line's height or of its end stations'.
func (q asker) heights(l HangingLine) (out []Measurement) {
	for _, m := range q.s.Measurements {
		if !m.Void && (m.Kind == Height || m.Kind == Rise) && m.To != "" && (m.To == l.Name || m.To == l.From.Station || m.To == l.To.Station) {
			out = append(out, m)
		}
	}
	return out
}

func anythingPlanned(s Survey) bool {
	count := func(lists ...any) bool {
		for _, list := range lists {
			v := reflect.ValueOf(list)
			for i := range v.Len() {
				if f := v.Index(i).FieldByName("State"); f.IsValid() && f.String() != "" && f.String() != string(Existing) {
					return true
				}
			}
		}
		return false
	}
	openings := false
	for _, w := range s.Walls {
		openings = openings || count(w.Openings)
	}
	return openings || count(s.Lines, s.Solids, s.Screens, s.Finishes, s.Galleries, s.Windows, s.Seating, s.Walls, s.Glosses, s.Eyes, s.Views, s.Platform.Flights) ||
		!reflect.ValueOf(s.PlannedCeiling).IsZero() || !reflect.ValueOf(s.PlannedPlatform).IsZero() || !reflect.ValueOf(s.PlannedFloor).IsZero()
}

func hasHazard(s Survey, kind string) bool {
	for _, h := range s.Hazards {
		if h.Kind == kind {
			return true
		}
	}
	return false
}

func hasLight(s Survey, kind string) bool {
	for _, e := range s.ExistingUnit {
		if e.Kind == kind {
			return true
		}
	}
	return false
}

func hasDataPlace(s Survey, kind string) bool {
	for _, d := range s.DataPlaces {
		if d.Kind == kind {
			return true
		}
	}
	return false
}
