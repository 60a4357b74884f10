package room

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// How well the quantities that decide the design are wanted, as standard
// deviations: half of the accuracy asked for in the survey (common practice:
// elevation to 2.5°, heights and distances to 75 mm or 50 mm, cable to 1 m).
const (
	wantedElevation = 1.25 * math.Pi / 180
	wantedThrow     = 0.15
	wantedHeight    = 0.0375
	wantedCable     = 0.5
	wantedScreen    = 0.025
)

const (
	// nextFace is a standing face above the platform, in metres (common practice).
	nextFace = 1.5
	// nextLimit bounds the candidates that are looked at.
	nextLimit = 500
	// floorReach is up to what height a point can be reached with a tape from the
	// floor, in metres.
	floorReach = 2.0
	// unknownPlace is the standard deviation of where a feature stands that nobody
	// measured, in metres.
	unknownPlace = 2.0
)

// Next ranks what to measure next by how much it would narrow the quantities that
// decide the design: for every hanging line that may carry something, the height
// of its underside and the elevation and throw to a face at the middle of the
// platform; the cable run from the first panel; and every screen's place. Only
// what a person can take from the floor is proposed. At most limit are returned.
func Next(s survey.Survey, book *finding.Book, region string, limit int) []survey.Ranked {
	v := &solver{s: s, book: book, region: region, told: survey.Contradicted(s), finish: finishesOf(s)}
	v.readings()
	v.slopes()
	v.platformSize()
	v.network()
	n := &next{v: v, b: v.built}
	n.lines()
	n.screens()
	n.corners()
	n.levels()
	// What the first solution took out stays out.
	drop := map[int]bool{}
	for _, r := range v.sol.Removed {
		drop[r.Observation] = true
	}
	var obs []survey.Observation
	for i, o := range n.b.Observations {
		if !drop[i] {
			obs = append(obs, o)
		}
	}
	sol, err := survey.Adjust(survey.Network{Points: n.b.Points, Observations: obs}, survey.Options{KeepAll: true})
	if err != nil {
		return nil
	}
	out := sol.RankNext(n.quantities, n.candidates)
	if len(out) > limit {
		out = out[:limit]
	}
	return out
}

// next collects quantities and candidates.
type next struct {
	v          *solver
	b          *survey.Built
	quantities []survey.Quantity
	candidates []survey.Candidate
}

func (n *next) want(name, unit string, wanted float64, of func(at []geom.Vec) float64, points ...int) {
	n.quantities = append(n.quantities, survey.Quantity{Name: name, Unit: unit, Wanted: wanted, Points: points, Of: of})
}

// can adds a candidate unless there are enough.
func (n *next) can(c survey.Candidate) {
	if len(n.candidates) < nextLimit {
		n.candidates = append(n.candidates, c)
	}
}

func (n *next) observe(kind survey.Kind, from, to int, fromName, toName string, instrument survey.Instrument, about, minutes float64, ask string) {
	o := survey.Observation{Kind: kind, From: from, At: -1, To: to}
	n.can(survey.Candidate{Kind: kind, From: fromName, To: toName, Instrument: instrument, Minutes: minutes, Ask: ask,
		Sigma: float64(survey.SigmaOf(instrument, si.Known(si.Length(about)))), Measures: survey.Measured(o)})
}

// mean returns the mean of one coordinate of two points as a quantity.
func mean(axis int, a, b int) survey.Quantity {
	return survey.Quantity{Unit: "m", Points: []int{a, b}, Of: func(at []geom.Vec) float64 {
		switch axis {
		case 0:
			return (at[0].X + at[1].X) / 2
		case 1:
			return (at[0].Y + at[1].Y) / 2
		}
		return (at[0].Z + at[1].Z) / 2
	}}
}

// hold keeps a point that nothing measures from floating without end.
func (n *next) hold(name string, point int) {
	for _, k := range []survey.Kind{survey.OffsetX, survey.OffsetY, survey.Height} {
		n.b.Add(survey.Observation{ID: "place of " + name, Kind: k, From: -1, At: -1, To: point, Sigma: unknownPlace, Assumed: true})
	}
}

