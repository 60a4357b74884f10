// Package design serves DesignService: the brief and the schemes.
package design

import (
	"context"
	"time"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// Server implements DesignService.
type Server struct {
	pb.UnimplementedDesignServiceServer
	Planner *planner.Planner
	Journal journal.Writer
	Now     func() time.Time
}

// GetBrief returns the brief.
func (s *Server) GetBrief(ctx context.Context, req *pb.GetBriefRequest) (*pb.GetBriefResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	return &pb.GetBriefResponse{Revision: int64(proj.Revision), Brief: proj.File.GetBrief()}, nil
}

// PutBrief replaces the brief.
func (s *Server) PutBrief(ctx context.Context, req *pb.PutBriefRequest) (*pb.PutBriefResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if err := normalised(req, proj); err != nil {
		return nil, err
	}
	// Zones are the new brief's own.
	known := &pb.ChurchFile{Survey: proj.File.GetSurvey(), Brief: req.GetBrief()}
	if vs := convert.References(req, known); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	effect, err := document.Brief.Put(document.Only, req.GetBrief())
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, req.GetExpectedRevision(), journal.Entry{ID: req.GetEntryId(), Kind: journal.BriefPut, Said: req.GetBrief(), Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	return &pb.PutBriefResponse{Revision: rev, Brief: req.GetBrief()}, nil
}

// GetScheme returns one scheme.
func (s *Server) GetScheme(ctx context.Context, req *pb.GetSchemeRequest) (*pb.GetSchemeResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	sc := proj.Scheme(req.GetName())
	if sc == nil {
		return nil, planner.NoSchemeOf(proj, req.GetName())
	}
	return &pb.GetSchemeResponse{Revision: int64(proj.Revision), Scheme: sc}, nil
}

// PutScheme stores a scheme under its name.
func (s *Server) PutScheme(ctx context.Context, req *pb.PutSchemeRequest) (*pb.PutSchemeResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if err := normalised(req, proj); err != nil {
		return nil, err
	}
	if vs := convert.References(req, proj.File); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	effect, err := document.Scheme.Put(req.GetScheme().GetName(), req.GetScheme())
	if err != nil {
		return nil, err
	}
	effects := []store.Effect{effect}
	if req.GetChoose() {
		settings := proj.File.GetProject()
		settings.ChosenScheme = req.GetScheme().GetName()
		chosen, err := document.Settings.Put(document.Only, settings)
		if err != nil {
			return nil, err
		}
		effects = append(effects, chosen)
	}
	rev, err := s.Journal.Write(ctx, proj.ID, req.GetExpectedRevision(), journal.Entry{ID: req.GetEntryId(), Kind: journal.SchemePut, Said: req.GetScheme(), Effects: effects})
	if err != nil {
		return nil, err
	}
	return &pb.PutSchemeResponse{Revision: rev, Scheme: req.GetScheme()}, nil
}

// ListSchemes returns the schemes of a project.
func (s *Server) ListSchemes(ctx context.Context, req *pb.ListSchemesRequest) (*pb.ListSchemesResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	out := &pb.ListSchemesResponse{Revision: int64(proj.Revision)}
	chosen := proj.Scheme("")
	for _, sc := range proj.File.GetSchemes() {
		out.Schemes = append(out.Schemes, &pb.SchemeSummary{Name: sc.GetName(), Parent: sc.GetParent(), Author: sc.GetAuthor(),
			Units: int32(len(sc.GetUnits())), Chosen: sc == chosen})
	}
	return out, nil
}

// EvaluateScheme derives results for a scheme that is not stored.
func (s *Server) EvaluateScheme(ctx context.Context, req *pb.EvaluateSchemeRequest) (*pb.EvaluateSchemeResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if err := normalised(req, proj); err != nil {
		return nil, err
	}
	run, err := s.Planner.RunWith(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	out := convert.Results(run.Results, s.Planner.Book, run.Display, req.GetStages())
	return &pb.EvaluateSchemeResponse{Revision: int64(proj.Revision), Results: out}, nil
}

// GetLines returns every hanging line in one row.
func (s *Server) GetLines(ctx context.Context, req *pb.GetLinesRequest) (*pb.GetLinesResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	out := &pb.GetLinesResponse{Revision: int64(proj.Revision)}
	for _, l := range run.Results.Lines {
		out.Lines = append(out.Lines, convert.LineRow(l))
	}
	return out, nil
}
