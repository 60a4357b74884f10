package calc

import (
	"context"
	"math"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/electrical"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// defaultYears is how far ahead a saving is looked at: about a driver's life.
const defaultYears = 15

// ComputePayback returns when a saving pays its cost back.
func (s *Server) ComputePayback(_ context.Context, req *pb.ComputePaybackRequest) (*pb.ComputePaybackResponse, error) {
	if vs := convert.Normalise(req, convert.DisplayOf(&pb.ProjectSettings{}, nil)); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	out := &pb.ComputePaybackResponse{}
	energy := req.GetEnergyPerYear()
	if req.GetBefore() != nil || req.GetAfter() != nil {
		if energy > 0 {
			return nil, invalid("energy_per_year", "", "is given beside watts; one of them is wanted", "")
		}
		if !(req.GetHoursPerWeek() > 0) || !(req.GetPricePerKwh() > 0) {
			return nil, invalid("hours_per_week", "", "and price_per_kwh are needed with watts", "above zero")
		}
		out.EnergyKwh = electrical.YearlyEnergy(req.GetBefore().GetValueSi(), req.GetAfter().GetValueSi(), req.GetHoursPerWeek())
		energy = out.GetEnergyKwh() * req.GetPricePerKwh()
	}
	sv := electrical.Saving{EnergyPerYear: energy, OtherPerYear: req.GetOtherPerYear(), Cost: req.GetCost(), DiscountPct: req.GetDiscountPct(),
		EscalationPct: req.GetEnergyRisePct()}
	when := "at the end of each year"
	if req.GetMidYear() {
		sv.Convention, when = electrical.MidYear, "in the middle of each year"
	}
	years := req.GetYears()
	if years == 0 {
		years = defaultYears
	}
	out.SavedPerYear, out.PresentValue = energy+req.GetOtherPerYear(), sv.Present(years)
	net, ratio := sv.Net(years)
	out.Net = net
	out.SimpleYears, out.DiscountedYears, out.Ratio = known(sv.Simple()), known(sv.Discounted()), known(ratio)
	out.Basis = &pb.CalcBasis{
		Formula:  "simple = cost/saving; present value = S·(1+e)/(d−e)·(1−((1+e)/(1+d))ⁿ), n·S where d = e; savings counted " + when,
		Source:   "uniform present value as in NIST Handbook 135 (from memory); mid-year convention MIL-HDBK-1003/13A 3.7.3",
		Cautions: []string{"prices, hours and rates are assumptions: try others", "energy alone rarely pays in a room lit few hours a week"}}
	return out, nil
}

func known(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}
