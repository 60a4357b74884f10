package calc

import (
	"context"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/daylight"
)

// The formulas hold for these years.
const (
	firstSunYear = 1901
	lastSunYear  = 2099
)

// ComputeSun returns where the sun stands.
func (s *Server) ComputeSun(_ context.Context, req *pb.ComputeSunRequest) (*pb.ComputeSunResponse, error) {
	at := req.GetTime().AsTime()
	if !req.GetTime().IsValid() || at.Year() < firstSunYear || at.Year() > lastSunYear {
		return nil, invalid("time", at.Format(time.RFC3339), "is outside the years the formulas hold for", "1901 to 2099")
	}
	sun := daylight.SunAt(at, req.GetLatitudeDeg(), req.GetLongitudeDeg())
	out := &pb.ComputeSunResponse{ElevationDeg: sun.ElevationDeg, ApparentElevationDeg: sun.ElevationDeg + daylight.Refraction(sun.ElevationDeg),
		AzimuthDeg: sun.AzimuthDeg, DeclinationDeg: sun.DeclinationDeg, EquationMin: sun.EquationMin,
		Basis: &pb.CalcBasis{
			Formula:  "sin h = sin φ·sin δ + cos φ·cos δ·cos H, azimuth from north clockwise; declination and equation of time by low-accuracy series",
			Source:   "Meeus, Astronomical Algorithms, as published on NOAA's solar calculation pages; about 0.02°, 1901 to 2099",
			Cautions: []string{"hills, trees and houses before the window are not in it", "clear sky is not promised: this is where the sun stands, not whether it shines"}}}
	day := at.In(time.FixedZone("", int(req.GetOffsetMin())*60))
	if rise, noon, set, ok := daylight.RiseNoonSet(day, req.GetLatitudeDeg(), req.GetLongitudeDeg()); ok {
		out.Rise, out.Noon, out.Set = timestamppb.New(rise), timestamppb.New(noon), timestamppb.New(set)
	}
	return out, nil
}
