package room

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// solver carries one survey through to its room.
type solver struct {
	s      survey.Survey
	book   *finding.Book
	region string
	built  *survey.Built
	sol    survey.Solution
	room   Room
	floor  geom.Polygon
	told   map[string]bool // suspects the survey's own checks already report
	out    []finding.Finding
	asked  []ranked
	finish finishes
	// guessed are the surfaces whose reflectance nobody gave, and members whose
	// size nobody measured.
	guessed, guessedSize []string
	// These are the things of each kind of which something is assumed.
	guessedWindows, guessedSolids, guessedOpenings, guessedViews []string
	guessedPitch, guessedEyes, guessedDrops, guessedFlights      []string
	// assumedPlatform tells that nobody gave the platform's height.
	assumedPlatform bool
}

type ranked struct {
	rank int // higher: more useful
	Question
}

// Solve returns the finished room that a survey describes: planned features in,
// removed ones left out, with standard deviations, suspects and questions. What
// is missing is assumed with a large standard deviation, declared as a finding
// and asked for; a survey with nothing in it still gives a room. Measurements
// that contradict each other are never dropped silently: they stay in Suspects.
func Solve(s survey.Survey, book *finding.Book, region string) (Room, []finding.Finding) {
	return solve(survey.Finished(s), book, region)
}

// SolveToday returns the room as it stands today: nothing that is planned, and
// what is to go still in its place and colour.
func SolveToday(s survey.Survey, book *finding.Book, region string) (Room, []finding.Finding) {
	return solve(survey.Today(s), book, region)
}

func solve(s survey.Survey, book *finding.Book, region string) (Room, []finding.Finding) {
	v := &solver{s: s, book: book, region: region, told: survey.Contradicted(s), finish: finishesOf(s)}
	v.readings()
	v.slopes()
	v.platformSize()
	v.network()
	v.footprint()
	v.ceiling()
	v.levels()
	v.platform()
	v.ground()
	v.surfaces()
	v.lines()
	v.solids()
	v.apronAndSteps()
	v.pictures()
	v.openings()
	v.views()
	v.spots()
	v.people()
	v.reflectances()
	v.missing()
	v.questions()
	finding.Sort(v.out)
	return v.room, v.out
}

// assume declares what is taken for something unknown.
func (v *solver) assume(rank int, about, ask, why, assumed, who string) {
	v.asked = append(v.asked, ranked{rank, Question{About: about, Ask: ask, Why: why, Assumed: assumed, Who: who}})
	v.out = append(v.out, v.book.New("SURVEY_ASSUMED", about, finding.Text("assumed", assumed),
		finding.Text("why", why), finding.Text("who", who)))
}

// readings takes the readings that fit for numbers typed without unit.
func (v *solver) readings() {
	taken := func(what string, l survey.L, as string) {
		v.assume(70, what, "Which unit was meant by “"+l.Text+"”?", "the number has no unit and each reading gives another room",
			fmt.Sprintf("“%s” is read as %s, %s", l.Text, si.FormatBoth(l.Value, si.Metric), as), "whoever measured")
	}
	seating := append([]survey.Seating(nil), v.s.Seating...)
	for i, st := range seating {
		if !st.Pitch.Set && len(st.Pitch.Readings) > 0 {
			if l, _, ok := survey.FitPitch(v.s, st); ok {
				seating[i].Pitch = l
				taken("pitch of seating "+st.Name, l, "which fits the rows")
			}
		}
	}
	galleries := append([]survey.Gallery(nil), v.s.Galleries...)
	for i, g := range galleries {
		if !g.RailTop.Set && len(g.RailTop.Readings) > 0 {
			if l, _, ok := survey.FitRailTop(g); ok {
				galleries[i].RailTop = l
				taken("rail top of "+survey.GalleryWord(g.Name), l, "which fits soffit and front")
			}
		}
	}
	v.s.Seating, v.s.Galleries = seating, galleries
	if h := v.s.Ceiling.Height; !h.Set && len(h.Readings) > 0 {
		if l, _, ok := survey.FitCeiling(v.s, h); ok {
			v.s.Ceiling.Height = l
			taken("ceiling height", l, "which fits doors, lines and screens")
		}
	}
}

