package electrical

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/region"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// planAmbientC is the air temperature taken for cables under a warm ceiling, °C.
//
// Source: common practice; a declared assumption on the sheet.
const planAmbientC = 35

// sizeSigmas is by how many standard deviations of its length a run is taken
// longer when its conductor is sized.
const sizeSigmas = 2

// dropFlagPct is where a voltage drop is flagged although within its limit, %.
//
// Source: common practice.
const dropFlagPct = 2.5

// breakerFor returns the smallest branch rating whose planned share carries the
// current, else the largest branch rating where that carries the design current,
// else the next standard rating; 0 when none does.
func breakerFor(p region.Profile, currentA, planPct float64) float64 {
	for _, b := range p.BranchBreakers {
		if currentA <= b*usable(p, planPct)*(1+1e-9) {
			return b
		}
	}
	design := currentA * p.ContinuousFactor
	if b := p.BranchBreakers[len(p.BranchBreakers)-1]; design <= b*(1+1e-9) {
		return b
	}
	b, _ := p.NextBreaker(design)
	return b
}

// breakerWithSpare returns the smallest rating, of the branch ratings first, whose
// planned share carries the current, so that what is kept for growth stays free;
// 0 when none does.
func breakerWithSpare(p region.Profile, currentA, planPct float64) float64 {
	for _, ratings := range [][]float64{p.BranchBreakers, p.Breakers} {
		for _, b := range ratings {
			if currentA <= b*usable(p, planPct)*(1+1e-9) {
				return b
			}
		}
	}
	return 0
}

// conductorFor returns the thinnest size that carries the breaker under the
// grouping, and the thinnest that also keeps the voltage drop; false when the
// table has none. momentAM is ampereMetres.
func conductorFor(p region.Profile, breakerA float64, together int, momentAM, volts, pf float64) (byHeat, byDrop region.Conductor, ok bool) {
	n := grouped(p, together)
	started := p.SmallestConductor == ""
	heat := false
	for _, c := range p.Conductors {
		started = started || c.Name == p.SmallestConductor
		if !started || p.MaxBreaker(c) < breakerA || p.Ampacity(c, planAmbientC, n, false) < breakerA {
			continue
		}
		if !heat {
			byHeat, heat = c, true
		}
		if momentAM*c.Loop(false, pf)/volts*100 <= p.VoltageDropPct {
			return byHeat, c, true
		}
	}
	return byHeat, region.Conductor{}, false
}

// grouped returns what the region's grouping table counts for two-wire circuits
// that run together.
func grouped(p region.Profile, together int) int {
	if p.GroupingPer == "conductors" {
		return 2 * together
	}
	return together
}

// circuit sizes one group.
func (d *designer) circuit(g group, together int) Circuit {
	c := Circuit{Name: g.name, Phase: g.phase, Lines: g.lines, Zones: zonesOf(g.units), BreakerPoles: d.sys.Poles}
	volts := d.wayVolts()
	if g.choice.leg != "" {
		if v, ok := d.sys.wayVolts(g.choice.leg); ok {
			volts = v
			c.Leg = d.sys.canonical(g.choice.leg)
			if d.sys.pairIndex(c.Leg) >= 0 {
				c.BreakerPoles = 2
			}
		} else {
			d.add(d.Book.New("ELECTRICAL_UNKNOWN_LEG", "circuit "+g.name, finding.Text("leg", g.choice.leg)))
		}
	}
	c.VoltageV = volts
	for _, u := range g.units {
		c.Units = append(c.Units, u.name)
		c.ConnectedW += u.watts
		c.ConnectedVA += u.va
		c.InrushA += u.inrushA
		c.LeakageMA += u.leakMA
		if (u.vMin > 0 && volts < u.vMin) || (u.vMax > 0 && volts > u.vMax) {
			f := d.Book.New("ELECTRICAL_FIXTURE_VOLTAGE", "unit "+u.name, finding.Text("fixture", u.Fixture),
				finding.Num("min", u.vMin, "V"), finding.Num("max", u.vMax, "V"), finding.Num("circuit", volts, "V"))
			f.Value, f.HasValue = volts, true
			d.add(f)
		}
	}
	c.CurrentA = c.ConnectedVA / volts
	c.DesignA = c.CurrentA * d.Profile.ContinuousFactor
	c.Panel, c.Approved, c.Installed = g.choice.panel, g.choice.approved, g.choice.installed
	panel := d.panelNamed(c.Panel)
	if panel == nil {
		panel = d.mainPanel
		if c.Panel == "" && panel != nil {
			c.Panel = panel.Name
		}
	}
	if panel != nil && isExisting(*panel) {
		c.Existing = true
		c.BreakerA = float64(panel.Rating.Value)
	} else if g.pinned {
		c.BreakerA = breakerFor(d.Profile, c.CurrentA, d.planPct)
	} else {
		c.BreakerA = breakerWithSpare(d.Profile, c.CurrentA, d.planPct)
	}
	d.bearInrush(&c, panel)
	if c.BreakerA > 0 {
		c.UsePct = c.CurrentA / c.BreakerA * 100
	}
	from, assumed := d.panelAt(panel)
	ps, length := routed(from, d.outlets(g))
	for _, p := range ps {
		c.Places = append(c.Places, p.Outlet)
	}
	c.LengthM = length
	share := routeSigma
	if assumed {
		share = assumedSigma
	}
	c.SigmaLengthM = math.Hypot(d.sigma(g, share*length), d.panelSigma(panel))
	d.size(&c, ps, from, together, len(g.units))
	d.inrush(&c, g.units, panel)
	d.enclose(&c, together)
	c.AmbientC, c.Together, c.NeutralA = planAmbientC, together, c.CurrentA
	if d.sys.pairIndex(c.Leg) >= 0 || d.sys.Name == "three_phase_3w" {
		c.NeutralA = 0
	}
	c.GrowthA = math.Max(0, c.BreakerA-c.CurrentA)
	c.Protection = "opens the line"
	if c.BreakerPoles == 2 {
		c.Protection = "opens both lines together"
	}
	c.Reason = d.reason(g, c, together, assumed)
	return c
}

