package design

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"google.golang.org/grpc"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/plan"
	"roodbeam/engine/scheme"
	"roodbeam/engine/scheme/model"
	"roodbeam/engine/si"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/planner"
	"roodbeam/server/store"
)

// ProposeScheme makes a scheme by the engine; it is not stored until somebody
// puts it.
func (s *Server) ProposeScheme(ctx context.Context, req *pb.ProposeSchemeRequest) (*pb.ProposeSchemeResponse, error) {
	return s.propose(ctx, req, nil)
}

// progressEvery keeps the stream of progress readable.
const progressEvery = 100 * time.Millisecond

// StreamProposal makes a scheme and tells meanwhile how far the search is.
func (s *Server) StreamProposal(req *pb.StreamProposalRequest, stream grpc.ServerStreamingServer[pb.StreamProposalResponse]) error {
	if req.GetProposal().GetProjectId() != req.GetProjectId() {
		return &store.Invalid{Field: "proposal.project_id", Reason: "must be project_id"}
	}
	var last time.Time
	stage := 0
	out, err := s.propose(stream.Context(), req.GetProposal(), func(p scheme.Progress) bool {
		if p.Stage == stage && s.Now().Sub(last) < progressEvery || math.IsInf(p.Cost, 0) {
			return true
		}
		stage, last = p.Stage, s.Now()
		return stream.Send(&pb.StreamProposalResponse{Message: &pb.StreamProposalResponse_Progress{Progress: &pb.ProposalProgress{
			Stage: int32(p.Stage), Stages: int32(p.Stages), Name: p.Name, Zone: p.Zone, Purpose: convert.Purpose(p.Purpose),
			ModelCost: p.Cost, ModelBound: p.Bound, Gap: p.Gap}}}) == nil
	})
	if err != nil {
		return err
	}
	return stream.Send(&pb.StreamProposalResponse{Message: &pb.StreamProposalResponse_Proposal{Proposal: out}})
}

// baseWork is the engine's own bound of a stage's search, which effort multiplies.
const baseWork = scheme.StageWork

