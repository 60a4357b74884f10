package phase_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"roodbeam/engine/brief"
	"roodbeam/engine/cost"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/hanging"
	"roodbeam/engine/network"
	"roodbeam/engine/phase"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"

	"pgregory.net/rapid"
)

var codes = finding.NewBook()

func date(s string) time.Time {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return t
}

// meetingHouse is the reference brick meeting house in three install phases.
func meetingHouse() phase.Input {
	in := phase.Input{Book: codes, Region: "us", Today: date("2026-11-25")}
	unit := func(id, line, p, by string, y float64) {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: id, Fixture: "T-FRE", Line: line, Phase: p}, At: geom.Vec{Y: y, Z: 5.6}})
		in.Hanging.Places = append(in.Hanging.Places, hanging.ReachCheck{Unit: id, By: by})
	}
	for i := range 10 {
		by := "lift A"
		if i > 7 {
			by = "tower"
		}
		unit(fmt.Sprintf("U%d", i), "W1", "A", by, -3.05)
	}
	for i := range 3 {
		unit(fmt.Sprintf("K%d", i), "W2", "B", "tower", 2.9)
	}
	unit("G1", "left pier", "B", "from the gallery", -1.2)
	unit("G2", "right pier", "B", "from the gallery", -1.2)
	in.Scheme.HouseStep = "C"
	in.Scheme.Pipes = []scheme.Pipe{{Line: "W1", Length: si.Known(38 * si.Foot), Phase: "A"}, {Line: "W2", Length: si.Known(13 * si.Foot), Phase: "B"}}
	in.Survey = survey.Survey{
		Lines: []survey.HangingLine{{Name: "W1", Kind: "beam"}, {Name: "W2", Kind: "beam"}, {Name: "left pier", Kind: "pier"}, {Name: "right pier", Kind: "pier"}},
		Site:  survey.Site{YearBuilt: 1911}, Floor: survey.Floor{Kind: "over_cellar"}, Dimmers: []survey.Dimmer{{Channel: "D1"}},
		ExistingUnit: []survey.ExistingLight{{Name: "organ floods", Count: 6, Fate: "remove", OverPlatform: true}, {Name: "coves", Count: 88, Fate: "relamp", LampCode: "T-LMP", Dimmer: "D1"}},
		Seating:      []survey.Seating{{Rows: 12, FirstY: si.Known(si.Length(-2.74)), LastY: si.Known(si.Length(-12.2)), Fixed: "screwed"}},
	}
	in.Load.Circuits = []electrical.Circuit{{Name: "W1a", Phase: "A", LengthM: 40}, {Name: "W1b", Phase: "A", LengthM: 40}, {Name: "GB", Phase: "B", LengthM: 45}}
	in.Load.Steps = []electrical.Step{{Name: "today", Allowed: true}, {Name: "all new on, nothing removed"}, {Name: "floods isolated", Allowed: true}}
	for _, b := range []struct{ name, p string }{{"A", "A"}, {"B", "B"}, {"C", "B"}, {"D", "B"}, {"E", "C"}} {
		in.Network.Branches = append(in.Network.Branches, network.Branch{Name: b.name, Phase: b.p, LengthM: 30})
	}
	in.Brief = brief.Brief{
		Calendar: brief.Calendar{Start: date("2027-01-11"), Services: []brief.Service{
			{Name: "Sunday", Weekday: time.Sunday, Hour: 11, Minutes: 75}, {Name: "small group", Weekday: time.Thursday, Hour: 18, Minute: 30, Minutes: 90}},
			Closed: []brief.Span{{Name: "Holy Week", From: date("2027-03-22"), To: date("2027-03-29")}}},
		People: brief.People{Volunteers: 7, Operators: 3, Electrician: "an electrician"},
		House:  brief.House{Slots: 6},
		Works:  []brief.Work{{Name: "Window blind", Kind: "building", Phase: "A", UnitMinor: 18500}},
		Looks:  []brief.Look{{Name: "Candle service", Flame: true}},
	}
	return in
}

func byID(p phase.Plan) map[string]phase.Task {
	m := map[string]phase.Task{}
	for _, t := range p.Tasks {
		m[t.ID] = t
	}
	return m
}

func gates(p phase.Plan) map[string]phase.Gate {
	m := map[string]phase.Gate{}
	for _, g := range p.Gates {
		m[g.ID] = g
	}
	return m
}

