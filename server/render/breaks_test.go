package render

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"roodbeam/engine/sheet"
)

// pageTexts returns the text of every page as an outside reader finds it.
func pageTexts(t *testing.T, p sheet.Packet) []string {
	t.Helper()
	reader, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Fatal("pdftotext is missing; the test script installs it")
	}
	file := filepath.Join(t.TempDir(), "packet.pdf")
	if err := os.WriteFile(file, mustPDF(t, p), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(reader, "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
}

// TestBreaks: no table goes on with one row alone, and a short paragraph stays in
// one piece, wherever on the page they come to lie.
func TestBreaks(t *testing.T) {
	const words = 30 // of a paragraph of three lines
	var para []string
	for i := range words {
		para = append(para, fmt.Sprintf("paragraph%02d", i))
	}
	// What comes behind keeps the sheet from being set tighter to save a page.
	behind := &sheet.Table{Name: "behind", Heads: []string{"After"}, Align: "l"}
	for i := range 25 {
		behind.Rows = append(behind.Rows, []string{fmt.Sprintf("filler %d", i)})
	}
	broken, lines := 0, 0
	for n := 20; n <= 75; n++ {
		rows := &sheet.Table{Name: "rows", Heads: []string{"Row"}, Align: "l"}
		for i := range n {
			rows.Rows = append(rows.Rows, []string{fmt.Sprintf("row%03d", i)})
		}
		p := packet()
		p.Sheets = []sheet.Sheet{{Code: "P1", Title: "Breaks", Reader: "all", Words: "words", Columns: 1, Blocks: []sheet.Block{{Table: rows}, {Text: strings.Join(para, " ")}, {Table: behind}}}}
		pages := pageTexts(t, p)
		for i, text := range pages {
			if got := strings.Count(text, "row0"); got == 1 {
				t.Errorf("%d rows: page %d has one of them", n, i+1)
			}
			if got := strings.Count(text, "paragraph"); got != 0 && got != words {
				t.Errorf("%d rows: page %d has %d of the paragraph's %d words", n, i+1, got, words)
			} else if got > 0 {
				for _, l := range strings.Split(text, "\n") {
					if strings.Contains(l, "paragraph") {
						lines++
					}
				}
			}
		}
		if len(pages) > 1 {
			broken++
		}
	}
	if broken < 10 || lines < 2*56 {
		t.Errorf("%d of 56 sheets broke, %d lines of paragraphs: the test has lost its point", broken, lines)
	}
}
