package app_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"math"
	"net/http"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/metadata"
	reflectionv1 "google.golang.org/grpc/reflection/grpc_reflection_v1"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/encoding/protojson"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protodesc"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/descriptorpb"
	"google.golang.org/protobuf/types/dynamicpb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/rpc"
)

var services = []string{"AccessService", "BudgetService", "CalcService", "CatalogueService", "DataNetworkService", "DesignService",
	"LoadService", "PacketService", "PhaseService", "ProjectService", "SurveyService"}

// explorer learns an API from a server alone, as a client of somebody else would.
type explorer struct {
	t      *testing.T
	stream grpc.BidiStreamingClient[reflectionv1.ServerReflectionRequest, reflectionv1.ServerReflectionResponse]
	files  map[string]*descriptorpb.FileDescriptorProto
}

func explore(t *testing.T, conn *grpc.ClientConn) *explorer {
	t.Helper()
	s, err := reflectionv1.NewServerReflectionClient(conn).ServerReflectionInfo(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return &explorer{t, s, map[string]*descriptorpb.FileDescriptorProto{}}
}

func (x *explorer) ask(req *reflectionv1.ServerReflectionRequest) *reflectionv1.ServerReflectionResponse {
	x.t.Helper()
	if err := x.stream.Send(req); err != nil {
		x.t.Fatal(err)
	}
	resp, err := x.stream.Recv()
	if err != nil {
		x.t.Fatal(err)
	}
	if e := resp.GetErrorResponse(); e != nil {
		x.t.Fatalf("%v: %s", req, e.GetErrorMessage())
	}
	return resp
}

func (x *explorer) services() []string {
	resp := x.ask(&reflectionv1.ServerReflectionRequest{MessageRequest: &reflectionv1.ServerReflectionRequest_ListServices{ListServices: "*"}})
	var out []string
	for _, s := range resp.GetListServicesResponse().GetService() {
		out = append(out, s.GetName())
	}
	return out
}

// service fetches the files that describe a service, and what they import.
func (x *explorer) service(name string) protoreflect.ServiceDescriptor {
	x.t.Helper()
	x.take(x.ask(&reflectionv1.ServerReflectionRequest{MessageRequest: &reflectionv1.ServerReflectionRequest_FileContainingSymbol{FileContainingSymbol: name}}))
	for more := true; more; {
		more = false
		for _, f := range x.files {
			for _, dep := range f.GetDependency() {
				if x.files[dep] == nil {
					more = true
					x.take(x.ask(&reflectionv1.ServerReflectionRequest{MessageRequest: &reflectionv1.ServerReflectionRequest_FileByFilename{FileByFilename: dep}}))
				}
			}
		}
	}
	set := &descriptorpb.FileDescriptorSet{}
	for _, f := range x.files {
		set.File = append(set.File, f)
	}
	files, err := protodesc.NewFiles(set)
	if err != nil {
		x.t.Fatal(err)
	}
	d, err := files.FindDescriptorByName(protoreflect.FullName(name))
	if err != nil {
		x.t.Fatal(err)
	}
	return d.(protoreflect.ServiceDescriptor)
}

func (x *explorer) take(resp *reflectionv1.ServerReflectionResponse) {
	x.t.Helper()
	for _, raw := range resp.GetFileDescriptorResponse().GetFileDescriptorProto() {
		var f descriptorpb.FileDescriptorProto
		if err := proto.Unmarshal(raw, &f); err != nil {
			x.t.Fatal(err)
		}
		x.files[f.GetName()] = &f
	}
}

// TestReflection: a client that knows nothing of the API finds every service,
// can describe every method and call one.
func TestReflection(t *testing.T) {
	h := onSQLite(t)
	x := explore(t, h.owner.conn)
	listed := x.services()
	for _, name := range services {
		full := "roodbeam.v1." + name
		if !slices.Contains(listed, full) {
			t.Errorf("%s is not listed", full)
			continue
		}
		known, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName(full))
		if err != nil {
			t.Fatal(err)
		}
		if got, want := x.service(full).Methods().Len(), known.(protoreflect.ServiceDescriptor).Methods().Len(); got != want || got == 0 {
			t.Errorf("%s: %d methods described, want %d", full, got, want)
		}
	}
	for _, s := range listed {
		if strings.HasPrefix(s, "roodbeam.") && !slices.Contains(services, strings.TrimPrefix(s, "roodbeam.v1.")) {
			t.Errorf("%s is served and not in this test", s)
		}
	}

	m := x.service("roodbeam.v1.CalcService").Methods().ByName("ComputePool")
	req, resp := dynamicpb.NewMessage(m.Input()), dynamicpb.NewMessage(m.Output())
	if err := protojson.Unmarshal([]byte(`{"throw": {"typed": "8 m"}, "angleDeg": 26}`), req); err != nil {
		t.Fatal(err)
	}
	if err := h.owner.conn.Invoke(t.Context(), "/roodbeam.v1.CalcService/ComputePool", req, resp); err != nil {
		t.Fatal(err)
	}
	// D = 2 · 8 m · tan 13°.
	const want, tolerance = 3.69389, 5e-6 // published to five decimals
	if got := resp.Get(m.Output().Fields().ByName("diameter_m")).Float(); math.Abs(got-want) > tolerance {
		t.Errorf("diameter_m = %v, want %v", got, want)
	}
}

