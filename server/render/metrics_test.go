package render

import (
	"bytes"
	"flag"
	"fmt"
	"go/format"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"roodbeam/engine/drawing"
)

var update = flag.Bool("update", false, "rewrite generated files and golden files")

// metricRanges are the blocks whose widths the engine carries: Latin, Greek,
// Cyrillic, Hebrew, punctuation, currency, letter-like, arrows, mathematics,
// boxes and marks.
var metricRanges = [][2]rune{
	{0x20, 0x24f}, {0x2b0, 0x3ff}, {0x400, 0x4ff}, {0x5d0, 0x5ea}, {0x1e00, 0x1eff},
	{0x2000, 0x206f}, {0x2070, 0x20bf}, {0x2100, 0x22ff}, {0x2300, 0x23ff}, {0x25a0, 0x27bf},
}

const metricsFile = "../../engine/drawing/metrics_data.go"

// The width tables in engine/drawing are those of the font that is embedded.
func TestMetricsAreTheFonts(t *testing.T) {
	want := metricsSource(t)
	if *update {
		if err := os.WriteFile(filepath.FromSlash(metricsFile), want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(filepath.FromSlash(metricsFile))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("engine/drawing/metrics_data.go differs from the font's widths; run with -update")
	}
}

// The encoder measures a text as the engine does, so that what was placed
// without overlap is drawn without overlap.
func TestEncoderMeasuresLikeEngine(t *testing.T) {
	// The encoder rounds each glyph to a thousandth of the em.
	const perGlyph = 0.0006
	f := newFile("A3", stamp(""))
	for _, text := range []string{"Reading desk", "WAVE To, 13 ft 11 1/4 in (4.25 m)", "Łódź Ærøskøbing Страница ≥ 45° ½", ""} {
		for _, bold := range []bool{false, true} {
			style := ""
			if bold {
				style = "B"
			}
			f.pdf.SetFont(fontName, style, pt(10))
			got, want := f.pdf.GetStringWidth(text), drawing.TextWidth(text, 10, bold)
			if tol := perGlyph * 10 * float64(len([]rune(text))); math.Abs(got-want) > tol {
				t.Errorf("width of %q bold %v = %.3f mm, engine says %.3f mm", text, bold, got, want)
			}
		}
	}
}

func metricsSource(t *testing.T) []byte {
	t.Helper()
	var fonts [2]*sfnt.Font
	for i, ttf := range [][]byte{dejavusanscondensed.TTF, dejavusanscondensedbold.TTF} {
		f, err := sfnt.Parse(ttf)
		if err != nil {
			t.Fatal(err)
		}
		if f.UnitsPerEm() != 2048 {
			t.Fatalf("units per em = %d, want 2048", f.UnitsPerEm())
		}
		fonts[i] = f
	}
	var b bytes.Buffer
	fmt.Fprint(&b, "// Code generated from DejaVu Sans Condensed by the tests of server/render with -update; DO NOT EDIT.\n\n")
	fmt.Fprint(&b, "package drawing\n\nvar glyphRuns = [...]glyphRun{\n")
	var buf sfnt.Buffer
	for _, r := range metricRanges {
		fmt.Fprintf(&b, "{first: 0x%x,\n", r[0])
		for i, name := range []string{"regular", "bold"} {
			fmt.Fprintf(&b, "%s: []uint16{", name)
			for c := r[0]; c <= r[1]; c++ {
				if (c-r[0])%16 == 0 {
					fmt.Fprint(&b, "\n")
				}
				w := 0xffff
				if g, err := fonts[i].GlyphIndex(&buf, c); err == nil && g != 0 {
					a, err := fonts[i].GlyphAdvance(&buf, g, fixed.I(2048), font.HintingNone)
					if err != nil {
						t.Fatal(err)
					}
					w = a.Round()
				}
				fmt.Fprintf(&b, "%d,", w)
			}
			fmt.Fprint(&b, "\n},\n")
		}
		fmt.Fprint(&b, "},\n")
	}
	fmt.Fprint(&b, "}\n")
	src, err := format.Source(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return src
}
