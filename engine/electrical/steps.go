package electrical

import (
	"math"
	"slices"
	"sort"
	"strings"

	"roodbeam/engine/finding"
)

// moment is one moment of the works: what it adds to the loads that run besides,
// less what is gone by then.
type moment struct {
	name  string
	delta tally
	aside bool // a comparison, no moment of the works as phased
}

// works is the load through the works.
type works struct {
	moments []moment
	removed []string // lights that are taken out
	end     tally    // what the last moment adds
}

// works follows the works: every new circuit from its phase on, every old light
// until its own phase has taken it out, old house lamps until they are changed.
// While a phase goes on only what was done before it is credited, and of its own
// work the old lights that are dead before anything new comes on.
func (d *designer) works(cs []Circuit) works {
	newOn := func(upTo string) tally {
		var t tally
		for _, c := range cs {
			if !c.Existing && (upTo == "" || c.Phase <= upTo) {
				t = t.plus(d.sys.on(c.Leg, c.ConnectedVA))
			}
		}
		return t
	}
	phases := d.phases(cs)
	var w works
	var removed, house tally
	out := map[string]tally{} // what goes, by phase
	gone := map[string]bool{} // phases that take something out
	converts := false
	for _, l := range d.today.lights {
		change := l.before.minus(l.after)
		if l.removed {
			removed = removed.plus(change)
			w.removed = append(w.removed, named(l.Name, l.Kind))
			ph := l.Phase
			if ph == "" && len(phases) > 0 {
				ph = phases[0]
			}
			out[ph], gone[ph] = out[ph].plus(change), true
		} else if l.converts {
			house = house.plus(change)
			converts = true
		}
	}
	put := func(name string, t tally) { w.moments = append(w.moments, moment{name: name, delta: t}) }
	aside := func(name string, t tally) {
		w.moments = append(w.moments, moment{name, t, len(phases) > 0})
	}
	put("today", tally{})
	if len(cs) > 0 {
		aside("all new on, nothing removed", newOn(""))
	}
	if len(w.removed) > 0 {
		aside("old lights out first, all new on", newOn("").minus(removed))
	}
	var done tally // credited so far
	var on tally   // new, of the phases before
	houseDone := false
	for i, ph := range phases {
		if gone[ph] {
			done = done.plus(out[ph])
			name := "during phase " + ph + ", old lights isolated, nothing new on"
			if i > 0 {
				name = "during phase " + ph + ", its old lights isolated, its new ones not on"
			}
			put(name, on.minus(done))
		}
		on = newOn(ph)
		name := "after phase " + ph
		if converts && d.Scheme.HouseStep == ph {
			put("during phase "+ph+", new on, old house lamps still in", on.minus(done))
			done, houseDone = done.plus(house), true
			name += ", house job"
		}
		put(name, on.minus(done))
	}
	if len(phases) == 0 {
		done = done.plus(removed)
	}
	if converts && !houseDone {
		done = done.plus(house)
		put("after the house job", newOn("").minus(done))
	}
	w.end = w.moments[len(w.moments)-1].delta
	return w
}

// steps follows every leg through the works, each at its highest of all scenarios.
func (d *designer) steps(cs []Circuit) []Step {
	w := d.works(cs)
	var out []Step
	for _, m := range w.moments {
		st := d.step(m.name, m.delta, nil)
		st.Aside = m.aside
		out = append(out, st)
	}
	d.removeFirst(out, w.removed)
	planned := out
	if len(cs) > 0 {
		// Everything new with nothing removed is no moment of the works once these
		// are phased; where old lights must go first removeFirst speaks of it.
		planned = append([]Step{out[0]}, out[2:]...)
	}
	d.legFindings(planned)
	return append(out, d.shedSteps(out[len(out)-1], w.end)...)
}

// phases returns the install phases in which circuits come on, old lights go or
// the house lights are converted, in order of their names.
func (d *designer) phases(cs []Circuit) []string {
	var out []string
	for _, c := range cs {
		out = append(out, c.Phase)
	}
	if len(out) > 0 {
		out = append(out, d.Scheme.HouseStep)
		for _, l := range d.today.lights {
			if l.removed {
				out = append(out, l.Phase)
			}
		}
	}
	sort.Strings(out)
	return slices.DeleteFunc(slices.Compact(out), func(p string) bool { return p == "" })
}

// step is the load of each leg at one moment, at its highest of all scenarios; off
// names standing loads that are switched off.
func (d *designer) step(name string, delta tally, off map[string]bool) Step {
	var states []tally
	for _, s := range d.today.seasons() {
		states = append(states, d.today.running(s, off))
	}
	return d.stepOf(name, delta, states)
}

func (d *designer) stepOf(name string, delta tally, states []tally) Step {
	s := Step{Name: name, Allowed: d.limit() > 0}
	cur := make([]float64, len(d.sys.Lines))
	worst := -1.0
	for _, t := range states {
		c := d.sys.current(t.plus(delta))
		for i, a := range c {
			cur[i] = math.Max(cur[i], a)
		}
		if top := slices.Max(c); top > worst {
			worst, s.ImbalancePct = top, ImbalancePct(c...)
		}
	}
	for i, a := range cur {
		s.Legs = append(s.Legs, Leg{d.sys.Lines[i], a, d.limit()})
		if !(a <= d.limit()*(1+1e-9)) {
			s.Allowed = false
		}
	}
	return s
}