// TestHealth asks for each service, and watches one while the server stops.
func TestHealth(t *testing.T) {
	h := onSQLite(t)
	health := healthv1.NewHealthClient(h.as("").conn)
	for _, name := range append([]string{""}, services...) {
		if name != "" {
			name = "roodbeam.v1." + name
		}
		got, err := health.Check(t.Context(), &healthv1.HealthCheckRequest{Service: name})
		if err != nil || got.GetStatus() != healthv1.HealthCheckResponse_SERVING {
			t.Errorf("health of %q: %v, %v, want SERVING", name, got.GetStatus(), err)
		}
	}
	if _, err := health.Check(t.Context(), &healthv1.HealthCheckRequest{Service: "roodbeam.v1.Nothing"}); status.Code(err) != codes.NotFound {
		t.Errorf("health of what is not there: %v, want NotFound", err)
	}
	if code, body := get(t, h, "/healthz"); code != http.StatusOK || !strings.Contains(body, "serving") {
		t.Errorf("/healthz: %d %q", code, body)
	}
	watch, err := health.Watch(t.Context(), &healthv1.HealthCheckRequest{Service: "roodbeam.v1.ProjectService"})
	if err != nil {
		t.Fatal(err)
	}
	first, err := watch.Recv()
	if err != nil || first.GetStatus() != healthv1.HealthCheckResponse_SERVING {
		t.Fatalf("first: %v, %v", first, err)
	}
	if err := h.shut(); err != nil {
		t.Fatal(err)
	}
	if last, err := watch.Recv(); err != nil || last.GetStatus() != healthv1.HealthCheckResponse_NOT_SERVING {
		t.Errorf("while stopping: %v, %v, want NOT_SERVING", last, err)
	}
}

// TestRequestIDComesBack: what goes wrong can be found in the log by it.
func TestRequestIDComesBack(t *testing.T) {
	h := onSQLite(t)
	var head metadata.MD
	ctx := metadata.AppendToOutgoingContext(t.Context(), rpc.RequestIDKey, "visit-7")
	if _, err := h.owner.access.WhoAmI(ctx, &pb.WhoAmIRequest{}, grpc.Header(&head)); err != nil {
		t.Fatal(err)
	}
	if got := head.Get(rpc.RequestIDKey); len(got) != 1 || got[0] != "visit-7" {
		t.Errorf("request id back: %q, want visit-7", got)
	}
	project := h.create(bare())
	s, err := h.owner.project.WatchProject(ctx, &pb.WatchProjectRequest{ProjectId: project})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Recv(); err != nil {
		t.Fatal(err)
	}
	if head, err := s.Header(); err != nil || !slices.Equal(head.Get(rpc.RequestIDKey), []string{"visit-7"}) {
		t.Errorf("request id of a stream: %v, %v, want visit-7", head, err)
	}
}

// TestErrorsInStreams: a stream that fails tells what a call would tell.
func TestErrorsInStreams(t *testing.T) {
	h := onSQLite(t)
	project := h.create(bare())
	s, err := h.owner.packet.PreviewPart(t.Context(), &pb.PreviewPartRequest{ProjectId: project, Part: "nothing.pdf"})
	if err == nil {
		_, err = s.Recv()
	}
	wantError(t, "part that is not there", err, codes.NotFound, "NOT_FOUND")
	s, err = h.as("").packet.PreviewPart(t.Context(), &pb.PreviewPartRequest{ProjectId: project, Part: "plan.svg"})
	if err == nil {
		_, err = s.Recv()
	}
	wantError(t, "without a token", err, codes.Unauthenticated, "NO_CALLER")
}

