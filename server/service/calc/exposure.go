package calc

import (
	"context"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/light"
)

// ComputeExposure returns the light a camera's settings ask for.
func (s *Server) ComputeExposure(_ context.Context, req *pb.ComputeExposureRequest) (*pb.ComputeExposureResponse, error) {
	c := req.GetConstant()
	if c == 0 {
		c = light.CalibrationC
	}
	lx := light.ExposureLx(req.GetIso(), req.GetAperture(), req.GetShutterS(), c)
	if known(lx) == nil {
		return nil, invalid("aperture", "", "and shutter, iso and constant must be above zero", "")
	}
	return &pb.ComputeExposureResponse{IlluminanceLx: lx, Ev100: light.EV100(lx, c), Basis: &pb.CalcBasis{
		Formula:  "E = C·N²/(t·S); C 250 lx·s for a flat receptor, 340 for a dome, as the meter's maker states it",
		Source:   "ISO 2720:1974, incident-light exposure meters",
		Cautions: []string{"for a mid-tone subject; gain, picture profile and shutter angle of the camera are its operator's", "light on the face toward the camera, not on the floor"}}}, nil
}
