package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
)

// overLensM is how far from a line in plan a lens may hang and still be taken
// to hang from it, where the unit does not say.
const overLensM = 0.3

// lineOf returns the hanging line a source hangs from: the named one, else the
// nearest in plan that is over the lens.
func (e *evaluator) lineOf(s Source) (room.Line, bool) {
	best, found, least := room.Line{}, false, overLensM
	for _, l := range e.in.Room.Lines {
		if s.Line != "" {
			if l.Name == s.Line {
				return l, true
			}
			continue
		}
		p, _ := nearestOnSegment(s.At.Plan(), l.From.Plan(), l.To.Plan())
		if d := p.Sub(s.At.Plan()).Norm(); d < least && l.Forbidden == "" {
			best, found, least = l, true, d
		}
	}
	return best, found
}

// sigmaElevationDeg returns the standard deviation in degrees of a unit's
// elevation at its aim, from those of its line's height (σz) and distance
// upstage (σy):
//
//	σε² = [(h·σz)² + (z·σh)²]/d⁴,   σh = σy·|Δy|/h
//
// with rise z, plan distance h and throw d. At 45° this is half the height
// error over the rise. A unit straight over its aim uses σh = σy.
// Source: propagation of the variances of ε = atan(z/h), first order.
func sigmaElevationDeg(s Source, l room.Line) float64 {
	to := s.At.Sub(s.Aim)
	h, d := to.Plan().Norm(), to.Norm()
	if d == 0 {
		return math.NaN()
	}
	sh := l.SigmaY.Metres()
	if h > 0 {
		sh *= math.Abs(to.Y) / h
	}
	return math.Hypot(h*l.SigmaZ.Metres(), to.Z*sh) / (d * d) * 180 / math.Pi
}

// sigmaThrow returns the relative standard deviation of the distance from a
// line's unit to a point: σd/d = √[(z·σz)² + (Δy·σy)²]/d².
// Source: propagation of the variances of d = √(x²+y²+z²), first order.
func sigmaThrow(lens, at geom.Vec, l room.Line) float64 {
	to := lens.Sub(at)
	d2 := to.Dot(to)
	if d2 == 0 {
		return 0
	}
	return math.Hypot(to.Z*l.SigmaZ.Metres(), to.Y*l.SigmaY.Metres()) / d2
}

// sigmaPct returns the standard deviation of a zone's average in percent from
// the survey's uncertainty, 2·σd/d per unit: units of one line err together,
// lines err apart. The change of intensity as a beam misses its aim is left
// out. NaN when the zone gets no light or no unit hangs from a known line.
func (e *evaluator) sigmaPct(z Zone) float64 {
	byID := map[string]Source{}
	for _, s := range e.in.Sources {
		byID[s.ID] = s
	}
	perLine := map[string]float64{}
	var order []string // sums in a fixed order give the same last digit
	for _, f := range z.Faces {
		for _, c := range f.Contributions {
			s := byID[c.Unit]
			l, ok := e.lineOf(s)
			if !ok || !s.isFront() {
				continue
			}
			if _, seen := perLine[l.Name]; !seen {
				order = append(order, l.Name)
			}
			perLine[l.Name] += 2 * sigmaThrow(s.At, f.At, l) * c.Lx / float64(len(z.Faces))
		}
	}
	if len(order) == 0 || !(z.AverageLx > 0) {
		return math.NaN()
	}
	sum := 0.0
	for _, name := range order {
		sum += perLine[name] * perLine[name]
	}
	return math.Sqrt(sum) / z.AverageLx * 100
}
