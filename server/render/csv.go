package render

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"regexp"
	"strings"

	"roodbeam/engine/drawing"
	"roodbeam/engine/sheet"
)

// CSV returns every named table of a packet as a file "<name>.csv" of RFC 4180:
// UTF-8, commas, CRLF, one head line. A cell that a spreadsheet would take for
// a formula is prefixed with an apostrophe. Tables that share a name and heads
// are one schedule, continued; with other heads they get a number.
func CSV(p sheet.Packet) map[string][]byte {
	type part struct {
		heads string
		table sheet.Table
	}
	var order []string
	files := map[string]*part{}
	for _, s := range p.Sheets {
		for _, b := range s.Blocks {
			if b.Table == nil || b.Table.Name == "" {
				continue
			}
			heads := strings.Join(b.Table.Heads, "\x00")
			name := fileName(b.Table.Name)
			for i := 2; files[name] != nil && files[name].heads != heads; i++ {
				name = fmt.Sprintf("%s-%d", fileName(b.Table.Name), i)
			}
			if files[name] == nil {
				files[name] = &part{heads: heads, table: sheet.Table{Heads: b.Table.Heads}}
				order = append(order, name)
			}
			t := &files[name].table
			t.Rows = append(t.Rows, b.Table.Rows...)
		}
	}
	out := map[string][]byte{}
	for _, name := range order {
		out[name+".csv"] = csvOf(files[name].table)
	}
	return out
}

func csvOf(t sheet.Table) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	for _, row := range append([][]string{t.Heads}, t.Rows...) {
		cells := make([]string, len(t.Heads))
		for i := range cells {
			if i < len(row) {
				cells[i] = harmless(strings.ReplaceAll(row[i], string(drawing.NoBreak), " "))
			}
		}
		if err := w.Write(cells); err != nil {
			panic(err) // writing to memory can't fail
		}
	}
	w.Flush()
	return b.Bytes()
}

var plainNumber = regexp.MustCompile(`^[+-]?[0-9][0-9 ,.]*%?$`)

// harmless returns a cell that no spreadsheet runs as a formula.
// Source: OWASP, "CSV Injection" (from memory): cells that begin with = + - @,
// tab or carriage return.
func harmless(cell string) string {
	if cell == "" || plainNumber.MatchString(cell) || !strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
		return cell
	}
	return "'" + cell
}

func fileName(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '_', r == '-':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '_'
	}, name)
}
