package sheet

import (
	"fmt"

	"roodbeam/engine/finding"
)

var _ = register(Kind{Code: "P18", Order: 180, Title: "Findings and cautions", Reader: "all", Fill: findingsSheet})

func findingsSheet(in *Input, _ Page) Sheet {
	blocks := []Block{{Span: true, Facts: []Fact{
		{"stop: nothing is built until it is fixed or signed off", quantity(float64(finding.Count(in.Findings, finding.Stop)))},
		{"warn: needs a decision", quantity(float64(finding.Count(in.Findings, finding.Warn)))},
		{"note: good to know", quantity(float64(finding.Count(in.Findings, finding.Note)))},
	}}}
	for _, g := range []struct {
		severity finding.Severity
		title    string
	}{
		{finding.Stop, "Stop: keeps the packet from construction"},
		{finding.Warn, "Warn: needs a decision"},
		{finding.Note, "Note"},
	} {
		if finding.Count(in.Findings, g.severity) == 0 {
			continue
		}
		table, long := in.findingTable(g.severity)
		blocks = append(blocks, Block{Span: true, Heading: g.title}, Block{Span: true, Table: table})
		for _, l := range long {
			blocks = append(blocks, Block{Text: l})
		}
	}
	if len(in.Survey.Hazards) > 0 {
		t := &Table{Name: "hazards", Heads: []string{"Hazard seen or suspected", "Where", "Note"}, Align: "lll"}
		for _, h := range in.Survey.Hazards {
			t.Rows = append(t.Rows, []string{words(h.Kind), h.Where, h.Note})
		}
		blocks = append(blocks, Block{Span: true, Heading: "Hazards in the building"}, Block{Span: true, Table: t})
	}
	blocks = append(blocks,
		Block{Span: true, Heading: "Cautions that hold everywhere"},
		Block{Span: true, Bullets: []string{
			"Electrical work by a licensed electrician under the local code; nobody else opens a cover.",
			"Structure approved by a structural engineer before anything is hung; rated hardware and an independent secondary suspension on every unit overhead.",
			"Lift operators trained; nobody below; exits free.",
			"Emergency lighting is never interrupted by dimming or by the works.",
			"Stop work for suspected asbestos or unknown wiring, and call the person named on the cover.",
		}})
	blocks = append(blocks, in.signOffRecord()...)
	for _, o := range in.stopOwners() {
		blocks = append(blocks, Block{SignOff: &SignOff{Role: string(o), Text: "Clears the stop findings of this trade, by name and with a reason: ______________________________"}})
	}
	return Sheet{Columns: 2, Blocks: blocks}
}

// signOffRecord lists what trades have signed, with what each signer stated of
// themselves and who let them in; nothing where none has signed.
func (in *Input) signOffRecord() []Block {
	now := map[string]finding.Finding{}
	for _, f := range in.Findings {
		now[f.Key] = f
	}
	t := &Table{Name: "sign-offs", Heads: []string{"Signed", "About", "As", "Name", "Firm", "Licence or registration", "Issued by", "Invited by", "Also", "Date", "Reason"}, Align: "lllllllllll",
		Widths: []float64{16, 40, 30, 34, 36, 30, 36, 30, 20, 20, 60},
		Note:   "Name, firm and licence are as typed by the signer and were not checked here. Leadership confirms each licence with the body that issued it, found independently of the signer."}
	for _, c := range in.Cleared {
		if c.Name == "" {
			continue
		}
		state, about := "lapsed", c.Key
		if f, ok := now[c.Key]; ok {
			about = f.Subject
			if f.Fingerprint == c.Fingerprint {
				state = "stands"
			}
		}
		t.Rows = append(t.Rows, []string{state, about, c.By, c.Name, c.Firm, c.Licence, c.Body, c.InvitedBy, c.Also, c.Date, c.Reason})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []Block{{Span: true, Heading: "Sign-offs of the trades on record"}, {Span: true, Table: t}}
}

// longText is from when a finding is written out below its table, characters: in
// a column it would make a row of half a page.
const longText = 420

// findingTable returns the findings of a severity, and the texts too long for it.
func (in *Input) findingTable(s finding.Severity) (*Table, []string) {
	var long []string
	t := &Table{Name: "findings", Heads: []string{"Weight", "About", "Finding", "Found", "Limit", "What to do", "Who can clear it", "Source of the limit", "Code", "Cleared"}, WriteIn: []string{"Cleared"}, Align: "lllrrlllll",
		Widths: []float64{12, 30, 114, 17, 17, 86, 27, 66, 32, 17}}
	for _, f := range in.Findings {
		if f.Severity != s {
			continue
		}
		r := in.rendered(f)
		cleared, _ := in.clearing(f)
		value, limit := "", ""
		if f.HasValue {
			value = in.inUnit(f.Value, f.Unit)
		}
		if f.HasLimit {
			limit = in.inUnit(f.Limit, f.Unit)
		}
		text := r.Title + ". " + r.Text
		if len(text) > longText {
			long = append(long, fmt.Sprintf("%s, %s: %s", f.Code, f.Subject, r.Text))
			text = r.Title + ". The whole text stands on sheet P18, below its table."
		}
		t.Rows = append(t.Rows, []string{severityWord(f.Severity), f.Subject, text, value, limit, r.Advice, string(f.Owner), f.Source, f.Code, cleared})
	}
	return t, long
}

// inUnit formats a finding's number in its unit, as finding.Arg does.
func (in *Input) inUnit(v float64, unit string) string {
	kind := finding.KindNumber
	switch unit {
	case "m":
		kind = finding.KindLength
	case "deg":
		kind = finding.KindAngle
	case "lx":
		kind = finding.KindLux
	case "kg":
		kind = finding.KindMass
	case "%":
		kind = finding.KindPercent
	}
	return finding.Arg{Kind: kind, Num: v, Text: unit}.Format(in.Display)
}

func (in *Input) stopOwners() []finding.Owner {
	var out []finding.Owner
	for _, o := range []finding.Owner{finding.Electrician, finding.Engineer, finding.Rigger, finding.FireAlarm, finding.LiftHire, finding.Hazards, finding.Designer, finding.Volunteer, finding.Leadership} {
		for _, f := range in.Findings {
			if _, cleared := in.clearing(f); f.Severity == finding.Stop && f.Owner == o && !cleared {
				out = append(out, o)
				break
			}
		}
	}
	return out
}
