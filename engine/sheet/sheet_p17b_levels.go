package sheet

import (
	"fmt"
	"strings"

	"roodbeam/engine/preset"
)

var _ = register(Kind{Code: "P17b", Order: 171, Title: "Levels of every look", Reader: "technical volunteer", Words: volunteerWords, Fill: lookLevels})

func lookLevels(in *Input, _ Page) Sheet {
	t := &Table{Name: "look_results", Heads: []string{"Button", "Look", "Fade", "What it gives"}, Align: "clrl"}
	for _, l := range in.Presets.Looks {
		t.Rows = append(t.Rows, []string{fmt.Sprint(l.Button), l.Name, number(l.FadeS, 0, "s"), strings.Join(l.Lines, "\n")})
	}
	return Sheet{Columns: 2, Blocks: []Block{
		{Heading: "Levels, for whoever programs the panel"}, {Table: in.levelTable()},
		{ColumnBreak: true},
		{Heading: "What each look gives, calculated"}, {Table: t},
	}}
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