func has(fs []finding.Finding, code string) bool {
	for _, f := range fs {
		if f.Code == code {
			return true
		}
	}
	return false
}

// before tells whether a is done before b may start, along the needs.
func before(p phase.Plan, a, b string) bool {
	needs := map[string][]string{}
	for _, t := range p.Tasks {
		needs[t.ID] = t.Needs
	}
	for _, g := range p.Gates {
		needs[g.ID] = g.Needs
	}
	var walk func(string, int) bool
	walk = func(id string, depth int) bool {
		for _, n := range needs[id] {
			if n == a || depth < 60 && walk(n, depth+1) {
				return true
			}
		}
		return false
	}
	return walk(b, 0)
}

func TestOrderOfTheMeetingHouse(t *testing.T) {
	p, fs := phase.Order(meetingHouse())
	ts := byID(p)
	for _, pair := range [][2]string{
		{"pre.engineer", "A.rig"}, {"pre.engineer", "A.order"}, {"pre.asbestos", "A.electrical"}, {"A.approval", "A.electrical"}, {"A.permit", "A.electrical"},
		{"A.electrical", "A.isolate"}, {"A.isolate", "A.energise"}, {"A.isolate", "B.energise"}, {"A.energise", "A.strike"},
		{"A.electrical", "A.lift"}, {"A.data", "A.lift"}, {"A.order", "A.lift"}, {"A.lift", "A.rig"}, {"A.protect", "A.lift"}, {"A.rig", "A.hang"}, {"A.data", "A.hang"},
		{"A.hang", "A.address"}, {"A.address", "A.focus"}, {"A.focus", "A.levels"}, {"A.focus", "A.liftout"}, {"A.levels", "A.test"}, {"A.work1", "A.test"}, {"A.test", "A.train"},
		{"A.train", "A.live"}, {"A.live", "A.handover"}, {"A.handover", "B.approval"}, {"B.handover", "C.approval"}, {"C.trial", "C.house"}, {"C.house", "C.levels"},
		{"pre.electrician", "C.permit"}, {"C.permit", "C.house"},
	} {
		if !before(p, pair[0], pair[1]) {
			t.Errorf("%s does not come before %s", pair[0], pair[1])
		}
		if _, ok := ts[pair[0]]; !ok {
			t.Errorf("no task %s", pair[0])
		}
	}
	g := gates(p)
	for _, id := range []string{"gate.engineer", "gate.asbestos", "gate.fire", "gate.board.A", "gate.permit.A", "gate.electrical.A", "gate.rigger.A", "gate.commission.A", "gate.handover.C", "gate.electrical.C"} {
		if _, ok := g[id]; !ok {
			t.Errorf("no %s", id)
		}
	}
	if g["gate.engineer"].Unnamed != true || g["gate.permit.A"].Unnamed {
		t.Error("names of the gates")
	}
	if _, ok := ts["B.isolate"]; ok {
		t.Error("the floods are isolated twice")
	}
	if ts["B.lift"].Name != "Tower comes in" || ts["A.lift"].Name != "Lift and tower come in" {
		t.Errorf("hires %q, %q", ts["A.lift"].Name, ts["B.lift"].Name)
	}
	for _, code := range []string{"PHASE_ISOLATE_FIRST", "PHASE_GATE_UNNAMED"} {
		if !has(fs, code) {
			t.Errorf("no %s", code)
		}
	}
	if has(fs, "PHASE_OPERATORS") || has(fs, "PHASE_NO_START") || has(fs, "PHASE_LOAD_STEP") {
		t.Errorf("%+v", fs)
	}
	for _, f := range fs {
		if r := codes.Render(f, si.US); strings.ContainsAny(r.Title+r.Text+r.Advice, "{}") {
			t.Errorf("%s: unfilled place in %+v", f.Code, r)
		}
	}
}

// The usual chain: answers, vote, orders, power, metal, hanging, focus, test.
func TestChainThatDrivesTheFinish(t *testing.T) {
	p, _ := phase.Order(meetingHouse())
	on := map[string]bool{}
	for _, id := range p.Critical {
		on[id] = true
	}
	for _, id := range []string{"pre.electrician", "A.approval", "A.order", "A.electrical", "A.rig", "A.hang", "A.focus", "A.levels", "A.test", "A.live", "A.handover", "C.handover"} {
		if !on[id] {
			t.Errorf("%s does not drive the finish: %v", id, p.Critical)
		}
	}
	for _, id := range []string{"pre.fire", "A.permit", "A.energise", "A.work1", "C.data", "A.snag"} {
		if on[id] {
			t.Errorf("%s drives the finish, though it floats", id)
		}
	}
}

