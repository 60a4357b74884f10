// Package app is the one place that wires the server: store, services,
// listeners; it closes them in reverse order. Tests and the in-process server
// of the CLI start it exactly as production does.
package app

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"buf.build/go/protovalidate"
	"connectrpc.com/connect"
	"connectrpc.com/vanguard"
	"connectrpc.com/vanguard/vanguardgrpc"
	"github.com/rs/zerolog"
	"golang.org/x/time/rate"
	"google.golang.org/grpc"
	"google.golang.org/grpc/health"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/grpc/reflection"
	"google.golang.org/protobuf/proto"

	"roodbeam/server/limit"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
	"roodbeam/server/store/postgres"
	"roodbeam/server/store/sqlite"
)

// Config is what the server is started with.
type Config struct {
	GRPC     string // address of the native gRPC door, "127.0.0.1:0" for any free port
	HTTP     string // address of the HTTP door (Connect, gRPC-Web, JSON, the web client); empty: none
	DataDir  string // folder of the embedded store; unused with Postgres
	Postgres string // connection string; empty: the embedded store
	Log      zerolog.Logger
	Now      func() time.Time // nil: the system clock
	Grace    time.Duration    // how long running calls may end on stop; 0: 10 s
	Rate     float64          // calls per second the server takes; 0: 500

	Deadline time.Duration // of a call that brings none; 0: 60 s

	PictureWidthPx int // width of the pictures in a packet; 0: 800
	// TokenRate is calls per second of one token, in bursts of ten seconds' worth;
	// 0: 100. AddressRate is the same of one address without a valid token; 0: 10.
	TokenRate, AddressRate float64
	// Forwarded: a proxy of one's own stands before the server and writes
	// X-Forwarded-For.
	Forwarded bool
	// Tick gives what goes off again and again after a duration, and its stop;
	// nil: the system clock.
	Tick func(every time.Duration) (<-chan time.Time, func())
}

// Bounds of what one connection may do.
const (
	maxStreams   = 250             // of one HTTP/2 connection at once
	maxHeaders   = 64 << 10        // bytes of one request's headers
	bodyTimeout  = 2 * time.Minute // to send one request, a photo's piece on a bad line
	idleTimeout  = 2 * time.Minute // of a connection nothing is asked on
	rememberKeys = 10_000          // tokens and addresses whose rates are remembered
	burstSeconds = 10              // of a rate that may come at once
)

// maxMessage bounds one message: the largest photo chunk or packet part with room.
const maxMessage = 16 << 20

// unaryTimeout is the deadline of a call that brings none, where the config says no other.
const unaryTimeout = 60 * time.Second

// Server is a running server.
type Server struct {
	// GRPCAddr and HTTPAddr are where it listens; HTTPAddr is empty without that door.
	GRPCAddr, HTTPAddr string
	// AdminToken lets the owner of this server in; made at the first start and
	// kept in a file only the owner can read. Empty when another process made it.
	AdminToken string

	grpc   *grpc.Server
	http   *http.Server
	health *health.Server
	store  store.Journal
	grace  time.Duration
	done   chan error
	wanted int
	swept  func() // ends the sweeping and waits for it
}

// Start opens the store, listens and serves; it returns when both doors accept calls.
func Start(ctx context.Context, cfg Config) (*Server, error) {
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.Grace == 0 {
		cfg.Grace = 10 * time.Second
	}
	if cfg.Deadline == 0 {
		cfg.Deadline = unaryTimeout
	}
	if cfg.Rate == 0 {
		cfg.Rate = 500
	}
	if cfg.TokenRate == 0 {
		cfg.TokenRate = 100
	}
	if cfg.AddressRate == 0 {
		cfg.AddressRate = 10
	}
	if cfg.Tick == nil {
		cfg.Tick = func(every time.Duration) (<-chan time.Time, func()) {
			t := time.NewTicker(every)
			return t.C, t.Stop
		}
	}
	st, err := openStore(ctx, cfg)
	if err != nil {
		return nil, err
	}
	s := &Server{store: st, grace: cfg.Grace, done: make(chan error, 2)}
	if err := s.listen(ctx, cfg); err != nil {
		return nil, errors.Join(err, st.Close())
	}
	return s, nil
}

