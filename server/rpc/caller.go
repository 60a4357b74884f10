package rpc

import (
	"context"
	"errors"
	"net"
	"net/netip"
	"strings"

	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"

	"roodbeam/server/auth"
)

// caller finds out who calls and counts the call: for their token, or, where
// there is no valid one, for the address it comes from. It stands before the
// limit of the whole server, so that one caller cannot use that up for all.
func (c *Chain) caller(ctx context.Context, method string, _ any, next func(context.Context) error) error {
	if !strings.HasPrefix(method, ownPrefix) {
		return next(ctx)
	}
	who, err := c.Gate.identify(ctx)
	switch {
	case err == nil && c.Tokens != nil:
		if err := c.Tokens.Take(who.Token.String(), c.Now()); err != nil {
			return err
		}
	case errors.Is(err, auth.ErrNoCaller) && c.Addresses != nil:
		if err := c.Addresses.Take(c.address(ctx), c.Now()); err != nil {
			return err
		}
	}
	return next(context.WithValue(ctx, knownKey{}, known{who, err}))
}

// address names where a request comes from: an IPv4 address, or the network of
// 64 bits an IPv6 address is in, which is what one household or firm is given
// (RFC 6177). Empty where it cannot be told; all such count together.
func (c *Chain) address(ctx context.Context) string {
	text := ""
	if p, ok := peer.FromContext(ctx); ok && p.Addr != nil {
		text = p.Addr.String()
	}
	if host, _, err := net.SplitHostPort(text); err == nil {
		text = host
	}
	if c.Forwarded {
		md, _ := metadata.FromIncomingContext(ctx)
		if v := md.Get("x-forwarded-for"); len(v) > 0 {
			list := strings.Split(v[len(v)-1], ",")
			text = strings.TrimSpace(list[len(list)-1])
		}
	}
	a, err := netip.ParseAddr(text)
	if err != nil {
		return ""
	}
	a = a.Unmap().WithZone("")
	if a.Is6() {
		if p, err := a.Prefix(64); err == nil {
			return p.String()
		}
	}
	return a.String()
}
