package electrical

import (
	"fmt"
	"sort"
	"strings"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// standing is one load that runs today.
type standing struct {
	name      string
	load      tally
	va        float64
	interlock string
	sheddable bool
	scenarios []string // none: it runs in all
}

// oldLight is a group of existing lights with its load before and after.
type oldLight struct {
	survey.ExistingLight
	way               string
	count             int
	watts             float64 // all of them
	before, after     tally
	afterW, afterVA   float64
	converts, removed bool
	drivers           int
	leakMA            float64
	lampFlux          float64
	covered           string // standing load that already contains it
}

// today is what hangs on the supply as surveyed.
type today struct {
	standing []standing
	lights   []oldLight
	read     bool // legs were read with the old lights on
}

// assumedLeakMA is taken per driver where the fixture gives no figure.
//
// Source: common practice, 0.5 mA to 1 mA.
const assumedLeakMA = 0.5

func (d *designer) readToday() {
	var t today
	for _, st := range d.Survey.Supply.Standing {
		if d.panelNamed(st.Leg) != nil {
			continue // on one existing circuit: see existingCircuits
		}
		s := standing{name: st.Name, interlock: st.Interlock, sheddable: st.Sheddable, scenarios: trimmed(st.Scenarios)}
		if st.Leg != "" && d.sys.lineIndex(st.Leg) < 0 && d.sys.pairIndex(st.Leg) < 0 {
			d.add(d.Book.New("ELECTRICAL_UNKNOWN_LEG", named(st.Name, "standing load"), finding.Text("leg", st.Leg)))
		}
		switch {
		case st.Current.Set && positive(float64(st.Current.Value)) > 0:
			a := float64(st.Current.Value)
			if i := d.sys.lineIndex(st.Leg); i >= 0 {
				s.load.line[i] = a
			} else if i := d.sys.pairIndex(st.Leg); i >= 0 {
				s.load.pair[i] = a
			} else {
				for i := range d.sys.Lines {
					s.load.line[i] = a
				}
			}
			s.va = a * d.sys.Voltage
			t.read = t.read || !st.Power.Set
		case st.Power.Set:
			s.va = standingVA(st)
			s.load = d.sys.on(st.Leg, s.va)
			if high := d.sys.lineIndex(d.sys.HighLeg); high >= 0 && d.sys.lineIndex(st.Leg) < 0 && d.sys.pairIndex(st.Leg) < 0 {
				// It may be a three-phase load, which the high leg carries as well.
				s.load.line[high] = LineCurrent(s.va, d.sys.VoltageLL)
			}
		}
		t.standing = append(t.standing, s)
	}
	dimmerLeg := map[string]string{}
	for _, dm := range d.Survey.Dimmers {
		dimmerLeg[dm.Channel] = dm.Leg
	}
	for _, e := range d.Survey.ExistingUnit {
		t.lights = append(t.lights, d.oldLight(e, dimmerLeg))
	}
	for i := range t.lights {
		l := &t.lights[i]
		for j := range t.standing {
			if covers(t.standing[j].name, l.ExistingLight) {
				l.covered = t.standing[j].name
				if l.watts == 0 && l.removed {
					// Nobody counted its watts; what was written down goes with it.
					l.watts, l.before = t.standing[j].va, t.standing[j].load
				}
			}
		}
		if !t.read && l.covered == "" {
			t.standing = append(t.standing, standing{name: l.Name, load: l.before, va: l.watts})
		}
	}
	d.today = t
}

// standingVA takes a power factor of 1 where none is given: plates of heaters
// and appliances state watts, and a sum in watts is what the trade compares.
func standingVA(st survey.StandingLoad) float64 {
	pf := st.PF
	if !(pf > 0 && pf <= 1) {
		pf = 1
	}
	return positive(float64(st.Power.Or(0))) / pf
}

// trimmed returns the names without space around them, without empty ones.
func trimmed(names []string) []string {
	var out []string
	for _, n := range names {
		if n = strings.TrimSpace(n); n != "" {
			out = append(out, n)
		}
	}
	return out
}

// covers tells whether a standing load's name holds that of a group of old
// lights, or says "… lights" of its kind.
func covers(name string, l survey.ExistingLight) bool {
	n := strings.ToLower(strings.TrimSpace(name))
	if n == "" {
		return false
	}
	if name := strings.ToLower(strings.TrimSpace(l.Name)); name != "" && strings.Contains(n, name) {
		return true
	}
	kind := strings.ReplaceAll(strings.ToLower(l.Kind), "_", " ")
	return kind != "" && strings.Contains(n, kind) && strings.Contains(n, "light")
}

func (d *designer) oldLight(e survey.ExistingLight, dimmerLeg map[string]string) oldLight {
	l := oldLight{ExistingLight: e, way: e.Leg, count: max(e.Count, 0)}
	if l.way == "" {
		l.way = dimmerLeg[e.Dimmer]
	}
	volts := positive(float64(e.Voltage.Or(0)))
	l.watts = float64(l.count) * positive(float64(e.Watts.Or(0)))
	l.before = d.onVolts(l.way, l.watts, volts)
	l.after, l.afterW, l.afterVA = l.before, l.watts, l.watts
	switch e.Fate {
	case "remove":
		l.removed = true
		l.after, l.afterW, l.afterVA = tally{}, 0, 0
	case "relamp", "replace":
		fx, ok := d.Catalogue.Get(e.LampCode)
		if !ok || positive(float64(fx.Power)) == 0 {
			d.ask("What would the new lamps in "+named(e.Name, "the old lights")+" draw?", "No lamp with a known power was chosen, so no current is given back.")
			break
		}
		l.converts = true
		l.afterW = float64(l.count) * positive(float64(fx.Power))
		l.afterVA = float64(l.count) * ApparentPower(float64(fx.Power), fx.PF)
		l.after = d.onVolts(l.way, l.afterVA, volts)
		l.lampFlux = positive(float64(fx.Flux))
		l.drivers = l.count
		leak := positive(fx.LeakageMA)
		if leak == 0 {
			leak = assumedLeakMA
		}
		l.leakMA = float64(l.count) * leak
	}
	return l
}

// onVolts is System.on at a voltage of the lamps' own where one was surveyed.
func (d *designer) onVolts(way string, va, volts float64) tally {
	if volts == 0 {
		return d.sys.on(way, va)
	}
	if d.sys.pairIndex(way) >= 0 {
		return d.sys.on(way, va*d.sys.VoltageLL/volts)
	}
	return d.sys.on(way, va*d.sys.Voltage/volts)
}

// shedOrder returns the loads that may be switched off, largest first.
func (t today) shedOrder() []standing {
	var out []standing
	for _, s := range t.standing {
		if s.sheddable && s.va > 0 {
			out = append(out, s)
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		if out[i].va != out[j].va {
			return out[i].va > out[j].va
		}
		return out[i].name < out[j].name
	})
	return out
}

// unitLoad is one placed unit as the panel sees it.
type unitLoad struct {
	scheme.Placed
	name      string
	watts, va float64
	inrushA   float64
	leakMA    float64
	vMin      float64
	vMax      float64
	phase     string
}

func (d *designer) unitLoads() []unitLoad {
	var out []unitLoad
	noPF, noPower, noInrush := map[string]bool{}, map[string][]string{}, map[string]bool{}
	for i, u := range d.Placed {
		name := u.ID
		if name == "" {
			name = fmt.Sprintf("unit %d", i+1)
		}
		fx, ok := d.Catalogue.Get(u.Fixture)
		if !ok {
			noPower[u.Fixture] = append(noPower[u.Fixture], name)
			continue
		}
		if fx.Class == catalogue.Lamp {
			continue // sits in an old luminaire on its old wiring
		}
		if positive(float64(fx.Power)) == 0 {
			noPower[u.Fixture] = append(noPower[u.Fixture], name)
		}
		if !(fx.PF > 0 && fx.PF <= 1) {
			noPF[fx.Code] = true
		}
		if positive(fx.InrushA) == 0 {
			noInrush[fx.Code] = true
		}
		l := unitLoad{Placed: u, name: name, watts: positive(float64(fx.Power)), phase: u.Phase,
			va: ApparentPower(float64(fx.Power), fx.PF), inrushA: positive(fx.InrushA), leakMA: positive(fx.LeakageMA),
			vMin: positive(float64(fx.VoltageMin)), vMax: positive(float64(fx.VoltageMax))}
		if l.leakMA == 0 {
			l.leakMA = assumedLeakMA
		}
		if l.phase == "" {
			l.phase = "A"
		}
		if !finite(u.At.X) || !finite(u.At.Y) || !finite(u.At.Z) {
			l.At.X, l.At.Y, l.At.Z = 0, 0, 0
		}
		out = append(out, l)
	}
	var unknown []string
	for c := range noPower {
		unknown = append(unknown, c)
	}
	sort.Strings(unknown)
	for _, c := range unknown {
		d.add(d.Book.New("ELECTRICAL_FIXTURE_UNKNOWN", "fixture "+named(c, "without code"), finding.Text("units", strings.Join(noPower[c], ", "))))
	}
	if len(noInrush) > 0 {
		d.ask("How high and how long is the inrush of "+strings.Join(sortedKeys(noInrush), ", ")+", and how many may one breaker of each type carry, by the maker?",
			fmt.Sprintf("None is given; not more than %d drivers were put on a circuit.", maxDrivers))
	}
	codes := sortedKeys(noPF)
	for _, c := range codes {
		d.ask("What is the power factor of "+c+"?", fmt.Sprintf("None is given; %.1f was taken.", assumedPF))
	}
	return out
}

func named(name, otherwise string) string {
	if name == "" {
		return otherwise
	}
	return name
}

func sortedKeys(m map[string]bool) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}
