package light

import (
	"math"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
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
// the survey: the average moves with the ends of the lines by the sum of all its
// units' gradients; units of one line err together, lines err apart. With the
// platform's height its faces and their focus move against the lenses. Where
// nobody said how far lenses hang below a line, they err together by that; where
// people's heights are not known, or differ, faces lie higher or lower than the
// focus (sigmaFaceM). NaN when the zone gets no light or no unit hangs from a known
// line.
// Source: law of propagation of variances, first order (GUM, JCGM 100:2008, 5.1.2, from memory).
func (e *evaluator) sigmaPct(z Zone) float64 {
	byID := map[string]Source{}
	for _, s := range e.in.Sources {
		byID[s.ID] = s
	}
	type pulled struct {
		line room.Line
		by   [6]float64
		drop float64 // by how far its lenses hang below it
	}
	onPlatform, byHeight := 0.0, 0.0
	height := e.sigmaFaceM()
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
			face := Point{At: f.At, Normal: f.Facing}
			g, ok := pullOf(s, face)
			if !ok {
				continue
			}
			share := c.Lx / float64(len(z.Faces))
			g = g.Scale(share)
			for i, v := range l.Pull(s.At, g) {
				p.by[i] += v
			}
			p.drop -= g.Z
			if e.in.Room.StandsOnPlatform(f.At) {
				onPlatform -= g.Z
			}
			byHeight += share * liftOf(s, face, height)
		}
	}
	if len(lines) == 0 || !(z.AverageLx > 0) {
		return math.NaN()
	}
	platform := e.in.Room.Platform.SigmaHeight.Metres()
	sum := onPlatform*onPlatform*platform*platform + byHeight*byHeight
	for _, p := range lines {
		sum += p.line.Variance(p.by)
		drop := p.drop * p.line.SigmaDrop.Metres()
		sum += drop * drop
		for i, v := range p.by {
			sum += 2 * onPlatform * v * p.line.PlatformCov[i]
		}
	}
	return math.Sqrt(math.Max(0, sum)) / z.AverageLx * 100
}

// sigmaFaceM returns the standard deviation in metres of a face's height about the
// one that the light is worked out for: a person between the shortest and the
// tallest who speaks, each height alike, σ = (tallest − shortest)/√12; while nobody
// said these, what the checklist takes.
// Source: standard deviation of an even distribution (GUM, JCGM 100:2008, 4.3.7, from memory).
func (e *evaluator) sigmaFaceM() float64 {
	p := e.in.Survey.Platform
	if p.TallestSpeaker.Set && p.ShortestSpeaker.Set {
		return math.Abs((p.TallestSpeaker.Value - p.ShortestSpeaker.Value).Metres()) / math.Sqrt(12)
	}
	return survey.AssumedSigma("S5")
}

// liftOf returns the relative change of a unit's light when a face is one standard
// deviation of its height, in metres, above where the unit is focused; half the
// difference between a face above and one below, since over people's heights a
// beam's edge is no straight line.
func liftOf(s Source, p Point, sigmaM float64) float64 {
	at := unblocked(s, p).Lx
	if !(at > 0) || !(sigmaM > 0) {
		return 0
	}
	up, down := p, p
	up.At.Z += sigmaM
	down.At.Z -= sigmaM
	return (unblocked(s, up).Lx - unblocked(s, down).Lx) / (2 * at)
}

// sigmaMeanReflectance returns the room's mean reflectance by area and its standard
// deviation from surfaces whose reflectance was assumed; all of one kind err
// together. 0, 0 for a room without surfaces.
func sigmaMeanReflectance(r room.Room) (mean, sigma float64) {
	area, byKind := 0.0, map[string]float64{}
	var kinds []string
	for _, f := range r.Surfaces {
		if len(f.Polygon) < 3 {
			continue
		}
		a := math.Abs(f.Polygon.Area())
		area += a
		mean += a * f.Reflectance
		if f.SigmaReflectance > 0 {
			if _, ok := byKind[f.Kind]; !ok {
				kinds = append(kinds, f.Kind)
			}
			byKind[f.Kind] += a * f.SigmaReflectance
		}
	}
	if !(area > 0) {
		return 0, 0
	}
	sum := 0.0
	for _, k := range kinds {
		sum += byKind[k] * byKind[k]
	}
	return mean / area, math.Sqrt(sum) / area
}

// sigmaReflectedPct returns the standard deviation in percent of a place's light
// from assumed reflectances, of which reflected of all comes back from the room.
// In a room of mean reflectance ρ the reflected light goes with ρ/(1 − ρ), so that
//
//	σ(E)/E = (E_r/E)·σ_ρ/(ρ·(1 − ρ))
//
// 0 where all was surveyed; NaN where the light is not known.
// Source: interreflection in a closed room as in an integrating sphere (IES
// Lighting Handbook, from memory); law of propagation of variances, first order.
func sigmaReflectedPct(r room.Room, all, reflected float64) float64 {
	if math.IsNaN(all) || math.IsNaN(reflected) || !(all > 0) {
		return math.NaN()
	}
	mean, sigma := sigmaMeanReflectance(r)
	if sigma == 0 || !(reflected > 0) {
		return 0
	}
	mean = math.Max(0.01, math.Min(highestReflectance, mean))
	return 100 * reflected / all * sigma / (mean * (1 - mean))
}
