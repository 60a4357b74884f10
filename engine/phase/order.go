package phase

import (
	"sort"
	"strings"
	"time"

	"roodbeam/engine/finding"
)

// undatedZero is the Monday on which an undated plan is laid out inside.
var undatedZero = time.Date(2001, time.January, 1, 0, 0, 0, 0, time.UTC)

// Order returns the tasks of a project by install phase, with what each waits
// for, its days, dates and slack, round the church's services and closed spans;
// the gates; and the volunteers' job cards. Waiting starts today, work in the
// room on the first day the calendar allows. A design without any phase gives an
// empty plan; without any date the dates are zero.
func Order(in Input) (Plan, []finding.Finding) {
	var plan Plan
	items := build(in)
	if len(items) == 0 {
		return plan, nil
	}
	cal := project(in, &plan)
	nodes := make([]node, len(items))
	for i, it := range items {
		nodes[i] = node{id: itemID(it), needs: itemNeeds(it), units: it.slots, open: cal.open(it.kind)}
	}
	order := make([]int, len(nodes)) // build lists everything after what it needs
	for i := range order {
		order[i] = i
	}
	timing, _, unplaced := schedule(nodes, order, 0)
	lost := map[int]bool{}
	for _, i := range unplaced {
		lost[i] = true
		plan.Unplaced = append(plan.Unplaced, nodes[i].id)
	}
	sort.Strings(plan.Unplaced)
	last := 0
	for _, i := range order {
		it, t := items[i], timing[i]
		if it.gate != nil {
			gate := *it.gate
			gate.Earliest = cal.date(lastSlot(t))
			gate.Unnamed = unnamed(gate.ID, in)
			plan.Gates = append(plan.Gates, gate)
			continue
		}
		task := it.task
		task.Days = float64(it.slots) / perDay(it.kind)
		task.SlackDays = float64(t.TF) / perDay(it.kind)
		task.Critical = t.TF == 0 && !lost[i]
		task.Start, task.End = cal.date(t.ES), cal.date(lastSlot(t))
		if it.site {
			task.Services = cal.servicesBetween(t.ES, t.EF)
			task.Sunday = task.Services > 0
		}
		if task.Critical {
			plan.Critical = append(plan.Critical, task.ID)
		}
		plan.Tasks = append(plan.Tasks, task)
		last = max(last, t.EF)
	}
	plan.Finish = cal.date(last - 1)
	if plan.Undated {
		undate(&plan)
	}
	plan.Ready = ready
	plan.Jobs = jobs(in)
	if in.Book == nil {
		return plan, nil
	}
	return plan, findings(in, plan)
}

// project sets up the calendar from the dates given.
func project(in Input, plan *Plan) calendar {
	zero := in.Today
	start := in.Brief.Calendar.Start
	switch {
	case zero.IsZero() && start.IsZero():
		zero, plan.Undated = undatedZero, true
	case zero.IsZero():
		zero = start
	}
	cal := newCalendar(zero, in.Brief.Calendar)
	if !start.IsZero() {
		days := day(start).Sub(cal.zero).Hours() / 24
		if days > 0 && days < horizonSlots/slotsPerDay {
			cal.firstDay = int(days)
		}
	}
	return cal
}

func undate(p *Plan) {
	p.Finish = time.Time{}
	for i := range p.Tasks {
		p.Tasks[i].Start, p.Tasks[i].End = time.Time{}, time.Time{}
	}
	for i := range p.Gates {
		p.Gates[i].Earliest = time.Time{}
	}
}

func itemID(it item) string {
	if it.gate != nil {
		return it.gate.ID
	}
	return it.task.ID
}

func itemNeeds(it item) []string {
	if it.gate != nil {
		return it.gate.Needs
	}
	return it.task.Needs
}

// lastSlot is the slot in which an item ends; for one without duration, the
// slot before which it happens.
func lastSlot(t Timing) int {
	if t.EF > t.ES {
		return t.EF - 1
	}
	return max(t.EF-1, 0)
}

