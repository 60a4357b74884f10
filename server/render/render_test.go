package render

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"roodbeam/engine/drawing"
	"roodbeam/engine/enginetest/sample"
	"roodbeam/engine/finding"
	"roodbeam/engine/sheet"
	"roodbeam/engine/si"
)

func packet() sheet.Packet { return sheet.Build(sample.MeetingHouse()) }

func mustPDF(t testing.TB, p sheet.Packet) []byte {
	t.Helper()
	raw, err := PDF(p)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func TestPDFIsTheSameTwice(t *testing.T) {
	a, b := mustPDF(t, packet()), mustPDF(t, packet())
	if !bytes.Equal(a, b) {
		t.Error("two encodings of one packet differ")
	}
	// The file's dates are the packet's, never the clock's.
	for _, want := range []string{"/CreationDate (D:20261125000000", "/ModDate (D:20261125000000"} {
		if !bytes.Contains(a, []byte(want)) {
			t.Errorf("the file lacks %s", want)
		}
	}
}

var pageObject = regexp.MustCompile(`/Type /Page\b[^s]`)

func TestPDFHasItsPages(t *testing.T) {
	raw := mustPDF(t, packet())
	_, want := fitAll(packet())
	got := len(pageObject.FindAll(raw, -1))
	if got != want || got < 9 {
		t.Errorf("%d pages, want %d and at least nine", got, want)
	}
	// 17 × 11 in at 72 points to the inch.
	if !bytes.Contains(raw, []byte("1224.00 792.00")) {
		t.Error("the pages are not 17 × 11 in")
	}
}

// An outside reader finds no fault in the file.
func TestPDFPassesAnOutsideCheck(t *testing.T) {
	qpdf, err := exec.LookPath("qpdf")
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("qpdf is missing; the test script installs it")
	}
	if err != nil {
		t.Skip("qpdf is not installed here; the test script installs it")
	}
	for name, p := range map[string]sheet.Packet{"full": packet(), "empty": sheet.Build(sheet.Input{}), "no sheets": {}, "crowded": sheet.Build(crowded())} {
		file := filepath.Join(t.TempDir(), "packet.pdf")
		if err := os.WriteFile(file, mustPDF(t, p), 0o600); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command(qpdf, "--check", file).CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
	}
}

// crowded is a packet input with long names, characters from many scripts,
// sixty units and two hundred findings.
func crowded() sheet.Input {
	in := sample.MeetingHouse()
	base := in.Placed
	for len(in.Placed) < 60 {
		u := base[len(in.Placed)%len(base)]
		u.ID = fmt.Sprintf("unit with a long name %d", len(in.Placed))
		u.At.X += 0.11 * float64(len(in.Placed))
		in.Placed = append(in.Placed, u)
		in.Network.Branches[0].Units = append(in.Network.Branches[0].Units, u.ID)
		in.Load.Circuits[0].Units = append(in.Load.Circuits[0].Units, u.ID)
	}
	in.Name = strings.Repeat("Församling Łódź Ιερός Храм 教会 ", 8)
	in.Status = strings.Repeat("for pricing ", 20)
	in.Survey.Panels[0].Note = strings.Repeat("Unbrokenwordwithoutanyspacetobreakat", 40)
	for i := range 200 {
		in.Findings = append(in.Findings, finding.Finding{Code: fmt.Sprintf("CODE_%d", i), Subject: strings.Repeat("subject ", i%30), Severity: finding.Severity(1 + i%3), Owner: finding.Engineer, Source: strings.Repeat("source ", i%17)})
	}
	for i := range 80 {
		in.Phases.Tasks = append(in.Phases.Tasks, in.Phases.Tasks[i%14])
	}
	in.Presets.Looks[0].When = strings.Repeat("whenever people come and go, ", 60)
	return in
}

// No line of text reaches over the page's margins, however much there is.
func TestNothingLeavesThePage(t *testing.T) {
	metric := sample.MeetingHouse()
	metric.Display, metric.Profile.Paper = si.Metric, "A3"
	for name, in := range map[string]sheet.Input{"sample": sample.MeetingHouse(), "metric": metric, "empty": {}, "crowded": crowded()} {
		p := sheet.Build(in)
		f := newFile(p.Paper, stamp(p.Date))
		fits, of := fitAll(p)
		layOut(f, p, fits, of)
		for _, l := range f.outside {
			t.Errorf("%s: text reaches over the margins at %s", name, l)
		}
	}
}

