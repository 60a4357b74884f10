package electrical

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/survey"
)

// System is the supply as the sizes take it.
type System struct {
	Name        string // single_phase_2w, single_phase_3w, three_phase_4w, three_phase_3w
	Voltage     float64
	VoltageLL   float64  // between lines; equal to Voltage where there is one voltage only
	FrequencyHz float64  // by region where not surveyed
	Lines       []string // L1, L2, L3
	Ways        []string // where a circuit may be connected by default: a line, or a pair of lines
	Poles       int      // poles of a circuit's breaker by default
	Assumed     string   // what was assumed for want of an answer; empty: nothing
	// HighLeg is the line of a four-wire delta that stands √3 times as high above the
	// neutral as the others and feeds nothing between line and neutral; empty: none.
	HighLeg string
}

// highLegRatio is the voltage between lines over that of a half winding to the
// neutral in a four-wire delta with the middle of one winding earthed.
const highLegRatio = 2

// ratioTolerance is how far the two surveyed voltages may stand from the
// system's ratio: nominal pairs are rounded (120/208, 230/400, 127/220) and
// supplies are read with a pocket meter.
const ratioTolerance = 0.06

// systemFrom reads the surveyed supply. What is missing is assumed by region,
// said so in Assumed and in a finding.
func systemFrom(s survey.Supply, p region.Profile, book *finding.Book) (System, []finding.Finding) {
	var fs []finding.Finding
	var missing []string
	sys := System{Name: s.System}
	switch s.System {
	case "single_phase_2w", "single_phase_3w", "three_phase_4w", "three_phase_3w":
	default:
		missing = append(missing, "the system (lines and neutral)")
		sys.Name = named(p.DefaultSupply.System, "single_phase_2w")
	}
	ratio := 1.0
	sys.Poles = 1
	switch sys.Name {
	case "single_phase_2w":
		sys.Lines = []string{"L1"}
		sys.Ways = sys.Lines
	case "single_phase_3w":
		ratio = 2
		sys.Lines = []string{"L1", "L2"}
		sys.Ways = sys.Lines
	case "three_phase_4w":
		ratio = math.Sqrt(3)
		sys.Lines = []string{"L1", "L2", "L3"}
		sys.Ways = sys.Lines
	case "three_phase_3w":
		sys.Lines = []string{"L1", "L2", "L3"}
		sys.Ways = []string{"L1-L2", "L2-L3", "L3-L1"}
		sys.Poles = 2
	}
	v, vll := positive(float64(s.Voltage.Or(0))), positive(float64(s.VoltageLL.Or(0)))
	switch {
	case v == 0 && vll == 0:
		missing = append(missing, "the voltage")
		v = p.DefaultSupply.VoltageV
		if v == 0 {
			v = 230
		}
		vll = ratio * v
	case v == 0:
		v = vll / ratio
	case vll == 0:
		vll = ratio * v
	default:
		if sys.Name == "three_phase_4w" && math.Abs(vll/(highLegRatio*v)-1) <= ratioTolerance {
			// Usual panels put the high leg in the middle.
			sys.HighLeg, sys.Ways = sys.Lines[1], []string{sys.Lines[0], sys.Lines[2]}
			fs = append(fs, book.New("ELECTRICAL_HIGH_LEG", "supply", finding.Text("leg", sys.HighLeg), finding.Num("volts", v, "V"),
				finding.Num("high", v*math.Sqrt(3), "V"), finding.Num("between", vll, "V")))
		} else if sys.Name != "single_phase_2w" && math.Abs(vll/(ratio*v)-1) > ratioTolerance {
			f := book.New("ELECTRICAL_SUPPLY_CONTRADICTION", "supply",
				finding.Text("system", spoken(sys.Name)), finding.Num("phase", v, "V"), finding.Num("between", vll, "V"))
			fs = append(fs, measured(f, vll, ratio*v))
			vll = ratio * v
		}
	}
	sys.Voltage, sys.VoltageLL = v, vll
	if sys.Name == "single_phase_2w" {
		sys.VoltageLL = v
	}
	sys.FrequencyHz = positive(s.Frequency)
	if sys.FrequencyHz == 0 {
		// No size depends on it, so it does not hold up the works.
		sys.FrequencyHz = p.DefaultSupply.FrequencyH
		if sys.FrequencyHz == 0 {
			sys.FrequencyHz = 50
		}
	}
	if len(missing) > 0 {
		sys.Assumed = sys.Describe()
		fs = append(fs, book.New("ELECTRICAL_SUPPLY_UNKNOWN", "supply",
			finding.Text("missing", strings.Join(missing, ", ")), finding.Text("assumed", sys.Assumed)))
	}
	return sys, fs
}

// Describe returns the system for people: "three lines with neutral,
// 230/400 V, 50 Hz".
func (s System) Describe() string {
	volts := fmt.Sprintf("%.0f V", s.Voltage)
	if s.VoltageLL != s.Voltage {
		volts = fmt.Sprintf("%.0f/%.0f V", s.Voltage, s.VoltageLL)
	}
	high := ""
	if s.HighLeg != "" {
		high = fmt.Sprintf(", delta with %s as its high leg", s.HighLeg)
	}
	return fmt.Sprintf("%s%s, %s, %g Hz", spoken(s.Name), high, volts, s.FrequencyHz)
}

