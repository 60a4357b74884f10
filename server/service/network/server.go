// Package network serves DataNetworkService: the data branches, addresses and
// the wall panel's looks.
package network

import (
	"context"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/planner"
)

// Server implements DataNetworkService.
type Server struct {
	pb.UnimplementedDataNetworkServiceServer
	Planner *planner.Planner
}

// GetNetworkPlan returns branches and addresses.
func (s *Server) GetNetworkPlan(ctx context.Context, req *pb.GetNetworkPlanRequest) (*pb.GetNetworkPlanResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	return &pb.GetNetworkPlanResponse{Revision: int64(proj.Revision), Plan: convert.Network(run.Results.Network)}, nil
}

// GetPresets returns the wall panel's looks.
func (s *Server) GetPresets(ctx context.Context, req *pb.GetPresetsRequest) (*pb.GetPresetsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	return &pb.GetPresetsResponse{Revision: int64(proj.Revision), Presets: convert.Presets(run.Results.Presets)}, nil
}
