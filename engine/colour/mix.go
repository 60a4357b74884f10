package colour

import (
	"math"
	"slices"
)

// MostEmitters bounds a mixture; the corners of the problem double with each.
const MostEmitters = 12

// Emitter is one colour of a fixture at full drive.
type Emitter struct {
	Name   string
	XY     XY
	FluxLm float64
}

// Mixture is how emitters are driven for a wanted chromaticity.
type Mixture struct {
	Levels []float64 // of each emitter, 0..1 of its full flux, in their order
	XY     XY        // chromaticity reached
	FluxLm float64   // the most there is at that chromaticity
	// InGamut tells whether the wanted chromaticity can be reached. Otherwise XY
	// is the nearest that can, in the CIE 1976 diagram.
	InGamut  bool
	Distance float64  // Δu′v′ from the wanted to the reached
	Limiting []string // emitters at full drive
}

// Mix returns the drive of the emitters that gives a wanted chromaticity at the
// most flux, exactly. With S = Y/y (the sum of the tristimulus values) and
// levels l it is the linear programme
//
//	max Σ lᵢYᵢ  with  Σ lᵢSᵢ(xᵢ − x) = 0,  Σ lᵢSᵢ(yᵢ − y) = 0,  0 ≤ lᵢ ≤ 1
//
// whose optimum lies in a corner: all emitters but at most two are fully on or
// off. All corners are tried. ok is false without a usable emitter, with more
// than twelve, or for an unknown chromaticity.
// Source: linear programming over Grassmann's laws; own formulation.
func Mix(emitters []Emitter, want XY) (Mixture, bool) {
	if !want.Known() || len(emitters) > MostEmitters {
		return Mixture{}, false
	}
	usable := make([]int, 0, len(emitters))
	var points []XY
	for i, e := range emitters {
		if e.XY.Known() && e.FluxLm > 0 && !math.IsInf(e.FluxLm, 0) {
			usable, points = append(usable, i), append(points, e.XY)
		}
	}
	if len(usable) == 0 {
		return Mixture{}, false
	}
	m := Mixture{Levels: make([]float64, len(emitters))}
	target, inside := nearest(points, want)
	m.InGamut = inside
	p := programme{}
	for _, i := range usable {
		e := emitters[i]
		s := e.FluxLm / e.XY.Y
		p.columns = append(p.columns, column{e.FluxLm, s * (e.XY.X - target.X), s * (e.XY.Y - target.Y), s})
	}
	levels := p.solve()
	var parts []Light
	for k, i := range usable {
		m.Levels[i] = levels[k]
		parts = append(parts, Light{emitters[i].XY, levels[k] * emitters[i].FluxLm})
		if levels[k] == 1 {
			m.Limiting = append(m.Limiting, emitters[i].Name)
		}
	}
	slices.Sort(m.Limiting)
	sum := Add(parts...)
	m.XY, m.FluxLm = sum.XY, sum.Amount
	m.Distance = DistanceUVPrime(want, m.XY)
	return m, m.FluxLm > 0
}

// column is one emitter in the programme: its flux, its pull away from the
// wanted chromaticity in x and y, and its weight.
type column struct{ flux, dx, dy, sum float64 }

type programme struct{ columns []column }

// slack is the pull left over, relative to the weight of the light, that still
// counts as none: chromaticity right to 1e-9, far below any instrument.
const slack = 1e-9

// solve tries every corner: up to two emitters between off and full, the rest
// off or full. Of equal fluxes the first found stays.
func (p programme) solve() []float64 {
	n := len(p.columns)
	best, bestFlux := make([]float64, n), 0.0
	try := func(levels []float64) {
		if flux, ok := p.flux(levels); ok && flux > bestFlux {
			copy(best, levels)
			bestFlux = flux
		}
	}
	levels := make([]float64, n)
	for corner := range 1 << n {
		for k := range levels {
			levels[k] = float64(corner >> k & 1)
		}
		try(levels)
		for i := range n {
			if corner>>i&1 == 1 {
				continue // the free ones are counted once, with their bit off
			}
			p.freeOne(levels, i, try)
			for j := i + 1; j < n; j++ {
				if corner>>j&1 == 0 {
					p.freeTwo(levels, i, j, try)
				}
			}
		}
	}
	return best
}

// pull returns the sums of both equations without the given emitters.
func (p programme) pull(levels []float64, without ...int) (x, y float64) {
	for k, c := range p.columns {
		if !slices.Contains(without, k) {
			x, y = x+levels[k]*c.dx, y+levels[k]*c.dy
		}
	}
	return x, y
}

// freeOne drives one emitter so that the pull along its own direction vanishes.
func (p programme) freeOne(levels []float64, i int, try func([]float64)) {
	c := p.columns[i]
	n := c.dx*c.dx + c.dy*c.dy
	if n == 0 {
		return
	}
	x, y := p.pull(levels, i)
	p.with(levels, try, []int{i}, []float64{-(x*c.dx + y*c.dy) / n})
}

// freeTwo drives two emitters so that both equations hold.
func (p programme) freeTwo(levels []float64, i, j int, try func([]float64)) {
	a, b := p.columns[i], p.columns[j]
	det := a.dx*b.dy - a.dy*b.dx
	if det == 0 {
		return
	}
	x, y := p.pull(levels, i, j)
	p.with(levels, try, []int{i, j}, []float64{(-x*b.dy + y*b.dx) / det, (-a.dx*y + a.dy*x) / det})
}

// with tries the levels with some of them set, when those are levels at all.
func (p programme) with(levels []float64, try func([]float64), at []int, to []float64) {
	for k, v := range to {
		if !(v >= -slack && v <= 1+slack) {
			for _, i := range at {
				levels[i] = 0
			}
			return
		}
		levels[at[k]] = math.Max(0, math.Min(1, v))
	}
	try(levels)
	for _, i := range at {
		levels[i] = 0
	}
}

// flux returns the flux of levels that meet both equations.
func (p programme) flux(levels []float64) (float64, bool) {
	var x, y, sum, flux float64
	for k, c := range p.columns {
		l := levels[k]
		x, y, sum, flux = x+l*c.dx, y+l*c.dy, sum+l*c.sum, flux+l*c.flux
	}
	return flux, math.Hypot(x, y) <= slack*sum
}
