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
	// The snag reviews come a month after the hand-overs and hold up nothing:
	// they are placed after the network is solved.
	var main, snags []item
	for _, it := range items {
		if strings.HasSuffix(it.task.ID, ".snag") {
			snags = append(snags, it)
		} else {
			main = append(main, it)
		}
	}
	nodes := make([]node, len(main))
	order := make([]int, len(main)) // build lists everything after what it needs
	for i, it := range main {
		nodes[i] = node{id: itemID(it), needs: itemNeeds(it), units: it.slots, open: cal.open(it.kind)}
		order[i] = i
	}
	timing, finish, unplaced := schedule(nodes, order, 0)
	lost := map[int]bool{}
	for _, i := range unplaced {
		lost[i] = true
		plan.Unplaced = append(plan.Unplaced, nodes[i].id)
	}
	sort.Strings(plan.Unplaced)
	drives := driving(nodes, timing, finish)
	ends := map[string]int{}
	for i, it := range main {
		ends[itemID(it)] = timing[i].EF
		if it.gate != nil {
			gate := *it.gate
			gate.Earliest = cal.date(lastSlot(timing[i]))
			gate.Unnamed = unnamed(gate.ID, in)
			plan.Gates = append(plan.Gates, gate)
			continue
		}
		t := dated(it, timing[i], cal)
		t.Critical = drives[i] && !lost[i]
		if t.Critical {
			plan.Critical = append(plan.Critical, t.ID)
		}
		plan.Tasks = append(plan.Tasks, t)
	}
	for _, it := range snags {
		at := 0
		for _, n := range it.task.Needs {
			at = max(at, ends[n])
		}
		n := node{units: it.slots, open: cal.open(it.kind)}
		es, ef, _ := forward(n, at)
		plan.Tasks = append(plan.Tasks, dated(it, Timing{ES: es, EF: ef, LS: es, LF: ef}, cal))
	}
	sortByPhase(plan.Tasks)
	plan.Finish = cal.date(max(finish-1, 0))
	plan.Windows = windows(main, timing, cal)
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

// dated turns an item's slots into days.
func dated(it item, t Timing, cal calendar) Task {
	task := it.task
	task.Days = float64(it.slots) / perDay(it.kind)
	task.SlackDays = float64(t.TF) / perDay(it.kind)
	task.Start, task.End = cal.date(t.ES), cal.date(lastSlot(t))
	if it.site {
		task.Services = cal.servicesBetween(t.ES, t.EF)
		task.Sunday = task.Services > 0
	}
	return task
}

// sortByPhase puts the snag reviews back behind their phase.
func sortByPhase(ts []Task) {
	sort.SliceStable(ts, func(i, j int) bool {
		if (ts[i].Phase == "") != (ts[j].Phase == "") {
			return ts[i].Phase == ""
		}
		return ts[i].Phase < ts[j].Phase
	})
}

// driving marks the nodes on the chain that drives the finish: from the last
// ones back to what each waited for longest, as long as a week's delay of that
// would have delayed it. A float of zero would not do here: in front of a
// service that comes once a week every task has some days to spare.
func driving(nodes []node, t []Timing, finish int) []bool {
	index := make(map[string]int, len(nodes))
	for i, n := range nodes {
		index[n.id] = i
	}
	out := make([]bool, len(nodes))
	for i := range nodes {
		out[i] = t[i].EF == finish
	}
	for i := len(nodes) - 1; i >= 0; i-- {
		if !out[i] {
			continue
		}
		last := -1
		for _, need := range nodes[i].needs {
			if j, ok := index[need]; ok {
				last = max(last, t[j].EF)
			}
		}
		for _, need := range nodes[i].needs {
			j, ok := index[need]
			if !ok || t[j].EF != last {
				continue
			}
			if es, _, _ := forward(nodes[i], last+7*slotsPerDay); es > t[i].ES {
				out[j] = true
			}
		}
	}
	return out
}

// windows returns the window of each install phase with work in the room.
func windows(items []item, t []Timing, cal calendar) []Window {
	type span struct{ from, to int }
	spans := map[string]span{}
	for i, it := range items {
		id := it.task.ID
		if it.gate != nil || !it.site || strings.HasSuffix(id, ".prepare") || strings.HasSuffix(id, ".train") || strings.HasSuffix(id, ".handover") || strings.Contains(id, ".work") {
			continue
		}
		s, ok := spans[it.task.Phase]
		if !ok || t[i].ES < s.from {
			s.from = t[i].ES
		}
		s.to = max(s.to, t[i].EF)
		spans[it.task.Phase] = s
	}
	var out []Window
	for _, p := range sortedKeys(spans) {
		s := spans[p]
		out = append(out, Window{Phase: p, From: cal.date(s.from), To: cal.date(max(s.to-1, 0)), Services: cal.servicesBetween(s.from, s.to)})
	}
	return out
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
	for i := range p.Windows {
		p.Windows[i].From, p.Windows[i].To = time.Time{}, time.Time{}
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
			who := strings.TrimSuffix(g.Who, ", inspector")
			missing[who] = append(missing[who], g.Name)
		}
	}
	for _, who := range sortedKeys(missing) {
		add("PHASE_GATE_UNNAMED", who, finding.Text("gates", strings.Join(unique(missing[who]), ", ")))
	}
	for _, w := range p.Windows {
		if w.Services == 0 {
			continue
		}
		var names []string
		for _, t := range p.Tasks {
			if t.Phase == w.Phase && t.Sunday && !strings.HasSuffix(t.ID, ".train") {
				names = append(names, t.Name)
			}
		}
		if len(names) == 0 {
			names = []string{"access equipment and open works stay in the room between two tasks"}
		}
		add("PHASE_SERVICE_INSIDE", "phase "+w.Phase, finding.Text("tasks", strings.Join(names, "; ")), finding.CountOf("services", w.Services), finding.Text("list", strings.Join(ready, "; ")))
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
