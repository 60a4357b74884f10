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

// ceiling solves the shape above the floor.
func (v *solver) ceiling() {
	c := v.s.Ceiling
	b := boundsOf(v.floor)
	out := Ceiling{Shape: c.Shape, RidgeAlongY: c.RidgeRun != "across",
		CentreX: si.Length((b.minX + b.maxX) / 2), CentreY: si.Length((b.minY + b.maxY) / 2)}
	if out.RidgeAlongY {
		out.HalfWidth, out.HalfLength = si.Length((b.maxX-b.minX)/2), si.Length((b.maxY-b.minY)/2)
	} else {
		out.HalfWidth, out.HalfLength = si.Length((b.maxY-b.minY)/2), si.Length((b.maxX-b.minX)/2)
	}
	if out.Shape == "hipped" {
		out.HipRun = min(c.HipRun.Or(min(out.HalfWidth, out.HalfLength)), out.HalfLength)
		if !c.HipRun.Set {
			v.assume(43, "run of the hips", "Measure on the floor from the end wall to under the end of the ridge.", "it shapes the space above the lines",
				fmt.Sprintf("%s: all four slopes have one pitch", si.FormatBoth(out.HipRun, si.Metric)), "a volunteer, with a laser")
		}
	}
	switch out.Shape {
	case "flat", "gable", "a_frame", "hipped", "barrel", "stepped":
	default:
		word := "it was not said"
		if c.Shape != "" {
			word = "“" + c.Shape + "” is not worked out here"
		}
		out.Shape = "flat"
		v.assume(65, "ceiling shape", "Is the ceiling flat, a gable, hipped, a barrel vault, stepped, or an A-frame down to the floor? Send three photographs straight up.",
			"lines, lifts and light depend on it, and "+word, "it is flat", "a volunteer")
	}
	low := v.highestUnder()
	if out.Shape != "a_frame" {
		eaves, ok := v.solvedHeight(survey.EavesPoint)
		out.SigmaEaves = v.heightSigma(survey.EavesPoint, ok)
		if !ok {
			eaves = si.Length(math.Max(5, low+0.3))
			what := "ceiling height"
			if out.Shape == "gable" || out.Shape == "hipped" || out.Shape == "barrel" {
				eaves, what = si.Length(math.Max(4, low*0.8)), "height of the eaves"
			}
			v.assume(92, what, "Measure it with a laser held against the floor.", "lines hang under it and lifts must reach it",
				fmt.Sprintf("%s, give or take %s", si.FormatBoth(eaves, si.Metric), si.FormatBoth(assumedHeightSigma("C2"), si.Metric)), "a volunteer, with a laser")
		}
		out.Eaves = eaves
	}
	out.Ridge, out.SigmaRidge = out.Eaves, out.SigmaEaves
	if out.Shape == "stepped" {
		v.ceilingSteps(&out)
	}
	if out.Shape != "flat" && out.Shape != "stepped" {
		ridge, ok := v.solvedHeight(survey.RidgePoint)
		out.SigmaRidge = v.heightSigma(survey.RidgePoint, ok)
		if !ok {
			// A pitch of 40°, the middle of common church roofs (common practice).
			ridge = out.Eaves + out.HalfWidth*si.Length(math.Tan(40*math.Pi/180))
			if c.Slope.Set && c.Slope.Value > out.HalfWidth {
				ridge = out.Eaves + si.Length(math.Sqrt(float64(c.Slope.Value*c.Slope.Value-out.HalfWidth*out.HalfWidth)))
			}
			v.assume(92, "ridge height", "Measure it with a laser from the middle of the floor.", "it shapes the space above the lines",
				fmt.Sprintf("%s, give or take %s", si.FormatBoth(ridge, si.Metric), si.FormatBoth(assumedHeightSigma("C3"), si.Metric)), "a volunteer, with a laser")
		}
		out.Ridge = max(ridge, out.Eaves)
	}
	v.room.Ceiling = out
}

// assumedHeightSigma is how well a ceiling height assumed for an item of the
// checklist is known, m.
func assumedHeightSigma(item string) si.Length { return si.Length(survey.AssumedSigma(item)) }

func (v *solver) heightSigma(name string, measured bool) si.Length {
	if !measured {
		item := "C2"
		if name == survey.RidgePoint {
			item = "C3"
		}
		return assumedHeightSigma(item)
	}
	p, _ := v.point(name)
	return si.Length(p.Sigma().Z)
}

