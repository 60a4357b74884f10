package sheet

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"roodbeam/engine/hanging"
	"roodbeam/engine/si"
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
			r = append(r, in.force(n))
		}
		deflection := unknown
		if !math.IsNaN(l.MaxDeflectionM) {
			deflection = in.inches(number(l.MaxDeflectionM*1000, 1, "mm"), l.MaxDeflectionM, 2)
		}
		t.Rows = append(t.Rows, []string{l.Name, words(orText(l.Material, unknown)), orText(in.section(l.Section), unknown), in.both(l.SpanM), in.mass(l.UnitsKg), in.mass(l.PipeKg), in.mass(l.CableKg), in.mass(l.OtherKg),
			in.mass(l.AddedKg), in.mass(l.ExistingKg), strings.Join(r, " / "), in.force(l.MaxShearN), in.moment(l.MaxMomentNM), in.stress(l.StressMPa), deflection,
			joinWords(": ", l.Screening, l.Why), ""})
	}
	return t
}

// sides reads a rectangular section of two sides in millimetres.
var sides = regexp.MustCompile(`^(\d+(?:\.\d+)?) × (\d+(?:\.\d+)?) mm$`)

func (in *Input) section(text string) string {
	m := sides.FindStringSubmatch(text)
	if in.Display != si.US || m == nil {
		return text
	}
	var inch [2]string
	for i := range inch {
		mm, err := strconv.ParseFloat(m[i+1], 64)
		if err != nil {
			return text
		}
		inch[i] = strconv.FormatFloat(math.Round(mm/1000/si.Inch.Metres()*8)/8, 'f', -1, 64)
	}
	return fmt.Sprintf("%s × %s in (%s)", inch[0], inch[1], text)
}

// force and its like write pound-force and inches first, newtons behind them, where
// the church's engineer reads feet and pounds.
func (in *Input) force(newtons float64) string {
	return in.usFirst(number(newtons, 0, "N"), newtons/si.PoundForce, 0, "lbf")
}

func (in *Input) moment(newtonMetres float64) string {
	return in.usFirst(number(newtonMetres, 0, "Nm"), newtonMetres/(si.PoundForce*si.Foot.Metres()), 0, "ft·lbf")
}

func (in *Input) stress(mpa float64) string {
	// 1 psi = 1 lbf over one square inch.
	return in.usFirst(number(mpa, 1, "MPa"), mpa*1e6*si.Inch.Metres()*si.Inch.Metres()/si.PoundForce, 0, "psi")
}

func (in *Input) inches(metric string, metres float64, decimals int) string {
	return in.usFirst(metric, metres/si.Inch.Metres(), decimals, "in")
}

func (in *Input) usFirst(metric string, us float64, decimals int, unit string) string {
	if in.Display != si.US || math.IsNaN(us) || math.IsInf(us, 0) {
		return metric
	}
	return number(us, decimals, unit) + " (" + metric + ")"
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
		spare := "does not pass"
		switch {
		case l.Fits:
			spare = in.both(l.HaveWidthM - l.NeedWidthM)
		case l.Unmeasured():
			spare = unknown
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
			value = joinWords("; ", in.stress(l.ReferenceMPa)+", "+l.ReferenceSource, strings.Join(factors, "; "))
		}
		jointed := in.moment(l.AloneMomentNM)
		if len(l.Supports) <= 2 {
			jointed = "one span"
		}
		inTime := unknown
		if !math.IsNaN(l.LongTermM) {
			inTime = in.inches(number(l.LongTermM*1000, 1, "mm"), l.LongTermM, 2)
		}
		own := unknown
		if !math.IsNaN(l.SelfKgPerM) && l.SelfKgPerM > 0 {
			own = in.usFirst(number(l.SelfKgPerM, 1, "kg/m"), si.Mass(l.SelfKgPerM).Pounds()*si.Foot.Metres(), 1, "lb/ft")
		}
		t.Rows = append(t.Rows, []string{l.Name, in.moment(l.HogMomentNM), jointed, own, in.moment(l.TotalMomentNM), inTime,
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
			fall, drop = in.usFirst(number(h.FallN/1000, 1, "kN"), h.FallN/si.PoundForce, 0, "lbf"), joinWords(": ", in.both(h.DropM), h.Rank)
		}
		t.Rows = append(t.Rows, []string{h.Line, h.What, fmt.Sprint(h.Count), in.force(h.LoadN), in.mass(h.RatedKg), in.usFirst(number(h.BreakingN/1000, 2, "kN"), h.BreakingN/si.PoundForce, 0, "lbf"), drop, fall,
			h.Listed, joinWords("; ", h.Note, h.Source), ""})
	}
	return t
}

// pieceTable is what the tables' ropes, shackles, bolts, rods and fasteners in wood
// bear at rest over people.
func (in *Input) pieceTable() *Table {
	t := &Table{Name: "hardware_values", Align: "llrrrl", Heads: []string{"Piece", "Size", "Breaks at, or reference value", "Divided by", "Bears at rest, over people", "Source"},
		Note: "Ropes, shackles and bolts by their breaking load; threaded rod and fasteners in wood by reference values that carry about the general factor already. The weakest piece of an assembly counts; a qualified rigger confirms it. Lag screws in straight pull over people are the last choice: through-bolts or straps around the beam come first."}
	for _, p := range hanging.RatedPiecesIn("", in.Profile.ID) {
		t.Rows = append(t.Rows, []string{p.Kind, p.Name, in.usFirst(number(p.BreakingN/1000, 2, "kN"), p.BreakingN/si.PoundForce, 0, "lbf"), number(p.Factor, 0, ""), in.usFirst(number(p.WorkingN/1000, 2, "kN"), p.WorkingN/si.PoundForce, 0, "lbf"), p.Source})
	}
	return t
}
