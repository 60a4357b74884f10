package command

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type beamCmd struct {
	Span     []string `sep:"," help:"Span, or spans from left to right: 4m, or 2.4m,9.1m,2.4m."`
	Overhang string   `help:"Beyond the last support, e.g. 1.2m; without a span, and clamped left, a cantilever."`
	Before   string   `help:"Before the first support, e.g. 0.5m."`
	Load     []string `sep:"none" placeholder:"FORCE@PLACE" help:"Point load with its place from the left end, repeatable: 1000N@1m, 12kg@0.5m, 26lb@3ft."`
	UDL      string   `name:"udl" placeholder:"FORCE" help:"Even load over the whole length, per metre, or per foot where it says so: 200N, 4.4kg, 14lbf/ft."`
	Section  string   `help:"Section: tube 48.3x4.0, pipe 1-1/2 sch 40, 2x10, rect 100x200 (mm)."`
	E        string   `name:"e" help:"Modulus of elasticity: 210GPa, 1600ksi."`
	Clamped  string   `enum:"none,left,right,both" default:"none" help:"Which ends are held against turning: none, left, right or both."`
	Self     bool     `help:"Add the section's own mass from the table."`
	US       bool     `name:"us" help:"Read numbers without a unit as feet, pounds-force, pounds-force per foot and ksi."`
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
	read := unitsOf(map[bool]string{true: "us"}[cmd.US])
	shown := typedIn(append(append([]string{cmd.Overhang, cmd.Before, cmd.UDL}, cmd.Span...), cmd.Load...)...)
	shown.us = shown.us || cmd.US
	req := &pb.ComputeBeamRequest{Units: read, Section: cmd.Section, SelfWeight: cmd.Self,
		ClampLeft: cmd.Clamped == "left" || cmd.Clamped == "both", ClampRight: cmd.Clamped == "right" || cmd.Clamped == "both"}
	for _, span := range cmd.Span {
		req.Spans = append(req.Spans, typed(bare(cmd.US, span, "ft")))
	}
	if cmd.Overhang != "" {
		req.OverhangRight = typed(bare(cmd.US, cmd.Overhang, "ft"))
	}
	if cmd.Before != "" {
		req.OverhangLeft = typed(bare(cmd.US, cmd.Before, "ft"))
	}
	for _, l := range cmd.Load {
		force, place, ok := strings.Cut(l, "@")
		if !ok {
			return wrong("--load: a force and its place are wanted, 1000N@1m; given %q", l)
		}
		req.Loads = append(req.Loads, &pb.BeamLoad{Force: typed(bare(cmd.US, force, "lbf")), At: typed(bare(cmd.US, place, "ft"))})
	}
	if cmd.UDL != "" {
		req.SpreadLoad = typed(perMetre(bare(cmd.US, cmd.UDL, "lbf/ft")))
	}
	if cmd.E != "" {
		req.Modulus = typed(bare(cmd.US, cmd.E, "ksi"))
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
	// In the units of the question, with the others behind where it was asked in feet.
	say := func(write func(units) string) string {
		if shown.us {
			return both(shown, write)
		}
		return write(shown)
	}
	force := func(n float64) string {
		return say(func(u units) string { return u.value(&n, "lbf", newtonsPerPound, 2, "N", 2) })
	}
	moment := func(nm float64) string {
		return say(func(u units) string { return u.value(&nm, "lbf·ft", newtonsPerPound*metresPerFoot, 2, "N·m", 2) })
	}
	place := func(m float64) string {
		return say(func(u units) string { return u.value(&m, "ft", metresPerFoot, 3, "m", 3) })
	}
	for i, r := range res.GetReactionsN() {
		fmt.Fprintf(c.out, "reaction   %s at %s", force(r), place(res.GetSupportsM()[i]))
		if m := res.GetSupportMomentsNm()[i]; m > 1e-9 || m < -1e-9 {
			fmt.Fprintf(c.out, ", moment %s", moment(m))
		}
		fmt.Fprintln(c.out)
	}
	fmt.Fprintf(c.out, "shear      %s\nmoment     %s sagging at %s", force(res.GetMaxShearN()), moment(res.GetSagMomentNm()), place(res.GetSagAtM()))
	if h := res.GetHogMomentNm(); h < -0.005 {
		fmt.Fprintf(c.out, ", %s hogging at %s", moment(h), place(res.GetHogAtM()))
	}
	fmt.Fprintln(c.out)
	if res.DeflectionM != nil {
		mm := res.GetDeflectionM() * 1000
		fmt.Fprintf(c.out, "deflection %s at %s\n", say(func(u units) string { return u.value(&mm, "in", metresPerInch*1000, 3, "mm", 3) }), place(res.GetDeflectionAtM()))
	}
	if res.StressMpa != nil {
		fmt.Fprintf(c.out, "stress     %s in %s (I %.0f mm⁴, S %.0f mm³)\n", say(func(u units) string { return u.stress(res.StressMpa) }), res.GetSection(), res.GetInertiaMm4(), res.GetSectionModulusMm3())
	}
	return basis(c, res.GetBasis())
}

var bareNumber = regexp.MustCompile(`^\s*[-+]?\d+(\.\d+)?\s*$`)

// bare adds the unit that --us stands for to a number without one.
func bare(us bool, text, unit string) string {
	if us && bareNumber.MatchString(text) {
		return strings.TrimSpace(text) + " " + unit
	}
	return text
}

var perFoot = regexp.MustCompile(`^\s*([-+]?\d+(?:\.\d+)?)\s*([a-zA-Z]+)\s*/\s*(ft|m)\s*$`)

// perMetre returns an even load per metre, as the service takes it, of one that may
// be given per foot; what it does not understand it leaves to the service.
func perMetre(text string) string {
	m := perFoot.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return text
	}
	if m[3] == "ft" {
		v /= metresPerFoot
	}
	return strconv.FormatFloat(v, 'f', -1, 64) + m[2]
}
