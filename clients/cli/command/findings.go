package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type findingsCmd struct {
	planned
	Least string `enum:"note,warn,stop" default:"note" help:"Least severity: note, warn or stop."`
}

// Run lists findings, stops first, each with what to do and who can clear it.
func (cmd *findingsCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	least := map[string]pb.Severity{"note": pb.Severity_SEVERITY_NOTE, "warn": pb.Severity_SEVERITY_WARN, "stop": pb.Severity_SEVERITY_STOP}[cmd.Least]
	res, err := s.Project.ListFindings(c.ctx, &pb.ListFindingsRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme, Least: least})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	for _, f := range res.GetFindings() {
		cleared := ""
		if f.GetClearing() != nil {
			cleared = " (cleared)"
		}
		fmt.Fprintf(c.out, "%-4s %s%s\n     %s\n     %s\n     clears: %s · code %s · limit: %s\n\n", word(f.GetSeverity().String(), "SEVERITY_"),
			f.GetTitle(), cleared, indented(f.GetText()), f.GetAdvice(), word(f.GetOwner().String(), "FINDING_OWNER_"), f.GetCode(), f.GetSource())
	}
	fmt.Fprintf(c.out, "open: %s, %s, %s\n", count(int(res.GetOpenStops()), "stop"), count(int(res.GetOpenWarnings()), "warning"), count(int(res.GetOpenNotes()), "note"))
	return nil
}
