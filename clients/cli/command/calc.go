package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type calcCmd struct {
	Throw     throwCmd     `cmd:"" help:"Distance and elevation from a lens to a face."`
	Pool      poolCmd      `cmd:"" help:"Pool diameter of a beam."`
	VoltDrop  voltDropCmd  `cmd:"" name:"volt-drop" help:"Voltage drop of a two-wire or three-phase run."`
	Circuit   circuitCmd   `cmd:"" help:"Breaker, conductor, ground and raceway of one circuit."`
	Fill      fillCmd      `cmd:"" help:"How full conductors make a raceway."`
	Payback   paybackCmd   `cmd:"" help:"When a saving pays its cost back."`
	Exposure  exposureCmd  `cmd:"" help:"Light that a camera's settings ask for."`
	Mixture   mixtureCmd   `cmd:"" help:"Drive of colour emitters for a wanted light at most flux."`
	Sun       sunCmd       `cmd:"" help:"Where the sun stands."`
	Beam      beamCmd      `cmd:"" help:"Reactions, shear, moment and deflection of a beam."`
	Secondary secondaryCmd `cmd:"" help:"Pull of a fall into a secondary suspension."`
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

// supplied reads a voltage with its lines, "208V/1ph"; false when it has said
// what is wrong.
func supplied(c *call, text string) (volts string, system pb.SupplySystem, ok bool) {
	volts, lines, _ := strings.Cut(text, "/")
	switch strings.ToLower(strings.TrimSpace(lines)) {
	case "", "1ph":
		return volts, pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W, true
	case "3ph":
		return volts, pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W, true
	}
	fmt.Fprintf(c.err, "roodbeam: --supply: after the voltage 1ph or 3ph is wanted; given %q\n", lines)
	return "", 0, false
}

// unitsOf returns the units in which text without a unit is read.
func unitsOf(region string) pb.DisplayUnits {
	if region == "us" {
		return pb.DisplayUnits_DISPLAY_UNITS_US
	}
	return pb.DisplayUnits_DISPLAY_UNITS_METRIC
}
