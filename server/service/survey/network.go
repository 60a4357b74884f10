package survey

import (
	"context"
	"errors"
	"math"
	"strings"

	"google.golang.org/protobuf/reflect/protoreflect"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/geom"
	enginesurvey "roodbeam/engine/survey"
	"roodbeam/server/convert"
	"roodbeam/server/rpc"
)

const (
	// looseShown bounds the loose stations that an answer describes.
	looseShown = 50
	// candidatesTried and candidateSigma are what next measurements of a plain list
	// are chosen from: distances and heights to 3 mm.
	candidatesTried = 500
	candidateSigma  = 0.003
)

// AdjustNetwork adjusts a plain list of measurements; it needs no project.
func (s *Server) AdjustNetwork(_ context.Context, req *pb.AdjustNetworkRequest) (*pb.AdjustNetworkResponse, error) {
	list, err := enginesurvey.ReadList(req.GetList(), convert.DisplayOf(&pb.ProjectSettings{Units: req.GetUnits()}, nil))
	if err != nil {
		return nil, refused(err)
	}
	opt := enginesurvey.Options{Alpha: req.GetAlpha(), Bonferroni: req.GetBonferroni(), KeepAll: req.GetKeepAll(), Break: enginesurvey.Leading,
		Estimated: req.GetVariance() == pb.NetworkVariance_NETWORK_VARIANCE_ESTIMATED}
	sol, err := list.Adjust(opt)
	if err != nil {
		return nil, refused(err)
	}
	out := solution(list, sol)
	if n := int(req.GetNext()); n > 0 {
		for i, r := range sol.RankNext(sol.Coordinates(), sol.Pairs(candidateSigma, candidatesTried)) {
			if i == n {
				break
			}
			out.Next = append(out.Next, nextToAPI(r))
		}
	}
	return out, nil
}

// refused turns what is wrong with a list into a violation of the field that holds it.
func refused(err error) error {
	var list *enginesurvey.ListError
	var input *enginesurvey.InputError
	if errors.As(err, &list) || errors.As(err, &input) {
		return &rpc.InvalidFields{Violations: []convert.Violation{{Field: "list", Code: convert.Unreadable, Reason: err.Error()}}}
	}
	return err
}

func solution(list enginesurvey.List, sol enginesurvey.Solution) *pb.AdjustNetworkResponse {
	out := &pb.AdjustNetworkResponse{Unknowns: int32(sol.Unknowns), Rank: int32(sol.Rank), Redundancy: int32(sol.Redundancy),
		Vpv: sol.VPV, Sigma0: sol.Sigma0, ChiLow: sol.ChiLow, ChiHigh: sol.ChiHigh, Pass: sol.Pass, Critical: finite(sol.Critical), Notes: list.Notes}
	if sol.Unfinished {
		out.Notes = append(out.Notes, "The search for mistakes was given up: too many numbers contradict each other to tell which are wrong.")
	}
	out.Notes = append(out.Notes, sol.Doubts()...)
	for i, p := range sol.Points {
		st := &pb.NetworkStation{Name: p.Name, At: point(p.At), Sigma: point(p.Sigma()), Loose: p.Loose}
		for axis, name := range []string{"x", "y", "z"} {
			if list.Points[i].Fixed[axis] {
				st.Fixed += name
			}
			st.CovM2 = append(st.CovM2, p.Cov[axis][:]...)
		}
		out.Stations = append(out.Stations, st)
	}
	for i, r := range sol.Results {
		o, row := list.Observations[i], list.Rows[i]
		m := &pb.NetworkMeasurement{Line: int32(row.Line), Kind: pb.MeasurementKind(number(pb.MeasurementKind(0), string(row.Kind))),
			From: row.From, At: row.At, To: row.To, Typed: row.Text, Angular: o.Angular(), Value: o.Value, Sigma: r.Sigma,
			Residual: r.Residual, Redundancy: r.Redundancy, W: r.W, Used: r.Used,
			SmallestDetectable: finite(enginesurvey.SmallestDetectable(r.Redundancy, enginesurvey.CriticalW) * r.Sigma)}
		if sol.Sigma0 > 0 {
			m.Tau = r.W / sol.Sigma0
		}
		out.Measurements = append(out.Measurements, m)
	}
	suspect := func(r enginesurvey.Suspicion) *pb.NetworkSuspect {
		o := list.Observations[r.Observation]
		s := &pb.NetworkSuspect{Measurement: int32(r.Observation), Statistic: r.Statistic, Critical: finite(r.Critical),
			Expected: r.Expected, ExpectedSigma: r.ExpectedSigma}
		for _, k := range r.Rivals {
			s.Rivals = append(s.Rivals, int32(k))
		}
		if m, ok := enginesurvey.ExplainIn(list.Network, sol, r, nil); ok {
			s.Mistake, s.Explanation, s.Gain, s.Corrected = m.Kind, m.Text, m.Gain, float64(m.Corrected)
			if o.Angular() {
				s.Corrected = float64(m.CorrectedAngle)
			}
		}
		return s
	}
	for _, r := range sol.Removed {
		out.Removed = append(out.Removed, suspect(r))
	}
	for _, g := range sol.Tied {
		tie := &pb.NetworkTie{}
		for _, r := range g {
			tie.Suspects = append(tie.Suspects, suspect(r))
		}
		out.Tied = append(out.Tied, tie)
	}
	for _, l := range sol.Looseness(looseShown) {
		ls := &pb.LooseStation{Station: l.Point, Directions: l.Words()}
		for _, d := range l.Directions {
			ls.Vectors = append(ls.Vectors, point(d))
		}
		for _, f := range l.Fixes {
			ls.Fixes = append(ls.Fixes, &pb.LooseFix{Kind: pb.MeasurementKind(number(pb.MeasurementKind(0), string(f.Kind))),
				From: f.From, To: f.To, Remaining: int32(f.Remaining)})
		}
		out.Loose = append(out.Loose, ls)
	}
	return out
}

func point(v geom.Vec) *pb.Point { return &pb.Point{XM: v.X, YM: v.Y, ZM: v.Z} }

// finite leaves out what has no number: an error that nothing would detect.
func finite(v float64) float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0
	}
	return v
}

// number returns the value of an engine's word in an enum of the API.
func number(e protoreflect.Enum, word string) protoreflect.EnumNumber {
	d := e.Descriptor()
	name := strings.TrimSuffix(string(d.Values().Get(0).Name()), "UNSPECIFIED") + strings.ToUpper(word)
	if v := d.Values().ByName(protoreflect.Name(name)); v != nil {
		return v.Number()
	}
	return 0
}

func nextToAPI(r enginesurvey.Ranked) *pb.NextMeasurement {
	out := &pb.NextMeasurement{Ask: r.Ask, Kind: pb.MeasurementKind(number(pb.MeasurementKind(0), string(r.Kind))), From: r.From, To: r.To,
		Instrument: pb.Instrument(number(pb.Instrument(0), string(r.Instrument))), SigmaM: r.Sigma, Minutes: r.Minutes, Gain: r.Gain, Rate: r.Rate}
	for _, e := range r.Effects {
		out.Effects = append(out.Effects, &pb.NextEffect{Quantity: e.Quantity, Angular: e.Unit == "rad", SigmaBefore: e.Before, SigmaAfter: e.After})
	}
	return out
}
