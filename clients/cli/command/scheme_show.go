package command

import (
	pb "roodbeam/api/gen/roodbeam/v1"
)

type schemeShowCmd struct {
	File    string `arg:"" help:"The church's file, or a project id."`
	Scheme  string `help:"Scheme; without it the chosen one, else the one written last."`
	Reasons bool   `default:"true" negatable:"" help:"Print why each unit is where it is, and what was passed over."`
}

// Run prints a stored scheme's units, plan and reasons.
func (cmd *schemeShowCmd) Run(c *call) error {
	s, project, err := c.target(cmd.File)
	if err != nil {
		return err
	}
	defer s.close()
	got, err := s.Design.GetScheme(c.ctx, &pb.GetSchemeRequest{ProjectId: project, Name: cmd.Scheme})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, got)
	}
	res, us, err := c.evaluate(s, project, got.GetScheme())
	if err != nil {
		return err
	}
	schemeCard(c.out, got.GetScheme(), res, us, cmd.Reasons)
	return nil
}
