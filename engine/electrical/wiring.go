package electrical

import (
	"fmt"
	"math"

	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/survey"
)

// noPulseFactor is the short-pulse factor taken while the breaker's maker has not
// been asked: none.
const noPulseFactor = 1

// breakerType returns the type of a panel's breakers and their short-pulse factor:
// as surveyed, else the region's; an empty type is not standardised, a factor of 1
// not known.
func (d *designer) breakerType(panel *survey.Panel) (curve region.Curve, pulse float64) {
	p := d.Profile
	curve, _ = p.Curve(p.Protection.DefaultCurve)
	if panel != nil {
		if c, ok := p.Curve(panel.BreakerCurve); ok {
			curve = c
		}
	}
	pulse = math.Max(noPulseFactor, curve.Pulse)
	if panel != nil && finite(panel.PulseFactor) && panel.PulseFactor >= noPulseFactor {
		pulse = panel.PulseFactor
	}
	return curve, pulse
}

// bandMultiple is how many times a breaker's rating the peaks of its drivers may add
// up to: the mean of its type's band, else the limit for breakers whose band is not
// standardised.
func (d *designer) bandMultiple(curve region.Curve) float64 {
	if curve.Mean > 0 {
		return curve.Mean
	}
	if v, ok := d.Book.Limit("ELECTRICAL_INRUSH", d.Profile.ID); ok {
		return v
	}
	return math.Inf(1)
}

// bearInrush gives a new circuit whose drivers' peaks its breaker would trip on
// another one: of the branch ratings from its own up and the types from the surveyed
// or usual one up, that which bears the peaks and itself trips at the lowest current,
// since this reaches the farthest fault; of two alike the usual type. A C16 so
// comes before a D10. Where none bears them it is the slowest type at its rating.
//
// Source: instantaneous bands of IEC 60898-1; BS 7671 411.4.4, Zs falls with the
// upper end of the band times the rating.
func (d *designer) bearInrush(c *Circuit, panel *survey.Panel) {
	curve, pulse := d.breakerType(panel)
	if !(c.BreakerA > 0) || c.Existing || c.InrushA <= pulse*d.bandMultiple(curve)*c.BreakerA*fits {
		return
	}
	types := []region.Curve{curve}
	// A type is chosen only where types are usual at all.
	for _, t := range d.Profile.Protection.Curves {
		if curve.Name != "" && t.Mean > curve.Mean {
			types = append(types, t)
		}
	}
	best, slowest := math.Inf(1), curve
	rating, name := c.BreakerA, ""
	for _, t := range types {
		if t.Mean > slowest.Mean {
			slowest = t
		}
		for _, b := range append([]float64{c.BreakerA}, d.Profile.BranchBreakers...) {
			trip := b * math.Max(t.High, d.bandMultiple(t))
			if b >= c.BreakerA && c.InrushA <= pulse*d.bandMultiple(t)*b*fits && trip < best*(1-1e-9) {
				best, rating, name = trip, b, t.Name
			}
		}
	}
	if math.IsInf(best, 1) {
		name = slowest.Name
	}
	if rating != c.BreakerA {
		d.bigger[c.Name] = fmt.Sprintf("%g A for the inrush, where the load asks %g A", rating, c.BreakerA)
	}
	c.BreakerA, c.Curve = rating, name
}

// inrush holds the drivers' peaks against the band of the breaker, times the pulse
// factor, and counts how many of the heaviest driver it would carry.
//
// Source: breaker makers' method after IEC 60898-1 (see DriversPerBreaker).
func (d *designer) inrush(c *Circuit, units []unitLoad, panel *survey.Panel) {
	if !(c.BreakerA > 0) || len(units) == 0 {
		return
	}
	p := d.Profile.Protection
	curve, pulse := d.breakerType(panel)
	if chosen, ok := d.Profile.Curve(c.Curve); ok {
		curve = chosen
	}
	multiple := d.bandMultiple(curve)
	c.Curve, c.PulseFactor = curve.Name, pulse
	c.InrushLimitA = pulse * multiple * c.BreakerA
	peak, fit, known := 0.0, 0.0, true
	for _, u := range units {
		peak, fit = math.Max(peak, u.inrushA), math.Max(fit, u.va/c.VoltageV)
		known = known && u.inrushA > 0
	}
	// Without every driver's peak the count by rating alone would promise too many.
	if known {
		c.DriversMost = DriversPerBreaker(c.BreakerA*usable(d.Profile, d.planPct), multiple, pulse/usable(d.Profile, d.planPct), peak, fit)
	}
	if c.InrushA <= c.InrushLimitA*fits {
		return
	}
	f := d.Book.New("ELECTRICAL_INRUSH", "circuit "+c.Name, finding.Num("breaker", c.BreakerA, "A"), finding.Num("peak", c.InrushA, "A"))
	if p.Source != "" && c.Curve != "" {
		f.Source = p.Source
	}
	d.add(measured(f, c.InrushA/c.BreakerA, pulse*multiple))
	if pulse == noPulseFactor {
		d.askOnce("What is the short-pulse factor of the breakers proposed, by their maker, for pulses of the drivers' length?",
			"The drivers' peaks pass the band's mean; none was taken for want of the maker's figure.")
	}
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
	if d.sys.HighLeg != "" {
		n.FundamentalA = SplitNeutral(line[0], line[2])
		n.WithThirdA, n.SizedForA = n.FundamentalA*math.Hypot(1, thirdPct/100.0), math.Max(line[0], line[2])
		n.Text = "two lines in opposition beside a high leg that feeds nothing to neutral: the neutral carries their difference"
		return append([]NeutralCheck{n}, d.multiwire(cs)...)
	}
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
	return append([]NeutralCheck{n}, d.multiwire(cs)...)
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
	if s.HighLeg != "" {
		return SplitNeutral(line[0], line[2]), faults
	}
	switch len(s.Lines) {
	case 1:
		return line[0], faults
	case 2:
		return SplitNeutral(line[0], line[1]), faults
	}
	return NeutralWithThird(line[0], line[1], line[2], thirdPct), faults
}
