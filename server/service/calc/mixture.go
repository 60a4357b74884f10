package calc

import (
	"context"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/colour"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// ComputeMixture returns how emitters are driven for most flux at a wanted
// white or chromaticity.
func (s *Server) ComputeMixture(_ context.Context, req *pb.ComputeMixtureRequest) (*pb.ComputeMixtureResponse, error) {
	want := colour.XY{X: req.GetX(), Y: req.GetY()}
	if req.GetCctK() > 0 {
		want = colour.White(req.GetCctK(), req.GetDuv())
	}
	if !want.Known() {
		return nil, &rpc.InvalidFields{Violations: []convert.Violation{{Field: "cct_k", Reason: "a white or a chromaticity x, y must be stated"}}}
	}
	emitters := make([]colour.Emitter, len(req.GetEmitters()))
	for i, e := range req.GetEmitters() {
		emitters[i] = colour.Emitter{Name: e.GetName(), XY: colour.XY{X: e.GetX(), Y: e.GetY()}, FluxLm: e.GetFluxLm()}
	}
	m, ok := colour.Mix(emitters, want)
	if !ok {
		return nil, &rpc.InvalidFields{Violations: []convert.Violation{{Field: "emitters", Reason: "none gives light of a possible chromaticity"}}}
	}
	out := &pb.ComputeMixtureResponse{Levels: m.Levels, FluxLm: m.FluxLm, X: m.XY.X, Y: m.XY.Y, InGamut: m.InGamut, Distance: m.Distance, Limiting: m.Limiting,
		Basis: &pb.CalcBasis{Formula: "max Σ l·Y with Σ l·S·(x − x₀) = Σ l·S·(y − y₀) = 0, S = Y/y, 0 ≤ l ≤ 1; solved exactly at its corners", Source: "Grassmann's laws; CIE 15",
			Cautions: []string{"emitters shift with drive and heat; match by eye or meter on site"}}}
	if k, duv, ok := colour.CCT(m.XY); ok {
		out.CctK, out.Duv = &k, &duv
	}
	return out, nil
}
