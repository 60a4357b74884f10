package electrical

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// Fixtures finds a fixture by its catalogue code; false when there is none.
type Fixtures interface {
	Get(code string) (catalogue.Fixture, bool)
}

// Input is what the electrical stage stands on.
type Input struct {
	Placed    []scheme.Placed
	Scheme    scheme.Scheme
	Catalogue Fixtures
	Room      room.Room
	Survey    survey.Survey
	Brief     brief.Brief
	Profile   region.Profile
	Book      *finding.Book
	Answers   []Answer // to earlier questions; they change no number
	// Labels are glued on already; circuits they name keep their units and leg.
	Labels map[string]scheme.Label
	// Light is the light in the seats and on the way out before and after, point by
	// point; none: the lumen method alone.
	Light []light.PlaceLight
}

// Defaults of the brief's limits, percent.
//
// Source: common practice; planned use 65 % to 70 % of a breaker, spare 25 %.
const (
	defaultPlanPct  = 70
	defaultSparePct = 25
)

// usualHz is how far a surveyed frequency may stand from 50 Hz or 60 Hz, Hz: what a
// small generator drifts (common practice, 5 %).
const usualHz = 3

type designer struct {
	Input
	sys       System
	today     today
	units     []unitLoad
	lines     map[string]room.Line
	mainPanel *survey.Panel
	planPct   float64
	fs        []finding.Finding
	first     []Question
	questions []Question
	packing   []Packing
	bigger    map[string]string // why a circuit has a larger breaker than its load asks
}

func (d *designer) add(f ...finding.Finding) { d.fs = append(d.fs, f...) }

func (d *designer) ask(text, why string) {
	d.questions = append(d.questions, Question{Text: text, Why: why})
}

// askFirst asks what must be answered before anything else is done.
func (d *designer) askFirst(text, why string) {
	d.first = append(d.first, Question{Text: text, Why: why})
}

func (d *designer) wayVolts() float64 {
	v, _ := d.sys.wayVolts(d.sys.Ways[0])
	return v
}

// Design proposes circuits, breakers, conductors and their places on the panel,
// and follows the load of every leg through the works. All sizes are proposals
// for a licensed electrician. A missing fact becomes a question and a declared
// assumption; a passed limit becomes a finding. The findings come sorted.
func Design(in Input) (Plan, []finding.Finding) {
	if in.Book == nil {
		in.Book = finding.NewBook()
	}
	if len(in.Profile.Breakers) == 0 || len(in.Profile.BranchBreakers) == 0 || !(in.Profile.ContinuousFactor >= 1) {
		in.Profile, _ = region.Get("metric")
	}
	if in.Catalogue == nil {
		in.Catalogue = none{}
	}
	d := &designer{Input: in, lines: map[string]room.Line{}, bigger: map[string]string{}}
	for _, l := range in.Room.Lines {
		d.lines[l.Name] = l
	}
	d.planPct = planPct(in.Brief.Limits, in.Profile)
	var fs []finding.Finding
	d.sys, fs = systemFrom(in.Survey.Supply, in.Profile, in.Book)
	d.add(fs...)
	d.mainPanel = d.feeding()
	d.readToday()
	d.units = d.unitLoads()
	groups := d.packed(d.units)
	together := map[string]int{}
	for _, g := range groups {
		for _, l := range g.lines {
			together[l]++
		}
	}
	plan := Plan{Supply: d.sys, TotalALL: math.NaN()}
	for _, g := range groups {
		n := 1
		for _, l := range g.lines {
			n = max(n, together[l])
		}
		plan.Circuits = append(plan.Circuits, d.circuit(g, n))
	}
	d.connect(plan.Circuits)
	d.loops(plan.Circuits)
	d.addSpares(plan.Circuits)
	for _, c := range plan.Circuits {
		plan.TotalW += c.ConnectedW
		plan.TotalVA += c.ConnectedVA
	}
	plan.TotalA = plan.TotalVA / d.sys.Voltage
	if d.sys.VoltageLL != d.sys.Voltage {
		plan.TotalALL = plan.TotalVA / d.sys.VoltageLL
	}
	plan.BalancedA = d.sys.evenly(plan.TotalVA)
	plan.HeatBTUh = plan.TotalW * BTUhPerWatt
	plan.SupplyNote = d.supplyNote(plan)
	d.feeds(plan.Circuits)
	d.spread(plan.Circuits)
	d.lineNotes(groups)
	plan.Panels = d.panelChecks(plan.Circuits)
	plan.Steps = d.steps(plan.Circuits)
	plan.Scenarios = d.scenarios(plan.Circuits)
	plan.Existing = d.existingSteps(plan.Circuits)
	plan.House = d.house()
	plan.HouseJob = d.houseJob()
	d.residual(plan.Circuits)
	plan.Packing = d.packing
	plan.Neutral = d.neutrals(plan.Circuits)
	plan.Residual = d.residualGroups(plan.Circuits)
	d.supplyQuestions(plan)
	for i, q := range append(d.first, d.questions...) {
		q.No, q.Key = i+1, QuestionKey(q.Text)
		for _, a := range in.Answers {
			if a.Question == q.Key {
				q.Answers = append(q.Answers, a)
			}
		}
		plan.Questions = append(plan.Questions, q)
	}
	finding.Sort(d.fs)
	return plan, d.fs
}

