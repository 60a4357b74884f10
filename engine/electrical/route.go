package electrical

import (
	"fmt"
	"math"
	"sort"

	"roodbeam/engine/geom"
	"roodbeam/engine/survey"
)

// outletReach is how far a unit may be from its outlet, m, along its line.
//
// Source: common practice, outlets within 1 m of each fixture group.
const outletReach = 1.0

// Shares of a routed length taken as its standard deviation: the route is drawn
// at right angles through what is known of the room; with an assumed panel
// place it is little more than a guess.
//
// Source: common practice.
const (
	routeSigma   = 0.10
	assumedSigma = 0.30
)

// panelHeight is assumed for a panel whose height was not surveyed, m.
const panelHeight = 1.5

// alongLine sorts units along their line, or by x and y where they hang on none.
func (d *designer) alongLine(us []unitLoad) {
	pos := func(u unitLoad) float64 {
		if l, ok := d.lines[u.Line]; ok {
			dir := l.To.Sub(l.From).Unit()
			if dir.Norm() > 0 {
				return u.At.Sub(l.From).Dot(dir)
			}
		}
		return u.At.X
	}
	sort.SliceStable(us, func(i, j int) bool {
		a, b := us[i], us[j]
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		if pa, pb := pos(a), pos(b); pa != pb {
			return pa < pb
		}
		if a.At.Y != b.At.Y {
			return a.At.Y < b.At.Y
		}
		return a.name < b.name
	})
}

// place is an outlet with the load beyond it.
type place struct {
	Outlet
	va float64
}

func (p place) at() geom.Vec { return geom.Vec{X: p.X, Y: p.Y, Z: p.Z} }

// outlets gathers neighbouring units of one line round one place.
func (d *designer) outlets(g group) []place {
	var out []place
	n := 0
	for i := 0; i < len(g.units); {
		j := i + 1
		for j < len(g.units) && g.units[j].Line == g.units[i].Line && rightAngle(g.units[i].At, g.units[j].At) <= 2*outletReach {
			j++
		}
		var sum geom.Vec
		va := 0.0
		var ids []string
		for _, u := range g.units[i:j] {
			sum = sum.Add(u.At)
			va += u.va
			ids = append(ids, u.name)
		}
		at := sum.Scale(1 / float64(j-i))
		if l, ok := d.lines[g.units[i].Line]; ok {
			at.Z += l.Drop.Metres()
		}
		n++
		out = append(out, place{Outlet{Name: fmt.Sprintf("%s.%d", g.name, n), X: at.X, Y: at.Y, Z: at.Z, Units: ids}, va})
		i = j
	}
	return out
}

// rightAngle returns the length of a run at right angles between two points, m.
func rightAngle(a, b geom.Vec) float64 {
	return math.Abs(a.X-b.X) + math.Abs(a.Y-b.Y) + math.Abs(a.Z-b.Z)
}

// routed returns the outlets in cable order from the panel: along the line from
// either end, or from neighbour to nearest neighbour, whichever is shortest to
// the last.
func routed(panel geom.Vec, ps []place) ([]place, float64) {
	if len(ps) == 0 {
		return nil, 0
	}
	backwards := make([]place, len(ps))
	for i, p := range ps {
		backwards[len(ps)-1-i] = p
	}
	best, length := ps, runLength(panel, ps)
	for _, c := range [][]place{backwards, nearest(panel, ps)} {
		if l := runLength(panel, c); l < length-1e-9 {
			best, length = c, l
		}
	}
	return best, length
}

func nearest(panel geom.Vec, ps []place) []place {
	rest := append([]place(nil), ps...)
	var out []place
	at := panel
	for len(rest) > 0 {
		b := 0
		for i := range rest {
			if rightAngle(at, rest[i].at()) < rightAngle(at, rest[b].at())-1e-9 {
				b = i
			}
		}
		out = append(out, rest[b])
		at = rest[b].at()
		rest = append(rest[:b], rest[b+1:]...)
	}
	return out
}

func runLength(panel geom.Vec, ps []place) float64 {
	l, at := 0.0, panel
	for _, p := range ps {
		l += rightAngle(at, p.at())
		at = p.at()
	}
	return l
}

// ampereMetres returns the moment of a routed circuit, A·m: every run's length
// times the current that still flows in it, so that a voltage drop is this times
// the conductor's loop figure.
func ampereMetres(panel geom.Vec, ps []place, volts float64) float64 {
	beyond := 0.0
	for _, p := range ps {
		beyond += p.va / volts
	}
	m, at := 0.0, panel
	for _, p := range ps {
		m += beyond * rightAngle(at, p.at())
		beyond -= p.va / volts
		at = p.at()
	}
	return m
}

// panelAt returns a panel's place and whether it had to be assumed: the floor
// corner farthest from the platform's middle, so that no length is shortened
// by the guess.
func (d *designer) panelAt(p *survey.Panel) (geom.Vec, bool) {
	if p != nil {
		for _, st := range d.Room.Stations {
			if p.At.Station != "" && st.Name == p.At.Station && finite(st.At.X+st.At.Y+st.At.Z) {
				return st.At, false
			}
		}
		if p.At.X.Set && p.At.Y.Set && finite(float64(p.At.X.Value+p.At.Y.Value)) {
			z := float64(p.At.Z.Or(panelHeight))
			if !finite(z) {
				z = panelHeight
			}
			return geom.Vec{X: float64(p.At.X.Value), Y: float64(p.At.Y.Value), Z: z}, false
		}
	}
	var far geom.Vec
	for _, c := range d.Room.Footprint {
		if finite(c.X+c.Y) && c.Plan().Norm() > far.Plan().Norm() {
			far = c
		}
	}
	far.Z = panelHeight
	return far, true
}
