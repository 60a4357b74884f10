package command

import (
	"fmt"
	"path/filepath"
	"strings"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
)

type fixtureImportCmd struct {
	File    string  `arg:"" help:"Photometric file; it is kept as it is."`
	Project string  `help:"Project id; may be left out where there is one project only."`
	Code    string  `help:"Code of the fixture; without it the file's name. One that does not exist is made."`
	Class   string  `help:"Class of a fixture that is made: ellipsoidal, fresnel, par, wash …"`
	Field   float64 `help:"Field angle in degrees that the setting goes by; without it as measured."`
}

// Run imports a photometric file into a project's catalogue.
func (cmd *fixtureImportCmd) Run(c *call) error {
	class, ok := classOf(cmd.Class)
	if !ok {
		return wrong("--class: given %q; known: %s", cmd.Class, classNames())
	}
	raw, err := c.photometricFile(cmd.File)
	if err != nil {
		return err
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	project, err := cmd.project(c, s)
	if err != nil {
		return err
	}
	id, err := uuid.NewV7()
	if err != nil {
		return err
	}
	res, err := s.Catalog.ImportPhotometry(c.ctx, &pb.ImportPhotometryRequest{ProjectId: project.GetProjectId(), EntryId: id.String(),
		ExpectedRevision: project.GetRevision(), Code: cmd.code(), Class: class, FieldDeg: cmd.Field, File: raw})
	if err != nil {
		return c.refused(cmd.File, err)
	}
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	f := res.GetFixture()
	fmt.Fprintf(c.out, "project    %s, revision %d\nfixture    %s, %s, %s\n\n", project.GetProjectId(), res.GetRevision(), f.GetCode(), f.GetName(),
		word(f.GetClass().String(), "FIXTURE_CLASS_"))
	var rows [][]string
	for _, b := range f.GetBeams() {
		rows = append(rows, []string{fmt.Sprintf("%.1f", b.GetFieldDeg()), fmt.Sprintf("%.1f", b.GetBeamDeg()), fmt.Sprintf("%.0f", b.GetPeakCd()), b.GetFile()})
	}
	aligned(c.out, "", []string{"field_deg", "beam_deg", "peak_cd", "file"}, rows)
	fmt.Fprintln(c.out)
	photometry(c.out, res.GetPhotometry())
	fmt.Fprintln(c.err, "A church's file that is planned again replaces the project's fixtures: name this one there too, its beam with the hash above.")
	return nil
}

// code returns the fixture's code: the option, else the file's name without its
// ending.
func (cmd *fixtureImportCmd) code() string {
	if cmd.Code != "" {
		return cmd.Code
	}
	name := filepath.Base(cmd.File)
	return strings.TrimSpace(strings.TrimSuffix(name, filepath.Ext(name)))
}

// project returns the project to import into.
func (cmd *fixtureImportCmd) project(c *call, s *session) (*pb.Project, error) {
	id := cmd.Project
	if id == "" {
		all, err := s.Project.ListProjects(c.ctx, &pb.ListProjectsRequest{PageSize: 2})
		if err != nil {
			return nil, err
		}
		if len(all.GetProjects()) != 1 {
			return nil, wrong("--project is needed: there is not exactly one project.").trying("Try: roodbeam show")
		}
		id = all.GetProjects()[0].GetProjectId()
	}
	res, err := s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: id})
	return res.GetProject(), err
}
