package survey

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/si"
)

// Fit is one reading of a number typed without unit, held against what else is
// known of the room.
type Fit struct {
	Reading si.Reading[si.Length]
	Fits    bool
	Why     string // for people: the numbers that agree or clash
	miss    float64
}

// readingName writes a reading with its unit: "86 cm", "11 ft 10 in".
func readingName(text string, r si.Reading[si.Length]) string {
	if r.As == "ft-in" {
		return si.FormatLength(r.Value, si.US)
	}
	return strings.TrimSpace(text) + " " + r.As
}

// best returns the reading that fits and misses least as a known length that
// keeps the typed text; false when none fits.
func best(l L, fits []Fit) (L, bool) {
	at := -1
	for i, f := range fits {
		if f.Fits && (at < 0 || f.miss < fits[at].miss) {
			at = i
		}
	}
	if at < 0 {
		return L{}, false
	}
	return L{Text: l.Text, Value: fits[at].Reading.Value, Set: true, Readings: l.Readings}, true
}

func fitAll(l L, test func(v si.Length) (fits bool, miss float64, why string)) []Fit {
	var out []Fit
	for _, r := range l.Readings {
		ok, miss, why := test(r.Value)
		out = append(out, Fit{r, ok, why, miss})
	}
	return out
}

// Plausible ranges of things in a church. Source: unit test of doors, pews,
// people and ceilings, common practice.
var (
	pitchRange   = span{0.75, 1.1}
	ceilingRange = span{2.3, 25}
	doorRange    = span{1.9, 2.4}
	riserRange   = span{0.12, 0.19}
	seatedRange  = span{0.9, 1.5}
	peopleRange  = span{1.5, 2.0}
)

type span struct{ low, high float64 }

func (s span) has(v si.Length) bool { return float64(v) >= s.low && float64(v) <= s.high }

// rowTolerance is by how much rows × pitch may miss the taped distance from
// first to last row (common practice, 4 %).
const rowTolerance = 0.04

// FitPitch holds the readings of a seating pitch typed without unit against the
// taped run from first to last row, or, where that is unknown, against usual
// pitches and the room. The length returned is the reading that fits best.
func FitPitch(s Survey, st Seating) (L, []Fit, bool) {
	rear, rearKnown := rearWall(s)
	gaps := si.Length(st.Rows - 1)
	fits := fitAll(st.Pitch, func(v si.Length) (bool, float64, string) {
		last := st.FirstY.Or(0) - gaps*v
		d := DisplayOf(st.FirstY.Text + st.LastY.Text)
		end := fmt.Sprintf("puts row %d at %s from the platform", st.Rows, si.FormatLength(-last, d))
		if st.FirstY.Set && st.LastY.Set && st.Rows > 1 {
			run := math.Abs(float64(st.FirstY.Value - st.LastY.Value))
			miss := math.Abs(float64(gaps*v)-run) / math.Max(run, 0.1)
			if miss <= rowTolerance {
				return true, miss, fmt.Sprintf("%s, by tape it is at %s (%.1f %% of the run)", end, si.FormatLength(-st.LastY.Value, d), miss*100)
			}
			if rearKnown && last < rear {
				return false, miss, end + ", outside the room"
			}
			return false, miss, fmt.Sprintf("%s, by tape it is at %s", end, si.FormatLength(-st.LastY.Value, d))
		}
		if !pitchRange.has(v) {
			return false, 1, "no usual distance between rows"
		}
		if rearKnown && last < rear {
			return false, 1, end + ", outside the room"
		}
		return true, math.Abs(float64(v) - 0.9), "a usual distance between rows"
	})
	l, ok := best(st.Pitch, fits)
	return l, fits, ok
}

// stackTolerance is by how much soffit and front may miss the rail top, in
// metres: two tape readings and a moulding (common practice).
const stackTolerance = 0.05

// FitRailTop holds the readings of a gallery's rail top typed without unit
// against soffit plus front, or floor plus a usual front height.
func FitRailTop(g Gallery) (L, []Fit, bool) {
	want, what, ok := stackHeight(g)
	if !ok {
		return L{}, nil, false
	}
	d := DisplayOf(g.Soffit.Text + g.Front.Text + g.Floor.Text)
	fits := fitAll(g.RailTop, func(v si.Length) (bool, float64, string) {
		diff := float64(v - want)
		if math.Abs(diff) <= stackTolerance {
			return true, math.Abs(diff), fmt.Sprintf("agrees with %s = %s", what, si.FormatLength(want, d))
		}
		word := "high"
		if diff < 0 {
			word = "low"
		}
		return false, math.Abs(diff), fmt.Sprintf("%s too %s against %s = %s", offBy(math.Abs(diff), d), word, what, si.FormatLength(want, d))
	})
	l, found := best(g.RailTop, fits)
	return l, fits, found
}

// offBy writes a difference: inches with one decimal under two feet.
func offBy(m float64, d si.Display) string {
	if d == si.US && m < 2*0.3048 {
		return fmt.Sprintf("%.1f in", m/0.0254)
	}
	return si.FormatLength(si.Length(m), d)
}

// stackHeight is the rail top that soffit and front give together.
func stackHeight(g Gallery) (si.Length, string, bool) {
	if !g.Soffit.Set || !g.Front.Set {
		return 0, "", false
	}
	d := DisplayOf(g.Soffit.Text + g.Front.Text)
	return g.Soffit.Value + g.Front.Value,
		fmt.Sprintf("soffit %s + front %s", si.FormatLength(g.Soffit.Value, d), si.FormatLength(g.Front.Value, d)), true
}

// boundShare is by how much a ceiling read roughly may miss what lies under or
// over it (common practice, 3 %).
const boundShare = 0.03

