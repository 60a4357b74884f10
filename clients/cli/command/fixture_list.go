package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type fixtureListCmd struct {
	Project string `help:"Project id: its own fixtures beside the generic ones."`
}

// Run lists fixtures.
func (cmd *fixtureListCmd) Run(c *call) error {
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := cmd.list(c, s)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	var rows [][]string
	for _, f := range res.GetFixtures() {
		beams := ""
		for i, b := range f.GetBeams() {
			if i > 0 {
				beams += ", "
			}
			beams += fmt.Sprintf("%.0f° %.0f cd", b.GetFieldDeg(), b.GetPeakCd())
		}
		rows = append(rows, []string{f.GetCode(), f.GetName(), word(f.GetClass().String(), "FIXTURE_CLASS_"), fmt.Sprintf("%.0f W", f.GetPowerW()),
			fmt.Sprintf("%.1f kg", f.GetMassKg()), fmt.Sprint(f.GetSlots()), beams})
	}
	table(c.out, []string{"code", "name", "class", "power", "mass", "slots", "field and peak"}, rows)
	return nil
}

func (cmd *fixtureListCmd) list(c *call, s *session) (*pb.ListFixturesResponse, error) {
	if cmd.Project == "" {
		return s.Catalog.ListGenericFixtures(c.ctx, &pb.ListGenericFixturesRequest{PageSize: 500})
	}
	return s.Catalog.ListFixtures(c.ctx, &pb.ListFixturesRequest{ProjectId: cmd.Project, PageSize: 500})
}
