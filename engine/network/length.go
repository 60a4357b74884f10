package network

import (
	"math"
	"sort"
	"strings"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

// run is one branch's route.
type run struct {
	order  []int // of the devices
	legs   []Leg
	sigmaM float64 // of the places at its two ends
}

// route lays one cable from the splitter through every device: square to the
// building along the walls to the nearer end of the hanging line, then along
// the line; to a pier, a wall or the floor straight to the unit. A cable never
// crosses the room in the air between a wall and a line.
func route(from geom.Vec, sigmaFrom float64, g group, r room.Room) run {
	var pts []geom.Vec
	for _, d := range g.devices {
		pts = append(pts, d.unit.At)
	}
	if len(pts) == 0 {
		return run{sigmaM: sigmaFrom}
	}
	line, onLine := commonLine(g.devices, r)
	if !onLine {
		return routeDirect(from, sigmaFrom, pts, g.ordered)
	}
	best := run{}
	bestM := math.Inf(1)
	for _, end := range []geom.Vec{finite(line.From), finite(line.To)} {
		flat := make([]geom.Vec, len(pts))
		for i, p := range pts {
			// The drop from the line to the unit is in the slack.
			flat[i] = geom.Vec{X: p.X, Y: p.Y, Z: end.Z}
		}
		order, along := ordered(end, flat, g.ordered)
		if m := Manhattan(from, end) + along; m < bestM {
			bestM = m
			best = run{order: order, legs: square(from, end, along), sigmaM: math.Hypot(sigmaFrom, endSigma(from, end, line))}
			if math.IsNaN(best.sigmaM) {
				best.sigmaM = assumedSigmaM
			}
		}
	}
	return best
}

// endSigma returns how well the length of a run square to the building to a point
// of a line is known, in metres, from the covariance of the line's ends: with the
// signs of the three legs as gradient.
func endSigma(from, end geom.Vec, l room.Line) float64 {
	sign := func(v float64) float64 { return math.Copysign(1, v) }
	d := end.Sub(from)
	return math.Sqrt(l.Variance(l.Pull(end, geom.Vec{X: sign(d.X), Y: sign(d.Y), Z: sign(d.Z)})))
}

func routeDirect(from geom.Vec, sigmaFrom float64, pts []geom.Vec, keep bool) run {
	order, m := ordered(from, pts, keep)
	first := pts[order[0]]
	return run{order: order, legs: square(from, first, m-Manhattan(from, first)), sigmaM: math.Hypot(sigmaFrom, surveyedSigmaM)}
}

// ordered returns the designer's order where there is one, else the shortest.
func ordered(start geom.Vec, pts []geom.Vec, keep bool) ([]int, float64) {
	if !keep {
		return OpenPath(start, pts)
	}
	order := make([]int, len(pts))
	var m float64
	at := start
	for i, p := range pts {
		order[i] = i
		m += Manhattan(at, p)
		at = p
	}
	return order, m
}

// shortLegM is what a leg must exceed to be listed: below the width of a hand
// it is part of the slack.
const shortLegM = 0.1

func square(a, b geom.Vec, alongM float64) []Leg {
	var legs []Leg
	for _, l := range []Leg{{"across (x)", math.Abs(b.X - a.X)}, {"along the room (y)", math.Abs(b.Y - a.Y)},
		{"rise or drop (z)", math.Abs(b.Z - a.Z)}, {"along the line", alongM}} {
		if l.LengthM > shortLegM {
			legs = append(legs, l)
		}
	}
	return legs
}

// commonLine returns the hanging line all devices share, if it is one along
// which a cable is run from its end.
func commonLine(ds []device, r room.Room) (room.Line, bool) {
	for _, d := range ds {
		if d.unit.Line == "" || d.unit.Line != ds[0].unit.Line || d.noPlace {
			return room.Line{}, false
		}
	}
	l, ok := lineOf(r, ds[0].unit.Line)
	if n := l.Length(); !ok || !(n > 0) {
		return room.Line{}, false
	}
	switch l.Kind {
	case "pier", "wall", "stand":
		return room.Line{}, false
	}
	return l, true
}

// lineNames joins the lines of a branch's units for people.
func lineNames(ds []device) string {
	var names []string
	seen := map[string]bool{}
	for _, d := range ds {
		n := d.unit.Line
		if d.noPlace || (d.house && n == "") {
			n = "house"
		}
		if n != "" && !seen[n] {
			seen[n] = true
			names = append(names, n)
		}
	}
	sort.Strings(names)
	return strings.Join(names, ", ")
}