// FitCeiling holds the readings of a ceiling height typed without unit against
// usual heights and against everything that must lie below or above the ceiling.
func FitCeiling(s Survey, l L) (L, []Fit, bool) {
	low, lowWhat, high, highWhat := ceilingBounds(s)
	d := surveyDisplay(s)
	fits := fitAll(l, func(v si.Length) (bool, float64, string) {
		closest := 0.0
		for _, known := range heightsOf(s, "ceiling") {
			miss := math.Abs(float64(v-known)) / math.Max(0.1, float64(known))
			closest = math.Max(closest, miss)
			if miss > 0.05 {
				return false, miss, fmt.Sprintf("%s contradicts the ceiling read as %s", si.FormatLength(v, d), si.FormatLength(known, d))
			}
		}
		switch {
		case !ceilingRange.has(v):
			return false, 1, fmt.Sprintf("%s is no height of a room (2.3 to 25 m)", si.FormatLength(v, d))
		case low > 0 && v < low*(1-boundShare):
			return false, 1, fmt.Sprintf("%s is below %s at %s", si.FormatLength(v, d), lowWhat, si.FormatLength(low, d))
		case high > 0 && v > high*(1+boundShare):
			return false, 1, fmt.Sprintf("%s is above %s at %s", si.FormatLength(v, d), highWhat, si.FormatLength(high, d))
		}
		if closest > 0 {
			return true, closest, fmt.Sprintf("%s, within %.1f %% of the ceiling read otherwise", si.FormatLength(v, d), closest*100)
		}
		return true, closest, fmt.Sprintf("%s contradicts nothing", si.FormatLength(v, d))
	})
	out, ok := best(l, fits)
	return out, fits, ok
}

// ceilingBounds returns the highest thing that must lie under the ceiling and
// the lowest that must lie above it; 0 where nothing is known.
func ceilingBounds(s Survey) (low si.Length, lowWhat string, high si.Length, highWhat string) {
	under := func(l L, what string) {
		if l.Set && l.Value > low {
			low, lowWhat = l.Value, what
		}
	}
	for _, r := range s.Routes {
		under(r.DoorHeight, "the door "+r.Name)
	}
	for _, sc := range s.Screens {
		if sc.Bottom.Set && sc.Height.Set {
			under(si.Known(sc.Bottom.Value+sc.Height.Value), "the top of screen "+sc.Name)
		}
	}
	for _, w := range s.Windows {
		if w.Sill.Set && w.Height.Set {
			under(si.Known(w.Sill.Value+w.Height.Value), "the head of window "+w.Name)
		}
	}
	for _, l := range s.Lines {
		if l.State == Removed {
			continue
		}
		for _, z := range []L{l.From.Z, l.To.Z} {
			if l.Kind == "ceiling" {
				continue
			}
			if l.Kind == "slab" {
				if z.Set && (high == 0 || z.Value < high) {
					high, highWhat = z.Value, "the slab "+l.Name
				}
			} else {
				under(z, "line "+l.Name)
			}
		}
	}
	return low, lowWhat, high, highWhat
}

// heightsOf lists the known heights measured to a name.
func heightsOf(s Survey, name string) []si.Length {
	var out []si.Length
	for _, m := range s.Measurements {
		if !m.Void && m.Kind == Height && m.Value.Set && strings.EqualFold(m.To, name) && isHall(m.Reference) {
			out = append(out, m.Value.Value)
		}
	}
	if name == "ceiling" && s.Ceiling.flatOrUnknown() {
		for _, z := range ceilingLines(s) {
			out = append(out, z.Value)
		}
	}
	if name == "ceiling" && s.Ceiling.Height.Set && s.Ceiling.Shape != "a_frame" {
		out = append(out, s.Ceiling.Height.Value)
	}
	return out
}

// ceilingLines lists the typed heights of lines that are the ceiling itself.
func ceilingLines(s Survey) []L {
	var out []L
	for _, l := range s.Lines {
		if l.Kind == "ceiling" && l.State != Removed && l.From.Z.Set && (!l.To.Z.Set || l.To.Z.Value == l.From.Z.Value) {
			out = append(out, l.From.Z)
		}
	}
	return out
}

// rearWall returns the y of the wall farthest from the platform as far as typed
// coordinates or the longest typed distance say; false when nothing does.
func rearWall(s Survey) (si.Length, bool) {
	low, ok := si.Length(0), false
	corner := map[string]bool{}
	for _, n := range s.Footprint {
		corner[n] = true
	}
	for _, st := range s.Stations {
		if !corner[st.Name] {
			continue
		}
		for _, y := range []L{st.FixedY, st.NearY} {
			if y.Set && (!ok || y.Value < low) {
				low, ok = y.Value, true
			}
		}
	}
	if ok {
		return low, true
	}
	for _, m := range s.Measurements {
		if !m.Void && (m.Kind == Distance || m.Kind == Horizontal) && m.Value.Set && -m.Value.Value < low {
			low, ok = -m.Value.Value, true
		}
	}
	return low, ok
}

// surveyDisplay tells in which units the survey's people write.
func surveyDisplay(s Survey) si.Display {
	us, metric := 0, 0
	count := func(l L) {
		if l.Text == "" {
			return
		}
		if DisplayOf(l.Text) == si.US {
			us++
		} else if l.Set {
			metric++
		}
	}
	for _, m := range s.Measurements {
		count(m.Value)
	}
	for _, l := range []L{s.Platform.Width, s.Platform.Depth, s.Platform.Height, s.Ceiling.Height, s.Ceiling.Ridge} {
		count(l)
	}
	if us > metric {
		return si.US
	}
	return si.Metric
}