func TestDatesKeepTheCalendar(t *testing.T) {
	in := meetingHouse()
	p, fs := phase.Order(in)
	ts := byID(p)
	start := in.Brief.Calendar.Start
	for _, task := range p.Tasks {
		site := task.By != "leadership" && !strings.HasPrefix(task.ID, "pre.")
		for _, office := range []string{"approval", "order", "permit", "trial", "snag"} {
			site = site && !strings.HasSuffix(task.ID, "."+office)
		}
		if !site {
			continue
		}
		if task.Start.Before(start) {
			t.Errorf("%s starts %s, before the first day", task.ID, task.Start.Format(time.DateOnly))
		}
		for _, d := range []time.Time{task.Start, task.End} {
			if w := d.Weekday(); w == time.Sunday && !strings.HasSuffix(task.ID, ".live") || w == time.Saturday && !task.Volunteers && !strings.HasSuffix(task.ID, ".handover") && !task.Evening {
				t.Errorf("%s on a %s", task.ID, w)
			}
			if !d.Before(date("2027-03-22")) && !d.After(date("2027-03-29")) {
				t.Errorf("%s on %s, in the closed span", task.ID, d.Format(time.DateOnly))
			}
			if task.Evening && d.Weekday() == time.Thursday {
				t.Errorf("%s on a Thursday evening, over the small group", task.ID)
			}
		}
	}
	for _, ph := range []string{"A", "B", "C"} {
		if w := ts[ph+".live"].Start.Weekday(); w != time.Sunday && w != time.Thursday {
			t.Errorf("first live service of %s on a %s", ph, w)
		}
	}
	inside := 0
	for _, w := range p.Windows {
		inside += w.Services
		if w.To.Before(w.From) || w.From.Before(start) {
			t.Errorf("window %+v", w)
		}
	}
	if len(p.Windows) != 3 || inside == 0 {
		t.Errorf("windows %+v", p.Windows)
	}
	// Phase A's lift comes in on one side of a Sunday and its test record is
	// written on the other.
	if !ts["A.lift"].Start.Before(date("2027-03-07")) || !ts["A.test"].End.After(date("2027-03-07")) || !has(fs, "PHASE_SERVICE_INSIDE") {
		t.Errorf("lift %v, test %v, findings %+v", ts["A.lift"].Start, ts["A.test"].End, fs)
	}
	if !p.Finish.Equal(ts["C.handover"].End) {
		t.Errorf("finish %v, last hand-over %v", p.Finish, ts["C.handover"].End)
	}
	if len(p.Critical) == 0 || len(p.Jobs) < 5 || len(p.Ready) == 0 {
		t.Errorf("%d critical, %d job cards", len(p.Critical), len(p.Jobs))
	}
	for _, j := range p.Jobs {
		if j.Minutes <= 0 || j.People <= 0 || len(j.Do) == 0 || len(j.Dont) == 0 {
			t.Errorf("card %+v", j)
		}
	}
}

// A task of three days that starts on a Friday runs over a Sunday.
func TestReadyForSunday(t *testing.T) {
	in := meetingHouse()
	for i := range in.Load.Circuits {
		in.Load.Circuits[i].LengthM = 400 // many days of electrical work
	}
	p, fs := phase.Order(in)
	if task := byID(p)["A.electrical"]; !task.Sunday || task.Services < 1 {
		t.Errorf("%+v", task)
	}
	if !has(fs, "PHASE_SERVICE_INSIDE") {
		t.Error("no finding")
	}
}

