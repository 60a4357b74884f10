package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type loadHouseCmd struct{ planned }

// Run prints the conversion of the house lights.
func (cmd *loadHouseCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Load.GetLoadPlan(c.ctx, &pb.GetLoadPlanRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme})
	if err != nil {
		return err
	}
	j := res.GetPlan().GetHouseJob()
	if c.root.JSON {
		return printJSON(c.out, j)
	}
	if len(j.GetTraces()) == 0 && len(j.GetGroups()) == 0 {
		fmt.Fprintln(c.out, "No old house lights, dimmers or controls were surveyed.")
		return nil
	}
	var rows [][]string
	for _, t := range j.GetTraces() {
		rows = append(rows, []string{named(t.GetControl(), "unknown"), t.GetKind(), t.GetWhere(), t.GetChannel(), strings.Join(t.GetLights(), ", "),
			named(t.GetPanel(), "unknown"), named(t.GetBreaker(), "unknown"), named(t.GetDecision(), "open"), strings.Join(t.GetMissing(), ", ")})
	}
	table(c.out, []string{"control", "kind", "where", "channel", "lights", "panel", "breaker", "keep or drop", "not traced"}, rows)
	rows = nil
	for _, g := range j.GetGroups() {
		rows = append(rows, []string{g.GetName(), fmt.Sprint(g.GetCount()), named(g.GetChannel(), "switched"), figure(g.BeforeW, 0, "W"), figure(g.AfterW, 1, "W"), figure(g.AfterVa, 0, "VA"),
			figure(g.BeforeLm, 0, "lm"), figure(g.AfterLm, 0, "lm"), g.GetProposed(), g.GetKeeps()})
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"lights", "count", "channel", "before", "after", "after", "lm each", "lm after", "proposed", "stays"}, rows)
	rows = nil
	for _, d := range res.GetPlan().GetHouse() {
		rows = append(rows, []string{d.GetChannel(), d.GetFeeds(), figure(d.RatingW, 0, "W"), figure(d.MinimumW, 0, "W"), figure(d.BeforeW, 0, "W"), figure(d.AfterW, 1, "W"),
			figure(d.LedCapacityW, 0, "W"), named(d.GetEdge(), "unknown"), d.GetAction()})
	}
	fmt.Fprintln(c.out)
	table(c.out, []string{"channel", "feeds", "rating", "least load", "before", "after", "LED load meant for", "edge", "proposed"}, rows)
	fmt.Fprintf(c.out, "\ncontrol: %s\n", j.GetControl().GetText())
	for _, l := range j.GetLight() {
		fmt.Fprintf(c.out, "%s: today %s, afterwards %s, to hold it against %s (%s)\n", l.GetPlace(), figure(l.BeforeLx, 0, "lx"), figure(l.AfterLx, 0, "lx"), figure(l.TargetLx, 0, "lx"), l.GetTargetSource())
		if l.GetPoints() > 0 {
			fmt.Fprintf(c.out, "  least %s today, %s afterwards; reflected by the room %s and %s of the means\n", figure(l.BeforeMinLx, 0, "lx"), figure(l.AfterMinLx, 0, "lx"),
				figure(l.BeforeReflectedLx, 0, "lx"), figure(l.AfterReflectedLx, 0, "lx"))
			fmt.Fprintf(c.out, "  ± of the means from reflectances that nobody gave: %s today, %s afterwards\n", figure(l.BeforeSigmaPct, 0, "%"), figure(l.AfterSigmaPct, 0, "%"))
		}
		fmt.Fprintf(c.out, "  %s\n", l.GetBasis())
	}
	v := j.GetSaving()
	fmt.Fprintf(c.out, "saved a year: %s, %s lamps; simple payback %s, discounted %s\n", figure(v.EnergyKwh, 0, "kWh"), figure(v.Lamps, 1, ""), figure(v.SimpleYears, 1, "years"), figure(v.DiscountedYears, 1, "years"))
	if v.GetText() != "" {
		fmt.Fprintf(c.out, "  %s\n", v.GetText())
	}
	fmt.Fprintln(c.out, "Figures only: the authority decides on the way out, the licensed electrician on every circuit.")
	return nil
}