// panelSigma returns how well a length square to the building from a panel is
// known, in metres: √(σx² + σy² + σz²) of its surveyed place, 0 while its place is
// assumed, which the share of the length covers.
func (d *designer) panelSigma(p *survey.Panel) float64 {
	if p == nil {
		return 0
	}
	for _, s := range d.Room.Panels {
		if n := s.Sigma.Norm(); s.Name == p.Name && s.Known && finite(n) {
			return n
		}
	}
	return 0
}

func (d *designer) sigma(g group, route float64) float64 {
	v := route * route
	for _, name := range g.lines {
		if l, ok := d.lines[name]; ok {
			s := l.SigmaAt(l.From)
			if n := s.Y*s.Y + s.Z*s.Z; finite(n) {
				v += n
			}
		}
	}
	return math.Sqrt(v)
}

// size chooses conductor, ground and connector and reports what a limit passes.
func (d *designer) size(c *Circuit, ps []place, from geom.Vec, together, units int) {
	p := d.Profile
	subject := "circuit " + c.Name
	breaker := finding.Num("breaker", c.BreakerA, "A")
	if c.BreakerA > 0 {
		pf := 1.0
		if c.ConnectedVA > 0 {
			pf = c.ConnectedW / c.ConnectedVA
		}
		moment := ampereMetres(from, ps, c.VoltageV)
		// The run is known no better than its standard deviation: the size is to
		// hold for one run in twenty that is longer still.
		stretch := 1.0
		if c.LengthM > 0 {
			stretch += sizeSigmas * c.SigmaLengthM / c.LengthM
		}
		heat, used, ok := conductorFor(p, c.BreakerA, together, moment*stretch, c.VoltageV, pf)
		if !ok {
			f := d.Book.New("ELECTRICAL_NO_CONDUCTOR", subject, breaker, finding.Len("length", si.Length(c.LengthM)))
			d.add(f)
			c.DropV, c.DropPct = math.NaN(), math.NaN()
		} else {
			c.Conductor = used.Name
			c.DropV = moment * used.Loop(false, pf)
			c.DropPct = c.DropV / c.VoltageV * 100
			if g, ok := p.Ground(c.BreakerA, heat, used); ok {
				c.Ground = g.Name
			}
			if c.DropPct > dropFlagPct {
				f := d.Book.New("ELECTRICAL_VOLTAGE_DROP", subject, finding.Len("length", si.Length(c.LengthM)),
					finding.Text("conductor", used.Name), finding.Percent("drop", c.DropPct))
				d.add(measured(f, c.DropPct, p.VoltageDropPct))
			}
		}
		if c.Conductor != "" {
			c.AmpacityA = p.Ampacity(used, planAmbientC, grouped(p, together), false)
		}
		if conn, ok := p.ConnectorFor(c.BreakerA, c.VoltageV, 2); ok {
			c.Connector = conn.Name
		}
		if units > 0 {
			if f, bad := d.Book.Check("ELECTRICAL_MANY_DRIVERS", p.ID, subject, float64(units), breaker); bad {
				d.add(f)
			}
		}
		if c.UsePct > d.planPct*(1+1e-9) && !c.Existing {
			f := d.Book.New("ELECTRICAL_CIRCUIT_OVER_PLAN", subject, finding.Num("current", c.CurrentA, "A"), breaker,
				finding.Percent("use", c.UsePct))
			d.add(measured(f, c.UsePct, d.planPct))
		}
	}
	if c.DesignA > c.BreakerA*(1+1e-9) && !c.Existing {
		f := d.Book.New("ELECTRICAL_CIRCUIT_OVERLOADED", subject, finding.Text("loads", strings.Join(c.Units, ", ")),
			finding.Num("design", c.DesignA, "A"), breaker)
		d.add(measured(f, c.DesignA, c.BreakerA))
	}
}