func TestOtherFindings(t *testing.T) {
	in := meetingHouse()
	in.Brief.People.Operators = 1
	in.Survey.ExistingUnit = nil
	if _, fs := phase.Order(in); !has(fs, "PHASE_OPERATORS") || !has(fs, "PHASE_LOAD_STEP") || has(fs, "PHASE_ISOLATE_FIRST") {
		t.Errorf("%+v", fs)
	}
	in = meetingHouse()
	in.Today, in.Brief.Calendar.Start = time.Time{}, time.Time{}
	p, fs := phase.Order(in)
	if !has(fs, "PHASE_NO_START") || !p.Finish.IsZero() || !p.Undated || len(p.Critical) == 0 {
		t.Errorf("undated: finish %v, %d critical", p.Finish, len(p.Critical))
	}
	in = meetingHouse()
	in.Brief.Calendar.Closed = []brief.Span{{From: date("2026-01-01"), To: date("2090-01-01")}}
	if p, fs := phase.Order(in); !has(fs, "PHASE_NO_ROOM") || len(p.Unplaced) == 0 {
		t.Error("a closed century has room")
	}
	in = meetingHouse()
	in.Survey.Site.Protected = "listed"
	if p, _ := phase.Order(in); !before(p, "pre.heritage", "A.order") || !before(p, "pre.heritage", "A.electrical") {
		t.Error("heritage is no gate")
	}
}

func TestEmptyProject(t *testing.T) {
	p, fs := phase.Order(phase.Input{Book: codes})
	if len(p.Tasks) != 0 || len(fs) != 0 {
		t.Errorf("%+v %+v", p, fs)
	}
}

func TestAnyProject(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := meetingHouse()
		name := rapid.SampledFrom([]string{"", "A", "B", "C", "Z"})
		for i := range in.Placed {
			in.Placed[i].Phase = name.Draw(t, "phase")
		}
		in.Placed = in.Placed[:rapid.IntRange(0, len(in.Placed)).Draw(t, "units")]
		in.Load.Circuits = in.Load.Circuits[:rapid.IntRange(0, 3).Draw(t, "circuits")]
		in.Network.Branches = in.Network.Branches[:rapid.IntRange(0, 5).Draw(t, "branches")]
		in.Scheme.HouseStep = name.Draw(t, "house")
		in.Brief.Calendar.Services = nil
		for range rapid.IntRange(0, 7).Draw(t, "services") {
			in.Brief.Calendar.Services = append(in.Brief.Calendar.Services, brief.Service{Weekday: time.Weekday(rapid.IntRange(-1, 8).Draw(t, "weekday")),
				Hour: rapid.IntRange(-2, 26).Draw(t, "hour"), Minutes: rapid.IntRange(-10, 900).Draw(t, "minutes")})
		}
		in.Today = in.Today.AddDate(0, 0, rapid.IntRange(-800, 800).Draw(t, "today"))
		p, _ := phase.Order(in)
		ends := map[string]time.Time{}
		for _, task := range p.Tasks {
			ends[task.ID] = task.End
		}
		lost := map[string]bool{}
		for _, id := range p.Unplaced {
			lost[id] = true
		}
		critical := false
		for _, task := range p.Tasks {
			critical = critical || task.Critical
			if task.SlackDays < 0 || task.End.Before(task.Start) || task.Days < 0 {
				t.Fatalf("%+v", task)
			}
			for _, n := range task.Needs {
				if e, ok := ends[n]; ok && task.Start.Before(e) && !lost[task.ID] && !lost[n] {
					t.Fatalf("%s starts %v, before %s ends %v", task.ID, task.Start, n, e)
				}
			}
		}
		if len(p.Tasks) > 0 && !critical {
			t.Fatal("no critical task")
		}
	})
}

// The phases of the plan are the phases of the money, and each gate of the
// board carries its sum.
func TestPhasesMatchTheEstimate(t *testing.T) {
	in := meetingHouse()
	e, _ := cost.Make(cost.Input{Placed: in.Placed, Scheme: in.Scheme, Brief: in.Brief, Survey: in.Survey, Load: in.Load, Hanging: in.Hanging, Network: in.Network})
	in.Estimate = e
	p, _ := phase.Order(in)
	g := gates(p)
	for _, ph := range e.Phases {
		gate, ok := g["gate.board."+ph.Name]
		if want := si.FormatMoney(ph.WithContingency.Likely, e.Currency); !ok || !strings.Contains(gate.Why, want) {
			t.Errorf("phase %s: %q does not name %s", ph.Name, gate.Why, want)
		}
	}
}

func BenchmarkOrder(b *testing.B) {
	in := meetingHouse()
	for b.Loop() {
		phase.Order(in)
	}
}
