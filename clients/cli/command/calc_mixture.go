package command

import (
	"fmt"
	"strconv"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type mixtureCmd struct {
	Emitter []string `required:"" sep:"none" placeholder:"NAME,X,Y,LUMENS" help:"An emitter at full drive: name, CIE 1931 chromaticity and lumens. Once for each."`
	White   float64  `help:"Wanted white in kelvin."`
	Duv     float64  `help:"Distance of the wanted white from the Planckian locus, positive: greenish."`
	X       float64  `help:"Wanted chromaticity x, instead of a white."`
	Y       float64  `help:"Wanted chromaticity y."`
}

// Help says what the sum rests on.
func (mixtureCmd) Help() string {
	return `The drive of each emitter that gives the wanted light at most flux: a linear programme, solved exactly.

Source: Grassmann's laws; CIE 15.

Example: roodbeam calc mixture --emitter red,0.69,0.31,900 --emitter green,0.19,0.72,1800 --emitter blue,0.14,0.04,250 --white 3200`
}

// Run computes a mixture.
func (cmd *mixtureCmd) Run(c *call) error {
	req := &pb.ComputeMixtureRequest{CctK: cmd.White, Duv: cmd.Duv, X: cmd.X, Y: cmd.Y}
	for _, text := range cmd.Emitter {
		e, ok := emitter(text)
		if !ok {
			return wrong("--emitter: given %q; wanted NAME,X,Y,LUMENS", text)
		}
		req.Emitters = append(req.Emitters, e)
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeMixture(c.ctx, req)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	for i, e := range req.GetEmitters() {
		fmt.Fprintf(c.out, "%-10s %.1f %%\n", e.GetName(), 100*res.GetLevels()[i])
	}
	fmt.Fprintf(c.out, "flux       %.0f lm\nreached    x %.4f, y %.4f", res.GetFluxLm(), res.GetX(), res.GetY())
	if res.CctK != nil {
		fmt.Fprintf(c.out, "; %.0f K, Duv %+.4f", res.GetCctK(), res.GetDuv())
	}
	fmt.Fprintln(c.out)
	if !res.GetInGamut() {
		fmt.Fprintf(c.out, "caution    the wanted light lies outside what these emitters mix; this is the nearest, Δu′v′ %.4f away\n", res.GetDistance())
	}
	return basis(c, res.GetBasis())
}

// emitter reads "NAME,X,Y,LUMENS".
func emitter(text string) (*pb.Emitter, bool) {
	parts := strings.Split(text, ",")
	if len(parts) != 4 || strings.TrimSpace(parts[0]) == "" {
		return nil, false
	}
	e := &pb.Emitter{Name: strings.TrimSpace(parts[0])}
	for i, to := range []*float64{&e.X, &e.Y, &e.FluxLm} {
		v, err := strconv.ParseFloat(strings.TrimSpace(parts[i+1]), 64)
		if err != nil {
			return nil, false
		}
		*to = v
	}
	return e, true
}