func (d *designer) reason(g group, c Circuit, together int, assumed bool) string {
	var parts []string
	switch {
	case g.label:
		parts = append(parts, "as labelled at an earlier issue")
	case g.pinned:
		parts = append(parts, "as the designer grouped it")
	case len(g.lines) > 1:
		parts = append(parts, "joins "+strings.Join(g.lines, ", ")+": few units each")
	case g.shared > 1:
		parts = append(parts, fmt.Sprintf("one of %d shares of %s in phase %s, units of a zone dealt out over them", g.shared, strings.Join(g.lines, ", "), g.phase))
	default:
		parts = append(parts, "units of "+named(strings.Join(g.lines, ", "), "no line")+" that come in phase "+g.phase)
	}
	if c.BreakerA > 0 {
		parts = append(parts, fmt.Sprintf("%.1f A is %.0f %% of %g A (planned to %.0f %%)", c.CurrentA, c.UsePct, c.BreakerA, d.planPct))
	}
	if why := d.bigger[c.Name]; why != "" {
		parts = append(parts, why)
	}
	if together > 1 {
		parts = append(parts, fmt.Sprintf("%d circuits taken to run together, air at %d °C", together, planAmbientC))
	} else {
		parts = append(parts, fmt.Sprintf("air at %d °C", planAmbientC))
	}
	parts = append(parts, fmt.Sprintf("conductor sized for a run of %.0f m, two standard deviations more", c.LengthM+sizeSigmas*c.SigmaLengthM))
	if assumed {
		parts = append(parts, "panel place assumed at the farthest corner")
	}
	return strings.Join(parts, "; ")
}

// addSpares puts one spare outlet on every hanging line in use, in the middle of
// the widest gap between outlets (beyond the last of a single one), on the
// line's lightest circuit.
func (d *designer) addSpares(cs []Circuit) {
	type spot struct {
		at   geom.Vec
		circ int
	}
	byLine := map[string][]spot{}
	lineOf := map[string]string{}
	for _, u := range d.units {
		lineOf[u.name] = u.Line
	}
	for i := range cs {
		for _, o := range cs[i].Places {
			if len(o.Units) > 0 {
				l := lineOf[o.Units[0]]
				byLine[l] = append(byLine[l], spot{geom.Vec{X: o.X, Y: o.Y, Z: o.Z}, i})
			}
		}
	}
	var names []string
	for n := range byLine {
		if _, ok := d.lines[n]; ok {
			names = append(names, n)
		}
	}
	sort.Strings(names)
	for _, n := range names {
		spots := byLine[n]
		dir := d.lines[n].To.Sub(d.lines[n].From).Unit()
		sort.SliceStable(spots, func(i, j int) bool { return spots[i].at.Dot(dir) < spots[j].at.Dot(dir) })
		light := spots[0].circ
		for _, s := range spots {
			if cs[s.circ].UsePct < cs[light].UsePct {
				light = s.circ
			}
		}
		at := spots[0].at.Add(dir.Scale(outletReach))
		gap := 0.0
		for i := 1; i < len(spots); i++ {
			if g := spots[i].at.Sub(spots[i-1].at).Norm(); g > gap {
				gap, at = g, spots[i-1].at.Lerp(spots[i].at, 0.5)
			}
		}
		cs[light].Places = append(cs[light].Places, Outlet{Name: cs[light].Name + ".spare " + n, X: at.X, Y: at.Y, Z: at.Z, Spare: true})
	}
}
