package light

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// What is taken where old lights were not measured.
//
// Source: light of a watt from memory, general-service tungsten lamps of 60 W to
// 100 W and fluorescent tubes with their gear; maintenance of house lights, common
// practice 0.75 to 0.85.
const (
	tungstenLmPerW = 15
	tubeLmPerW     = 70
	houseLoss      = 0.8
	mostLamps      = 24  // of one group; more are drawn together
	belowCeilingM  = 0.3 // m
)

// OldLampLm returns the light of one old lamp, lm: as surveyed, else of its watts
// as a tungsten lamp, or as a tube where its base is one's: G13 of T8, G5 of T5
// (G5.3 and G53 are of tungsten halogen). 0 where neither is known; assumed tells
// whether it was not surveyed.
//
// Source: bases, IEC 60061-1 (from memory).
func OldLampLm(l survey.ExistingLight) (lm float64, assumed bool) {
	if f := float64(l.Flux.Or(0)); f > 0 && !math.IsInf(f, 0) {
		return f, false
	}
	w := l.Watts.Or(0).Watts()
	if !(w > 0) || math.IsInf(w, 0) {
		return 0, true
	}
	base := strings.ToUpper(strings.TrimSpace(l.Base))
	halogen := strings.HasPrefix(base, "G53") || strings.HasPrefix(base, "G5.3") || strings.HasPrefix(base, "G5,3")
	if !halogen && slices.ContainsFunc([]string{"G13", "G5", "T8", "T5"}, func(tube string) bool { return strings.HasPrefix(base, tube) }) {
		return tubeLmPerW * w, true
	}
	return tungstenLmPerW * w, true
}

// lamps is the old lights of some kinds before and after.
type lamps struct {
	before, after               []Source
	beforeUnknown, afterUnknown bool
	placed                      bool // every one has a surveyed place
	spread, assumed             []string
	shape                       []string // new ones whose photometry is not known
}

func (e *evaluator) oldLamps(kinds ...string) (lamps, bool) {
	l := lamps{placed: true}
	any := false
	for _, x := range e.in.Survey.ExistingUnit {
		if !slices.Contains(kinds, x.Kind) || x.Count <= 0 {
			continue
		}
		any = true
		at, surveyed := e.lampPlaces(x)
		if !surveyed {
			l.placed = false
			l.spread = append(l.spread, lampName(x))
		}
		lm, assumed := OldLampLm(x)
		if assumed {
			l.assumed = append(l.assumed, lampName(x))
		}
		if lm == 0 || len(at) == 0 {
			l.beforeUnknown = true
		}
		share := float64(x.Count) / math.Max(1, float64(len(at)))
		old := e.hung(at, share*lm, nil)
		l.before = append(l.before, old...)
		switch x.Fate {
		case "remove":
			continue
		case "relamp", "replace":
			f, ok := e.in.Catalogue.Get(x.LampCode)
			if !ok {
				l.afterUnknown = true
				continue
			}
			dist, _ := e.in.Catalogue.Distribution(f, 0)
			if f.Class == catalogue.Lamp {
				dist = nil // it shines as the old luminaire lets it
			}
			flux := float64(f.Flux)
			if dist == nil && !(flux > 0) || len(at) == 0 {
				l.afterUnknown = true
				continue
			}
			if dist == nil {
				l.shape = append(l.shape, x.LampCode)
			} else {
				flux = dist.FluxLm()
			}
			l.after = append(l.after, e.hung(at, share*flux, dist)...)
		default:
			l.after = append(l.after, old...)
			l.afterUnknown = l.afterUnknown || lm == 0 || len(at) == 0
		}
	}
	if slices.Contains(kinds, house) {
		for _, s := range e.in.Sources {
			if s.Purpose != house {
				continue
			}
			any = true
			if s.Dist == nil {
				l.afterUnknown = true
			}
			l.after = append(l.after, s)
		}
	}
	return l, any
}

func lampName(x survey.ExistingLight) string {
	if x.Name != "" {
		return x.Name
	}
	return strings.ReplaceAll(x.Kind, "_", " ") + " lights"
}

// hung returns the lamps of a group at their places, each of a flux in lm, by a
// distribution where one is known.
func (e *evaluator) hung(at []geom.Vec, lm float64, dist photometry.Distribution) []Source {
	var out []Source
	for i, p := range at {
		s := Source{ID: fmt.Sprint("lamp ", i+1), At: p, Aim: p.Sub(geom.Vec{Z: 1}), Level: 1, Dist: dist, Purpose: house}
		switch h, ok := ceilingOver(e.in.Room, p); {
		case dist != nil && dist.FluxLm() > 0:
			s.Level = lm / dist.FluxLm()
		case ok && h-p.Z < belowCeilingM-1e-9:
			s.Dist = photometry.Lambert(lm)
		default:
			s.Dist = allRound(lm)
		}
		out = append(out, s)
	}
	return out
}

// ceilingOver returns the height of the highest ceiling over a place, m.
func ceilingOver(r room.Room, p geom.Vec) (float64, bool) {
	best, ok := math.Inf(-1), false
	for _, s := range r.Surfaces {
		if s.Kind != "ceiling" || len(s.Polygon) < 3 || !s.Polygon.ContainsPlan(p.X, p.Y) {
			continue
		}
		n := s.Polygon.Normal()
		if math.Abs(n.Z) < 1e-6 {
			continue
		}
		o := s.Polygon[0]
		z := o.Z - (n.X*(p.X-o.X)+n.Y*(p.Y-o.Y))/n.Z
		if z > best {
			best, ok = z, true
		}
	}
	return best, ok
}

// lampPlaces returns where the lights of a group hang: as surveyed, else spread
// evenly over the floor, or under the galleries, at their height or just below
// what is over them. A large group is drawn together into fewer places.
func (e *evaluator) lampPlaces(x survey.ExistingLight) (at []geom.Vec, surveyed bool) {
	height := x.Height.Or(0).Metres()
	for _, p := range x.Places {
		v, ok := e.place(p)
		if !ok {
			if !p.X.Set || !p.Y.Set {
				continue
			}
			v = geom.Vec{X: p.X.Value.Metres(), Y: p.Y.Value.Metres()}
			v.Z = e.lampHeight(v, height)
		}
		if finite(v) && v.Z > 0 {
			at = append(at, v)
		}
	}
	if len(at) > 0 {
		return at, true
	}
	n := min(x.Count, mostLamps)
	if x.Kind == "under_gallery" {
		for _, s := range e.in.Room.Surfaces {
			if s.Kind == "gallery" && s.Polygon.Normal().Z < -0.9 {
				for _, p := range spreadOver(s.Polygon, max(1, n/2)) {
					p.Z -= 0.1
					at = append(at, p)
				}
			}
		}
		return at, false
	}
	for _, p := range spreadOver(e.in.Room.Footprint, n) {
		p.Z = e.lampHeight(p, height)
		if p.Z > 0 {
			at = append(at, p)
		}
	}
	return at, false
}

// lampHeight is the surveyed height, else just below the ceiling.
func (e *evaluator) lampHeight(p geom.Vec, height float64) float64 {
	if height > 0 {
		return height
	}
	h, ok := ceilingOver(e.in.Room, p)
	if !ok {
		return 0
	}
	return h - belowCeilingM
}
