package sheet

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/hanging"
)

var _ = register(Kind{Code: "P11", Order: 110, Title: "Rigging sheet", Reader: "structural engineer, rigger", Words: riggingWords, Fill: riggingSheet})

func riggingSheet(in *Input, _ Page) Sheet {
	blocks := []Block{
		{Span: true, Caution: "Planning figures for a structural engineer, who approves the structure before anything is hung. Screened means only that the figure is small enough to ask about; it approves nothing."},
		{Span: true, Heading: "Added load by line"},
		{Span: true, Table: in.loadTable()},
		{Heading: "Where each load hangs"},
		{Table: in.pointLoadTable()},
		{ColumnBreak: true},
	}
	if len(in.Hanging.Places) > 0 {
		blocks = append(blocks, Block{Heading: "How each place is reached"}, Block{Table: in.reachTable()})
	}
	if len(in.Hanging.Lifts) > 0 {
		blocks = append(blocks, Block{Span: true, Heading: "Machines and ways in"}, Block{Span: true, Table: in.liftTable()})
	}
	blocks = append(blocks,
		Block{Span: true, Heading: "How the figures come about"},
		Block{Span: true, Table: in.strengthTable()},
		Block{Span: true, Heading: "Hardware ratings to look for"},
		Block{Span: true, Table: in.hardwareTable()},
		Block{Span: true, Heading: "What listed pieces bear over people"},
		Block{Span: true, Table: in.pieceTable()},
		Block{Span: true, Heading: "Hardware and cautions"},
		Block{Span: true, Bullets: []string{
			"Clamps, pipes and fixings carry a rating from their maker; no home-made parts, no cable ties, no open hooks overhead.",
			"Every unit and every loose accessory has an independent secondary suspension, rated for its mass, with as little slack as the aim allows.",
			"Nothing hangs from tension rods, pipework, ceilings, sprinklers or members marked “hang nothing”.",
			"Earthquake, wind from open doors and anything that moves or is hoisted are not in these figures.",
			"Look over every fixing after 30 days and once a year; write down who looked and when.",
			"The lift's floor load is compared with the floor by the engineer; the operator is trained; the area below is closed.",
		}},
		Block{Span: true, Heading: "Questions for the engineer and the rigger"},
		Block{Span: true, Table: in.hangingQuestions()},
		Block{Span: true, SignOff: &SignOff{Role: "structural engineer", Text: "Members, added loads and conditions as listed above; reference of the letter:"}},
		Block{Span: true, SignOff: &SignOff{Role: "qualified rigger", Text: "Hardware, secondary suspensions and hanging as installed."}},
	)
	return Sheet{Columns: 2, Blocks: blocks}
}

func (in *Input) loadTable() *Table {
	t := &Table{Name: "line_loads", WriteIn: []string{"Engineer's reference"}, Align: "lllrrrrrrrrrrrrll",
		Heads: []string{"Line", "Material", "Section", "Span", "Units", "Pipe", "Cable", "Other", "Added, all", "There already", "Reactions", "Largest shear", "Largest moment", "Bending stress", "Deflection", "Screening, approves nothing", "Engineer's reference"}}
	for _, l := range in.Hanging.Lines {
		var r []string
		for _, n := range l.ReactionsN {
			r = append(r, number(n, 0, "N"))
		}
		deflection := unknown
		if !math.IsNaN(l.MaxDeflectionM) {
			deflection = number(l.MaxDeflectionM*1000, 1, "mm")
		}
		t.Rows = append(t.Rows, []string{l.Name, words(orText(l.Material, unknown)), orText(l.Section, unknown), in.both(l.SpanM), in.mass(l.UnitsKg), in.mass(l.PipeKg), in.mass(l.CableKg), in.mass(l.OtherKg),
			in.mass(l.AddedKg), in.mass(l.ExistingKg), strings.Join(r, " / "), number(l.MaxShearN, 0, "N"), number(l.MaxMomentNM, 0, "Nm"), number(l.StressMPa, 1, "MPa"), deflection,
			joinWords(": ", l.Screening, l.Why), ""})
	}
	return t
}

func (in *Input) pointLoadTable() *Table {
	t := &Table{Name: "point_loads", Heads: []string{"Line", "Unit", "Along the line", "Mass with clamp and secondary suspension"}, Align: "llrr"}
	for _, l := range in.Hanging.Lines {
		for _, p := range l.Loads {
			t.Rows = append(t.Rows, []string{l.Name, p.Unit, in.both(p.Along.Metres()), in.mass(p.Mass.Kilograms())})
		}
	}
	return t
}

func (in *Input) reachTable() *Table {
	t := &Table{Name: "reach", Heads: []string{"Unit", "Line", "Line above the floor below", "Platform height needed", "Reached by", "What stands below", "Note"}, Align: "llrrlll"}
	for _, p := range in.Hanging.Places {
		t.Rows = append(t.Rows, []string{p.Unit, p.Line, in.both(p.HangM), in.both(p.NeedPlatformM), p.By, p.Below, p.Why})
	}
	return t
}

