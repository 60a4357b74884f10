package project

import (
	"context"
	"strconv"
	"time"

	"github.com/google/uuid"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/document"
	"roodbeam/server/planner"
	"roodbeam/server/store"
)

// refreshBudget bounds the time one list spends on bringing stale rows up to
// date; the rest show the revision they were made at.
const refreshBudget = 2 * time.Second

// ListProjects returns the projects the caller may see.
func (s *Server) ListProjects(ctx context.Context, req *pb.ListProjectsRequest) (*pb.ListProjectsResponse, error) {
	caller, ok := auth.CallerFrom(ctx)
	if !ok {
		return nil, auth.ErrNoCaller
	}
	if caller.Project != uuid.Nil {
		return s.only(ctx, caller.Project)
	}
	f := store.ProjectFilter{Text: req.GetText(), Region: req.GetRegion(), Status: req.GetStatus(), OnlyOpenStops: req.GetOnlyOpenStops()}
	if req.GetOrder() == pb.ProjectOrder_PROJECT_ORDER_NAME {
		f.Order = store.ByName
	}
	if caller.Role != auth.Admin {
		f.Member = caller.Person
	}
	page, err := s.Store.ListProjects(ctx, f, store.Page{Size: int(req.GetPageSize()), Token: req.GetPageToken()})
	if err != nil {
		return nil, err
	}
	out := &pb.ListProjectsResponse{NextPageToken: page.Next}
	until := s.Now().Add(refreshBudget)
	for _, l := range page.Projects {
		if l.Summary.Revision < l.Revision && s.Now().Before(until) {
			if proj, err := s.Planner.Load(ctx, l.Project.String()); err == nil {
				if sum, err := s.refresh(ctx, proj); err == nil {
					out.Projects = append(out.Projects, sum)
					continue
				}
			}
		}
		out.Projects = append(out.Projects, rowToAPI(l))
	}
	return out, nil
}

// only is the list of a caller whose token is for one project.
func (s *Server) only(ctx context.Context, project uuid.UUID) (*pb.ListProjectsResponse, error) {
	proj, err := s.Planner.Load(ctx, project.String())
	if err != nil {
		return nil, err
	}
	sum, err := s.refresh(ctx, proj)
	if err != nil {
		return nil, err
	}
	return &pb.ListProjectsResponse{Projects: []*pb.ProjectSummary{sum}}, nil
}

// refresh brings the row shown in lists up to date, where it is not, and
// returns it.
func (s *Server) refresh(ctx context.Context, proj *document.Project) (*pb.ProjectSummary, error) {
	row, err := s.Store.Project(ctx, proj.ID)
	if err != nil {
		return nil, err
	}
	if row.Summary.Revision == proj.Revision && row.Summary.Name != "" {
		return rowToAPI(row), nil
	}
	run, err := s.Planner.Run(proj, "")
	if err != nil {
		return nil, err
	}
	fs := s.Planner.Findings(proj, run)
	row.Summary = store.Summary{
		Revision: proj.Revision, InputHash: run.InputHash, Name: proj.File.GetProject().GetName(), Town: proj.File.GetProject().GetTown(),
		Region: proj.File.GetBrief().GetRegion(), Status: statusOf(proj), OpenStops: planner.Open(fs, pb.Severity_SEVERITY_STOP),
		Payload: []byte(strconv.Itoa(planner.Open(fs, pb.Severity_SEVERITY_WARN))),
	}
	if err := s.Store.PutSummary(ctx, proj.ID, row.Summary); err != nil {
		return nil, err
	}
	return rowToAPI(row), nil
}

// statusOf names how far a project has come, by what is stored.
func statusOf(p *document.Project) string {
	if n := len(p.Packets); n > 0 {
		switch p.Packets[n-1].GetStatus() {
		case pb.PacketStatus_PACKET_STATUS_FOR_CONSTRUCTION:
			return "for construction"
		case pb.PacketStatus_PACKET_STATUS_AS_BUILT:
			return "as built"
		case pb.PacketStatus_PACKET_STATUS_FOR_APPROVAL:
			return "for approval"
		}
		return "for pricing"
	}
	switch {
	case len(p.File.GetSchemes()) > 0:
		return "scheme"
	case len(p.File.GetBrief().GetZones()) > 0:
		return "brief"
	}
	return "survey"
}

func rowToAPI(l store.Listed) *pb.ProjectSummary {
	warnings, _ := strconv.Atoi(string(l.Summary.Payload)) // empty before the first refresh
	return &pb.ProjectSummary{
		ProjectId: l.Project.String(), Name: l.Summary.Name, Town: l.Summary.Town, Region: l.Summary.Region, Status: l.Summary.Status,
		Revision: int64(l.Revision), SummaryRevision: int64(l.Summary.Revision), Updated: timestamppb.New(l.Updated),
		OpenStops: int32(l.Summary.OpenStops), OpenWarnings: int32(warnings), Owner: l.Summary.Owner,
	}
}
