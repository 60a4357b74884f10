package photometry

import (
	"fmt"
	"math"
	"slices"
)

// profile is a curve of candelas across one plane through the aim, by ascending
// angles in degrees from it.
type profile struct{ deg, cd []float64 }

func (p *profile) add(deg, cd float64) {
	p.deg, p.cd = append(p.deg, deg), append(p.cd, cd)
}

// width returns the full angle in degrees between the outermost places at which
// the curve is at the level, linear between the angles; 0 when it never is.
func (p profile) width(level float64) float64 {
	if !(level > 0) || len(p.deg) == 0 || slices.Max(p.cd) < level {
		return 0
	}
	return outermost(p.deg, p.cd, level) - innermost(p.deg, p.cd, level)
}

// innermost returns the smallest angle at which a curve that reaches the level
// is at it.
func innermost(deg, cd []float64, level float64) float64 {
	i := slices.IndexFunc(cd, func(v float64) bool { return v >= level })
	if i <= 0 {
		return deg[0]
	}
	t := (level - cd[i-1]) / (cd[i] - cd[i-1])
	return deg[i-1] + t*(deg[i]-deg[i-1])
}

// across returns the table's curve through plane C and the opposite one, which
// counts negative.
func (t *Table) across(cDeg float64) profile {
	n := len(t.gammaDeg)
	p := profile{make([]float64, 0, 2*n), make([]float64, 0, 2*n)}
	behind, ahead := t.along(cDeg+180), t.along(cDeg)
	for j := n - 1; j >= 0; j-- {
		if g := t.gammaDeg[j]; g > 0 {
			p.add(-g, behind(j))
		}
	}
	for j, g := range t.gammaDeg {
		p.add(g, ahead(j))
	}
	return p
}

// along returns the candelas of one plane at the stored angles.
func (t *Table) along(cDeg float64) func(j int) float64 {
	i, u := bracket(t.cDeg, t.fold(cDeg))
	if u == 0 {
		return func(j int) float64 { return t.cd[i][j] }
	}
	return func(j int) float64 { return t.cd[i][j] + u*(t.cd[i+1][j]-t.cd[i][j]) }
}

// measure fills in flux, maximum and angles from the distribution.
func (f *File) measure() {
	d := f.distribution
	f.FluxLm, f.MaxCd = d.FluxLm(), d.PeakCd()
	f.BeamDeg, f.FieldDeg = d.BeamDeg(), d.FieldDeg()
	switch d := d.(type) {
	case *Table:
		f.measureTable(d)
	case *turned:
		f.measureTable(d.Table)
	case *spread:
		f.measureSpread(d)
	}
	f.noteAngles()
	f.checkStated()
}

func (f *File) measureTable(t *Table) {
	for i, row := range t.cd {
		if j := slices.Index(row, t.peak); j >= 0 {
			f.MaxPlaneDeg, f.MaxAngleDeg = math.Mod(t.cDeg[i], 360), t.gammaDeg[j]
			break
		}
	}
	for _, c := range t.pairs() {
		f.plane(fmt.Sprintf("C%g-C%g", c, c+180), c, t.across(c), t.At(c, 0))
	}
}

// pairs returns the planes to report, 0 ≤ C < 180: those stored or mirrored,
// and always the two main ones; of more than 72 some evenly.
func (t *Table) pairs() []float64 {
	out := []float64{0, 90}
	if t.span == onePlane {
		return out[:1]
	}
	for _, c := range t.cDeg {
		out = append(out, math.Mod(c, 180), math.Mod(360-math.Mod(c, 180), 180))
	}
	slices.Sort(out)
	out = slices.Compact(out)
	step := (len(out) + mostPlanes - 1) / mostPlanes
	thinned := out[:0]
	for i, c := range out {
		if i%step == 0 || c == 90 {
			thinned = append(thinned, c)
		}
	}
	return thinned
}

// mostPlanes is how many planes are reported: one in 2.5°, finer than any use.
const mostPlanes = 72

func (f *File) measureSpread(s *spread) {
	for i, row := range s.cd {
		if j := slices.Index(row, s.peak); j >= 0 {
			f.MaxPlaneDeg, f.MaxAngleDeg = s.h[i], s.v[j]
			break
		}
	}
	h, v := s.profiles()
	f.plane("horizontal", 0, h, s.at(0, 0))
	f.plane("vertical", 90, v, s.at(0, 0))
}

// plane adds the angles of one plane.
func (f *File) plane(name string, deg float64, p profile, centre float64) {
	f.Planes = append(f.Planes, PlaneAngles{
		Plane: name, PlaneDeg: deg,
		BeamDeg: p.width(0.5 * f.MaxCd), FieldDeg: p.width(0.1 * f.MaxCd),
		CentreBeamDeg: p.width(0.5 * centre), CentreFieldDeg: p.width(0.1 * centre),
	})
}

// differDeg is the difference between two definitions of an angle that is worth
// a word; no goniometer step is finer.
const differDeg = 0.1

// noteAngles says where the two definitions of beam angle differ and which
// planes stay below half of the maximum.
func (f *File) noteAngles() {
	differs, low := "", ""
	for _, p := range f.Planes {
		if differs == "" && math.Abs(p.BeamDeg-p.CentreBeamDeg) > differDeg {
			differs = fmt.Sprintf("beam angle in %s is %.1f° by half of the maximum and %.1f° by half of the intensity along the aim",
				p.Plane, p.BeamDeg, p.CentreBeamDeg)
		}
		if low == "" && p.BeamDeg == 0 {
			low = fmt.Sprintf("no intensity in %s reaches half of the maximum", p.Plane)
		}
	}
	if f.MaxAngleDeg != 0 || (f.Type != "C" && f.MaxPlaneDeg != 0) {
		f.warn(0, "the greatest intensity does not lie along the aim but at horizontal %g°, vertical %g°", f.MaxPlaneDeg, f.MaxAngleDeg)
	}
	for _, text := range []string{differs, low} {
		if text != "" {
			f.warn(0, "%s", text)
		}
	}
}