func (in *Input) liftTable() *Table {
	t := &Table{Name: "lifts", Heads: []string{"Machine", "Way in", "Width to spare", "Width needed", "Width there", "Longest body round the turn", "Ramp at 1:12", "Mass with load", "Floor", "Why"}, Align: "llrrrrrrll"}
	for _, l := range in.Hanging.Lifts {
		spare := in.both(l.HaveWidthM - l.NeedWidthM)
		if !l.Fits {
			spare = "does not pass"
		}
		longest, ramp := "straight", ""
		if !math.IsNaN(l.LongestM) {
			longest = in.both(l.LongestM)
		}
		if l.RampM > 0 {
			ramp = in.both(l.RampM)
		}
		t.Rows = append(t.Rows, []string{l.Lift, l.Route, spare, in.both(l.NeedWidthM), in.both(l.HaveWidthM), longest, ramp, in.mass(l.MassKg), l.FloorNote, l.Why})
	}
	return t
}

func (in *Input) hangingQuestions() *Table {
	t := &Table{Name: "rigging_questions", Heads: []string{"No.", "For", "Question", "Why it is asked", "Answer"}, WriteIn: []string{"Answer"}, Align: "rllll", Widths: []float64{1, 3, 9, 8, 8}}
	for _, q := range in.Hanging.Questions {
		t.Rows = append(t.Rows, []string{fmt.Sprint(q.No), q.Who, q.Text, q.Why, answered(q.Answers)})
	}
	return t
}

// strengthTable is what stands behind the load table: the line that runs through
// and the one cut over its supports, shares and factors.
func (in *Input) strengthTable() *Table {
	t := &Table{Name: "line_strength", Align: "lrrrrrrrrll", Heads: []string{"Line", "Hogging moment", "Moment if jointed over supports", "Own mass", "Moment with own mass and what hangs there", "Deflection in time",
		"Load factor", "Share of bending value", "Share of shear value", "Bending value and its factors", "Why an engineer"}}
	for _, l := range in.Hanging.Lines {
		var factors []string
		for _, f := range l.Factors {
			factors = append(factors, fmt.Sprintf("%s %.3g (%s)", f.Name, f.Value, f.Source))
		}
		value := unknown
		if !math.IsNaN(l.ReferenceMPa) && l.ReferenceMPa > 0 {
			value = joinWords("; ", number(l.ReferenceMPa, 2, "MPa")+", "+l.ReferenceSource, strings.Join(factors, "; "))
		}
		jointed := number(l.AloneMomentNM, 0, "Nm")
		if len(l.Supports) <= 2 {
			jointed = "one span"
		}
		inTime := unknown
		if !math.IsNaN(l.LongTermM) {
			inTime = number(l.LongTermM*1000, 1, "mm")
		}
		own := unknown
		if !math.IsNaN(l.SelfKgPerM) && l.SelfKgPerM > 0 {
			own = number(l.SelfKgPerM, 1, "kg/m")
		}
		t.Rows = append(t.Rows, []string{l.Name, number(l.HogMomentNM, 0, "Nm"), jointed, own, number(l.TotalMomentNM, 0, "Nm"), inTime,
			number(l.LoadFactor, 2, ""), number(l.SharePct, 0, "%"), number(l.ShearSharePct, 0, "%"), value, strings.Join(l.Reasons, "; ")})
	}
	return t
}

func (in *Input) hardwareTable() *Table {
	t := &Table{Name: "hardware_ratings", Align: "llrrrrrrlll", WriteIn: []string{"As chosen, with its mark"}, Heads: []string{"Line", "Piece", "Count", "Load each, at rest", "Marked working load at least", "Or breaking load at least",
		"Longest fall", "Pull after it", "Listed pieces", "Look for", "As chosen, with its mark"}}
	for _, h := range in.Hanging.Hardware {
		fall, drop := "nothing falls", ""
		if !math.IsNaN(h.FallN) {
			fall, drop = number(h.FallN/1000, 1, "kN"), joinWords(": ", in.both(h.DropM), h.Rank)
		}
		t.Rows = append(t.Rows, []string{h.Line, h.What, fmt.Sprint(h.Count), number(h.LoadN, 0, "N"), in.mass(h.RatedKg), number(h.BreakingN/1000, 2, "kN"), drop, fall,
			h.Listed, joinWords("; ", h.Note, h.Source), ""})
	}
	return t
}

// pieceTable is what the tables' ropes, shackles, bolts, rods and fasteners in wood
// bear at rest over people.
func (in *Input) pieceTable() *Table {
	t := &Table{Name: "hardware_values", Align: "llrrrl", Heads: []string{"Piece", "Size", "Breaks at, or reference value", "Divided by", "Bears at rest, over people", "Source"},
		Note: "Ropes, shackles and bolts by their breaking load; threaded rod and fasteners in wood by reference values that carry about the general factor already. The weakest piece of an assembly counts; a qualified rigger confirms it. Lag screws in straight pull over people are the last choice: through-bolts or straps around the beam come first."}
	for _, p := range hanging.RatedPieces("") {
		t.Rows = append(t.Rows, []string{p.Kind, p.Name, number(p.BreakingN/1000, 2, "kN"), number(p.Factor, 0, ""), number(p.WorkingN/1000, 2, "kN"), p.Source})
	}
	return t
}
