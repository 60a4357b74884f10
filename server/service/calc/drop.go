package calc

import (
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/region"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// voltageDrop uses the region's own table value of the conductor.
func voltageDrop(p region.Profile, req *pb.ComputeVoltageDropRequest) (*pb.ComputeVoltageDropResponse, error) {
	c, ok := p.Conductor(req.GetConductor())
	if !ok {
		var names []string
		for _, k := range p.Conductors {
			names = append(names, k.Name)
		}
		return nil, &rpc.InvalidFields{Violations: []convert.Violation{{Field: "conductor", Given: req.GetConductor(),
			Reason: "is not in the region's table", Allowed: strings.Join(names, ", ")}}}
	}
	three := req.GetSystem() == pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W || req.GetSystem() == pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_4W
	pf := req.GetPf()
	if pf == 0 {
		pf = 1
	}
	drop := c.Loop(three, pf) * req.GetCurrent().GetValueSi() * req.GetLength().GetValueSi()
	formula := "VD = 2·I·L·Z of one conductor, or I·L·(mV/A/m)/1000 where the table gives it"
	if three {
		formula = "VD = √3·I·L·Z of one conductor between lines, or I·L·(mV/A/m)/1000 where the table gives it"
	}
	return &pb.ComputeVoltageDropResponse{
		DropV: drop, DropPct: drop / req.GetVoltage().GetValueSi() * 100, LimitPct: p.VoltageDropPct,
		Basis: &pb.CalcBasis{Formula: formula, Source: p.ConductorsSource + "; limit: " + p.VoltageDropSource,
			Cautions: []string{"a planning figure: a licensed electrician decides under the local code", "the whole load is taken at the end of the run"}},
	}, nil
}
