package survey

import (
	"context"

	pb "roodbeam/api/gen/roodbeam/v1"
	enginesurvey "roodbeam/engine/survey"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// GetChecklist returns the checklist as the project's survey answers it.
func (s *Server) GetChecklist(ctx context.Context, req *pb.GetChecklistRequest) (*pb.GetChecklistResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	return &pb.GetChecklistResponse{Revision: int64(proj.Revision), Items: checklistItems(proj.File.GetSurvey()), GroundRules: enginesurvey.GroundRules().Rules}, nil
}

// ReadChecklist returns the checklist as a survey that is not saved answers it.
func (s *Server) ReadChecklist(_ context.Context, req *pb.ReadChecklistRequest) (*pb.ReadChecklistResponse, error) {
	if vs := convert.Normalise(req, convert.DisplayOf(&pb.ProjectSettings{Units: req.GetUnits()}, nil)); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	return &pb.ReadChecklistResponse{Items: checklistItems(req.GetSurvey()), GroundRules: enginesurvey.GroundRules().Rules}, nil
}

func checklistItems(sv *pb.Survey) []*pb.ChecklistItem {
	var out []*pb.ChecklistItem
	for _, i := range enginesurvey.ReadChecklist(convert.SurveyToEngine(sv)) {
		out = append(out, &pb.ChecklistItem{Id: i.ID, Group: i.Group, Item: i.Item, Why: i.Why, Accuracy: i.Accuracy, Method: i.Method, How: i.How, Who: i.Who,
			Unknown: i.Unknown, Sigma: i.Sigma, SigmaValue: i.SigmaValue, SigmaUnit: i.SigmaUnit, SigmaSource: i.SigmaSource, Taken: i.Taken(), State: itemStates[i.State], Known: int32(i.Known), Wanted: int32(i.Wanted),
			Answer: i.Answer, AnsweredBy: i.AnsweredBy, Grade: i.Grade, Asked: i.Asked, AnsweredByAll: i.All, AnsweredByAny: i.Any, Source: i.Source})
	}
	return out
}

var itemStates = map[enginesurvey.ItemState]pb.ItemState{
	enginesurvey.ItemAnswered: pb.ItemState_ITEM_STATE_ANSWERED, enginesurvey.ItemPart: pb.ItemState_ITEM_STATE_PART,
	enginesurvey.ItemAssumed: pb.ItemState_ITEM_STATE_ASSUMED, enginesurvey.ItemMissing: pb.ItemState_ITEM_STATE_MISSING,
}
