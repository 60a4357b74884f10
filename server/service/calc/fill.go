package calc

import (
	"context"
	"fmt"
	"strings"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/electrical"
	"roodbeam/engine/region"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// mostWires bounds what one raceway is asked to take.
const mostWires = 2000

// ComputeFill returns how full conductors make a raceway.
func (s *Server) ComputeFill(_ context.Context, req *pb.ComputeFillRequest) (*pb.ComputeFillResponse, error) {
	p, vs := profileOf(req.GetRegion())
	if len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	r := p.Raceways
	if r.Kind == "" {
		return nil, invalid("region", req.GetRegion(), "has no raceway table: its circuits run in cable", withRaceways())
	}
	var wires []string
	for i, w := range req.GetWires() {
		c, err := electrical.ConductorNamed(p, w.GetConductor())
		if err != nil {
			return nil, invalid(fmt.Sprintf("wires[%d].conductor", i), w.GetConductor(), "is not in the region's table", names(p))
		}
		for range w.GetCount() {
			wires = append(wires, c.Name)
		}
	}
	if len(wires) > mostWires {
		return nil, invalid("wires", fmt.Sprint(len(wires)), "are too many", fmt.Sprintf("up to %d", mostWires))
	}
	f, within := r.Fill(wires)
	if req.GetSize() != "" {
		var known []string
		found := false
		for _, size := range r.Sizes {
			known = append(known, size.Name)
			if size.Name == strings.TrimSpace(strings.TrimSuffix(req.GetSize(), "in")) {
				one := r
				one.Sizes = []region.Row{size}
				fit, ok := one.Fill(wires)
				if f = one.Measure(wires); ok {
					f = fit
				}
				within, found = ok, true
			}
		}
		if !found {
			return nil, invalid("size", req.GetSize(), "is not a trade size of the table", strings.Join(known, ", "))
		}
	} else if !within {
		one := r
		one.Sizes = r.Sizes[len(r.Sizes)-1:]
		f = one.Measure(wires)
	}
	out := &pb.ComputeFillResponse{Kind: r.Kind + ", " + r.Wire, Size: f.Size, ConductorMm2: f.ConductorMM2, InnerMm2: f.InnerMM2, FillPct: f.Pct,
		LimitPct: f.LimitPct, Within: within, Basis: &pb.CalcBasis{
			Formula:  "fill = Σ conductor areas / inner area; 53 % for one, 31 % for two, 40 % for more; for one size a fraction of 0.8 counts as one more",
			Source:   r.Source + "; " + r.FillSource + "; " + r.WireSource,
			Cautions: []string{planCaution, "the equipment ground counts; bends, length and other insulation are not looked at"}}}
	if len(req.GetWires()) == 1 {
		out.Most = int32(r.MostInRaceway(f.Size, wires[0]))
	}
	return out, nil
}

func invalid(field, given, reason, allowed string) error {
	return &rpc.InvalidFields{Violations: []convert.Violation{{Field: field, Given: given, Reason: reason, Allowed: allowed}}}
}

func names(p region.Profile) string {
	var out []string
	for _, c := range p.Conductors {
		out = append(out, c.Name)
	}
	return strings.Join(out, ", ")
}

func withRaceways() string {
	var out []string
	for _, p := range region.Profiles() {
		if p.Raceways.Kind != "" {
			out = append(out, p.ID)
		}
	}
	return strings.Join(out, ", ")
}
