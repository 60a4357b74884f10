package sheet

import (
	"fmt"
	"slices"
	"strings"

	"roodbeam/engine/electrical"
)

var _ = register(Kind{Code: "P11b", Order: 112, Title: "Questions to the trades", Reader: "licensed electrician, structural engineer, rigger", Words: electricalWords + " " + riggingWords, Fill: questionsSheet})

// questionsSheet gathers what only the trades can answer, each numbered as on its
// trade's own sheet.
func questionsSheet(in *Input, _ Page) Sheet {
	blocks := []Block{
		{Span: true, Caution: "Answers are written down beside their question, here or through the project. An answer that somebody passed on clears nothing and changes no figure: findings are cleared by the signature of the person whose trade they are, figures by the survey."},
	}
	if len(in.Load.Questions) > 0 {
		blocks = append(blocks, Block{Span: true, Heading: "For the licensed electrician, numbered as on sheet P8"}, Block{Span: true, Table: in.tradeQuestions("electrician")},
			Block{Span: true, SignOff: &SignOff{Role: "licensed electrician", Text: "Answers above are mine."}})
	}
	var trades []string
	for _, q := range in.Hanging.Questions {
		if !slices.Contains(trades, q.Who) {
			trades = append(trades, q.Who)
		}
	}
	for _, who := range trades {
		blocks = append(blocks, Block{Span: true, Heading: fmt.Sprintf("For the %s, numbered as on sheet P11", who)}, Block{Span: true, Table: in.tradeQuestions(who)},
			Block{Span: true, SignOff: &SignOff{Role: who, Text: "Answers above are mine."}})
	}
	if len(blocks) == 1 {
		blocks = append(blocks, Block{Text: "Nothing is open for the electrician, the engineer or the rigger."})
	}
	return Sheet{Columns: 2, Blocks: blocks}
}

// tradeQuestions lists the questions of one trade with what came back and room for
// the answer.
func (in *Input) tradeQuestions(who string) *Table {
	t := &Table{Name: "questions_" + tableName(who), Heads: []string{"No.", "Question", "Why it is asked", "Answered so far", "Answer", "By and day"}, WriteIn: []string{"Answer", "By and day"}, Align: "rlllll", Widths: []float64{1, 8, 7, 5, 8, 3}}
	if who == "electrician" {
		for _, q := range in.Load.Questions {
			t.Rows = append(t.Rows, []string{fmt.Sprint(q.No), q.Text, q.Why, came(q.Answers), "\n\n", ""})
		}
		return t
	}
	for _, q := range in.Hanging.Questions {
		if q.Who == who {
			t.Rows = append(t.Rows, []string{fmt.Sprint(q.No), q.Text, q.Why, came(q.Answers), "\n\n", ""})
		}
	}
	return t
}

// came is what came back to a question, oldest first.
func came(answers []electrical.Answer) string {
	var out []string
	for _, a := range answers {
		out = append(out, fmt.Sprintf("%s (%s%s)", a.Text, joinWords(", ", a.By, a.Day), ifWritten(a.Written, a.By)))
	}
	return strings.Join(out, "\n")
}

// tableName makes a trade a table's name.
func tableName(who string) string {
	return strings.ReplaceAll(strings.ToLower(who), " ", "_")
}
