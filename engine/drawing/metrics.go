package drawing

import (
	"strings"
	"unicode"
)

// emUnits is the em of the width tables in font units.
const emUnits = 2048

// noGlyph marks a character the font has no glyph for.
const noGlyph = 0xffff

// glyphRun is the advance widths of consecutive characters, in font units.
type glyphRun struct {
	first   rune
	regular []uint16
	bold    []uint16
}

// HasGlyph tells whether the sheets' font, DejaVu Sans Condensed, draws a character.
func HasGlyph(r rune) bool {
	w, ok := advance(r, false)
	return ok && w != noGlyph
}

// TextWidth returns the width, in mm, of one line of text set in DejaVu Sans
// Condensed at an em height of sizeMM. A character without glyph counts one em,
// which is more than the box drawn in its place.
func TextWidth(text string, sizeMM float64, bold bool) float64 {
	sum := 0
	for _, r := range text {
		w, ok := advance(r, bold)
		if !ok || w == noGlyph {
			w = emUnits
		}
		sum += int(w)
	}
	return float64(sum) / emUnits * sizeMM
}

func advance(r rune, bold bool) (uint16, bool) {
	for i := range glyphRuns {
		g := &glyphRuns[i]
		if k := int(r - g.first); k >= 0 && k < len(g.regular) {
			if bold {
				return g.bold[k], true
			}
			return g.regular[k], true
		}
	}
	return 0, false
}

// Wrap returns the text broken into lines no wider than widthMM: at line feeds,
// then between words, then inside a word that is wider than a line, after one of
// its hyphens, low lines or slashes where that serves. A width
// narrower than one character gives one character per line.
func Wrap(text string, widthMM, sizeMM float64, bold bool) []string {
	var lines []string
	for _, para := range strings.Split(text, "\n") {
		line := ""
		for _, word := range strings.FieldsFunc(para, breaks) {
			try := word
			if line != "" {
				try = line + " " + word
			}
			if TextWidth(try, sizeMM, bold) <= widthMM {
				line = try
				continue
			}
			if line != "" {
				lines = append(lines, line)
			}
			parts := breakWord(word, widthMM, sizeMM, bold)
			lines = append(lines, parts[:len(parts)-1]...)
			line = parts[len(parts)-1]
		}
		lines = append(lines, line)
	}
	return lines
}

// breaks tells whether a line may break at a character: white space but the
// no-break space, which keeps a number with its unit.
func breaks(r rune) bool { return unicode.IsSpace(r) && r != NoBreak }

// NoBreak is the no-break space.
const NoBreak = '\u00a0'

// breakWord breaks inside a word, after a hyphen, low line or slash where the
// line has one, so that codes and compounds stay readable.
func breakWord(word string, widthMM, sizeMM float64, bold bool) []string {
	var parts []string
	part, w, joint := "", 0.0, 0 // joint is the length of part up to its last good break
	for _, r := range word {
		rw := TextWidth(string(r), sizeMM, bold)
		for part != "" && w+rw > widthMM { // what follows a good break may be too wide with r as well
			cut := len(part)
			if joint > 0 {
				cut = joint
			}
			parts = append(parts, part[:cut])
			part = part[cut:]
			w, joint = TextWidth(part, sizeMM, bold), 0
		}
		part += string(r)
		w += rw
		if strings.ContainsRune("-_/", r) {
			joint = len(part)
		}
	}
	return append(parts, part)
}

// Shorten returns the text cut, with an ellipsis, to at most widthMM.
func Shorten(text string, widthMM, sizeMM float64, bold bool) string {
	if TextWidth(text, sizeMM, bold) <= widthMM {
		return text
	}
	rs := []rune(text)
	lo, hi := 0, len(rs)
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if TextWidth(string(rs[:mid])+"…", sizeMM, bold) <= widthMM {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return strings.TrimRight(string(rs[:lo]), " ") + "…"
}
