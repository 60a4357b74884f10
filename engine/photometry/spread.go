package photometry

import (
	"math"

	"roodbeam/engine/geom"
)

// spread is a measured distribution in type A or B planes, horizontal angles H
// and vertical angles V about the aim, linear between the stored angles and
// dark beyond them.
//
// With a the aim, h to the right of it looking along it and v up, the direction
// of (H, V) is
//
//	type A: (cos V cos H, cos V sin H, sin V)
//	type B: (cos H cos V, sin H, cos H sin V)
//
// In the fixture's frame a is −Z, h is +X and v is +Y. Source: IES LM-63-2002,
// definitions of types A and B; signs from memory.
type spread struct {
	h, v   []float64   // degrees, ascending
	cd     [][]float64 // [h][v]
	b      bool
	mirror bool // H < 0 as H > 0
	peak   float64
}

func newSpread(h, v []float64, cd [][]float64, b, mirror bool) *spread {
	s := &spread{h: h, v: v, cd: cd, b: b, mirror: mirror}
	for _, row := range cd {
		for _, x := range row {
			s.peak = math.Max(s.peak, x)
		}
	}
	return s
}

// angles returns H and V in degrees of a unit direction in the fixture's frame.
func (s *spread) angles(dir geom.Vec) (hDeg, vDeg float64) {
	a, h, v := -dir.Z, dir.X, dir.Y
	if s.b {
		return math.Atan2(h, math.Hypot(a, v)) * 180 / math.Pi, math.Atan2(v, a) * 180 / math.Pi
	}
	return math.Atan2(h, a) * 180 / math.Pi, math.Atan2(v, math.Hypot(a, h)) * 180 / math.Pi
}

// direction returns the unit direction of H and V in degrees in the fixture's
// frame.
func (s *spread) direction(hDeg, vDeg float64) geom.Vec {
	sinH, cosH := math.Sincos(hDeg * math.Pi / 180)
	sinV, cosV := math.Sincos(vDeg * math.Pi / 180)
	if s.b {
		return geom.Vec{X: sinH, Y: cosH * sinV, Z: -cosH * cosV}
	}
	return geom.Vec{X: cosV * sinH, Y: sinV, Z: -cosV * cosH}
}

// at returns candela at H and V in degrees, bilinear.
func (s *spread) at(hDeg, vDeg float64) float64 {
	if s.mirror {
		hDeg = math.Abs(hDeg)
	}
	nh, nv := len(s.h), len(s.v)
	if !within(s.h, hDeg) || !within(s.v, vDeg) {
		return 0
	}
	i, u := bracket(s.h, hDeg)
	j, w := bracket(s.v, vDeg)
	along := func(row []float64) float64 { return row[j] + w*(row[min(j+1, nv-1)]-row[j]) }
	a := along(s.cd[i])
	return a + u*(along(s.cd[min(i+1, nh-1)])-a)
}

// edgeDeg keeps the outermost stored angle inside after the round trip through
// a direction.
const edgeDeg = 1e-9

func within(grid []float64, x float64) bool {
	return x >= grid[0]-edgeDeg && x <= grid[len(grid)-1]+edgeDeg
}

// Intensity returns candela toward dir in the fixture's frame (aim −Z).
func (s *spread) Intensity(dir geom.Vec) float64 { return s.at(s.angles(dir)) }

// FluxLm returns the total flux in lumens. The solid angle of a cell is
// Δ(sin V)·ΔH for type A and Δ(sin H)·ΔV for type B, each with the mean of its
// four corners: exact for equal intensity all round.
func (s *spread) FluxLm() float64 {
	flux := 0.0
	for i := 1; i < len(s.h); i++ {
		for j := 1; j < len(s.v); j++ {
			mean := (s.cd[i-1][j-1] + s.cd[i-1][j] + s.cd[i][j-1] + s.cd[i][j]) / 4
			flux += mean * s.cell(i, j)
		}
	}
	if s.mirror {
		flux *= 2
	}
	return flux
}

func (s *spread) cell(i, j int) float64 {
	const rad = math.Pi / 180
	if s.b {
		return (math.Sin(s.h[i]*rad) - math.Sin(s.h[i-1]*rad)) * (s.v[j] - s.v[j-1]) * rad
	}
	return (math.Sin(s.v[j]*rad) - math.Sin(s.v[j-1]*rad)) * (s.h[i] - s.h[i-1]) * rad
}

// PeakCd returns the largest stored intensity in candela.
func (s *spread) PeakCd() float64 { return s.peak }

// BeamDeg returns the full angle at half the peak, in degrees, averaged over
// the horizontal and the vertical plane.
func (s *spread) BeamDeg() float64 { return s.meanAngle(0.5) }

// FieldDeg returns the same at a tenth of the peak.
func (s *spread) FieldDeg() float64 { return s.meanAngle(0.1) }

func (s *spread) meanAngle(share float64) float64 {
	h, v := s.profiles()
	return (h.width(share*s.peak) + v.width(share*s.peak)) / 2
}

// profiles returns the curves in the horizontal and the vertical plane through
// the aim.
func (s *spread) profiles() (horizontal, vertical profile) {
	for i := len(s.h) - 1; i >= 0 && s.mirror; i-- {
		if s.h[i] > 0 {
			horizontal.add(-s.h[i], s.at(s.h[i], 0))
		}
	}
	for _, h := range s.h {
		horizontal.add(h, s.at(h, 0))
	}
	for _, v := range s.v {
		vertical.add(v, s.at(0, v))
	}
	return horizontal, vertical
}