func openStore(ctx context.Context, cfg Config) (store.Journal, error) {
	if cfg.Postgres != "" {
		return postgres.Open(ctx, cfg.Postgres)
	}
	if cfg.DataDir == "" {
		return nil, errors.New("a data folder or a Postgres connection string is needed")
	}
	return sqlite.Open(ctx, cfg.DataDir)
}

func (s *Server) listen(ctx context.Context, cfg Config) error {
	token, err := adminToken(ctx, s.store, cfg)
	if err != nil {
		return err
	}
	s.AdminToken = token
	validator, err := protovalidate.New()
	if err != nil {
		return fmt.Errorf("validation rules: %w", err)
	}
	chain := &rpc.Chain{
		Log: cfg.Log, Gate: rpc.Gate{Access: s.store, Now: cfg.Now}, Validate: validator,
		Limit: rate.NewLimiter(rate.Limit(cfg.Rate), int(cfg.Rate)), Timeout: cfg.Deadline, Now: cfg.Now,
		Tokens:    limit.NewKeys("calls with this token", cfg.TokenRate, int(cfg.TokenRate*burstSeconds), rememberKeys),
		Addresses: limit.NewKeys("calls without a valid token from this address", cfg.AddressRate, int(cfg.AddressRate*burstSeconds), rememberKeys),
		Forwarded: cfg.Forwarded,
	}
	s.grpc = grpc.NewServer(
		grpc.ChainUnaryInterceptor(chain.Unary), grpc.ChainStreamInterceptor(chain.Stream),
		grpc.MaxRecvMsgSize(maxMessage), grpc.MaxSendMsgSize(maxMessage),
		grpc.MaxConcurrentStreams(maxStreams), grpc.MaxHeaderListSize(maxHeaders), grpc.ConnectionTimeout(idleTimeout),
		grpc.KeepaliveParams(keepalive.ServerParameters{MaxConnectionIdle: 15 * time.Minute, Time: 30 * time.Second}),
		grpc.KeepaliveEnforcementPolicy(keepalive.EnforcementPolicy{MinTime: 10 * time.Second, PermitWithoutStream: true}),
	)
	s.health = health.NewServer()
	healthv1.RegisterHealthServer(s.grpc, s.health)
	register(s.grpc, s.store, cfg)
	for name := range s.grpc.GetServiceInfo() {
		s.health.SetServingStatus(name, healthv1.HealthCheckResponse_SERVING)
	}
	reflection.Register(s.grpc)

	gl, err := (&net.ListenConfig{}).Listen(ctx, "tcp", cfg.GRPC)
	if err != nil {
		return fmt.Errorf("gRPC door: %w", err)
	}
	s.GRPCAddr = gl.Addr().String()
	if cfg.HTTP != "" {
		if err := s.listenHTTP(ctx, cfg); err != nil {
			return errors.Join(err, gl.Close())
		}
	}
	s.sweep(cfg)
	s.wanted++
	go func() { s.done <- s.grpc.Serve(gl) }()
	return nil
}

// strictJSON refuses fields and words of enumerations that the API does not have:
// taken as absent, a misspelt instrument would lose a reading's accuracy for good.
func strictJSON(res vanguard.TypeResolver) vanguard.Codec {
	c := vanguard.NewJSONCodec(res)
	c.UnmarshalOptions.DiscardUnknown = false
	return jsonDoor{c}
}

// jsonDoor says of JSON it cannot read that the caller's argument is wrong.
type jsonDoor struct{ *vanguard.JSONCodec }

