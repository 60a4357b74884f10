package hanging

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// deflectionRatio is the planned limit of the added load's deflection: span/240,
// an overhang counting twice (common practice; the usual serviceability figure
// for floors and roofs).
const deflectionRatio = 240

func (l *Line) unknownNumbers() {
	nan := math.NaN()
	l.StressMPa, l.ReferenceMPa, l.MaxDeflectionM, l.LongTermM = nan, nan, nan, nan
	l.AloneMomentNM, l.AloneDeflectionM, l.TotalMomentNM = nan, nan, nan
	l.SharePct, l.ShearSharePct, l.TotalSharePct, l.LoadFactor = nan, nan, nan, nan
}

// existing is what hangs on a line already, kg: as stated in all, else the sum of
// what was listed; NaN unknown.
func existing(sv survey.HangingLine) float64 {
	sum := 0.0
	for _, h := range sv.Hung {
		m := float64(h.Mass.Or(si.Mass(math.NaN())))
		if !finite(m) || m < 0 {
			sum = math.NaN()
			break
		}
		sum += m
	}
	if v := float64(sv.Carries.Value); sv.Carries.Set && finite(v) && v >= 0 {
		// Of two statements the larger.
		return math.Max(v, finiteOr(sum, 0))
	}
	if len(sv.Hung) == 0 {
		return math.NaN()
	}
	return sum
}

// statics fills supports, reactions, shear, moment, deflection and stress of the
// added load: of the member that runs through over its supports, and of one cut
// over each of them.
func (c *checker) statics(l *Line, rl room.Line) {
	size := float64(rl.Length())
	weight := l.AddedKg * si.StandardGravity
	if !(size > 1e-3) || !finite(size) {
		l.ReactionsN = []float64{weight}
		l.Supports = []si.Length{0}
		l.MaxShearN, l.MaxMomentNM, l.HogMomentNM = weight, math.NaN(), math.NaN()
		return
	}
	m := c.member(l, rl, size)
	s, _ := m.Solve() // two supports at least
	l.ReactionsN, l.MaxShearN = s.ReactionsN, s.MaxShear()
	sag, sagAt, hog, hogAt := s.Extremes()
	l.MaxMomentNM, l.HogMomentNM, l.SpanM = math.Max(sag, -hog), hog, spanAt(s.SupportsM, sagAt)
	if -hog > sag {
		l.SpanM = spanAt(s.SupportsM, hogAt)
	}
	for _, at := range s.SupportsM {
		l.Supports = append(l.Supports, si.Length(at))
	}
	cut := m.cut()
	if len(cut) > 1 {
		l.AloneMomentNM, l.AloneReactionsN = 0, make([]float64, len(s.SupportsM))
		for i, p := range cut {
			part, _ := p.Solve()
			up, _, down, _ := part.Extremes()
			l.AloneMomentNM = math.Max(l.AloneMomentNM, math.Max(up, -down))
			l.AloneReactionsN[i] += part.ReactionsN[0]
			l.AloneReactionsN[i+1] += part.ReactionsN[1]
		}
	}
	c.ends(l, s)
	c.deflection(l, rl, s, cut)
	c.numbers(l, rl, m, cut)
}

// member is the line with its added load. What would stick out past its ends is
// pressed into it, so that no mass is lost.
func (c *checker) member(l *Line, rl room.Line, size float64) Member {
	m := Member{LengthM: size, SupportsM: supports(rl.Survey, size)}
	arm := 0.0
	if n := len(l.Loads); n > 0 {
		arm = l.OtherKg / float64(n)
	}
	for _, p := range l.Loads {
		m.Points = append(m.Points, Force{math.Min(math.Max(float64(p.Along), 0), size), (float64(p.Mass) + arm) * si.StandardGravity})
	}
	if l.SpreadKgPerM > 0 {
		from, to := math.Max(0, float64(l.PipeFrom)), math.Min(size, float64(l.PipeTo))
		n := (l.PipeKg + l.CableKg) * si.StandardGravity
		if to-from > 1e-6 {
			m.Spread = append(m.Spread, Even{from, to, n / (to - from)})
		} else {
			m.Points = append(m.Points, Force{math.Min(math.Max(from, 0), size), n})
		}
	}
	return m
}

// supports returns the bearings' distances, m, at least two.
func supports(sv survey.HangingLine, size float64) []float64 {
	var at []float64
	for _, b := range sv.Bearings {
		if b.Set {
			at = append(at, float64(b.Value))
		}
	}
	if out := distinct(at, size); len(out) >= 2 {
		return out
	}
	return []float64{0, size}
}

// spanAt returns the length of the span that holds a place; over a support, or
// beyond the last, that of the longer span beside it.
func spanAt(sup []float64, x float64) float64 {
	best := 0.0
	for i := 0; i+1 < len(sup); i++ {
		if x >= sup[i] && x <= sup[i+1] || i == 0 && x < sup[0] || i == len(sup)-2 && x > sup[i+1] {
			best = math.Max(best, sup[i+1]-sup[i])
		}
	}
	return best
}

