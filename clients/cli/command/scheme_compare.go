package command

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	pb "roodbeam/api/gen/roodbeam/v1"
)

type schemeCompareCmd struct {
	File    string   `arg:"" help:"The church's file, or a project id."`
	Schemes []string `arg:"" optional:"" help:"Two schemes; or one, or none for the chosen one, with what-ifs."`
	Without []string `sep:"none" placeholder:"LINE" help:"What if this hanging line were left out."`
	Swap    []string `placeholder:"CODE=CODE" help:"What if this fixture were exchanged for that one."`
	Wider   string   `placeholder:"LENGTH" help:"What if the platform were so much wider: 3 ft, 0.9 m; a number alone is metres."`
	Move    []string `sep:"none" placeholder:"SCREEN:X,Z" help:"What if this screen were moved by so much to stage left and up: 1 ft,-6 in; numbers alone are metres."`
}

// Run prints two schemes, or a scheme and what-ifs, side by side.
func (cmd *schemeCompareCmd) Run(c *call) error {
	whatIf := len(cmd.Without)+len(cmd.Swap)+len(cmd.Move) > 0 || cmd.Wider != ""
	if whatIf == (len(cmd.Schemes) == 2) || len(cmd.Schemes) > 2 {
		return wrong("name two schemes, or at least one of --without, --swap, --wider and --move").trying("Try: roodbeam scheme compare --help")
	}
	s, project, err := c.target(cmd.File)
	if err != nil {
		return err
	}
	defer s.close()
	changes, err := cmd.changes(c, s)
	if err != nil {
		return err
	}
	if len(changes) > 0 {
		name := ""
		if len(cmd.Schemes) == 1 {
			name = cmd.Schemes[0]
		}
		res, err := s.Design.WhatIf(c.ctx, &pb.WhatIfRequest{ProjectId: project, Scheme: name, Changes: changes})
		if err != nil {
			return err
		}
		if err := c.unknown(s, project, cmd.Schemes, res.GetAnswers()); err != nil {
			return err
		}
		if c.root.JSON {
			return printJSON(c.out, res)
		}
		heads, list := []string{"", "as it is"}, []*pb.SchemeFigures{res.GetNow()}
		for _, a := range res.GetAnswers() {
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

// unknown is the failure of what-ifs that name what is not there, with the names
// there are.
func (c *call) unknown(s *session, project string, schemes []string, answers []*pb.WhatIfAnswer) error {
	var says []string
	for _, a := range answers {
		if a.GetUnknown() != "" {
			says = append(says, a.GetText()+": "+a.GetUnknown())
		}
	}
	if len(says) == 0 {
		return nil
	}
	docs, err := s.Project.GetDocuments(c.ctx, &pb.GetDocumentsRequest{ProjectId: project})
	if err != nil {
		return err
	}
	name := ""
	if len(schemes) == 1 {
		name = schemes[0]
	}
	sc, err := s.Design.GetScheme(c.ctx, &pb.GetSchemeRequest{ProjectId: project, Name: name})
	if err != nil {
		return err
	}
	fixtures, err := s.Catalog.ListFixtures(c.ctx, &pb.ListFixturesRequest{ProjectId: project})
	if err != nil {
		return err
	}
	var lines, screens, hung, codes []string
	for _, l := range docs.GetFile().GetSurvey().GetLines() {
		lines = append(lines, l.GetName())
	}
	for _, x := range docs.GetFile().GetSurvey().GetScreens() {
		screens = append(screens, x.GetName())
	}
	for _, u := range sc.GetScheme().GetUnits() {
		if !slices.Contains(hung, u.GetFixture()) {
			hung = append(hung, u.GetFixture())
		}
	}
	for _, f := range fixtures.GetFixtures() {
		codes = append(codes, f.GetCode())
	}
	var names []string
	for _, k := range []struct {
		asked func(*pb.WhatIfAnswer) bool
		text  string
	}{
		{func(a *pb.WhatIfAnswer) bool { return strings.HasPrefix(a.GetUnknown(), "no hanging line") }, "hanging lines: " + listed(lines)},
		{func(a *pb.WhatIfAnswer) bool { return strings.HasPrefix(a.GetUnknown(), "no unit is a") }, "fixtures that hang: " + listed(hung)},
		{func(a *pb.WhatIfAnswer) bool { return strings.HasPrefix(a.GetUnknown(), "no fixture") }, "fixtures: " + strings.Join(codes, ", ")},
		{func(a *pb.WhatIfAnswer) bool { return strings.HasPrefix(a.GetUnknown(), "no screen") }, "screens: " + listed(screens)},
	} {
		if slices.ContainsFunc(answers, k.asked) {
			names = append(names, k.text)
		}
	}
	return wrong("%s", strings.Join(says, "; ")).trying("%s", strings.Join(names, "\n"))
}

func (cmd *schemeCompareCmd) changes(c *call, s *session) ([]*pb.SchemeChange, error) {
	var out []*pb.SchemeChange
	for _, l := range cmd.Without {
		out = append(out, &pb.SchemeChange{WithoutLine: l})
	}
	for _, s := range cmd.Swap {
		from, into, ok := strings.Cut(s, "=")
		if !ok {
			return nil, wrong("--swap %q: want CODE=CODE", s)
		}
		out = append(out, &pb.SchemeChange{Fixture: from, Into: into})
	}
	if cmd.Wider != "" {
		m, err := c.metres(s, "--wider", cmd.Wider)
		if err != nil {
			return nil, err
		}
		if m == 0 {
			return nil, wrong("--wider %q: a length other than 0 is wanted", cmd.Wider)
		}
		out = append(out, &pb.SchemeChange{PlatformWiderM: m})
	}
	for _, text := range cmd.Move {
		at := strings.LastIndex(text, ":")
		if at < 1 {
			return nil, wrong("--move %q: want SCREEN:X,Z", text)
		}
		x, z, ok := strings.Cut(text[at+1:], ",")
		if !ok {
			return nil, wrong("--move %q: want SCREEN:X,Z, each a length", text)
		}
		change := &pb.SchemeChange{Screen: text[:at]}
		var err error
		if change.ScreenXM, err = c.metres(s, "--move", x); err != nil {
			return nil, err
		}
		if change.ScreenZM, err = c.metres(s, "--move", z); err != nil {
			return nil, err
		}
		out = append(out, change)
	}
	return out, nil
}

// metres reads a length, which may be negative; a number alone is metres.
func (c *call) metres(s *session, flag, text string) (float64, error) {
	text = strings.TrimSpace(text)
	if v, err := strconv.ParseFloat(text, 64); err == nil && !math.IsNaN(v) && !math.IsInf(v, 0) {
		return v, nil
	}
	sign := 1.0
	if rest, ok := strings.CutPrefix(text, "-"); ok {
		sign, text = -1, rest
	}
	if text == "" {
		return 0, wrong("%s: a length is wanted, as 3 ft or 0.9 m", flag)
	}
	res, err := s.Survey.ReadQuantity(c.ctx, &pb.ReadQuantityRequest{Dimension: optionsv1.Dimension_DIMENSION_LENGTH, Text: text})
	if err != nil {
		return 0, err
	}
	switch q := res.GetQuantity(); {
	case res.GetProblem() != "":
		return 0, wrong("%s: %s", flag, res.GetProblem())
	case q.ValueSi == nil:
		return 0, wrong("%s: %q can be read in more than one way: %s", flag, text, strings.Join(res.GetReadingsShown(), " or "))
	default:
		return sign * q.GetValueSi(), nil
	}
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
