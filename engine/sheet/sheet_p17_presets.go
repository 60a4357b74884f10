package sheet

import "fmt"

var _ = register(Kind{Code: "P17", Order: 170, Title: "Preset card", Reader: "operators", Words: volunteerWords, Fill: presetCard})

// cardScale makes the card readable from an arm's length on a wall.
const cardScale = 2.1

func presetCard(in *Input, _ Page) Sheet {
	where := orText(in.Presets.Panel, "the wall panel")
	t := &Table{Name: "presets", Heads: []string{"Press", "Name", "When", "House", "If it looks wrong"}, Align: "cllrl"}
	for _, l := range in.Presets.Looks {
		t.Rows = append(t.Rows, []string{fmt.Sprint(l.Button), l.Name, l.When, number(l.HousePct, 0, "%"), l.IfWrong})
	}
	return Sheet{TextScale: cardScale, Blocks: []Block{
		{Text: fmt.Sprintf("Buttons at %s. One press is enough; a hand on the control desk always wins.", where)},
		{Table: t},
		{Bullets: []string{
			"Nothing happens: wait ten seconds, press again; then turn everything off and press the look you want once more.",
			"Still nothing: use the old switches, if there are any, and call the technical volunteer. Open nothing.",
			"A smell, a spark, a noise or something hanging loose: lights off, people away from below, call for help.",
		}},
	}}
}
