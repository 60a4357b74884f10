package room

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// assumedPlaceSigma is how well a coordinate nobody gave is known, in metres
// (common practice: a photograph with a stick of known length, or a guess).
const assumedPlaceSigma = 0.5

// placeSigma returns the standard deviations of a place in x, y and z: of its
// station, or of the typed coordinates by their instrument; 0.5 m where nothing
// is known.
func (v *solver) placeSigma(p survey.Place) geom.Vec {
	if p.Station != "" {
		if sp, ok := v.point(p.Station); ok {
			s := sp.Sigma()
			for i, axis := range []string{"x", "y", "z"} {
				if strings.Contains(sp.Loose, axis) {
					*[]*float64{&s.X, &s.Y, &s.Z}[i] = assumedPlaceSigma
				}
			}
			return s
		}
	}
	return geom.Vec{X: typedSigma(p.Instrument, p.X), Y: typedSigma(p.Instrument, p.Y), Z: typedSigma(p.Instrument, p.Z)}
}

func typedSigma(i survey.Instrument, l survey.L) float64 {
	if !l.Set {
		return assumedPlaceSigma
	}
	return float64(survey.SigmaOf(i, l))
}

// sizeSigma is how well the middle of something is known along one direction of
// it, whose extent was typed and which stands on a typed edge: its edge's and
// half its extent's, m.
func edgeSigma(edge, extent survey.L) float64 {
	return math.Hypot(typedSigma("", edge), typedSigma("", extent)/2)
}

// wallPocket is how far the end of a line that was taken to reach the wall may
// lie in it or before it, in metres (common practice).
const wallPocket = 0.1

// cov6 is the covariance in m² of a line's two ends, x, y, z of From then of To.
type cov6 = [6][6]float64

// lineCovariance fills the covariance of a line's ends: from the adjustment where
// the measurements fix them, and where an end was closed by assumption both ends
// err together by the assumption's standard deviation.
func (v *solver) lineCovariance(l *Line, from, to int, looseFrom, looseTo string) {
	pairs := [][2]int{{from, to}}
	if i, ok := v.platformPoint(); ok {
		pairs = append(pairs, [2]int{from, i}, [2]int{to, i})
	}
	blocks := v.built.Together(v.sol, pairs)
	a, z := v.sol.Points[from].Cov, v.sol.Points[to].Cov
	if l.From == l.To {
		z = a
		blocks[0] = a
	}
	for i := range 3 {
		for k := range 3 {
			l.Cov[i][k], l.Cov[3+i][3+k] = a[i][k], z[i][k]
			l.Cov[i][3+k], l.Cov[3+k][i] = blocks[0][i][k], blocks[0][i][k]
		}
	}
	if len(blocks) == 3 {
		for i := range 3 {
			l.PlatformCov[i], l.PlatformCov[3+i] = blocks[1][i][2], blocks[2][i][2]
		}
		if l.From == l.To {
			copy(l.PlatformCov[3:], l.PlatformCov[:3])
		}
	}
	// Along the line, what is measured on it starts at its From end.
	assumed := [3]float64{wallPocket, float64(l.SigmaY), float64(l.SigmaZ)}
	for i, axis := range []string{"x", "y", "z"} {
		if !strings.Contains(looseFrom+looseTo, axis) {
			continue
		}
		for k := range 6 {
			l.Cov[i][k], l.Cov[k][i], l.Cov[3+i][k], l.Cov[k][3+i] = 0, 0, 0, 0
		}
		l.PlatformCov[i], l.PlatformCov[3+i] = 0, 0
		s := assumed[i] * assumed[i]
		l.Cov[i][i], l.Cov[3+i][3+i], l.Cov[i][3+i], l.Cov[3+i][i] = s, s, s, s
	}
}

// platformPoint returns the network's point of the platform's height.
func (v *solver) platformPoint() (int, bool) {
	for _, f := range v.built.Floors {
		if strings.EqualFold(f.Name, "platform") {
			return v.built.Index(survey.LevelPoint(f.Name))
		}
	}
	return 0, false
}

// along returns how far along the line, from its From end, the point of it
// nearest to p lies.
func (l Line) along(p geom.Vec) float64 {
	d := l.To.Sub(l.From)
	n := d.Norm()
	if n == 0 {
		return 0
	}
	return math.Max(0, math.Min(n, p.Sub(l.From).Dot(d)/n))
}