func (d jsonDoor) Unmarshal(raw []byte, msg proto.Message) error {
	if err := d.JSONCodec.Unmarshal(raw, msg); err != nil {
		return connect.NewError(connect.CodeInvalidArgument, err)
	}
	return nil
}

func (s *Server) listenHTTP(ctx context.Context, cfg Config) error {
	// Everything must be registered before the transcoder is made: it does not
	// see services that come later.
	tc, err := vanguardgrpc.NewTranscoder(s.grpc,
		vanguard.WithUnknownHandler(pages()),
		vanguard.WithCodec(strictJSON),
		vanguard.WithDefaultServiceOptions(vanguard.WithMaxMessageBufferBytes(maxMessage)))
	if err != nil {
		return fmt.Errorf("HTTP door: %w", err)
	}
	hl, err := (&net.ListenConfig{}).Listen(ctx, "tcp", cfg.HTTP)
	if err != nil {
		return fmt.Errorf("HTTP door: %w", err)
	}
	s.HTTPAddr = hl.Addr().String()
	mux := http.NewServeMux()
	mux.HandleFunc("GET /healthz", s.healthz)
	mux.Handle("/", http.MaxBytesHandler(tc, maxMessage))
	// No WriteTimeout: streams run for long. The time to read a request is bounded
	// by patient, which ends with the request and not in the midst of a stream.
	s.http = &http.Server{Handler: secured(patient(mux, bodyTimeout, time.Now)), ReadHeaderTimeout: 5 * time.Second, IdleTimeout: idleTimeout,
		MaxHeaderBytes: maxHeaders, Protocols: new(http.Protocols), HTTP2: &http.HTTP2Config{MaxConcurrentStreams: maxStreams}}
	s.http.Protocols.SetHTTP1(true)
	s.http.Protocols.SetUnencryptedHTTP2(true)
	s.wanted++
	go func() { s.done <- s.http.Serve(hl) }()
	return nil
}

func (s *Server) healthz(w http.ResponseWriter, r *http.Request) {
	if err := s.store.Ping(r.Context()); err != nil {
		http.Error(w, "store not reachable", http.StatusServiceUnavailable)
		return
	}
	fmt.Fprintln(w, "serving")
}

// Stop refuses new calls, lets running ones end within the grace period and
// closes the store last.
func (s *Server) Stop() error {
	s.health.Shutdown()
	ctx, cancel := context.WithTimeout(context.Background(), s.grace)
	defer cancel()
	var errs []error
	// The HTTP door goes first: its streams run through the gRPC server, which
	// would cut them.
	if s.http != nil {
		if err := s.http.Shutdown(ctx); err != nil {
			errs = append(errs, s.http.Close())
		}
	}
	stopped := make(chan struct{})
	go func() { s.grpc.GracefulStop(); close(stopped) }()
	select {
	case <-stopped:
	case <-ctx.Done():
		s.grpc.Stop()
		<-stopped
	}
	for range s.wanted {
		if err := <-s.done; err != nil && !errors.Is(err, http.ErrServerClosed) && !errors.Is(err, grpc.ErrServerStopped) {
			errs = append(errs, err)
		}
	}
	s.swept()
	return errors.Join(append(errs, s.store.Close())...)
}

// Run serves until ctx ends, then stops.
func Run(ctx context.Context, cfg Config) error {
	s, err := Start(ctx, cfg)
	if err != nil {
		return err
	}
	e := cfg.Log.Info().Str("grpc", s.GRPCAddr).Str("http", s.HTTPAddr)
	if cfg.Postgres == "" {
		e = e.Str("data", cfg.DataDir).Str("admin_token_file", filepath.Join(cfg.DataDir, tokenFile))
	}
	e.Msg("serving")
	<-ctx.Done()
	return s.Stop()
}

// EnsureDir makes the data folder, readable by its owner only.
func EnsureDir(dir string) error { return os.MkdirAll(dir, 0o700) }
