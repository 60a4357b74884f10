package sheet

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"time"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

const unknown = "unknown"

// length, both and the other one-word functions are where numbers of the sheets
// get their unit and rounding. A number and its unit stay on one line.
func (in *Input) length(metres float64) string {
	return tight(si.FormatLength(si.Length(metres), in.Display))
}

func (in *Input) both(metres float64) string {
	if math.IsNaN(metres) || math.IsInf(metres, 0) {
		return unknown
	}
	return tight(si.FormatBoth(si.Length(metres), in.Display))
}

var (
	noBreaks = strings.NewReplacer(" (", " (", " ", "\u00a0")
	minuses  = strings.NewReplacer("(-", "(−")
	zeros    = strings.NewReplacer("−0.00\u00a0m", "0.00\u00a0m") // what rounds to nothing has no sign
)

// tight joins number and unit by no-break spaces, so that a line breaks only
// before a bracket, and writes a true minus sign.
func tight(s string) string {
	if strings.HasPrefix(s, "-") {
		s = "−" + s[1:]
	}
	return zeros.Replace(minuses.Replace(noBreaks.Replace(s)))
}

// twoLines is both on two lines, for narrow columns.
func (in *Input) twoLines(metres float64) string {
	if s := in.both(metres); s != unknown {
		return strings.Replace(s, " (", "\n(", 1)
	}
	return unknown
}

func (in *Input) typed(l si.Typed[si.Length]) string {
	if l.Set {
		return in.both(l.Value.Metres())
	}
	if l.Text != "" {
		return fmt.Sprintf("typed %q, unclear", l.Text)
	}
	return unknown
}

// point returns x, y, z on three lines.
func (in *Input) point(v geom.Vec) string {
	return "x " + in.signed(v.X) + "\ny " + in.signed(v.Y) + "\nz " + in.signed(v.Z)
}

func (in *Input) signed(metres float64) string {
	s := in.length(metres)
	if metres > 0 && s != unknown {
		return "+" + s
	}
	return s
}

func (in *Input) mass(kg float64) string {
	if math.IsNaN(kg) {
		return unknown
	}
	other := si.US
	if in.Display == si.US {
		other = si.Metric
	}
	return tight(si.FormatMass(si.Mass(kg), in.Display) + " (" + si.FormatMass(si.Mass(kg), other) + ")")
}

func (in *Input) lux(lx float64) string {
	return tight(si.FormatIlluminance(si.Illuminance(lx), in.Display))
}

func (in *Input) money(minor int64) string {
	return tight(si.FormatMoney(minor, in.Estimate.Currency))
}

func number(v float64, decimals int, unit string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return unknown
	}
	s := fmt.Sprintf("%.*f", decimals, v)
	s = strings.Replace(s, "-", "−", 1)
	switch unit {
	case "":
		return s
	case "°":
		return s + unit
	}
	return s + "\u00a0" + unit
}

func degrees(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return unknown
	}
	return strings.Replace(fmt.Sprintf("%.1f°", v), "-", "−", 1)
}

// quantity keeps one decimal, none where it would be a zero.
func quantity(v float64) string {
	return strings.TrimSuffix(number(v, 1, ""), ".0")
}

func day(t time.Time) string {
	if t.IsZero() {
		return "open"
	}
	return t.Format("Mon 2 Jan 2006")
}

// words turns an identifier into words: "front_wash" into "front wash".
func words(id string) string { return strings.ReplaceAll(id, "_", " ") }

// thousands is a space inside a number.
var thousands = regexp.MustCompile(`(\d) (\d{3}\b)`)

// whole keeps the numbers of a text from breaking over lines at their thousands.
func whole(text string) string {
	return thousands.ReplaceAllString(text, "${1}\u00a0${2}")
}

// sentence ends a text with a full stop, so that another may follow it.
func sentence(s string) string {
	if s == "" || strings.ContainsRune(".!?", rune(s[len(s)-1])) {
		return s
	}
	return s + "."
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func severityWord(s finding.Severity) string { return s.String() }

// bearing says from where a light comes, as seen by the person lit.
func bearing(deg float64) string {
	switch a := math.Abs(deg); {
	case math.IsNaN(deg):
		return unknown
	case a > 120:
		return "from behind"
	case a < 0.05:
		return "straight"
	case deg > 0:
		return degrees(a) + " from stage left"
	default:
		return degrees(a) + " from stage right"
	}
}

func (in *Input) moneyIn(minor int64, currency string) string {
	return tight(si.FormatMoney(minor, orText(currency, in.Estimate.Currency)))
}
