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
)

// Heights of the planes, m, and spacing of the points.
//
// Source: reading plane, common practice 0.75 m to 0.85 m above the floor, which
// is about 0.4 m below a seated eye; egress is on the walking surface (NFPA 101
// 7.8.1.3).
const (
	belowEyeM     = 0.4
	readingM      = 0.8
	walkingM      = 0.02
	headroomM     = 2.0
	gridStepM     = 2.0
	offWallM      = 0.5 // EN 1838: the border of 0.5 m along walls is left out
	mostPoints    = 40
	mostLamps     = 24 // of one group; more are drawn together
	belowCeilingM = 0.3
)

// PlaceLight is the light of a place before and after the works, point by point,
// in lux with the maintenance of house lights: the means in all and of what the
// room reflects, and the least point. NaN where a lamp's flux is not known.
type PlaceLight struct {
	Place                               string
	Points                              int
	BeforeLx, AfterLx                   float64
	BeforeMinLx, AfterMinLx             float64
	BeforeReflectedLx, AfterReflectedLx float64
	Loss                                float64
	Basis                               string
	// BeforeSigmaPct and AfterSigmaPct are the standard deviations of the means from
	// reflectances that nobody gave, in percent; NaN with them.
	BeforeSigmaPct, AfterSigmaPct float64
}

// Places of PlaceLight.
const (
	InSeats    = "reading in the seats"
	WayOut     = "way out, house lights up"
	WayOutDark = "way out, emergency lights alone"
)

// OldLampLm returns the light of one old lamp, lm: as surveyed, else of its watts
// as a tungsten lamp, or as a tube where its base is one's (G13 of T8, G5 of T5; G5.3
// and G53 are of tungsten halogen: IEC 60061-1, from memory). 0 where neither is known; assumed
// tells whether it was not surveyed.
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

