package phase

import (
	"fmt"
	"slices"
	"strings"

	"roodbeam/engine/cost"
	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// item is a task or a gate before it has dates.
type item struct {
	task  Task
	gate  *Gate
	kind  kind
	slots int
	site  bool // people work in the room
}

// builder collects the network of one project.
type builder struct {
	in    Input
	q     cost.Input
	items []item
	has   map[string]bool
	// isolated are the old lights that a task isolates, by name.
	isolated map[string]bool
}

func (b *builder) task(id, name, ph, by string, k kind, slots int, hours float64, needs []string, cautions ...string) {
	t := Task{ID: id, Name: name, Phase: ph, Needs: b.present(needs), By: by, Hours: hours, Cautions: cautions,
		Evening: k == dark, Volunteers: by == "volunteers"}
	b.items = append(b.items, item{task: t, kind: k, slots: slots, site: k == trades || k == volunteers || k == dark})
	b.has[id] = true
}

func (b *builder) gate(id, name, ph, who, why string, needs ...string) {
	g := &Gate{ID: id, Name: name, Who: who, Why: why, Phase: ph, Needs: b.present(needs)}
	b.items = append(b.items, item{gate: g, kind: office})
	b.has[id] = true
}

// present keeps the needs that exist in this project, each once.
func (b *builder) present(needs []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, n := range needs {
		if b.has[n] && !seen[n] {
			seen[n] = true
			out = append(out, n)
		}
	}
	return out
}

// build lists the tasks and gates that apply to this project, each after what
// it needs.
func build(in Input) []item {
	b := &builder{in: in, q: in.quantities(), has: map[string]bool{}, isolated: map[string]bool{}}
	phases := cost.PhaseNames(b.q)
	if len(phases) == 0 {
		return nil
	}
	b.checks()
	prev := ""
	for _, p := range phases {
		b.install(p, prev)
		prev = p
	}
	return b.items
}

// stops counts the open stops that one trade owns: a gate names those of its own
// signers, for nobody else clears them.
func (b *builder) stops(owner finding.Owner) int {
	n := 0
	for _, f := range b.in.Findings {
		if f.Severity == finding.Stop && f.Owner == owner {
			n++
		}
	}
	return n
}

func withStops(text string, n int) string {
	if n == 0 {
		return text
	}
	return fmt.Sprintf("%s; open stop findings of this trade: %d", text, n)
}

// checks are the answers from outside that the design waits for.
func (b *builder) checks() {
	in, site := b.in, b.in.Survey.Site
	if len(in.Load.Circuits) > 0 || in.Scheme.HouseStep != "" {
		b.task("pre.electrician", "Electrician sees panel, routes and old dimmers and quotes", "", "electrician", office, 2*electricianVisitDays, 4, nil,
			"Covers are opened by the electrician only.", "Send the list of questions before the visit.")
	}
	if cost.NeedsEngineer(b.q) {
		if !cost.EngineerSeen(b.q) {
			b.task("pre.engineer", "Structural engineer visits and writes the letter", "", "engineer", office, 2*engineerDays, 8, nil,
				"Nothing is hung, drilled or clamped before the letter.")
		}
		b.gate("gate.engineer", "Structure may carry what is planned", "", named(in.Brief.People.Engineer, "structural engineer"),
			withStops("every hanging line with its loads is approved in writing", b.stops(finding.Engineer)), "pre.engineer")
	}
	if site.Protected == "listed" || site.Protected == "worth_preserving" || in.Brief.Limits.Heritage != "" || site.Lease != "" {
		b.task("pre.heritage", "Heritage body or landlord answers", "", "leadership", office, 2*heritageDays, 6, nil,
			"Buy nothing that hangs before the answer: a refusal in week ten changes the places.")
		b.gate("gate.heritage", "Heritage body or landlord permits", "", "heritage body or landlord", "fixings, cable routes and fittings are permitted in writing", "pre.heritage")
	}
	if cost.NeedsAsbestos(b.q) {
		b.task("pre.asbestos", "Asbestos inspection of what will be drilled or opened", "", "inspector", office, 2*asbestosDays, 4, nil,
			"Stop work where a suspect material shows; nobody takes samples but the inspector.")
		b.gate("gate.asbestos", "Result of the asbestos inspection is in the file", "", "hazardous-materials inspector",
			withStops("no drilling, pockets or ceiling work before it", b.stops(finding.Hazards)), "pre.asbestos")
	}
	if b.fire() {
		b.task("pre.fire", "Fire officer and alarm contractor are asked", "", "leadership", office, 2*fireOfficerDays, 2, nil,
			"Haze, dust of drilling and open flame concern the alarm; only its contractor mutes a detector.")
		b.gate("gate.fire", "Fire officer and alarm contractor agree", "", "local fire officer, fire-alarm contractor",
			withStops("haze, dust, open flame, emergency override", b.stops(finding.FireAlarm)), "pre.fire")
	}
	b.task("pre.quotes", "Quotes from the same sheets to all", "", "project manager", office, 2*quoteDays, 4, []string{"pre.electrician"},
		"Compare like with like; note what each quote leaves out.")
}

func (b *builder) fire() bool {
	switch b.in.Survey.Site.Detectors {
	case "smoke", "beam", "aspirating":
		return true
	}
	for _, l := range b.in.Brief.Looks {
		if l.Flame {
			return true
		}
	}
	return b.in.Brief.Limits.Haze == "asked"
}

// IsolateFirst tells whether old lights must be isolated before any new circuit
// is energised: some moment of the works passes what the supply allows, and old
// lights are to go. names are those lights.
func IsolateFirst(in Input) (names []string, first bool) {
	over := false
	for i, s := range in.Load.Steps {
		if !s.Allowed && (i > 0 || len(in.Load.Steps) == 1) {
			over = true
		}
	}
	if !over {
		return nil, false
	}
	for _, e := range in.Survey.ExistingUnit {
		if e.Fate == "remove" && e.Count > 0 {
			names = append(names, e.Name)
		}
	}
	return names, len(names) > 0
}

// install lists one install phase.
func (b *builder) install(p, prev string) {
	in := b.in
	id := func(s string) string { return p + "." + s }
	g := func(s string) string { return "gate." + s + "." + p }
	l := cost.LabourOf(b.q, p)
	circuits, outlets := 0, 0
	for _, c := range in.Load.Circuits {
		if cost.CircuitPhase(b.q, c) == p {
			circuits++
			outlets += len(c.Places)
		}
	}
	house := in.Scheme.HouseStep == p
	hangs := l.Units > 0 || l.PipeHours > 0
	board := "vote on money"
	for _, ph := range in.Estimate.Phases {
		if ph.Name == p {
			board = "vote on " + si.FormatMoney(ph.WithContingency.Likely, in.Estimate.Currency) + " with contingency"
		}
	}
	b.task(id("approval"), "Leadership decides on phase "+p, p, "leadership", office, 2*approvalDays, 2, []string{"pre.quotes", "gate.handover." + prev},
		"Say what is not included, and what is still unknown.")
	b.gate(g("board"), "Leadership approves phase "+p, p, "board or treasurer", board, id("approval"))
	order := []string{"Check voltage and plug of every item against the survey.", "Order spares and small parts with the first order."}
	if o := in.Estimate.Offer; o != nil && o.Into == p {
		order = append(order, "Order what comes forward from phase "+o.From+" only after the engineer's letter and the electrician's visit.")
	}
	b.task(id("order"), "Orders and lead times", p, "project manager", office, 2*orderDays, 4, []string{g("board"), "gate.engineer", "gate.heritage"}, order...)
	electrical := circuits > 0 || house
	if electrical {
		b.task(id("permit"), "Electrical permit", p, "electrician", office, 2*permitDays, 2, []string{g("board"), "pre.electrician"},
			"The electrician files it under the local code; ask what the inspector wants to see open.")
		b.gate(g("permit"), "Permit and approvals in hand", p, named(in.Brief.People.Electrician, "licensed electrician"), "no mains work before it", id("permit"), "gate.heritage")
	}
	b.task(id("prepare"), "Clear the electrical room, cover valuables, mark the ways", p, "volunteers", volunteers, 2, cost.CleanHours, []string{g("board"), "gate.asbestos"},
		"Move nothing that is wired. Leave covers closed.", "Keep exits clear.")
	if circuits > 0 {
		b.electricalTasks(p, circuits, outlets, l, id, g)
	}
	if l.Drops > 0 {
		b.task(id("data"), dataName(l.Drops, prev == ""), p, "rigger", trades, halfDays(l.DataHours, 2), l.DataHours,
			[]string{id("electrical"), id("order"), id("prepare"), g("board")}, "Keep off mains routes.", "Label both ends; test before closing.", "One terminator at the end of every branch.")
	}
	if hangs {
		b.hangingTasks(p, l, id, g)
	}
	if house {
		b.houseTasks(p, l, id, g)
	}
	b.works(p, id, g)
	if !hangs && !house && circuits == 0 {
		b.gate("gate.handover."+p, "Leadership accepts phase "+p, p, "board", "what was bought is there", b.worksOf(p)...)
		return
	}
	b.task(id("levels"), "Levels, looks, wall panel", p, "designer", trades, 2, 6, []string{id("focus"), id("house"), g("electrical"), id("address")},
		"Leadership sees every look from the seats.", "A hand on the control always wins over what other programs call.")
	b.task(id("test"), "Test and record", p, "project manager", trades, 1, 4, append([]string{id("levels"), id("liftout")}, b.worksOf(p)...),
		"Measured amperes, light at the faces, screens, flicker on each camera.", "Pull each data branch in turn; switch the computer off; let the alarm call the emergency lights.")
	b.gate(g("commission"), "Test record signed", p, "project manager and "+named(in.Brief.People.Electrician, "licensed electrician"),
		withStops("measured values are in the record", b.stops(finding.Electrician)), id("test"), "gate.fire")
	b.task(id("train"), "Training, then a rehearsal with faults", p, "designer", dark, 2, 6, []string{g("commission")}, "Three people run the service alone before the last evening ends.")
	b.task(id("live"), "First service with somebody standing by", p, "operators", service, 1, 3, []string{id("train")}, "Keep the old switches in reach for two weeks.")
	b.task(id("handover"), "Hand-over file, labels, as-built drawings", p, "project manager", volunteers, 2, 6, []string{id("live")},
		"What was built differs from what was drawn: enter it now.", "Two people hold the file and know where passwords are kept.")
	b.gate("gate.handover."+p, "Leadership accepts phase "+p, p, "board", "as-built file, trained people, spares on the shelf", id("handover"))
	b.task(id("snag"), "Snag review after a month of use", p, "project manager", office, 2*snagDays, 4, []string{"gate.handover." + p},
		"Tighten, re-aim, look at every secondary suspension.")
}

func (b *builder) electricalTasks(p string, circuits, outlets int, l cost.Labour, id, g func(string) string) {
	b.task(id("electrical"), fmt.Sprintf("Electrical work: %s, %s at the lines", count(circuits, "circuit"), count(max(outlets, circuits), "outlet")), p, "electrician", trades,
		halfDays(l.ElectricalHours, 2), l.ElectricalHours, []string{g("permit"), id("order"), id("prepare"), "gate.asbestos"},
		"Licensed electrician under the local code; isolate and lock before work.", "Emergency lights stay alive; temporary light for services in between.")
	needs := []string{id("electrical")}
	if names := b.isolateIn(p); len(names) > 0 {
		b.task(id("isolate"), "Isolate for good: "+strings.Join(names, ", "), p, "electrician", trades, 1, 2, []string{id("electrical")},
			"Before any new circuit is energised: old and new together pass what the supply allows.", "Other old lights stay usable until the new ones run.")
	}
	for _, it := range b.items {
		if strings.HasSuffix(it.task.ID, ".isolate") {
			needs = append(needs, it.task.ID)
		}
	}
	b.task(id("energise"), "Test and energise the new circuits", p, "electrician", trades, 1, 3, needs, "Nothing is switched on before the test values are written down.")
	b.gate(g("electrical"), "Electrical test certificate", p, named(b.in.Brief.People.Electrician, "licensed electrician")+", inspector",
		withStops("insulation, polarity, earth, protection are measured", b.stops(finding.Electrician)), id("energise"))
}

// isolateIn names the old lights that must be isolated in an install phase: those of
// it and of phases before, and in the first those of no phase, that no task isolates
// yet.
func (b *builder) isolateIn(p string) []string {
	all, first := IsolateFirst(b.in)
	if !first {
		return nil
	}
	var names []string
	for _, e := range b.in.Survey.ExistingUnit {
		if e.Fate == "remove" && e.Count > 0 && e.Phase <= p && slices.Contains(all, e.Name) && !b.isolated[e.Name] {
			b.isolated[e.Name] = true
			names = append(names, e.Name)
		}
	}
	return names
}

func (b *builder) hangingTasks(p string, l cost.Labour, id, g func(string) string) {
	people := max(b.in.Brief.People.Volunteers, cost.BenchCrew)
	reach := cost.ReachOf(b.q)
	var by []string
	for _, r := range []string{cost.ByLift, cost.ByTower} {
		for _, u := range b.in.Placed {
			if cost.PhaseOf(u.Phase) == p && reach[u.ID] == r {
				by = append(by, r)
				break
			}
		}
	}
	// A hire starts only when power, data and materials are there.
	ready := []string{id("electrical"), id("data"), id("order"), id("prepare")}
	name := "Protect the floor"
	if l.Rows > 0 {
		name += fmt.Sprintf(", take up %s", count(l.Rows, "seat row"))
	}
	oneWay := max((l.SeatingHours+l.BoardHours)/2, 1)
	b.task(id("protect"), name, p, "volunteers", volunteers, halfDays(oneWay, people), oneWay, ready,
		"Mark places before moving; four people to a bench; fingers clear.", "Doors to the street are watched.")
	if len(by) > 0 {
		b.task(id("lift"), hireName(by), p, "hire", trades, 1, 2, []string{id("protect")},
			"Hire starts only when circuits, data cables and materials are confirmed.", "Trained operators only; weight and way in as on the access sheet.")
	}
	if l.StrikeHours > 0 {
		b.task(id("strike"), "Take out the old lights over the platform", p, "electrician", trades, halfDays(l.StrikeHours, cost.HangCrew), l.StrikeHours, []string{id("isolate"), g("electrical"), id("lift"), id("protect")},
			"Dead and locked first.", "Drop zone empty; glass and old lamps are waste of their own kind.")
	}
	if l.PipeHours > 0 {
		b.task(id("rig"), "Pipes and arms on the structure", p, "rigger", trades, halfDays(l.PipeHours, cost.HangCrew), l.PipeHours, []string{"gate.engineer", "gate.asbestos", id("lift"), id("protect"), id("strike"), id("data"), id("order")},
			"Only as the engineer's letter says.", "Tools on lanyards; drop zone kept clear; dust sheets.")
	}
	b.gate(g("rigger"), "Hardware on the structure is checked", p, named(b.in.Brief.People.Rigger, "qualified rigger"), withStops("rated hardware, torque, engineer's letter kept", b.stops(finding.Rigger)),
		id("rig"), "gate.engineer", id("protect"))
	if l.Units == 0 {
		return
	}
	b.task(id("hang"), fmt.Sprintf("Hang %s with secondary suspensions, power and data", count(l.Units, "unit")), p, "rigger", trades, halfDays(l.HangHours, cost.HangCrew), l.HangHours,
		[]string{g("rigger"), id("data"), id("lift"), id("strike"), g("electrical"), id("order")},
		"Two people check each unit before hands leave it.", "Nobody below; volunteers stay on the floor outside the drop zone.")
	b.task(id("address"), "Addresses, data check, first light", p, "designer", trades, 1, 3, []string{id("hang"), id("data"), g("electrical")}, "Set hold on loss of data on every unit.")
	b.task(id("focus"), fmt.Sprintf("Focus %s after dark", count(l.Units, "unit")), p, "designer", dark, evenings(l.FocusHours), l.FocusHours*cost.HangCrew, []string{id("address")},
		"Work light plan: lift and dark room.", "Nobody under the lift; one voice gives the orders.")
	if len(by) > 0 || l.Rows > 0 {
		b.task(id("liftout"), "Hired access out, floor and seating back", p, "volunteers", volunteers, halfDays(oneWay, people), oneWay, []string{id("focus")},
			"Every screw back before anyone sits.")
	}
}

func (b *builder) houseTasks(p string, l cost.Labour, id, g func(string) string) {
	hours := l.LampHours
	if len(b.in.Survey.Dimmers) > 0 {
		hours += bypassHours
		b.task(id("trial"), "One old dimmer channel runs the new lamps for a week", p, "electrician", office, 2*trialDays, 1, []string{g("board"), id("order")},
			"Watch for flicker, hum and lamps that do not go out.")
	}
	b.task(id("house"), houseName(l.Lamps, len(b.in.Survey.Dimmers) > 0), p, "electrician", trades, halfDays(hours, 2), hours,
		[]string{id("trial"), g("permit"), id("order"), id("prepare"), g("electrical"), g("board")},
		"Emergency lighting is never on the dimmed side.", "The wall panel works with the computer off.", "One part of the room stays lit every evening.")
	if !b.has[g("electrical")] {
		b.gate(g("electrical"), "Electrical test certificate", p, named(b.in.Brief.People.Electrician, "licensed electrician")+", inspector",
			withStops("house circuits and emergency override are tested", b.stops(finding.Electrician)), id("house"))
	}
}

// works are building works of the brief, each a day unless hours say otherwise.
func (b *builder) works(p string, id, g func(string) string) {
	for i, w := range b.in.Brief.Works {
		if cost.PhaseOf(w.Phase) != p || w.Kind != "building" || w.Code != "" {
			continue
		}
		needs := []string{g("board"), id("order")}
		switch w.Needs {
		case "engineer":
			needs = append(needs, "gate.engineer")
		case "electrician_visit":
			needs = append(needs, "pre.electrician")
		}
		by := w.By
		if by == "" {
			by = "church"
		}
		b.task(id(fmt.Sprintf("work%d", i+1)), w.Name, p, by, trades, 2, cost.DayHours, needs)
	}
}

func (b *builder) worksOf(p string) []string {
	var ids []string
	for _, it := range b.items {
		if strings.HasPrefix(it.task.ID, p+".work") {
			ids = append(ids, it.task.ID)
		}
	}
	if len(ids) == 0 {
		return []string{"gate.board." + p}
	}
	return ids
}

func dataName(drops int, first bool) string {
	name := "Data cables: " + count(drops, "run")
	if first {
		name += ", splitter, wall-panel box"
	}
	return name
}

func houseName(lamps int, dimmers bool) string {
	name := "House lights: "
	if lamps > 0 {
		name += fmt.Sprintf("%d lamps or lights", lamps) + ", "
	}
	name += "their control"
	if dimmers {
		name += ", old dimmers out of the way"
	}
	return name
}

func hireName(by []string) string {
	name := strings.Join(by, " and ")
	name = strings.ToUpper(name[:1]) + name[1:]
	if len(by) > 1 {
		return name + " come in"
	}
	return name + " comes in"
}

// named returns the role with the person named for it.
func named(person, role string) string {
	if person == "" {
		return role
	}
	return role + ": " + person
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