// ceilingSteps keeps the parts of a stepped ceiling that have a place and a
// height, from the rear wall toward the platform.
func (v *solver) ceilingSteps(out *Ceiling) {
	for _, s := range v.s.Ceiling.Steps {
		if s.FromY.Set && s.Height.Set && s.Height.Value > 0.5 {
			out.Steps = append(out.Steps, CeilingStep{s.FromY.Value, s.Height.Value})
			out.Ridge = max(out.Ridge, s.Height.Value)
		}
	}
	sort.SliceStable(out.Steps, func(i, k int) bool { return out.Steps[i].FromY < out.Steps[k].FromY })
	for i := 1; i < len(out.Steps); i++ {
		if out.Steps[i].FromY == out.Steps[i-1].FromY {
			out.Steps = append(out.Steps[:i-1], out.Steps[i:]...)
			i--
		}
	}
	if len(out.Steps) == 0 {
		v.assume(64, "steps of the ceiling", "Measure each part's height, and how far from the platform edge it begins.", "lines hang under it",
			"the ceiling has one height", "a volunteer, with a laser")
	}
}

// solvedHeight returns the height of a ceiling point when it was measured and
// is above nought.
func (v *solver) solvedHeight(name string) (si.Length, bool) {
	p, ok := v.point(name)
	if !ok || strings.Contains(p.Loose, "z") || !(p.At.Z > 0.5) {
		return 0, false
	}
	return si.Length(p.At.Z), true
}

// highestUnder returns the highest measured thing that must lie under the ceiling.
func (v *solver) highestUnder() float64 {
	high := 0.0
	for _, l := range v.s.Lines {
		from, to, ok := v.built.LineEnds(l.Name)
		if !ok {
			continue
		}
		for _, i := range []int{from, to} {
			if i < len(v.sol.Points) && !strings.Contains(v.sol.Points[i].Loose, "z") {
				high = math.Max(high, v.sol.Points[i].At.Z)
			}
		}
	}
	for _, w := range v.s.Windows {
		high = math.Max(high, float64(w.Sill.Or(0)+w.Height.Or(0)))
	}
	return high
}

// lines solves the hanging lines and checks them against ceiling and walls.
func (v *solver) lines() {
	b := boundsOf(v.floor)
	for _, l := range v.s.Lines {
		if l.State == survey.Removed {
			continue
		}
		line := Line{Name: l.Name, Kind: l.Kind, Survey: l, State: l.State, Forbidden: forbidden(l, v.s.Ceiling)}
		if line.State == "" {
			line.State = survey.Existing
		}
		from, to, ok := v.built.LineEnds(l.Name)
		if ok && from < len(v.sol.Points) && to < len(v.sol.Points) {
			a, z := v.sol.Points[from], v.sol.Points[to]
			line.From, line.To = a.At, z.At
			sa, sz := a.Sigma(), z.Sigma()
			line.SigmaZ, line.SigmaY = si.Length(math.Max(sa.Z, sz.Z)), si.Length(math.Max(sa.Y, sz.Y))
			if strings.Contains(z.Loose, "y") {
				line.SigmaY = si.Length(sa.Y)
			}
			if strings.Contains(z.Loose, "z") {
				line.SigmaZ = si.Length(sa.Z)
			}
			v.closeLine(&line, a.Loose, z.Loose, b)
			v.lineCovariance(&line, from, to, a.Loose, z.Loose)
		}
		line.Drop = l.Drop.Or(dropByKind[l.Kind])
		if !l.Drop.Set && line.Forbidden == "" {
			line.SigmaDrop = dropSigma
			v.guess(&v.guessedDrops, fmt.Sprintf("%s %s", l.Name, si.FormatBoth(line.Drop, si.Metric)))
		}
		line.Spans = spansOf(l, line.Length())
		v.checkLine(line)
		v.room.Lines = append(v.room.Lines, line)
	}
	if len(v.guessedDrops) > 0 {
		v.assume(49, "lenses under their lines", "Say for each line how units will hang from it: by a clamp, a strap with a pipe, on an arm.",
			"every angle and every distance of a unit begins at its lens",
			fmt.Sprintf("%s below the underside, as usual of their kind, give or take %s", v.named(v.guessedDrops), si.FormatBoth(si.Length(dropSigma), si.Metric)), "the designer, with a qualified rigger")
	}
}