// Pull returns how a quantity whose gradient at the point of the line nearest to
// p is g changes with the line's ends, x, y, z of From then of To. With t the
// share of the way and u the line's direction the point is
//
//	P = F + s·u,   δP = [I − t(I − uuᵀ)]·δF + t(I − uuᵀ)·δT
//
// since a place along a line is measured from its From end.
func (l Line) Pull(p, g geom.Vec) [6]float64 {
	d := l.To.Sub(l.From)
	n := d.Norm()
	if n == 0 {
		return [6]float64{g.X, g.Y, g.Z}
	}
	u := d.Scale(1 / n)
	t := l.along(p) / n
	across := g.Sub(u.Scale(u.Dot(g))).Scale(t)
	f := g.Sub(across)
	return [6]float64{f.X, f.Y, f.Z, across.X, across.Y, across.Z}
}

// shared is the covariance of ends that err together in y and z.
func shared(y, z si.Length) (c cov6) {
	for axis, s := range map[int]si.Length{1: y, 2: z} {
		if v := float64(s * s); !math.IsNaN(v) && !math.IsInf(v, 0) {
			c[axis][axis], c[3+axis][3+axis], c[axis][3+axis], c[3+axis][axis] = v, v, v, v
		}
	}
	return c
}

// Variance returns gᵀ·Σ·g for a gradient by the line's ends. A line
// without covariance errs as a whole by SigmaY and SigmaZ.
func (l Line) Variance(g [6]float64) float64 {
	cov := l.Cov
	if cov == (cov6{}) {
		cov = shared(l.SigmaY, l.SigmaZ)
	}
	var sum float64
	for i := range 6 {
		for k := range 6 {
			sum += g[i] * cov[i][k] * g[k]
		}
	}
	return math.Max(0, sum)
}

// ElevationSigma returns the standard deviation in radians of the elevation of a
// lens that hangs from the line, seen from a point, from the covariance of the
// line's ends. With x, y, z from the point to the lens, h in plan and d in space:
//
//	ε = atan(z/h),   ∂ε/∂(x, y, z) = (−z·x/(h·d²), −z·y/(h·d²), h/d²)
//
// Straight over the point, where h is 0, the elevation can only fall: σh/z with
// the larger of the two plan standard deviations. 0 at the point itself.
// Source: law of propagation of variances, first order (GUM, JCGM 100:2008, 5.1.2, from memory).
func (l Line) ElevationSigma(lens, from geom.Vec) float64 {
	to := lens.Sub(from)
	h, d2 := to.Plan().Norm(), to.Dot(to)
	if d2 == 0 {
		return 0
	}
	if h < 1e-9*math.Sqrt(d2) {
		x := l.Variance(l.Pull(lens, geom.Vec{X: 1 / to.Z}))
		y := l.Variance(l.Pull(lens, geom.Vec{Y: 1 / to.Z}))
		return math.Sqrt(math.Max(x, y))
	}
	return math.Sqrt(l.lensVariance(lens, geom.Vec{X: -to.Z * to.X / (h * d2), Y: -to.Z * to.Y / (h * d2), Z: h / d2}))
}

// ThrowSigma returns the standard deviation in metres of the distance of a lens
// that hangs from the line from a point. 0 at the point itself.
// Source: law of propagation of variances, first order.
func (l Line) ThrowSigma(lens, from geom.Vec) float64 {
	return math.Sqrt(l.lensVariance(lens, lens.Sub(from).Unit()))
}

// lensVariance returns the variance of a quantity with the gradient g at a lens that
// hangs from the line: by the line's ends, and by how far the lens hangs below where
// that was assumed, gᵀΣg + g_z²·σ_drop².
func (l Line) lensVariance(lens, g geom.Vec) float64 {
	return l.Variance(l.Pull(lens, g)) + sq(g.Z*l.SigmaDrop.Metres())
}

// onPlatform is how far over the platform a point may be taken to stand on it, and
// under it for the rounding of its height, in metres.
const (
	overPlatform  = 2.5
	underPlatform = 0.05
)

