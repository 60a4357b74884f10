package app_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/rs/zerolog"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/clients/cli/churchfile"
	"roodbeam/server/app"
	"roodbeam/server/auth"
	"roodbeam/server/store/postgres/pgtest"
	"roodbeam/testdata/churches"
)

var cluster *pgtest.Cluster

func TestMain(m *testing.M) { os.Exit(pgtest.Run(m, func(c *pgtest.Cluster) { cluster = c })) }

// patience bounds waits for what should happen soon on a loaded machine.
const patience = 30 * time.Second

// unhurried is the deadline of calls: under the race detector, on a machine that does much else, a packet takes its time.
const unhurried = 10 * time.Minute

// clock is a server's clock that stands still until it is moved.
type clock struct{ at atomic.Int64 }

func newClock() *clock {
	c := &clock{}
	c.at.Store(time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC).UnixNano())
	return c
}

func (c *clock) now() time.Time        { return time.Unix(0, c.at.Load()).UTC() }
func (c *clock) move(by time.Duration) { c.at.Add(int64(by)) }

// house is a running server as its owner sees it.
type house struct {
	*app.Server
	t     testing.TB
	cfg   app.Config
	clock *clock
	owner *person
}

// start runs a server on a config without addresses and clock.
func start(t testing.TB, cfg app.Config) *house {
	t.Helper()
	h := &house{t: t, cfg: cfg, clock: newClock()}
	h.cfg.GRPC, h.cfg.HTTP, h.cfg.Log = "127.0.0.1:0", "127.0.0.1:0", zerolog.Nop()
	h.cfg.Now = h.clock.now
	h.cfg.Deadline = unhurried
	// These tests look at everything of a packet but its pictures' pixels.
	h.cfg.PictureWidthPx = 160
	if h.cfg.Grace == 0 {
		h.cfg.Grace = time.Second
	}
	h.open()
	t.Cleanup(func() {
		if h.Server != nil {
			if err := h.Stop(); err != nil {
				t.Errorf("stop: %v", err)
			}
		}
	})
	return h
}

func (h *house) open() {
	h.t.Helper()
	s, err := app.Start(context.Background(), h.cfg)
	if err != nil {
		h.t.Fatal(err)
	}
	h.Server = s
	h.owner = h.as(s.AdminToken)
}

// restart stops the server and starts another on the same data.
func (h *house) restart() {
	h.t.Helper()
	if err := h.Stop(); err != nil {
		h.t.Fatal(err)
	}
	h.open()
}

func (h *house) shut() error {
	err := h.Stop()
	h.Server = nil
	return err
}

// onBothStores runs a test on a server of each kind.
func onBothStores(t *testing.T, test func(t *testing.T, h *house)) {
	t.Run("sqlite", func(t *testing.T) { test(t, start(t, app.Config{DataDir: t.TempDir()})) })
	t.Run("postgres", func(t *testing.T) {
		t.Setenv("ROODBEAM_ADMIN_TOKEN", auth.NewSecret())
		test(t, start(t, app.Config{Postgres: cluster.Database(t)}))
	})
}

// onBothStoresInFull is onBothStores in the full run, else on the embedded store:
// for tests of whole churches whose store is not the matter.
func onBothStoresInFull(t *testing.T, test func(t *testing.T, h *house)) {
	if os.Getenv("ROODBEAM_FULL") != "" {
		onBothStores(t, test)
		return
	}
	test(t, onSQLite(t))
}

func onSQLite(t testing.TB) *house {
	return start(t, app.Config{DataDir: filepath.Join(t.TempDir(), "data")})
}

// person is somebody with a token and a connection.
type person struct {
	token   string
	conn    *grpc.ClientConn
	project pb.ProjectServiceClient
	survey  pb.SurveyServiceClient
	design  pb.DesignServiceClient
	goods   pb.CatalogueServiceClient
	phase   pb.PhaseServiceClient
	packet  pb.PacketServiceClient
	access  pb.AccessServiceClient
	calc    pb.CalcServiceClient
}

type bearer string

func (b bearer) GetRequestMetadata(context.Context, ...string) (map[string]string, error) {
	if b == "" {
		return nil, nil
	}
	return map[string]string{"authorization": "Bearer " + string(b)}, nil
}
func (bearer) RequireTransportSecurity() bool { return false }

