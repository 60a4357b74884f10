package light

import (
	"math"
	"sort"
	"strings"

	"roodbeam/engine/room"
)

// sameDistanceM is the difference below which two lenses count as equally near.
const sameDistanceM = 0.05

// avoided tells whether a line is one that light should be checked against: it
// may never carry anything, so nobody can move it out of the way.
func avoided(l room.Line) bool { return l.Kind == "tension_rod" || l.Forbidden != "" }

// clearances fills the unit's distances to forbidden lines and to things that
// must be kept clear.
func (e *evaluator) clearances(s Source, u *Unit) {
	u.ClearanceM, u.LensClearanceM, u.CrossingM = math.NaN(), math.NaN(), math.NaN()
	for _, l := range e.in.Room.Lines {
		if !avoided(l) {
			continue
		}
		if d := segmentDistance(s.At, s.Aim, l.From, l.To); !(d >= u.ClearanceM) {
			u.ClearanceM, u.ClearanceOf = d, l.Name
			u.CrossingM = crossingAbove(s.At, s.Aim, l.From, l.To)
		}
	}
	for _, b := range e.in.Room.Solids {
		if !(b.KeepClear > 0) {
			continue
		}
		if d := bodyDistance(s.At, s.Aim, b); !(d >= u.ClearanceM) {
			u.ClearanceM, u.ClearanceOf, u.CrossingM = d, b.Name, math.NaN()
		}
		if d := bodyDistance(s.At, s.At, b); !(d >= u.LensClearanceM) {
			u.LensClearanceM, u.LensClearanceOf = d, b.Name
		}
	}
}

// keepClear lists every thing that must be kept clear, with the lenses nearest
// to it.
func (e *evaluator) keepClear() {
	for _, b := range e.in.Room.Solids {
		if !(b.KeepClear > 0) || len(e.in.Sources) == 0 {
			continue
		}
		type near struct {
			id string
			d  float64
		}
		var all []near
		for _, s := range e.in.Sources {
			all = append(all, near{s.ID, bodyDistance(s.At, s.At, b)})
		}
		sort.SliceStable(all, func(i, j int) bool { return all[i].d < all[j].d })
		k := KeepClear{Name: b.Name, NeedM: b.KeepClear.Metres(), NearestM: all[0].d}
		for _, n := range all {
			if n.d <= all[0].d+sameDistanceM || n.d < k.NeedM {
				k.Units = append(k.Units, n.id)
			}
		}
		k.UnitsText = list(k.Units)
		e.rep.KeepClear = append(e.rep.KeepClear, k)
	}
}

// list joins names for people: "A, B and C".
func list(names []string) string {
	switch n := len(names); n {
	case 0:
		return "none"
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}