// StandsOnPlatform tells whether a point, such as a face, moves with the platform's
// height: it is over its outline and not higher than a person over it.
func (r Room) StandsOnPlatform(at geom.Vec) bool {
	over := at.Z - r.Platform.Height.Metres()
	return len(r.Platform.Outline) >= 3 && r.Platform.Outline.ContainsPlan(at.X, at.Y) && over > -underPlatform && over < overPlatform
}

// faceVariance returns the variance of a quantity with the gradient g at the lens
// and the opposite one at a face: by the line's ends, and where the face stands on
// the platform by its height,
//
//	gᵀΣg + g_z²·σ_drop² + g_z²·σ_p² − 2·g_z·gᵀ·c
//
// with c the covariance of the ends with the platform's height.
func (r Room) faceVariance(l Line, lens, face, g geom.Vec) float64 {
	by := l.Pull(lens, g)
	sum := l.lensVariance(lens, g)
	if r.StandsOnPlatform(face) {
		p := r.Platform.SigmaHeight.Metres()
		sum += sq(g.Z * p)
		for i, v := range by {
			sum -= 2 * g.Z * v * l.PlatformCov[i]
		}
	}
	return math.Max(0, sum)
}

func sq(v float64) float64 { return v * v }

// ElevationSigma returns the standard deviation in radians of the elevation of a
// lens that hangs from the line, seen from a face (Line.ElevationSigma), the height
// of the platform that the face stands on included.
// Source: law of propagation of variances, first order (GUM, JCGM 100:2008, 5.1.2, from memory).
func (r Room) ElevationSigma(l Line, lens, face geom.Vec) float64 {
	to := lens.Sub(face)
	h, d2 := to.Plan().Norm(), to.Dot(to)
	if d2 == 0 || h < 1e-9*math.Sqrt(d2) {
		return l.ElevationSigma(lens, face) // straight over it no height tells
	}
	return math.Sqrt(r.faceVariance(l, lens, face, geom.Vec{X: -to.Z * to.X / (h * d2), Y: -to.Z * to.Y / (h * d2), Z: h / d2}))
}

// ThrowSigma returns the standard deviation in metres of the distance of a lens
// that hangs from the line from a face, the height of the platform that the face
// stands on included. 0 at the face itself.
// Source: law of propagation of variances, first order.
func (r Room) ThrowSigma(l Line, lens, face geom.Vec) float64 {
	return math.Sqrt(r.faceVariance(l, lens, face, lens.Sub(face).Unit()))
}

// SigmaAt returns the standard deviations in x, y and z, in metres, of the point
// of the line nearest to p.
func (l Line) SigmaAt(p geom.Vec) geom.Vec {
	return geom.Vec{X: math.Sqrt(l.Variance(l.Pull(p, geom.Vec{X: 1}))), Y: math.Sqrt(l.Variance(l.Pull(p, geom.Vec{Y: 1}))),
		Z: math.Sqrt(l.Variance(l.Pull(p, geom.Vec{Z: 1})))}
}

// spots places panels, dimmer cabinets and control places.
func (v *solver) spots() {
	for _, p := range v.s.Panels {
		v.room.Panels = append(v.room.Panels, v.spot(p.Name, "panel", p.At))
	}
	for _, d := range v.s.DataPlaces {
		v.room.DataPlaces = append(v.room.DataPlaces, v.spot(d.Name, d.Kind, d.At))
	}
}

// handHeight is taken for equipment whose height nobody gave (common practice).
const handHeight = 1.2

func (v *solver) spot(name, kind string, p survey.Place) Spot {
	at, known := v.place(p)
	s := Spot{Name: name, Kind: kind, At: at, Sigma: v.placeSigma(p), Known: known[0] && known[1]}
	if !known[2] {
		s.At.Z = handHeight
	}
	return s
}