// closeLine fills in what nobody measured of a line: its ends at the walls, its
// height under the ceiling, its place over the platform's edge.
func (v *solver) closeLine(l *Line, looseFrom, looseTo string, b bounds) {
	has := strings.Contains
	if to := l.Survey.To; (l.Kind == "pier" || l.Kind == "stand") && to.Station == "" && !to.X.Set && !to.Y.Set && !to.Z.Set {
		// One place, not a run.
		l.To, looseTo = l.From, looseFrom
		if looseFrom == "" {
			return
		}
	}
	var missing []string
	// One known end gives the other the same distance and height.
	switch {
	case has(looseFrom, "y") && has(looseTo, "y"):
		l.From.Y, l.To.Y, l.SigmaY = 0, 0, 3
		missing = append(missing, "distance from the platform edge")
	case has(looseFrom, "y"):
		l.From.Y, l.SigmaY = l.To.Y, 0.5
	case has(looseTo, "y"):
		l.To.Y, l.SigmaY = l.From.Y, 0.5
	}
	switch {
	case has(looseFrom, "z") && has(looseTo, "z"):
		for _, p := range []*float64{&l.From.Z, &l.To.Z} {
			*p = 0
		}
		under := math.Max(2.2, v.room.Ceiling.HeightAt(0, l.From.Y).Metres()-0.5)
		l.From.Z, l.To.Z, l.SigmaZ = under, under, si.Length(survey.AssumedSigma("B3"))
		missing = append(missing, "height")
	case has(looseFrom, "z"):
		l.From.Z, l.SigmaZ = l.To.Z, 0.2
	case has(looseTo, "z"):
		l.To.Z, l.SigmaZ = l.From.Z, 0.2
	}
	if has(looseFrom, "x") || has(looseTo, "x") {
		switch {
		case has(looseFrom, "x") && has(looseTo, "x"):
			l.From.X, l.To.X = b.minX, b.maxX
		case has(looseFrom, "x"):
			l.From.X = opposite(l.To.X, b)
		default:
			l.To.X = opposite(l.From.X, b)
		}
		missing = append(missing, "ends")
	}
	if len(missing) == 0 {
		return
	}
	what := strings.Join(missing, " and ")
	v.assume(88, "line "+l.Name, fmt.Sprintf("Measure the %s of %s.", what, l.Name), "the angle of every unit on it depends on it",
		fmt.Sprintf("its %s: underside at %s, %s from the platform edge, wall to wall, give or take %s in height and %s in plan", what,
			si.FormatBoth(si.Length(l.From.Z), si.Metric), si.FormatBoth(si.Length(math.Abs(l.From.Y)), si.Metric),
			si.FormatBoth(l.SigmaZ, si.Metric), si.FormatBoth(max(l.SigmaY, wallPocket), si.Metric)), "a volunteer, with a laser from the floor")
}

// opposite returns the wall on the other side of the room.
func opposite(x float64, b bounds) float64 {
	if x > (b.minX+b.maxX)/2 {
		return b.minX
	}
	return b.maxX
}

// spansOf returns the usable parts of a line, clipped to it; the whole line when
// nobody named any, one place for a line without length.
func spansOf(l survey.HangingLine, length si.Length) []Span {
	var out []Span
	for _, s := range l.Usable {
		a, b := s.From.Or(0), s.To.Or(length)
		a, b = max(0, min(a, length)), max(0, min(b, length))
		if b > a {
			out = append(out, Span{a, b})
		}
	}
	if len(l.Usable) == 0 {
		out = []Span{{0, length}}
	}
	return out
}

// Limits of a line's place in the room.
const (
	aboveTolerance   = 0.1 // m, of underside and ceiling (both ±50 mm asked for)
	outsideTolerance = 0.5 // m, wall pockets and thick walls
	doorHead         = 1.9 // m, the lowest usual door head (common practice)
	leastLineM       = 0.1 // m, a hand's width: shorter is no line
	doorLow          = 1.5 // m, under which a measured height is no door's
)

