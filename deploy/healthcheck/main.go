// Command healthcheck asks a server on its gRPC door whether it is serving, for images without a shell.
//
// Usage: healthcheck HOST:PORT. The exit status is 0 when it is serving, 1 when not.
package main

import (
	"context"
	"fmt"
	"os"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials/insecure"
	"google.golang.org/grpc/health/grpc_health_v1"
)

const patience = 4 * time.Second // below the timeout in the Dockerfile

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: healthcheck HOST:PORT")
		os.Exit(2)
	}
	if err := check(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// check returns nil when the server as a whole says SERVING. It speaks without TLS, as it runs beside the server.
func check(address string) error {
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	conn, err := grpc.NewClient("passthrough:///"+address, grpc.WithTransportCredentials(insecure.NewCredentials()))
	if err != nil {
		return err
	}
	defer conn.Close()
	r, err := grpc_health_v1.NewHealthClient(conn).Check(ctx, &grpc_health_v1.HealthCheckRequest{})
	if err != nil {
		return err
	}
	if r.Status != grpc_health_v1.HealthCheckResponse_SERVING {
		return fmt.Errorf("%s is %s", address, r.Status)
	}
	return nil
}
