package command

import (
	"errors"
	"fmt"
	"io"
	"slices"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type schemeProposeCmd struct {
	File         string  `arg:"" help:"The church's file, or a project id."`
	Keep         string  `help:"Scheme whose locked units are kept."`
	Name         string  `default:"proposed" help:"Name of the proposal."`
	Seed         uint64  `help:"Seed of the search; the same seed gives the same scheme."`
	Effort       float64 `help:"Search so many times as long."`
	Gap          float64 `help:"Stop once within this many percent of the best possible."`
	TimeLimit    uint32  `name:"time-limit" help:"Stop after so many seconds with the best so far."`
	Alternatives bool    `help:"Three schemes side by side, and the curve of cost against result."`
	Save         bool    `help:"Store the proposal."`
}

// Run proposes a scheme, tells meanwhile how far it is, and prints it.
func (cmd *schemeProposeCmd) Run(c *call) error {
	s, project, err := c.target(cmd.File)
	if err != nil {
		return err
	}
	defer s.close()
	if cmd.Alternatives {
		return cmd.alternatives(c, s, project)
	}
	stream, err := s.Design.StreamProposal(c.ctx, &pb.StreamProposalRequest{ProjectId: project, Proposal: &pb.ProposeSchemeRequest{
		ProjectId: project, Name: cmd.Name, Parent: cmd.Keep, Seed: cmd.Seed, GapPct: cmd.Gap, TimeLimitS: cmd.TimeLimit, Effort: cmd.Effort}})
	if err != nil {
		return err
	}
	var made *pb.ProposeSchemeResponse
	for {
		msg, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		if p := msg.GetProgress(); p != nil && !c.root.JSON {
			fmt.Fprintf(c.err, "%d of %d, %s (%s): %.0f, at least %.0f, gap %.1f %%\n", p.GetStage(), p.GetStages(),
				p.GetName(), p.GetZone(), p.GetModelCost(), p.GetModelBound(), 100*p.GetGap())
		}
		if msg.GetProposal() != nil {
			made = msg.GetProposal()
		}
	}
	if made == nil {
		return errors.New("the server sent no proposal")
	}
	if cmd.Save {
		if _, err := c.putScheme(s, project, made.GetScheme(), made.GetRevision()); err != nil {
			return err
		}
	}
	if c.root.JSON {
		return printJSON(c.out, made)
	}
	res, us, err := c.evaluate(s, project, made.GetScheme())
	if err != nil {
		return err
	}
	schemeCard(c.out, made.GetScheme(), res, us, true)
	shortCard(c.out, made.GetFindings(), res.GetFindings())
	fmt.Fprintln(c.out, "\nHow good that is, by the engine's own model (money, a price on light that is missing, a price on what is opened)")
	var rows [][]string
	for _, st := range made.GetStages() {
		missing := "nothing"
		if n := len(st.GetMissing()); n > 0 {
			missing = fmt.Sprintf("%s by %.0f", st.GetMissing()[0].GetRow(), st.GetMissing()[0].GetMissingLx())
			if n > 1 {
				missing += fmt.Sprintf(" and %d more", n-1)
			}
		}
		rows = append(rows, []string{st.GetName(), st.GetZone(), fmt.Sprintf("%.0f", st.GetModelCost()),
			fmt.Sprintf("%.0f", st.GetModelBound()), fmt.Sprintf("%.1f %%", 100*st.GetGap()), fmt.Sprintf("%d × %d", st.GetColumns(), st.GetRows()), missing})
	}
	rows = append(rows, []string{"all", "", fmt.Sprintf("%.0f", made.GetModelCost()), fmt.Sprintf("%.0f", made.GetModelBound()), fmt.Sprintf("%.1f %%", 100*made.GetGap()), "", ""})
	aligned(c.out, "  ", []string{"stage", "zones", "cost", "no choice below", "gap", "columns × rows", "missing"}, rows)
	kept := ofScheme(res.GetFindings())
	for _, f := range made.GetFindings() {
		if !slices.ContainsFunc(kept, func(k *pb.Finding) bool { return k.GetKey() == f.GetKey() }) {
			kept = append(kept, f)
		}
	}
	schemeFindings(c, project, kept)
	return nil
}

// shortCard prints what a proposal does not reach, and what would cure it.
func shortCard(w io.Writer, made, all []*pb.Finding) {
	var list []*pb.Finding
	for _, f := range made {
		if f.GetSeverity() != pb.Severity_SEVERITY_NOTE {
			list = append(list, f)
		}
	}
	for _, f := range all {
		switch f.GetCode() {
		case "COST_OVER_CAP", "COST_PULL_FORWARD", "SCHEME_BACK_MISSING", "SCHEME_BACK_NO_LINE", "SCHEME_HAZE":
			list = append(list, f)
		}
	}
	if len(list) == 0 {
		return
	}
	fmt.Fprintln(w, "\nWhat falls short, and what would cure it")
	for _, f := range list {
		fmt.Fprintf(w, "  %s: %s %s\n", f.GetTitle(), f.GetText(), f.GetAdvice())
	}
}

func (cmd *schemeProposeCmd) alternatives(c *call, s *session, project string) error {
	res, err := s.Design.ProposeAlternatives(c.ctx, &pb.ProposeAlternativesRequest{ProjectId: project, Parent: cmd.Keep, Seed: cmd.Seed})
	if err != nil {
		return err
	}
	if cmd.Save {
		revision := res.GetRevision()
		for _, a := range res.GetAlternatives() {
			if revision, err = c.putScheme(s, project, a.GetScheme(), revision); err != nil {
				return err
			}
		}
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	heads, list := []string{""}, []*pb.SchemeFigures(nil)
	for _, a := range res.GetAlternatives() {
		heads, list = append(heads, a.GetName()), append(list, a.GetFigures())
	}
	u, err := c.unitsFor(s, project)
	if err != nil {
		return err
	}
	table(c.out, heads, figureRows(u, heads, list))
	fmt.Fprintln(c.out)
	for _, a := range res.GetAlternatives() {
		fmt.Fprintf(c.out, "%s: %s\n", a.GetName(), a.GetAbout())
	}
	fmt.Fprintln(c.out, "\nCost against result")
	var rows [][]string
	for _, p := range res.GetCurve() {
		f := p.GetFigures()
		rows = append(rows, []string{money(f.GetCostMinor(), f.GetCurrency()), fmt.Sprintf("%.0f %%", f.GetReachedPct()), fmt.Sprint(f.GetUnits()), fmt.Sprintf("%.0f %%", p.GetTargetPct())})
	}
	aligned(c.out, "  ", []string{"cost with contingency", "wanted light reached", "units", "of the targets asked"}, rows)
	return nil
}
