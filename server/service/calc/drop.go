package calc

import (
	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/electrical"
	"roodbeam/engine/region"
)

// voltageDrop uses the region's own table value of the conductor.
func voltageDrop(p region.Profile, req *pb.ComputeVoltageDropRequest) (*pb.ComputeVoltageDropResponse, error) {
	c, err := electrical.ConductorNamed(p, req.GetConductor())
	if err != nil {
		return nil, invalid("conductor", req.GetConductor(), "is not in the region's table", names(p))
	}
	three := threePhase(req.GetSystem())
	pf := req.GetPf()
	if pf == 0 {
		pf = 1
	}
	drop := electrical.RunDrop(c, three, pf, req.GetCurrent().GetValueSi(), req.GetLength().GetValueSi())
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
