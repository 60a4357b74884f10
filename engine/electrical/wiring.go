package electrical

import (
	"fmt"
	"math"

	"roodbeam/engine/finding"
	"roodbeam/engine/region"
)

// noPulseFactor is the short-pulse factor taken while the breaker's maker has not
// been asked: none.
const noPulseFactor = 1

// inrush chooses the breaker type whose band the drivers' peaks stay within, the
// usual one first, and counts how many of the heaviest driver it would carry.
//
// Source: breaker makers' method after IEC 60898-1 (see DriversPerBreaker).
func (d *designer) inrush(c *Circuit, units []unitLoad) {
	if !(c.BreakerA > 0) || len(units) == 0 {
		return
	}
	p := d.Profile.Protection
	multiple := d.inrushMultiple()
	c.Curve = p.DefaultCurve
	for _, curve := range p.Curves {
		if c.InrushA > multiple*c.BreakerA && curve.Mean > multiple && !c.Existing {
			c.Curve, multiple = curve.Name, curve.Mean
		}
	}
	c.InrushLimitA = noPulseFactor * multiple * c.BreakerA
	peak, fit, known := 0.0, 0.0, true
	for _, u := range units {
		peak, fit = math.Max(peak, u.inrushA), math.Max(fit, u.va/c.VoltageV)
		known = known && u.inrushA > 0
	}
	// Without every driver's peak the count by rating alone would promise too many.
	if known {
		c.DriversMost = DriversPerBreaker(c.BreakerA*usable(d.Profile, d.planPct), multiple, noPulseFactor/usable(d.Profile, d.planPct), peak, fit)
	}
	if c.InrushA <= c.InrushLimitA*fits {
		return
	}
	f := d.Book.New("ELECTRICAL_INRUSH", "circuit "+c.Name, finding.Num("breaker", c.BreakerA, "A"), finding.Num("peak", c.InrushA, "A"))
	if p.Source != "" && c.Curve != "" {
		f.Source = p.Source
	}
	d.add(measured(f, c.InrushA/c.BreakerA, multiple))
	d.askOnce("What is the short-pulse factor of the breakers proposed, by their maker, for pulses of the drivers' length?",
		"The drivers' peaks pass the band's mean; none was taken for want of the maker's figure.")
}

// askOnce asks what may come up for several circuits.
func (d *designer) askOnce(text, why string) {
	for _, q := range d.questions {
		if q.Text == text {
			return
		}
	}
	d.ask(text, why)
}

// enclose chooses the raceway that takes every circuit run together with one
// equipment ground, or names the cable where the region has no raceway table.
func (d *designer) enclose(c *Circuit, together int) {
	if c.Conductor == "" || c.Existing {
		return
	}
	r := d.Profile.Raceways
	if r.Kind == "" {
		c.Cable = fmt.Sprintf("three-core, %s, %s protective conductor", c.Conductor, named(c.Ground, "its"))
		return
	}
	wires := []string{}
	for range 2 * max(1, together) {
		wires = append(wires, c.Conductor)
	}
	if c.Ground != "" {
		wires = append(wires, c.Ground)
	}
	f, ok := r.Fill(wires)
	if !ok {
		d.add(d.Book.New("ELECTRICAL_NO_RACEWAY", "circuit "+c.Name, finding.CountOf("wires", len(wires)), finding.Text("conductor", c.Conductor), finding.Text("kind", r.Kind)))
		return
	}
	c.Raceway, c.RacewayFillPct = fmt.Sprintf("%s %s in, %d × %s + %s", r.Kind, f.Size, 2*max(1, together), c.Conductor, named(c.Ground, "no ground")), f.Pct
}