// QuestionKey returns a short name of a question that stays the same as long as
// the same is asked in the same words: answers hang on it.
func QuestionKey(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "q-" + hex.EncodeToString(sum[:6])
}

type none struct{}

func (none) Get(string) (catalogue.Fixture, bool) { return catalogue.Fixture{}, false }

// planPct returns the planned use of a breaker, %: the stricter of the planned
// load and what the spare leaves.
func planPct(l brief.Limits, p region.Profile) float64 {
	load, spare := l.PlanLoadPct, l.SpareCircuitPct
	if !(load > 0 && load <= 100) {
		load = defaultPlanPct
	}
	if !(spare > 0 && spare < 100) {
		spare = defaultSparePct
	}
	return math.Min(math.Min(load, 100-spare), 100/p.ContinuousFactor)
}

// connect gives every circuit its leg, line or pair of lines.
func (d *designer) connect(cs []Circuit) {
	var removed, house tally
	for _, l := range d.today.lights {
		if l.removed {
			removed = removed.plus(l.before.minus(l.after))
		} else if l.converts {
			house = house.plus(l.before.minus(l.after))
		}
	}
	base := d.heaviestState()
	va := make([]float64, len(cs))
	fixed := make([]string, len(cs))
	for i, c := range cs {
		va[i], fixed[i] = c.ConnectedVA, c.Leg
		if c.Existing && c.Leg == "" {
			// Its leg is the electrician's to find; it does not weigh in here.
			fixed[i], va[i] = d.sys.Ways[0], 0
		}
	}
	works := base.minus(removed)
	legs := d.sys.share(va, fixed, works, works.minus(house), d.limit())
	for i := range cs {
		if cs[i].Existing && cs[i].Leg == "" {
			continue
		}
		cs[i].Leg = legs[i]
	}
}

func (d *designer) supplyNote(p Plan) string {
	s := d.sys
	var load string
	switch {
	case s.Name == "three_phase_3w":
		load = fmt.Sprintf("new lighting %.1f A on one pair or %.1f A in each line spread evenly", p.TotalA, p.BalancedA)
	case s.Name == "three_phase_4w":
		load = fmt.Sprintf("new lighting %.1f A at %.0f V on one line or %.1f A in each of three", p.TotalA, s.Voltage, p.BalancedA)
	case s.VoltageLL != s.Voltage:
		load = fmt.Sprintf("new lighting %.1f A at %.0f V or %.1f A at %.0f V", p.TotalA, s.Voltage, p.TotalALL, s.VoltageLL)
	default:
		load = fmt.Sprintf("new lighting %.1f A at %.0f V", p.TotalA, s.Voltage)
	}
	note := s.Describe() + "; " + load
	if s.Assumed != "" {
		note = "assumed: " + note
	}
	return note
}

// feeds reports circuits that would hang on a dimmer.
func (d *designer) feeds(cs []Circuit) {
	for _, c := range cs {
		if d.isDimmer(c.Panel) {
			d.add(d.Book.New("ELECTRICAL_DIMMED_FEED", "circuit "+c.Name, finding.Text("feed", c.Panel), finding.Text("units", strings.Join(c.Units, ", "))))
		}
	}
	if d.Brief.House.DimBy != "phase_cut" {
		return
	}
	var house []string
	for _, u := range d.units {
		if u.Purpose == scheme.HouseLight {
			house = append(house, u.name)
		}
	}
	if len(house) > 0 {
		d.add(d.Book.New("ELECTRICAL_DIMMED_FEED", "new house lights", finding.Text("feed", "What the brief wants for them"), finding.Text("units", strings.Join(house, ", "))))
	}
}

