package command

import pb "roodbeam/api/gen/roodbeam/v1"

type fixtureInspectCmd struct {
	File string `arg:"" help:"Photometric file."`
}

// Run prints what a photometric file holds.
func (cmd *fixtureInspectCmd) Run(c *call) error {
	raw, err := c.photometricFile(cmd.File)
	if err != nil {
		return err
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Catalog.InspectPhotometry(c.ctx, &pb.InspectPhotometryRequest{File: raw})
	if err != nil {
		return c.refused(cmd.File, err)
	}
	if c.root.JSON {
		return printJSON(c.out, res.GetPhotometry())
	}
	photometry(c.out, res.GetPhotometry())
	return nil
}
