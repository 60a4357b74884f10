package command

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/clients/cli/churchfile"
	"roodbeam/testdata/churches"
)

type demoCmd struct {
	Church string  `default:"brick-meeting-house" help:"Demo church: ${demo_churches}."`
	Out    string  `default:"roodbeam-demo" help:"Folder for the packet and the demo's own store."`
	Scheme string  `default:"proposed" help:"Scheme the packet is made of: proposed (the engine's) or hand (entered by hand)."`
	Effort float64 `env:"ROODBEAM_EFFORT" help:"Search for the proposal so many times as long; below 1 is sooner done."`
	Serve  bool    `help:"Leave the server running and print its addresses."`
}

// Run plays the whole job through the public API: a designer opens the project
// and invites a volunteer, the volunteer sends the survey, the designer asks
// for a scheme and issues the packet.
func (d *demoCmd) Run(c *call) error {
	raw, err := churches.Read(d.Church)
	if err != nil {
		return wrong("%v", err)
	}
	var file pb.ChurchFile
	if _, problems := churchfile.Decode(raw, &file); len(problems) > 0 {
		return wrongFile(problems)
	}
	scheme, err := d.scheme(&file)
	if err != nil {
		return err
	}
	if c.root.Server == "" {
		c.root.Data = filepath.Join(d.Out, "data") // where the commands that are printed look, too
	}
	if err := os.MkdirAll(d.Out, 0o755); err != nil {
		return fmt.Errorf("the demo's folder cannot be made: %w", err)
	}
	step := c.step("Starting the server")
	s, err := c.open("", d.Serve)
	if err != nil {
		return step.failed(err)
	}
	defer s.close()
	step.done("%s", s.conn.Target())

	project := projectID(&file)
	if err := c.demoSurvey(s, project, &file); err != nil {
		return err
	}
	if err := c.planStored(s, project, scheme, 0, d.Effort, pb.PacketStatus_PACKET_STATUS_FOR_PRICING, filepath.Join(d.Out, d.Church)); err != nil {
		return err
	}
	if d.Serve && s.server != nil {
		return c.serveDemo(s, project)
	}
	return nil
}

// scheme returns the scheme the packet is made of, "" for the engine's.
func (d *demoCmd) scheme(file *pb.ChurchFile) (string, error) {
	allowed := []string{proposalName}
	for _, sc := range file.GetSchemes() {
		allowed = append(allowed, sc.GetName())
	}
	if !slices.Contains(allowed, d.Scheme) {
		return "", wrong("--scheme: given %q; allowed: %s", d.Scheme, strings.Join(allowed, ", "))
	}
	if d.Scheme == proposalName {
		return "", nil
	}
	return d.Scheme, nil
}

// demoSurvey opens the project and lets a volunteer send what was measured and
// seen; a project of an earlier run is brought to the file's state instead.
func (c *call) demoSurvey(s *session, project string, file *pb.ChurchFile) error {
	_, err := s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: project})
	if err == nil {
		step := c.step("Updating the demo project of an earlier run")
		if err := c.store(s, project, file); err != nil {
			return step.failed(err)
		}
		step.done("done")
		return nil
	}
	if code := status.Code(err); code != codes.PermissionDenied && code != codes.NotFound {
		return err
	}
	step := c.step("Opening the project, as a designer")
	entry, err := uuid.NewV7()
	if err != nil {
		return step.failed(err)
	}
	opening := &pb.ChurchFile{Project: file.GetProject(), Brief: &pb.Brief{Region: file.GetBrief().GetRegion()},
		Fixtures: file.GetFixtures(), Prices: file.GetPrices(), Survey: &pb.Survey{}}
	made, err := s.Project.CreateProject(c.ctx, &pb.CreateProjectRequest{ProjectId: project, EntryId: entry.String(), File: opening})
	if err != nil {
		return step.failed(err)
	}
	step.done("revision %d", made.GetProject().GetRevision())

	step = c.step("Sending the survey, as a volunteer with an invitation link")
	v, err := c.demoVolunteer(s, project)
	if err != nil {
		return step.failed(err)
	}
	defer v.close()
	sent, err := c.sendSurvey(v, project, file.GetSurvey())
	if err != nil {
		return step.failed(err)
	}
	step.done("%d entries", sent)

	step = c.step("Writing the brief and the schemes entered by hand, as the designer")
	if err := c.demoDesign(s, project, file); err != nil {
		return step.failed(err)
	}
	step.done("%s", count(len(file.GetSchemes()), "scheme"))
	return nil
}

