package sheet

import (
	"roodbeam/engine/finding"
)

var _ = register(Kind{Code: "P0", Order: 0, Title: "Cover", Reader: "all", Fill: cover})

func cover(in *Input, _ Page) Sheet {
	stops := in.openStops()
	blocks := []Block{
		{Span: true, Facts: []Fact{
			{"lights in this scheme", quantity(float64(len(in.Placed)))},
			{"new circuits, proposed", quantity(float64(len(in.Load.Circuits)))},
			{"findings that stop construction until signed", quantity(float64(stops))},
			{"findings that need a decision", quantity(float64(finding.Count(in.Findings, finding.Warn)))},
			{"status of this issue", orText(in.Status, "draft")},
		}},
	}
	if stops > 0 {
		blocks = append(blocks, Block{Span: true, Caution: "Not for construction until signed. " + plural(stops, "finding stops", "findings stop") +
			" this work until the trade that owns it has fixed it or signed it off with a reason; see sheet P18. It may be used for pricing."})
	}
	if in.Checked == "" {
		blocks = append(blocks, Block{Span: true, Caution: "Not yet checked by a second person."})
	}
	blocks = append(blocks, Block{Heading: "Sheets in this packet"}, Block{Table: sheetList()},
		Block{Heading: "What these sheets are"},
		Block{Text: "The sheets propose a lighting retrofit and state numbers, limits and questions. Licensed and qualified people decide: " +
			"the licensed electrician under the local code, the structural engineer before anything is hung, the qualified rigger for hardware and " +
			"an independent secondary suspension on every unit overhead, the trained operator for the lift. Emergency lighting is never interrupted " +
			"by dimming. Work stops for suspected asbestos or unknown wiring."},
		Block{ColumnBreak: true},
		Block{Heading: "This issue"},
		Block{Table: &Table{Heads: []string{"Item", "Value"}, Align: "ll", Rows: [][]string{
			{"Church", in.Name}, {"Town", orText(in.Town, unknown)},
			{"Revision", orText(in.Revision, "none")}, {"Date of issue", in.Date}, {"Status", orText(in.Status, "draft")},
			{"Scheme", orText(in.Scheme.Name, "unnamed") + ", by the " + orText(in.Scheme.Author, "designer")},
			{"Rules and units", in.Profile.Title + ", edition " + orText(in.Profile.Edition, "not stated") + "; " + unitsText(in.Display)},
			{"Price book", orText(in.Estimate.Edition, "not stated")},
			{"Made by", orText(in.Author, "not stated")}, {"Checked by", orText(in.Checked, "not yet checked")},
		}, Note: "A newer revision replaces this one whole. Before work starts, compare the revision in the title block with the church's record."}},
	)
	if len(in.Changes) > 0 {
		blocks = append(blocks, Block{Heading: "Changes since the last issue"}, Block{Bullets: in.Changes})
	}
	blocks = append(blocks,
		Block{Heading: "Who to call"},
		Block{Table: contacts(in)},
	)
	return Sheet{Columns: 2, Blocks: blocks}
}

// sheetList is taken from the register, so that it can't differ from what is in
// the file.
func sheetList() *Table {
	t := &Table{Heads: []string{"Sheet", "Title", "For"}, Align: "lll"}
	for _, k := range Kinds() {
		t.Rows = append(t.Rows, []string{k.Code, k.Title, k.Reader})
	}
	return t
}

func contacts(in *Input) *Table {
	row := func(role, who string) []string { return []string{role, orText(who, "to be named"), ""} }
	p := in.Brief.People
	return &Table{
		Heads: []string{"Role", "Person or firm", "Telephone"}, WriteIn: []string{"Telephone"},
		Align:  "lll",
		Widths: []float64{4, 4, 4},
		Rows: [][]string{
			row("emergency services", "local emergency number"),
			row("keeper of the building", ""),
			row("designer", in.Author),
			row("licensed electrician", p.Electrician),
			row("structural engineer", p.Engineer),
			row("qualified rigger", p.Rigger),
			row("fire-alarm contractor", ""),
			row("speaker for the leadership", ""),
		},
		Note: "Fill in by hand before the sheets leave the office.",
	}
}