func TestAnyTableFits(t *testing.T) {
	shared := newFile("A3", stamp("")) // fonts are read once; pages are cheap
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.OneOf(rapid.StringN(0, 30, -1), rapid.StringMatching(`[a-zA-Z ]{0,400}`), rapid.StringMatching(`[W]{0,300}`), rapid.StringMatching(`(x\n){0,150}`))
		n := rapid.IntRange(1, 26).Draw(t, "columns")
		tb := sheet.Table{Align: rapid.StringMatching(`[lrc]{0,26}`).Draw(t, "align"), Note: cell.Draw(t, "note")}
		for range n {
			tb.Heads = append(tb.Heads, cell.Draw(t, "head"))
		}
		for range rapid.IntRange(0, 12).Draw(t, "rows") {
			var row []string
			for range rapid.IntRange(0, n).Draw(t, "cells") {
				row = append(row, cell.Draw(t, "cell"))
			}
			tb.Rows = append(tb.Rows, row)
		}
		p := sheet.Packet{Sheets: []sheet.Sheet{{Code: "T", Columns: rapid.IntRange(0, 3).Draw(t, "flow"), TextScale: rapid.Float64Range(0, 2.5).Draw(t, "scale"),
			Blocks: []sheet.Block{{Heading: cell.Draw(t, "heading")}, {Table: &tb}, {Span: true, Table: &tb}, {Text: cell.Draw(t, "text")}, {Caution: cell.Draw(t, "caution")},
				{SignOff: &sheet.SignOff{Role: cell.Draw(t, "role"), Text: cell.Draw(t, "sign")}}, {Facts: []sheet.Fact{{Label: cell.Draw(t, "label"), Value: cell.Draw(t, "value")}}}}}}}
		shared.outside = nil
		how := fit{tight: rapid.IntRange(0, tightest).Draw(t, "tight"), shallow: rapid.IntRange(0, shallowest).Draw(t, "shallow")}
		layOut(shared, p, []fit{how}, 0)
		if len(shared.outside) > 0 {
			t.Fatalf("text reaches over the margins at %s", shared.outside[0])
		}
		const mostPages = 400 // bounds what twelve tall rows twice may need
		if n := shared.pdf.PageCount(); n > mostPages {
			shared = newFile("A3", stamp(""))
		}
	})
}

func TestSVGIsXML(t *testing.T) {
	in := sample.MeetingHouse()
	in.Placed[0].ID = `<R&"1'>` + "\x00\x07\ufffe"
	for _, s := range []drawing.Scene{sheet.PlanScene(in), sheet.PlatformScene(in), sheet.SectionScene(in), sheet.CrossScene(in), sheet.LightMapScene(in), {}} {
		raw := SVG(s)
		dec := xml.NewDecoder(bytes.NewReader(raw))
		texts := 0
		for {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%s: %v", s.Title, err)
			}
			if e, ok := tok.(xml.StartElement); ok {
				if e.Name.Local == "text" {
					texts++
				}
				for _, a := range e.Attr {
					if a.Name.Local == "href" {
						continue // letters that stand for pixels
					}
					if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
						t.Errorf("%s: %s=%q", s.Title, a.Name.Local, a.Value)
					}
				}
			}
		}
		want := 0
		for _, it := range s.Items {
			if it.Text != nil {
				want++
			}
		}
		if texts != want {
			t.Errorf("%s: %d texts, want %d", s.Title, texts, want)
		}
	}
}

