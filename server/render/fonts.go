package render

import (
	"strings"
	"unicode"

	"roodbeam/engine/drawing"
)

// fontName is the family under which the embedded fonts are registered.
const fontName = "sheet"

// pt returns the font size in points of an em height in mm; 1 in is 72 pt.
func pt(mm float64) float64 { return mm / 25.4 * 72 }

// printable returns text with every character the font can't draw replaced by a
// box, and control characters by a space.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == drawing.NoBreak || unicode.IsControl(r) || r == '\u2028' || r == '\u2029':
			return ' '
		case drawing.HasGlyph(r):
			return r
		}
		return '□'
	}, text)
}
