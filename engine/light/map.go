package light

import (
	"math"

	"roodbeam/engine/geom"
)

const (
	// mapStepM is the spacing of the light map where it fits its size.
	mapStepM = 0.25
	// mapSide caps the points along a side of the light map.
	mapSide = 80
)

// lightMap returns the vertical illuminance toward the congregation over the
// platform and the zones' faces, 1.6 m above the floor or platform; empty
// without either.
func (e *evaluator) lightMap() Map {
	lo, hi := emptyBox()
	for _, v := range e.in.Room.Platform.Outline {
		lo, hi = grow(lo, hi, v)
	}
	for _, z := range e.rep.Zones {
		for _, f := range z.Faces {
			lo, hi = grow(lo, hi, f.At)
		}
	}
	size := hi.Sub(lo)
	if !finite(lo) || !finite(hi) || !finite(size) {
		return Map{}
	}
	step := math.Max(mapStepM, math.Max(size.X, size.Y)/(mapSide-1))
	m := Map{MinX: lo.X, MinY: lo.Y, StepM: step, HeightM: standingM,
		NX: int(size.X/step+0.5) + 1, NY: int(size.Y/step+0.5) + 1}
	m.Lx = make([]float64, m.NX*m.NY)
	parallel(m.NY, func(j int) {
		for i := range m.NX {
			at := geom.Vec{X: m.MinX + float64(i)*step, Y: m.MinY + float64(j)*step}
			at.Z = e.levelZ("", at.X, at.Y) + standingM
			m.Lx[j*m.NX+i] = e.frontAverage([]Point{{At: at, Normal: downstage}})
		}
	})
	return m
}