// TestSlowReaders: whoever reads a part slowly takes no room from others.
func TestSlowReaders(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "brick-meeting-house"))
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	for i := range max(runtime.GOMAXPROCS(0), 2) + 1 { // one more than run at once
		// A connection each: what is not read fills its window, and no other's.
		s, err := h.as(h.owner.token).packet.PreviewPart(ctx, &pb.PreviewPartRequest{ProjectId: project, Part: "packet.pdf"})
		if err == nil {
			_, err = s.Header() // comes when the part is drawn and on its way
		}
		if err != nil || ctx.Err() != nil {
			t.Fatalf("reader %d, while those before read nothing: %v, %v", i, err, ctx.Err())
		}
	}
}

func get(t *testing.T, h *house, path string) (int, string) {
	t.Helper()
	resp := request(t, h, http.MethodGet, path, nil, nil)
	return resp.status, resp.body
}

type answer struct {
	status int
	head   http.Header
	body   string
}

func request(t *testing.T, h *house, method, path string, head map[string]string, body []byte) answer {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), method, "http://"+h.HTTPAddr+path, bytes.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for k, v := range head {
		req.Header.Set(k, v)
	}
	resp, err := (&http.Client{Timeout: patience}).Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	raw, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer{resp.StatusCode, resp.Header, string(raw)}
}

// TestHTTPDoor speaks JSON as a browser does.
func TestHTTPDoor(t *testing.T) {
	h := onSQLite(t)
	const pool = "/roodbeam.v1.CalcService/ComputePool"
	asked := []byte(`{"throw": {"typed": "8 m"}, "angleDeg": 26}`)
	connect := map[string]string{"Content-Type": "application/json", "Connect-Protocol-Version": "1", "Authorization": "Bearer " + h.owner.token}
	without := func(drop string) map[string]string {
		out := map[string]string{}
		for k, v := range connect {
			if k != drop {
				out[k] = v
			}
		}
		return out
	}

	got := request(t, h, http.MethodPost, pool, connect, asked)
	var answer struct{ DiameterM float64 }
	if err := json.Unmarshal([]byte(got.body), &answer); err != nil || got.status != http.StatusOK || math.Abs(answer.DiameterM-3.69389) > 5e-6 {
		t.Errorf("JSON call: %d %s, %v, want a diameter of 3.69389 m", got.status, got.body, err)
	}

	var refused struct {
		Code, Message string
		Details       []struct{ Type string }
	}
	got = request(t, h, http.MethodPost, pool, without("Authorization"), asked)
	if err := json.Unmarshal([]byte(got.body), &refused); err != nil || got.status != http.StatusUnauthorized || refused.Code != "unauthenticated" || len(refused.Details) == 0 {
		t.Errorf("without token: %d %s, %v, want unauthenticated with details", got.status, got.body, err)
	}
	got = request(t, h, http.MethodPost, pool, connect, []byte(`{"throw": {"typed": "eight"}, "angleDeg": 400}`))
	if err := json.Unmarshal([]byte(got.body), &refused); err != nil || got.status != http.StatusBadRequest || refused.Code != "invalid_argument" {
		t.Errorf("bad fields: %d %s, %v, want invalid_argument", got.status, got.body, err)
	}
	if !slices.ContainsFunc(refused.Details, func(d struct{ Type string }) bool { return d.Type == "google.rpc.BadRequest" }) {
		t.Errorf("bad fields: details %v, want google.rpc.BadRequest", refused.Details)
	}

	// Nothing a caller wrote is dropped in silence.
	for name, c := range map[string]struct{ path, body, says string }{
		"a misspelt field":                         {pool, `{"throw": {"typed": "8 m"}, "angleDegrees": 26}`, "angleDegrees"},
		"a word that an enumeration does not have": {"/roodbeam.v1.SurveyService/ReadQuantity", `{"dimension": "DIMENSION_WEIGHTINESS", "text": "8 m"}`, "DIMENSION_WEIGHTINESS"},
	} {
		if got := request(t, h, http.MethodPost, c.path, connect, []byte(c.body)); got.status != http.StatusBadRequest || !strings.Contains(got.body, c.says) {
			t.Errorf("%s: %d %.300s, want 400 naming %q", name, got.status, got.body, c.says)
		}
	}

	for _, c := range []struct {
		name, method, path string
		head               map[string]string
		status             int
		says               string
	}{
		{"without protocol header", http.MethodPost, pool, without("Connect-Protocol-Version"), http.StatusNotFound, "Connect-Protocol-Version"},
		{"method that is not there", http.MethodPost, "/roodbeam.v1.CalcService/Guess", nil, http.StatusNotFound, "no such method"},
		{"service that is not there", http.MethodGet, "/roodbeam.v1.Nothing/Get", nil, http.StatusNotFound, "no such method"},
		{"the page", http.MethodGet, "/", nil, http.StatusOK, "<html"},
		{"a page of the client's own", http.MethodGet, "/church/0197a000", nil, http.StatusOK, "<html"},
		{"writing to a page", http.MethodPost, "/church/0197a000", nil, http.StatusMethodNotAllowed, "not allowed"},
		{"a way out of the folder", http.MethodGet, "/../../../etc/passwd", nil, http.StatusOK, "<html"},
	} {
		got := request(t, h, c.method, c.path, c.head, nil)
		if got.status != c.status || !strings.Contains(strings.ToLower(got.body), strings.ToLower(c.says)) {
			t.Errorf("%s: %d %.200q, want %d with %q", c.name, got.status, got.body, c.status, c.says)
		}
		for k, want := range map[string]string{"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "no-referrer", "Content-Security-Policy": "default-src 'self'"} {
			if v := got.head.Get(k); !strings.Contains(v, want) {
				t.Errorf("%s: header %s = %q, want %q", c.name, k, v, want)
			}
		}
		if c.status == http.StatusOK && strings.Contains(got.head.Get("Content-Security-Policy"), "unsafe") {
			t.Errorf("%s: foreign scripts are let in", c.name)
		}
	}
}

