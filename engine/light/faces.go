package light

import (
	"fmt"
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
)

const (
	// standingM and seatedM are the face heights taken where the brief states
	// none. Source: EN 12464-1, planes for cylindrical illuminance at 1.6 m for
	// standing and 1.2 m for seated people.
	standingM = 1.6
	seatedM   = 1.2
	// firstStepM is the spacing a zone's grid starts with.
	firstStepM = 1.0
	// gridChange is the relative change of a zone's average below which halving
	// its grid brings nothing a meter could show.
	gridChange = 0.01
	// gridSide caps the points along one side of a zone's grid.
	gridSide = 32
)

// faces returns the zone's face points and their spacing: the brief's key
// places with spacing 0, or a grid over the zone. None when the zone has
// neither.
func (e *evaluator) faces(z brief.Zone) ([]Point, float64) {
	var places []Point
	for i, f := range z.Faces {
		if p, ok := e.keyPlace(z, f, i); ok {
			places = append(places, p)
		}
	}
	if len(places) > 0 {
		return places, 0
	}
	return e.grid(z)
}

// keyPlace returns the point of a stated face; a missing coordinate is the
// middle of the zone.
func (e *evaluator) keyPlace(z brief.Zone, f brief.Face, i int) (Point, bool) {
	x := f.X.Or((z.MinX.Value + z.MaxX.Value) / 2).Metres()
	y := f.Y.Or((z.MinY.Value + z.MaxY.Value) / 2).Metres()
	known := (f.X.Set || z.MinX.Set && z.MaxX.Set) && (f.Y.Set || z.MinY.Set && z.MaxY.Set)
	height := f.Z.Value.Metres()
	if !f.Z.Set {
		height = e.faceZ(z, x, y)
	}
	name := f.Name
	if name == "" {
		name = fmt.Sprintf("%s %d", z.Name, i+1)
	}
	p := Point{Name: name, Zone: z.Name, At: geom.Vec{X: x, Y: y, Z: height}, Normal: facing(f.FacingDeg)}
	return p, known && finite(p.At) && finite(p.Normal)
}

// faceZ returns the height in metres of the zone's faces above the hall floor.
func (e *evaluator) faceZ(z brief.Zone, x, y float64) float64 {
	up := standingM
	if z.Use == "piano" {
		up = seatedM
	}
	if z.FaceHeight.Set {
		up = z.FaceHeight.Value.Metres()
	} else {
		e.limit(fmt.Sprintf("Zone %s: no face height stated, %.1f m above its floor taken.", z.Name, up))
	}
	return e.levelZ(z.Level, x, y) + up
}

// levelZ returns a level's height in metres. No name means the platform over
// its outline and the hall floor elsewhere; so does an unknown one, with a note.
func (e *evaluator) levelZ(name string, x, y float64) float64 {
	for _, l := range e.in.Room.Levels {
		if l.Name == name && name != "" {
			return l.Height.Metres()
		}
	}
	platform := e.in.Room.Platform
	switch name {
	case "floor":
		return 0
	case "platform":
		return platform.Height.Metres()
	case "":
	default:
		e.limit(fmt.Sprintf("Level %q is not in the survey; its zones stand on the floor below them.", name))
	}
	if platform.Outline.ContainsPlan(x, y) {
		return platform.Height.Metres()
	}
	return 0
}

// grid returns the coarsest grid over the zone, from 1 m down, whose average
// changes by less than 1 % when it is halved.
func (e *evaluator) grid(z brief.Zone) ([]Point, float64) {
	lo, hi, ok := extent(z)
	if !ok {
		return nil, 0
	}
	nx, ny := cells(hi.X-lo.X), cells(hi.Y-lo.Y)
	pts := e.cellPoints(z, lo, hi, nx, ny)
	avg := e.frontAverage(pts)
	last := avg // of the grid before
	for {
		fx, fy := min(2*nx, gridSide), min(2*ny, gridSide)
		if nx == 1 && hi.X == lo.X {
			fx = 1
		}
		if ny == 1 && hi.Y == lo.Y {
			fy = 1
		}
		if fx == nx && fy == ny {
			e.unsettled("Zone "+z.Name, "faces' average", last, avg, gridSide)
			break
		}
		fine := e.cellPoints(z, lo, hi, fx, fy)
		fineAvg := e.frontAverage(fine)
		if math.Abs(fineAvg-avg) <= gridChange*fineAvg {
			break
		}
		nx, ny, pts, last, avg = fx, fy, fine, avg, fineAvg
	}
	return pts, math.Max(math.Abs(hi.X-lo.X)/float64(nx), math.Abs(hi.Y-lo.Y)/float64(ny))
}

// noticedLx is the change of an average that is worth a note where its grid did
// not settle: half the last digit of a light meter that shows whole lux.
const noticedLx = 0.5

// unsettled notes that an average still changed on its finest grid of side points
// a side, from what it was on the one before, by more than gridChange.
func (e *evaluator) unsettled(of, what string, was, is float64, side int) {
	if change := math.Abs(is - was); change > gridChange*is && change > noticedLx {
		e.limit(fmt.Sprintf("%s: the %s still changed by %.1f lx of %.0f lx on the finest grid, %d points a side; take it as uncertain by as much.", of, what, change, is, side))
	}
}

// cells returns how many first steps a length takes, at least 1.
func cells(length float64) int {
	return max(1, int(math.Min(gridSide, math.Ceil(math.Abs(length)/firstStepM))))
}

// cellPoints returns the middles of nx·ny equal cells, facing the congregation.
func (e *evaluator) cellPoints(z brief.Zone, lo, hi geom.Vec, nx, ny int) []Point {
	pts := make([]Point, 0, nx*ny)
	for j := range ny {
		for i := range nx {
			x := lo.X + (hi.X-lo.X)*(float64(i)+0.5)/float64(nx)
			y := lo.Y + (hi.Y-lo.Y)*(float64(j)+0.5)/float64(ny)
			pts = append(pts, Point{
				Name: fmt.Sprintf("%s %d.%d", z.Name, j+1, i+1), Zone: z.Name,
				At: geom.Vec{X: x, Y: y, Z: e.faceZ(z, x, y)}, Normal: downstage,
			})
		}
	}
	return pts
}

// frontAverage returns the mean vertical illuminance of all front units, lx.
func (e *evaluator) frontAverage(pts []Point) float64 {
	each := make([]float64, len(pts))
	at := func(k int) {
		for _, s := range e.in.Sources {
			if s.isFront() {
				each[k] += e.plane(s, pts[k])
			}
		}
	}
	if len(pts) == 1 {
		at(0)
		return each[0]
	}
	parallel(len(pts), at)
	sum := 0.0
	for _, v := range each {
		sum += v
	}
	return sum / float64(len(pts))
}
