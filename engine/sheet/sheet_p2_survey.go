package sheet

import (
	"fmt"
	"sort"
)

var _ = register(Kind{Code: "P2", Order: 20, Title: "Survey record", Reader: "designer, electrician", Fill: surveyRecord})

func surveyRecord(in *Input, _ Page) Sheet {
	blocks := []Block{
		{Span: true, Heading: "Questions, most useful first"},
		{Span: true, Table: in.questionTable()},
		{Span: true, Heading: "Measurements that contradict the rest"},
		{Span: true, Table: in.suspectTable()},
		{Heading: "Solved points"},
		{Table: in.stationTable()},
		{ColumnBreak: true},
		{Heading: "Measurements as typed"},
		{Table: in.measurementTable()},
	}
	return Sheet{Columns: 2, Blocks: blocks}
}

func (in *Input) questionTable() *Table {
	t := &Table{Name: "questions", Heads: []string{"No.", "About", "Question", "Why", "Assumed meanwhile", "Who can answer", "Answer"}, WriteIn: []string{"Answer"}, Align: "rllllll"}
	for i, q := range in.Room.Questions {
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), q.About, q.Ask, q.Why, orText(q.Assumed, "nothing"), q.Who, ""})
	}
	return t
}

func (in *Input) suspectTable() *Table {
	t := &Table{Name: "suspects", Heads: []string{"Measurement", "Typed", "The others say", "Read as", "Times its own uncertainty", "What would explain it"}, Align: "llrrrl",
		Note: "Nothing is corrected silently: both numbers stay on record until somebody has looked again."}
	for _, s := range in.Room.Suspects {
		t.Rows = append(t.Rows, []string{s.Measurement, s.Text, in.both(s.Expected.Metres()), in.both(s.Got.Metres()), number(s.Normalised, 1, ""), orText(s.Explanation, "none found")})
	}
	return t
}

func (in *Input) stationTable() *Table {
	t := &Table{Name: "stations", Heads: []string{"Point", "x", "y", "z", "± x", "± y", "± z", "Not fixed in"}, Align: "lrrrrrrl",
		Note: fmt.Sprintf("± is one standard deviation. x from the centre line, + to stage left (right as seen from the seats); y from the platform's front edge, + upstage; z above the hall floor. "+
			"Adjustment: %d measurements, %d unknowns, sum of squares %s between %s and %s expected (95 %%).",
			in.Room.Adjustment.Measurements, in.Room.Adjustment.Unknowns, number(in.Room.Adjustment.VPV, 1, ""),
			number(in.Room.Adjustment.ChiLow, 1, ""), number(in.Room.Adjustment.ChiHigh, 1, ""))}
	for _, s := range in.Room.Stations {
		t.Rows = append(t.Rows, []string{s.Name, in.both(s.At.X), in.both(s.At.Y), in.both(s.At.Z),
			in.length(s.Sigma.X), in.length(s.Sigma.Y), in.length(s.Sigma.Z), s.Loose})
	}
	return t
}

func (in *Input) measurementTable() *Table {
	t := &Table{Name: "measurements", Heads: []string{"No.", "Kind", "From", "To", "Typed", "Read as", "Instrument", "Taken from level", "By", "Note"}, Align: "llllllllll"}
	ms := append(in.Survey.Measurements[:0:0], in.Survey.Measurements...)
	sort.SliceStable(ms, func(i, j int) bool { return ms[i].ID < ms[j].ID })
	for _, m := range ms {
		read := in.typed(m.Value)
		note := m.Note
		if m.Void {
			note = "void. " + note
		}
		t.Rows = append(t.Rows, []string{m.ID, words(string(m.Kind)), m.From, m.To, m.Value.Text, read, words(string(m.Instrument)), orText(m.Reference, "not said"), m.By, note})
	}
	return t
}
