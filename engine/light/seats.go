package light

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/geom"
)

// Heights of the planes, m, and spacing of the points.
//
// Source: reading plane, common practice 0.75 m to 0.85 m above the floor, which
// is about 0.4 m below a seated eye; egress is on the walking surface (NFPA 101
// 7.8.1.3).
const (
	belowEyeM  = 0.4
	readingM   = 0.8
	walkingM   = 0.02
	headroomM  = 2.0
	gridStepM  = 2.0
	offWallM   = 0.5 // EN 1838: the border of 0.5 m along walls is left out
	mostPoints = 40
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
		_, off := e.in.Room.Footprint.NearestPlan(p.X, p.Y)
		if e.in.Room.Platform.Outline.ContainsPlan(p.X, p.Y) || off < offWallM {
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
