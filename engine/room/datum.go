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

// Standard deviations of what is assumed of a room whose corners are not tied to
// the platform, in metres (common practice).
const (
	sketchSigma   = 0.5  // corners where they were sketched
	parallelSigma = 0.15 // front wall along the platform's edge
	centreSigma   = 0.25 // the room's middle on the platform's
	wallSigma     = 0.5  // the wall behind the platform at its back edge
)

// corner is a corner of the floor in the network.
type corner struct {
	name  string
	point int
	near  bool // somebody gave coordinates, or offsets were measured
}

func (v *solver) corners() []corner {
	seen := map[string]bool{}
	var out []corner
	for _, n := range v.s.Footprint {
		i, ok := v.built.Index(n)
		if !ok || seen[n] {
			continue
		}
		seen[n] = true
		p := v.built.Points[i]
		given := [2]bool{p.Fixed[0] || p.Near[0], p.Fixed[1] || p.Near[1]}
		for _, o := range v.built.Observations {
			if o.To == i && o.Kind == survey.OffsetX {
				given[0] = true
			}
			if o.To == i && o.Kind == survey.OffsetY {
				given[1] = true
			}
		}
		out = append(out, corner{n, i, given[0] && given[1]})
	}
	return out
}

// cornerGuesses gives the four corners of a floor a rectangle to start from
// where people gave none, so that the room comes out on the congregation's side
// and not mirrored.
func (v *solver) cornerGuesses() {
	cs := v.corners()
	if len(cs) != 4 {
		return
	}
	placed := 0
	for _, c := range cs {
		if c.near {
			placed++
		}
	}
	if placed >= 3 {
		return
	}
	order := cornerOrder(cs)
	width, length := v.guessSides(cs)
	front := float64(v.s.Platform.Depth.Or(3))
	at := [4]geom.Vec{{X: width / 2, Y: front}, {X: -width / 2, Y: front}, {X: -width / 2, Y: front - length}, {X: width / 2, Y: front - length}}
	for k, i := range order {
		p := &v.built.Points[cs[i].point]
		if !p.Near[0] {
			p.Near[0], p.NearAt.X = true, at[k].X
		}
		if !p.Near[1] {
			p.Near[1], p.NearAt.Y = true, at[k].Y
		}
	}
}

// cornerOrder returns the corners' places in the list in the order front at +x,
// front at −x, rear at −x, rear at +x: by the words front, rear, left and right
// in their names (left as seen from the seats), else as listed, beginning at the
// wall behind the platform.
func cornerOrder(cs []corner) [4]int {
	found := [4]int{-1, -1, -1, -1}
	for i, c := range cs {
		n := strings.ToLower(c.name)
		front := strings.Contains(n, "front")
		rear := strings.Contains(n, "rear") || strings.Contains(n, "back")
		left, right := strings.Contains(n, "left"), strings.Contains(n, "right")
		if front == rear || left == right {
			continue
		}
		k := 0
		switch {
		case front && left:
			k = 1
		case rear && left:
			k = 2
		case rear && right:
			k = 3
		}
		found[k] = i
	}
	for _, i := range found {
		if i < 0 {
			return [4]int{0, 1, 2, 3}
		}
	}
	return found
}

// guessSides returns rough width and length from any side that was measured.
func (v *solver) guessSides(cs []corner) (width, length float64) {
	order := cornerOrder(cs)
	place := map[int]int{}
	for k, i := range order {
		place[cs[i].point] = k
	}
	for _, o := range v.built.Observations {
		if o.Kind != survey.Distance && o.Kind != survey.Horizontal {
			continue
		}
		a, ok1 := place[o.From]
		b, ok2 := place[o.To]
		if !ok1 || !ok2 {
			continue
		}
		switch (a + b) % 4 {
		case 1:
			width = o.Value
		case 3:
			length = o.Value
		}
	}
	if width <= 0 {
		width = v.usualWidth()
	}
	if length <= 0 {
		length = v.usualLength()
	}
	return width, length
}

// usualWidth and usualLength are what platform and seating suggest.
func (v *solver) usualWidth() float64 {
	w := float64(v.s.Platform.Width.Or(5)) + 3
	for _, st := range v.s.Seating {
		w = math.Max(w, 2*math.Abs(float64(st.CentreX.Or(0)))+float64(st.Width.Or(0))+2)
	}
	return w
}

