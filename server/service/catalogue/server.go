// Package catalogue serves CatalogueService: fixtures, prices and regions.
package catalogue

import (
	"context"
	"slices"
	"strconv"

	pb "roodbeam/api/gen/roodbeam/v1"
	engine "roodbeam/engine/catalogue"
	"roodbeam/engine/region"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/planner"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// Server implements CatalogueService.
type Server struct {
	pb.UnimplementedCatalogueServiceServer
	Planner *planner.Planner
	Journal journal.Writer
	Blobs   Blobs
}

// edition names the generic catalogue; it changes with its data.
const edition = "2026"

const defaultPage = 100

// ListGenericFixtures returns the fixtures of our own invention.
func (s *Server) ListGenericFixtures(_ context.Context, req *pb.ListGenericFixturesRequest) (*pb.ListFixturesResponse, error) {
	return pageOf(engine.Generic(), 0, req.GetPageSize(), req.GetPageToken())
}

// ListFixtures returns the generic fixtures and the church's own; the own wins
// where both have a code.
func (s *Server) ListFixtures(ctx context.Context, req *pb.ListFixturesRequest) (*pb.ListFixturesResponse, error) {
	set, _, err := s.load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	return pageOf(set.All(), req.GetClass(), req.GetPageSize(), req.GetPageToken())
}

// load reads a project and the fixtures it may use.
func (s *Server) load(ctx context.Context, project string) (engine.Set, *document.Project, error) {
	proj, err := s.Planner.Load(ctx, project)
	if err != nil {
		return engine.Set{}, nil, err
	}
	var own []engine.Fixture
	for _, f := range proj.File.GetFixtures() {
		own = append(own, convert.FixtureToEngine(f))
	}
	return engine.NewSet(engine.Generic(), own), proj, nil
}

func pageOf(all []engine.Fixture, class pb.FixtureClass, size int32, token string) (*pb.ListFixturesResponse, error) {
	var fs []*pb.Fixture
	for _, f := range all {
		m := convert.FixtureToAPI(f)
		if class == 0 || m.GetClass() == class {
			fs = append(fs, m)
		}
	}
	part, next, err := cut(fs, size, token)
	if err != nil {
		return nil, err
	}
	return &pb.ListFixturesResponse{Fixtures: part, NextPageToken: next, Edition: edition}, nil
}

// cut returns one page of a list that is made as a whole; the token is the
// place of the next element.
func cut[T any](all []T, size int32, token string) ([]T, string, error) {
	from := 0
	if token != "" {
		n, err := strconv.Atoi(token)
		if err != nil || n < 0 || n > len(all) {
			return nil, "", &rpc.InvalidFields{Violations: []convert.Violation{{Field: "page_token", Given: token, Reason: "is not a token of this list"}}}
		}
		from = n
	}
	if size == 0 {
		size = defaultPage
	}
	to := min(from+int(size), len(all))
	if to == len(all) {
		return all[from:], "", nil
	}
	return all[from:to], strconv.Itoa(to), nil
}

// GetFixture returns one fixture by code.
func (s *Server) GetFixture(ctx context.Context, req *pb.GetFixtureRequest) (*pb.GetFixtureResponse, error) {
	set, _, err := s.load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	f, ok := set.Get(req.GetCode())
	if !ok {
		return nil, &store.NotFound{What: "fixture", ID: req.GetCode()}
	}
	return &pb.GetFixtureResponse{Fixture: convert.FixtureToAPI(f)}, nil
}

// PutFixture stores a fixture of the church's own.
func (s *Server) PutFixture(ctx context.Context, req *pb.PutFixtureRequest) (*pb.PutFixtureResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	if vs := convert.Normalise(req, convert.DisplayOf(proj.File.GetProject(), proj.File.GetBrief())); len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	effect, err := document.Fixture.Put(req.GetFixture().GetCode(), req.GetFixture())
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, req.GetExpectedRevision(), journal.Entry{ID: req.GetEntryId(), Kind: journal.FixturePut, Said: req.GetFixture(), Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	return &pb.PutFixtureResponse{Revision: rev, Fixture: req.GetFixture()}, nil
}

// ListPrices returns the church's own prices.
func (s *Server) ListPrices(ctx context.Context, req *pb.ListPricesRequest) (*pb.ListPricesResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	part, next, err := cut(proj.File.GetPrices(), req.GetPageSize(), req.GetPageToken())
	if err != nil {
		return nil, err
	}
	return &pb.ListPricesResponse{Prices: part, NextPageToken: next, Edition: edition}, nil
}

// PutPrice stores a price of the church's own.
func (s *Server) PutPrice(ctx context.Context, req *pb.PutPriceRequest) (*pb.PutPriceResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	effect, err := document.Price.Put(req.GetPrice().GetCode(), req.GetPrice())
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, proj.ID, req.GetExpectedRevision(), journal.Entry{ID: req.GetEntryId(), Kind: journal.PricePut, Said: req.GetPrice(), Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	return &pb.PutPriceResponse{Revision: rev, Price: req.GetPrice()}, nil
}

// GetRegions returns the region profiles of this server.
func (s *Server) GetRegions(context.Context, *pb.GetRegionsRequest) (*pb.GetRegionsResponse, error) {
	out := &pb.GetRegionsResponse{}
	for _, p := range region.Profiles() {
		out.Regions = append(out.Regions, convert.Region(p))
	}
	slices.SortFunc(out.Regions, func(a, b *pb.RegionProfile) int {
		if a.GetId() < b.GetId() {
			return -1
		}
		return 1
	})
	return out, nil
}