// TestResultsAsJSON: what the engine does not know is absent in JSON, not a
// word that no number parser takes.
func TestResultsAsJSON(t *testing.T) {
	h := onSQLite(t)
	head := map[string]string{"Content-Type": "application/json", "Connect-Protocol-Version": "1", "Authorization": "Bearer " + h.owner.token}
	churches := []string{"brick-meeting-house", "shop-unit", "school-hall", "a-frame"}
	if os.Getenv("ROODBEAM_FULL") == "" {
		churches = churches[:2]
	}
	for _, church := range churches {
		project := h.create(demo(t, church))
		got := request(t, h, http.MethodPost, "/roodbeam.v1.ProjectService/GetResults", head, []byte(`{"projectId": "`+project+`", "scheme": "hand"}`))
		var v struct{ Results map[string]json.RawMessage }
		if err := json.Unmarshal([]byte(got.body), &v); err != nil || got.status != http.StatusOK || len(v.Results) < 8 {
			t.Errorf("%s: %d, %v, %d stages, want all of them", church, got.status, err, len(v.Results))
		}
		for _, word := range []string{`"NaN"`, `"Infinity"`, `"-Infinity"`} {
			if i := strings.Index(got.body, word); i >= 0 {
				t.Errorf("%s: %s in %.120s", church, word, got.body[max(0, i-80):])
			}
		}
	}
}

// TestStopWithOpenStream: a page left open does not keep the server from stopping.
func TestStopWithOpenStream(t *testing.T) {
	h := onSQLite(t)
	project := h.create(bare())
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	stream, err := h.owner.project.WatchProject(ctx, &pb.WatchProjectRequest{ProjectId: project})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil {
		t.Fatal(err)
	}
	stopped := make(chan error, 1)
	go func() { stopped <- h.shut() }()
	select {
	case err := <-stopped:
		if err != nil {
			t.Errorf("stop: %v", err)
		}
	case <-time.After(patience):
		t.Fatal("the server does not stop")
	}
	if _, err := stream.Recv(); status.Code(err) != codes.Unavailable {
		t.Errorf("the stream ends with %v, want Unavailable so that the client comes back", err)
	}
}
