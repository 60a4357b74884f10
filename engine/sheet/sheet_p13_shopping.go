package sheet

import (
	"fmt"
	"sort"

	"roodbeam/engine/cost"
)

var _ = register(Kind{Code: "P13", Order: 130, Title: "Shopping list and cost", Reader: "treasurer, project manager", Words: moneyWords, Fill: shopping})

func shopping(in *Input, _ Page) Sheet {
	e := in.Estimate
	blocks := []Block{
		{Facts: []Fact{
			{"likely, without the sum for surprises", in.atLeast(e.Total.Likely)},
			{fmt.Sprintf("likely, with %s %%", quantity(e.ContingencyPct)), in.atLeast(e.WithContingency.Likely)},
			{"range with it", in.priceRange()},
			{"own work by volunteers", number(e.VolunteerHours, 0, "h")},
		}},
	}
	for _, name := range in.phaseNames() {
		t := &Table{Name: "shopping_list", Heads: []string{"Stage", "Qty", "Unit", "What", "Kind", "Each", "Together", "Low", "High", "Who", "Hours", "Price from", "Came in"}, Align: "lrlllrrrrlrll",
			Widths: []float64{10, 11, 15, 85, 22, 28, 30, 30, 30, 24, 14, 42, 18}}
		for _, l := range e.Lines {
			if l.Phase == name {
				t.Rows = append(t.Rows, in.shoppingRow(l))
			}
		}
		title := "Stage " + orText(name, "not assigned")
		for _, p := range e.Phases {
			if p.Name == name {
				if p.Title != "" {
					title += ": " + p.Title
				}
				t.Note = fmt.Sprintf("Sum %s; with %s %% for surprises %s (%s).", in.money(p.Subtotal.Likely), quantity(e.ContingencyPct), in.money(p.WithContingency.Likely), in.span(p.WithContingency))
			}
		}
		blocks = append(blocks, Block{Heading: title}, Block{Table: t})
	}
	blocks = append(blocks, Block{Heading: "Sums"}, Block{Table: in.stageTable()})
	if e.CapMinor > 0 {
		blocks = append(blocks, Block{Text: in.capText()})
	}
	if e.Offer != nil {
		blocks = append(blocks, Block{Caution: in.offerText(*e.Offer)})
	}
	blocks = append(blocks, Block{Bullets: []string{
		"A substitute keeps light, field, voltage, connector, mass, control slots and noise; the designer is asked first.",
		"Nothing is bought before the signature that its stage waits for. Check voltage and connector on the box before it is opened.",
		"Keep at least one spare of each lamp, clamp, secondary suspension and cable length in use.",
	}})
	return Sheet{Blocks: blocks}
}

func (in *Input) phaseNames() []string {
	seen := map[string]bool{}
	var out []string
	for _, p := range in.Estimate.Phases {
		if !seen[p.Name] {
			seen[p.Name] = true
			out = append(out, p.Name)
		}
	}
	var rest []string
	for _, l := range in.Estimate.Lines {
		if !seen[l.Phase] {
			seen[l.Phase] = true
			rest = append(rest, l.Phase)
		}
	}
	sort.Strings(rest)
	return append(out, rest...)
}

func (in *Input) shoppingRow(l cost.Line) []string {
	hours := ""
	if l.Hours > 0 {
		hours = number(l.Hours, 1, "h")
	}
	text := l.Text
	if p := in.Estimate.Phases; l.Ahead && len(p) > 0 && l.Phase != p[0].Name {
		text += " (may be done in an earlier stage)"
	}
	return []string{l.Phase, quantity(l.Quantity), l.Unit, text, l.Kind, in.money(l.UnitMinor), in.money(l.Total.Likely), in.money(l.Total.Low), in.money(l.Total.High), l.By, hours, l.Source, "☐"}
}