// heaviestState is what runs in the scenario with the highest leg.
func (d *designer) heaviestState() tally {
	var best tally
	worst := -1.0
	for _, s := range d.today.seasons() {
		t := d.today.running(s, nil)
		if top := slices.Max(d.sys.current(t)); top > worst {
			best, worst = t, top
		}
	}
	return best
}

// seasons returns the surveyed scenarios by name; one without a name, which is all
// there is, where none was surveyed.
func (t today) seasons() []string {
	var out []string
	for _, s := range t.standing {
		out = append(out, s.scenarios...)
	}
	sort.Strings(out)
	if out = slices.Compact(out); len(out) == 0 {
		return []string{""}
	}
	return out
}

// in tells whether a standing load runs in the scenario.
func (s standing) in(season string) bool {
	return len(s.scenarios) == 0 || slices.Contains(s.scenarios, season)
}

// running sums what runs in a scenario, less what is switched off. Of an interlock
// group one member runs at a time: every line has the highest that any of them
// puts on it.
func (t today) running(season string, off map[string]bool) tally {
	var sum tally
	groups := map[string]tally{}
	for _, s := range t.standing {
		switch {
		case off[s.name] || !s.in(season):
		case s.interlock == "":
			sum = sum.plus(s.load)
		default:
			groups[s.interlock] = groups[s.interlock].highest(s.load)
		}
	}
	for _, g := range sortedNames(groups) {
		sum = sum.plus(groups[g])
	}
	return sum
}

func sortedNames(m map[string]tally) []string {
	var out []string
	for n := range m {
		out = append(out, n)
	}
	sort.Strings(out)
	return out
}

func (t tally) highest(u tally) tally {
	for i := range t.line {
		t.line[i] = math.Max(t.line[i], u.line[i])
		t.pair[i] = math.Max(t.pair[i], u.pair[i])
	}
	return t
}

// scenarios repeats the works for each surveyed scenario, for a time when none of
// them is on, for each load of an interlock group in turn, and with everything off
// that may be switched off; none where nothing surveyed differs.
func (d *designer) scenarios(cs []Circuit) []Scenario {
	w := d.works(cs)
	var out []Scenario
	seen := map[string]bool{}
	put := func(name, season string, off map[string]bool) {
		if seen[name] {
			return
		}
		seen[name] = true
		s := Scenario{Name: name}
		for _, l := range d.today.standing {
			if off[l.name] || !l.in(season) {
				s.Off = append(s.Off, l.name)
			} else {
				s.Runs = append(s.Runs, l.name)
			}
		}
		state := []tally{d.today.running(season, off)}
		for _, m := range w.moments {
			st := d.stepOf(m.name, m.delta, state)
			st.Aside = m.aside
			s.Steps = append(s.Steps, st)
		}
		out = append(out, s)
	}
	seasons := d.today.seasons()
	if seasons[0] == "" {
		put("everything that may run at once", "", nil)
	}
	shed := map[string]bool{}
	for _, l := range d.today.shedOrder() {
		shed[l.name] = true
	}
	for _, s := range seasons {
		if s != "" {
			put(s, s, nil)
		}
	}
	if seasons[0] != "" {
		// No load runs in a scenario of no name but those that run in all.
		put("neither "+strings.Join(seasons, " nor "), "", nil)
		if len(seasons) == 1 {
			out[len(out)-1].Name = "outside " + seasons[0]
		}
	}
	for _, s := range seasons {
		for _, l := range d.today.standing {
			if l.interlock == "" || !l.in(s) {
				continue
			}
			off := map[string]bool{}
			for _, o := range d.today.standing {
				if o.interlock == l.interlock && o.name != l.name && o.in(s) {
					off[o.name] = true
				}
			}
			if len(off) > 0 {
				put(strings.TrimPrefix(s+", of "+l.interlock+" "+l.name, ", "), s, off)
			}
		}
		if len(shed) > 0 {
			put(strings.TrimPrefix(s+", all that may be switched off is off", ", "), s, shed)
		}
	}
	if len(out) < 2 {
		return nil
	}
	return out
}

// shedSteps repeats the last step with loads switched off, largest first, until
// it is within the limit or none is left. end is what the last step adds.
func (d *designer) shedSteps(last Step, end tally) []Step {
	var out []Step
	if d.limit() == 0 {
		return nil
	}
	off := map[string]bool{}
	var names []string
	if last.Allowed {
		// Nothing has to go off; what the service could do without is shown all the same.
		for _, s := range d.today.shedOrder() {
			off[s.name] = true
			names = append(names, s.name)
		}
		if len(names) > 0 {
			out = append(out, d.step(last.Name+", with "+strings.Join(names, " and ")+" off", end, off))
		}
		return out
	}
	for _, s := range d.today.shedOrder() {
		off[s.name] = true
		names = append(names, s.name)
		st := d.step(last.Name+", without "+strings.Join(names, " and "), end, off)
		out = append(out, st)
		if st.Allowed {
			h := heaviest(st)
			f := d.Book.New("ELECTRICAL_SHED_SCENARIO", strings.Join(names, ", "), finding.Text("step", last.Name),
				finding.Text("shed", strings.Join(names, ", ")), finding.Num("current", h.CurrentA, "A"))
			d.add(measured(f, h.CurrentA, h.LimitA))
			return out
		}
	}
	return out
}