func (s *Server) propose(ctx context.Context, req *pb.ProposeSchemeRequest, progress func(scheme.Progress) bool) (*pb.ProposeSchemeResponse, error) {
	proj, docs, err := s.documents(ctx, req.GetProjectId(), req.GetParent())
	if err != nil {
		return nil, err
	}
	search := s.search(ctx, req.GetSeed(), req.GetTimeLimitS())
	search.Gap, search.Progress = req.GetGapPct()/100, progress
	if e := req.GetEffort(); e > 0 {
		search.Work = int64(e * baseWork)
	}
	leave, err := s.Planner.EnterLong(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	made := plan.Plan(docs, search, s.Planner.Book)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	made.Scheme.Name, made.Scheme.Parent = req.GetName(), req.GetParent()
	finding.Sort(made.Findings)
	out := &pb.ProposeSchemeResponse{Revision: int64(proj.Revision), Scheme: convert.SchemeToAPI(made.Scheme),
		Findings: convert.Findings(made.Findings, s.Planner.Book, displayOf(proj)), Stopped: made.Stopped}
	cost, bound, gap := made.Cost()
	out.ModelCost, out.ModelBound, out.Gap = &cost, &bound, &gap
	for _, st := range made.Stages {
		out.Stages = append(out.Stages, stageToAPI(st))
	}
	return out, nil
}

// documents loads a project for the engine with the scheme to keep locks of; an
// empty name keeps nothing.
func (s *Server) documents(ctx context.Context, project, parent string) (*document.Project, plan.Documents, error) {
	proj, err := s.Planner.Load(ctx, project)
	if err != nil {
		return nil, plan.Documents{}, err
	}
	keep := &pb.Scheme{}
	if parent != "" {
		if keep = proj.Scheme(parent); keep == nil {
			return nil, plan.Documents{}, planner.NoSchemeOf(proj, parent)
		}
	}
	docs, err := s.Planner.Documents(proj, keep)
	return proj, docs, err
}

// search ends when the caller goes away, or after a number of seconds unless 0.
func (s *Server) search(ctx context.Context, seed uint64, seconds uint32) plan.Search {
	var until time.Time
	if seconds > 0 {
		until = s.Now().Add(time.Duration(seconds) * time.Second)
	}
	return plan.Search{Seed: seed, Stop: func() bool {
		return ctx.Err() != nil || (!until.IsZero() && s.Now().After(until))
	}}
}

func displayOf(proj *document.Project) si.Display {
	return convert.DisplayOf(proj.File.GetProject(), proj.File.GetBrief())
}

func stageToAPI(st scheme.Stage) *pb.ProposalStage {
	out := &pb.ProposalStage{Name: st.Name, Relaxed: st.Result.Relaxed, RelaxationSolved: st.Result.Solved, Zone: st.Zone, Purpose: convert.Purpose(st.Purpose), ModelCost: st.Result.Cost, ModelBound: st.Result.Bound,
		Gap: st.Result.Gap, ColumnsBefore: int32(st.Reduction.Before), ColumnsDominated: int32(st.Reduction.Dominated),
		ColumnsCut: int32(st.Reduction.Cut), Columns: int32(st.Reduction.After), Rows: int32(len(st.Model.Rows))}
	for _, m := range st.Missing {
		out.Missing = append(out.Missing, &pb.MissingLight{Row: m.Row, MissingLx: m.Amount, Price: m.Price})
	}
	return out
}

// GetModel writes the models a proposal is chosen by.
func (s *Server) GetModel(ctx context.Context, req *pb.GetModelRequest) (*pb.GetModelResponse, error) {
	proj, docs, err := s.documents(ctx, req.GetProjectId(), req.GetParent())
	if err != nil {
		return nil, err
	}
	leave, err := s.Planner.EnterLong(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	search := s.search(ctx, req.GetSeed(), 0)
	search.Gap = req.GetGapPct() / 100
	if e := req.GetEffort(); e > 0 {
		search.Work = int64(e * baseWork)
	}
	made := plan.Plan(docs, search, s.Planner.Book)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out := &pb.GetModelResponse{Revision: int64(proj.Revision)}
	var m *model.Problem
	var chosen []int
	n := int(req.GetStage())
	if name := req.GetStageName(); name != "" {
		n = 1 + slices.IndexFunc(made.Stages, func(st scheme.Stage) bool { return st.Name == name })
		if n == 0 {
			return nil, &store.Invalid{Field: "stage_name", Reason: "the brief asks for nothing of that stage"}
		}
	}
	if n > 0 {
		if n > len(made.Stages) {
			return nil, &store.Invalid{Field: "stage", Reason: fmt.Sprintf("the proposal has %d stages", len(made.Stages))}
		}
		st := made.Stages[n-1]
		m, chosen = st.Model, st.Result.Columns
		out.ModelCost, out.ModelBound = &st.Result.Cost, &st.Result.Bound
	} else {
		m, chosen = made.Model()
		cost, bound, _ := made.Cost()
		out.ModelCost, out.ModelBound = &cost, &bound
	}
	var b bytes.Buffer
	if err := m.WriteLP(&b); err != nil {
		return nil, err
	}
	out.Lp = b.String()
	for _, j := range chosen {
		out.Chosen = append(out.Chosen, fmt.Sprintf("x%d", j))
	}
	return out, nil
}

// BalanceLevels sets the levels of a scheme that is not stored.
func (s *Server) BalanceLevels(ctx context.Context, req *pb.BalanceLevelsRequest) (*pb.BalanceLevelsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if err := normalised(req, proj); err != nil {
		return nil, err
	}
	docs, err := s.Planner.Documents(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	leave, err := s.Planner.EnterLong(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	return &pb.BalanceLevelsResponse{Revision: int64(proj.Revision), Scheme: convert.SchemeToAPI(plan.Levels(docs, s.Planner.Book))}, nil
}
