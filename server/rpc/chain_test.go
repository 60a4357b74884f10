package rpc

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"buf.build/go/protovalidate"
	"github.com/google/go-cmp/cmp"
	"github.com/google/uuid"
	"github.com/rs/zerolog"
	"golang.org/x/time/rate"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/store"
)

// bench is a chain over made-up people, with what it logs and which headers it sends.
type bench struct {
	*Chain
	access *people
	log    *bytes.Buffer
}

func setup(t *testing.T) *bench {
	t.Helper()
	v, err := protovalidate.New()
	if err != nil {
		t.Fatal(err)
	}
	b := &bench{access: newPeople(), log: &bytes.Buffer{}}
	b.Chain = &Chain{Log: zerolog.New(b.log), Gate: Gate{Access: b.access, Now: clock}, Validate: v, Now: clock}
	return b
}

// headers catches what an interceptor sends back before the answer.
type headers struct{ md metadata.MD }

func (h *headers) Method() string                  { return "" }
func (h *headers) SetHeader(md metadata.MD) error  { h.md = metadata.Join(h.md, md); return nil }
func (h *headers) SendHeader(md metadata.MD) error { return h.SetHeader(md) }
func (h *headers) SetTrailer(metadata.MD) error    { return nil }

// call sends a request to WhoAmI, or another method, through the chain.
func (b *bench) call(ctx context.Context, method string, req any, handler grpc.UnaryHandler) (any, error) {
	return b.Unary(ctx, req, &grpc.UnaryServerInfo{FullMethod: method}, handler)
}

const (
	whoAmI   = "/roodbeam.v1.AccessService/WhoAmI"
	putBrief = "/roodbeam.v1.DesignService/PutBrief"
	watch    = "/roodbeam.v1.ProjectService/WatchProject"
)

func withToken(secret string) context.Context {
	return metadata.NewIncomingContext(context.Background(), metadata.Pairs("authorization", "Bearer "+secret))
}

func done(context.Context, any) (any, error) { return &pb.WhoAmIResponse{}, nil }

func TestOrder(t *testing.T) {
	want := []string{"request-id", "log", "status", "recover", "caller", "limit", "permission", "validate"}
	if diff := cmp.Diff(want, Names()); diff != "" {
		t.Errorf("order of the steps (-want +got):\n%s", diff)
	}
	if got := steps[perMessage].name; got != "permission" {
		t.Errorf("the first step that looks at the message is %s, want permission", got)
	}
}

func TestPanicTellsNothing(t *testing.T) {
	b := setup(t)
	_, err := b.call(withToken(b.access.admin()), whoAmI, &pb.WhoAmIRequest{}, func(context.Context, any) (any, error) {
		panic("the secret is 4711")
	})
	if got := status.Code(err); got != codes.Internal {
		t.Errorf("code = %v, want Internal", got)
	}
	if strings.Contains(status.Convert(err).Message(), "4711") || strings.Contains(err.Error(), "4711") {
		t.Errorf("the client reads %q", err)
	}
	if !strings.Contains(b.log.String(), "4711") {
		t.Errorf("the log does not tell what happened: %s", b.log)
	}
}

func TestUnknownErrorTellsNothing(t *testing.T) {
	b := setup(t)
	_, err := b.call(withToken(b.access.admin()), whoAmI, &pb.WhoAmIRequest{}, func(context.Context, any) (any, error) {
		return nil, errors.New("table people is locked by pid 4711")
	})
	if status.Code(err) != codes.Internal || strings.Contains(err.Error(), "4711") {
		t.Errorf("err = %v, want Internal without its text", err)
	}
	if !strings.Contains(b.log.String(), "4711") {
		t.Errorf("the log does not tell what happened: %s", b.log)
	}
}

