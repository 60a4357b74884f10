package calc

import (
	"context"
	"math"
	"testing"

	pb "roodbeam/api/gen/roodbeam/v1"
)

func q(s string) *pb.Quantity { return &pb.Quantity{Typed: s} }

// The printed cases through the door: AWC Design Aid No. 6, 2007, a 48.3 × 4.0 mm
// steel tube at 210 GPa; the energy method's rows of 12 kg on 3 mm rope.
func TestBeamAndSecondaryAsPrinted(t *testing.T) {
	s := &Server{}
	beam := func(req *pb.ComputeBeamRequest) *pb.ComputeBeamResponse {
		t.Helper()
		req.Section, req.Modulus = "tube 48.3x4.0", q("210 GPa")
		res, err := s.ComputeBeam(context.Background(), req)
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tol) {
			t.Errorf("%s = %v, want %v", what, got, want)
		}
	}
	r := beam(&pb.ComputeBeamRequest{Spans: []*pb.Quantity{q("4 m")}, Loads: []*pb.BeamLoad{{Force: q("1 kN"), At: q("2 m")}}})
	near("moment", r.GetSagMomentNm(), 1000, .006)
	near("deflection mm", r.GetDeflectionM()*1000, 46.117, 6e-4)
	near("stress", r.GetStressMpa(), 175.4, .06)
	r = beam(&pb.ComputeBeamRequest{OverhangRight: q("1.2 m"), ClampLeft: true, Loads: []*pb.BeamLoad{{Force: q("300 N"), At: q("1.2 m")}}})
	near("cantilever mm", r.GetDeflectionM()*1000, 5.9768, 6e-4)
	near("cantilever moment", r.GetHogMomentNm(), -360, .006)
	r = beam(&pb.ComputeBeamRequest{Spans: []*pb.Quantity{q("4 m")}, OverhangRight: q("1 m"), SpreadLoad: q("0 N"), Loads: []*pb.BeamLoad{{Force: q("400 N"), At: q("5 m")}}})
	near("uplift", r.GetReactionsN()[0], -100, 1e-9)
	for _, bad := range []*pb.ComputeBeamRequest{{}, {Spans: []*pb.Quantity{q("4")}}, {Spans: []*pb.Quantity{q("4 m")}, Section: "rect 0x1"}, {Spans: []*pb.Quantity{q("4 m")}, SelfWeight: true},
		{Spans: []*pb.Quantity{q("NaN m")}}, {Spans: []*pb.Quantity{q("-4 m")}}, {Spans: []*pb.Quantity{q("4 m")}, Loads: []*pb.BeamLoad{{Force: q("5 N"), At: q("5 m")}}}} {
		if res, err := s.ComputeBeam(context.Background(), bad); err == nil {
			t.Errorf("%v gives %v", bad, res)
		}
	}
	f, err := s.ComputeSecondary(context.Background(), &pb.ComputeSecondaryRequest{Mass: q("12 kg"), Drop: q("200 mm"), Diameter: q("3 mm"), Length: q("0.6 m"), StopDistance: q("20 mm")})
	if err != nil {
		t.Fatal(err)
	}
	near("pull kN", f.GetForceN()/1000, 5.990, 6e-4)
	near("stopped kN", f.GetStopForceN()/1000, 1.294, 6e-4)
	near("rope kN", f.GetBreakingN()/1000, 5.29, 6e-3)
	if f.GetRank() != pb.FallRank_FALL_RANK_WARN {
		t.Errorf("rank %v", f.GetRank())
	}
	for _, bad := range []*pb.ComputeSecondaryRequest{{}, {Mass: q("12 kg"), Drop: q("0"), Diameter: q("3 mm"), Length: q("1 m"), End: "knot"}, {Mass: q("12 kg"), Drop: q("0"), Diameter: q("3 mm"), Length: q("1 m"), Build: "string"}} {
		if res, err := s.ComputeSecondary(context.Background(), bad); err == nil {
			t.Errorf("%v gives %v", bad, res)
		}
	}
}
