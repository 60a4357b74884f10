package command

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/google/uuid"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/clients/cli/churchfile"
)

type planCmd struct {
	File    string  `arg:"" help:"The church's file."`
	Out     string  `default:"packet" help:"Folder the packet is written to."`
	Scheme  string  `help:"Scheme of the file to use; without it the engine proposes one."`
	Seed    uint64  `help:"Seed of the proposal."`
	Effort  float64 `env:"ROODBEAM_EFFORT" help:"Search for the proposal so many times as long; below 1 is sooner done."`
	Replace bool    `help:"Replace the packet of another church in that folder."`
	Status  string  `enum:"approval,pricing,construction" default:"pricing" help:"What the packet is issued for: approval, pricing or construction."`
}

// proposalName is the scheme the engine writes.
const proposalName = "proposed"

// Run plans the church of a file: one project, updated by every run.
func (p *planCmd) Run(c *call) error {
	file, lines, err := c.readFile(p.File)
	if err != nil {
		return err
	}
	project := projectID(file)
	if there, name := packetOf(p.Out); there != "" && there != project && !p.Replace {
		return wrong("the folder %s holds the packet of another church: %s (project %s)", p.Out, name, there).trying("Try: another folder with --out, or --replace to put this church's packet in its place")
	}
	s, err := c.open("", false)
	if err != nil {
		return err
	}
	defer s.close()
	if problems := c.tooLittle(s, project, file, lines, p.Scheme); len(problems) > 0 {
		return wrongFile(problems).trying("A plan needs at least a floor, something to hang from and one zone to light: see roodbeam init.\nNothing measured yet? Try: roodbeam first-look --ask")
	}
	step := c.step("Taking in %s", p.File)
	if err := c.store(s, project, file); err != nil {
		return step.failed(explain(err, lines))
	}
	step.done("project %s", project)
	return c.planStored(s, project, p.Scheme, p.Seed, p.Effort, wanted(p.Status), p.Out)
}

// tooLittle says what a file lacks for a plan that is more than noughts. What the
// stored project has by now, from volunteers for instance, counts too.
func (c *call) tooLittle(s *session, project string, file *pb.ChurchFile, lines churchfile.Lines, scheme string) []churchfile.Problem {
	there := &pb.ChurchFile{}
	if docs, err := s.Project.GetDocuments(c.ctx, &pb.GetDocumentsRequest{ProjectId: project}); err == nil {
		there = docs.GetFile() // without it, the file alone counts
	}
	var out []churchfile.Problem
	lacks := func(ok bool, field, message, allowed string) {
		if !ok {
			out = append(out, churchfile.Problem{Line: lines.Of(field), Field: field, Message: message, Allowed: allowed})
		}
	}
	corners := max(len(file.GetSurvey().GetFootprint()), len(there.GetSurvey().GetFootprint()))
	lacks(corners >= 3, "survey.footprint", "the floor's corners are missing", "three stations or more, in order round the room, with what was measured between them")
	house := len(file.GetSurvey().GetExistingLights())+len(there.GetSurvey().GetExistingLights()) > 0
	lacks(len(file.GetSurvey().GetLines())+len(there.GetSurvey().GetLines()) > 0 || house, "survey.lines",
		"nothing is there to hang a light from", "a beam, truss, rail, wall or pipe, or the house lights under existing_lights")
	lacks(len(file.GetBrief().GetZones()) > 0 || house && scheme != "", "brief.zones", "no zone is there to light", "one area or more, with what it is used for and the light wanted")
	return out
}

func wanted(s string) pb.PacketStatus {
	switch s {
	case "approval":
		return pb.PacketStatus_PACKET_STATUS_FOR_APPROVAL
	case "construction":
		return pb.PacketStatus_PACKET_STATUS_FOR_CONSTRUCTION
	}
	return pb.PacketStatus_PACKET_STATUS_FOR_PRICING
}

// planStored proposes a scheme unless one is named, runs every stage, writes
// the packet and prints the result.
func (c *call) planStored(s *session, project, scheme string, seed uint64, effort float64, want pb.PacketStatus, out string) error {
	if scheme == "" {
		name, edited, err := c.freeProposal(s, project)
		if err != nil {
			return err
		}
		if edited != "" {
			fmt.Fprintf(c.err, "Scheme %q was edited by hand and stays as it is; the new proposal is called %q.\nTo plan with the edited one: --scheme %q\n", edited, name, edited)
		}
		step := c.step("Proposing a scheme")
		made, err := s.Design.ProposeScheme(c.ctx, &pb.ProposeSchemeRequest{ProjectId: project, Name: name, Seed: seed, Effort: effort})
		if err != nil {
			return step.failed(err)
		}
		if _, err := c.putScheme(s, project, made.GetScheme(), made.GetRevision()); err != nil {
			return step.failed(err)
		}
		step.done("%s", count(len(made.GetScheme().GetUnits()), "unit"))
		scheme = name
	}
	step := c.step("Running every stage")
	res, err := s.Project.GetResults(c.ctx, &pb.GetResultsRequest{ProjectId: project, Scheme: scheme})
	if err != nil {
		return step.failed(err)
	}
	step.done("%s", count(len(res.GetResults().GetFindings()), "finding"))
	step = c.step("Issuing the packet")
	packet, files, err := c.issueAndWrite(s, project, scheme, want, false, out)
	if err != nil {
		return step.failed(err)
	}
	step.done("issue %d %s", packet.GetNumber(), word(packet.GetStatus().String(), "PACKET_STATUS_"))
	if c.root.JSON {
		return printJSON(c.out, res)
	}
	got, err := s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: project})
	if err != nil {
		return err
	}
	docs, err := s.Project.GetDocuments(c.ctx, &pb.GetDocumentsRequest{ProjectId: project})
	if err != nil {
		return err
	}
	resultCard(c.out, got.GetProject(), res.GetResults(), usDisplay(docs.GetFile()))
	fmt.Fprintf(c.out, "\nPacket, issue %d %s, in %s\n", packet.GetNumber(), word(packet.GetStatus().String(), "PACKET_STATUS_"), out)
	tables := 0
	for _, f := range files {
		if filepath.Ext(f) == ".csv" {
			tables++
			continue
		}
		fmt.Fprintf(c.out, "  %s\n", filepath.Base(f))
	}
	fmt.Fprintf(c.out, "  and %s as CSV\n", count(tables, "table"))
	fmt.Fprintf(c.out, "\nWhat each finding says, what to do and who clears it:\n  %s findings %s%s\n", invoked(), project, c.asCalled())
	return nil
}

