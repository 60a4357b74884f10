package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type loadHangingCmd struct{ planned }

// Run prints lines, point loads, screening, hardware, machines, jobs and questions.
func (cmd *loadHangingCmd) Run(c *call) error {
	return derived(c, &cmd.planned, func(s *session) (*pb.GetHangingPlanResponse, error) {
		return s.Load.GetHangingPlan(c.ctx, &pb.GetHangingPlanRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme})
	}, func(u units, res *pb.GetHangingPlanResponse) { hangingCard(c, u, res.GetPlan()) })
}

func hangingCard(c *call, u units, p *pb.HangingPlan) {
	var rows [][]string
	for _, l := range p.GetLines() {
		rows = append(rows, []string{l.GetName(), named(l.GetMaterial(), "unknown"), named(l.GetSection(), "unknown"), u.mass(l.AddedKg), u.mass(l.ExistingKg), reactions(u, l.GetReactionsN()),
			u.force(l.MaxShearN), u.moment(l.MaxMomentNm), jointed(u, l), u.small(l.MaxDeflectionM), u.stress(l.StressMpa) + of(l.ReferenceMpa, u.stress), figure(l.SharePct, 0, "%"),
			l.GetScreening() + ": " + l.GetWhy()})
	}
	table(c.out, []string{"line", "material", "section", "added", "there already", "reactions", "shear", "moment", "moment if jointed", "deflection", "stress", "share", "screening, approves nothing"}, rows)
	rows = nil
	for _, l := range p.GetLines() {
		for _, p := range l.GetLoads() {
			at, kg := p.GetAlongM(), p.GetMassKg()
			rows = append(rows, []string{l.GetName(), p.GetUnit(), u.along(&at), u.mass(&kg)})
		}
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"line", "unit", "along", "mass"}, rows)
	rows = nil
	for _, h := range p.GetHardware() {
		rows = append(rows, []string{h.GetLine(), h.GetWhat(), fmt.Sprint(h.GetCount()), u.force(h.LoadN), u.mass(h.RatedKg), u.force(h.BreakingN), h.GetListed(), h.GetNote()})
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"line", "hardware", "count", "load each", "marked at least", "or breaking at", "listed", "note"}, rows)
	rows = nil
	for _, l := range p.GetLifts() {
		rows = append(rows, []string{l.GetLift(), l.GetRoute(), map[bool]string{true: "passes by these numbers", false: "does not pass by these numbers"}[l.GetFits()], u.along(l.NeedWidthM), u.along(l.HaveWidthM),
			u.along(l.PlatformM), u.mass(l.PlatformKg), u.mass(l.MassKg), u.floorLoad(l.PressurePa) + of(l.FloorPa, u.floorLoad), u.force(l.WheelN), l.GetWhy()})
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"machine", "way", "passage", "width needed", "width there", "platform", "platform load", "mass with load", "pressure", "wheel", "why"}, rows)
	rows = nil
	for _, j := range p.GetJobs() {
		rows = append(rows, []string{named(j.GetPhase(), "first"), j.GetLine(), j.GetBy(), j.GetWork(), strings.Join(j.GetUnits(), " "), u.along(j.NeedPlatformM),
			fmt.Sprintf("%.1f to %.1f h", j.GetHours(), j.GetHoursHigh()), named(j.GetRows(), "none")})
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"stage", "line", "by", "work", "units", "platform needed", "floor closed", "rows to move"}, rows)
	fmt.Fprintln(c.out)
	for _, q := range p.GetQuestions() {
		fmt.Fprintf(c.out, "%d. %s: %s\n   %s\n", q.GetNo(), q.GetWho(), q.GetText(), q.GetWhy())
	}
	fmt.Fprintln(c.out, "Planning figures, not a structural approval: a structural engineer approves before anything is hung.")
}

func reactions(u units, v []float64) string {
	var out []string
	for _, n := range v {
		out = append(out, u.force(&n))
	}
	return strings.Join(out, " / ")
}

// jointed is the moment with the line cut over its inner supports.
func jointed(u units, l *pb.LineLoad) string {
	if l.AloneMomentNm == nil {
		return ""
	}
	return u.moment(l.AloneMomentNm)
}

// of writes a limit behind its figure; nothing where there is none.
func of(limit *float64, write func(*float64) string) string {
	if limit == nil || *limit == 0 {
		return ""
	}
	return " of " + write(limit)
}
