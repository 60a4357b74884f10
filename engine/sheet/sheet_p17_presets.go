package sheet

import (
	"fmt"
	"strings"

	"roodbeam/engine/preset"
)

var _ = register(Kind{Code: "P17", Order: 170, Title: "Preset card", Reader: "operators", Words: volunteerWords, Fill: presetCard})

// cardScale makes the card readable from an arm's length on a wall.
const cardScale = 2.1

func presetCard(in *Input, _ Page) Sheet {
	where := orText(in.Presets.Panel, "the wall panel")
	blocks := []Block{{Text: fmt.Sprintf("Buttons at %s. One press is enough; a hand on the control desk always wins.", where)}}
	t := &Table{Name: "presets", Heads: []string{"Press", "Name", "When", "House", "Fade", "What it gives", "If it looks wrong"}, Align: "cllrrll"}
	for _, l := range in.Presets.Looks {
		t.Rows = append(t.Rows, []string{fmt.Sprint(l.Button), l.Name, l.When, number(l.HousePct, 0, "%"), number(l.FadeS, 0, "s"), strings.Join(l.Lines, "\n"), l.IfWrong})
	}
	blocks = append(blocks, Block{Table: t}, Block{Bullets: []string{
		"Nothing happens: wait ten seconds, press again; then turn everything off and press the look you want once more.",
		"Still nothing: use the old switches, if there are any, and call the technical volunteer. Open nothing.",
		"A smell, a spark, a noise or something hanging loose: lights off, people away from below, call for help.",
	}})
	blocks = append(blocks, Block{PageBreak: true}, Block{Heading: "Levels of every look, for whoever programs the panel"}, Block{Table: in.levelTable()})
	return Sheet{TextScale: cardScale, Blocks: blocks}
}

// looksPerTable keeps the level table within the page.
const looksPerTable = 12

func (in *Input) levelTable() *Table {
	looks := in.Presets.Looks
	if len(looks) > looksPerTable {
		looks = looks[:looksPerTable]
	}
	t := &Table{Name: "preset_levels", Heads: []string{"Unit"}, Align: "l"}
	for _, l := range looks {
		t.Heads = append(t.Heads, fmt.Sprintf("%d %s", l.Button, l.Name))
		t.Align += "r"
	}
	for _, u := range in.Placed {
		row := []string{u.ID}
		for _, l := range looks {
			row = append(row, levelOf(l, u.ID))
		}
		t.Rows = append(t.Rows, row)
	}
	house := []string{"house lights"}
	for _, l := range looks {
		house = append(house, number(l.HousePct, 0, "%"))
	}
	t.Rows = append(t.Rows, house)
	return t
}

func levelOf(l preset.Look, unit string) string {
	for _, v := range l.Levels {
		if v.Unit == unit {
			return number(v.Pct, 0, "%")
		}
	}
	return "off"
}
