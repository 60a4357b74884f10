package render

import (
	"bytes"
	"fmt"
	"strings"

	"roodbeam/engine/sheet"
)

// Values returns everything a packet says, as text to be compared line by line:
// sheets in order, their texts, tables and the texts on their drawings, without
// any place on the paper.
func Values(p sheet.Packet) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "packet %s | %s | revision %s | %s | %s | paper %s | %s | %s\n",
		p.Church, p.Town, p.Revision, p.Date, p.Status, p.Paper, p.Edition, p.Units)
	for _, s := range p.Sheets {
		fmt.Fprintf(&b, "\n== %s %s (%s)\n", s.Code, s.Title, s.Reader)
		if s.Scale != "" {
			fmt.Fprintf(&b, "scale: %s\n", s.Scale)
		}
		if s.Words != "" {
			fmt.Fprintf(&b, "words: %s\n", s.Words)
		}
		for _, bl := range s.Blocks {
			valuesBlock(&b, bl)
		}
	}
	return b.Bytes()
}

func valuesBlock(b *bytes.Buffer, bl sheet.Block) {
	switch {
	case bl.Heading != "":
		fmt.Fprintf(b, "# %s\n", oneLine(bl.Heading))
	case bl.Text != "":
		fmt.Fprintf(b, "%s\n", oneLine(bl.Text))
	case bl.Caution != "":
		fmt.Fprintf(b, "! %s\n", oneLine(bl.Caution))
	case bl.SignOff != nil:
		fmt.Fprintf(b, "sign-off: %s | %s\n", bl.SignOff.Role, oneLine(bl.SignOff.Text))
	case bl.Table != nil:
		fmt.Fprintf(b, "table %s\n", bl.Table.Name)
		for _, row := range append([][]string{bl.Table.Heads}, bl.Table.Rows...) {
			cells := make([]string, len(row))
			for i, c := range row {
				cells[i] = oneLine(c)
			}
			fmt.Fprintf(b, "  %s\n", strings.Join(cells, " | "))
		}
		if bl.Table.Note != "" {
			fmt.Fprintf(b, "  note: %s\n", oneLine(bl.Table.Note))
		}
	case bl.Drawing != nil:
		fmt.Fprintf(b, "drawing %s, model:paper %g\n", bl.Drawing.Title, bl.Drawing.Scale)
		for _, it := range bl.Drawing.Items {
			if it.Text != nil {
				fmt.Fprintf(b, "  %s: %s\n", it.Layer, oneLine(it.Text.Value))
			}
		}
	}
	for _, f := range bl.Facts {
		fmt.Fprintf(b, "fact: %s = %s\n", f.Label, f.Value)
	}
	for _, s := range bl.Bullets {
		fmt.Fprintf(b, "- %s\n", oneLine(s))
	}
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