func TestDeadline(t *testing.T) {
	b := setup(t)
	b.Timeout = time.Minute
	left := func(ctx context.Context) time.Duration {
		var d time.Duration
		_, err := b.call(ctx, whoAmI, &pb.WhoAmIRequest{}, func(ctx context.Context, _ any) (any, error) {
			at, ok := ctx.Deadline()
			if !ok {
				t.Error("the handler has no deadline")
			}
			d = time.Until(at)
			return &pb.WhoAmIResponse{}, nil
		})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	ctx := withToken(b.access.admin())
	if d := left(ctx); d <= 0 || d > time.Minute {
		t.Errorf("a call without deadline has %v left, want up to a minute", d)
	}
	ctx, cancel := context.WithTimeout(ctx, time.Hour)
	defer cancel()
	if d := left(ctx); d <= time.Minute {
		t.Errorf("a call with an hour has %v left, want its own deadline", d)
	}
	b.Timeout = time.Nanosecond
	_, err := b.call(withToken(b.access.admin()), whoAmI, &pb.WhoAmIRequest{}, func(ctx context.Context, _ any) (any, error) {
		<-ctx.Done()
		return nil, ctx.Err()
	})
	if status.Code(err) != codes.DeadlineExceeded {
		t.Errorf("err = %v, want DeadlineExceeded", err)
	}
}

func TestRequestID(t *testing.T) {
	b := setup(t)
	send := func(given ...string) string {
		h := &headers{}
		md := metadata.Pairs("authorization", "Bearer "+b.access.admin())
		md.Set(RequestIDKey, given...)
		ctx := grpc.NewContextWithServerTransportStream(metadata.NewIncomingContext(context.Background(), md), h)
		var seen string
		if _, err := b.call(ctx, whoAmI, &pb.WhoAmIRequest{}, func(ctx context.Context, _ any) (any, error) {
			seen = RequestID(ctx)
			return &pb.WhoAmIResponse{}, nil
		}); err != nil {
			t.Fatal(err)
		}
		back := h.md.Get(RequestIDKey)
		if len(back) != 1 || back[0] != seen {
			t.Errorf("given %q: sent back %q, the handler saw %q", given, back, seen)
		}
		return seen
	}
	if got := send("phone-17"); got != "phone-17" {
		t.Errorf("id = %q, want the client's", got)
	}
	a, c := send(), send()
	if a == "" || a == c {
		t.Errorf("ids made here: %q and %q, want two", a, c)
	}
	if got := send(strings.Repeat("x", 65)); len(got) > 64 {
		t.Errorf("a long id is passed on: %q", got)
	}
}

func TestRateLimit(t *testing.T) {
	b := setup(t)
	b.Limit = rate.NewLimiter(rate.Every(time.Hour), 2)
	ctx := withToken(b.access.admin())
	for range 2 {
		if _, err := b.call(ctx, whoAmI, &pb.WhoAmIRequest{}, done); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.call(ctx, whoAmI, &pb.WhoAmIRequest{}, done); status.Code(err) != codes.ResourceExhausted {
		t.Errorf("third call: %v, want ResourceExhausted", err)
	}
}

// TestAuthoriseBeforeValidate: an outsider must not learn from a complaint
// about fields that a method and a project are there.
func TestAuthoriseBeforeValidate(t *testing.T) {
	b := setup(t)
	project := uuid.New()
	bad := &pb.PutBriefRequest{ProjectId: project.String(), EntryId: "no uuid"}
	_, err := b.call(withToken(b.access.member(project, auth.Viewer)), putBrief, bad, done)
	if status.Code(err) != codes.PermissionDenied {
		t.Errorf("viewer: %v, want PermissionDenied", err)
	}
	_, err = b.call(context.Background(), putBrief, bad, done)
	if status.Code(err) != codes.Unauthenticated {
		t.Errorf("nobody: %v, want Unauthenticated", err)
	}
	_, err = b.call(withToken(b.access.member(project, auth.Designer)), putBrief, bad, done)
	if status.Code(err) != codes.InvalidArgument {
		t.Fatalf("designer: %v, want InvalidArgument", err)
	}
	var fields []string
	for _, d := range status.Convert(err).Details() {
		if br, ok := d.(*errdetails.BadRequest); ok {
			for _, v := range br.GetFieldViolations() {
				fields = append(fields, v.GetField())
			}
		}
	}
	if !strings.Contains(strings.Join(fields, " "), "entry_id") {
		t.Errorf("fields refused = %v, want entry_id among them", fields)
	}
}

// stream is a server stream that delivers one request.
type stream struct {
	grpc.ServerStream
	ctx  context.Context
	req  *pb.WatchProjectRequest
	sent int
}

func (s *stream) Context() context.Context { return s.ctx }
func (s *stream) SendMsg(any) error        { s.sent++; return nil }
func (s *stream) RecvMsg(m any) error {
	into := m.(*pb.WatchProjectRequest)
	into.ProjectId, into.AfterRevision = s.req.GetProjectId(), s.req.GetAfterRevision()
	return nil
}

func (b *bench) stream(secret string, req *pb.WatchProjectRequest, work func(ctx context.Context) error) error {
	s := &stream{ctx: withToken(secret), req: req}
	return b.Stream(nil, s, &grpc.StreamServerInfo{FullMethod: watch, IsServerStream: true}, func(_ any, ss grpc.ServerStream) error {
		if err := ss.RecvMsg(&pb.WatchProjectRequest{}); err != nil {
			return err
		}
		return work(ss.Context())
	})
}

func TestStream(t *testing.T) {
	b := setup(t)
	project := uuid.New()
	mine, others := b.access.member(project, auth.Volunteer), b.access.member(uuid.New(), auth.Manager)
	req := &pb.WatchProjectRequest{ProjectId: project.String()}
	role := auth.Role("")
	ok := func(ctx context.Context) error { role = auth.RoleFrom(ctx); return nil }
	for _, c := range []struct {
		name, secret string
		req          *pb.WatchProjectRequest
		work         func(context.Context) error
		want         codes.Code
	}{
		{"member", mine, req, ok, codes.OK},
		{"member of another project", others, req, ok, codes.PermissionDenied},
		{"nobody", "", req, ok, codes.Unauthenticated},
		{"bad field", mine, &pb.WatchProjectRequest{ProjectId: project.String(), AfterRevision: -1}, ok, codes.InvalidArgument},
		{"error of the store", mine, req, func(context.Context) error { return &store.NotFound{What: "part", ID: "x"} }, codes.NotFound},
		{"panic", mine, req, func(context.Context) error { panic("4711") }, codes.Internal},
	} {
		err := b.stream(c.secret, c.req, c.work)
		if status.Code(err) != c.want {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		if err != nil && strings.Contains(err.Error(), "4711") {
			t.Errorf("%s: the client reads %q", c.name, err)
		}
	}
	if role != auth.Volunteer {
		t.Errorf("the handler sees role %q, want volunteer", role)
	}
	b.Limit = rate.NewLimiter(rate.Every(time.Hour), 1)
	for i, want := range []codes.Code{codes.OK, codes.ResourceExhausted} {
		if err := b.stream(mine, req, ok); status.Code(err) != want {
			t.Errorf("stream %d under a limit of one: %v, want %v", i+1, err, want)
		}
	}
}
