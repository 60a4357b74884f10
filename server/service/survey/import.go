package survey

import (
	"context"
	"errors"
	"fmt"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
	enginesurvey "roodbeam/engine/survey"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

// importLimit is how many measurements one list may add: as many as
// AddMeasurements takes.
const importLimit = 500

// ImportMeasurements adds the measured rows of a plain list to a project.
func (s *Server) ImportMeasurements(ctx context.Context, req *pb.ImportMeasurementsRequest) (*pb.AddMeasurementsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	rows, err := enginesurvey.ReadListEntries(req.GetList(), displayOf(proj))
	if err != nil {
		return nil, refused(err)
	}
	if len(rows) > importLimit {
		return nil, &rpc.InvalidFields{Violations: []convert.Violation{{Field: "list", Code: convert.OutOfRange,
			Reason: fmt.Sprintf("holds %d measurements", len(rows)), Allowed: fmt.Sprintf("at most %d at a time", importLimit)}}}
	}
	entry := uuid.MustParse(req.GetEntryId())
	add := &pb.AddMeasurementsRequest{ProjectId: req.GetProjectId(), NewStations: req.GetNewStations()}
	for _, row := range rows {
		m := row.Measurement
		out := &pb.Measurement{Kind: pb.MeasurementKind(number(pb.MeasurementKind(0), string(m.Kind))), From: m.From, At: m.At, To: m.To, With: m.With,
			Instrument: pb.Instrument(number(pb.Instrument(0), string(m.Instrument))), By: req.GetBy()}
		typed := func(text string, set bool) *pb.Quantity {
			if !set {
				return nil
			}
			return &pb.Quantity{Typed: text}
		}
		out.Value, out.Sigma, out.Angle = typed(m.Value.Text, m.Value.Set), typed(m.Sigma.Text, m.Sigma.Set), typed(m.Angle.Text, m.Angle.Set)
		if m.AngleSigma.Set {
			// Seconds of arc alone are a way of writing of lists only.
			v := float64(m.AngleSigma.Value)
			out.AngleSigma = &pb.Quantity{ValueSi: &v}
		}
		id := uuid.NewSHA1(entry, fmt.Appendf(nil, "line %d", row.Line)).String()
		add.Entries = append(add.Entries, &pb.MeasurementEntry{EntryId: id, Measurement: out})
	}
	out, err := s.AddMeasurements(ctx, add)
	var invalid *rpc.InvalidFields
	if errors.As(err, &invalid) {
		// The list has lines, not entries.
		for i, v := range invalid.Violations {
			var k int
			var field string
			if n, _ := fmt.Sscanf(v.Field, "entries[%d].measurement.%s", &k, &field); n == 2 && k < len(rows) {
				invalid.Violations[i].Field = fmt.Sprintf("list line %d, %s", rows[k].Line, field)
			}
		}
	}
	return out, err
}
