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
