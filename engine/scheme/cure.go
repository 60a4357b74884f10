package scheme

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"roodbeam/engine/geom"
	"roodbeam/engine/scheme/model"
)

// missing says in plain words what keeps a zone from its target, and what would
// cure it: money, amps, a load, a line, a place, the platform, a fixture.
func (p *proposer) missing(z *zoneWork) string {
	var out []string
	if s := p.bandWords(z); s != "" {
		out = append(out, s)
	}
	out = append(out, p.refusedWords(z)...)
	out = append(out, p.limitWords(z)...)
	if s := p.lineWords(z); s != "" {
		out = append(out, s)
	}
	if s := p.fixtureWords(z); s != "" {
		out = append(out, s)
	}
	if len(out) == 0 {
		out = append(out, "More or nearer places are needed.")
	}
	return strings.Join(out, " ")
}

// bandWords says when no place that may be used stands well for a zone.
func (p *proposer) bandWords(z *zoneWork) string {
	for _, s := range p.sites {
		for _, f := range z.faces {
			switch FrontBand(elevationOf(f, s)) {
			case BandIdeal, BandGood, BandUsable:
				if s.at.Y < f.at.Y {
					return ""
				}
			}
		}
	}
	if best := p.bestFrontCell(z); best != "" {
		return fmt.Sprintf("No allowed place gives 35° to 55° there; %s.", best)
	}
	return "No allowed place gives 35° to 55° there."
}

// refusedWords names the lines that would stand well but may carry nothing there,
// and why: one sentence for each line and reason.
func (p *proposer) refusedWords(z *zoneWork) []string {
	type key struct{ line, why string }
	best := map[key]float64{}
	var order []key
	for _, r := range p.refused {
		for _, f := range z.faces {
			e := geom.ElevationDeg(f.at, r.at)
			if r.at.Y >= f.at.Y || FrontBand(e) == BandRefuse || math.Abs(geom.BearingDeg(f.at, r.at)) > sideOneSidedDeg {
				continue
			}
			k := key{r.line, r.why}
			was, ok := best[k]
			if !ok {
				order = append(order, k)
			}
			if !ok || math.Abs(e-idealFrontDeg) < math.Abs(was-idealFrontDeg) {
				best[k] = e
			}
		}
	}
	var out []string
	for _, k := range order[:min(2, len(order))] {
		out = append(out, fmt.Sprintf("Places on %s would stand at up to %.1f°, but %s.", k.line, best[k], k.why))
	}
	return out
}

// limitWork bounds the search that lifts one limit to see what it costs.
const limitWork = 4_000_000

// limitGain is how much of what a zone misses has to come back for a lifted limit
// to be named.
const limitGain = 0.1

// limitWords lifts, one at a time, each shared limit that the front light's choice
// stands at, and says what the zone would gain.
func (p *proposer) limitWords(z *zoneWork) []string {
	at := slices.IndexFunc(p.stages, func(s Stage) bool { return s.Name == StageFront })
	if at < 0 {
		return nil
	}
	st := p.stages[at]
	mine := func(r model.Row) bool {
		return r.Name == "average of "+z.Name || slices.ContainsFunc(z.faces, func(f facePoint) bool { return r.Name == rowName(z, f.name) })
	}
	missed := func(m *model.Problem, chosen []int) float64 {
		sum := 0.0
		for _, r := range m.Rows {
			if mine(r) {
				sum += r.Short * r.LackOf(chosen)
			}
		}
		return sum
	}
	now := missed(st.Model, st.Result.Columns)
	if now <= 0 {
		return nil
	}
	var out []string
	for i, r := range st.Model.Rows {
		words := limitName(r.Name)
		if words == "" || r.SumOf(st.Result.Columns)+leastTerm(r) <= r.Hi {
			continue
		}
		lifted := *st.Model
		lifted.Rows = slices.Clone(lifted.Rows)
		lifted.Rows[i].Hi, lifted.Rows[i].Over = math.Inf(1), 0
		res := model.Solve(&lifted, model.Options{Seed: p.in.Seed, Work: limitWork, Start: st.Result.Columns, Stop: p.in.Stop})
		if then := missed(&lifted, res.Columns); then < (1-limitGain)*now {
			out = append(out, fmt.Sprintf("%s holds it back: with %.0f instead of %.0f it would miss %.0f %% less.", words, r.SumOf(res.Columns), r.Hi, 100*(1-then/now)))
		}
	}
	return out
}

// leastTerm is the least coefficient of a row: a limit that leaves less room than
// that lets nothing more in.
func leastTerm(r model.Row) float64 {
	least := math.Inf(1)
	for _, t := range r.Terms {
		least = math.Min(least, t.Coef)
	}
	return least
}