// slopes takes heights that are the length of the roof's slope for what they
// are: measurements become suspects, a typed ridge gives way to what it implies.
func (v *solver) slopes() {
	for _, h := range survey.SlopesAsHeights(v.s) {
		why := fmt.Sprintf("it is the length of the roof's slope over half the width, %s; the ridge is at %s",
			si.FormatBoth(h.HalfWidth, si.Metric), si.FormatBoth(h.Implied, si.Metric))
		switch {
		case h.Measurement != "":
			ms := append([]survey.Measurement(nil), v.s.Measurements...)
			for i := range ms {
				if ms[i].ID == h.Measurement {
					v.room.Suspects = append(v.room.Suspects, Suspect{Measurement: h.Measurement, Text: ms[i].Value.Text,
						Expected: h.Implied, Got: h.Typed, Explanation: why, Corrected: si.Known(h.Implied)})
					ms[i].Void = true
				}
			}
			v.s.Measurements = ms
		case h.What == "ridge":
			v.s.Ceiling.Ridge = si.Known(h.Implied)
			v.assume(91, "ridge height", "Measure the ridge straight up with a laser from the middle of the floor.", "it shapes the space above the lines",
				fmt.Sprintf("%s; what was typed, %s, is the length of the slope", si.FormatBoth(h.Implied, si.Metric), si.FormatBoth(h.Typed, si.Metric)), "a volunteer, with a laser")
		}
	}
}

// platformSize fills in a platform nobody measured.
func (v *solver) platformSize() {
	fill := func(l *survey.L, what string, fallback si.Length) {
		if l.Set && l.Value > 0 {
			return
		}
		*l = si.Known(fallback)
		v.assume(95, "platform "+what, "How much is the platform's "+what+"?", "zones and faces stand on it",
			fmt.Sprintf("%s, give or take half of it", si.FormatBoth(fallback, si.Metric)), "a volunteer, with a tape")
	}
	p := &v.s.Platform
	if len(p.Outline) == 0 {
		fill(&p.Width, "width", 5)
		fill(&p.Depth, "depth", 3)
	}
	if p.Height.Set && p.Height.Value >= 0 {
		return
	}
	p.Height = survey.L{}
	for _, l := range v.s.Levels {
		if strings.EqualFold(l.Name, "platform") && l.Height.Set && l.Height.Value >= 0 {
			p.Height = l.Height
			return
		}
	}
	fill(&p.Height, "height", 0.3)
	v.assumedPlatform = true
}

// assumedLevel gives the platform's height the looseness of an assumption where
// nobody measured it.
func (v *solver) assumedLevel() {
	if !v.assumedPlatform {
		return
	}
	for i, o := range v.built.Observations {
		if o.ID == survey.LevelPoint("platform") {
			v.built.Observations[i].Sigma, v.built.Observations[i].Assumed = survey.AssumedSigma("S1")*o.Value, true
		}
	}
}

// network adjusts the survey's network, with assumptions where it leaves the
// floor's corners open.
func (v *solver) network() {
	v.built = survey.Build(v.s)
	v.assumedLevel()
	v.statedAssumptions()
	v.cornerGuesses()
	v.closeCorners()
	sol, err := survey.Adjust(v.built.Network, survey.Options{Break: survey.BreakTie(v.built.Network, v.built.Floors)})
	if err != nil {
		// Build makes no network that Adjust refuses; a number beyond all
		// rooms is left to the checks.
		v.built = survey.Build(survey.Survey{})
		sol, _ = survey.Adjust(v.built.Network, survey.Options{})
	}
	v.sol = sol
	v.adjustment()
	v.suspects()
	isStation := map[string]bool{}
	for _, st := range v.s.Stations {
		isStation[st.Name] = true
	}
	for _, n := range v.s.Footprint {
		isStation[n] = true
	}
	for _, p := range sol.Points {
		if isStation[p.Name] {
			v.room.Stations = append(v.room.Stations, Station{p.Name, p.At, p.Sigma(), p.Cov, p.Loose})
			if p.Loose != "" {
				v.loose(p)
			}
		}
	}
}

