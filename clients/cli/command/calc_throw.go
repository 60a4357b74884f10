package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type throwCmd struct {
	Lens     string `required:"" help:"Height of the lens, e.g. 18.5 ft."`
	Face     string `required:"" help:"Height of the face, e.g. 6 ft 8 in."`
	Distance string `required:"" help:"Horizontal distance."`
}

// Help says what the sum rests on.
func (throwCmd) Help() string {
	return `d = √(h² + y²), elevation = atan(h/y); h lens above face, y horizontal distance.

Source: Pythagoras; the elevation is measured at the face, not at the floor.

Example: roodbeam calc throw --lens "18 ft 6 in" --face "6 ft 8 in" --distance "12 ft"
Height and distance from the same floor.`
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
	fmt.Fprintf(c.out, "throw      %s\nelevation  %.1f°\n", both(typedIn(cmd.Lens, cmd.Face, cmd.Distance), func(u units) string { return u.along(&res.ThrowM) }), res.GetElevationDeg())
	return basis(c, res.GetBasis())
}
