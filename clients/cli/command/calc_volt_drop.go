package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type voltDropCmd struct {
	Region    string  `help:"Region profile: us or metric; without it us, or metric where the conductor is in mm²."`
	Supply    string  `required:"" help:"Voltage and lines: 208V/1ph, 400V/3ph, or 1ph2w/230V."`
	Current   string  `required:"" help:"Current, e.g. 28A."`
	Length    string  `required:"" help:"One-way length, e.g. 160ft."`
	Conductor string  `required:"" help:"Conductor as the region names it, e.g. \"8 AWG\" or \"2.5 mm²\"."`
	PF        float64 `name:"pf" default:"1" help:"Power factor."`
}

// Help says what the sum rests on.
func (voltDropCmd) Help() string {
	return `VD = 2·I·L·Z two-wire, √3·I·L·Z between the lines of three, Z = R·cosφ + X·sinφ of one conductor; or I·L·(mV/A/m)/1000 where the region's table gives it.

Source: NFPA 70 Chapter 9 Tables 8 and 9; BS 7671 Appendix 4; the limit is the region's planning limit.

Example: roodbeam calc volt-drop --region us --supply 208V/1ph --current 28A --length 160ft --conductor "8 AWG"

The whole load is taken at the end of the run; a planning figure for a licensed electrician.`
}

// Run computes a voltage drop.
func (cmd *voltDropCmd) Run(c *call) error {
	volts, system, err := supplied(cmd.Supply)
	if err != nil {
		return err
	}
	cmd.Region = regionOf(cmd.Region, cmd.Conductor)
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeVoltageDrop(c.ctx, &pb.ComputeVoltageDropRequest{Region: cmd.Region, Units: unitsOf(cmd.Region), System: system,
		Voltage: typed(volts), Current: typed(cmd.Current), Length: typed(cmd.Length), Conductor: cmd.Conductor, Pf: cmd.PF})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "drop       %.2f V, %.2f %% (planning limit %.1f %%)\n", res.GetDropV(), res.GetDropPct(), res.GetLimitPct())
	return basis(c, res.GetBasis())
}
