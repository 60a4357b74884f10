package si

import (
	"fmt"
	"math"
	"strings"
)

// Display chooses the units in which people read lengths and masses.
type Display int

// Metric shows metres and kilograms, US feet-inches and pounds.
const (
	Metric Display = iota
	US
)

// FormatLength returns l for people: "4.25 m", or "13 ft 11 1/4 in" to the
// nearest quarter inch in US display.
func FormatLength(l Length, d Display) string {
	if !finite(float64(l)) {
		return "unknown"
	}
	if d == Metric {
		return strings.Replace(fmt.Sprintf("%.2f m", l.Metres()), "-", "−", 1)
	}
	q := int64(math.Round(math.Abs(l.Inches()) * 4))
	sign := ""
	if l < 0 && q > 0 {
		sign = "−"
	}
	feet, rest := q/48, q%48
	inches, quarters := rest/4, rest%4
	frac := [4]string{"", "1/4", "1/2", "3/4"}[quarters]
	var parts []string
	if feet > 0 {
		parts = append(parts, fmt.Sprintf("%d ft", feet))
	}
	switch {
	case frac != "" && inches > 0:
		parts = append(parts, fmt.Sprintf("%d %s in", inches, frac))
	case frac != "":
		parts = append(parts, frac+" in")
	case inches > 0 || feet == 0:
		parts = append(parts, fmt.Sprintf("%d in", inches))
	}
	return sign + strings.Join(parts, " ")
}

// FormatBoth returns l in both systems, the display's own first:
// "13 ft 11 1/4 in (4.25 m)".
func FormatBoth(l Length, d Display) string {
	other := Metric
	if d == Metric {
		other = US
	}
	return FormatLength(l, d) + " (" + FormatLength(l, other) + ")"
}

// FormatMass returns m for people, "12.3 kg" or "27.1 lb".
func FormatMass(m Mass, d Display) string {
	if !finite(float64(m)) {
		return "unknown"
	}
	v, unit := m.Kilograms(), "kg"
	if d == US {
		v, unit = m.Pounds(), "lb"
	}
	if math.Abs(v) >= 1000 {
		return fmt.Sprintf("%.0f %s", v, unit)
	}
	return fmt.Sprintf("%.1f %s", v, unit)
}

// FormatIlluminance returns e for people, "446 lx" or "446 lx (41 fc)".
func FormatIlluminance(e Illuminance, d Display) string {
	if !finite(float64(e)) {
		return "unknown"
	}
	if d == US {
		return fmt.Sprintf("%.0f lx (%.0f fc)", e.Lux(), e.Footcandles())
	}
	return fmt.Sprintf("%.0f lx", e.Lux())
}

// FormatMoney returns an amount of minor units with two decimals and its
// ISO 4217 code: "1 234.50 EUR".
func FormatMoney(minor int64, currency string) string {
	sign := ""
	if minor < 0 {
		sign, minor = "−", -minor
	}
	whole := fmt.Sprintf("%d", minor/100)
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + " " + whole[i:]
	}
	return fmt.Sprintf("%s%s.%02d %s", sign, whole, minor%100, currency)
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