// loops holds every circuit's fault loop against its breaker. The impedance
// outside the building is the electrician's to measure: while it is unknown the
// conductors' own share and the most that may come from outside are printed.
//
// Source: BS 7671 411.4.4, 411.5.3; nothing where the region has no such rule.
func (d *designer) loops(cs []Circuit) {
	l := d.Profile.Protection.Loop
	for i := range cs {
		c := &cs[i]
		c.LoopRunOhm, c.LoopOhm, c.LoopLimitOhm, c.LoopTestOhm = math.NaN(), math.NaN(), math.NaN(), math.NaN()
	}
	u0 := d.earthVolts()
	if l.CMin == 0 || u0 == 0 || len(cs) == 0 {
		if l.CMin > 0 && d.Survey.Supply.Earthing == "it" {
			d.ask("How long may a first fault to earth stand, and what trips at a second one?",
				"On an insulated (IT) supply the fault loop is not the building's earth connection; the insulation monitor and the second-fault loop decide.")
		}
		return
	}
	rcd := positive(float64(d.Survey.Supply.RCD.Or(0)))
	external := positive(d.Survey.Supply.LoopOhm)
	worst, room := -1, math.Inf(1)
	for i := range cs {
		c := &cs[i]
		if c.Existing || c.Conductor == "" {
			continue
		}
		c.LoopLimitOhm = d.Profile.MaxLoopOhm(u0, c.BreakerA, c.Curve)
		if d.Survey.Supply.Earthing == "tt" {
			c.LoopLimitOhm = math.NaN()
			if rcd > 0 {
				c.LoopLimitOhm = l.TouchV / rcd
			}
		}
		if d.Survey.Supply.Earthing != "tt" {
			c.LoopTestOhm = c.LoopLimitOhm * l.TestPct / 100
		}
		d.thicken(c, external)
		c.LoopRunOhm = d.loopRun(*c)
		if left := c.LoopLimitOhm - c.LoopRunOhm; left < room {
			worst, room = i, left
		}
		if external == 0 {
			continue
		}
		c.LoopOhm = external + c.LoopRunOhm
		if !(c.LoopOhm <= c.LoopLimitOhm) {
			f := d.Book.New("ELECTRICAL_LOOP_HIGH", "circuit "+c.Name, finding.Num("breaker", c.BreakerA, "A"), finding.Text("curve", c.Curve),
				finding.Num("run", c.LoopRunOhm, "Ω"), finding.Num("external", external, "Ω"))
			f.Source = l.Source
			d.add(measured(f, c.LoopOhm, c.LoopLimitOhm))
		}
	}
	if external > 0 {
		return
	}
	why := "The fault loop of every circuit rests on it; none was surveyed."
	if worst >= 0 {
		why = fmt.Sprintf("Circuit %s leaves %.2f Ω for it: limit %.2f Ω for a %s%g, its own conductors %.2f Ω.", cs[worst].Name, math.Max(0, room),
			cs[worst].LoopLimitOhm, cs[worst].Curve, cs[worst].BreakerA, cs[worst].LoopRunOhm)
	}
	if typical, ok := (region.Table{Rows: l.TypicalZe}).Value(d.earthing()); ok {
		why += fmt.Sprintf(" Supplies of this earthing usually show %.2g Ω; that is no measurement.", typical)
	}
	d.ask("What is the external fault-loop impedance at the origin?", why)
	if d.Survey.Supply.Earthing == "tt" && rcd == 0 {
		d.ask("Which residual-current device protects the new circuits, and what is the resistance of the earth electrode?", "On a TT supply the breaker alone does not clear an earth fault.")
	}
}

// earthing returns the surveyed system by IEC 60364-1; multiple earthed neutral
// is TN-C-S.
func (d *designer) earthing() string {
	if e := d.Survey.Supply.Earthing; e != "men" {
		return e
	}
	return "tn_c_s"
}

// earthVolts returns the voltage to earth, V; 0 where the earthing is not known
// or no point of the supply is earthed.
func (d *designer) earthVolts() float64 {
	switch d.earthing() {
	case "", "it":
		return 0
	}
	if d.sys.Name == "three_phase_3w" {
		return d.sys.VoltageLL / math.Sqrt(3)
	}
	return d.sys.Voltage
}

// loopRun returns a circuit's own share of the fault loop, Ω hot, over the run its
// conductor was sized for.
func (d *designer) loopRun(c Circuit) float64 {
	return d.Profile.LoopOhmPerM(c.Conductor, c.Ground, true) * (c.LengthM + sizeSigmas*c.SigmaLengthM)
}

// thicken takes the next conductors while the surveyed loop stays above its limit.
func (d *designer) thicken(c *Circuit, external float64) {
	if external == 0 || !d.Profile.GroundAsLine {
		return
	}
	for _, k := range d.Profile.Conductors {
		if now, _ := d.Profile.Conductor(c.Conductor); k.AreaMM2 <= now.AreaMM2 {
			continue
		}
		if !(external+d.loopRun(*c) > c.LoopLimitOhm) {
			return
		}
		t := *c
		t.Conductor, t.Ground = k.Name, k.Name
		if math.IsNaN(d.loopRun(t)) {
			return
		}
		old, _ := d.Profile.Conductor(c.Conductor)
		*c = t
		pf := 1.0
		if c.ConnectedVA > 0 {
			pf = c.ConnectedW / c.ConnectedVA
		}
		c.DropV *= k.Loop(false, pf) / old.Loop(false, pf)
		c.DropPct = c.DropV / c.VoltageV * 100
		c.AmpacityA = d.Profile.Ampacity(k, planAmbientC, grouped(d.Profile, c.Together), false)
		c.Reason += "; " + k.Name + " for the fault loop"
		d.enclose(c, c.Together)
	}
}