func (h *house) as(token string) *person {
	h.t.Helper()
	conn, err := grpc.NewClient(h.GRPCAddr, grpc.WithTransportCredentials(insecure.NewCredentials()), grpc.WithPerRPCCredentials(bearer(token)))
	if err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { conn.Close() })
	return &person{token: token, conn: conn, project: pb.NewProjectServiceClient(conn), survey: pb.NewSurveyServiceClient(conn),
		design: pb.NewDesignServiceClient(conn), goods: pb.NewCatalogueServiceClient(conn), phase: pb.NewPhaseServiceClient(conn),
		packet: pb.NewPacketServiceClient(conn), access: pb.NewAccessServiceClient(conn), calc: pb.NewCalcServiceClient(conn)}
}

// invite lets somebody into a project in a role, through a link.
func (h *house) invite(project string, role pb.Role) *person {
	h.t.Helper()
	inv, err := h.owner.access.CreateInvitation(h.t.Context(), &pb.CreateInvitationRequest{ProjectId: project, InvitationId: newID(), Role: role})
	if err != nil {
		h.t.Fatalf("invite %v: %v", role, err)
	}
	acc, err := h.as("").access.AcceptInvitation(h.t.Context(), &pb.AcceptInvitationRequest{Secret: inv.GetSecret(), Name: "A " + word(role), AcceptId: newID()})
	if err != nil {
		h.t.Fatalf("accept %v: %v", role, err)
	}
	return h.as(acc.GetToken())
}

func word(r pb.Role) string {
	return strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(r.String(), "ROLE_"), "_", " "))
}

func newID() string { return uuid.Must(uuid.NewV7()).String() }

// demo is a demo church's file.
func demo(t testing.TB, name string) *pb.ChurchFile {
	t.Helper()
	raw, err := churches.Read(name)
	if err != nil {
		t.Fatal(err)
	}
	var f pb.ChurchFile
	if _, problems := churchfile.Decode(raw, &f); len(problems) > 0 {
		t.Fatalf("%s: %v", name, problems)
	}
	return &f
}

// bare is the file of a church of which nothing is measured yet, with an empty
// scheme: for tests that ask nothing of the room.
func bare() *pb.ChurchFile {
	return &pb.ChurchFile{
		Project: &pb.ProjectSettings{Name: "New church", Town: "Elsewhere", Units: pb.DisplayUnits_DISPLAY_UNITS_METRIC},
		Survey:  &pb.Survey{}, Brief: &pb.Brief{Region: "metric"}, Schemes: []*pb.Scheme{{Name: "hand"}},
	}
}

// create stores a file as a new project and returns its id.
func (h *house) create(f *pb.ChurchFile) string {
	h.t.Helper()
	id := newID()
	if _, err := h.owner.project.CreateProject(h.t.Context(), &pb.CreateProjectRequest{ProjectId: id, EntryId: newID(), File: f}); err != nil {
		h.t.Fatal(err)
	}
	return id
}

func (h *house) revision(project string) int64 {
	h.t.Helper()
	got, err := h.owner.project.GetProject(h.t.Context(), &pb.GetProjectRequest{ProjectId: project})
	if err != nil {
		h.t.Fatal(err)
	}
	return got.GetProject().GetRevision()
}

// reason is the ErrorInfo reason of an error.
func reason(err error) string {
	for _, d := range status.Convert(err).Details() {
		if i, ok := d.(*errdetails.ErrorInfo); ok {
			return i.GetReason()
		}
	}
	return ""
}

// wantError checks code and reason.
func wantError(t testing.TB, what string, err error, code codes.Code, why string) {
	t.Helper()
	if status.Code(err) != code || reason(err) != why {
		t.Errorf("%s: %v (%s), want %v (%s)", what, err, reason(err), code, why)
	}
}

func fields(err error) map[string]string {
	out := map[string]string{}
	for _, d := range status.Convert(err).Details() {
		if br, ok := d.(*errdetails.BadRequest); ok {
			for _, v := range br.GetFieldViolations() {
				out[v.GetField()] = v.GetDescription()
			}
		}
	}
	return out
}

func typed(s string) *pb.Quantity { return &pb.Quantity{Typed: s} }
