package load

import (
	"context"
	"time"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// answerCaution goes back with every answer.
const answerCaution = "Written down beside its question. It clears nothing and changes no figure: findings are cleared by the signature of the person whose trade they are, figures by the survey."

// ListTradeQuestions returns what only the trades can answer, and what was answered.
func (s *Server) ListTradeQuestions(ctx context.Context, req *pb.ListTradeQuestionsRequest) (*pb.ListTradeQuestionsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	qs := questions(run)
	return &pb.ListTradeQuestionsResponse{Revision: int64(proj.Revision), Questions: qs, Earlier: answered(qs, proj.Answers)}, nil
}

// questions gathers the trades' questions, each numbered as on its sheet.
func questions(run *planner.Run) []*pb.TradeQuestion {
	var out []*pb.TradeQuestion
	for _, q := range run.Results.Load.Questions {
		out = append(out, &pb.TradeQuestion{Key: q.Key, No: int32(q.No), Who: "licensed electrician", Text: q.Text, Why: q.Why})
	}
	for _, q := range run.Results.Hanging.Questions {
		out = append(out, &pb.TradeQuestion{Key: q.Key, No: int32(q.No), Who: q.Who, Text: q.Text, Why: q.Why})
	}
	return out
}

// answered puts the answers beside their questions and returns those whose
// question is asked no longer.
func answered(qs []*pb.TradeQuestion, answers []*pb.StoredAnswer) (earlier []*pb.StoredAnswer) {
	at := map[string]*pb.TradeQuestion{}
	for _, q := range qs {
		at[q.GetKey()] = q
	}
	for _, a := range answers {
		if q, ok := at[a.GetAnswer().GetQuestion()]; ok {
			q.Answers = append(q.Answers, a.GetAnswer())
		} else {
			earlier = append(earlier, a)
		}
	}
	return earlier
}

// dayOf returns the day in an entry's id, which its client made when the answer
// was written, so that the same entry sent twice stays the same; today for an id
// that carries no time.
func (s *Server) dayOf(entryID string) string {
	if id, err := uuid.Parse(entryID); err == nil && id.Version() == 7 {
		sec, nsec := id.Time().UnixTime()
		return time.Unix(sec, nsec).UTC().Format(time.DateOnly)
	}
	return s.Now().UTC().Format(time.DateOnly)
}

// AnswerQuestion writes an answer down.
func (s *Server) AnswerQuestion(ctx context.Context, req *pb.AnswerQuestionRequest) (*pb.AnswerQuestionResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	asked := ""
	for _, q := range questions(run) {
		if q.GetKey() == req.GetQuestionKey() {
			asked = q.GetText()
		}
	}
	for _, a := range proj.Answers {
		if asked == "" && a.GetAnswer().GetQuestion() == req.GetQuestionKey() {
			asked = a.GetAsked()
		}
	}
	if asked == "" {
		return nil, &rpc.InvalidFields{Violations: []convert.Violation{{Field: "question_key", Given: req.GetQuestionKey(),
			Reason: "is not a question of this project", Allowed: "a key of ListTradeQuestions"}}}
	}
	a := &pb.QuestionAnswer{Question: req.GetQuestionKey(), Text: req.GetText(), By: req.GetBy(), Day: s.dayOf(req.GetEntryId())}
	if caller, ok := auth.CallerFrom(ctx); ok {
		a.Written = caller.Name
		if a.GetBy() == "" {
			a.By = caller.Name
		}
	}
	stored := &pb.StoredAnswer{Answer: a, Asked: asked}
	effect, err := document.Answer.Put(req.GetEntryId(), stored)
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, -1, journal.Entry{ID: req.GetEntryId(), Kind: journal.QuestionAnswered, Said: stored, Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	return &pb.AnswerQuestionResponse{Revision: rev, Answer: a, Caution: answerCaution}, nil
}