func (v *solver) checkLine(l Line) {
	if n := l.Length().Metres(); n < leastLineM {
		v.out = append(v.out, v.book.New("ROOM_LINE_SHORT", "line "+l.Name, finding.Len("length", si.Length(n))))
	}
	worst, ceiling := 0.0, 0.0
	out, end := 0.0, geom.Vec{}
	for _, p := range []struct{ x, y, z float64 }{{l.From.X, l.From.Y, l.From.Z}, {l.To.X, l.To.Y, l.To.Z},
		{(l.From.X + l.To.X) / 2, (l.From.Y + l.To.Y) / 2, (l.From.Z + l.To.Z) / 2}} {
		h := v.room.Ceiling.HeightAt(p.x, p.y).Metres()
		if over := p.z - h; over > aboveTolerance+2*float64(l.SigmaZ) && over > worst && l.Kind != "slab" {
			// A member dies into a sloping roof at its ends: only its middle counts.
			if v.room.Ceiling.Shape == "flat" || p.x == (l.From.X+l.To.X)/2 {
				worst, ceiling = over, h
			}
		}
		if by := outsideBy(v.floor, p.x, p.y); by > out {
			out, end = by, geom.Vec{X: p.x, Y: p.y}
		}
	}
	if worst > 0 {
		v.out = append(v.out, v.book.New("ROOM_LINE_HIGH", "line "+l.Name, finding.Len("underside", si.Length(math.Max(l.From.Z, l.To.Z))), finding.Len("ceiling", si.Length(ceiling)),
			finding.Text("remeasure", v.cheapest(l))))
	}
	low := math.Min(l.From.Z, l.To.Z)
	door, what := v.lowestDoor()
	if _, member := memberSize[l.Kind]; member && low < door && low > 0 {
		v.out = append(v.out, v.book.New("ROOM_LINE_LOW", "line "+l.Name, finding.Len("underside", si.Length(low)), finding.Len("door", si.Length(door)),
			finding.Text("what", what), finding.Text("remeasure", "its height again with a laser held against the hall floor, and write from which floor")))
	}
	if out > outsideTolerance+2*float64(l.SigmaY) {
		v.out = append(v.out, v.book.New("ROOM_LINE_OUTSIDE", "line "+l.Name,
			append([]finding.Arg{finding.Len("distance", si.Length(out))}, v.outsideArgs(end)...)...))
	}
}

// outsideArgs are the two numbers that clash where the end of a line lies outside
// the walls, how far it and how far the nearest wall is from the platform's edge or
// from the centre line, and what to measure again.
func (v *solver) outsideArgs(end geom.Vec) []finding.Arg {
	wall, _ := v.floor.NearestPlan(end.X, end.Y)
	of, a, b := "the platform's edge", end.Y, wall.Y
	if math.Abs(end.X-wall.X) > math.Abs(end.Y-wall.Y) {
		of, a, b = "the centre line", end.X, wall.X
	}
	return []finding.Arg{finding.Len("typed", si.Length(math.Abs(a))), finding.Len("wall", si.Length(math.Abs(b))), finding.Text("of", of),
		finding.Text("remeasure", "how far its end is from "+of+", along the floor")}
}

// lowestDoor returns the lowest head of a door that was measured, else the lowest
// usual one, and what it is.
func (v *solver) lowestDoor() (float64, string) {
	low, what := doorHead, "the lowest usual door head"
	measured := false
	try := func(h survey.L, state survey.State, name string) {
		// A hatch or a slip of the pen is no door that people use.
		if state == survey.Removed || !h.Set || float64(h.Value) < doorLow || measured && float64(h.Value) >= low {
			return
		}
		low, what, measured = float64(h.Value), name, true
	}
	for _, r := range v.s.Routes {
		try(r.DoorHeight, "", "the door of "+r.Name)
		for _, d := range r.Doors {
			try(d.Height, d.State, "the door "+d.Name)
		}
	}
	for _, w := range v.s.Walls {
		for _, o := range w.Openings {
			if o.Kind == "door" {
				try(o.Height, o.State, "the door "+o.Name)
			}
		}
	}
	return low, what
}

// cheapest is what to measure again where a line lies above its ceiling: the less
// certain of the two.
func (v *solver) cheapest(l Line) string {
	if c := v.room.Ceiling; float64(l.SigmaZ) < math.Max(float64(c.SigmaEaves), float64(c.SigmaRidge)) {
		return "the height of the ceiling over it with a laser held against the hall floor"
	}
	return "the height of its underside with a laser held against the hall floor"
}

// outsideBy returns how far a plan point lies outside a polygon, 0 inside.
func outsideBy(g geom.Polygon, x, y float64) float64 {
	if g.ContainsPlan(x, y) {
		return 0
	}
	_, by := g.NearestPlan(x, y)
	return by
}