// statedAssumptions reports what people stated rather than measured.
func (v *solver) statedAssumptions() {
	var square, level, parallel []string
	for _, m := range v.s.Measurements {
		switch {
		case m.Void:
		case m.Kind == survey.Square:
			square = append(square, m.At)
		case m.Kind == survey.SameHeight:
			level = append(level, m.From+" and "+m.To)
		case m.Kind == survey.Parallel:
			parallel = append(parallel, fmt.Sprintf("%s – %s and %s – %s", m.From, m.At, m.To, m.With))
		}
	}
	if len(parallel) > 0 {
		v.assume(39, "parallel walls "+strings.Join(parallel, ", "), "Measure the room's width at both ends and its length on both sides.",
			"walls and hanging lines are placed by them", "they run parallel within half a degree, as stated", "a volunteer, with a tape")
	}
	if len(square) > 0 {
		v.assume(39, "square corners at "+strings.Join(square, ", "), "Measure both diagonals of the floor.", "walls and hanging lines are placed by them",
			"they are square within half a degree, as stated", "a volunteer, with a tape")
	}
	if len(level) > 0 {
		v.assume(39, "same height of "+strings.Join(level, ", "), "Measure both heights.", "angles depend on them",
			fmt.Sprintf("they are equal within %s, as stated", si.FormatBoth(survey.SameHeightSigma, si.Metric)), "a volunteer, with a laser")
	}
}

func (v *solver) loose(p survey.SolvedPoint) {
	var axes, fix []string
	for _, a := range p.Loose {
		switch a {
		case 'x':
			axes, fix = append(axes, "distance from the centre line"), append(fix, "how far it is from the centre line")
		case 'y':
			axes, fix = append(axes, "distance from the platform edge"), append(fix, "how far it is from the platform's front edge")
		case 'z':
			axes, fix = append(axes, "height"), append(fix, "its height above the hall floor")
		}
	}
	s := p.Sigma()
	v.out = append(v.out, v.book.New("ROOM_LOOSE", "station "+p.Name, finding.Text("axes", strings.Join(axes, " and ")),
		finding.Len("sigma", si.Length(math.Max(s.X, math.Max(s.Y, s.Z)))), finding.Text("fix", strings.Join(fix, ", "))))
	v.asked = append(v.asked, ranked{60, Question{About: "station " + p.Name, Ask: "Measure " + strings.Join(fix, ", ") + ".",
		Why: "nothing fixes its " + strings.Join(axes, " and "), Who: "a volunteer, from the floor"}})
}

func (v *solver) adjustment() {
	a := Adjustment{Unknowns: v.sol.Unknowns, Redundancy: v.sol.Redundancy, VPV: v.sol.VPV, Sigma0: v.sol.Sigma0,
		ChiLow: v.sol.ChiLow, ChiHigh: v.sol.ChiHigh,
		// Readings better than their instruments promise are no fault of a room.
		Pass: v.sol.VPV <= v.sol.ChiHigh || v.sol.Redundancy == 0}
	for i, r := range v.sol.Results {
		if r.Used {
			a.Measurements++
			a.Residuals = append(a.Residuals, Residual{v.built.Observations[i].ID, si.Length(r.Residual), si.Length(r.Sigma), r.Redundancy, r.W})
		}
	}
	for _, r := range v.sol.Removed {
		a.Removed = append(a.Removed, v.built.Observations[r.Observation].ID)
	}
	v.room.Adjustment = a
	if v.sol.Redundancy > 0 && v.sol.VPV > v.sol.ChiHigh {
		v.out = append(v.out, v.book.New("ROOM_NETWORK_TEST", "survey network", finding.Num("vpv", v.sol.VPV, ""),
			finding.Num("high", v.sol.ChiHigh, ""), finding.CountOf("redundancy", v.sol.Redundancy)))
	}
}

// suspects keeps every contradicting measurement with what explains it.
func (v *solver) suspects() {
	for _, r := range v.sol.Removed {
		s := v.suspect(r)
		v.room.Suspects = append(v.room.Suspects, s)
		if v.told[s.Measurement] {
			continue
		}
		if v.built.Observations[r.Observation].Assumed {
			v.out = append(v.out, v.book.New("ROOM_ASSUMPTION_FAILS", survey.NameOf(v.s, s.Measurement), finding.Text("explanation", s.Explanation), finding.Num("w", s.Normalised, "")))
			continue
		}
		why := "No usual slip explains it"
		if s.Explanation != "" {
			why = "Likely " + s.Explanation
		}
		v.out = append(v.out, v.book.New("ROOM_SUSPECT", survey.NameOf(v.s, s.Measurement), finding.Len("got", s.Got), finding.Len("expected", s.Expected),
			finding.Num("w", s.Normalised, ""), finding.Text("explanation", why)))
	}
	for _, g := range v.sol.Tied {
		var names []string
		w := 0.0
		for _, r := range g {
			s := v.suspect(r)
			v.room.Suspects = append(v.room.Suspects, s)
			names = append(names, s.Measurement)
			w = math.Max(w, r.W)
		}
		sort.Strings(names)
		told := 0
		var known []string
		for _, n := range names {
			known = append(known, survey.NameOf(v.s, n))
			if v.told[n] {
				told++
			}
		}
		if told >= len(names)-1 {
			continue
		}
		v.out = append(v.out, v.book.New("ROOM_TIED", strings.Join(known, "; "), finding.Num("w", w, "")))
	}
}

