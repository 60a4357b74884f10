package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type loadCircuitsCmd struct{ planned }

// Run prints circuits, panels and steps.
func (cmd *loadCircuitsCmd) Run(c *call) error {
	return derived(c, &cmd.planned, func(s *session) (*pb.GetLoadPlanResponse, error) {
		return s.Load.GetLoadPlan(c.ctx, &pb.GetLoadPlanRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme})
	}, func(u units, res *pb.GetLoadPlanResponse) { circuitsCard(c, u, res.GetPlan()) })
}

func circuitsCard(c *call, u units, p *pb.LoadPlan) {
	fmt.Fprintf(c.out, "%s\n", p.GetSupplyNote())
	var rows [][]string
	for _, k := range p.GetCircuits() {
		enclosed := k.GetRaceway()
		if enclosed == "" {
			enclosed = k.GetCable()
		}
		rows = append(rows, []string{k.GetName(), k.GetPanel(), k.GetLeg(), k.GetPhase(), figure(k.CurrentA, 2, "A"), fmt.Sprintf("%s%g A", k.GetCurve(), k.GetBreakerA()),
			figure(k.UsePct, 0, "%"), k.GetConductor() + " + " + k.GetGround(), enclosed, u.length(k.LengthM), figure(k.DropPct, 1, "%"),
			loop(k), k.GetResidualGroup(), k.GetConnector(), strings.Join(k.GetUnits(), " ")})
	}
	table(c.out, []string{"circuit", "panel", "leg", "stage", "current", "breaker", "used", "conductor", "raceway or cable", "length", "drop", "loop", "device", "connector", "units"}, rows)
	fmt.Fprintln(c.out)
	table(c.out, []string{"step", "legs", "unbalance", "note"}, stepRows(p.GetSteps()))
	for _, s := range p.GetScenarios() {
		off := ""
		if len(s.GetOff()) > 0 {
			off = "; off: " + strings.Join(s.GetOff(), ", ")
		}
		fmt.Fprintf(c.out, "\nscenario %s%s\n", s.GetName(), off)
		table(c.out, []string{"step", "legs", "unbalance", "note"}, stepRows(s.GetSteps()))
	}
	fmt.Fprintln(c.out)
	for _, k := range p.GetPacking() {
		fmt.Fprintf(c.out, "circuits of %s, stage %s: %s\n", named(k.GetLine(), "units on no line"), k.GetPhase(), k.GetNote())
	}
	for _, n := range p.GetNeutral() {
		fmt.Fprintf(c.out, "neutral, %s: %s linear, %s with %s of third harmonics", n.GetWhere(), figure(n.FundamentalA, 1, "A"), figure(n.WithThirdA, 1, "A"), figure(n.ThirdPct, 0, "%"))
		if n.GetOpens() != "" {
			fmt.Fprintf(c.out, "; opens %s", n.GetOpens())
		}
		for _, f := range n.GetFaults() {
			fmt.Fprintf(c.out, "; against it: %s", f)
		}
		fmt.Fprintln(c.out)
	}
	for _, g := range p.GetResidual() {
		fmt.Fprintf(c.out, "%s of %s: %s; leaks %s of %s", g.GetName(), figure(g.RatedMa, 0, "mA"), named(strings.Join(g.GetCircuits(), ", "), "what hangs there today"), figure(g.LeakageMa, 1, "mA"), figure(g.LimitMa, 0, "mA"))
		if len(g.GetDarkens()) > 0 {
			fmt.Fprintf(c.out, "; its trip darkens %s", strings.Join(g.GetDarkens(), ", "))
		}
		fmt.Fprintln(c.out)
	}
	for _, pc := range p.GetPanels() {
		fmt.Fprintf(c.out, "panel %s: %d of %s used, %d needed, %d left, %d to come back\n", pc.GetName(), pc.GetSpacesUsed(), count(int(pc.GetSpaces()), "space"), pc.GetSpacesNeeded(), pc.GetSpacesLeft(), pc.GetSpacesBack())
	}
	fmt.Fprintln(c.out, "Every size is proposed; a licensed electrician approves and installs under the local code.")
}

func stepRows(steps []*pb.LoadStep) [][]string {
	var rows [][]string
	for _, st := range steps {
		var legs []string
		for _, l := range st.GetLegs() {
			legs = append(legs, fmt.Sprintf("%s %s%s", l.GetName(), figure(l.CurrentA, 1, "A"), against(l.LimitA, 0, "A")))
		}
		note := ""
		if !st.GetAllowed() {
			note = "above the planning limit or no limit known"
		}
		if st.GetAside() {
			note = strings.TrimSuffix("comparison only: "+note, ": ")
		}
		rows = append(rows, []string{st.GetName(), strings.Join(legs, ", "), figure(st.ImbalancePct, 1, "%"), note})
	}
	return rows
}

// loop writes a fault loop against its limit; nothing where the region has none.
func loop(k *pb.Circuit) string {
	if k.LoopLimitOhm == nil {
		return ""
	}
	return figure(k.LoopOhm, 2, "Ω") + against(k.LoopLimitOhm, 2, "Ω")
}

// figure writes a number with its unit, "unknown" where it is absent.
func figure(v *float64, decimals int, unit string) string {
	if v == nil {
		return "unknown"
	}
	return fmt.Sprintf("%.*f %s", decimals, *v, unit)
}

// against writes a limit behind its figure; nothing where there is none.
func against(limit *float64, decimals int, unit string) string {
	if limit == nil || *limit == 0 {
		return ""
	}
	return fmt.Sprintf(" of %.*f %s", decimals, *limit, unit)
}

func named(name, otherwise string) string {
	if name == "" {
		return otherwise
	}
	return name
}