// residualGroups shares the circuits out over residual-current devices so that the
// drivers' standing leakage stays within each one's share, in as few devices as
// hold it.
//
// Source: BS 7671 531.3.2, 30 % of the rated residual current.
func (d *designer) residualGroups(cs []Circuit) []ResidualGroup {
	rule := d.Profile.Protection.Residual
	rated := positive(float64(d.Survey.Supply.RCD.Or(0))) * 1000
	surveyed := rated > 0
	if rule.SharePct == 0 || (!surveyed && d.Survey.Supply.Earthing != "tt") {
		return nil
	}
	if !surveyed {
		rated = rule.RatingsMA[0]
	}
	limit := rated * rule.SharePct / 100
	old := 0.0
	for _, l := range d.today.lights {
		if !l.removed {
			old += l.leakMA
		}
	}
	var things []burden
	var at []int
	total := old
	for i, c := range cs {
		if !c.Existing {
			things, at = append(things, burden{va: c.LeakageMA / limit}), append(at, i)
			total += c.LeakageMA
		}
	}
	var out []ResidualGroup
	if surveyed && (total <= limit || len(things) == 0) {
		g := ResidualGroup{Name: "device as found", RatedMA: rated, LeakageMA: total, LimitMA: limit, Existing: true}
		for _, i := range at {
			cs[i].ResidualGroup = g.Name
			g.Circuits = append(g.Circuits, cs[i].Name)
		}
		return []ResidualGroup{g}
	}
	if surveyed {
		out = append(out, ResidualGroup{Name: "device as found", RatedMA: rated, LeakageMA: old, LimitMA: limit, Existing: true})
	}
	for n, bin := range intoFewest(things, len(things), packBudget).bins {
		g := ResidualGroup{Name: fmt.Sprintf("RCD %d", n+1), RatedMA: rated, LimitMA: limit}
		for _, k := range bin {
			c := &cs[at[k]]
			c.ResidualGroup = g.Name
			g.Circuits = append(g.Circuits, c.Name)
			g.LeakageMA += c.LeakageMA
		}
		out = append(out, g)
	}
	return out
}

// thirdPct is the third harmonic taken for LED drivers, % of the line current.
//
// Source: IEC 61000-3-2 class C above 25 W, 30·λ % (from memory), λ taken as 1.
const thirdPct = 30

// neutrals says what flows back of the new lighting, as proposed (a neutral for
// every circuit) and in the panel's feeder.
func (d *designer) neutrals(cs []Circuit) []NeutralCheck {
	if len(cs) == 0 || d.sys.Name == "three_phase_3w" {
		return nil
	}
	var line [3]float64
	for _, c := range cs {
		if i := d.sys.lineIndex(c.Leg); i >= 0 && !c.Existing {
			line[i] += c.CurrentA
		}
	}
	n := NeutralCheck{Where: "new lighting in the feeder", ThirdPct: thirdPct}
	switch d.sys.Name {
	case "single_phase_2w":
		n.FundamentalA, n.WithThirdA, n.SizedForA = line[0], line[0], line[0]
		n.Text = "one line and neutral: the neutral carries the line's current, harmonics among it"
	case "single_phase_3w":
		n.FundamentalA = SplitNeutral(line[0], line[1])
		n.WithThirdA = n.FundamentalA * math.Hypot(1, thirdPct/100.0)
		n.SizedForA = math.Max(line[0], line[1])
		n.Text = "two lines in opposition: the neutral carries their difference, thirds cancel as the rest does; sized for the larger line"
	case "three_phase_4w":
		n.FundamentalA = NeutralCurrent(line[0], line[1], line[2])
		n.WithThirdA = NeutralWithThird(line[0], line[1], line[2], thirdPct)
		high, _, _ := extremes(line[:])
		n.SizedForA = math.Max(n.WithThirdA, HarmonicCurrent(d.Profile, high, thirdPct))
		n.Text = fmt.Sprintf("thirds of all lines add up in the neutral; %d %% of the line current taken", thirdPct)
	}
	return []NeutralCheck{n}
}

// SharedNeutral returns the neutral's current, A, of circuits that would share one
// neutral, and what forbids it: two on one line (the neutral then adds), no
// neutral, a pair of lines, dimmed circuits. All lines of such a group open
// together and are grouped in the panel; the neutral is not broken at a device.
//
// Source: NFPA 70 210.4; for dimmed circuits common practice.
func SharedNeutral(s System, legs []string, amps []float64, dimmed bool, thirdPct float64) (float64, []string) {
	var faults []string
	var line [3]float64
	seen := map[string]bool{}
	for i, leg := range legs {
		k := s.lineIndex(leg)
		if k < 0 || i >= len(amps) {
			faults = append(faults, fmt.Sprintf("%q is not a line of this supply with a neutral", leg))
			continue
		}
		if seen[leg] {
			faults = append(faults, "two circuits on "+leg+": their currents add up in the neutral")
		}
		seen[leg] = true
		line[k] += positive(amps[i])
	}
	if s.Name == "three_phase_3w" {
		return math.NaN(), append(faults, "this supply has no neutral")
	}
	if dimmed {
		faults = append(faults, "dimmed circuits keep a neutral each")
	}
	switch len(s.Lines) {
	case 1:
		return line[0], faults
	case 2:
		return SplitNeutral(line[0], line[1]), faults
	}
	return NeutralWithThird(line[0], line[1], line[2], thirdPct), faults
}