func (v *solver) suspect(r survey.Suspicion) Suspect {
	o := v.built.Observations[r.Observation]
	s := Suspect{Measurement: o.ID, Text: o.Typed.Text, Expected: si.Length(r.Expected), Got: si.Length(o.Value), Normalised: r.W}
	switch {
	case o.Assumed && o.Kind == survey.Square:
		s.Explanation = "the corner is not square, as was assumed"
		s.Expected, s.Got = 0, 0
	case o.Assumed:
		s.Explanation = "the assumption does not hold"
	}
	if m, ok := survey.ExplainIn(v.built.Network, v.sol, r, v.built.Floors); ok {
		s.Explanation = m.Text
		s.Corrected = si.Known(m.Corrected)
	}
	if line := v.built.Line[r.Observation]; line != "" {
		if h, ok := v.built.HeightOf(o); ok {
			s.Line, s.Alternative = line, si.Known(h)
		}
	}
	return s
}

// point returns a solved point by name.
func (v *solver) point(name string) (survey.SolvedPoint, bool) {
	i, ok := v.built.Index(name)
	if !ok || i >= len(v.sol.Points) {
		return survey.SolvedPoint{}, false
	}
	return v.sol.Points[i], true
}

// place resolves a place to coordinates; known tells which of them are given.
func (v *solver) place(p survey.Place) (at geom.Vec, known [3]bool) {
	if p.Station != "" {
		if sp, ok := v.point(p.Station); ok {
			return sp.At, [3]bool{!strings.Contains(sp.Loose, "x"), !strings.Contains(sp.Loose, "y"), !strings.Contains(sp.Loose, "z")}
		}
	}
	at = geom.Vec{X: float64(p.X.Or(0)), Y: float64(p.Y.Or(0)), Z: float64(p.Z.Or(0))}
	return at, [3]bool{p.X.Set, p.Y.Set, p.Z.Set}
}

func (v *solver) levels() {
	v.room.Levels = []Level{{Name: survey.HallFloor}}
	for _, f := range v.built.Floors {
		l := Level{Name: f.Name, Height: f.Height, Sigma: 0.025}
		if p, ok := v.point(survey.LevelPoint(f.Name)); ok {
			l.Height, l.Sigma = si.Length(p.At.Z), si.Length(p.Sigma().Z)
		}
		v.room.Levels = append(v.room.Levels, l)
	}
}

// level returns the height of a floor by name; the hall floor when unknown.
func (v *solver) level(name string) si.Length {
	f, ok := v.built.Level(name)
	if !ok {
		return 0
	}
	for _, l := range v.room.Levels {
		if l.Name == f.Name {
			return l.Height
		}
	}
	return f.Height
}

// missing asks for the answers that no geometry needs but later sheets do.
func (v *solver) missing() {
	for i, m := range survey.MissingAnswers(v.s) {
		if strings.HasPrefix(m.What, "platform ") {
			continue // assumed and asked for above
		}
		v.asked = append(v.asked, ranked{50 - i, Question{About: m.What, Ask: "Find out: " + m.What + ".", Why: m.Why, Assumed: m.Assumed, Who: m.Who}})
	}
}

func (v *solver) questions() {
	sort.SliceStable(v.asked, func(i, k int) bool {
		if v.asked[i].rank != v.asked[k].rank {
			return v.asked[i].rank > v.asked[k].rank
		}
		return v.asked[i].About < v.asked[k].About
	})
	for _, q := range v.asked {
		v.room.Questions = append(v.room.Questions, q.Question)
	}
}