// limitName names a shared limit that could be raised; empty for other rows.
func limitName(row string) string {
	switch {
	case row == "watts":
		return "The power the supply can still give, in watts,"
	case row == "money for fixtures":
		return "The money cap, for fixtures alone,"
	case strings.HasPrefix(row, "mass on "):
		return "What " + strings.TrimPrefix(row, "mass on ") + " is documented to carry, in kilograms,"
	case strings.HasPrefix(row, "light on "):
		return "The limit of light on " + strings.TrimPrefix(row, "light on ") + ", in lux,"
	}
	return ""
}

const (
	// lowRiseM is the rise from face to lens below which pools at 45° are too small.
	// Source: common practice.
	lowRiseM = 1.2
	// nearLineM is how near to the ideal place an allowed line already hangs for
	// another to be no help.
	nearLineM = 0.5
	// loweredM is a platform made lower by one riser.
	loweredM = 0.15
	// lensBelowM is how far below a ceiling a lens hangs from a new line.
	lensBelowM = 0.5
)

// lineWords says where a line would stand at 45° to a zone's faces; in a low room
// what a lower platform would give.
func (p *proposer) lineWords(z *zoneWork) string {
	mid := middle(z.faces)
	h, ok := p.lensHeight(mid)
	if !ok {
		return ""
	}
	rise := h - mid.Z
	if rise < lowRiseM {
		best, at := math.Inf(1), (*site)(nil)
		for _, s := range p.sites {
			f := z.faces[nearestFace(z.faces, mid)]
			if miss := math.Abs(elevationOf(f, s) - idealFrontDeg); s.at.Y < mid.Y && miss < best {
				best, at = miss, s
			}
		}
		text := fmt.Sprintf("The room is low: lenses stand only %s above the faces, so light at 45° comes from %s in front of them and its pools are small; many small wide units in more than one row are the way.",
			p.length(math.Max(0, rise)), p.length(math.Max(0, rise)))
		if at != nil && z.Level != "floor" && p.in.Room.Platform.Height.Metres() >= 2*loweredM-1e-9 {
			lower := mid
			lower.Z -= loweredM
			text += fmt.Sprintf(" A platform lower by %s would raise the light from %s from %.1f° to %.1f° and lift every unit by as much out of reach.",
				p.length(loweredM), at.line.Name, geom.ElevationDeg(mid, at.at), geom.ElevationDeg(lower, at.at))
		}
		return text
	}
	y := mid.Y - rise
	for _, s := range p.sites {
		if math.Abs(s.at.Y-y) < nearLineM && math.Abs(s.at.X-mid.X) < rise {
			return ""
		}
	}
	if len(p.in.Room.Footprint) >= 3 && !p.in.Room.Footprint.ContainsPlan(mid.X, y) {
		return ""
	}
	return fmt.Sprintf("A line across the room with its lenses at %s, %s toward the seats from the faces, would stand at 45°.", p.length(h), p.length(rise))
}

// lensHeight returns the height at which lenses hang in a room: the middle one of
// its allowed places, or below its ceiling.
func (p *proposer) lensHeight(at geom.Vec) (float64, bool) {
	var zs []float64
	for _, s := range p.sites {
		if s.at.Y < at.Y {
			zs = append(zs, s.at.Z)
		}
	}
	if len(zs) > 0 {
		slices.Sort(zs)
		return zs[len(zs)/2], true
	}
	h, ok := ceilingAt(p.in.Room, at.X, at.Y)
	return h - lensBelowM, ok && h > lensBelowM
}

// fixtureWords says what a fixture would have to give where none of the catalogue
// is strong enough.
func (p *proposer) fixtureWords(z *zoneWork) string {
	options := p.optionsFor(z)
	if len(options) == 0 {
		return "The catalogue has no white fixture that hangs, has a known beam and fits the supply."
	}
	least, at := math.Inf(1), (*site)(nil)
	var face facePoint
	for _, s := range p.sites {
		for _, f := range z.faces {
			side := math.Abs(wrapDeg(geom.BearingDeg(f.at, s.at) - f.facingDeg))
			if s.at.Y >= f.at.Y || FrontBand(elevationOf(f, s)) == BandRefuse || side > sideOneSidedDeg {
				continue
			}
			if factor := axisFactor(s.at.Sub(f.at), f.normal()); factor > 0 {
				if cd := leastShare * z.targetLx / (p.loss * factor); cd < least {
					least, at, face = cd, s, f
				}
			}
		}
	}
	if at == nil {
		return ""
	}
	strongest := 0.0
	for _, o := range options {
		strongest = math.Max(strongest, o.beam.PeakCd)
	}
	if strongest >= least {
		return ""
	}
	d := at.at.Sub(face.at).Norm()
	field := 2 * math.Atan(areaAcrossM/2/d) * 180 / math.Pi
	return fmt.Sprintf("The catalogue's strongest beam has %.0f cd; a unit on %s would need at least %.0f cd with a field of about %.0f° to be worth hanging.", strongest, at.line.Name, least, field)
}