func spoken(system string) string {
	switch system {
	case "single_phase_2w":
		return "single-phase two-wire"
	case "single_phase_3w":
		return "single-phase three-wire"
	case "three_phase_4w":
		return "three lines with neutral"
	case "three_phase_3w":
		return "three lines without neutral"
	}
	return "unknown"
}

// wayVolts returns the voltage of a place to connect to, and false where the
// supply has no such place.
func (s System) wayVolts(way string) (float64, bool) {
	if s.lineIndex(way) >= 0 {
		// Where there is no neutral a single line feeds nothing.
		return s.Voltage, s.Name != "three_phase_3w" && way != s.HighLeg
	}
	if s.pairIndex(way) >= 0 {
		return s.VoltageLL, true
	}
	return 0, false
}

// wayLines names the lines of a breaker of some poles whose first is on line k.
func (s System) wayLines(k, poles int) string {
	n := len(s.Lines)
	switch {
	case poles <= 1 || n < 2:
		return s.Lines[k]
	case poles >= n && n > 2:
		return strings.Join(s.Lines, "-")
	}
	return s.canonical(s.Lines[k] + "-" + s.Lines[(k+1)%n])
}

// poleLines returns the line of each pole of a breaker: those written down, "L1-L2",
// or the first and those after it. A line that the supply does not have comes back as
// written, for every pole.
func (s System) poleLines(way string, poles int) []string {
	if parts := strings.Split(way, "-"); len(parts) == poles && !slices.ContainsFunc(parts, func(l string) bool { return s.lineIndex(l) < 0 }) {
		return parts
	}
	out := make([]string, poles)
	first := s.lineIndex(way)
	for i := range out {
		out[i] = way
		if first >= 0 {
			out[i] = s.Lines[(first+i)%len(s.Lines)]
		}
	}
	return out
}

func (s System) lineIndex(way string) int {
	for i, l := range s.Lines {
		if l == way {
			return i
		}
	}
	return -1
}

// pairIndex returns i for the pair of line i and the next one, −1 for none.
func (s System) pairIndex(way string) int {
	n := len(s.Lines)
	if n < 2 {
		return -1
	}
	for i, l := range s.Lines {
		next := s.Lines[(i+1)%n]
		if way == l+"-"+next || way == next+"-"+l {
			if n == 2 {
				return 0
			}
			return i
		}
	}
	return -1
}

// canonical returns the pair or line under its usual name.
func (s System) canonical(way string) string {
	if i := s.pairIndex(way); i >= 0 {
		return s.Lines[i] + "-" + s.Lines[(i+1)%len(s.Lines)]
	}
	return way
}

// tally sums loads on lines and on pairs of lines.
type tally struct {
	line [3]float64 // A, between line and neutral, or as read on the line
	pair [3]float64 // A, between line i and the next
}

func (t tally) plus(u tally) tally {
	for i := range t.line {
		t.line[i] += u.line[i]
		t.pair[i] += u.pair[i]
	}
	return t
}

func (t tally) minus(u tally) tally {
	for i := range t.line {
		t.line[i] -= u.line[i]
		t.pair[i] -= u.pair[i]
	}
	return t
}

// current returns each line's current, A: loads to neutral by their arithmetic
// sum (power factors differ, so the sum is not exceeded), loads between lines
// by their phasors, both added up. A credit never takes a line below zero.
func (s System) current(t tally) []float64 {
	all := currents(&t, len(s.Lines))
	return all[:len(s.Lines)]
}

func currents(t *tally, lines int) (out [3]float64) {
	for i := range lines {
		out[i] = t.line[i]
		switch lines {
		case 2:
			out[i] += t.pair[0]
		case 3:
			out[i] += PairLineCurrent(max(0, t.pair[i]), max(0, t.pair[(i+2)%3]))
		}
		out[i] = max(0, out[i])
	}
	return out
}

// on returns the tally of an apparent power on a line or pair; spread evenly
// over the lines when the way is empty or unknown.
func (s System) on(way string, va float64) tally {
	var t tally
	va = positive(va)
	if i := s.pairIndex(way); i >= 0 {
		t.pair[i] = va / s.VoltageLL
		return t
	}
	if i := s.lineIndex(way); i >= 0 {
		t.line[i] = va / s.Voltage
		return t
	}
	each := s.evenly(va)
	for i, l := range s.Lines {
		if l != s.HighLeg {
			t.line[i] = each
		}
	}
	return t
}

// evenly returns the current of each line, A, of an apparent power spread over
// all lines: S/V, S/2V, S/3V, or S/√3V where there is no neutral.
func (s System) evenly(va float64) float64 {
	if s.Name == "three_phase_3w" {
		return va / (math.Sqrt(3) * s.Voltage)
	}
	lines := len(s.Lines)
	if s.HighLeg != "" {
		lines--
	}
	return va / (float64(lines) * s.Voltage)
}

// measured gives a finding its value and the limit that was found at run time.
func measured(f finding.Finding, value, limit float64) finding.Finding {
	f.Value, f.HasValue = value, true
	f.Limit, f.HasLimit = limit, true
	return f
}