// asCalled repeats the options without which a next command would look elsewhere;
// never the token.
func (c *call) asCalled() string {
	switch {
	case c.root.Server != "":
		return " --server " + c.root.Server
	case c.root.Data != "":
		return " --data " + quoted(c.root.Data)
	}
	return ""
}

// invoked is how this command was called, so that a line that is printed works as
// typed from the same folder.
func invoked() string {
	name := os.Args[0]
	switch {
	case strings.HasSuffix(name, ".test"):
		return "roodbeam"
	case strings.Contains(name, "go-build") && strings.TrimSuffix(filepath.Base(name), ".exe") == "cli":
		return "go run ./clients/cli"
	}
	return quoted(name)
}

// freeProposal returns the name under which a proposal may be stored: that of the
// last one, unless a person has edited it since, whose name comes back too.
func (c *call) freeProposal(s *session, project string) (name, edited string, err error) {
	list, err := s.Design.ListSchemes(c.ctx, &pb.ListSchemesRequest{ProjectId: project})
	if err != nil {
		return "", "", err
	}
	author := map[string]pb.SchemeAuthor{}
	for _, sc := range list.GetSchemes() {
		author[sc.GetName()] = sc.GetAuthor()
	}
	name = proposalName
	for n := 2; ; n++ {
		if a, there := author[name]; !there || a == pb.SchemeAuthor_SCHEME_AUTHOR_ENGINE {
			return name, edited, nil
		}
		edited = name
		name = fmt.Sprintf("%s %d", proposalName, n)
	}
}

// usDisplay tells whether people of this project read feet.
func usDisplay(f *pb.ChurchFile) bool {
	switch f.GetProject().GetUnits() {
	case pb.DisplayUnits_DISPLAY_UNITS_US:
		return true
	case pb.DisplayUnits_DISPLAY_UNITS_METRIC:
		return false
	}
	return f.GetBrief().GetRegion() == "us"
}

func (c *call) putScheme(s *session, project string, scheme *pb.Scheme, revision int64) (int64, error) {
	id, err := uuid.NewV7()
	if err != nil {
		return 0, err
	}
	resp, err := s.Design.PutScheme(c.ctx, &pb.PutSchemeRequest{ProjectId: project, EntryId: id.String(), ExpectedRevision: revision, Scheme: scheme})
	return resp.GetRevision(), err
}

// store creates the project, or makes an existing one what the file says.
func (c *call) store(s *session, project string, file *pb.ChurchFile) error {
	entry, err := uuid.NewV7()
	if err != nil {
		return err
	}
	got, err := s.Project.GetProject(c.ctx, &pb.GetProjectRequest{ProjectId: project})
	switch status.Code(err) {
	case codes.OK:
		_, err = s.Project.PutDocuments(c.ctx, &pb.PutDocumentsRequest{
			ProjectId: project, EntryId: entry.String(), ExpectedRevision: got.GetProject().GetRevision(), File: file})
	case codes.PermissionDenied, codes.NotFound:
		_, err = s.Project.CreateProject(c.ctx, &pb.CreateProjectRequest{ProjectId: project, EntryId: entry.String(), File: file})
	}
	return err
}

// readFile reads a church's file; a wrong one has been shown when it returns an error.
func (c *call) readFile(path string) (*pb.ChurchFile, churchfile.Lines, error) {
	raw, err := os.ReadFile(path)
	if err != nil {
		return nil, nil, err
	}
	var file pb.ChurchFile
	lines, problems := churchfile.Decode(raw, &file)
	if len(problems) > 0 {
		// The server's own checks of what could be read are worth showing too, so
		// that every error comes at once.
		problems = append(problems, c.serverProblems(&file, lines, problems)...)
		sort.SliceStable(problems, func(i, j int) bool { return problems[i].Line < problems[j].Line })
		return nil, nil, wrongFile(problems)
	}
	return &file, lines, nil
}

// projectID is the file's own, or one made from the church's name and town, so
// that a second run of the same file finds its project.
func projectID(f *pb.ChurchFile) string {
	if id := f.GetProjectId(); id != "" {
		return id
	}
	sum := sha256.Sum256([]byte("roodbeam project\x00" + f.GetProject().GetName() + "\x00" + f.GetProject().GetTown()))
	id := uuid.UUID(sum[:16])
	id[6] = id[6]&0x0f | 0x80 // version 8: made in a way of our own (RFC 9562, section 5.8)
	id[8] = id[8]&0x3f | 0x80
	return id.String()
}
