package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
)

const (
	// projectorContrast is a projector's own white:black taken for the contrast
	// of the picture. Source: common practice, 1000:1; its exact value hardly
	// matters beside room light.
	projectorContrast = 1000
	// screenOffsetM lifts the sample points off a picture that lies on a wall.
	screenOffsetM = 5e-3
	// screenSteps is the number of sample points along a side of a picture.
	screenSteps = 8
)

// Contrast returns the simultaneous contrast white:black of a projected picture
// with white and ambient illuminance on it in lux and the projector's own
// contrast cr0: (Ew + Ea)/(Ew/cr0 + Ea). NaN without white.
// Source: ANSI/INFOCOMM 3M-2011, contrast with room light as used.
func Contrast(whiteLx, ambientLx, cr0 float64) float64 {
	if !(whiteLx > 0) || !(cr0 > 0) {
		return math.NaN()
	}
	return (whiteLx + ambientLx) / (whiteLx/cr0 + ambientLx)
}

// screens fills what falls on every picture from all units.
func (e *evaluator) screens() {
	for _, sc := range e.in.Room.Screens {
		out := Screen{Name: sc.Name, WhiteLx: sc.White.Or(0).Lux(), SpillPct: math.NaN(), Contrast: math.NaN()}
		out.AverageLx, out.MaxLx, out.Worst = e.onSurface("Picture "+sc.Name, sc.Corners, screenSteps)
		if out.WhiteLx > 0 {
			out.SpillPct = out.AverageLx / out.WhiteLx * 100
			out.Contrast = Contrast(out.WhiteLx, out.AverageLx, projectorContrast)
		}
		e.pictureAmbient(sc, &out)
		e.rep.Screens = append(e.rep.Screens, out)
	}
}

// walls fills what falls on the wall behind the platform from all units.
func (e *evaluator) walls() {
	wall, ok := wallBehind(e.in.Room)
	if !ok {
		return
	}
	const steps = 8
	out := Wall{Name: wall.Name, FacePct: math.NaN()}
	out.AverageLx, out.MaxLx, _ = e.onSurface("Surface "+wall.Name, wall.Polygon, steps)
	if e.rep.Balance.MeanLx > 0 {
		out.FacePct = out.AverageLx / e.rep.Balance.MeanLx * 100
	}
	if _, lx := e.field.OnSurface(wall.Name); lx > 0 {
		out.IndirectLx = e.loss * lx
	}
	e.rep.Walls = append(e.rep.Walls, out)
}

// surfaceSteps caps the points along a side of a surface.
const surfaceSteps = 64

// onSurface returns the average and largest illuminance in lux on a polygon's
// front and the unit that adds most to the average: from that many steps a side on,
// halved until the average changes by under 1 %.
//
// A note says where it did not settle; name is the polygon's.
func (e *evaluator) onSurface(name string, poly geom.Polygon, steps int) (avg, most float64, worst string) {
	avg, most, worst = e.onGrid(poly, steps)
	was := avg
	for steps *= 2; steps <= surfaceSteps; steps *= 2 {
		was = avg
		if avg, most, worst = e.onGrid(poly, steps); math.Abs(avg-was) <= gridChange*avg {
			break
		}
	}
	e.unsettled(name, "average", was, avg, surfaceSteps)
	return avg, most, worst
}

// onGrid is onSurface on one grid.
func (e *evaluator) onGrid(poly geom.Polygon, steps int) (avg, most float64, worst string) {
	pts := samples(poly, steps)
	columns := e.onPoints(poly, steps, pts)
	total := make([]float64, len(e.in.Sources))
	for k := range pts {
		here := 0.0
		for i, column := range columns {
			if column == nil || column[k] == 0 {
				continue
			}
			v := e.in.Sources[i].Level * column[k]
			total[i] += v
			here += v
		}
		avg += here / float64(len(pts))
		most = math.Max(most, here)
	}
	strongest := 0.0
	for i, t := range total {
		if t > strongest {
			strongest, worst = t, e.in.Sources[i].ID
		}
	}
	return avg, most, worst
}