func (n *next) lines() {
	p := n.v.s.Platform
	face := geom.Vec{Y: float64(p.Depth.Or(3)) / 2, Z: float64(p.Height.Or(0.3)) + nextFace}
	panel, hasPanel := n.panel()
	for _, l := range n.v.s.Lines {
		if l.State == survey.Removed || l.Permission == "no" || l.Kind == "tension_rod" {
			continue // nothing may ever hang from it
		}
		from, to, ok := n.b.LineEnds(l.Name)
		if !ok {
			continue
		}
		middle := func(at []geom.Vec) geom.Vec { return at[0].Lerp(at[1], 0.5) }
		n.want("height of "+l.Name, "m", wantedHeight, func(at []geom.Vec) float64 { return middle(at).Z }, from, to)
		n.want("elevation of "+l.Name+" to a face at the platform's middle", "rad", wantedElevation, func(at []geom.Vec) float64 {
			d := middle(at).Sub(face)
			// Units stand where they face the platform's middle.
			return math.Atan2(d.Z, math.Abs(d.Y))
		}, from, to)
		n.want("throw from "+l.Name+" to a face at the platform's middle", "m", wantedThrow, func(at []geom.Vec) float64 {
			d := middle(at).Sub(face)
			return math.Hypot(d.Y, d.Z)
		}, from, to)
		if hasPanel {
			n.want("cable run from the panel to "+l.Name, "m", wantedCable, func(at []geom.Vec) float64 {
				run := math.Inf(1)
				for _, end := range at[:2] {
					d := end.Sub(at[2])
					run = math.Min(run, math.Abs(d.X)+math.Abs(d.Y)+math.Abs(d.Z))
				}
				return run
			}, from, to, panel)
		}
		c := survey.Candidate{Kind: survey.Height, To: l.Name, Instrument: survey.Laser, Minutes: 2, Measures: mean(2, from, to),
			Sigma: float64(survey.SigmaOf(survey.Laser, si.Known(si.Length(6)))),
			Ask:   fmt.Sprintf("Measure the height of the underside of %s at its middle with a laser held against the hall floor, pointing straight up.", l.Name)}
		n.can(c)
		c = survey.Candidate{Kind: survey.OffsetY, To: l.Name, Instrument: survey.SteelTape, Minutes: 5, Measures: mean(1, from, to),
			Sigma: math.Hypot(float64(survey.SigmaOf(survey.SteelTape, si.Known(si.Length(6)))), plumb),
			Ask:   fmt.Sprintf("Bring %s down to the floor with a laser dot straight up, mark it, and tape from the platform's front edge to the mark.", l.Name)}
		n.can(c)
		for _, end := range []struct {
			name  string
			point int
		}{{"from", from}, {"to", to}} {
			n.observe(survey.OffsetX, -1, end.point, "", l.Name, survey.SteelTape, 6, 5,
				fmt.Sprintf("Bring the %q end of %s down to the floor with a laser dot straight up, mark it, and tape its distance from the centre line.", end.name, l.Name))
		}
	}
}

// plumb is how well a line is brought down to the floor with a laser dot, in metres
// (common practice).
const plumb = 0.01

// panel adds the first panel's place.
func (n *next) panel() (int, bool) {
	if len(n.v.s.Panels) == 0 {
		return 0, false
	}
	p := n.v.s.Panels[0]
	if p.At.Station != "" {
		return n.b.Index(p.At.Station)
	}
	i := n.b.AddPoint(survey.Point{Name: "panel " + p.Name})
	n.b.AddTyped("panel "+p.Name+" x", survey.OffsetX, i, p.At.X, p.At.Instrument)
	n.b.AddTyped("panel "+p.Name+" y", survey.OffsetY, i, p.At.Y, p.At.Instrument)
	n.b.AddTyped("panel "+p.Name+" z", survey.Height, i, p.At.Z, p.At.Instrument)
	n.hold("panel "+p.Name, i)
	what := fmt.Sprintf("the panel %s (covers stay closed)", p.Name)
	n.observe(survey.OffsetX, -1, i, "", "panel "+p.Name, survey.SteelTape, 8, 4, "Tape along the wall how far "+what+" is from the centre line.")
	n.observe(survey.OffsetY, -1, i, "", "panel "+p.Name, survey.SteelTape, 15, 4, "Tape along the wall how far "+what+" is from the platform's front edge.")
	return i, true
}

