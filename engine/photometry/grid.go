package photometry

import (
	"math"
	"slices"
)

// grid is the angles and values of a file before they are known to make sense.
type grid struct {
	h, v         []float64
	cd           [][]float64 // [h][v], not yet scaled
	hLine, vLine int
	rowLine      []int
	scale        float64
}

// noisePct is how far below nothing a reading may lie, in percent of the
// greatest, and still be the noise of a photometer round zero. Common practice.
const noisePct = 1

// wrapSlack is how much larger than the largest step between planes the gap to
// a full turn may be, so that a missing closing plane is what is missing.
const wrapSlack = 1.01

// build checks the grid and makes the distribution of its photometric type.
func (f *File) build(g *grid, kind string) error {
	f.Type = kind
	if err := f.tidyAngles(g); err != nil {
		return err
	}
	if err := f.tidyValues(g); err != nil {
		return err
	}
	if kind == "C" {
		return f.buildC(g)
	}
	return f.buildAB(g)
}

// tidyAngles brings both lists of angles into ascending order without
// repetitions, the candelas with them.
func (f *File) tidyAngles(g *grid) error {
	if v := g.v; len(v) > 1 && v[0] > v[len(v)-1] {
		slices.Reverse(v)
		for _, row := range g.cd {
			slices.Reverse(row)
		}
		f.warn(g.vLine, "vertical angles descend; turned round")
	}
	if h := g.h; len(h) > 1 && h[0] > h[len(h)-1] {
		slices.Reverse(h)
		slices.Reverse(g.cd)
		slices.Reverse(g.rowLine)
		f.warn(g.hLine, "horizontal angles descend; turned round")
	}
	if err := f.dropRepeated(g); err != nil {
		return err
	}
	if !ascending(g.v) {
		return refuse(g.vLine, "vertical angles do not ascend")
	}
	if !ascending(g.h) {
		return refuse(g.hLine, "horizontal angles do not ascend")
	}
	return nil
}

// dropRepeated takes out angles that stand twice with the same values.
func (f *File) dropRepeated(g *grid) error {
	for i := len(g.h) - 1; i > 0; i-- {
		if g.h[i] != g.h[i-1] {
			continue
		}
		if !slices.Equal(g.cd[i], g.cd[i-1]) {
			return refuse(g.hLine, "horizontal angle %g stands twice with different candelas", g.h[i])
		}
		f.warn(g.hLine, "horizontal angle %g stands twice", g.h[i])
		g.h, g.cd, g.rowLine = slices.Delete(g.h, i, i+1), slices.Delete(g.cd, i, i+1), slices.Delete(g.rowLine, i, i+1)
	}
	for j := len(g.v) - 1; j > 0; j-- {
		if g.v[j] != g.v[j-1] {
			continue
		}
		for _, row := range g.cd {
			if row[j] != row[j-1] {
				return refuse(g.vLine, "vertical angle %g stands twice with different candelas", g.v[j])
			}
		}
		f.warn(g.vLine, "vertical angle %g stands twice", g.v[j])
		g.v = slices.Delete(g.v, j, j+1)
		for i := range g.cd {
			g.cd[i] = slices.Delete(g.cd[i], j, j+1)
		}
	}
	return nil
}

// tidyValues scales the candelas and takes the noise below zero out.
func (f *File) tidyValues(g *grid) error {
	most := 0.0
	for _, row := range g.cd {
		most = math.Max(most, slices.Max(row))
	}
	if !(most > 0) {
		return refuse(g.rowLine[0], "no candela is above zero")
	}
	if s := most * g.scale; math.IsInf(s, 0) || s > mostCd || s < leastCd {
		return refuse(g.rowLine[0], "greatest intensity %g cd", s)
	}
	noisy := false
	for i, row := range g.cd {
		for j, v := range row {
			if v < -most*noisePct/100 {
				return refuse(g.rowLine[i], "candela %g at horizontal %g°, vertical %g° is negative", v, g.h[i], g.v[j])
			}
			noisy = noisy || v < 0
			row[j] = math.Max(0, v) * g.scale
		}
	}
	if noisy {
		f.warn(0, "negative candelas within %d %% of the greatest; taken as 0", noisePct)
	}
	return nil
}

// mostCd and leastCd bound the greatest intensity of a believable file: a
// searchlight of a billion candela, a lamp of a thousandth.
const (
	mostCd  = 1e9
	leastCd = 1e-3
)

// buildC makes the distribution of type C planes.
func (f *File) buildC(g *grid) error {
	if err := f.checkGammaC(g); err != nil {
		return err
	}
	if err := f.checkPlanesC(g); err != nil {
		return err
	}
	t, err := NewTable(g.h, g.v, g.cd)
	if err != nil {
		return refuse(g.hLine, "%v", err)
	}
	f.Symmetry = symmetryOf[t.span]
	f.distribution = t
	return nil
}

