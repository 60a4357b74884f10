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
// elevation at its aim, from the covariance of its line's ends and of the platform
// (room.Room.ElevationSigma). At 45° straight on this is half the height error
// over the rise. NaN for a lens at its aim.
func sigmaElevationDeg(s Source, l room.Line, r room.Room) float64 {
	if s.At == s.Aim {
		return math.NaN()
	}
	return r.ElevationSigma(l, s.At, s.Aim) * 180 / math.Pi
}

// sigmaThrow returns the relative standard deviation of the distance from a
// line's unit to a point; 0 at the point itself.
func sigmaThrow(lens, at geom.Vec, l room.Line) float64 {
	d := lens.Sub(at).Norm()
	if d == 0 {
		return 0
	}
	return l.ThrowSigma(lens, at) / d
}

// gradientStep is over what distance the change of a unit's light is taken, in
// metres: well over rounding and well under the width of a beam's edge.
const gradientStep = 0.01

// pullOf returns the relative change of a unit's light at a point with the place
// of its lens, per metre, the unit being focused on its aim again. Where a beam is
// aimed at the point itself this is, with r from the point to the lens and n the
// face's normal,
//
//	∇E/E = n/(n·r) − 3·r/|r|²
//
// elsewhere the beam's own distribution comes in, so that differences are taken.
// ok is false where the unit gives nothing.
func pullOf(s Source, p Point) (g geom.Vec, ok bool) {
	at := unblocked(s, p).Lx
	if !(at > 0) {
		return g, false
	}
	change := func(d geom.Vec) float64 {
		s.axes = nil // the place changes, and the aim with it
		plus, minus := s, s
		plus.At, minus.At = s.At.Add(d), s.At.Sub(d)
		return (unblocked(plus, p).Lx - unblocked(minus, p).Lx) / (2 * gradientStep * at)
	}
	g = geom.Vec{X: change(geom.Vec{X: gradientStep}), Y: change(geom.Vec{Y: gradientStep}), Z: change(geom.Vec{Z: gradientStep})}
	return g, !math.IsNaN(g.Norm())
}

// sigmaPct returns the standard deviation of a zone's average in percent from
// the survey's covariance: the average moves with the ends of the lines by the
// sum of all its units' gradients; units of one line err together, lines err
// apart. With the platform's height its faces and their focus move against the
// lenses. NaN when the zone gets no light or no unit hangs from a known line.
// Source: law of propagation of variances, first order (GUM, JCGM 100:2008, 5.1.2, from memory).
func (e *evaluator) sigmaPct(z Zone) float64 {
	byID := map[string]Source{}
	for _, s := range e.in.Sources {
		byID[s.ID] = s
	}
	type pulled struct {
		line room.Line
		by   [6]float64
	}
	onPlatform := 0.0
	var lines []*pulled // in the order met: sums in a fixed order give the same last digit
	index := map[string]*pulled{}
	for _, f := range z.Faces {
		for _, c := range f.Contributions {
			s := byID[c.Unit]
			l, ok := e.lineOf(s)
			if !ok || !s.isFront() {
				continue
			}
			p := index[l.Name]
			if p == nil {
				p = &pulled{line: l}
				index[l.Name] = p
				lines = append(lines, p)
			}
			g, ok := pullOf(s, Point{At: f.At, Normal: f.Facing})
			if !ok {
				continue
			}
			g = g.Scale(c.Lx / float64(len(z.Faces)))
			for i, v := range l.Pull(s.At, g) {
				p.by[i] += v
			}
			if e.in.Room.StandsOnPlatform(f.At) {
				onPlatform -= g.Z
			}
		}
	}
	if len(lines) == 0 || !(z.AverageLx > 0) {
		return math.NaN()
	}
	height := e.in.Room.Platform.SigmaHeight.Metres()
	sum := onPlatform * onPlatform * height * height
	for _, p := range lines {
		sum += p.line.Variance(p.by)
		for i, v := range p.by {
			sum += 2 * onPlatform * v * p.line.PlatformCov[i]
		}
	}
	return math.Sqrt(math.Max(0, sum)) / z.AverageLx * 100
}
