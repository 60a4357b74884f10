package sheet

import (
	"fmt"

	"roodbeam/engine/survey"
)

var _ = register(Kind{Code: "P2a", Order: 21, Title: "Survey walk", Reader: "volunteer", Words: volunteerWords, Fill: surveyWalk})

// surveyWalk is what a volunteer takes along: how to stay safe, what to ask, and
// every item of the checklist that is still open, with room to write.
func surveyWalk(in *Input, _ Page) Sheet {
	rules := survey.GroundRules()
	items := survey.ReadChecklist(in.Survey)
	blocks := []Block{
		{Caution: "From the floor only. Nobody climbs, nobody opens a cover, nobody touches old plaster, tiles or boards."},
		{Heading: "Before you begin"},
		{Bullets: rules.Rules},
		{Heading: "How good an answer is"},
		{Table: gradeTable(rules)},
		{Heading: "Ask first"},
		{Table: in.walkQuestions()},
	}
	group := ""
	for i, item := range items {
		if item.Group == group {
			continue
		}
		group = item.Group
		if t := walkTable(group, items[i:]); len(t.Rows) > 0 {
			blocks = append(blocks, Block{Heading: group}, Block{Table: t})
		}
	}
	return Sheet{Blocks: append(blocks, Block{Table: walkCount(items)})}
}

func gradeTable(r survey.ChecklistRules) *Table {
	t := &Table{Heads: []string{"Grade to write", "Meaning"}, Align: "ll"}
	for _, g := range []string{"a", "b", "c", "d", "e"} {
		t.Rows = append(t.Rows, []string{g, r.Grades[g]})
	}
	return t
}

// mostAsked bounds the questions on the walk; the rest stand on the survey record.
const mostAsked = 12

func (in *Input) walkQuestions() *Table {
	t := &Table{Name: "walk_questions", Heads: []string{"No.", "Question", "Why", "Answer, with unit", "Grade"}, WriteIn: []string{"Answer, with unit", "Grade"}, Align: "rllll", Widths: []float64{0.8, 6, 5, 6, 1.2},
		Note: "The most useful first; the rest stand on the survey record."}
	for i, q := range in.Room.Questions {
		if i == mostAsked {
			break
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), q.Ask, q.Why, "", ""})
	}
	return t
}

// walkTable lists the open items of the group that begins the list.
func walkTable(group string, items []survey.ItemStatus) *Table {
	t := &Table{Heads: []string{"Item", "What", "Why", "How well", "How, from the floor", "Taken meanwhile", "Who knows", "Answer, with unit", "Grade"},
		WriteIn: []string{"Answer, with unit", "Grade"}, Align: "lllllllll", Widths: []float64{0.9, 5, 3.4, 2, 4.6, 4, 1.8, 4.5, 1.2}}
	for _, i := range items {
		if i.Group != group {
			break
		}
		if i.State == survey.ItemAnswered {
			continue
		}
		what := i.Item
		if i.State == survey.ItemPart {
			what += fmt.Sprintf(" (%d of %d known)", i.Known, i.Wanted)
		}
		t.Rows = append(t.Rows, []string{i.ID, what, i.Why, i.Accuracy, i.How, orText(i.Taken(), "nothing"), i.Who, "", ""})
	}
	return t
}

func walkCount(items []survey.ItemStatus) *Table {
	n := map[survey.ItemState]int{}
	for _, i := range items {
		n[i.State]++
	}
	return &Table{Heads: []string{"Checklist", "Items"}, Align: "lr", Rows: [][]string{
		{"answered", fmt.Sprint(n[survey.ItemAnswered])}, {"answered in part", fmt.Sprint(n[survey.ItemPart])},
		{"not known, something is taken meanwhile", fmt.Sprint(n[survey.ItemAssumed])}, {"missing", fmt.Sprint(n[survey.ItemMissing])}}}
}
