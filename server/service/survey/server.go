// Package survey serves SurveyService: what is measured and seen, and what the
// room is made of it.
package survey

import (
	"context"
	"time"

	"github.com/google/uuid"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	enginesurvey "roodbeam/engine/survey"
	"roodbeam/server/auth"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// Server implements SurveyService.
type Server struct {
	pb.UnimplementedSurveyServiceServer
	Planner *planner.Planner
	Journal journal.Writer
	Blobs   Blobs
	Now     func() time.Time
}

// GetSurvey returns what was measured and seen.
func (s *Server) GetSurvey(ctx context.Context, req *pb.GetSurveyRequest) (*pb.GetSurveyResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	return &pb.GetSurveyResponse{Revision: int64(proj.Revision), Survey: proj.File.GetSurvey()}, nil
}

// AddMeasurements adds numbers to whatever is there and says at once what does
// not fit.
func (s *Server) AddMeasurements(ctx context.Context, req *pb.AddMeasurementsRequest) (*pb.AddMeasurementsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if vs := convert.Normalise(req, displayOf(proj)); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	fresh, err := newStations(req, proj.File)
	if err != nil {
		return nil, err
	}
	out := &pb.AddMeasurementsResponse{}
	there := map[string]*pb.Measurement{}
	for _, m := range proj.File.GetSurvey().GetMeasurements() {
		there[m.GetId()] = m
	}
	var entries []journal.Entry
	for _, e := range req.GetEntries() {
		m := e.GetMeasurement()
		if m.GetId() == "" {
			m.Id = e.GetEntryId()
		}
		if m.GetBy() == "" {
			if caller, ok := auth.CallerFrom(ctx); ok {
				m.By = caller.Name
			}
		}
		// An id of the client's own that is taken is refused here; an entry sent
		// again, or sent with other content, is the store's to judge.
		if old := there[m.GetId()]; old != nil && m.GetId() != e.GetEntryId() && !sameReading(old, m) {
			return nil, &store.Exists{What: "measurement", ID: m.GetId()}
		}
		effect, err := document.Measurement.Put(m.GetId(), m)
		if err != nil {
			return nil, err
		}
		effects := []store.Effect{effect}
		if len(entries) == 0 {
			effects = append(fresh, effects...)
		}
		entries = append(entries, journal.Entry{ID: e.GetEntryId(), Kind: journal.MeasurementAdded, Said: m, Effects: effects})
		out.Measurements = append(out.Measurements, m)
	}
	if out.Revision, err = s.Journal.Write(ctx, proj.ID, -1, entries...); err != nil {
		return nil, err
	}
	out.Findings, err = s.checked(ctx, req.GetProjectId())
	return out, err
}

// sameReading tells whether b is a again, struck out or not: a measurement is
// added, never changed.
func sameReading(a, b *pb.Measurement) bool {
	a, b = proto.CloneOf(a), proto.CloneOf(b)
	a.Void, b.Void = false, false
	return proto.Equal(a, b)
}

// checked runs the checks of the survey as it stands now.
func (s *Server) checked(ctx context.Context, project string) ([]*pb.Finding, error) {
	proj, err := s.Planner.Load(ctx, project)
	if err != nil {
		return nil, err
	}
	return s.check(proj, proj.File.GetSurvey()), nil
}

func (s *Server) check(proj *document.Project, sv *pb.Survey) []*pb.Finding {
	doc := convert.SurveyToEngine(sv)
	region := proj.File.GetBrief().GetRegion()
	fs := enginesurvey.CheckIn(doc, s.Planner.Book, region, s.beside(proj, doc))
	_, more := room.Solve(doc, s.Planner.Book, region)
	fs = append(fs, more...)
	finding.Sort(fs)
	return convert.Findings(fs, s.Planner.Book, displayOf(proj))
}

// VoidMeasurement strikes a number out; it stays in the record.
func (s *Server) VoidMeasurement(ctx context.Context, req *pb.VoidMeasurementRequest) (*pb.WriteResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	for _, m := range proj.File.GetSurvey().GetMeasurements() {
		if m.GetId() != req.GetMeasurementId() {
			continue
		}
		m.Void = true
		effect, err := document.Measurement.Put(m.GetId(), m)
		if err != nil {
			return nil, err
		}
		rev, err := s.Journal.Write(ctx, proj.ID, -1, journal.Entry{ID: req.GetEntryId(), Kind: journal.MeasurementVoided, Said: req, Effects: []store.Effect{effect}})
		return &pb.WriteResponse{Revision: rev}, err
	}
	return nil, &store.NotFound{What: "measurement", ID: req.GetMeasurementId()}
}

// PutFeature describes one thing in the room, new or again.
func (s *Server) PutFeature(ctx context.Context, req *pb.PutFeatureRequest) (*pb.PutFeatureResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	f := req.GetFeature()
	if vs := convert.Normalise(req, displayOf(proj)); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	if vs := convert.References(req, proj.File); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	effect, err := document.Feature.Put(document.FeatureID(convert.FeatureKey(f)), f)
	if err != nil {
		return nil, err
	}
	expected := req.GetExpectedRevision()
	if expected == 0 {
		expected = -1 // a phone in a building without signal knows no revision
	}
	rev, err := s.Journal.Write(ctx, proj.ID, expected, journal.Entry{ID: req.GetEntryId(), Kind: journal.FeaturePut, Said: f, Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	findings, err := s.checked(ctx, req.GetProjectId())
	return &pb.PutFeatureResponse{Revision: rev, Feature: f, Findings: findings}, err
}

// RemoveFeature takes a thing out of the survey.
func (s *Server) RemoveFeature(ctx context.Context, req *pb.RemoveFeatureRequest) (*pb.WriteResponse, error) {
	id := uuid.MustParse(req.GetProjectId())
	effect := document.Feature.Delete(document.FeatureID(req.GetKind(), req.GetName()))
	rev, err := s.Journal.Write(ctx, id, req.GetExpectedRevision(), journal.Entry{ID: req.GetEntryId(), Kind: journal.FeatureRemoved, Said: req, Effects: []store.Effect{effect}})
	return &pb.WriteResponse{Revision: rev}, err
}

// ReadQuantity tells how a text is read.
func (s *Server) ReadQuantity(_ context.Context, req *pb.ReadQuantityRequest) (*pb.ReadQuantityResponse, error) {
	units := convert.DisplayOf(&pb.ProjectSettings{Units: req.GetUnits()}, nil)
	q, problem := convert.Read(req.GetDimension(), req.GetText(), units)
	out := &pb.ReadQuantityResponse{Quantity: q, ReadingsShown: convert.ReadingsShown(q, units)}
	if problem != nil {
		out.Problem = problem.Description()
	}
	if q.ValueSi != nil {
		out.Shown = convert.Show(req.GetDimension(), q.GetValueSi(), units)
	}
	return out, nil
}

// CheckSurvey runs the checks on the stored survey, or on one that is not saved.
func (s *Server) CheckSurvey(ctx context.Context, req *pb.CheckSurveyRequest) (*pb.CheckSurveyResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	sv := proj.File.GetSurvey()
	if req.GetSurvey() != nil {
		sv = req.GetSurvey()
		if vs := convert.Normalise(req, displayOf(proj)); len(vs) > 0 {
			return nil, &rpc.InvalidFields{Violations: vs}
		}
	}
	return &pb.CheckSurveyResponse{Revision: int64(proj.Revision), Findings: s.check(proj, sv)}, nil
}

// GetRoom returns the solved room.
func (s *Server) GetRoom(ctx context.Context, req *pb.GetRoomRequest) (*pb.GetRoomResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	solve := room.Solve
	if req.GetWhen() == pb.RoomTime_ROOM_TIME_TODAY {
		solve = room.SolveToday
	}
	r, fs := solve(convert.SurveyToEngine(proj.File.GetSurvey()), s.Planner.Book, proj.File.GetBrief().GetRegion())
	return &pb.GetRoomResponse{Revision: int64(proj.Revision), Room: convert.Room(r), Findings: convert.Findings(fs, s.Planner.Book, displayOf(proj))}, nil
}

// ListQuestions returns what is missing, most useful first.
func (s *Server) ListQuestions(ctx context.Context, req *pb.ListQuestionsRequest) (*pb.ListQuestionsResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	r, _ := room.Solve(convert.SurveyToEngine(proj.File.GetSurvey()), s.Planner.Book, proj.File.GetBrief().GetRegion())
	out := &pb.ListQuestionsResponse{Revision: int64(proj.Revision)}
	for _, q := range r.Questions {
		out.Questions = append(out.Questions, convert.Question(q))
	}
	return out, nil
}