// spread reports zones that one tripped breaker darkens.
func (d *designer) spread(cs []Circuit) {
	if len(cs) < 2 {
		return
	}
	circuit := map[string]string{}
	for _, c := range cs {
		for _, u := range c.Units {
			circuit[u] = c.Name
		}
	}
	for _, z := range zonesOf(d.units) {
		n, one, same := 0, "", true
		for _, u := range d.units {
			if u.Zone != z {
				continue
			}
			if n > 0 && circuit[u.name] != one {
				same = false
			}
			one = circuit[u.name]
			n++
		}
		if n >= 2 && same {
			d.add(d.Book.New("ELECTRICAL_ZONE_ONE_CIRCUIT", "zone "+z, finding.CountOf("count", n), finding.Text("circuit", one)))
		}
	}
}

// lineNotes says which hanging lines one circuit could not carry.
func (d *designer) lineNotes(groups []group) {
	_, breaker := capacityVA(d.Profile, d.wayVolts(), d.planPct)
	var names []string
	va, count, circuits := map[string]float64{}, map[string]int{}, map[string][]string{}
	for _, g := range groups {
		for _, u := range g.units {
			if u.Line == "" {
				continue
			}
			if count[u.Line] == 0 {
				names = append(names, u.Line)
			}
			va[u.Line] += u.va
			count[u.Line]++
			if cs := circuits[u.Line]; len(cs) == 0 || cs[len(cs)-1] != g.name {
				circuits[u.Line] = append(cs, g.name)
			}
		}
	}
	for _, n := range names {
		a := va[n] / d.wayVolts()
		use := a / breaker * 100
		if use <= d.planPct || len(circuits[n]) < 2 {
			continue
		}
		f := d.Book.New("ELECTRICAL_LINE_NEEDS_CIRCUITS", "line "+n, finding.CountOf("count", count[n]), finding.Num("current", a, "A"),
			finding.Num("breaker", breaker, "A"), finding.Text("circuits", strings.Join(circuits[n], ", ")), finding.Percent("use", use))
		d.add(measured(f, use, d.planPct))
	}
}

// residual holds the drivers' leakage against the device that covers everything.
func (d *designer) residual(cs []Circuit) {
	rated := positive(float64(d.Survey.Supply.RCD.Or(0))) * 1000 // mA
	if rated == 0 {
		return
	}
	leak, drivers := 0.0, 0
	for _, c := range cs {
		leak += c.LeakageMA
		drivers += len(c.Units)
	}
	for _, l := range d.today.lights {
		if !l.removed {
			leak += l.leakMA
			drivers += l.drivers
		}
	}
	if f, bad := d.Book.Check("ELECTRICAL_RCD_LEAKAGE", d.Profile.ID, "residual-current device", leak/rated*100,
		finding.CountOf("drivers", drivers), finding.Num("leak", leak, "mA"), finding.Num("rating", rated, "mA")); bad {
		d.add(f)
		d.ask("Can the new circuits be shared out over several residual-current devices?",
			fmt.Sprintf("%d drivers leak about %.1f mA on one device of %.0f mA.", drivers, leak, rated))
	}
}