// cut returns the member cut over its inner supports, one part for each span; the
// overhangs stay with the end spans.
func (m Member) cut() []Member {
	sup := distinct(m.SupportsM, m.LengthM)
	n := len(sup) - 1
	var out []Member
	for i := range n {
		from, to := sup[i], sup[i+1]
		if i == 0 {
			from = 0
		}
		if i == n-1 {
			to = m.LengthM
		}
		p := Member{LengthM: to - from, SupportsM: []float64{sup[i] - from, sup[i+1] - from}}
		for _, f := range m.Points {
			if f.AtM > from && f.AtM <= to || i == 0 && f.AtM == from {
				p.Points = append(p.Points, Force{f.AtM - from, f.N})
			}
		}
		for _, e := range m.Spread {
			if a, b := math.Max(e.FromM, from), math.Min(e.ToM, to); b > a {
				p.Spread = append(p.Spread, Even{a - from, b - from, e.NPerM})
			}
		}
		out = append(out, p)
	}
	return out
}

// ends reports overhanging units and supports that are lifted.
func (c *checker) ends(l *Line, s Solved) {
	first, last := s.SupportsM[0], s.SupportsM[len(s.SupportsM)-1]
	var out []string
	for _, p := range l.Loads {
		if float64(p.Along) < first-1e-6 || float64(p.Along) > last+1e-6 {
			out = append(out, p.Unit)
		}
	}
	if len(out) > 0 {
		c.add(c.Book.New("HANGING_OVERHANG", "line "+l.Name, finding.Text("units", strings.Join(out, ", "))))
		l.Reasons = append(l.Reasons, "units hang beyond its last support")
	}
	// Lifted however the line is built is a stop; lifted only if it runs through
	// over its supports is a question, since its own weight is not in the figure.
	low, alone := lowest(l.ReactionsN), lowest(l.AloneReactionsN)
	if len(l.AloneReactionsN) == 0 {
		alone = low
	}
	if alone < -1e-6 {
		low = math.Min(low, alone)
		f := c.Book.New("HANGING_UPLIFT", "line "+l.Name, finding.Num("uplift", low, "N"))
		f.Value, f.HasValue = low, true
		c.add(f)
	}
	if low < -1e-6 {
		l.Reasons = append(l.Reasons, "the added load lifts a support")
		c.ask(finding.Engineer, fmt.Sprintf("What holds %s down where the added load lifts it?", l.Name), fmt.Sprintf("Upward by %s at a support, without its own weight and the roof's.", forceWords(-low, c.Profile.Display)))
	}
	if len(l.AloneReactionsN) > 0 {
		c.ask(finding.Engineer, fmt.Sprintf("Does %s run through over its inner supports, or is it jointed there?", l.Name),
			fmt.Sprintf("Largest moment %s running through, %s jointed; both are on the sheet.", momentWords(l.MaxMomentNM, c.Profile.Display), momentWords(l.AloneMomentNM, c.Profile.Display)))
	}
}

func lowest(v []float64) float64 {
	m := 0.0
	for _, x := range v {
		m = math.Min(m, x)
	}
	return m
}

func (c *checker) deflection(l *Line, rl room.Line, s Solved, cut []Member) {
	sec, okS := c.mat.sectionOf(rl.Survey)
	if !okS {
		return
	}
	l.Section = sec.Name
	e, creep, okE := c.mat.stiffness(rl.Survey, sec)
	if !okE {
		return
	}
	ei := e * sec.I
	l.MaxDeflectionM, _ = s.MaxDeflection(ei)
	worst, sag, limit, span := 0.0, 0.0, 0.0, 0.0
	look := func(p Solved) {
		places := append([]float64{0}, p.SupportsM...)
		places = append(places, p.length)
		for i := 0; i+1 < len(places); i++ {
			size := places[i+1] - places[i]
			if i == 0 || i == len(places)-2 {
				size *= 2
			}
			if size < 1e-6 {
				continue
			}
			y, _ := p.deepest(places[i], places[i+1], ei)
			if share := math.Abs(y) * creep * deflectionRatio / size; share > worst {
				worst, sag, limit, span = share, math.Abs(y)*creep, size/deflectionRatio, size
			}
		}
	}
	look(s)
	l.LongTermM = math.Abs(l.MaxDeflectionM) * creep
	if len(cut) > 1 {
		l.AloneDeflectionM = 0
		for _, m := range cut {
			p, _ := m.Solve()
			if y, _ := p.MaxDeflection(ei); math.Abs(y) > math.Abs(l.AloneDeflectionM) {
				l.AloneDeflectionM = y
			}
			look(p)
		}
		l.LongTermM = math.Max(l.LongTermM, math.Abs(l.AloneDeflectionM)*creep)
	}
	if worst > 1 {
		f := c.Book.New("HANGING_DEFLECTION", "line "+l.Name, finding.Len("span", si.Length(span)), finding.Len("sag", si.Length(sag)))
		c.add(measured(f, sag, limit))
	}
}

