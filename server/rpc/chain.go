package rpc

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"time"

	"buf.build/go/protovalidate"
	"github.com/google/uuid"
	"github.com/rs/zerolog"
	"golang.org/x/time/rate"
	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/limit"
)

// RequestIDKey is the metadata key under which a request id comes in and goes out.
const RequestIDKey = "x-request-id"

// Chain is the interceptors of every call.
type Chain struct {
	Log      zerolog.Logger
	Gate     Gate
	Validate protovalidate.Validator
	Limit    *rate.Limiter // of the whole server; nil: none
	// Tokens limits the calls of each token, Addresses those of each address that
	// come without a valid one; nil: none.
	Tokens, Addresses *limit.Keys
	// Forwarded takes the address from the last entry of X-Forwarded-For: only
	// behind a proxy of one's own, which writes it.
	Forwarded bool
	Timeout   time.Duration // deadline for unary calls that bring none; 0: none
	Now       func() time.Time
}

// step is one named interceptor.
type step struct {
	name string
	do   func(c *Chain, ctx context.Context, method string, req any, next func(context.Context) error) error
}

// steps in the order they run: the log sees every outcome, the id is in every
// log line, a panic anywhere inside is caught, cheap refusals come before
// costly ones, and authorisation before validation.
var steps = []step{
	{"request-id", (*Chain).requestID},
	{"log", (*Chain).log},
	{"status", (*Chain).status},
	{"recover", (*Chain).recover},
	{"caller", (*Chain).caller},
	{"limit", (*Chain).limit},
	{"permission", (*Chain).permission},
	{"validate", (*Chain).validate},
}

// perMessage is the first step that looks at the request.
const perMessage = 6

// Names lists the steps in order.
func Names() []string {
	var out []string
	for _, s := range steps {
		out = append(out, s.name)
	}
	return out
}

// Unary is the interceptor of unary calls.
func (c *Chain) Unary(ctx context.Context, req any, info *grpc.UnaryServerInfo, handler grpc.UnaryHandler) (any, error) {
	if _, ok := ctx.Deadline(); !ok && c.Timeout > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, c.Timeout)
		defer cancel()
	}
	var resp any
	err := c.run(steps, ctx, info.FullMethod, req, func(ctx context.Context) (err error) {
		resp, err = handler(ctx, req)
		return err
	})
	if err != nil {
		return nil, err
	}
	return resp, nil
}

// Stream is the interceptor of streams. The steps that need no request run
// around the whole stream, so that a panic or an error in the midst of it is
// handled like one of a unary call; the others run on every message that comes in.
func (c *Chain) Stream(srv any, ss grpc.ServerStream, info *grpc.StreamServerInfo, handler grpc.StreamHandler) error {
	return c.run(steps[:perMessage], ss.Context(), info.FullMethod, nil, func(ctx context.Context) error {
		return handler(srv, &gated{ServerStream: ss, chain: c, method: info.FullMethod, ctx: ctx})
	})
}

// gated admits and validates each request the handler reads.
type gated struct {
	grpc.ServerStream
	chain  *Chain
	method string
	ctx    context.Context
}

func (g *gated) Context() context.Context { return g.ctx }

func (g *gated) RecvMsg(m any) error {
	if err := g.ServerStream.RecvMsg(m); err != nil {
		return err
	}
	return g.chain.run(steps[perMessage:], g.ctx, g.method, m, func(ctx context.Context) error {
		g.ctx = ctx
		return nil
	})
}

func (c *Chain) run(todo []step, ctx context.Context, method string, req any, last func(context.Context) error) error {
	if len(todo) == 0 {
		return last(ctx)
	}
	return todo[0].do(c, ctx, method, req, func(ctx context.Context) error {
		return c.run(todo[1:], ctx, method, req, last)
	})
}

type requestIDKey struct{}

// RequestID returns the id of the request being served.
func RequestID(ctx context.Context) string {
	id, _ := ctx.Value(requestIDKey{}).(string)
	return id
}

func (c *Chain) requestID(ctx context.Context, _ string, _ any, next func(context.Context) error) error {
	id := ""
	if md, ok := metadata.FromIncomingContext(ctx); ok {
		if v := md.Get(RequestIDKey); len(v) > 0 && len(v[0]) <= 64 {
			id = v[0]
		}
	}
	if id == "" {
		id = uuid.NewString()
	}
	// Fails only when headers went out already, which cannot be here.
	_ = grpc.SetHeader(ctx, metadata.Pairs(RequestIDKey, id))
	return next(context.WithValue(ctx, requestIDKey{}, id))
}

// log writes one line per call, with the error's own text where the client gets
// only 'internal'.
func (c *Chain) log(ctx context.Context, method string, _ any, next func(context.Context) error) error {
	start := c.Now()
	err := next(ctx)
	e := c.Log.Debug()
	code := status.Code(err)
	if code == codes.Internal || code == codes.DataLoss || code == codes.Unknown {
		e = c.Log.Error()
		var u *unknownError
		if errors.As(err, &u) {
			e = e.AnErr("cause", u.cause)
		}
	}
	e.Str("method", method).Str("request_id", RequestID(ctx)).Str("code", code.String()).Dur("took", c.Now().Sub(start)).Msg("call")
	return err
}

// unknownError carries the cause to the log beside the status for the client.
type unknownError struct {
	st    *status.Status
	cause error
}

func (u *unknownError) Error() string              { return u.st.Message() }
func (u *unknownError) GRPCStatus() *status.Status { return u.st }

func (c *Chain) status(ctx context.Context, _ string, _ any, next func(context.Context) error) error {
	err := next(ctx)
	if err == nil {
		return nil
	}
	return &unknownError{Status(err), err}
}

func (c *Chain) recover(ctx context.Context, _ string, _ any, next func(context.Context) error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v\n%s", r, debug.Stack())
		}
	}()
	return next(ctx)
}

func (c *Chain) limit(ctx context.Context, _ string, _ any, next func(context.Context) error) error {
	if c.Limit != nil && !c.Limit.Allow() {
		return &limit.Exceeded{What: "calls of this server", Retry: time.Second}
	}
	return next(ctx)
}

func (c *Chain) permission(ctx context.Context, method string, req any, next func(context.Context) error) error {
	ctx, err := c.Gate.Admit(ctx, method, req)
	if err != nil {
		return err
	}
	return next(ctx)
}

func (c *Chain) validate(ctx context.Context, _ string, req any, next func(context.Context) error) error {
	m, ok := req.(proto.Message)
	if !ok {
		return next(ctx)
	}
	err := c.Validate.Validate(m)
	if vs, ok := convert.FromValidate(err); ok {
		if convert.Overlong(err) {
			return &InvalidFields{vs}
		}
		return &InvalidFields{convert.AllViolations(m, vs, document.CheckExtras)}
	}
	if err != nil {
		return err
	}
	return next(ctx)
}
