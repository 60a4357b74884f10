package rpc

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"testing"
	"time"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"
	"google.golang.org/grpc/status"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/limit"
)

const acceptInvitation = "/roodbeam.v1.AccessService/AcceptInvitation"

func from(ctx context.Context, addr string) context.Context {
	return peer.NewContext(ctx, &peer.Peer{Addr: net.TCPAddrFromAddrPort(netip.MustParseAddrPort(addr))})
}

// retryIn is the delay an error asks for; negative for none.
func retryIn(err error) time.Duration {
	for _, d := range status.Convert(err).Details() {
		if r, ok := d.(*errdetails.RetryInfo); ok {
			return r.GetRetryDelay().AsDuration()
		}
	}
	return -1
}

// TestCallerLimits: each token has its own rate, and what comes without a valid
// one is counted by address.
func TestCallerLimits(t *testing.T) {
	b := setup(t)
	now := clock()
	b.Now = func() time.Time { return now }
	b.Tokens, b.Addresses = limit.NewKeys("calls", 1, 2, 10), limit.NewKeys("calls", 0.5, 1, 10)
	one, two := b.access.admin(), b.access.admin()
	call := func(what string, ctx context.Context, method string, want codes.Code) {
		t.Helper()
		_, err := b.call(ctx, method, &pb.WhoAmIRequest{}, done)
		if status.Code(err) != want {
			t.Errorf("%s: %v, want %v", what, err, want)
		}
		if want == codes.ResourceExhausted && retryIn(err) <= 0 {
			t.Errorf("%s: %v does not say when to try again", what, err)
		}
	}
	call("first", from(withToken(one), "192.0.2.1:1000"), whoAmI, codes.OK)
	call("second", from(withToken(one), "192.0.2.2:1000"), whoAmI, codes.OK)
	call("third, wherever from", from(withToken(one), "192.0.2.3:1000"), whoAmI, codes.ResourceExhausted)
	call("another token from there", from(withToken(two), "192.0.2.1:1000"), whoAmI, codes.OK)
	call("no token from there", from(context.Background(), "192.0.2.1:1000"), whoAmI, codes.Unauthenticated)
	call("no token again, another port", from(context.Background(), "192.0.2.1:1001"), whoAmI, codes.ResourceExhausted)
	call("a wrong token", from(withToken("rbt_wrong"), "192.0.2.1:1002"), whoAmI, codes.ResourceExhausted)
	call("a public method", from(context.Background(), "192.0.2.1:1003"), acceptInvitation, codes.ResourceExhausted)
	call("no token from elsewhere", from(context.Background(), "192.0.2.9:1000"), whoAmI, codes.Unauthenticated)
	call("a valid token in spite of it", from(withToken(two), "192.0.2.1:1004"), whoAmI, codes.OK)
	call("health", from(context.Background(), "192.0.2.1:1003"), "/grpc.health.v1.Health/Check", codes.OK)
	now = now.Add(time.Second)
	call("a second later", from(withToken(one), "192.0.2.1:1000"), whoAmI, codes.OK)
	call("without token a second later", from(context.Background(), "192.0.2.1:1000"), whoAmI, codes.ResourceExhausted)
	now = now.Add(time.Second)
	call("without token two seconds later", from(context.Background(), "192.0.2.1:1000"), whoAmI, codes.Unauthenticated)
	// A store that is down is no reason to blame anybody.
	b.access.broken = errors.New("down")
	for range 3 {
		call("store down", from(withToken(one), "192.0.2.50:1"), whoAmI, codes.Internal)
	}
}

func TestAddress(t *testing.T) {
	for _, c := range []struct {
		peer, header string
		forwarded    bool
		want         string
	}{
		{"192.0.2.1:80", "", false, "192.0.2.1"},
		{"[::ffff:192.0.2.1]:80", "", false, "192.0.2.1"},
		{"[2001:db8:1:2:3:4:5:6]:80", "", false, "2001:db8:1:2::/64"},
		{"[2001:db8:1:2:ffff::1]:80", "", true, "2001:db8:1:2::/64"},
		{"192.0.2.1:80", "198.51.100.7", false, "192.0.2.1"},
		{"192.0.2.1:80", "203.0.113.5, 198.51.100.7", true, "198.51.100.7"},
		{"192.0.2.1:80", "2001:db8:9::1", true, "2001:db8:9::/64"},
		{"192.0.2.1:80", "rubbish", true, ""},
	} {
		ctx := from(context.Background(), c.peer)
		if c.header != "" {
			ctx = metadata.NewIncomingContext(ctx, metadata.Pairs("x-forwarded-for", c.header))
		}
		if got := (&Chain{Forwarded: c.forwarded}).address(ctx); got != c.want {
			t.Errorf("%+v: %q", c, got)
		}
	}
	if got := (&Chain{}).address(context.Background()); got != "" {
		t.Errorf("from nowhere: %q", got)
	}
}
