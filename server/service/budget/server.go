// Package budget serves BudgetService: the estimate.
package budget

import (
	"context"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/planner"
)

// Server implements BudgetService.
type Server struct {
	pb.UnimplementedBudgetServiceServer
	Planner *planner.Planner
}

// GetEstimate returns the estimate.
func (s *Server) GetEstimate(ctx context.Context, req *pb.GetEstimateRequest) (*pb.GetEstimateResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	return &pb.GetEstimateResponse{Revision: int64(proj.Revision), Estimate: convert.Estimate(run.Results.Estimate)}, nil
}
