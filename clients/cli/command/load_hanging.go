package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type loadHangingCmd struct {
	Project string `arg:"" help:"Project id."`
	Scheme  string `help:"Scheme; without it the chosen one, else the one written last."`
}

// Run prints lines, point loads, screening, hardware, machines, jobs and questions.
func (cmd *loadHangingCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Load.GetHangingPlan(c.ctx, &pb.GetHangingPlanRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	p := res.GetPlan()
	var rows [][]string
	for _, l := range p.GetLines() {
		rows = append(rows, []string{l.GetName(), named(l.GetMaterial(), "unknown"), named(l.GetSection(), "unknown"), figure(l.AddedKg, 1, "kg"), figure(l.ExistingKg, 1, "kg"), newtons(l.GetReactionsN()),
			figure(l.MaxShearN, 0, "N"), figure(l.MaxMomentNm, 0, "N·m"), jointed(l), millimetres(l.MaxDeflectionM), figure(l.StressMpa, 1, "MPa") + against(l.ReferenceMpa, 1, "MPa"), figure(l.SharePct, 0, "%"),
			l.GetScreening() + ": " + l.GetWhy()})
	}
	table(c.out, []string{"line", "material", "section", "added", "there already", "reactions", "shear", "moment", "moment if jointed", "deflection", "stress", "share", "screening, approves nothing"}, rows)
	rows = nil
	for _, l := range p.GetLines() {
		for _, u := range l.GetLoads() {
			rows = append(rows, []string{l.GetName(), u.GetUnit(), fmt.Sprintf("%.2f m", u.GetAlongM()), fmt.Sprintf("%.1f kg", u.GetMassKg())})
		}
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"line", "unit", "along", "mass"}, rows)
	rows = nil
	for _, h := range p.GetHardware() {
		rows = append(rows, []string{h.GetLine(), h.GetWhat(), fmt.Sprint(h.GetCount()), figure(h.LoadN, 0, "N"), figure(h.RatedKg, 0, "kg"), figure(h.BreakingN, 0, "N"), h.GetListed(), h.GetNote()})
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"line", "hardware", "count", "load each", "marked at least", "or breaking at", "listed", "note"}, rows)
	rows = nil
	for _, l := range p.GetLifts() {
		rows = append(rows, []string{l.GetLift(), l.GetRoute(), map[bool]string{true: "passes by these numbers", false: "does not pass by these numbers"}[l.GetFits()], figure(l.NeedWidthM, 2, "m"), figure(l.HaveWidthM, 2, "m"),
			figure(l.PlatformM, 2, "m"), figure(l.PlatformKg, 0, "kg"), figure(l.MassKg, 0, "kg"), kilo(l.PressurePa, "kPa") + against(thousandth(l.FloorPa), 1, "kPa"), kilo(l.WheelN, "kN"), l.GetWhy()})
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"machine", "way", "passage", "width needed", "width there", "platform", "platform load", "mass with load", "pressure", "wheel", "why"}, rows)
	rows = nil
	for _, j := range p.GetJobs() {
		rows = append(rows, []string{named(j.GetPhase(), "first"), j.GetLine(), j.GetBy(), j.GetWork(), strings.Join(j.GetUnits(), " "), figure(j.NeedPlatformM, 2, "m"),
			fmt.Sprintf("%.1f to %.1f h", j.GetHours(), j.GetHoursHigh()), named(j.GetRows(), "none")})
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"stage", "line", "by", "work", "units", "platform needed", "floor closed", "rows to move"}, rows)
	fmt.Fprintln(c.out)
	for _, q := range p.GetQuestions() {
		fmt.Fprintf(c.out, "%d. %s: %s\n   %s\n", q.GetNo(), q.GetWho(), q.GetText(), q.GetWhy())
	}
	fmt.Fprintln(c.out, "Planning figures, not a structural approval: a structural engineer approves before anything is hung.")
	return nil
}

func newtons(v []float64) string {
	var out []string
	for _, n := range v {
		out = append(out, fmt.Sprintf("%.0f", n))
	}
	return strings.Join(out, " / ") + " N"
}

// jointed is the moment with the line cut over its inner supports.
func jointed(l *pb.LineLoad) string {
	if l.AloneMomentNm == nil {
		return ""
	}
	return figure(l.AloneMomentNm, 0, "N·m")
}

func millimetres(m *float64) string {
	if m == nil {
		return "unknown"
	}
	return fmt.Sprintf("%.1f mm", *m*1000)
}

func thousandth(v *float64) *float64 {
	if v == nil {
		return nil
	}
	k := *v / 1000
	return &k
}

func kilo(v *float64, unit string) string { return figure(thousandth(v), 1, unit) }
