package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type poolCmd struct {
	Throw string  `required:"" help:"Throw, e.g. 8m."`
	Angle float64 `required:"" help:"Full angle in degrees."`
}

// Help says what the sum rests on.
func (poolCmd) Help() string {
	return `D = 2·d·tan(angle/2), d the throw, for a surface square to the beam.

Source: plane geometry of a cone cut square to its axis.

Example: roodbeam calc pool --throw 8m --angle 26
On a slanted surface the pool is an ellipse and longer.`
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
