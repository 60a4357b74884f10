package scheme

import (
	"slices"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// bar says why a hanging line may not carry a unit, and by whose word.
type bar struct {
	code string // finding code
	why  string
	ask  bool // not refused, only not allowed yet
}

// barred returns why nothing may hang from a line: first what structure
// forbids, then what the church does. A line that is forbidden for want of
// permission alone is the church's to clear, not an engineer's.
func barred(l room.Line, limits brief.Limits) (bar, bool) {
	switch {
	case l.Forbidden != "" && !(l.Survey.Permission == "no" && strings.Contains(l.Forbidden, "does not allow")):
		return bar{code: "SCHEME_LINE_FORBIDDEN", why: l.Forbidden}, true
	case l.Kind == "tension_rod":
		return bar{code: "SCHEME_LINE_FORBIDDEN", why: "it is a tension member: never hang anything from it, whatever the weight"}, true
	case l.Kind == "purlin":
		return bar{code: "SCHEME_LINE_FORBIDDEN", why: "purlins carry the roof covering and are not for hanging"}, true
	case l.State == survey.Removed:
		return bar{code: "SCHEME_LINE_FORBIDDEN", why: "it is to be removed"}, true
	case l.Survey.Condition == "decayed":
		return bar{code: "SCHEME_LINE_FORBIDDEN", why: "it is decayed"}, true
	case slices.Contains(limits.NoHang, l.Name):
		return bar{code: "SCHEME_LINE_NOT_WANTED", why: "the church does not want anything hung there"}, true
	case l.Survey.Permission == "no":
		return bar{code: "SCHEME_LINE_NOT_WANTED", why: "clamping or strapping is not permitted"}, true
	case needsDrilling(l) && (limits.NoDrill || l.Survey.Drill == "no"):
		return bar{code: "SCHEME_NEEDS_DRILLING", why: "it carries units only by anchors, and nothing may be drilled"}, true
	case l.Survey.Permission == "ask":
		return bar{code: "SCHEME_PERMISSION_ASK", why: asked, ask: true}, true
	}
	return bar{}, false
}

// asked is said of a line whose use the church has not allowed yet.
const asked = "permission is still to be asked"

// needsDrilling tells whether units on a line need anchors; beams, chords,
// rails, pipes and frames take clamps or straps.
func needsDrilling(l room.Line) bool {
	switch l.Kind {
	case "wall", "pier", "slab", "ceiling":
		return true
	}
	return false
}

// usableSpans returns the parts of a line that may carry units, as distances
// in metres from its From end, in order; the whole line where none are given.
func usableSpans(l room.Line) [][2]float64 {
	n := l.Length().Metres()
	if !finite(n) {
		return nil
	}
	var out [][2]float64
	for _, s := range l.Spans {
		a, b := ordered(s.From.Metres(), s.To.Metres())
		if !finite(a, b) || b < 0 || a > n {
			continue
		}
		out = append(out, [2]float64{max(0, a), min(n, b)})
	}
	if len(l.Spans) == 0 && len(l.Survey.Usable) == 0 {
		out = [][2]float64{{0, n}}
	}
	slices.SortFunc(out, func(a, b [2]float64) int {
		switch {
		case a[0] < b[0]:
			return -1
		case a[0] > b[0]:
			return 1
		}
		return 0
	})
	return out
}

// clampToSpans returns the usable distance nearest to a wanted one; the wanted
// one itself on a line without usable spans.
func clampToSpans(spans [][2]float64, along float64) float64 {
	best, at := -1.0, along
	for _, s := range spans {
		c := min(max(along, s[0]), s[1])
		if d := c - along; best < 0 || d*d < best {
			best, at = d*d, c
		}
	}
	return at
}
