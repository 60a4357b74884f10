package light

import (
	"fmt"
	"math"
	"strings"

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
	indirectSide = 8
	// areaSide caps the points along a side of a zone's area.
	areaSide = 64
)

// areaKinds are the quantities of every zone before the cameras.
var areaKinds = [...]string{"vertical", "horizontal", "cylindrical", "semi_cylindrical"}

// seenBy is a camera that films a zone, and where it stands, in metres.
type seenBy struct {
	name string
	at   geom.Vec
}

// area returns the quantities over a zone and the spacing of their points in
// metres: a grid from 1 m down, halved until no quantity's average changes by more
// than 1 %. None where the zone has no extent.
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
	var was []Quantity
	for nx < areaSide || ny < areaSide {
		fx, fy := min(2*nx, areaSide), min(2*ny, areaSide)
		was = qs
		qs = e.quantities(e.cellPoints(z, lo, hi, fx, fy), cams)
		if nx, ny = fx, fy; settledOn(was, qs) {
			break
		}
	}
	for i, q := range qs {
		if len(was) > 0 {
			e.unsettled("Zone "+z.Name, q.title(), was[i].AverageLx, q.AverageLx, areaSide)
		}
	}
	e.indirect(qs, e.cellPoints(z, lo, hi, indirectSide, indirectSide), cams)
	return qs, math.Max(math.Abs(hi.X-lo.X)/float64(nx), math.Abs(hi.Y-lo.Y)/float64(ny))
}

// title names a quantity for people.
func (q Quantity) title() string {
	if q.Camera != "" {
		return "average toward camera " + q.Camera + " over its area"
	}
	return strings.ReplaceAll(q.Kind, "_", "-") + " average over its area"
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

// indirect adds the reflected light's averages over points. What of every patch's
// light arrives there is the room's alone and is kept with its transport.
func (e *evaluator) indirect(qs []Quantity, pts []Point, cams []seenBy) {
	t := e.field.t
	if t == nil || len(pts) == 0 {
		return
	}
	at := make([]geom.Vec, len(pts))
	for i, p := range pts {
		at[i] = p.At
	}
	shares := t.memo.areas.of(fmt.Sprint(at, cams), memoAreas, func() [][]float64 { return t.arrives(pts, cams) })
	for k := range qs {
		sum := 0.0
		for j, share := range shares[k] {
			sum += share * e.field.exitance[j]
		}
		qs[k].IndirectLx = e.loss * sum
	}
}

// arrives returns for every quantity the share of each patch's exitance that makes
// its average over points.
func (t *Transport) arrives(pts []Point, cams []seenBy) [][]float64 {
	each := make([][][]float64, len(pts))
	parallel(len(pts), func(i int) {
		p := t.look(pts[i].At)
		// In the order of areaKinds, then the cameras.
		weights := []func(geom.Vec) float64{onPlane(downstage), onPlane(geom.Vec{Z: 1}), allRoundLevel, halfRound(downstage)}
		for _, cam := range cams {
			weights = append(weights, onPlane(cam.at.Sub(pts[i].At).Plan().Unit()))
		}
		for _, w := range weights {
			each[i] = append(each[i], p.shares(len(t.patches), w))
		}
	})
	out := make([][]float64, len(areaKinds)+len(cams))
	for k := range out {
		out[k] = make([]float64, len(t.patches))
		for i := range each {
			for j, v := range each[i][k] {
				out[k][j] += v / float64(len(pts))
			}
		}
	}
	return out
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