// Places returns the light for reading in the seats and on the way out before and
// after the works: every old house light at its surveyed place (spread evenly
// under the ceiling, or under the galleries, where it has none), as a bare lamp or,
// close under the ceiling, by the cosine; a new one by its photometry where the
// catalogue has it; units of the scheme for the house. Direct light is shadowed by
// the room; reflected light comes on top where the transport is given. None
// without a floor or lights.
//
// Source: point-by-point method, E = Σ I·cos θ/d² (IES Lighting Handbook).
func Places(in Input) []PlaceLight {
	if !(in.Room.Footprint.Area() > 0) {
		return nil
	}
	e := &evaluator{in: in, rays: in.Rays, loss: houseLoss}
	if e.rays == nil {
		e.rays = &Rays{}
	}
	e.sc = e.rays.scene(in.Room)
	var out []PlaceLight
	if house, ok := e.oldLamps("house", "under_gallery"); ok {
		if pts := e.seatPoints(); len(pts) > 0 {
			out = append(out, e.inPlace(InSeats, pts, house))
		}
		if pts := e.floorPoints(); len(pts) > 0 {
			out = append(out, e.inPlace(WayOut, pts, house))
		}
	}
	if dark, ok := e.oldLamps("emergency", "exit"); ok && dark.placed {
		if pts := e.floorPoints(); len(pts) > 0 {
			out = append(out, e.inPlace(WayOutDark, pts, dark))
		}
	}
	return out
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

// spreadOver returns about n places evenly over an outline, at its height: the
// middles of square cells that lie inside.
func spreadOver(outline geom.Polygon, n int) []geom.Vec {
	area := outline.Area()
	if !(area > 0) || n < 1 || math.IsInf(area, 0) {
		return nil
	}
	return gridOver(outline, math.Sqrt(area/float64(n)))
}

func gridOver(outline geom.Polygon, step float64) []geom.Vec {
	lo, hi := geom.Vec{X: math.Inf(1), Y: math.Inf(1)}, geom.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	z := 0.0
	for _, v := range outline {
		lo.X, lo.Y = math.Min(lo.X, v.X), math.Min(lo.Y, v.Y)
		hi.X, hi.Y = math.Max(hi.X, v.X), math.Max(hi.Y, v.Y)
		z += v.Z / float64(len(outline))
	}
	nx, ny := max(1, int(math.Round((hi.X-lo.X)/step))), max(1, int(math.Round((hi.Y-lo.Y)/step)))
	var out []geom.Vec
	for j := range min(ny, 200) {
		for i := range min(nx, 200) {
			p := geom.Vec{X: lo.X + (hi.X-lo.X)*(float64(i)+.5)/float64(nx), Y: lo.Y + (hi.Y-lo.Y)*(float64(j)+.5)/float64(ny), Z: z}
			if outline.ContainsPlan(p.X, p.Y) {
				out = append(out, p)
			}
		}
	}
	return out
}

// seatPoints are the reading places: along every row, below the seated eyes; over
// the floor before the platform where no rows were surveyed.
func (e *evaluator) seatPoints() []Point {
	var at []geom.Vec
	for _, s := range e.in.Room.Seating {
		for _, r := range s.Rows {
			n := max(1, int(math.Round(r.Right.Sub(r.Left).Norm()/gridStepM)))
			for i := range n {
				p := r.Left.Lerp(r.Right, (float64(i)+.5)/float64(n))
				p.Z -= belowEyeM
				at = append(at, p)
			}
		}
	}
	if len(at) == 0 {
		for _, p := range gridOver(e.in.Room.Footprint, gridStepM) {
			if p.Y < 0 {
				p.Z = readingM
				at = append(at, p)
			}
		}
	}
	return pointsAt(at)
}

// floorPoints are over the walking surface of the hall, off its walls and not
// under the platform.
func (e *evaluator) floorPoints() []Point {
	var at []geom.Vec
	for _, p := range gridOver(e.in.Room.Footprint, gridStepM) {
		if e.in.Room.Platform.Outline.ContainsPlan(p.X, p.Y) || nearEdge(e.in.Room.Footprint, p) < offWallM {
			continue
		}
		p.Z = walkingM
		// Nobody walks where something stands, or where it is too low to.
		if e.sc.Occluded(p, p.Add(geom.Vec{Z: headroomM})) {
			continue
		}
		at = append(at, p)
	}
	return pointsAt(at)
}

func nearEdge(outline geom.Polygon, p geom.Vec) float64 {
	best := math.Inf(1)
	for i, a := range outline {
		b := outline[(i+1)%len(outline)]
		a.Z, b.Z = p.Z, p.Z
		d := b.Sub(a)
		t := 0.0
		if l := d.Dot(d); l > 0 {
			t = math.Max(0, math.Min(1, p.Sub(a).Dot(d)/l))
		}
		best = math.Min(best, p.Sub(a.Lerp(b, t)).Norm())
	}
	return best
}

// pointsAt keeps every k-th place so that the points stay few.
func pointsAt(at []geom.Vec) []Point {
	k := (len(at) + mostPoints - 1) / mostPoints
	var out []Point
	for i := 0; i < len(at); i += max(1, k) {
		if finite(at[i]) {
			out = append(out, Point{Name: fmt.Sprint("point ", len(out)+1), At: at[i], Normal: geom.Vec{Z: 1}})
		}
	}
	return out
}

// inPlace evaluates a place.
func (e *evaluator) inPlace(name string, pts []Point, l lamps) PlaceLight {
	out := PlaceLight{Place: name, Points: len(pts), Loss: e.loss}
	out.BeforeLx, out.BeforeMinLx, out.BeforeReflectedLx = e.over(pts, l.before, l.beforeUnknown)
	out.AfterLx, out.AfterMinLx, out.AfterReflectedLx = e.over(pts, l.after, l.afterUnknown)
	out.BeforeSigmaPct = sigmaReflectedPct(e.in.Room, out.BeforeLx, out.BeforeReflectedLx)
	out.AfterSigmaPct = sigmaReflectedPct(e.in.Room, out.AfterLx, out.AfterReflectedLx)
	parts := []string{fmt.Sprintf("Point by point over %d points on a level plane, maintenance %.1f", len(pts), e.loss)}
	if e.in.Transport == nil || e.in.Transport.Patches() == 0 {
		parts = append(parts, "direct light only")
	} else {
		parts = append(parts, "light reflected by the room included and given apart")
	}
	parts = append(parts, "old lamps taken as bare lamps that shine alike all round, by the cosine close under the ceiling: shades and coves are not looked at")
	if len(l.spread) > 0 {
		parts = append(parts, "places not surveyed and spread evenly: "+strings.Join(l.spread, ", "))
	}
	if len(l.assumed) > 0 {
		parts = append(parts, fmt.Sprintf("%d lm a watt, %d of tubes, taken where an old lamp's light was not surveyed: %s", tungstenLmPerW, tubeLmPerW, strings.Join(l.assumed, ", ")))
	}
	if len(l.shape) > 0 {
		parts = append(parts, "new lamps shine like the old ones in shape")
	}
	out.Basis = strings.Join(append(parts, "measure in the place"), "; ")
	return out
}

// over returns mean and least illuminance of the points and the reflected part of
// the mean, lx; NaN where a light's flux is not known.
func (e *evaluator) over(pts []Point, sources []Source, unknown bool) (mean, least, reflected float64) {
	if unknown {
		return math.NaN(), math.NaN(), math.NaN()
	}
	var field Field
	if t := e.in.Transport; t != nil && t.Patches() > 0 {
		field = e.fieldOf(sources)
	}
	direct, back := make([]float64, len(pts)), make([]float64, len(pts))
	parallel(len(pts), func(i int) {
		for _, s := range sources {
			direct[i] += e.loss * Direct(s, pts[i], e.sc).Lx
		}
		if field.t != nil {
			back[i] = e.loss * field.t.Probe(pts[i].At).Plane(field, pts[i].Normal)
		}
	})
	least = math.Inf(1)
	n := float64(len(pts))
	for i := range pts {
		mean += (direct[i] + back[i]) / n
		reflected += back[i] / n
		least = math.Min(least, direct[i]+back[i])
	}
	return mean, least, reflected
}

// fieldOf returns the light that lamps send round in the room, worked out once for
// all the places that the same lamps light.
func (e *evaluator) fieldOf(lamps []Source) Field {
	if len(lamps) == 0 {
		return e.in.Transport.Spread(e.rays.first(e.in.Transport, nil))
	}
	f, ok := e.fields[&lamps[0]]
	if !ok || len(lamps) != f.lamps {
		f = lampField{e.in.Transport.Spread(e.rays.first(e.in.Transport, lamps)), len(lamps)}
		if e.fields == nil {
			e.fields = map[*Source]lampField{}
		}
		e.fields[&lamps[0]] = f
	}
	return f.Field
}

// lampField is the field of that many lamps.
type lampField struct {
	Field
	lamps int
}
