// Package project serves ProjectService: projects, their documents, history,
// results and findings.
package project

import (
	"context"
	"errors"
	"time"

	"github.com/google/uuid"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/plan"
	"roodbeam/server/auth"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// Store is what this service needs of the store.
type Store interface {
	planner.Reader
	journal.Appender
	History(ctx context.Context, project uuid.UUID, q store.HistoryQuery, page store.Page) (store.HistoryPage, error)
	Watch(ctx context.Context, project uuid.UUID, after store.Revision) (<-chan store.Revision, error)
	PutSummary(ctx context.Context, project uuid.UUID, s store.Summary) error
	Project(ctx context.Context, project uuid.UUID) (store.Listed, error)
	ListProjects(ctx context.Context, f store.ProjectFilter, page store.Page) (store.ProjectPage, error)
	Person(ctx context.Context, id uuid.UUID) (store.Person, error)
	Member(ctx context.Context, project, person uuid.UUID) (store.Member, error)
	Members(ctx context.Context, project uuid.UUID) ([]store.Member, error)
	Token(ctx context.Context, id uuid.UUID) (store.Token, error)
}

// Server implements ProjectService.
type Server struct {
	pb.UnimplementedProjectServiceServer
	Store   Store
	Planner *planner.Planner
	Journal journal.Writer
	Now     func() time.Time
}

// CreateProject opens a project with what the file holds; the caller becomes
// its manager.
func (s *Server) CreateProject(ctx context.Context, req *pb.CreateProjectRequest) (*pb.CreateProjectResponse, error) {
	caller, ok := auth.CallerFrom(ctx)
	if !ok || caller.Project != uuid.Nil {
		return nil, rpc.ErrDenied
	}
	file := req.GetFile()
	effects, err := taken(file, store.State{}, nil)
	if err != nil {
		return nil, err
	}
	id := uuid.MustParse(req.GetProjectId()) // a UUID by the request's rules
	proj := &document.Project{ID: id, File: file}
	findings, err := s.preview(proj)
	if err != nil {
		return nil, err
	}
	if req.GetValidateOnly() {
		return &pb.CreateProjectResponse{Findings: findings}, nil
	}
	entry := journal.Entry{ID: req.GetEntryId(), Kind: journal.ProjectCreated, Said: file, Effects: effects}
	if caller.Person != uuid.Nil {
		entry.Members = []store.MemberEffect{{Person: caller.Person, Role: string(auth.Manager)}}
	}
	if _, err := s.Journal.Write(ctx, id, 0, entry); err != nil {
		return nil, s.unlessStranger(ctx, caller, id, err)
	}
	got, err := s.get(ctx, req.GetProjectId(), string(auth.Manager))
	if err != nil {
		return nil, err
	}
	return &pb.CreateProjectResponse{Project: got, Findings: findings}, nil
}

// unlessStranger keeps from a stranger that a project of this id is there already.
func (s *Server) unlessStranger(ctx context.Context, caller auth.Caller, id uuid.UUID, err error) error {
	var there *store.RevisionMismatch
	var other *store.EntryConflict
	if !errors.As(err, &there) && !errors.As(err, &other) {
		return err
	}
	role, roleErr := auth.RoleIn(ctx, s.Store, caller, id)
	if roleErr != nil {
		return roleErr
	}
	if role == "" {
		return rpc.ErrDenied
	}
	return err
}

// taken checks a file and returns the effects that make it the project's documents.
func taken(file *pb.ChurchFile, now store.State, before *pb.ChurchFile) ([]store.Effect, error) {
	vs := convert.NormaliseFile(file)
	there, err := document.Assemble(now)
	if err != nil {
		return nil, err
	}
	vs = append(vs, convert.References(file, file, there.File)...)
	vs = append(vs, document.CheckExtras(file)...)
	if len(vs) > 0 {
		for i := range vs {
			vs[i].Field = "file." + vs[i].Field
		}
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	effects, err := document.ReplaceFile(now, before, file)
	var twice *document.Duplicate
	if errors.As(err, &twice) {
		return nil, &rpc.InvalidFields{Violations: []convert.Violation{{Field: "file.survey", Given: twice.ID, Reason: "is given twice; names within a kind must differ"}}}
	}
	return effects, err
}

// preview runs the engine on documents that need not be stored.
func (s *Server) preview(proj *document.Project) ([]*pb.Finding, error) {
	run, err := s.Planner.Run(proj, "")
	if err != nil {
		return nil, regionViolation(err)
	}
	return s.Planner.Findings(proj, run), nil
}

// regionViolation names the field of a file whose region is unknown.
func regionViolation(err error) error {
	var invalid *store.Invalid
	if errors.As(err, &invalid) && invalid.Field == "brief.region" {
		return &rpc.InvalidFields{Violations: []convert.Violation{{Field: "file.brief.region", Reason: invalid.Reason, Allowed: "us, metric"}}}
	}
	return err
}

// GetProject returns a project's settings, summary and the caller's role.
func (s *Server) GetProject(ctx context.Context, req *pb.GetProjectRequest) (*pb.GetProjectResponse, error) {
	p, err := s.get(ctx, req.GetProjectId(), string(auth.RoleFrom(ctx)))
	if err != nil {
		return nil, err
	}
	return &pb.GetProjectResponse{Project: p}, nil
}

func (s *Server) get(ctx context.Context, id, role string) (*pb.Project, error) {
	proj, err := s.Planner.Load(ctx, id)
	if err != nil {
		return nil, err
	}
	sum, err := s.refresh(ctx, proj)
	if err != nil {
		return nil, err
	}
	return &pb.Project{ProjectId: id, Revision: int64(proj.Revision), Settings: proj.File.GetProject(), Summary: sum, Role: auth.RoleToAPI(auth.Role(role))}, nil
}

// GetDocuments returns everything people wrote.
func (s *Server) GetDocuments(ctx context.Context, req *pb.GetDocumentsRequest) (*pb.GetDocumentsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	return &pb.GetDocumentsResponse{Revision: int64(proj.Revision), File: proj.File}, nil
}

// PutDocuments brings the project's documents to the file, in one step. What
// the file did not change since it was last put stays as people left it.
func (s *Server) PutDocuments(ctx context.Context, req *pb.PutDocumentsRequest) (*pb.PutDocumentsResponse, error) {
	id := uuid.MustParse(req.GetProjectId())
	state, err := s.Store.Documents(ctx, id)
	if err != nil {
		return nil, err
	}
	file := req.GetFile()
	before, err := s.lastFile(ctx, id)
	if err != nil {
		return nil, err
	}
	effects, err := taken(file, state, before)
	if err != nil {
		return nil, err
	}
	proj, err := document.Assemble(document.Apply(state, effects))
	if err != nil {
		return nil, err
	}
	if err := s.Planner.Attach(ctx, proj); err != nil {
		return nil, err
	}
	findings, err := s.preview(proj)
	if err != nil {
		return nil, err
	}
	if req.GetValidateOnly() {
		return &pb.PutDocumentsResponse{Revision: int64(state.Revision), File: proj.File, Findings: findings}, nil
	}
	rev, err := s.Journal.Write(ctx, id, req.GetExpectedRevision(),
		journal.Entry{ID: req.GetEntryId(), Kind: journal.DocumentsPut, Said: file, Effects: effects})
	if err != nil {
		return nil, err
	}
	return &pb.PutDocumentsResponse{Revision: rev, File: proj.File, Findings: findings}, nil
}

// lastFile returns the file that was put last, nil when none was.
func (s *Server) lastFile(ctx context.Context, id uuid.UUID) (*pb.ChurchFile, error) {
	got, err := s.Store.History(ctx, id, store.HistoryQuery{Kinds: []string{journal.ProjectCreated, journal.DocumentsPut}, NewestFirst: true}, store.Page{Size: 1})
	if err != nil || len(got.Entries) == 0 {
		return nil, err
	}
	var file pb.ChurchFile
	return &file, proto.Unmarshal(got.Entries[0].Payload, &file)
}

// GetResults derives everything, or the stages asked for.
func (s *Server) GetResults(ctx context.Context, req *pb.GetResultsRequest) (*pb.GetResultsResponse, error) {
	proj, run, err := s.run(ctx, req.GetProjectId(), req.GetScheme())
	if err != nil {
		return nil, err
	}
	out := convert.Results(run.Results, s.Planner.Book, run.Display, req.GetStages())
	if out.Findings != nil {
		out.Findings = s.Planner.Findings(proj, run)
	}
	return &pb.GetResultsResponse{Revision: int64(proj.Revision), EngineVersion: plan.Version, Results: out}, nil
}

func (s *Server) run(ctx context.Context, project, scheme string) (*document.Project, *planner.Run, error) {
	proj, err := s.Planner.Load(ctx, project)
	if err != nil {
		return nil, nil, err
	}
	run, err := s.Planner.Run(proj, scheme)
	return proj, run, err
}

// ListFindings returns the findings of all stages, stops first.
func (s *Server) ListFindings(ctx context.Context, req *pb.ListFindingsRequest) (*pb.ListFindingsResponse, error) {
	proj, run, err := s.run(ctx, req.GetProjectId(), req.GetScheme())
	if err != nil {
		return nil, err
	}
	all := s.Planner.Findings(proj, run)
	out := &pb.ListFindingsResponse{Revision: int64(proj.Revision),
		OpenStops:    int32(planner.Open(all, pb.Severity_SEVERITY_STOP)),
		OpenWarnings: int32(planner.Open(all, pb.Severity_SEVERITY_WARN)),
		OpenNotes:    int32(planner.Open(all, pb.Severity_SEVERITY_NOTE))}
	for _, f := range all {
		if f.GetSeverity() >= req.GetLeast() && (!req.GetOnlyOpen() || f.GetClearing() == nil) {
			out.Findings = append(out.Findings, f)
		}
	}
	return out, nil
}

// ClearFinding records that the person a finding belongs to has dealt with it.
func (s *Server) ClearFinding(ctx context.Context, req *pb.ClearFindingRequest) (*pb.ClearFindingResponse, error) {
	proj, run, err := s.run(ctx, req.GetProjectId(), req.GetScheme())
	if err != nil {
		return nil, err
	}
	f := findingOf(s.Planner.All(proj, run), req.GetKey())
	if f == nil {
		return nil, &store.NotFound{What: "finding", ID: req.GetKey()}
	}
	if f.Fingerprint != req.GetFingerprint() {
		return nil, &rpc.Precondition{Type: "FINDING_CHANGED", Subject: req.GetKey(),
			Description: "the values of this finding have changed since it was read; read it again"}
	}
	role := auth.RoleFrom(ctx)
	if !role.MayClear(string(f.Owner)) {
		return nil, &rpc.Precondition{Type: "NOT_YOURS", Subject: req.GetKey(),
			Description: "this finding is cleared by the " + string(f.Owner) + " only"}
	}
	clearing, err := s.clearing(ctx, proj.ID, req)
	if err != nil {
		return nil, err
	}
	effect, err := document.Clearing.Put(req.GetKey(), &pb.ClearedFinding{Key: req.GetKey(), Fingerprint: req.GetFingerprint(), Clearing: clearing})
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, -1, journal.Entry{ID: req.GetEntryId(), Kind: journal.FindingCleared, Said: req, Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	out := convert.Finding(*f, s.Planner.Book, run.Display)
	out.Clearing = clearing
	return &pb.ClearFindingResponse{Revision: rev, Finding: out}, nil
}

func findingOf(fs []finding.Finding, key string) *finding.Finding {
	for i := range fs {
		if fs[i].Key == key {
			return &fs[i]
		}
	}
	return nil
}
