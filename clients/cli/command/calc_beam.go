package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type beamCmd struct {
	Span     []string `sep:"," help:"Span, or spans from left to right: 4m, or 2.4m,9.1m,2.4m."`
	Overhang string   `help:"Beyond the last support, e.g. 1.2m; without a span, and clamped left, a cantilever."`
	Before   string   `help:"Before the first support, e.g. 0.5m."`
	Load     []string `sep:"none" placeholder:"FORCE@PLACE" help:"Point load with its place from the left end, repeatable: 1000N@1m, 12kg@0.5m, 26lb@3ft."`
	UDL      string   `name:"udl" placeholder:"FORCE" help:"Even load per metre over the whole length: 200N, 4.4kg."`
	Section  string   `help:"Section: tube 48.3x4.0, pipe 1-1/2 sch 40, 2x10, rect 100x200 (mm)."`
	E        string   `name:"e" help:"Modulus of elasticity: 210GPa, 1600ksi."`
	Clamped  string   `enum:"none,left,right,both" default:"none" help:"Which ends are held against turning: none, left, right or both."`
	Self     bool     `help:"Add the section's own mass from the table."`
	US       bool     `name:"us" help:"Read numbers without a unit the US way."`
}

// Help says what the sum rests on.
func (beamCmd) Help() string {
	return `Simple spans: R = Σ P·(L−a)/L; several spans by the equation of three moments; EI·y″ = −M. Forces in N or kN; kg and lb are read as their weight.

Source: Clapeyron's equation of three moments; AWC Design Aid No. 6, Beam Formulas, 2007; the section's own source is named in the answer.

Example: roodbeam calc beam --span 4m --load 1000N@1m --section "tube 48.3x4.0" --e 210GPa

A planning figure for a structural engineer, who approves before anything is hung.`
}

// Run solves a beam.
func (cmd *beamCmd) Run(c *call) error {
	units := unitsOf(map[bool]string{true: "us"}[cmd.US])
	req := &pb.ComputeBeamRequest{Units: units, Section: cmd.Section, SelfWeight: cmd.Self,
		ClampLeft: cmd.Clamped == "left" || cmd.Clamped == "both", ClampRight: cmd.Clamped == "right" || cmd.Clamped == "both"}
	for _, span := range cmd.Span {
		req.Spans = append(req.Spans, typed(span))
	}
	if cmd.Overhang != "" {
		req.OverhangRight = typed(cmd.Overhang)
	}
	if cmd.Before != "" {
		req.OverhangLeft = typed(cmd.Before)
	}
	for _, l := range cmd.Load {
		force, place, ok := strings.Cut(l, "@")
		if !ok {
			fmt.Fprintf(c.err, "roodbeam: --load: a force and its place are wanted, 1000N@1m; given %q\n", l)
			return exit{exitInput}
		}
		req.Loads = append(req.Loads, &pb.BeamLoad{Force: typed(force), At: typed(place)})
	}
	if cmd.UDL != "" {
		req.SpreadLoad = typed(cmd.UDL)
	}
	if cmd.E != "" {
		req.Modulus = typed(cmd.E)
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Calc.ComputeBeam(c.ctx, req)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	for i, r := range res.GetReactionsN() {
		fmt.Fprintf(c.out, "reaction   %.2f N at %.3f m", r, res.GetSupportsM()[i])
		if m := res.GetSupportMomentsNm()[i]; m > 1e-9 || m < -1e-9 {
			fmt.Fprintf(c.out, ", moment %.2f N·m", m)
		}
		fmt.Fprintln(c.out)
	}
	fmt.Fprintf(c.out, "shear      %.2f N\nmoment     %.2f N·m sagging at %.3f m", res.GetMaxShearN(), res.GetSagMomentNm(), res.GetSagAtM())
	if h := res.GetHogMomentNm(); h < -0.005 {
		fmt.Fprintf(c.out, ", %.2f N·m hogging at %.3f m", h, res.GetHogAtM())
	}
	fmt.Fprintln(c.out)
	if res.DeflectionM != nil {
		fmt.Fprintf(c.out, "deflection %.3f mm at %.3f m\n", res.GetDeflectionM()*1000, res.GetDeflectionAtM())
	}
	if res.StressMpa != nil {
		fmt.Fprintf(c.out, "stress     %.1f MPa in %s (I %.0f mm⁴, S %.0f mm³)\n", res.GetStressMpa(), res.GetSection(), res.GetInertiaMm4(), res.GetSectionModulusMm3())
	}
	return basis(c, res.GetBasis())
}
