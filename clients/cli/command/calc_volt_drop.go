package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type voltDropCmd struct {
	Region    string  `default:"us" help:"Region profile."`
	Supply    string  `required:"" help:"Voltage and lines: 208V/1ph, 230V/1ph, 400V/3ph."`
	Current   string  `required:"" help:"Current, e.g. 28A."`
	Length    string  `required:"" help:"One-way length, e.g. 160ft."`
	Conductor string  `required:"" help:"Conductor as the region names it, e.g. \"8 AWG\" or \"2.5 mm²\"."`
	PF        float64 `name:"pf" default:"1" help:"Power factor."`
}

// Run computes a voltage drop.
func (cmd *voltDropCmd) Run(c *call) error {
	volts, lines, _ := strings.Cut(cmd.Supply, "/")
	system := pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W
	switch lines {
	case "", "1ph":
	case "3ph":
		system = pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W
	default:
		fmt.Fprintf(c.err, "roodbeam: --supply: after the voltage 1ph or 3ph is wanted; given %q\n", cmd.Supply)
		return exit{exitInput}
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeVoltageDrop(c.ctx, &pb.ComputeVoltageDropRequest{Region: cmd.Region, System: system,
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
