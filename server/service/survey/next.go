package survey

import (
	"context"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/room"
	"roodbeam/server/convert"
)

// nextShown is how many next measurements are returned where none is asked for.
const nextShown = 10

// RankNextMeasurements returns what to measure next.
func (s *Server) RankNextMeasurements(ctx context.Context, req *pb.RankNextMeasurementsRequest) (*pb.RankNextMeasurementsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	limit := int(req.GetLimit())
	if limit == 0 {
		limit = nextShown
	}
	out := &pb.RankNextMeasurementsResponse{Revision: int64(proj.Revision)}
	for _, r := range room.Next(convert.SurveyToEngine(proj.File.GetSurvey()), s.Planner.Book, proj.File.GetBrief().GetRegion(), limit) {
		out.Next = append(out.Next, nextToAPI(r))
	}
	return out, nil
}
