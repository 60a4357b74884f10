package command

import (
	"fmt"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type surveyImportCmd struct {
	File        string `arg:"" placeholder:"FILE.csv" help:"List with the columns kind,from,at,to,value,sigma; - reads standard input."`
	Project     string `required:"" help:"Project id, or the church's file."`
	By          string `help:"Who took them, by role."`
	NewStations bool   `name:"new-stations" help:"Make stations of names that the survey does not know."`
	Entry       string `help:"Id of the entry (UUIDv7); the same list sent twice with it counts once."`
}

// Run adds a list's measurements to a project.
func (cmd *surveyImportCmd) Run(c *call) error {
	text, err := readList(c, cmd.File)
	if err != nil {
		return err
	}
	entry, err := entryID(cmd.Entry)
	if err != nil {
		return err
	}
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Survey.ImportMeasurements(c.ctx, &pb.ImportMeasurementsRequest{ProjectId: cmd.Project, EntryId: entry, List: text, By: cmd.By, NewStations: cmd.NewStations})
	if err != nil {
		return newStationHint(err, false)
	}
	return added(c, res)
}

func entryID(given string) (string, error) {
	if given != "" {
		return given, nil
	}
	id, err := uuid.NewV7()
	return id.String(), err
}

// added says what was written and what does not fit now.
func added(c *call, res *pb.AddMeasurementsResponse) error {
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	fmt.Fprintf(c.out, "%s added, revision %d\n", count(len(res.GetMeasurements()), "measurement"), res.GetRevision())
	printFindings(c, res.GetFindings())
	return nil
}