// bars are the kinds that bear nothing of the building: everything on them can be
// known.
var bars = map[string]bool{"pipe": true, "stand": true}

// numbers fills the bending stress of the added load where section, grade,
// condition and documents are known, and what else is on the line.
func (c *checker) numbers(l *Line, rl room.Line, m Member, cut []Member) {
	sv := rl.Survey
	sec, ok := c.mat.sectionOf(sv)
	if !ok {
		if !anchored(rl) {
			l.Reasons = append(l.Reasons, "its section is not known")
		}
		return
	}
	g, _ := c.mat.gradeOf(sv, sec)
	if w := c.mat.weight(sec, sv.Material, g); w > 0 {
		l.SelfKgPerM = w
	}
	l.TotalMomentNM = c.total(l, sv, m, cut)
	st := c.mat.strengthOf(sv, sec, l.SpanM)
	if st.Refused != "" {
		if sv.Grade != "" {
			l.Reasons = append(l.Reasons, st.Refused)
		}
		return
	}
	if sv.Condition != "sound" || sv.Documents == "" || !finite(l.MaxMomentNM) {
		return
	}
	moment := math.Max(l.MaxMomentNM, finiteOr(l.AloneMomentNM, 0))
	l.StressMPa = moment / sec.S / 1e6
	l.ReferenceMPa, l.ReferenceSource = st.BendingMPa, st.Source
	l.LoadFactor, l.Factors = st.LoadFactor, st.Factors
	l.SharePct = 100 * st.LoadFactor * l.StressMPa / st.BendingMPa
	shear := l.MaxShearN
	for _, p := range cut {
		if s, ok := p.Solve(); ok {
			shear = math.Max(shear, s.MaxShear())
		}
	}
	l.ShearSharePct = 100 * st.LoadFactor * shearStress(sec, shear) / st.ShearMPa
	if bars[rl.Kind] {
		l.TotalSharePct = 100 * st.LoadFactor * l.TotalMomentNM / sec.S / 1e6 / st.BendingMPa
	}
	if share := math.Max(l.SharePct, finiteOr(l.TotalSharePct, 0)); share > 100 {
		stress := share / 100 * st.BendingMPa
		f := c.Book.New("HANGING_STRESS", "line "+l.Name, finding.Num("stress", stress, "MPa"), finding.Num("reference", st.BendingMPa, "MPa"))
		f = measured(f, stress, st.BendingMPa)
		f.Source = st.Source
		c.add(f)
		l.Reasons = append(l.Reasons, "the load that is known passes the bending value of its grade")
	}
	if l.ShearSharePct > 100 {
		f := c.Book.New("HANGING_SHEAR", "line "+l.Name)
		f = measured(f, l.ShearSharePct/100*st.ShearMPa, st.ShearMPa)
		f.Source = st.Source
		c.add(f)
		l.Reasons = append(l.Reasons, "the added load alone passes the shear value of its grade")
	}
}

// total is the largest moment with the line's own mass and what hangs there
// already, N·m; what has no place is taken at the middle of the longest span. NaN
// while something of it is unknown.
func (c *checker) total(l *Line, sv survey.HangingLine, m Member, cut []Member) float64 {
	if !finite(l.SelfKgPerM) || !finite(l.ExistingKg) {
		return math.NaN()
	}
	all := Member{LengthM: m.LengthM, SupportsM: m.SupportsM, Points: append([]Force(nil), m.Points...), Spread: append([]Even(nil), m.Spread...)}
	all.Spread = append(all.Spread, Even{0, m.LengthM, l.SelfKgPerM * si.StandardGravity})
	rest := l.ExistingKg
	for _, h := range sv.Hung {
		at, kg := float64(h.Along.Or(-1)), positive(float64(h.Mass.Or(0)))
		if finite(at) && at >= 0 && at <= m.LengthM {
			all.Points = append(all.Points, Force{at, kg * si.StandardGravity})
			rest -= kg
		}
	}
	if rest > 0 {
		mid, best := 0.0, 0.0
		for i := 0; i+1 < len(m.SupportsM); i++ {
			if d := m.SupportsM[i+1] - m.SupportsM[i]; d > best {
				mid, best = (m.SupportsM[i]+m.SupportsM[i+1])/2, d
			}
		}
		all.Points = append(all.Points, Force{mid, rest * si.StandardGravity})
	}
	top := 0.0
	for _, p := range append(all.cut(), all) {
		if s, ok := p.Solve(); ok {
			sag, _, hog, _ := s.Extremes()
			top = math.Max(top, math.Max(sag, -hog))
		}
	}
	return top
}
