package command

import "google.golang.org/protobuf/proto"

// planned names a scheme of a project.
type planned struct {
	Project string `arg:"" help:"Project id, or the church's file."`
	Scheme  string `help:"Scheme; without it the chosen one, else the one written last."`
}

// derived asks for what follows from a planned project and shows it in its
// people's units, or as JSON.
func derived[R proto.Message](c *call, p *planned, ask func(*session) (R, error), show func(units, R)) error {
	s, err := c.openProject(&p.Project)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := ask(s)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	u, err := c.unitsFor(s, p.Project)
	if err != nil {
		return err
	}
	show(u, res)
	return nil
}
