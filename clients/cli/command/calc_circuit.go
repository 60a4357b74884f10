package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type circuitCmd struct {
	Region   string  `default:"us" help:"Region profile: us or metric."`
	Supply   string  `required:"" help:"Voltage and lines: 120V/1ph, 400V/3ph, or 1ph2w/230V."`
	Load     string  `xor:"load" help:"Load, e.g. 1650W; either this or --current."`
	Current  string  `xor:"load" help:"Current, e.g. 14A; either this or --load."`
	Length   string  `required:"" help:"One-way length, from the panel to the last unit, e.g. 100ft or 30m."`
	PF       float64 `name:"pf" default:"0.9" help:"Power factor, 0 to 1."`
	Spare    float64 `default:"25" help:"Percent of the breaker kept free for growth."`
	Ambient  float64 `default:"30" help:"Air temperature along the run, °C."`
	Together int     `default:"1" help:"Circuits that run together, this one among them."`
}

// Help says what the sum rests on.
func (circuitCmd) Help() string {
	return `I = P/(V·pf), √3·V for three-phase. The smallest standard breaker whose free share stays for growth; the thinnest conductor whose tabulated ampacity × ambient factor × grouping factor carries the breaker and keeps the region's voltage drop; ground, raceway and connector to it.

Source: the region profile's tables (NFPA 70, or IEC 60364 and BS 7671), named in the answer.

Example: roodbeam calc circuit --region us --supply 120V/1ph --load 1650W --length 100ft

A proposal for a licensed electrician, who decides under the local code.`
}

// Run sizes a circuit.
func (cmd *circuitCmd) Run(c *call) error {
	if cmd.Load == "" && cmd.Current == "" {
		return wrong("calc circuit: either --load or --current is missing, for example --load 1650W or --current 14A")
	}
	volts, system, err := supplied(cmd.Supply)
	if err != nil {
		return err
	}
	req := &pb.ComputeCircuitRequest{Region: cmd.Region, Units: unitsOf(cmd.Region), System: system, Voltage: typed(volts), Length: typed(cmd.Length), Pf: cmd.PF,
		SparePct: &cmd.Spare, AmbientC: &cmd.Ambient, Together: int32(cmd.Together)}
	if cmd.Load != "" {
		req.Power = typed(cmd.Load)
	} else {
		req.Current = typed(cmd.Current)
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeCircuit(c.ctx, req)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "load       %.0f VA, %.1f A, %.1f A for sizing\n", res.GetLoadVa(), res.GetCurrentA(), res.GetDesignA())
	fmt.Fprintf(c.out, "breaker    %g A, %.0f %% used\n", res.GetBreakerA(), res.GetUsePct())
	fmt.Fprintf(c.out, "conductor  %s, carries %.1f A after corrections; ground %s\n", res.GetConductor(), res.GetAmpacityA(), res.GetGround())
	fmt.Fprintf(c.out, "drop       %.2f V, %.2f %% (planning limit %.1f %%)\n", res.GetDropV(), res.GetDropPct(), res.GetLimitPct())
	if res.LongestM != nil {
		fmt.Fprintf(c.out, "longest    %s of this conductor keeps the limit\n", both(typedIn(cmd.Length), func(u units) string { return u.length(res.LongestM) }))
	}
	if res.GetRaceway() != "" {
		fmt.Fprintf(c.out, "raceway    %s, %.0f %% full\n", res.GetRaceway(), res.GetRacewayFillPct())
	}
	if res.GetConnector() != "" {
		fmt.Fprintf(c.out, "connector  %s\n", res.GetConnector())
	}
	return basis(c, res.GetBasis())
}
