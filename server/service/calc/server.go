// Package calc serves CalcService: quick sums without a project.
package calc

import (
	"context"
	"fmt"
	"math"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/region"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// Server implements CalcService.
type Server struct {
	pb.UnimplementedCalcServiceServer
}

// ComputeThrow returns throw and elevation from a lens to a face.
func (s *Server) ComputeThrow(_ context.Context, req *pb.ComputeThrowRequest) (*pb.ComputeThrowResponse, error) {
	if vs := convert.Normalise(req, convert.DisplayOf(&pb.ProjectSettings{Units: req.GetUnits()}, nil)); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	rise := req.GetLensHeight().GetValueSi() - req.GetFaceHeight().GetValueSi()
	run := req.GetDistance().GetValueSi()
	return &pb.ComputeThrowResponse{
		ThrowM: math.Hypot(rise, run), ElevationDeg: math.Atan2(rise, run) * 180 / math.Pi,
		Basis: &pb.CalcBasis{Formula: "d = √(h² + y²), elevation = atan(h/y); h lens above face, y horizontal distance", Source: "Pythagoras; elevation is measured at the face, not at the floor"},
	}, nil
}

// ComputePool returns the diameter of a pool square to the beam.
func (s *Server) ComputePool(_ context.Context, req *pb.ComputePoolRequest) (*pb.ComputePoolResponse, error) {
	if vs := convert.Normalise(req, convert.DisplayOf(&pb.ProjectSettings{Units: req.GetUnits()}, nil)); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	if err := aboveZero(sum{"throw", req.GetThrow()}); err != nil {
		return nil, err
	}
	if !(req.GetAngleDeg() > 0) {
		return nil, invalid("angle_deg", fmt.Sprint(req.GetAngleDeg()), "must be above zero", "")
	}
	return &pb.ComputePoolResponse{
		DiameterM: 2 * req.GetThrow().GetValueSi() * math.Tan(req.GetAngleDeg()/2*math.Pi/180),
		Basis: &pb.CalcBasis{Formula: "D = 2·d·tan(angle/2)", Source: "plane geometry of a cone cut square to its axis",
			Cautions: []string{"on a slanted surface the pool is an ellipse and longer"}},
	}, nil
}

// ComputeVoltageDrop returns the drop of a run with its load at the end.
func (s *Server) ComputeVoltageDrop(_ context.Context, req *pb.ComputeVoltageDropRequest) (*pb.ComputeVoltageDropResponse, error) {
	profile, err := normalised(req, req.GetUnits(), req.GetRegion())
	if err != nil {
		return nil, err
	}
	if err := aboveZero(sum{"current", req.GetCurrent()}, sum{"length", req.GetLength()}); err != nil {
		return nil, err
	}
	return voltageDrop(profile, req)
}

// sum is a quantity a sum is nothing without.
type sum struct {
	field string
	q     *pb.Quantity
}

// aboveZero names the quantities that are zero: a sum of nothing tells nobody
// anything, and is mostly a slip.
func aboveZero(sums ...sum) error {
	var vs []convert.Violation
	for _, s := range sums {
		if !(s.q.GetValueSi() > 0) {
			vs = append(vs, convert.Violation{Field: s.field, Given: s.q.GetTyped(), Reason: "must be above zero"})
		}
	}
	if len(vs) > 0 {
		return &rpc.InvalidFields{Violations: vs}
	}
	return nil
}

// normalised reads a request's quantities and finds its region; what cannot be
// read and a region that is not there are told together.
func normalised(req proto.Message, units pb.DisplayUnits, id string) (region.Profile, error) {
	vs := convert.Normalise(req, convert.DisplayOf(&pb.ProjectSettings{Units: units}, nil))
	profile, more := profileOf(id)
	if vs = append(vs, more...); len(vs) > 0 {
		return profile, &rpc.InvalidFields{Violations: vs}
	}
	return profile, nil
}

func regions() string {
	out := ""
	for i, p := range region.Profiles() {
		if i > 0 {
			out += ", "
		}
		out += p.ID
	}
	return out
}