// demoDesign writes what rests on the survey: it names lines and panels.
func (c *call) demoDesign(s *session, project string, file *pb.ChurchFile) error {
	got, err := s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: project})
	if err != nil {
		return err
	}
	entry, err := uuid.NewV7()
	if err != nil {
		return err
	}
	put, err := s.Design.PutBrief(c.ctx, &pb.PutBriefRequest{ProjectId: project, EntryId: entry.String(), ExpectedRevision: got.GetProject().GetRevision(), Brief: file.GetBrief()})
	if err != nil {
		return err
	}
	revision := put.GetRevision()
	for _, sc := range file.GetSchemes() {
		if revision, err = c.putScheme(s, project, sc, revision); err != nil {
			return err
		}
	}
	return nil
}

func (c *call) demoVolunteer(s *session, project string) (*session, error) {
	id, err := uuid.NewV7()
	if err != nil {
		return nil, err
	}
	inv, err := s.Access.CreateInvitation(c.ctx, &pb.CreateInvitationRequest{ProjectId: project, InvitationId: id.String(), Role: pb.Role_ROLE_VOLUNTEER})
	if err != nil {
		return nil, err
	}
	acc, err := s.Access.AcceptInvitation(c.ctx, &pb.AcceptInvitationRequest{Secret: inv.GetSecret(), Name: "A volunteer", AcceptId: uuid.NewString()})
	if err != nil {
		return nil, err
	}
	return c.as(s, acc.GetToken())
}

// sendSurvey sends measurements in one go and features one by one, as a phone would.
func (c *call) sendSurvey(v *session, project string, survey *pb.Survey) (int, error) {
	features := featuresOf(survey)
	for _, f := range features {
		id, err := uuid.NewV7()
		if err != nil {
			return 0, err
		}
		if _, err := v.Survey.PutFeature(c.ctx, &pb.PutFeatureRequest{ProjectId: project, EntryId: id.String(), Feature: f}); err != nil {
			return 0, err
		}
	}
	req := &pb.AddMeasurementsRequest{ProjectId: project}
	for _, m := range survey.GetMeasurements() {
		id, err := uuid.NewV7()
		if err != nil {
			return 0, err
		}
		req.Entries = append(req.Entries, &pb.MeasurementEntry{EntryId: id.String(), Measurement: m})
	}
	if len(req.Entries) == 0 {
		return len(features), nil
	}
	_, err := v.Survey.AddMeasurements(c.ctx, req)
	return len(features) + len(req.Entries), err
}

// demoUses is how often the demo's link works: it is there to be tried.
const demoUses = 100

func (c *call) serveDemo(s *session, project string) error {
	id, err := uuid.NewV7()
	if err != nil {
		return err
	}
	inv, err := s.Access.CreateInvitation(c.ctx, &pb.CreateInvitationRequest{ProjectId: project, InvitationId: id.String(), Role: pb.Role_ROLE_VOLUNTEER, MaxUses: demoUses})
	if err != nil {
		return err
	}
	base := "http://" + s.server.HTTPAddr
	fmt.Fprintln(c.out, strings.Join([]string{"",
		"Serving until Ctrl-C",
		"  pages       " + base + "/#token=" + s.server.AdminToken,
		"  volunteer   " + base + inv.GetPath(),
		"  gRPC        " + s.server.GRPCAddr,
		"  token       " + s.server.AdminToken,
		"  project     " + project}, "\n"))
	<-c.ctx.Done()
	fmt.Fprintln(c.err, "stopping")
	return nil
}
