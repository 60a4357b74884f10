package command

import (
	"fmt"
	"strconv"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type exposureCmd struct {
	Aperture string  `required:"" help:"f-number, e.g. 2.8 or f/2.8."`
	Shutter  string  `required:"" help:"Shutter time, e.g. 1/60 or 0.02s."`
	ISO      float64 `name:"iso" required:"" help:"ISO speed."`
	Constant float64 `default:"250" help:"Meter constant: 250 flat receptor, 340 dome."`
}

// Help says what the sum rests on.
func (exposureCmd) Help() string {
	return `E = C·N²/(t·S): light on the subject, lx, that a camera's f-number N, shutter time t and ISO speed S ask for; C is the meter's constant.

Source: ISO 2720:1974, incident-light exposure meters.

Example: roodbeam calc exposure --aperture 2.8 --shutter 1/60 --iso 800 --constant 250
For a mid-tone subject; light on the face toward the camera, not on the floor.`
}

// Run computes the light a camera asks for.
func (cmd *exposureCmd) Run(c *call) error {
	n, err := strconv.ParseFloat(strings.TrimPrefix(strings.TrimPrefix(strings.ToLower(strings.TrimSpace(cmd.Aperture)), "f"), "/"), 64)
	if err != nil {
		return wrong("--aperture: an f-number is wanted, 2.8 or f/2.8; given %q", cmd.Aperture)
	}
	t, ok := seconds(cmd.Shutter)
	if !ok {
		return wrong("--shutter: a time is wanted, 1/60 or 0.02s; given %q", cmd.Shutter)
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeExposure(c.ctx, &pb.ComputeExposureRequest{Aperture: n, ShutterS: t, Iso: cmd.ISO, Constant: cmd.Constant})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "light      %.1f lx (%.1f fc), EV %.1f at ISO 100\n", res.GetIlluminanceLx(), res.GetIlluminanceLx()*0.3048*0.3048, res.GetEv100())
	return basis(c, res.GetBasis())
}

// seconds reads a shutter time: "1/60", "1/60 s", "0.5s".
func seconds(text string) (float64, bool) {
	text = strings.TrimSpace(strings.TrimSuffix(strings.ToLower(strings.TrimSpace(text)), "s"))
	top, bottom, fraction := strings.Cut(text, "/")
	a, err := strconv.ParseFloat(strings.TrimSpace(top), 64)
	if err != nil {
		return 0, false
	}
	if !fraction {
		return a, a > 0
	}
	b, err := strconv.ParseFloat(strings.TrimSpace(bottom), 64)
	return a / b, err == nil && a > 0 && b > 0
}