func (v *solver) usualLength() float64 {
	l := 10.0
	for _, st := range v.s.Seating {
		if st.LastY.Set {
			l = math.Max(l, -float64(st.LastY.Value)+2)
		} else if st.FirstY.Set && st.Rows > 0 {
			l = math.Max(l, -float64(st.FirstY.Value)+float64(st.Rows)*float64(st.Pitch.Or(0.9))+2)
		}
	}
	return l + float64(v.s.Platform.Depth.Or(3))
}

// closeCorners adds assumptions, weakest last, until no corner is loose.
func (v *solver) closeCorners() {
	cs := v.corners()
	if len(cs) < 3 {
		return
	}
	if len(cs) == 4 {
		v.squareCorners(cs)
	}
	if !v.anyLoose(cs) {
		return
	}
	order := [4]int{0, 1, len(cs) - 2, len(cs) - 1}
	if len(cs) == 4 {
		order = cornerOrder(cs)
	}
	right, left := cs[order[0]], cs[order[1]]
	v.tie(right, left)
	if !v.anyLoose(cs) {
		return
	}
	if len(cs) != 4 {
		v.sketch(cs)
		return
	}
	v.sizes(cs, order)
}

func (v *solver) looseOf(cs []corner) []string {
	sol, err := survey.Adjust(v.built.Network, survey.Options{KeepAll: true})
	out := make([]string, len(cs))
	if err != nil {
		return out
	}
	for i, c := range cs {
		out[i] = strings.ReplaceAll(sol.Points[c.point].Loose, "z", "")
	}
	return out
}

func (v *solver) anyLoose(cs []corner) bool {
	for _, l := range v.looseOf(cs) {
		if l != "" {
			return true
		}
	}
	return false
}

// squareCorners adds the soft assumption of square corners to a four-cornered
// floor, unless people stated it or the sketched corners say otherwise.
func (v *solver) squareCorners(cs []corner) {
	for _, o := range v.built.Observations {
		if o.Kind == survey.Square {
			return
		}
	}
	at := func(i int) geom.Vec {
		p := v.built.Points[cs[i%4].point]
		q := p.NearAt
		if p.Fixed[0] {
			q.X = p.FixedAt.X
		}
		if p.Fixed[1] {
			q.Y = p.FixedAt.Y
		}
		return q.Plan()
	}
	sketched, free := true, false
	for _, c := range cs {
		p := v.built.Points[c.point]
		sketched = sketched && (p.Near[0] || p.Fixed[0]) && (p.Near[1] || p.Fixed[1])
		free = free || !(p.Fixed[0] && p.Fixed[1])
	}
	if !free {
		return
	}
	for i := range 4 {
		a, b := at(i+3).Sub(at(i)), at(i+1).Sub(at(i))
		// Five degrees out of square on the sketch is meant, not careless.
		if sketched && math.Abs(a.Unit().Dot(b.Unit())) > math.Sin(5*math.Pi/180) {
			return
		}
	}
	for i := range 4 {
		v.built.Add(survey.Observation{ID: "square corner " + cs[i].name, Kind: survey.Square, Assumed: true,
			From: cs[(i+3)%4].point, At: cs[i].point, To: cs[(i+1)%4].point, Sigma: survey.SquareSigma})
	}
	ask := "Measure both diagonals of the floor."
	if v.diagonals(cs) >= 2 {
		ask = "Measure the floor along each of its four walls."
	}
	v.parallelFront(cs)
	v.assume(40, "square corners", ask, "walls and hanging lines are placed by them",
		"the floor's corners are square within half a degree, and the wall behind the platform runs along its edge", "a volunteer, with a tape")
}

// parallelFront adds the soft assumption that the wall behind the platform runs
// along the platform's edge, which alone shows a slip in one of its distances.
func (v *solver) parallelFront(cs []corner) {
	order := cornerOrder(cs)
	a, b := cs[order[0]], cs[order[1]]
	pa, pb := v.built.Points[a.point], v.built.Points[b.point]
	if pa.Fixed[1] && pb.Fixed[1] {
		return
	}
	v.built.Add(survey.Observation{ID: "front wall along the platform's edge", Kind: survey.SameY, From: b.point, At: -1, To: a.point,
		Sigma: parallelSigma, Assumed: true})
}