func (n *next) screens() {
	for _, sc := range n.v.s.Screens {
		if sc.State == survey.Removed || sc.Centre.Station != "" {
			continue
		}
		name := sc.Name
		if !strings.Contains(strings.ToLower(name), "screen") {
			name = strings.TrimSpace("screen " + name)
		}
		i := n.b.AddPoint(survey.Point{Name: name, Near: [3]bool{true, true, true}})
		n.b.AddTyped(name+" x", survey.OffsetX, i, sc.Centre.X, sc.Centre.Instrument)
		n.b.AddTyped(name+" y", survey.OffsetY, i, sc.Centre.Y, sc.Centre.Instrument)
		bottom := sc.Bottom
		if !bottom.Set && sc.Centre.Z.Set && sc.Height.Set {
			bottom = si.Known(sc.Centre.Z.Value - sc.Height.Value/2)
		}
		n.b.AddTyped(name+" bottom", survey.Height, i, bottom, sc.Centre.Instrument)
		n.hold(name, i)
		n.want("bottom of "+name, "m", wantedScreen, func(at []geom.Vec) float64 { return at[0].Z }, i)
		n.want("place of "+name+" across", "m", wantedScreen, func(at []geom.Vec) float64 { return at[0].X }, i)
		n.observe(survey.Height, -1, i, "", name, survey.Laser, 3, 2, "Measure the bottom edge of "+name+" above the hall floor with a laser.")
		n.observe(survey.OffsetX, -1, i, "", name, survey.SteelTape, 4, 3, "Tape how far the middle of "+name+" is from the centre line, on the floor below it.")
	}
}

// corners proposes tapes between marks that stand on the floor.
func (n *next) corners() {
	var marks []survey.SolvedPoint
	isMark := map[string]bool{}
	for _, st := range n.v.s.Stations {
		isMark[st.Name] = true
	}
	for _, f := range n.v.s.Footprint {
		isMark[f] = true
	}
	for _, p := range n.v.sol.Points {
		if isMark[p.Name] && p.At.Z < floorReach {
			marks = append(marks, p)
		}
	}
	sort.SliceStable(marks, func(i, k int) bool { return marks[i].Name < marks[k].Name })
	for i, a := range marks {
		ia, _ := n.b.Index(a.Name)
		n.observe(survey.OffsetX, -1, ia, "", a.Name, survey.SteelTape, 6, 3, "Tape how far "+a.Name+" is from the centre line.")
		n.observe(survey.OffsetY, -1, ia, "", a.Name, survey.SteelTape, 10, 3, "Tape how far "+a.Name+" is from the platform's front edge, square to it.")
		for _, b := range marks[i+1:] {
			ib, _ := n.b.Index(b.Name)
			d := a.At.Sub(b.At).Norm()
			n.observe(survey.Distance, ia, ib, a.Name, b.Name, survey.Laser, d, 3, fmt.Sprintf("Measure from %s to %s along the floor with a laser.", a.Name, b.Name))
		}
	}
}

func (n *next) levels() {
	for _, f := range n.b.Floors {
		if i, ok := n.b.Index(survey.LevelPoint(f.Name)); ok {
			n.observe(survey.Height, -1, i, "", f.Name, survey.Laser, float64(f.Height), 3, "Measure the height of the "+f.Name+" above the hall floor with a laser.")
		}
	}
}
