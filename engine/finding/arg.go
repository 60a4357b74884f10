package finding

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/si"
)

// Kind says how an argument is shown to people.
type Kind string

// The kinds of argument; Num is in the unit the kind names.
const (
	KindLength  Kind = "length_m"
	KindAngle   Kind = "angle_deg"
	KindLux     Kind = "illuminance_lx"
	KindMass    Kind = "mass_kg"
	KindMoney   Kind = "money_minor" // Text is the ISO 4217 code
	KindPercent Kind = "percent"
	KindNumber  Kind = "number" // Text is the unit, may be empty
	KindCount   Kind = "count"
	KindText    Kind = "text"
)

// Arg is one named value in a finding's text.
type Arg struct {
	Name string
	Kind Kind
	Num  float64
	Text string
}

// Len is a length argument.
func Len(name string, l si.Length) Arg { return Arg{name, KindLength, l.Metres(), ""} }

// Deg is an angle argument, given in degrees.
func Deg(name string, deg float64) Arg { return Arg{name, KindAngle, deg, ""} }

// Lux is an illuminance argument.
func Lux(name string, e si.Illuminance) Arg { return Arg{name, KindLux, e.Lux(), ""} }

// Mass is a mass argument.
func Mass(name string, m si.Mass) Arg { return Arg{name, KindMass, m.Kilograms(), ""} }

// Money is an amount in minor units with its ISO 4217 code.
func Money(name string, minor int64, currency string) Arg {
	return Arg{name, KindMoney, float64(minor), currency}
}

// Percent is a share, given in percent.
func Percent(name string, pct float64) Arg { return Arg{name, KindPercent, pct, ""} }

// Num is a number with a unit as text ("A", "W", "stops").
func Num(name string, v float64, unit string) Arg { return Arg{name, KindNumber, v, unit} }

// CountOf is a whole number.
func CountOf(name string, n int) Arg { return Arg{name, KindCount, float64(n), ""} }

// Text is a word or a list already made for people.
func Text(name, text string) Arg { return Arg{name, KindText, 0, text} }

// Format returns the argument for people.
func (a Arg) Format(d si.Display) string {
	switch a.Kind {
	case KindLength:
		return si.FormatLength(si.Length(a.Num), d)
	case KindAngle:
		return fmt.Sprintf("%.1f°", a.Num)
	case KindLux:
		return si.FormatIlluminance(si.Illuminance(a.Num), d)
	case KindMass:
		return si.FormatMass(si.Mass(a.Num), d)
	case KindMoney:
		return si.FormatMoney(int64(math.Round(a.Num)), a.Text)
	case KindPercent:
		return fmt.Sprintf("%.1f %%", a.Num)
	case KindCount:
		return fmt.Sprintf("%.0f", a.Num)
	case KindText:
		return a.Text
	}
	return strings.TrimSpace(formatNumber(a.Num) + " " + a.Text)
}

// formatNumber keeps three significant digits without exponent.
func formatNumber(v float64) string {
	switch abs := math.Abs(v); {
	case math.IsNaN(v):
		return "unknown"
	case abs >= 100 || v == math.Trunc(v):
		return fmt.Sprintf("%.0f", v)
	case abs >= 10:
		return fmt.Sprintf("%.1f", v)
	default:
		return fmt.Sprintf("%.2f", v)
	}
}
