package calc

import (
	"context"
	"errors"
	"math"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/electrical"
	"roodbeam/engine/region"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// planCaution goes with every size.
const planCaution = "a proposal for a licensed electrician, who decides under the local code"

// Defaults of a circuit that says nothing of them.
const (
	defaultAmbientC = 30 // °C, of the ampacity tables
	defaultSparePct = 25 // percent of the breaker kept free
)

// ComputeCircuit sizes one circuit with its load at the end.
func (s *Server) ComputeCircuit(_ context.Context, req *pb.ComputeCircuitRequest) (*pb.ComputeCircuitResponse, error) {
	p, err := normalised(req, req.GetUnits(), req.GetRegion())
	if err != nil {
		return nil, err
	}
	in := electrical.QuickCircuit{ThreePhase: threePhase(req.GetSystem()), VoltageV: req.GetVoltage().GetValueSi(), PowerW: req.GetPower().GetValueSi(),
		CurrentA: req.GetCurrent().GetValueSi(), PF: req.GetPf(), LengthM: req.GetLength().GetValueSi(), SparePct: defaultSparePct,
		AmbientC: defaultAmbientC, Together: int(req.GetTogether())}
	if req.SparePct != nil {
		in.SparePct = req.GetSparePct()
	}
	if req.AmbientC != nil {
		in.AmbientC = req.GetAmbientC()
	}
	r, err := electrical.SizeCircuit(p, in)
	if err != nil {
		return nil, refused(err)
	}
	out := &pb.ComputeCircuitResponse{LoadVa: r.LoadVA, CurrentA: r.CurrentA, DesignA: r.DesignA, BreakerA: r.BreakerA, UsePct: r.UsePct,
		Conductor: r.Conductor, Ground: r.Ground, AmpacityA: r.AmpacityA, DropV: r.DropV, DropPct: r.DropPct, LimitPct: p.VoltageDropPct,
		Raceway: r.Raceway, RacewayFillPct: r.RacewayFillPct, Connector: r.Connector,
		Basis: &pb.CalcBasis{
			Formula: "I = P/(V·pf), √3·V for three-phase; smallest breaker whose free share stays for growth; thinnest conductor whose ampacity × ambient × grouping carries the breaker and keeps the drop",
			Source:  p.Edition + ": " + p.BreakersSource + "; " + p.ContinuousSource + "; " + p.ConductorsSource + "; " + p.AmbientSource + "; " + p.GroupingSource,
			Cautions: []string{planCaution, "the whole load is taken at the end of the run",
				"fault current, fault loop and the panel's own rating are not looked at"}}}
	if !math.IsInf(r.LongestM, 0) {
		out.LongestM = &r.LongestM
	}
	return out, nil
}

func threePhase(s pb.SupplySystem) bool {
	return s == pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W || s == pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_4W
}

// refused turns an engine's bad input into violations of the request's fields.
func refused(err error) error {
	var bad *electrical.BadInput
	if errors.As(err, &bad) {
		return &rpc.InvalidFields{Violations: []convert.Violation{{Field: bad.Field, Reason: bad.Reason, Allowed: bad.Allowed}}}
	}
	return err
}

// profileOf returns the region's profile, metric where none is named, or the
// violation that there is none.
func profileOf(id string) (region.Profile, []convert.Violation) {
	if id == "" {
		id = "metric"
	}
	p, ok := region.Get(id)
	if !ok {
		return p, []convert.Violation{{Field: "region", Given: id, Reason: "is not a region profile", Allowed: regions()}}
	}
	return p, nil
}
