package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type calcCmd struct {
	Throw    throwCmd    `cmd:"" help:"Distance and elevation from a lens to a face: d = √(h² + y²), elevation = atan(h/y)."`
	Pool     poolCmd     `cmd:"" help:"Pool diameter of a beam: D = 2·d·tan(angle/2)."`
	VoltDrop voltDropCmd `cmd:"" name:"volt-drop" help:"Voltage drop of a two-wire or three-wire run."`
}

type throwCmd struct {
	Lens     string `required:"" help:"Height of the lens, e.g. 18.5 ft."`
	Face     string `required:"" help:"Height of the face, e.g. 6 ft 8 in."`
	Distance string `required:"" help:"Horizontal distance."`
}

// Run computes throw and elevation.
func (cmd *throwCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeThrow(c.ctx, &pb.ComputeThrowRequest{LensHeight: typed(cmd.Lens), FaceHeight: typed(cmd.Face), Distance: typed(cmd.Distance)})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "throw      %.2f m (%.1f ft)\nelevation  %.1f°\n", res.GetThrowM(), res.GetThrowM()/0.3048, res.GetElevationDeg())
	return basis(c, res.GetBasis())
}

type poolCmd struct {
	Throw string  `required:"" help:"Throw, e.g. 8m."`
	Angle float64 `required:"" help:"Full angle in degrees."`
}

// Run computes a pool's diameter.
func (cmd *poolCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputePool(c.ctx, &pb.ComputePoolRequest{Throw: typed(cmd.Throw), AngleDeg: cmd.Angle})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "diameter   %.2f m (%.1f ft)\n", res.GetDiameterM(), res.GetDiameterM()/0.3048)
	return basis(c, res.GetBasis())
}

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

func typed(s string) *pb.Quantity { return &pb.Quantity{Typed: s} }

func basis(c *call, b *pb.CalcBasis) error {
	fmt.Fprintf(c.out, "formula    %s\nsource     %s\n", b.GetFormula(), b.GetSource())
	for _, n := range b.GetCautions() {
		fmt.Fprintf(c.out, "caution    %s\n", n)
	}
	return nil
}

func upper(s string) string {
	return strings.ToUpper(strings.NewReplacer("-", "_", " ", "_").Replace(s))
}
