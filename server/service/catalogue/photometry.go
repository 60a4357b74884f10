package catalogue

import (
	"context"
	"errors"
	"math"
	"slices"

	pb "roodbeam/api/gen/roodbeam/v1"
	engine "roodbeam/engine/catalogue"
	"roodbeam/engine/photometry"
	"roodbeam/engine/si"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// Blobs is what imports need of the store.
type Blobs interface {
	PutBlob(ctx context.Context, b []byte, mediaType string) (store.Hash, error)
}

// Media types under which files are kept. LM-63 and EULUMDAT have none of their
// own that is registered.
const mediaType = "text/plain"

// sameFieldDeg is how near two field angles are that mean one setting.
const sameFieldDeg = 0.05

// InspectPhotometry says what is in a photometric file.
func (s *Server) InspectPhotometry(_ context.Context, req *pb.InspectPhotometryRequest) (*pb.InspectPhotometryResponse, error) {
	f, err := read(req.GetFile())
	if err != nil {
		return nil, err
	}
	return &pb.InspectPhotometryResponse{Photometry: convert.Photometry(f)}, nil
}

// read reads a file; one that is refused is a violation with line and reason.
func read(raw []byte) (*photometry.File, error) {
	f, err := photometry.Read(raw)
	var refused *photometry.FileError
	if errors.As(err, &refused) {
		return nil, &rpc.InvalidFields{Violations: []convert.Violation{{Field: "file", Reason: refused.Error()}}}
	}
	return f, err
}

// ImportPhotometry keeps a file as given and makes it a beam of a fixture.
func (s *Server) ImportPhotometry(ctx context.Context, req *pb.ImportPhotometryRequest) (*pb.ImportPhotometryResponse, error) {
	file, err := read(req.GetFile())
	if err != nil {
		return nil, err
	}
	set, proj, err := s.load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	hash, err := s.Blobs.PutBlob(ctx, req.GetFile(), mediaType)
	if err != nil {
		return nil, err
	}
	f := withBeam(target(set, req, file), file, req.GetFieldDeg(), hash.String())
	m := convert.FixtureToAPI(f)
	effect, err := document.Fixture.Put(m.GetCode(), m)
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, req.GetExpectedRevision(), journal.Entry{ID: req.GetEntryId(), Kind: journal.FixturePut, Said: m, Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	return &pb.ImportPhotometryResponse{Revision: rev, Fixture: m, Photometry: convert.Photometry(file)}, nil
}

// target returns the fixture to import into: the project's own of that code, one
// made from a generic one without its beams, or a new one.
func target(set engine.Set, req *pb.ImportPhotometryRequest, file *photometry.File) engine.Fixture {
	f, ok := set.Get(req.GetCode())
	switch {
	case ok && f.Generic:
		f.Generic, f.Beams, f.Prices = false, nil, nil
	case ok:
		// As it is.
	case req.GetClass() == pb.FixtureClass_FIXTURE_CLASS_UNSPECIFIED:
		f = fresh(req.GetCode(), guess(file), file)
	default:
		f = fresh(req.GetCode(), engine.Class(convert.Word(req.GetClass())), file)
	}
	return f
}

// widestStageDeg is the field angle up to which a fixture is taken for one that
// throws across a room, where nobody says what it is. Common practice.
const widestStageDeg = 90

// guess returns the class of a fixture of which nobody says what it is.
func guess(file *photometry.File) engine.Class {
	if file.FieldDeg <= widestStageDeg {
		return engine.Wash
	}
	return engine.Downlight
}

// throws are the classes that belong on a hanging line.
var throws = []engine.Class{engine.Ellipsoidal, engine.Fresnel, engine.PAR, engine.Wash, engine.LinearWash, engine.MovingWash, engine.MovingSpot}

// fresh returns a new fixture with what the file says of it. Mass, price,
// control and supply are not in such files and stay unknown.
func fresh(code string, class engine.Class, file *photometry.File) engine.Fixture {
	name := file.Keyword("LUMINAIRE")
	if name == "" {
		name = file.Keyword("LUMCAT")
	}
	if name == "" {
		name = code
	}
	return engine.Fixture{Code: code, Name: cutTo(name, mostName), Class: class, Power: si.Power(file.InputW),
		Throws: slices.Contains(throws, class), Source: "photometric file, " + file.Format}
}

// mostName is the longest name of a fixture, in characters.
const mostName = 200

func cutTo(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n])
	}
	return s
}

// withBeam returns the fixture with the file as its beam at a field angle in
// degrees (0: as measured), in the place of one of the same angle.
func withBeam(f engine.Fixture, file *photometry.File, fieldDeg float64, hash string) engine.Fixture {
	if fieldDeg == 0 {
		fieldDeg = math.Min(file.FieldDeg, 180)
	}
	b := engine.Beam{FieldDeg: fieldDeg, BeamDeg: math.Min(file.BeamDeg, fieldDeg), PeakCd: file.MaxCd, File: hash}
	beams := slices.DeleteFunc(slices.Clone(f.Beams), func(o engine.Beam) bool { return math.Abs(o.FieldDeg-fieldDeg) < sameFieldDeg })
	f.Beams = append(beams, b)
	slices.SortStableFunc(f.Beams, func(a, b engine.Beam) int {
		switch {
		case a.FieldDeg < b.FieldDeg:
			return -1
		case a.FieldDeg > b.FieldDeg:
			return 1
		}
		return 0
	})
	if !f.Throws {
		f.Flux = si.LuminousFlux(file.FluxLm)
	}
	return f
}
