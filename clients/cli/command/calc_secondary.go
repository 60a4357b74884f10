package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type secondaryCmd struct {
	Mass   string `required:"" help:"What hangs on it, e.g. 12kg or 26lb."`
	Drop   string `required:"" help:"Fall until it is tight, e.g. 200mm; 0 without slack."`
	Rope   string `required:"" help:"Rope diameter, and the wire grade in N/mm² if known: \"3mm 1770\", 1/8in."`
	Length string `required:"" help:"Rope length, e.g. 1m."`
	Kind   string `default:"6x7-FC" help:"Construction for the breaking force: 6x7-FC, 6x19M-FC, 6x19M-WSC, 6x7-WSC."`
	Build  string `default:"7x19" help:"Build for the metal area: 7x19, 7x7, 6x19-FC, 6x19-IWRC."`
	End    string `enum:"ferrule,clips,none" default:"ferrule" help:"End of the rope: ferrule, clips or none."`
	Stop   string `help:"Distance over which clamps and bars give, e.g. 20mm."`
	US     bool   `name:"us" help:"Read numbers without a unit as pounds, inches of fall and rope diameter, and feet of rope."`
}

// Help says what the sum rests on.
func (secondaryCmd) Help() string {
	return `F = W·[1 + √(1 + 2·h·E·A/(W·L))], E = 15×10⁶ psi, A = x·d²; with a stopping distance F = W·(1 + h/s).

Source: D. Hall, Understanding Shock Loads, TD&T 49(2), 2013; EN 12385-4; DGUV Information 215-313 for the longest fall, 0.20 m; shackles EN 13889, bolts ISO 898-1, rod MSS SP-58, lag screws and through-bolts NDS 2018, at 10:1 over people (DGUV Information 215-320).

Example: roodbeam calc secondary --mass 12kg --drop 200mm --rope "3mm 1770" --length 1m

An upper figure, to rank and to warn; a rated assembly is confirmed by a qualified rigger.`
}

// Run computes the pull of a fall.
func (cmd *secondaryCmd) Run(c *call) error {
	diameter, grade := cmd.Rope, ""
	// "3mm 1770": a number above a thousand behind the size is the wire's grade.
	if i := strings.LastIndex(strings.TrimSpace(cmd.Rope), " "); i > 0 {
		if last := strings.TrimSpace(cmd.Rope[i:]); len(last) == 4 && strings.Trim(last, "0123456789") == "" {
			diameter, grade = cmd.Rope[:i], last+" MPa"
		}
	}
	req := &pb.ComputeSecondaryRequest{Units: unitsOf(map[bool]string{true: "us"}[cmd.US]), Mass: typed(bare(cmd.US, cmd.Mass, "lb")), Drop: typed(bare(cmd.US, cmd.Drop, "in")), Diameter: typed(bare(cmd.US, diameter, "in")),
		Length: typed(bare(cmd.US, cmd.Length, "ft")), Construction: cmd.Kind, Build: cmd.Build, End: cmd.End}
	if grade != "" {
		req.Grade = typed(grade)
	}
	if cmd.Stop != "" {
		req.StopDistance = typed(bare(cmd.US, cmd.Stop, "in"))
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeSecondary(c.ctx, req)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "pull       %.3f kN, %.0f times the weight of %.3f kN\n", res.GetForceN()/1000, res.GetForceN()/res.GetWeightN(), res.GetWeightN()/1000)
	if res.StopForceN != nil {
		fmt.Fprintf(c.out, "stopped    %.3f kN mean over the distance given\n", res.GetStopForceN()/1000)
	}
	fmt.Fprintf(c.out, "rope       breaks at %.2f kN, with its end %.2f kN; the pull is %.0f %% of that\n", res.GetBreakingN()/1000, res.GetEndBreakingN()/1000, res.GetUsePct())
	fmt.Fprintf(c.out, "at rest    %.3f kN at 1/%g of the breaking load, over people\n", res.GetWorkingN()/1000, res.GetFactor())
	fmt.Fprintf(c.out, "rank       %s (longest fall %.2f m)\n", word(res.GetRank().String(), "FALL_RANK_"), res.GetMaxDropM())
	var rows [][]string
	for _, p := range res.GetPieces() {
		rows = append(rows, []string{p.GetKind(), p.GetName(), fmt.Sprintf("%.2f kN", p.GetBreakingN()/1000), fmt.Sprintf("1/%g", p.GetFactor()), fmt.Sprintf("%.2f kN", p.GetWorkingN()/1000),
			fmt.Sprintf("%.0f %%", p.GetUsePct()), fmt.Sprintf("%.0f %%", p.GetPullPct())})
	}
	table(c.out, []string{"piece", "size", "breaks at, or reference value", "share over people", "at rest up to", "the weight is", "the pull is"}, rows)
	return basis(c, res.GetBasis())
}
