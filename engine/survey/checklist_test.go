package survey

import (
	"reflect"
	"regexp"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// Every item says what, why, how well, how and who; its names lead somewhere.
func TestChecklistIsWhole(t *testing.T) {
	id := regexp.MustCompile(`^[A-Z][0-9]{1,2}$`)
	seen := map[string]bool{}
	rules := GroundRules()
	resolves := func(name string) bool {
		word, _, _ := strings.Cut(name, ":")
		if _, ok := questions[word]; ok {
			return true
		}
		at := reflect.TypeFor[Survey]()
		for _, p := range strings.Split(name, ".") {
			for at.Kind() == reflect.Slice {
				at = at.Elem()
			}
			if at.Kind() != reflect.Struct {
				return false
			}
			f, ok := fieldOf(at, p)
			if !ok {
				return false
			}
			at = f.Type
		}
		return true
	}
	for _, i := range Checklist() {
		if !id.MatchString(i.ID) || seen[i.ID] {
			t.Errorf("item %q", i.ID)
		}
		seen[i.ID] = true
		if i.Group == "" || i.Item == "" || i.Why == "" || i.Accuracy == "" || i.How == "" || i.Who == "" || i.Source == "" || rules.Methods[i.Method] == "" {
			t.Errorf("%s: %+v", i.ID, i)
		}
		// Whatever is taken has a number for how well it holds, and where that is from.
		switch i.SigmaUnit {
		case "m", "deg", "share", "1", "people":
			if i.SigmaValue <= 0 || i.SigmaSource == "" || i.Unknown == "" {
				t.Errorf("%s: sigma %v %s of %q", i.ID, i.SigmaValue, i.SigmaUnit, i.Unknown)
			}
		case "chance":
			if i.SigmaValue <= 0 || i.SigmaValue > 0.5 || i.SigmaSource == "" || i.Unknown == "" {
				t.Errorf("%s: what is taken is otherwise in %v", i.ID, i.SigmaValue)
			}
		default:
			t.Errorf("%s: sigma in %q", i.ID, i.SigmaUnit)
		}
		if i.Give() == "" || strings.Contains(i.Give(), "%!") || AssumedSigma(i.ID) != i.SigmaValue {
			t.Errorf("%s: %q", i.ID, i.Give())
		}
		for _, name := range append(append([]string{}, i.All...), i.Any...) {
			if !resolves(name) {
				t.Errorf("%s: %q leads nowhere", i.ID, name)
			}
		}
	}
	for _, m := range theChecklist.musts {
		if !seen[m.Item] || m.What == "" || m.Why == "" || m.Who == "" {
			t.Errorf("must %+v", m)
		}
		for _, name := range append(append([]string{}, m.All...), m.Unless...) {
			if !resolves(name) {
				t.Errorf("must %s: %q leads nowhere", m.What, name)
			}
		}
	}
	// All of the walk: rooms, structure, platform, seats, windows, lights, panels,
	// data, access, hazards, calendar and people.
	want := map[string]int{"R": 7, "C": 7, "B": 10, "S": 8, "T": 4, "W": 5, "L": 7, "E": 10, "D": 7, "A": 4, "H": 7, "K": 2, "P": 6}
	for i := range seen {
		want[i[:1]]--
	}
	for letter, n := range want {
		if n != 0 {
			t.Errorf("%s: %d items too few", letter, n)
		}
	}
	if len(rules.Rules) < 7 || len(rules.Grades) != 5 {
		t.Errorf("rules %+v", rules)
	}
	// Nobody is sent up, and nobody opens anything.
	for _, i := range Checklist() {
		if how := strings.ToLower(i.How); strings.Contains(how, "ladder") || strings.Contains(how, "screwdriver") {
			t.Errorf("%s: %s", i.ID, i.How)
		}
	}
}

func stateOf(t *testing.T, s Survey, id string) ItemStatus {
	t.Helper()
	for _, i := range ReadChecklist(s) {
		if i.ID == id {
			return i
		}
	}
	t.Fatalf("no item %s", id)
	return ItemStatus{}
}

func TestChecklistStates(t *testing.T) {
	m := func(v float64) L { return si.Known(si.Length(v)) }
	for _, i := range ReadChecklist(Survey{}) {
		if i.State == ItemAnswered || i.State == ItemPart {
			t.Errorf("%s: %s in an empty survey", i.ID, i.State)
		}
		if i.State == ItemAssumed && i.Taken() == "" {
			t.Errorf("%s is assumed without a word", i.ID)
		}
	}
	s := Survey{
		Platform: Platform{Width: m(5), Depth: m(3)}, Ceiling: Ceiling{Shape: "gable"}, Site: Site{YearBuilt: 1920, Protected: "unknown"},
		Footprint: []string{"a", "b", "c", "d"},
		Stations:  []Station{{Name: "a"}, {Name: "b"}, {Name: "c"}, {Name: "d"}},
		Measurements: []Measurement{{Kind: Distance, From: "a", To: "c", Value: m(20)}, {Kind: Distance, From: "d", To: "b", Value: m(20)}, {Kind: Distance, From: "a", To: "b", Value: m(9)},
			{Kind: Height, To: "Ridge", Value: m(9)}, {Kind: Height, To: "W1", Value: m(6)}},
		Lines:    []HangingLine{{Name: "W1", Condition: "sound"}, {Name: "W2", Condition: "unknown"}, {Name: "W3", State: Removed}},
		Finishes: []Finish{{Surface: "walls", Reflectance: 0.4, State: Planned}},
		Intake:   Intake{Answers: []ChecklistAnswer{{Item: "P2", Answer: "four", By: "a volunteer", Grade: "a"}, {Item: "B8"}}},
		Photos:   []Photo{{Of: "item C7"}, {Of: "ITEM C7"}, {Of: "line W1"}},
	}
	for id, want := range map[string]ItemState{"S1": ItemPart, "C1": ItemAnswered, "C3": ItemAnswered, "R2": ItemPart, "R5": ItemAnswered, "R3": ItemPart,
		"B1": ItemAnswered, "B3": ItemPart, "B7": ItemPart, "S8": ItemAnswered, "P2": ItemAnswered, "B8": ItemAssumed, "C7": ItemPart, "L6": ItemAssumed, "E4": ItemAssumed} {
		if got := stateOf(t, s, id); got.State != want {
			t.Errorf("%s: %s, want %s (%d of %d)", id, got.State, want, got.Known, got.Wanted)
		}
	}
	if b8 := stateOf(t, s, "B8"); !b8.Asked || b8.Taken() == "" {
		t.Errorf("asked and not known: %+v", b8)
	}
	if got := stateOf(t, s, "C7"); got.Known != 2 || got.Wanted != 20 {
		t.Errorf("photographs: %d of %d", got.Known, got.Wanted)
	}
}

// More answers never open an item again.
func TestAnswersOnlyClose(t *testing.T) {
	s := Survey{}
	rank := map[ItemState]int{ItemMissing: 0, ItemAssumed: 0, ItemPart: 1, ItemAnswered: 2}
	before := ReadChecklist(s)
	for i := range before {
		s.Intake.Answers = append(s.Intake.Answers, ChecklistAnswer{Item: before[i].ID, Answer: "as seen"})
		after := ReadChecklist(s)
		for k := range after {
			if rank[after[k].State] < rank[before[k].State] {
				t.Fatalf("%s fell from %s to %s", after[k].ID, before[k].State, after[k].State)
			}
		}
		if after[i].State != ItemAnswered {
			t.Fatalf("%s: %s", after[i].ID, after[i].State)
		}
		before = after
	}
	for _, f := range Check(s, finding.NewBook(), "us") {
		if f.Code == "SURVEY_CHECKLIST_OPEN" || f.Code == "SURVEY_ITEM_ASSUMED" {
			t.Errorf("%s", f.Subject)
		}
	}
}

// Every unknown of the walk is in a finding, by its name, with what is taken for it
// and how well that holds; those that decide the design have one of their own.
func TestEveryUnknownIsAFinding(t *testing.T) {
	book := finding.NewBook()
	all := map[string]string{} // id to the line that names it
	own := map[string]bool{}
	for _, f := range Check(Survey{}, book, "us") {
		r := book.Render(f, si.Metric)
		switch f.Code {
		case "SURVEY_ITEM_ASSUMED":
			id, _, _ := strings.Cut(f.Subject, " ")
			all[id], own[id] = f.Subject+" "+r.Text, true
			if strings.ContainsAny(r.Text+r.Advice, "{}") {
				t.Errorf("%s: %s %s", id, r.Text, r.Advice)
			}
		case "SURVEY_CHECKLIST_OPEN":
			for _, line := range strings.Split(r.Text, "\n• ")[1:] {
				id, _, _ := strings.Cut(line, " ")
				all[id] = line
			}
		}
	}
	for _, i := range Checklist() {
		line := all[i.ID]
		if !strings.Contains(line, i.Item) || !strings.Contains(line, i.Unknown) || !strings.Contains(line, i.Give()) {
			t.Errorf("%s is open and nobody is told: %q", i.ID, line)
		}
		if own[i.ID] != (i.Decides != "") {
			t.Errorf("%s decides %q, a finding of its own: %v", i.ID, i.Decides, own[i.ID])
		}
	}
	if len(own) < 15 {
		t.Errorf("only %d items decide the design", len(own))
	}
}

// What is open is told with what is taken meanwhile.
func TestOpenItemsAreFindings(t *testing.T) {
	book := finding.NewBook()
	n := 0
	for _, f := range Check(Survey{}, book, "us") {
		if f.Code != "SURVEY_CHECKLIST_OPEN" {
			continue
		}
		n++
		if text := book.Render(f, si.Metric).Text; strings.Contains(text, "{") || !strings.Contains(text, "give or take") && strings.Contains(f.Subject, "Room") {
			t.Errorf("%s", text)
		}
	}
	if n != 10 {
		t.Errorf("%d groups are open, want 10", n)
	}
}
