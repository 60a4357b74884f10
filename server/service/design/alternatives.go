package design

import (
	"context"
	"math"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/plan"
	"roodbeam/engine/si"
	"roodbeam/server/convert"
)

// ProposeAlternatives makes three schemes and the curve of cost against result.
func (s *Server) ProposeAlternatives(ctx context.Context, req *pb.ProposeAlternativesRequest) (*pb.ProposeAlternativesResponse, error) {
	proj, docs, err := s.documents(ctx, req.GetProjectId(), req.GetParent())
	if err != nil {
		return nil, err
	}
	leave, err := s.Planner.EnterLong(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	list, curve := plan.Alternatives(docs, s.search(ctx, req.GetSeed(), 0), s.Planner.Book)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out := &pb.ProposeAlternativesResponse{Revision: int64(proj.Revision)}
	for _, a := range list {
		out.Alternatives = append(out.Alternatives, &pb.Alternative{Name: a.Name, About: a.About, Scheme: convert.SchemeToAPI(a.Proposal.Scheme),
			Figures: figures(a.Figures), Findings: convert.Findings(s.Planner.Book.Reduce(append(a.Proposal.Findings, a.Results.Findings...)), s.Planner.Book, displayOf(proj))})
	}
	for _, c := range curve {
		out.Curve = append(out.Curve, &pb.CurvePoint{TargetPct: c.TargetPct, Figures: figures(c.Figures)})
	}
	return out, nil
}

// CompareSchemes tells in what two stored schemes differ.
func (s *Server) CompareSchemes(ctx context.Context, req *pb.CompareSchemesRequest) (*pb.CompareSchemesResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	a, err := s.Planner.Run(proj, req.GetFirst())
	if err != nil {
		return nil, err
	}
	b, err := s.Planner.Run(proj, req.GetSecond())
	if err != nil {
		return nil, err
	}
	return &pb.CompareSchemesResponse{Revision: int64(proj.Revision), Comparison: s.comparison(plan.Compare(a.Results, b.Results), a.Display)}, nil
}

// WhatIf answers changes side by side.
func (s *Server) WhatIf(ctx context.Context, req *pb.WhatIfRequest) (*pb.WhatIfResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	run, err := s.Planner.Run(proj, req.GetScheme())
	if err != nil {
		return nil, err
	}
	var changes []plan.Change
	for _, c := range req.GetChanges() {
		changes = append(changes, plan.Change{WithoutLine: c.GetWithoutLine(), Fixture: c.GetFixture(), Into: c.GetInto(),
			PlatformWider: si.Length(c.GetPlatformWiderM()), Screen: c.GetScreen(), ScreenX: si.Length(c.GetScreenXM()), ScreenZ: si.Length(c.GetScreenZM())})
	}
	leave, err := s.Planner.EnterLong(ctx)
	if err != nil {
		return nil, err
	}
	defer leave()
	now, answers := plan.WhatIf(run.Documents, changes, req.GetSeed(), s.Planner.Book)
	out := &pb.WhatIfResponse{Revision: int64(proj.Revision), Now: figures(now)}
	for _, a := range answers {
		out.Answers = append(out.Answers, &pb.WhatIfAnswer{Text: a.Text, Unknown: a.Unknown, Figures: figures(a.Figures), Differs: s.comparison(a.Differs, run.Display)})
	}
	return out, nil
}

func (s *Server) comparison(c plan.Comparison, display si.Display) *pb.SchemeComparison {
	out := &pb.SchemeComparison{OnlyInFirst: convert.Findings(c.OnlyIn[0], s.Planner.Book, display), OnlyInSecond: convert.Findings(c.OnlyIn[1], s.Planner.Book, display)}
	for _, u := range c.Units {
		change := &pb.UnitChange{Unit: u.Unit, What: u.What}
		if u.A != nil {
			change.First = convert.Placed(*u.A)
		}
		if u.B != nil {
			change.Second = convert.Placed(*u.B)
		}
		out.Units = append(out.Units, change)
	}
	for _, n := range c.Numbers {
		out.Numbers = append(out.Numbers, &pb.NumberChange{Name: n.Name, Unit: n.Unit, First: known(n.A), Second: known(n.B)})
	}
	var changed []finding.Finding
	for _, f := range c.Changed {
		changed = append(changed, f.B)
	}
	out.Changed = convert.Findings(changed, s.Planner.Book, display)
	return out
}

func known(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func figures(f plan.Figures) *pb.SchemeFigures {
	out := &pb.SchemeFigures{Units: int32(f.Units), PowerW: f.PowerW, CurrentA: f.CurrentA, AddedKg: f.AddedKg, CostMinor: f.CostMinor,
		Currency: f.Currency, Days: f.Days, Lines: int32(f.Lines), ReachedPct: f.ReachedPct, LeastPct: f.LeastPct, Stops: int32(f.Stops), Warnings: int32(f.Warnings)}
	for _, z := range f.Zones {
		out.Zones = append(out.Zones, &pb.ZoneFigures{Zone: z.Zone, AverageLx: z.AverageLx, LeastLx: z.LeastLx, TargetLx: z.TargetLx, BackLx: z.BackLx})
	}
	return out
}