var symmetryOf = map[span]string{
	onePlane: SymmetryRotational, quarter: SymmetryQuadrant, half0to180: SymmetryHalf180,
	half90to270: SymmetryHalf90, half270to90: SymmetryHalf270, full: SymmetryNone,
}

// checkGammaC holds the polar angles of type C: 0 or 90 first, 90 or 180 last.
// Source: IES LM-63-2002, vertical angles (from memory). A list that ends
// earlier has one meaning: no light beyond it.
func (f *File) checkGammaC(g *grid) error {
	first, last := g.v[0], g.v[len(g.v)-1]
	if first != 0 && first != 90 {
		return refuse(g.vLine, "vertical angles of type C begin at 0 or 90, not at %g", first)
	}
	if last > 180 {
		return refuse(g.vLine, "vertical angle %g lies beyond 180", last)
	}
	if last != 90 && last != 180 {
		f.warn(g.vLine, "vertical angles end at %g; no light is taken beyond", last)
	}
	return nil
}

// checkPlanesC holds the planes of type C to a symmetry that the standard knows
// or to a full turn. Source: IES LM-63-1995 and -2002, horizontal angles.
func (f *File) checkPlanesC(g *grid) error {
	n := len(g.h)
	first, last := g.h[0], g.h[n-1]
	switch {
	case n == 1:
		if first != 0 {
			f.warn(g.hLine, "the only plane is %g; taken as rotational symmetry", first)
		}
		return nil
	case first == 90 && last == 270:
		if f.Format == FormatLM63 && f.Edition != edition1995 {
			f.warn(g.hLine, "planes 90 to 270 belong to the 1995 edition")
		}
		return nil
	case first == 270 && last == 450:
		return nil // EULUMDAT only; an LM-63 list like that means the same
	case first != 0:
		return refuse(g.hLine, "horizontal angles of type C begin at 0, not at %g", first)
	case last == 90 || last == 180:
		return nil
	case last == 360:
		f.checkClosing(g)
		return nil
	case last > 180 && last < 360 && 360-last <= wrapSlack*largestStep(g.h):
		if f.Format == FormatLM63 { // EULUMDAT never stores the closing plane
			f.warn(g.hLine, "the closing plane 360 is missing; taken as plane 0")
		}
		return nil
	}
	return refuse(g.hLine, "planes from %g to %g are no symmetry and no full turn", first, last)
}

func largestStep(v []float64) float64 {
	step := 0.0
	for i := 1; i < len(v); i++ {
		step = math.Max(step, v[i]-v[i-1])
	}
	return step
}

// checkClosing compares plane 360 with plane 0, which are one plane.
func (f *File) checkClosing(g *grid) {
	most, off := 0.0, 0.0
	last := g.cd[len(g.cd)-1]
	for j, v := range g.cd[0] {
		most = math.Max(most, v)
		off = math.Max(off, math.Abs(v-last[j]))
	}
	if off > most*noisePct/100 {
		f.warn(g.rowLine[len(g.rowLine)-1], "planes 0 and 360 are one plane but differ by up to %.3g cd", off)
	}
}

// buildAB makes the distribution of type A or B.
func (f *File) buildAB(g *grid) error {
	if first, last := g.v[0], g.v[len(g.v)-1]; first < -90 || last > 90 {
		return refuse(g.vLine, "vertical angles of type %s lie within −90..90, not %g..%g", f.Type, first, last)
	} else if last != 90 || (first != -90 && first != 0) {
		f.warn(g.vLine, "vertical angles from %g to %g; no light is taken beyond", first, last)
	} else if first == 0 {
		f.warn(g.vLine, "vertical angles begin at 0; no light is taken below")
	}
	most := 90.0
	if f.Type == "A" {
		most = 180
	}
	first, last := g.h[0], g.h[len(g.h)-1]
	if first < -most || last > most {
		return refuse(g.hLine, "horizontal angles of type %s lie within ±%g, not %g..%g", f.Type, most, first, last)
	}
	mirror := first == 0
	if len(g.h) == 1 && !mirror {
		return refuse(g.hLine, "one plane at %g° is no distribution of type %s", first, f.Type)
	}
	if mirror && len(g.h) == 1 {
		return refuse(g.hLine, "type %s with a single plane has no horizontal extent", f.Type)
	}
	f.Symmetry = SymmetryNone
	if mirror {
		f.Symmetry = SymmetryMirror
	}
	f.distribution = newSpread(g.h, g.v, g.cd, f.Type == "B", mirror)
	return nil
}
