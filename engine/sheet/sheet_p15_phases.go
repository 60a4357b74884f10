package sheet

import (
	"strings"
	"time"

	"roodbeam/engine/phase"
)

var _ = register(Kind{Code: "P15", Order: 150, Title: "Phase plan", Reader: "project manager, all", Fill: phaseSheet})

func phaseSheet(in *Input, page Page) Sheet {
	_, _, w, h := page.Frame()
	from, to := taskSpan(in.Phases.Tasks)
	blocks := []Block{{Facts: []Fact{
		{"earliest finish, if every answer comes in time", day(in.Phases.Finish)},
		{"snag reviews follow a month of use later, until", day(to)},
	}}, {Text: "Bars in the colour of their stage; a dark outline marks the tasks that decide the finish; a triangle marks work with a service inside it, for which the list “ready for Sunday” applies. " +
		"Dates hold only if every gate below is passed in time."}}
	per := int((h - 60) / 5.2)
	for i := 0; i < len(in.Phases.Tasks); i += per {
		s := in.barsScene(in.Phases.Tasks[i:min(i+per, len(in.Phases.Tasks))], from, to, w)
		blocks = append(blocks, Block{Drawing: &s})
	}
	blocks = append(blocks,
		Block{Heading: "Gates: what waits for a signature"}, Block{Table: in.gateTable()},
		Block{Heading: "Tasks"}, Block{Table: in.taskTable()},
		Block{Heading: "Ready for Sunday, before every service inside the works"},
		Block{Bullets: []string{
			"No open boxes or loose cables; tools down; lift parked, key out; floor clear, exits free.",
			"Emergency and exit lights burn; the fire alarm is back in service; a house light look works from the usual place.",
			"Nothing hangs half fixed overhead; the area below unfinished work is closed.",
		}})
	if len(in.Phases.Jobs) > 0 {
		blocks = append(blocks, Block{Heading: "Jobs for volunteers"}, Block{Table: in.jobTable()})
	}
	return Sheet{Blocks: blocks}
}

func taskSpan(tasks []phase.Task) (from, to time.Time) {
	for _, t := range tasks {
		if !t.Start.IsZero() && (from.IsZero() || t.Start.Before(from)) {
			from = t.Start
		}
		if t.End.After(to) {
			to = t.End
		}
	}
	return from, to
}

func (in *Input) gateTable() *Table {
	t := &Table{Name: "gates", Heads: []string{"Gate", "What", "Who signs", "Waits for", "Why", "Signed, date"}, WriteIn: []string{"Signed, date"}, Align: "llllll"}
	for _, g := range in.Phases.Gates {
		t.Rows = append(t.Rows, []string{g.ID, g.Name, g.Who, strings.Join(g.Needs, " "), g.Why, ""})
	}
	return t
}

func (in *Input) taskTable() *Table {
	t := &Table{Name: "tasks", Heads: []string{"Task", "What", "Stage", "After", "Days", "Hours", "Who", "Start", "End", "Slack", "Cautions", "Done"}, Align: "llllrrlllrll"}
	for _, k := range in.Phases.Tasks {
		slack := number(k.SlackDays, 0, "days")
		if k.Critical {
			slack = "none"
		}
		t.Rows = append(t.Rows, []string{k.ID, k.Name, k.Phase, strings.Join(k.Needs, " "), quantity(k.Days), quantity(k.Hours), k.By, day(k.Start), day(k.End), slack, strings.Join(k.Cautions, "; "), "☐"})
	}
	return t
}

func (in *Input) jobTable() *Table {
	t := &Table{Name: "volunteer_jobs", Heads: []string{"Job", "People", "Minutes", "Do", "Do not"}, Align: "lrrll"}
	for _, j := range in.Phases.Jobs {
		t.Rows = append(t.Rows, []string{j.Name, quantity(float64(j.People)), quantity(float64(j.Minutes)), strings.Join(j.Do, "\n"), strings.Join(j.Dont, "\n")})
	}
	return t
}
