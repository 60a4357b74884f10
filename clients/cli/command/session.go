package command

import (
	"context"
	"errors"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/rs/zerolog"
	"google.golang.org/grpc"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/app"
)

// session is a connection to a server: one elsewhere, or one that runs inside
// this process and keeps its projects in a folder.
type session struct {
	conn   *grpc.ClientConn
	server *app.Server // nil for one elsewhere

	Project pb.ProjectServiceClient
	Survey  pb.SurveyServiceClient
	Design  pb.DesignServiceClient
	Packet  pb.PacketServiceClient
	Access  pb.AccessServiceClient
	Catalog pb.CatalogueServiceClient
	Calc    pb.CalcServiceClient
	Load    pb.LoadServiceClient
}

// ownDeadline bounds a call to the server inside this command: nobody else waits for it, and a slow machine takes its
// time.
const ownDeadline = 30 * time.Minute

// open connects to --server, or starts a server inside this process with its
// projects in dir ("" means the user's own folder). http also opens its HTTP door.
func (c *call) open(dir string, http bool) (*session, error) {
	if c.root.Server != "" {
		if scheme, _, ok := strings.Cut(c.root.Server, "://"); ok {
			return nil, wrong("--server %q: HOST:PORT is wanted, without %s://, and of the gRPC door, not of the web pages", c.root.Server, scheme).trying("Try: --server 127.0.0.1:7443, and --tls where the server is reached over TLS")
		}
		if _, _, err := net.SplitHostPort(c.root.Server); err != nil {
			return nil, wrong("--server %q: HOST:PORT is wanted, for example 127.0.0.1:7443", c.root.Server)
		}
		return c.dial(c.root.Server, c.root.Token)
	}
	if dir == "" {
		d, err := c.dataDir()
		if err != nil {
			return nil, err
		}
		dir = d
	}
	cfg := app.Config{GRPC: "127.0.0.1:0", DataDir: dir, Log: zerolog.New(c.err).Level(zerolog.ErrorLevel), PictureWidthPx: c.root.Pictures,
		Deadline: ownDeadline}
	if http {
		cfg.HTTP = "127.0.0.1:0"
	}
	srv, err := app.Start(c.ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("the server inside this command did not start: %w", err)
	}
	s, err := c.dial(srv.GRPCAddr, srv.AdminToken)
	if err != nil {
		return nil, errors.Join(err, srv.Stop())
	}
	s.server = srv
	return s, nil
}

func (s *session) close() error {
	err := s.conn.Close()
	if s.server != nil {
		err = errors.Join(err, s.server.Stop())
	}
	return err
}

// as returns a second connection to the same server with another token.
func (c *call) as(s *session, token string) (*session, error) {
	return c.dial(s.conn.Target(), token)
}

func (c *call) dial(addr, token string) (*session, error) {
	creds := insecure.NewCredentials()
	if c.root.TLS {
		creds = credentials.NewTLS(nil)
	} else if !loopback(addr) && !c.root.Insecure {
		return nil, fmt.Errorf("%s is another machine: use --tls, or --insecure to send the token in the clear", addr)
	}
	conn, err := grpc.NewClient(addr, grpc.WithTransportCredentials(creds),
		grpc.WithPerRPCCredentials(bearer{token, c.root.TLS}),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(64<<20)))
	if err != nil {
		return nil, err
	}
	return &session{
		conn: conn, Project: pb.NewProjectServiceClient(conn), Survey: pb.NewSurveyServiceClient(conn),
		Design: pb.NewDesignServiceClient(conn), Packet: pb.NewPacketServiceClient(conn),
		Access: pb.NewAccessServiceClient(conn), Catalog: pb.NewCatalogueServiceClient(conn),
		Calc: pb.NewCalcServiceClient(conn), Load: pb.NewLoadServiceClient(conn),
	}, nil
}

func loopback(addr string) bool {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		host = addr
	}
	ip := net.ParseIP(host)
	return host == "localhost" || (ip != nil && ip.IsLoopback())
}

// bearer sends the token with every call.
type bearer struct {
	token string
	tls   bool
}

func (b bearer) GetRequestMetadata(context.Context, ...string) (map[string]string, error) {
	if b.token == "" {
		return nil, nil
	}
	return map[string]string{"authorization": "Bearer " + b.token}, nil
}

func (b bearer) RequireTransportSecurity() bool { return b.tls }

// dataDir is where the server inside this command keeps its projects.
func (c *call) dataDir() (string, error) {
	if c.root.Data != "" {
		return c.root.Data, nil
	}
	return userData()
}

// userData is where projects live when nothing else is said.
func userData() (string, error) {
	if d := os.Getenv("XDG_DATA_HOME"); d != "" {
		return filepath.Join(d, "roodbeam"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("no home folder to keep projects in; name one with --data: %w", err)
	}
	return filepath.Join(home, ".local", "share", "roodbeam"), nil
}