// perDay is how many slots of a kind make one working day.
func perDay(k kind) float64 {
	if k == dark || k == service {
		return 1
	}
	return 2
}

// unnamed tells whether a gate of one of the three trades has no person yet.
func unnamed(id string, in Input) bool {
	p := in.Brief.People
	switch {
	case id == "gate.engineer":
		return p.Engineer == ""
	case strings.HasPrefix(id, "gate.rigger."):
		return p.Rigger == ""
	case strings.HasPrefix(id, "gate.permit."), strings.HasPrefix(id, "gate.electrical."):
		return p.Electrician == ""
	}
	return false
}

// ready is gone through before each service inside the works (common practice).
var ready = []string{
	"no open boxes, no loose wires, no tools overhead",
	"lift parked, lowered, keys out; tower locked",
	"cables covered or up; floor swept",
	"exits and aisles clear",
	"emergency and exit lights tested",
	"a house-light look is there and somebody knows its switch",
	"alarm back in service, its contractor told",
	"seating that was taken up is back or the place is closed off",
}

// findings says what about the order somebody must decide.
func findings(in Input, p Plan) []finding.Finding {
	var out []finding.Finding
	b := in.Book
	add := func(code, subject string, args ...finding.Arg) { out = append(out, b.New(code, subject, args...)) }
	if p.Undated {
		add("PHASE_NO_START", "phase plan")
	}
	missing := map[string][]string{}
	for _, g := range p.Gates {
		if g.Unnamed {
			missing[g.Who] = append(missing[g.Who], g.Name)
		}
	}
	for _, who := range sortedKeys(missing) {
		add("PHASE_GATE_UNNAMED", strings.TrimSuffix(who, ", inspector"), finding.Text("gates", strings.Join(unique(missing[who]), ", ")))
	}
	over := map[string][]string{}
	count := map[string]int{}
	for _, t := range p.Tasks {
		if t.Sunday {
			over[t.Phase] = append(over[t.Phase], t.Name)
			count[t.Phase] += t.Services
		}
	}
	for _, ph := range sortedKeys(over) {
		add("PHASE_SERVICE_INSIDE", "phase "+ph, finding.Text("tasks", strings.Join(over[ph], "; ")), finding.CountOf("services", count[ph]), finding.Text("list", strings.Join(ready, "; ")))
	}
	for _, id := range p.Unplaced {
		add("PHASE_NO_ROOM", "task "+id)
	}
	names, first := IsolateFirst(in)
	if first {
		add("PHASE_ISOLATE_FIRST", strings.Join(names, ", "), finding.Text("step", worstStep(in)))
	} else if s := worstStep(in); s != "" {
		add("PHASE_LOAD_STEP", "step "+s)
	}
	if len(p.Tasks) > 0 {
		if f, hit := b.Check("PHASE_OPERATORS", in.Region, "operators", float64(in.Brief.People.Operators)); hit {
			out = append(out, f)
		}
	}
	finding.Sort(out)
	return dedupe(out)
}

// worstStep names the first moment after today at which a leg is over its limit.
func worstStep(in Input) string {
	for i, s := range in.Load.Steps {
		if !s.Allowed && (i > 0 || len(in.Load.Steps) == 1) {
			return s.Name
		}
	}
	return ""
}

func unique(ss []string) []string {
	seen := map[string]bool{}
	var out []string
	for _, s := range ss {
		if !seen[s] {
			seen[s] = true
			out = append(out, s)
		}
	}
	return out
}

func sortedKeys[V any](m map[string]V) []string {
	ks := make([]string, 0, len(m))
	for k := range m {
		ks = append(ks, k)
	}
	sort.Strings(ks)
	return ks
}

func dedupe(fs []finding.Finding) []finding.Finding {
	seen := map[string]bool{}
	out := fs[:0]
	for _, f := range fs {
		if !seen[f.Key] {
			seen[f.Key] = true
			out = append(out, f)
		}
	}
	return out
}
