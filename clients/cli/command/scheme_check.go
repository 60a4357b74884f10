package command

import (
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type schemeCheckCmd struct {
	File   string `arg:"" help:"The church's file, or a project id."`
	Scheme string `help:"Scheme; without it the chosen one, else the one written last."`
}

// Run prints the findings of geometry and light of a stored scheme.
func (cmd *schemeCheckCmd) Run(c *call) error {
	s, project, err := c.target(cmd.File)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Project.ListFindings(c.ctx, &pb.ListFindingsRequest{ProjectId: project, Scheme: cmd.Scheme, Least: pb.Severity_SEVERITY_NOTE})
	if err != nil {
		return err
	}
	res.Findings = ofScheme(res.GetFindings())
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	for _, f := range res.GetFindings() {
		fmt.Fprintf(c.out, "%-4s  %s: %s %s\n", word(f.GetSeverity().String(), "SEVERITY_"), f.GetTitle(), f.GetText(), f.GetAdvice())
	}
	schemeFindings(c, project, res.GetFindings())
	return nil
}

// ofScheme keeps the findings that a scheme's geometry and light give.
func ofScheme(all []*pb.Finding) []*pb.Finding {
	var kept []*pb.Finding
	for _, f := range all {
		if code := f.GetCode(); strings.HasPrefix(code, "SCHEME_") || strings.HasPrefix(code, "FRONT_") || strings.HasPrefix(code, "LIGHT_") {
			kept = append(kept, f)
		}
	}
	return kept
}

// schemeFindings is the card of those findings; it says what was counted.
func schemeFindings(c *call, project string, kept []*pb.Finding) {
	findingsCard(c.out, kept)
	fmt.Fprintf(c.out, "  counted: the scheme's geometry and light; survey, load, hanging and cost have more: %s findings %s%s\n", invoked(), project, c.asCalled())
}
