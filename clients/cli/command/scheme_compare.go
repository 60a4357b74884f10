package command

import (
	"errors"
	"fmt"
	"io"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type schemeCompareCmd struct {
	File    string   `arg:"" help:"The church's file, or a project id."`
	Schemes []string `arg:"" optional:"" help:"Two schemes; or one, or none for the chosen one, with what-ifs."`
	Without []string `sep:"none" placeholder:"LINE" help:"What if this hanging line were left out."`
	Swap    []string `placeholder:"CODE=CODE" help:"What if this fixture were exchanged for that one."`
	Wider   float64  `placeholder:"METRES" help:"What if the platform were so much wider."`
	Move    []string `sep:"none" placeholder:"SCREEN:X,Z" help:"What if this screen were moved by so many metres to stage left and up."`
}

// Run prints two schemes, or a scheme and what-ifs, side by side.
func (cmd *schemeCompareCmd) Run(c *call) error {
	changes, err := cmd.changes()
	if err == nil && (len(changes) == 0) != (len(cmd.Schemes) == 2) {
		err = errors.New("name two schemes, or at least one of --without, --swap, --wider and --move")
	}
	if err != nil {
		fmt.Fprintf(c.err, "roodbeam: %v\nTry: roodbeam scheme compare --help\n", err)
		return exit{exitInput}
	}
	s, project, err := c.target(cmd.File)
	if err != nil {
		return err
	}
	defer s.close()
	if len(changes) > 0 {
		name := ""
		if len(cmd.Schemes) == 1 {
			name = cmd.Schemes[0]
		}
		res, err := s.Design.WhatIf(c.ctx, &pb.WhatIfRequest{ProjectId: project, Scheme: name, Changes: changes})
		if err != nil {
			return err
		}
		if c.root.JSON {
			return printJSON(c.out, res)
		}
		heads, list := []string{"", "as it is"}, []*pb.SchemeFigures{res.GetNow()}
		for _, a := range res.GetAnswers() {
			if a.GetUnknown() != "" {
				fmt.Fprintf(c.err, "%s: %s\n", a.GetText(), a.GetUnknown())
				continue
			}
			heads, list = append(heads, a.GetText()), append(list, a.GetFigures())
		}
		u, err := c.unitsFor(s, project)
		if err != nil {
			return err
		}
		table(c.out, heads, figureRows(u, heads, list))
		return nil
	}
	res, err := s.Design.CompareSchemes(c.ctx, &pb.CompareSchemesRequest{ProjectId: project, First: cmd.Schemes[0], Second: cmd.Schemes[1]})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	u, err := c.unitsFor(s, project)
	if err != nil {
		return err
	}
	comparisonCard(c.out, u, cmd.Schemes[0], cmd.Schemes[1], res.GetComparison())
	return nil
}

func (cmd *schemeCompareCmd) changes() ([]*pb.SchemeChange, error) {
	var out []*pb.SchemeChange
	for _, l := range cmd.Without {
		out = append(out, &pb.SchemeChange{WithoutLine: l})
	}
	for _, s := range cmd.Swap {
		from, into, ok := strings.Cut(s, "=")
		if !ok {
			return nil, fmt.Errorf("--swap %q: want CODE=CODE", s)
		}
		out = append(out, &pb.SchemeChange{Fixture: from, Into: into})
	}
	if cmd.Wider != 0 {
		out = append(out, &pb.SchemeChange{PlatformWiderM: cmd.Wider})
	}
	for _, s := range cmd.Move {
		at := strings.LastIndex(s, ":")
		c := &pb.SchemeChange{}
		if at < 1 {
			return nil, fmt.Errorf("--move %q: want SCREEN:X,Z", s)
		}
		c.Screen = s[:at]
		if _, err := fmt.Sscanf(s[at+1:], "%f,%f", &c.ScreenXM, &c.ScreenZM); err != nil {
			return nil, fmt.Errorf("--move %q: want SCREEN:X,Z in metres", s)
		}
		out = append(out, c)
	}
	return out, nil
}

func comparisonCard(w io.Writer, u units, a, b string, c *pb.SchemeComparison) {
	var rows [][]string
	for _, n := range c.GetNumbers() {
		first, second, unit := number(n.First, 1), number(n.Second, 1), n.GetUnit()
		switch unit {
		case "m":
			first, second, unit = u.length(n.First), u.length(n.Second), ""
		case "kg":
			first, second, unit = u.mass(n.First), u.mass(n.Second), ""
		}
		rows = append(rows, []string{n.GetName(), first, second, unit})
	}
	if len(rows) > 0 {
		aligned(w, "", []string{"number", a, b, ""}, rows)
	}
	rows = nil
	side := func(p *pb.Placed) string {
		if p == nil {
			return "–"
		}
		u := p.GetUnit()
		return fmt.Sprintf("%s %.0f° on %s, %.0f %%", u.GetFixture(), u.GetFieldDeg(), u.GetLine(), level(u))
	}
	for _, u := range c.GetUnits() {
		rows = append(rows, []string{u.GetUnit(), side(u.GetFirst()), side(u.GetSecond()), strings.Join(u.GetWhat(), ", ")})
	}
	fmt.Fprintln(w)
	if len(rows) > 0 {
		aligned(w, "", []string{"unit", a, b, "differs in"}, rows)
	} else {
		fmt.Fprintln(w, "The units are the same.")
	}
	for _, part := range []struct {
		head string
		list []*pb.Finding
	}{{"Findings of " + a + " alone", c.GetOnlyInFirst()}, {"Findings of " + b + " alone", c.GetOnlyInSecond()}, {"Findings with other values, as in " + b, c.GetChanged()}} {
		if len(part.list) == 0 {
			continue
		}
		fmt.Fprintf(w, "\n%s\n", part.head)
		for _, f := range part.list {
			fmt.Fprintf(w, "  %-4s %s\n", word(f.GetSeverity().String(), "SEVERITY_"), f.GetTitle())
		}
	}
}
