package command

import (
	"fmt"
	"strconv"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type poolCmd struct {
	Throw string `required:"" help:"Throw, e.g. 8m."`
	Angle string `required:"" help:"Full angle, e.g. 26 or 26°."`
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
	angle, err := degreesOf(cmd.Angle)
	if err != nil {
		return wrong("--angle: %v", err)
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputePool(c.ctx, &pb.ComputePoolRequest{Throw: typed(cmd.Throw), AngleDeg: angle})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "diameter   %s\n", both(typedIn(cmd.Throw), func(u units) string { return u.along(&res.DiameterM) }))
	return basis(c, res.GetBasis())
}

// degreesOf reads an angle in degrees, with or without its sign.
func degreesOf(text string) (float64, error) {
	t := strings.TrimSpace(text)
	for _, unit := range []string{"°", "degrees", "degree", "deg"} {
		t = strings.TrimSpace(strings.TrimSuffix(t, unit))
	}
	v, err := strconv.ParseFloat(strings.Replace(t, ",", ".", 1), 64)
	if err != nil {
		return 0, fmt.Errorf("an angle in degrees is wanted, 26 or 26°; given %q", text)
	}
	return v, nil
}
