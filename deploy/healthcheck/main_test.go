package main

import (
	"net"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/grpc/health"
	"google.golang.org/grpc/health/grpc_health_v1"
)

func TestCheck(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	states := health.NewServer()
	s := grpc.NewServer()
	grpc_health_v1.RegisterHealthServer(s, states)
	done := make(chan error, 1)
	go func() { done <- s.Serve(l) }()
	if err := check(l.Addr().String()); err != nil {
		t.Errorf("serving: %v", err)
	}
	states.Shutdown()
	if err := check(l.Addr().String()); err == nil {
		t.Error("no error from a server that is shutting down")
	}
	s.Stop()
	if err := <-done; err != nil {
		t.Error(err)
	}
	if err := check(l.Addr().String()); err == nil {
		t.Error("no error without a server")
	}
}