// diagonals counts the measured diagonals of a four-cornered floor.
func (v *solver) diagonals(cs []corner) int {
	n := 0
	for _, o := range v.built.Observations {
		for i := range 2 {
			a, b := cs[i].point, cs[i+2].point
			if (o.Kind == survey.Distance || o.Kind == survey.Horizontal) && ((o.From == a && o.To == b) || (o.From == b && o.To == a)) {
				n++
				break
			}
		}
	}
	return n
}

// tie places the front wall by the platform: parallel to its edge, centred on it
// and at its back, or where the corners were sketched.
func (v *solver) tie(right, left corner) {
	obs := func(id string, k survey.Kind, from, to int, value, sigma float64) {
		v.built.Add(survey.Observation{ID: id, Kind: k, From: from, At: -1, To: to, Value: value, Sigma: sigma, Assumed: true})
	}
	// Sketched places first.
	sketched := func(c corner) (geom.Vec, bool) {
		for _, st := range v.s.Stations {
			if st.Name == c.name && st.NearX.Set && st.NearY.Set {
				return geom.Vec{X: float64(st.NearX.Value), Y: float64(st.NearY.Value)}, true
			}
		}
		return geom.Vec{}, false
	}
	a, ok1 := sketched(right)
	b, ok2 := sketched(left)
	if ok1 && ok2 {
		obs("sketch of the front wall's middle", survey.CentredX, left.point, right.point, (a.X+b.X)/2, centreSigma)
		obs("sketch of the front wall's run", survey.SameY, left.point, right.point, a.Y-b.Y, parallelSigma)
		obs("sketch of the front wall's place", survey.OffsetY, -1, left.point, b.Y, sketchSigma)
		v.assume(80, "place of the room's corners", "Measure from the platform's front edge to the wall behind it, and from the centre line to both side walls.",
			"it ties the room to the platform", fmt.Sprintf("the front wall stands where it was sketched, give or take %s", si.FormatBoth(sketchSigma, si.Metric)), "a volunteer, with a tape")
		return
	}
	depth := float64(v.s.Platform.Depth.Or(3))
	obs("room centred on the platform", survey.CentredX, left.point, right.point, 0, centreSigma)
	obs("front wall parallel to the platform's edge", survey.SameY, left.point, right.point, 0, parallelSigma)
	obs("front wall at the platform's back", survey.OffsetY, -1, left.point, depth, wallSigma)
	v.assume(80, "place of the room's corners", "Measure from the platform's front edge to the wall behind it, and from the centre line to both side walls.",
		"it ties the room to the platform", fmt.Sprintf("the platform is centred in the room and reaches the wall behind it, give or take %s", si.FormatBoth(wallSigma, si.Metric)), "a volunteer, with a tape")
}

// sizes assumes width and length that nothing fixes.
func (v *solver) sizes(cs []corner, order [4]int) {
	width, length := v.guessSides(cs)
	for _, side := range []struct {
		name string
		a, b int
		l    float64
	}{{"width", order[0], order[1], width}, {"length", order[1], order[2], length}, {"width at the rear", order[2], order[3], width}, {"length on the other side", order[3], order[0], length}} {
		if !v.anyLoose(cs) {
			return
		}
		v.built.Add(survey.Observation{ID: "assumed " + side.name, Kind: survey.Distance, From: cs[side.a].point, At: -1, To: cs[side.b].point,
			Value: side.l, Sigma: survey.AssumedSigma("R3") * side.l, Assumed: true})
		v.assume(90, "room "+side.name, "Measure the room's "+side.name+" along the wall.", "light paths and cables run through it",
			fmt.Sprintf("%s, give or take a quarter", si.FormatBoth(si.Length(side.l), si.Metric)), "a volunteer, with a laser or tape")
	}
}

