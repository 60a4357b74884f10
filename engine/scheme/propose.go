package scheme

import (
	"cmp"
	"math"
	"slices"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme/model"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// ProposeInput is what a proposal rests on.
type ProposeInput struct {
	Room      room.Room
	Brief     brief.Brief
	Survey    survey.Survey
	Catalogue catalogue.Set
	// Keep is the scheme so far: its locked units are kept as they are, with its
	// name, pipes, splitter and the designer's branches and circuits.
	Keep Scheme
	// Labels are glued to units already: a new unit takes none of their numbers.
	Labels map[string]Label
	// Seed makes the search repeatable: the same seed gives the same proposal.
	Seed uint64
	// LossFactor is included in every illuminance; 0 means 0.9.
	LossFactor float64
	// PowerW is what the supply can still give the new light, in watts; 0: not known.
	PowerW float64
	// LineKg is what hanging lines are documented to carry, in kilograms; lines
	// that are not in it have no limit here.
	LineKg map[string]float64
	// Work bounds the search of each stage, see model.Options; 0: StageWork.
	Work int64
	// Gap ends a stage's search early, see model.Options.
	Gap float64
	// Progress, when set, is told how far the search is; false ends it.
	Progress func(Progress) bool
	// Stop, when set, is asked now and then; true ends the search.
	Stop    func() bool
	Display si.Display // units of the lengths in reasons
	Book    *finding.Book
	Region  string
}

const (
	// defaultLoss is the share of light left after dirt and ageing of LED
	// fixtures. Source: common practice.
	defaultLoss = 0.9
	// assumedTargetLx is taken for a zone without a target. Source: common
	// practice, 380 lx least and 540 lx to 650 lx comfortable for people only.
	assumedTargetLx = 500.0
)

// Propose returns a scheme for a room: for each zone in the order of its
// priority the front light, then back light where it is wanted. It chooses
// among places along the allowed lines, fixtures, beams and focus points those
// that bring the zone's faces to their target, from both sides where that is
// asked, at good angles, with little light on screens, for little money; the
// number of units follows from that. It then sets levels that even the zones
// out, and says why each unit is what and where it is and why each line was
// passed over. Where nothing can be hung or the target cannot be reached the
// best found is returned with findings that say what is missing. The result
// does not depend on anything but the input.
func Propose(in ProposeInput) (Scheme, []finding.Finding) {
	p := Plan(in)
	return p.Scheme, p.Findings
}

// Proposal is a proposed scheme with the models it was chosen by.
type Proposal struct {
	Scheme   Scheme
	Findings []finding.Finding
	Stages   []Stage
	Stopped  bool
}

// Progress is how far the search for a proposal is.
type Progress struct {
	Stage   int // from 1
	Stages  int
	Name    string // front, back, rest
	Zone    string // zones it speaks of
	Purpose Purpose
	// Cost, Bound and Gap are those of the stage, in major units of the currency.
	Cost, Bound, Gap float64
}

// Plan proposes like Propose and returns the models too.
func Plan(in ProposeInput) Proposal {
	p := newProposer(in)
	p.frontStage()
	p.balance()
	p.averages()
	p.backStage()
	p.restStage()
	p.balance()
	p.judgeFront()
	out := Proposal{Scheme: p.scheme(), Stages: p.stages}
	out.Findings = p.rep.done()
	for _, s := range p.stages {
		out.Stopped = out.Stopped || s.Result.Stopped
	}
	return out
}

// stageCount is how many stages the brief asks for.
func (p *proposer) stageCount() int {
	n := 1
	for _, ask := range []func(*zoneWork) bool{(*zoneWork).asksBack, (*zoneWork).asksRest} {
		if slices.ContainsFunc(p.zones, ask) {
			n++
		}
	}
	return max(n, len(p.stages)+1)
}

// Cost returns the value of all stages' models for the proposal, in major units
// of the currency, a lower bound of it with the choices of earlier stages fixed,
// and the gap between them as a share of the cost.
func (p Proposal) Cost() (cost, bound, gap float64) {
	for _, s := range p.Stages {
		cost += s.Result.Cost
		bound += s.Result.Bound
	}
	if cost > 0 {
		gap = max(0, (cost-bound)/cost)
	}
	return cost, bound, gap
}

// Model returns all stages' models side by side as one problem, and the
// proposal's columns in it. Each stage rests on the choices of the earlier ones;
// its optimum is the sum of the stages' optima.
func (p Proposal) Model() (*model.Problem, []int) {
	var parts []*model.Problem
	var chosen [][]int
	for _, s := range p.Stages {
		parts, chosen = append(parts, s.Model), append(chosen, s.Result.Columns)
	}
	return model.Beside(parts, chosen)
}

// proposer holds what is decided so far.
type proposer struct {
	in      ProposeInput
	rep     reporter
	loss    float64
	scene   light.Scene
	zones   []*zoneWork
	sites   []*site
	points  []target // of all zones
	options []fixtureOption
	ref     float64 // price that counts as one, minor units
	used    map[string]int
	chosen  []*choice
	stages  []Stage
	quiet   bool // judgeFront adds no findings
	locked  []Placed
	rows    []LineRow
	ids     idMaker
	dark    []darkArea
	// refused are places along allowed lines where nothing may hang, and why.
	refused []refusedSite
}

// zoneWork is one zone with what is asked of it.
type zoneWork struct {
	brief.Zone
	order     int // in the brief
	faces     []facePoint
	from, to  int // its targets in proposer.points
	targetLx  float64
	tolerance float64 // share of the target
	evenness  float64
	cross     float64 // weight of light from both sides, 0 not asked
	wall      bool
	averageLx float64
	weight    float64 // of what it misses, squared in the balance of levels: 1 for the first priority
}

// target is a point that should receive light: a face, or the room round a key
// place in which a person moves.
type target struct {
	light.Point
	facingDeg float64
	key       bool
}

// choice is a proposed unit.
type choice struct {
	*candidate
	zone    *zoneWork
	purpose Purpose
	id      string
	level   float64 // share of full
	extra   []string
	reason  string
}

func newProposer(in ProposeInput) *proposer {
	p := &proposer{in: in, rep: reporter{book: in.Book, region: in.Region}, loss: in.LossFactor, scene: light.NewScene(in.Room), used: map[string]int{}}
	p.rep.start()
	if !(p.loss > 0) || !finite(p.loss) {
		p.loss = defaultLoss
	}
	p.rows = Lines(in.Room, in.Brief)
	p.options, p.ref = p.fixtureOptions()
	p.keepLocked()
	for i, z := range in.Brief.Zones {
		p.zones = append(p.zones, p.zoneWork(i, z))
	}
	p.dark = p.darkAreas()
	slices.SortStableFunc(p.zones, func(a, b *zoneWork) int {
		return cmp.Or(cmp.Compare(rank(a.Priority), rank(b.Priority)), cmp.Compare(a.order, b.order))
	})
	p.weigh()
	p.findSites()
	p.ids = newIDs(p.zones, p.locked, p.in.Labels)
	return p
}

const (
	// priorityStep is what a zone of the next priority counts beside one of the
	// former, and leastWeight what the last one counts.
	priorityStep = 0.6
	leastWeight  = 0.4
)

// weigh sets the weights of the zones, which are in the order of their priorities.
func (p *proposer) weigh() {
	weight := 1.0
	for i, z := range p.zones {
		if i > 0 && rank(z.Priority) != rank(p.zones[i-1].Priority) {
			weight = math.Max(leastWeight, weight*priorityStep)
		}
		z.weight = weight
	}
}

// rank puts zones without a priority last.
func rank(priority int) int {
	if priority <= 0 {
		return math.MaxInt
	}
	return priority
}

// crossWeight is what a face without light from both sides costs, in units:
// more than any pair of units where the brief asks for it, about one where the
// trade's rule alone speaks for it.
const (
	crossWeight     = 30.0
	softCrossWeight = 6.0
)

// asksBack tells whether back light is asked for; asksRest whether a wall is to be
// lit or something is to move.
func (z *zoneWork) asksBack() bool {
	return !z.wall && len(z.faces) > 0 && (z.BackLight == "wanted" || z.BackLight == "if_room")
}

func (z *zoneWork) asksRest() bool { return len(z.faces) > 0 && (z.wall || z.Movement) }

func (p *proposer) zoneWork(order int, z brief.Zone) *zoneWork {
	w := &zoneWork{Zone: z, order: order, faces: zoneFaces(z, p.in.Room), targetLx: assumedTargetLx,
		tolerance: defaultTolerance / 100, evenness: defaultEvenness, wall: z.Use == "wall"}
	if v := z.Target.Value.Lux(); z.Target.Set && v > 0 && finite(v) {
		w.targetLx = v
	} else if len(w.faces) > 0 {
		p.rep.add("SCHEME_TARGET_ASSUMED", "zone "+z.Name, finding.Lux("target", assumedTargetLx))
	}
	if z.TolerancePct > 0 && z.TolerancePct < 100 {
		w.tolerance = z.TolerancePct / 100
	}
	if z.Evenness > 0 && z.Evenness <= 1 {
		w.evenness = z.Evenness
	}
	switch {
	case w.wall:
	case z.CrossAim:
		w.cross = crossWeight
	case z.Use == "speaking" || z.Use == "reading":
		w.cross = softCrossWeight
	}
	w.from = len(p.points)
	for _, f := range w.faces {
		p.points = append(p.points, target{Point: light.Point{Name: f.name, Zone: z.Name, At: f.at, Normal: f.normal()}, facingDeg: f.facingDeg, key: true})
	}
	if len(z.Faces) > 0 && !w.wall {
		p.addStandingRoom(w)
	}
	w.to = len(p.points)
	return w
}

// stepM is how far people move from a key place: one step. Source: common practice.
const stepM = 0.6

// addStandingRoom adds the points one step away from each key place, so that a
// beam is not chosen that loses a person who leans.
func (p *proposer) addStandingRoom(w *zoneWork) {
	for _, f := range w.faces {
		for _, dx := range []float64{-stepM, stepM} {
			at := f.at
			at.X += dx
			p.points = append(p.points, target{Point: light.Point{Name: f.name, Zone: f.zone, At: at, Normal: f.normal()}, facingDeg: f.facingDeg})
		}
	}
}

// keepLocked places the locked units of the scheme so far.
func (p *proposer) keepLocked() {
	keep := Scheme{}
	for _, u := range p.in.Keep.Units {
		if u.Locked {
			keep.Units = append(keep.Units, u)
		}
	}
	p.locked, _ = Place(PlaceInput{Scheme: keep, Room: p.in.Room, Brief: p.in.Brief, Catalogue: p.in.Catalogue, Book: p.rep.book, Region: p.in.Region})
	for _, u := range p.locked {
		p.used[u.Fixture]++
	}
}

// scheme writes the decisions as a document.
func (p *proposer) scheme() Scheme {
	keep := p.in.Keep
	s := Scheme{Name: keep.Name, Parent: keep.Parent, Author: "engine", Pipes: keep.Pipes, Splitter: keep.Splitter, Branches: keep.Branches,
		Circuits: keep.Circuits, HouseStep: keep.HouseStep, Seed: p.in.Seed}
	if s.Name == "" {
		s.Name = "proposal"
	}
	if wish := p.in.Brief.House.Wish; s.HouseStep == "" && (wish == "relamp" || wish == "replace") {
		s.HouseStep = "C"
	}
	for _, u := range keep.Units {
		if u.Locked {
			s.Units = append(s.Units, u)
		}
	}
	for _, c := range p.chosen {
		s.Units = append(s.Units, p.unit(c))
		s.Reasons = append(s.Reasons, p.seen(c.site.at, Reason{Unit: c.id, Text: c.reason}))
	}
	s.Passed = p.passedOver()
	p.moneyCap()
	return s
}

// decimals of the coordinates in a proposed document: millimetres.
func mm(v float64) L { return si.Known(si.Length(math.Round(v*1000) / 1000)) }

func (p *proposer) unit(c *choice) Unit {
	u := Unit{ID: c.id, Fixture: c.option.Code, FieldDeg: c.option.beam.FieldDeg, Line: c.site.line.Name, Along: mm(c.site.along),
		AimX: mm(c.aim.X), AimY: mm(c.aim.Y), AimZ: mm(c.aim.Z), Zone: c.zone.Name, Purpose: c.purpose,
		LevelPct: math.Round(c.option.Dimming.Level(c.level) * 100), Accessories: c.extra, Phase: "A"}
	if len(c.zone.Zone.Faces) > 0 && c.face >= 0 {
		u.Face = c.zone.faces[c.face].name
	}
	switch c.purpose {
	case BackLight:
		u.Phase = "B"
	case WallWash, Accent:
		u.Phase = "C"
	}
	return u
}

func (p *proposer) moneyCap() {
	limit := p.in.Brief.Money.CapMinor
	total := int64(0)
	counts := map[string]int{}
	for _, c := range p.chosen {
		counts[c.option.Code]++
	}
	currency := p.in.Brief.Money.Currency
	for _, o := range p.options {
		if n := counts[o.Code]; n > 0 {
			free := max(0, o.Owned-p.lockedCount(o.Code))
			total += int64(max(0, n-free)) * o.priceMinor
			if currency == "" {
				currency = o.Currency
			}
			counts[o.Code] = 0
		}
	}
	if limit > 0 && total > limit {
		p.rep.add("SCHEME_OVER_CAP", "fixtures", finding.Money("price", total, currency), finding.Money("cap", limit, currency))
	}
}

func (p *proposer) lockedCount(code string) int {
	n := 0
	for _, u := range p.locked {
		if u.Fixture == code {
			n++
		}
	}
	return n
}
