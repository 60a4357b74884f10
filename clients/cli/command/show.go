package command

import (
	"fmt"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type showCmd struct {
	Project string `arg:"" optional:"" help:"Project id, or the church's file; without it all projects are listed."`
	Scheme  string `help:"Scheme; without it the chosen one, else the one written last."`
}

// Run shows one stored project, or lists all.
func (cmd *showCmd) Run(c *call) error {
	if cmd.Project == "" {
		s, err := c.open("", false)
		if err != nil {
			return err
		}
		defer s.close()
		return c.listProjects(s)
	}
	s, err := c.openProject(&cmd.Project)
	if err != nil {
		return err
	}
	defer s.close()
	res, err := s.Project.GetResults(c.ctx, &pb.GetResultsRequest{ProjectId: cmd.Project, Scheme: cmd.Scheme})
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	got, err := s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: cmd.Project})
	if err != nil {
		return err
	}
	docs, err := s.Project.GetDocuments(c.ctx, &pb.GetDocumentsRequest{ProjectId: cmd.Project})
	if err != nil {
		return err
	}
	resultCard(c.out, got.GetProject(), res.GetResults(), usDisplay(docs.GetFile()))
	return nil
}

func (c *call) listProjects(s *session) error {
	all, err := c.projects(s)
	if err != nil {
		return err
	}
	if c.root.JSON {
		return printJSON(c.out, &pb.ListProjectsResponse{Projects: all})
	}
	var rows [][]string
	for _, p := range all {
		rows = append(rows, []string{p.GetProjectId(), p.GetName(), p.GetTown(), p.GetRegion(), p.GetStatus(),
			fmt.Sprint(p.GetOpenStops()), p.GetUpdated().AsTime().Format("2006-01-02 15:04")})
	}
	table(c.out, []string{"project", "church", "town", "region", "status", "open stops", "changed (UTC)"}, rows)
	return nil
}