// openings places doors and arches in their walls.
func (v *solver) openings() {
	for _, w := range v.s.Walls {
		a, ok1 := v.point(w.From)
		b, ok2 := v.point(w.To)
		if !ok1 || !ok2 || a.At.Plan().Sub(b.At.Plan()).Norm() < 0.1 {
			if len(w.Openings) > 0 {
				v.assume(33, "wall "+w.Name, "Name the two corners of the floor it runs between.", "its doors are placed along it",
					"its openings are left out", "a volunteer")
			}
			continue
		}
		n := b.At.Plan().Sub(a.At.Plan()).Norm()
		u := b.At.Plan().Sub(a.At.Plan()).Scale(1 / n)
		inward := geom.Vec{X: -u.Y, Y: u.X}
		m := a.At.Plan().Lerp(b.At.Plan(), 0.5)
		if probe := m.Add(inward.Scale(0.05)); !v.floor.ContainsPlan(probe.X, probe.Y) {
			inward = inward.Scale(-1)
		}
		for _, o := range w.Openings {
			if !o.Along.Set {
				v.assume(32, "opening "+o.Name+" in wall "+w.Name, "Measure how far its middle is from the wall's first corner.", "people and lifts come through it",
					"it is left out", "a volunteer, with a tape")
				continue
			}
			at := a.At.Plan().Add(u.Scale(math.Max(0, math.Min(n, float64(o.Along.Value)))))
			at.Z = float64(o.Sill.Or(v.room.Ground.HeightAt(at.Y)))
			// A door of unknown size is a usual one (common practice).
			wide, high := float64(o.Width.Or(0.9)), float64(o.Height.Or(2.05))
			if wide <= 0 || high <= 0 {
				continue
			}
			if !o.Width.Set || !o.Height.Set {
				v.guess(&v.guessedOpenings, o.Name)
			}
			along := typedSigma("", o.Along)
			sa := a.Sigma()
			g := upright(at, wide, high, math.Atan2(inward.X, -inward.Y)*180/math.Pi)
			if o.Kind == "arch" || o.Kind == "hatch" {
				// Light goes out through it; a door or a niche reflects like its wall.
				v.room.Surfaces = append(v.room.Surfaces, Surface{Name: "opening_" + slug(w.Name+" "+o.Name), Kind: "opening", Polygon: g})
			}
			v.room.Openings = append(v.room.Openings, Opening{Name: o.Name, Kind: o.Kind, Wall: w.Name,
				Polygon: g,
				Sigma:   geom.Vec{X: math.Hypot(sa.X, along*u.X), Y: math.Hypot(sa.Y, along*u.Y), Z: edgeSigma(o.Sill, o.Height)}})
		}
	}
	if len(v.guessedOpenings) > 0 {
		v.assume(31, "size of openings "+v.named(v.guessedOpenings), "Tape the clear width and height of each.", "people and lifts come through them",
			"a usual door, 0.9 m by 2.05 m, where that is not known, give or take 0.1 m", "a volunteer, with a tape")
	}
}

// views places what is to stay in view.
func (v *solver) views() {
	for _, k := range v.s.Views {
		at, known := v.place(k.Centre)
		w, h := float64(k.Width.Or(1)), float64(k.Height.Or(k.Width.Or(1)))
		if !known[0] || w <= 0 || h <= 0 {
			v.assume(34, "view "+k.Name, "Measure where it is.", "nothing may hang before it",
				"it is left out", "a volunteer")
			continue
		}
		if !known[1] {
			at.Y = boundsOf(v.floor).maxY
		}
		if !k.Width.Set || !k.Height.Set || !k.Bottom.Set && !known[2] {
			v.guess(&v.guessedViews, k.Name)
		}
		s := v.placeSigma(k.Centre)
		switch {
		case k.Bottom.Set:
			at.Z, s.Z = float64(k.Bottom.Value), edgeSigma(k.Bottom, k.Height)
		case known[2]:
			at.Z -= h / 2
		default:
			at.Z = v.room.Platform.Height.Metres() + 1
		}
		v.room.Views = append(v.room.Views, View{Name: k.Name, Kind: k.Kind, MayLight: k.MayLight, Polygon: upright(at, w, h, k.FacingDeg), Sigma: s})
	}
	if len(v.guessedViews) > 0 {
		v.assume(33, "size of "+v.named(v.guessedViews), "Measure its width, height and bottom edge, or photograph it with a stick of known length.", "nothing may hang before it",
			"1 m wide, as high as wide and a metre over the platform where that is not known, give or take a half", "a volunteer")
	}
}

// guess notes a thing of which something is assumed, once.
func (v *solver) guess(list *[]string, name string) {
	if !slices.Contains(*list, name) {
		*list = append(*list, name)
	}
}

// named lists names in order.
func (v *solver) named(names []string) string {
	return strings.Join(slices.Sorted(slices.Values(names)), ", ")
}

