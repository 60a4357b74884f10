package room

import (
	"strings"

	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// dropByKind is how far a unit's lens usually hangs below the underside of a
// line: clamp, yoke and half the body below a member; none where an arm or a
// stand carries it at its own height. Source: common practice; 0.35 m below a
// beam with pipe and clamp.
var dropByKind = map[string]si.Length{
	"beam": 0.35, "tie_beam": 0.35, "truss_chord": 0.35, "frame": 0.35, "purlin": 0.35,
	"pipe": 0.25, "rail": 0.25, "slab": 0.3, "ceiling": 0.15,
	"wall": 0, "pier": 0, "stand": 0,
}

// dropSigma is how well a drop by kind holds: from a short clamp under a slim body
// to a pipe on long hangers under a deep member (common practice).
const dropSigma = 0.1

// memberSize is the usual section of a member whose size nobody measured, in
// metres (common practice); it only decides how much light it blocks.
var memberSize = map[string]struct{ width, depth si.Length }{
	"beam": {0.2, 0.3}, "tie_beam": {0.2, 0.25}, "truss_chord": {0.15, 0.15},
	"tension_rod": {0.03, 0.03}, "pipe": {0.048, 0.048}, "frame": {0.2, 0.4},
}

// reflectanceByKind of surfaces nobody described: interior surfaces in the
// middle of the ranges recommended for work places (ceiling 0.7–0.9, walls
// 0.5–0.8, floor 0.2–0.6, EN 12464-1:2021, from memory), the wall behind the
// platform as mid-grey 0.3–0.5 and the rest by common practice.
var reflectanceByKind = map[string]float64{
	"floor": 0.2, "ceiling": 0.7, "walls": 0.5, "wall_behind": 0.4, "platform": 0.25,
	"gallery": 0.4, "screen": 0.8, "window": 0.1,
	// Little of what goes through an open arch comes back (common practice).
	"opening": 0.1,
}

// forbidden returns why nothing may ever hang from a line, empty where something may.
func forbidden(l survey.HangingLine, c survey.Ceiling) string {
	text := strings.ToLower(l.Name + " " + l.Material + " " + l.Section + " " + l.Note)
	switch {
	case l.Kind == "tension_rod" || strings.Contains(text, "turnbuckle") || strings.Contains(text, "tie rod"):
		return "tension member: never hang, whatever the weight"
	case strings.Contains(text, "sprinkler"):
		return "sprinkler pipe: nothing may hang from it or in its spray"
	case l.Kind == "purlin":
		return "purlin: secondary roof member, not a structure to hang from"
	case (l.Kind == "ceiling" || l.Kind == "slab") && strings.Contains(strings.ToLower(l.Material), "tile"),
		l.Kind == "ceiling" && strings.Contains(strings.ToLower(c.Material), "tile"):
		return "ceiling tiles: not structure"
	case l.Permission == "no":
		return "the church or owner does not allow it"
	}
	return ""
}

// finishes answers which reflectance a surface has in the finished room.
type finishes map[string]float64

func finishesOf(s survey.Survey) finishes {
	out := finishes{}
	for _, want := range []survey.State{survey.Existing, survey.Planned} {
		for _, f := range s.Finishes {
			state := f.State
			if state == "" {
				state = survey.Existing
			}
			if state == want && f.Reflectance > 0 && f.Reflectance <= 1 {
				out[f.Surface] = f.Reflectance
			}
		}
	}
	return out
}

// of returns the reflectance of a surface: by its own name, by its kind, by
// default; known is false for a default.
func (f finishes) of(s Surface) (r float64, known bool) {
	keys := []string{s.Name}
	switch {
	case s.Kind == "wall" && strings.HasPrefix(s.Name, "wall_behind"):
		keys = append(keys, "wall_behind")
		if _, ok := f["wall_behind"]; !ok {
			if r, ok := f["walls"]; ok {
				return r, true
			}
		}
	case s.Kind == "wall":
		keys = append(keys, "walls")
	}
	keys = append(keys, s.Kind)
	for _, k := range keys {
		if r, ok := f[k]; ok {
			return r, true
		}
	}
	for _, k := range keys {
		if r, ok := reflectanceByKind[k]; ok {
			return r, false
		}
	}
	return 0.3, false
}
