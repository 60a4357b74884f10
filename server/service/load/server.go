// Package load serves LoadService: what the panel must feed and what the beams
// must hold.
package load

import (
	"context"
	"time"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
)

// Server implements LoadService.
type Server struct {
	pb.UnimplementedLoadServiceServer
	Planner *planner.Planner
	Journal journal.Writer
	Now     func() time.Time
}

// GetLoadPlan returns circuits, panel and steps.
func (s *Server) GetLoadPlan(ctx context.Context, req *pb.GetLoadPlanRequest) (*pb.GetLoadPlanResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	return &pb.GetLoadPlanResponse{Revision: int64(proj.Revision), Plan: convert.Load(run.Results.Load)}, nil
}

// GetHangingPlan returns the added load of every line, lifts and questions.
func (s *Server) GetHangingPlan(ctx context.Context, req *pb.GetHangingPlanRequest) (*pb.GetHangingPlanResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	return &pb.GetHangingPlanResponse{Revision: int64(proj.Revision), Plan: convert.Hanging(run.Results.Hanging)}, nil
}