// ground solves the slope of the hall floor.
func (v *solver) ground() {
	f := v.s.Floor
	if !f.Rise.Set || f.Rise.Value == 0 {
		return
	}
	b := boundsOf(v.floor)
	g := Ground{Rise: f.Rise.Value, FromY: f.RiseFromY.Or(0), ToY: f.RiseToY.Or(si.Length(b.minY))}
	if !f.RiseFromY.Set || !f.RiseToY.Set {
		v.assume(46, "run of the sloped floor", "Measure from the platform edge to where the floor begins to slope, and to where it ends.", "eyes and faces in the seats stand on it",
			"it slopes evenly from the platform to the rear wall", "a volunteer, with a tape")
	}
	if g.FromY <= g.ToY || g.Rise >= si.Length(0.8*float64(v.lowCeiling())) {
		v.assume(66, "slope of the hall floor", "Measure again by how much the floor rises, and between which distances from the platform.", "as given it reaches the ceiling or has no length",
			"the floor is flat", "a volunteer, counting steps")
		return
	}
	v.room.Ground = g
}

func (v *solver) lowCeiling() si.Length {
	c := v.room.Ceiling
	low := c.Eaves
	for _, s := range c.Steps {
		low = min(low, s.Height)
	}
	return low
}

// apronAndSteps builds the lower part before the platform and its steps.
func (v *solver) apronAndSteps() {
	p := v.s.Platform
	var g geom.Polygon
	for _, pl := range p.Apron {
		if at, known := v.place(pl); known[0] && known[1] {
			g = append(g, at.Plan())
		}
	}
	g = tidy(g)
	if len(g) >= 3 && math.Abs(signedArea(g)) > 0.05 && !selfCrossing(g) {
		g = counterClockwise(g)
		h := p.ApronHeight.Or(v.room.Platform.Height / 2)
		if !p.ApronHeight.Set {
			v.assume(44, "height of the apron", "Measure its height above the hall floor.", "faces stand on it", fmt.Sprintf("half of the platform's height, %s, give or take half of that", si.FormatBoth(h, si.Metric)), "a volunteer, with a tape")
		}
		for i := range g {
			g[i].Z = h.Metres()
		}
		v.room.Platform.Apron, v.room.Platform.ApronHeight = g, h
		v.room.Surfaces = append(v.room.Surfaces, v.raised("apron", "platform", g, h.Metres())...)
	}
	for _, f := range p.Flights {
		at, known := v.place(f.Centre)
		if !known[0] || !known[1] || f.Risers < 2 {
			continue
		}
		top := v.room.Platform.Height.Metres()
		if !f.Going.Set || !f.Width.Set {
			v.guess(&v.guessedFlights, cmp.Or(strings.TrimSpace(f.Name), "of the platform"))
		}
		rise, going, wide := top/float64(f.Risers), float64(f.Going.Or(0.28)), float64(f.Width.Or(1.2))
		if !(rise > 0) || going <= 0 || wide <= 0 {
			continue
		}
		a := f.FacingDeg * math.Pi / 180
		down := geom.Vec{X: math.Sin(a), Y: -math.Cos(a)}
		side := geom.Vec{X: math.Cos(a), Y: math.Sin(a)}
		// One tread less than risers: the last riser is the platform's own edge.
		for i := 1; i < f.Risers; i++ {
			near := at.Plan().Add(down.Scale(float64(i-1) * going))
			far := near.Add(down.Scale(going))
			base := counterClockwise(geom.Polygon{near.Sub(side.Scale(wide / 2)), near.Add(side.Scale(wide / 2)), far.Add(side.Scale(wide / 2)), far.Sub(side.Scale(wide / 2))})
			v.room.Solids = append(v.room.Solids, Solid{Name: strings.TrimSpace("steps "+f.Name) + fmt.Sprintf(" tread %d", i),
				Faces: prism(base, top-float64(i)*rise), Base: near.Lerp(far, 0.5)})
		}
	}
	if len(v.guessedFlights) > 0 {
		v.assume(28, "treads of steps "+v.named(v.guessedFlights), "Tape the going and the width of a tread.", "steps before the platform block low light",
			"going 0.28 m and width 1.2 m where that is not known, give or take 0.05 m and 0.3 m", "a volunteer, with a tape")
	}
}
