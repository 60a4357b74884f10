package light

import (
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
)

// Quantity is one kind of illuminance over a zone's whole area, at the height of
// its faces: direct light of every unit at its level, and reflected light beside
// it.
type Quantity struct {
	// Kind is vertical (toward the congregation), horizontal, cylindrical,
	// semi_cylindrical (toward the congregation) or camera (upright planes toward
	// the named camera).
	Kind                    string
	Camera                  string
	AverageLx, MinLx, MaxLx float64
	Evenness                float64 // least over average; NaN in the dark
	IndirectLx              float64 // reflected, average, not in the above
}

const (
	// indirectSide is the points along a side of a zone at which reflected light
	// is taken: it changes slowly (a test holds that twice as many change its
	// average by under 1 %).
	indirectSide = 6
	// areaSide caps the points along a side of a zone's area.
	areaSide = 64
)

// areaKinds are the quantities of every zone before the cameras.
var areaKinds = [...]string{"vertical", "horizontal", "cylindrical", "semi_cylindrical"}

// seen is a camera that films a zone, and where it stands.
type seenBy struct {
	name string
	at   geom.Vec
}

// area returns the quantities over a zone and the spacing of their points in
// metres: the coarsest grid from 1 m down on which no quantity's average changes
// by 1 % when it is halved. None where the zone has no extent.
func (e *evaluator) area(z brief.Zone) ([]Quantity, float64) {
	lo, hi, ok := extent(z)
	if !ok {
		return nil, 0
	}
	var cams []seenBy
	for _, c := range e.in.Brief.Cameras {
		if at, ok := CameraAt(c); ok && e.filmed(c, z) {
			cams = append(cams, seenBy{c.Name, at})
		}
	}
	nx, ny := cells(hi.X-lo.X), cells(hi.Y-lo.Y)
	qs := e.quantities(e.cellPoints(z, lo, hi, nx, ny), cams)
	for nx < areaSide || ny < areaSide {
		fx, fy := min(2*nx, areaSide), min(2*ny, areaSide)
		fine := e.quantities(e.cellPoints(z, lo, hi, fx, fy), cams)
		if settledOn(qs, fine) {
			break
		}
		nx, ny, qs = fx, fy, fine
	}
	e.indirect(qs, e.cellPoints(z, lo, hi, indirectSide, indirectSide), cams)
	return qs, math.Max(math.Abs(hi.X-lo.X)/float64(nx), math.Abs(hi.Y-lo.Y)/float64(ny))
}

// settledOn tells whether no average moved by gridChange.
func settledOn(coarse, fine []Quantity) bool {
	for i, q := range fine {
		if math.Abs(q.AverageLx-coarse[i].AverageLx) > gridChange*q.AverageLx {
			return false
		}
	}
	return true
}

// quantities returns the direct light's quantities over points.
func (e *evaluator) quantities(pts []Point, cams []seenBy) []Quantity {
	n := len(areaKinds) + len(cams)
	each := make([][]float64, len(pts))
	parallel(len(pts), func(i int) {
		row := make([]float64, n)
		var k Kinds
		p := pts[i]
		for _, s := range e.in.Sources {
			p.Normal = geom.Vec{}
			c := unblocked(s, p)
			if !(c.NormalLx > 0) || e.sc.Occluded(s.At, p.At) {
				continue
			}
			toward := s.At.Sub(p.At).Unit()
			k.Add(c.NormalLx*e.loss, toward, downstage)
			for j, cam := range cams {
				row[len(areaKinds)+j] += e.loss * c.NormalLx * math.Max(0, toward.Dot(cam.at.Sub(p.At).Plan().Unit()))
			}
		}
		row[0], row[1], row[2], row[3] = k.PlaneLx, k.HorizontalLx, k.CylindricalLx, k.SemiCylindricalLx
		each[i] = row
	})
	out := make([]Quantity, n)
	for j := range out {
		q := Quantity{MinLx: math.Inf(1), Evenness: math.NaN()}
		if j < len(areaKinds) {
			q.Kind = areaKinds[j]
		} else {
			q.Kind, q.Camera = "camera", cams[j-len(areaKinds)].name
		}
		for _, row := range each {
			q.AverageLx += row[j] / float64(len(each))
			q.MinLx, q.MaxLx = math.Min(q.MinLx, row[j]), math.Max(q.MaxLx, row[j])
		}
		if q.AverageLx > 0 {
			q.Evenness = q.MinLx / q.AverageLx
		}
		out[j] = q
	}
	return out
}

// indirect adds the reflected light's averages over points.
func (e *evaluator) indirect(qs []Quantity, pts []Point, cams []seenBy) {
	if e.field.t == nil {
		return
	}
	each := make([][]float64, len(pts))
	parallel(len(pts), func(i int) {
		p := e.probe(pts[i].At)
		each[i] = []float64{p.Plane(e.field, downstage), p.Plane(e.field, geom.Vec{Z: 1}), p.Cylindrical(e.field), p.SemiCylindrical(e.field, downstage)}
		for _, cam := range cams {
			each[i] = append(each[i], p.Plane(e.field, cam.at.Sub(pts[i].At).Plan().Unit()))
		}
	})
	for j := range qs {
		for _, row := range each {
			qs[j].IndirectLx += e.loss * row[j] / float64(len(each))
		}
	}
}

// extent returns the opposite corners of a zone in plan; false where it has none.
func extent(z brief.Zone) (lo, hi geom.Vec, ok bool) {
	if !z.MinX.Set || !z.MaxX.Set || !z.MinY.Set || !z.MaxY.Set {
		return lo, hi, false
	}
	lo = geom.Vec{X: z.MinX.Value.Metres(), Y: z.MinY.Value.Metres()}
	hi = geom.Vec{X: z.MaxX.Value.Metres(), Y: z.MaxY.Value.Metres()}
	return lo, hi, finite(lo) && finite(hi)
}