// goldenTurn is the golden section, by which the points of a lattice step across.
const goldenTurn = 0.6180339887498949

// samples returns points spread evenly over a polygon, just off its front: of a
// lattice of steps² points over its bounding rectangle those that lie inside. No
// two lie on one line along a side, so that the edge of a shadow along a side is
// met at every place.
// Source: Kronecker sequences, H. Niederreiter, Random Number Generation and
// Quasi-Monte Carlo Methods, 1992 (from memory).
func samples(poly geom.Polygon, steps int) []Point {
	n := poly.Normal()
	if len(poly) < 3 || n == (geom.Vec{}) || !finite(n) {
		return nil
	}
	u := poly[1].Sub(poly[0]).Unit()
	v := n.Cross(u)
	loU, hiU, loV, hiV := 0.0, 0.0, 0.0, 0.0
	for _, c := range poly {
		d := c.Sub(poly[0])
		loU, hiU = math.Min(loU, d.Dot(u)), math.Max(hiU, d.Dot(u))
		loV, hiV = math.Min(loV, d.Dot(v)), math.Max(hiV, d.Dot(v))
	}
	var pts []Point
	count := steps * steps
	for i := range count {
		a := loU + (hiU-loU)*(float64(i)+0.5)/float64(count)
		_, across := math.Modf((float64(i) + 0.5) * goldenTurn)
		at := poly[0].Add(u.Scale(a)).Add(v.Scale(loV + (hiV-loV)*across))
		if insidePolygon(at, poly) {
			pts = append(pts, Point{At: at.Add(n.Scale(screenOffsetM)), Normal: n})
		}
	}
	return pts
}

// edgeOnScreen returns the height in metres of the upper edge of a source's
// field in the plane of a picture; false when the beam does not go toward its
// front or passes beside it. Beside is judged in plan, by the widest plan angle
// of the field: half of it is atan(tan(φ/2)/cos ε).
func edgeOnScreen(s Source, sc room.Screen) (float64, bool) {
	h := upperEdge(s, room.Surface{Polygon: sc.Corners})
	if math.IsNaN(h) {
		return h, false
	}
	dir := s.Aim.Sub(s.At)
	axis := math.Atan2(dir.Y, dir.X) * 180 / math.Pi
	el := geom.ElevationDeg(s.Aim, s.At) * math.Pi / 180
	half := math.Atan2(math.Tan(s.field()/2*math.Pi/180), math.Cos(el)) * 180 / math.Pi
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range sc.Corners {
		d := c.Sub(s.At)
		turn := turnDeg(axis, math.Atan2(d.Y, d.X)*180/math.Pi)
		lo, hi = math.Min(lo, turn), math.Max(hi, turn)
	}
	return h, lo <= half && hi >= -half
}

const (
	// fieldShare is the share of the peak at which a field ends.
	fieldShare = 0.1
	// edgeSteps is the number of points along a side of a picture at which the
	// field of a unit behind blades is looked for: every 5 cm of a 2 m picture.
	edgeSteps = 40
)

// cutOnScreen returns the greatest height in metres at which a unit behind blades
// lights a picture, grown downward by what must stay dark under it, with a tenth
// of its peak or more; false when it does not. Blades may lie across the picture
// at any slant, so that points are asked one by one.
func (e *evaluator) cutOnScreen(s Source, cut photometry.Cut, sc room.Screen) (float64, bool) {
	grown := make(geom.Polygon, len(sc.Corners))
	middle := sc.Corners.Centroid()
	for i, c := range sc.Corners {
		if grown[i] = c; c.Z < middle.Z {
			grown[i].Z -= underScreenM
		}
	}
	f := newFrame(s.Aim.Sub(s.At))
	most := math.Inf(-1)
	for _, p := range samples(grown, edgeSteps) {
		path := p.At.Sub(s.At)
		if p.At.Z <= most || path.Dot(p.Normal) >= 0 || cut.Intensity(f.toLocal(path.Unit())) < fieldShare*cut.PeakCd() {
			continue
		}
		if !e.sc.Occluded(s.At, p.At) {
			most = p.At.Z
		}
	}
	return most, !math.IsInf(most, -1)
}