func (d *designer) supplyQuestions(p Plan) {
	s := d.Survey.Supply
	if d.sys.Assumed != "" {
		d.askFirst("What is the supply: lines, neutral, voltages, frequency, main protection?", "The sizes assume "+d.sys.Assumed+".")
	}
	if d.sys.Name == "three_phase_3w" {
		f := d.Book.New("ELECTRICAL_NO_NEUTRAL", "supply", finding.Num("volts", d.sys.Voltage, "V"),
			finding.Num("balanced", p.BalancedA, "A"), finding.Num("pair", p.TotalA, "A"))
		f.Value, f.HasValue = p.TotalA, true
		d.add(f)
		d.ask("Is there truly no neutral, and how is the insulation watched?", "Every circuit is planned between two lines with two-pole protection.")
	}
	if d.sys.HighLeg != "" {
		d.ask("Which line is the high leg of the delta, and is it marked at the panel?", fmt.Sprintf("%s was taken; a load to neutral on it gets √3 times its voltage.", d.sys.HighLeg))
	}
	if f := positive(s.Frequency); f > 0 && math.Abs(f-50) > usualHz && math.Abs(f-60) > usualHz {
		d.askFirst(fmt.Sprintf("Is the supply's frequency really %g Hz, and are breakers, drivers, transformers and residual-current devices made for it?", f),
			"Tables of conductors' impedance, trip bands and drivers' input hold at 50 Hz and 60 Hz.")
	}
	if positive(s.Frequency) == 0 {
		d.ask("What is the supply's frequency?", fmt.Sprintf("%g Hz was taken; cameras and dimmers depend on it.", d.sys.FrequencyHz))
	}
	if s.Earthing == "" {
		d.ask("What is the earthing arrangement?", "Protection against shock rests on it.")
	}
	if positive(float64(s.FaultCurrent.Or(0))) == 0 {
		subject := "the origin"
		if d.mainPanel != nil && d.mainPanel.Name != "" {
			subject = "panel " + d.mainPanel.Name
		}
		d.add(d.Book.New("ELECTRICAL_FAULT_CURRENT_UNKNOWN", subject))
		d.ask("What is the prospective fault current at "+subject+"?", "Breakers must be able to break it.")
	}
	switch {
	case len(s.Standing) == 0:
		d.add(d.Book.New("ELECTRICAL_STANDING_UNKNOWN", "the panel"))
		d.ask("What does every leg or line carry today with everything on?", "No reading and no list was given.")
	case !recorded(s.Reading):
		d.add(d.Book.New("ELECTRICAL_SPOT_READING", "standing load", finding.Text("reading", readingWords(s.Reading))))
		d.ask("What was the highest load of the last twelve months, or of 30 days recorded?", "The standing load rests on "+readingWords(s.Reading)+".")
	}
	if d.rating() == 0 {
		d.ask("What is the rating of the main protection?", "Without it no step of the works can be held against a limit.")
	}
	if d.today.read && len(d.today.lights) > 0 {
		d.ask("Were all old lights at full when the legs were read?", "Their currents are given back as they go; that holds only if they were in the reading.")
	}
	for _, l := range d.today.lights {
		if l.way == "" && len(d.sys.Lines) > 1 && l.watts > 0 {
			d.ask("Which leg or line feeds "+named(l.Name, "the old lights")+"?", "Its load is shared out evenly meanwhile.")
		}
		if l.removed {
			d.ask("Who isolates "+named(l.Name, "the old lights")+", at which breaker, and when?", "Its load is given back only once it is isolated and tested dead.")
		}
	}
	for _, h := range d.Survey.Hazards {
		switch h.Kind {
		case "panel_access":
			if d.shortOfSpace(h.Where) {
				continue
			}
			d.add(d.Book.New("ELECTRICAL_PANEL_ACCESS", named(h.Where, "panel"), finding.Text("note", named(h.Note, h.Where))))
			d.ask("May "+named(h.Where, "the panel")+" be worked on where it is, or must it be moved or bypassed?", named(h.Note, "Hard to reach."))
		case "wiring":
			d.askFirst("What is the wiring at "+named(h.Where, "the place noted")+"?", named(h.Note, "Seen or suspected; work stops there."))
		}
	}
	if len(p.Circuits) > 0 {
		d.ask("Is the air along the cables warmer than assumed, and do the circuits share a raceway?", fmt.Sprintf("%d °C and the circuits of one line together were taken.", planAmbientC))
	}
}

// shortOfSpace tells whether a place names a panel whose clear depth was
// measured and reported already.
func (d *designer) shortOfSpace(where string) bool {
	for _, f := range d.fs {
		if f.Code == "ELECTRICAL_PANEL_WORKING_SPACE" && strings.Contains(where, f.Subject) {
			return true
		}
	}
	return false
}

func readingWords(r string) string {
	switch r {
	case "spot":
		return "a spot reading"
	case "nameplate":
		return "nameplates added up"
	case "":
		return "figures whose origin is not said"
	}
	return r
}
