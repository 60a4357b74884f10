// Package phase serves PhaseService: the order of the works and how far it is.
package phase

import (
	"context"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
	"roodbeam/server/store"
)

// Server implements PhaseService.
type Server struct {
	pb.UnimplementedPhaseServiceServer
	Planner *planner.Planner
	Journal journal.Writer
	Now     func() time.Time
}

// GetPhasePlan returns tasks, gates and what was marked.
func (s *Server) GetPhasePlan(ctx context.Context, req *pb.GetPhasePlanRequest) (*pb.GetPhasePlanResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	return &pb.GetPhasePlanResponse{Revision: int64(proj.Revision), Plan: convert.Phases(run.Results.Phases), Marks: proj.Marks}, nil
}

// MarkTask records how far a task is.
func (s *Server) MarkTask(ctx context.Context, req *pb.MarkTaskRequest) (*pb.WriteResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, "")
	if err != nil {
		return nil, err
	}
	if !hasTask(run, req.GetMark().GetTaskId()) {
		return nil, &store.NotFound{What: "task", ID: req.GetMark().GetTaskId()}
	}
	mark := proto.CloneOf(req.GetMark())
	if caller, ok := auth.CallerFrom(ctx); ok {
		mark.By = caller.Name
	}
	mark.Time = timestamppb.New(s.Now())
	effect, err := document.Mark.Put(mark.GetTaskId(), mark)
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, -1, journal.Entry{ID: req.GetEntryId(), Kind: journal.TaskMarked, Said: req, Effects: []store.Effect{effect}})
	return &pb.WriteResponse{Revision: rev}, err
}

func hasTask(run *planner.Run, id string) bool {
	for _, t := range run.Results.Phases.Tasks {
		if t.ID == id {
			return true
		}
	}
	return false
}