// The SVG is true to size: its width in mm is the scene's, one unit per mm, and
// a bar of 50 mm is drawn 50 units long.
func TestSVGIsTrueToSize(t *testing.T) {
	s := drawing.Scene{WidthMM: 100, HeightMM: 60}
	v := drawing.View{Scale: drawing.Scale{Ratio: 100}}
	if got := s.Bar(v, si.Metric, 5, 20, 60); got != 50 {
		t.Fatalf("bar of 5 m at 1:100 is %g mm, want 50", got)
	}
	raw := string(SVG(s))
	if !strings.Contains(raw, `width="100mm" height="60mm" viewBox="0 0 100 60"`) {
		t.Errorf("head of the SVG: %.200s", raw)
	}
	lo, hi := 1e9, -1e9
	for _, m := range regexp.MustCompile(`<polygon points="([^"]*)"`).FindAllStringSubmatch(raw, -1) {
		for _, pair := range strings.Fields(m[1]) {
			x, err := strconv.ParseFloat(strings.SplitN(pair, ",", 2)[0], 64)
			if err != nil {
				t.Fatal(err)
			}
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	if hi-lo != 50 {
		t.Errorf("the bar is %g units long, want 50", hi-lo)
	}
}

func TestCSVIsReadable(t *testing.T) {
	p := packet()
	files := CSV(p)
	for _, name := range []string{"hanging_schedule", "circuits", "outlets", "addresses", "data_branches", "line_loads", "shopping_list", "tasks", "findings", "preset_levels", "light_by_face"} {
		raw, ok := files[name+".csv"]
		if !ok {
			t.Errorf("no %s.csv", name)
			continue
		}
		rows, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if len(rows) < 2 {
			t.Errorf("%s has %d rows", name, len(rows))
		}
		if !bytes.Contains(raw, []byte("\r\n")) {
			t.Errorf("%s: lines do not end in CRLF", name)
		}
	}
	// Stages continue one schedule; the findings of three weights are one list.
	rows, _ := csv.NewReader(bytes.NewReader(files["shopping_list.csv"])).ReadAll()
	if want := len(sample.MeetingHouse().Estimate.Lines) + 1; len(rows) != want {
		t.Errorf("shopping list of %d lines, want %d", len(rows), want)
	}
	rows, _ = csv.NewReader(bytes.NewReader(files["findings.csv"])).ReadAll()
	if want := len(sample.MeetingHouse().Findings) + 1; len(rows) != want {
		t.Errorf("findings of %d lines, want %d", len(rows), want)
	}
}

func TestHarmless(t *testing.T) {
	for in, want := range map[string]string{
		"": "", "R1": "R1", "=1+1": "'=1+1", "+4 ft": "'+4 ft", "-4": "-4", "-1.5": "-1.5", "−4 ft": "−4 ft", "+12": "+12", "@sum": "'@sum",
		"-2+3": "'-2+3", "\t=1": "'\t=1", "1 234.50": "1 234.50", "-": "'-", "+1 234,5": "+1 234,5", "-cmd": "'-cmd",
	} {
		if got := harmless(in); got != want {
			t.Errorf("harmless(%q) = %q, want %q", in, got, want)
		}
	}
}

// No cell that is not a number begins with a character that starts a formula.
func FuzzHarmless(f *testing.F) {
	for _, s := range []string{"=1", "+x", "-5", "@a", "\r=2", "a"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got := harmless(s)
		if got != "" && strings.ContainsRune("=@\t\r", rune(got[0])) {
			t.Errorf("harmless(%q) = %q", s, got)
		}
		if got != "" && (got[0] == '+' || got[0] == '-') && strings.Trim(got[1:], "0123456789 ,.%") != "" {
			t.Errorf("harmless(%q) = %q", s, got)
		}
		if strings.TrimPrefix(got, "'") != s && got != s {
			t.Errorf("harmless(%q) = %q changes the text", s, got)
		}
	})
}

func FuzzSVGText(f *testing.F) {
	f.Add("a<b&c>\"'\x00")
	f.Add("\xff\xfe")
	f.Fuzz(func(t *testing.T, s string) {
		scene := drawing.Scene{WidthMM: 10, HeightMM: 10, Title: s}
		scene.Write(drawing.LayerText, drawing.Text{Value: s, Size: 3})
		dec := xml.NewDecoder(bytes.NewReader(SVG(scene)))
		for {
			if _, err := dec.Token(); errors.Is(err, io.EOF) {
				return
			} else if err != nil {
				t.Fatalf("text %q: %v", s, err)
			}
		}
	})
}

func TestPrintable(t *testing.T) {
	for in, want := range map[string]string{"13\u00a0ft": "13 ft", "45° ½ Ω ☐": "45° ½ Ω ☐", "教": "□", "a\nb\x07": "a b ", "Łódź": "Łódź", "💡": "□"} {
		if got := printable(in); got != want {
			t.Errorf("printable(%q) = %q, want %q", in, got, want)
		}
	}
}

// The packet of the sample says what it said before.
func TestGoldenValues(t *testing.T) {
	got := Values(packet())
	if !utf8.Valid(got) {
		t.Fatal("values are not UTF-8")
	}
	file := filepath.Join("testdata", "meeting_house.values.txt")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		g, w := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
		for i := range min(len(g), len(w)) {
			if g[i] != w[i] {
				t.Fatalf("line %d is %q, want %q; run with -update if this is meant", i+1, g[i], w[i])
			}
		}
		t.Fatalf("%d lines, want %d; run with -update if this is meant", len(g), len(w))
	}
}

func BenchmarkPDF(b *testing.B) {
	p := packet()
	for b.Loop() {
		if _, err := PDF(p); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSVGPlan(b *testing.B) {
	s := sheet.PlanScene(sample.MeetingHouse())
	for b.Loop() {
		SVG(s)
	}
}

// ROODBEAM_SHEETS=DIR writes the sample's files there, to be looked at.
func TestWriteForEyes(t *testing.T) {
	dir := os.Getenv("ROODBEAM_SHEETS")
	if dir == "" {
		t.Skip("set ROODBEAM_SHEETS to a folder to write the sample's sheets into")
	}
	metric := sample.MeetingHouse()
	metric.Display, metric.Profile.Paper = si.Metric, "A3"
	for name, in := range map[string]sheet.Input{"sample": sample.MeetingHouse(), "metric": metric, "crowded": crowded(), "empty": {}} {
		for file, raw := range map[string][]byte{
			name + ".pdf": mustPDF(t, sheet.Build(in)), name + ".plan.svg": SVG(sheet.PlanScene(in)), name + ".map.svg": SVG(sheet.LightMapScene(in)), name + ".section.svg": SVG(sheet.SectionScene(in)),
		} {
			if err := os.WriteFile(filepath.Join(dir, file), raw, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