// sketch holds loose corners of other floors where they were sketched.
func (v *solver) sketch(cs []corner) {
	loose := v.looseOf(cs)
	var names []string
	for i, c := range cs {
		p := v.built.Points[c.point]
		for _, axis := range loose[i] {
			o := survey.Observation{ID: "sketch of " + c.name, Kind: survey.OffsetX, From: -1, At: -1, To: c.point, Value: p.NearAt.X, Sigma: sketchSigma, Assumed: true}
			near := p.Near[0]
			if axis == 'y' {
				o.Kind, o.Value, near = survey.OffsetY, p.NearAt.Y, p.Near[1]
			}
			if near {
				v.built.Add(o)
				names = append(names, c.name)
			}
		}
	}
	if len(names) > 0 {
		sort.Strings(names)
		v.assume(85, "corners "+strings.Join(compact(names), ", "), "Measure their distances to two other corners.", "they fix the room's walls",
			fmt.Sprintf("they stand where they were sketched, give or take %s", si.FormatBoth(sketchSigma, si.Metric)), "a volunteer, with a tape")
	}
}

func compact(sorted []string) []string {
	var out []string
	for _, s := range sorted {
		if len(out) == 0 || out[len(out)-1] != s {
			out = append(out, s)
		}
	}
	return out
}

// footprint takes the floor from the solved corners, or makes one from what is
// known of the room's size.
func (v *solver) footprint() {
	var g geom.Polygon
	placed := true
	for _, c := range v.corners() {
		p := v.sol.Points[c.point]
		placed = placed && !strings.ContainsAny(p.Loose, "xy")
		g = append(g, p.At.Plan())
	}
	g = tidy(g)
	b := boundsOf(g)
	placed = placed && b.maxX-b.minX < maxRoom && b.maxY-b.minY < maxRoom
	if placed && selfCrossing(g) {
		v.out = append(v.out, v.book.New("ROOM_FOOTPRINT_CROSSES", "floor plan", finding.Text("corners", strings.Join(v.s.Footprint, ", "))))
	}
	if placed && len(g) >= 3 && math.Abs(signedArea(g)) > 0.5 && !selfCrossing(g) {
		v.floor = counterClockwise(g)
	} else {
		v.floor = v.plainFloor()
	}
	v.room.Footprint = v.floor
}

// plainFloor is a rectangle of the two longest distances measured, else of what
// platform and seating suggest.
func (v *solver) plainFloor() geom.Polygon {
	var ds []float64
	for _, m := range v.s.Measurements {
		if !m.Void && m.Value.Set && (m.Kind == survey.Distance || m.Kind == survey.Horizontal) && m.Value.Value > 2 {
			ds = append(ds, float64(m.Value.Value))
		}
	}
	sort.Sort(sort.Reverse(sort.Float64Slice(ds)))
	length, width := v.usualLength(), v.usualWidth()
	what := "platform and seating suggest it"
	if len(ds) > 0 {
		length, what = ds[0], "the longest distance measured is taken as its length"
		if len(ds) > 1 {
			width, what = ds[1], "the two longest distances measured are taken as its length and width"
		}
		width = math.Min(width, length)
	}
	front := float64(v.s.Platform.Depth.Or(3))
	v.assume(100, "floor plan", "Name the corners of the floor in order and measure its sides and both diagonals.",
		"everything stands in it", fmt.Sprintf("a rectangle of %s by %s behind the platform's back edge, give or take a quarter: %s",
			si.FormatBoth(si.Length(length), si.Metric), si.FormatBoth(si.Length(width), si.Metric), what), "a volunteer, with a laser or tape")
	return geom.Polygon{{X: -width / 2, Y: front - length}, {X: width / 2, Y: front - length}, {X: width / 2, Y: front}, {X: -width / 2, Y: front}}
}

// maxRoom is the largest side taken for a room, in metres; beyond it numbers
// contradict each other past repair.
const maxRoom = 500

// selfCrossing tells whether two sides of a polygon cross.
func selfCrossing(g geom.Polygon) bool {
	n := len(g)
	for i := range g {
		for k := i + 2; k < n; k++ {
			if (k+1)%n == i {
				continue
			}
			a, b, c, d := g[i], g[(i+1)%n], g[k], g[(k+1)%n]
			if turn(a, b, c)*turn(a, b, d) < 0 && turn(c, d, a)*turn(c, d, b) < 0 {
				return true
			}
		}
	}
	return false
}
