package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type linesCmd struct {
	Project string `arg:"" help:"Project id, or the church's file."`
	Scheme  string `help:"Scheme that says which lines are used."`
}

// Run prints every hanging line with its angle to every face, and why not.
func (cmd *linesCmd) Run(c *call) error {
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Design.GetLines(c.ctx, &pb.GetLinesRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	u, err := c.unitsFor(s, cmd.Project)
	if err != nil {
		return err
	}
	var rows [][]string
	for _, l := range res.GetLines() {
		name := l.GetLine()
		if l.GetPlace() != "" {
			name += ", " + l.GetPlace()
		}
		for i, z := range l.GetZones() {
			row := []string{"", "", z.GetZone() + " / " + z.GetFace(), degrees(z.ElevationDeg, z.SigmaDeg), u.length(z.ThrowM), word(z.GetBand().String(), "ELEVATION_BAND_"), ""}
			if i == 0 {
				row[0], row[1], row[6] = name, word(l.GetVerdict().String(), "LINE_VERDICT_"), l.GetWhy()
			}
			rows = append(rows, row)
		}
		if len(l.GetZones()) == 0 {
			rows = append(rows, []string{name, word(l.GetVerdict().String(), "LINE_VERDICT_"), "", "", "", "", l.GetWhy()})
		}
	}
	table(c.out, []string{"line", "verdict", "zone / face", "elevation", "throw", "band", "why"}, rows)
	return nil
}

func degrees(v, sigma *float64) string {
	if v == nil {
		return "unknown"
	}
	if sigma == nil {
		return fmt.Sprintf("%.1f°", *v)
	}
	return fmt.Sprintf("%.1f° ±%.1f°", *v, *sigma)
}
