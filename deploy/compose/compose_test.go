// Package compose holds docker-compose.yml and the container image to the server they start.
package compose

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"go.yaml.in/yaml/v3"

	"roodbeam/server/store/postgres/pgtest"
)

var cluster *pgtest.Cluster

func TestMain(m *testing.M) { os.Exit(pgtest.Run(m, func(c *pgtest.Cluster) { cluster = c })) }

// patience bounds the server's start and stop on a loaded machine.
const patience = 60 * time.Second

type service struct {
	Image       string
	Environment map[string]string
	Ports       []string
	Volumes     []string
	Networks    []string
	DependsOn   map[string]struct{ Condition string } `yaml:"depends_on"`
	Build       struct{ Context, Dockerfile string }
}

type composition struct {
	Services map[string]service
	Networks map[string]any
	Volumes  map[string]any
}

func top(name ...string) string { return filepath.Join(append([]string{"..", ".."}, name...)...) }

func read(t *testing.T, name ...string) string {
	t.Helper()
	raw, err := os.ReadFile(top(name...))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

func compose(t *testing.T) composition {
	t.Helper()
	var c composition
	if err := yaml.Unmarshal([]byte(read(t, "docker-compose.yml")), &c); err != nil {
		t.Fatal(err)
	}
	return c
}

// variable is ${NAME}, ${NAME:-default} or ${NAME:?message}.
var variable = regexp.MustCompile(`\$\{([A-Z_]+)(?::([-?])([^}]*))?\}`)

// settings are the variables of deploy/env.example, also those commented out.
func settings(t *testing.T) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^#?([A-Z_]+)=`).FindAllStringSubmatch(read(t, "deploy", "env.example"), -1) {
		out[m[1]] = true
	}
	return out
}

// expand fills in what the reader of env.example filled in.
func expand(text string, env map[string]string) string {
	return variable.ReplaceAllStringFunc(text, func(s string) string {
		m := variable.FindStringSubmatch(s)
		if v := env[m[1]]; v != "" {
			return v
		}
		if m[2] == "-" {
			return m[3]
		}
		return ""
	})
}

// known are the variables the server reads: those of its flags, the owner's token
// and what the Postgres driver takes by its own rules.
func known(t *testing.T) map[string]bool {
	t.Helper()
	out := map[string]bool{"ROODBEAM_ADMIN_TOKEN": true, "PGPASSWORD": true}
	for _, m := range regexp.MustCompile(`env:"([A-Z_]+)"`).FindAllStringSubmatch(read(t, "server", "main.go"), -1) {
		out[m[1]] = true
	}
	if len(out) < 8 {
		t.Fatalf("the server's flags name only %v", out)
	}
	if !strings.Contains(read(t, "server", "app", "token.go"), `os.Getenv("ROODBEAM_ADMIN_TOKEN")`) {
		t.Error("the server does not read ROODBEAM_ADMIN_TOKEN any more")
	}
	return out
}

// imageEnv is the ENV of the image's last stage.
func imageEnv(t *testing.T) map[string]string {
	t.Helper()
	file := read(t, "deploy", "Dockerfile")
	last := file[strings.LastIndex(file, "\nFROM "):]
	out := map[string]string{}
	for _, line := range regexp.MustCompile(`(?m)^ENV (.*)$`).FindAllStringSubmatch(last, -1) {
		for _, pair := range strings.Fields(line[1]) {
			name, value, _ := strings.Cut(pair, "=")
			out[name] = value
		}
	}
	if len(out) == 0 {
		t.Fatal("the image sets no environment")
	}
	return out
}

// TestNames: every variable is one the server reads, every ${…} is explained in
// env.example, and whatever a service names is there.
func TestNames(t *testing.T) {
	c, reads, explained := compose(t), known(t), settings(t)
	for name := range imageEnv(t) {
		if !reads[name] {
			t.Errorf("Dockerfile: the server reads no %s", name)
		}
	}
	for name := range c.Services["server"].Environment {
		if !reads[name] {
			t.Errorf("docker-compose.yml: the server reads no %s", name)
		}
	}
	used := map[string]bool{}
	for _, m := range variable.FindAllStringSubmatch(read(t, "docker-compose.yml"), -1) {
		used[m[1]] = true
		if !explained[m[1]] {
			t.Errorf("docker-compose.yml uses %s, which env.example does not explain", m[1])
		}
	}
	for name := range explained {
		if !used[name] {
			t.Errorf("env.example explains %s, which docker-compose.yml does not use", name)
		}
	}
	for _, m := range regexp.MustCompile(`(?m)^Environment=([A-Z_]+)=`).FindAllStringSubmatch(read(t, "deploy", "roodbeam.service"), -1) {
		if !reads[m[1]] {
			t.Errorf("roodbeam.service: the server reads no %s", m[1])
		}
	}
	for name, s := range c.Services {
		for _, n := range s.Networks {
			if _, ok := c.Networks[n]; !ok {
				t.Errorf("%s: no network %s", name, n)
			}
		}
		for _, v := range s.Volumes {
			if volume, _, _ := strings.Cut(v, ":"); c.Volumes != nil {
				if _, ok := c.Volumes[volume]; !ok {
					t.Errorf("%s: no volume %s", name, volume)
				}
			}
		}
		for other := range s.DependsOn {
			if _, ok := c.Services[other]; !ok {
				t.Errorf("%s waits for %s, which is no service", name, other)
			}
		}
		for _, p := range s.Ports {
			if !strings.HasPrefix(p, "127.0.0.1:") {
				t.Errorf("%s: port %s is open to the network", name, p)
			}
		}
	}
}

// TestPorts: the ports that are published are those the image's doors stand at.
func TestPorts(t *testing.T) {
	env := imageEnv(t)
	published := map[string]bool{}
	for _, p := range compose(t).Services["server"].Ports {
		published[p[strings.LastIndex(p, ":")+1:]] = true
	}
	for _, name := range []string{"ROODBEAM_GRPC", "ROODBEAM_HTTP"} {
		_, port, err := net.SplitHostPort(env[name])
		if err != nil || !published[port] {
			t.Errorf("%s is %q, published are %v", name, env[name], published)
		}
	}
	db := compose(t).Services["postgres"]
	dsn := compose(t).Services["server"].Environment["ROODBEAM_POSTGRES"]
	for _, want := range []string{"host=postgres", "user=" + db.Environment["POSTGRES_USER"], "dbname=" + db.Environment["POSTGRES_DB"]} {
		if !strings.Contains(dsn, want) {
			t.Errorf("the server connects to %q, want %s", dsn, want)
		}
	}
}

// TestStart starts the real server with the environment of the image and the
// composition, nothing else but the doors on loopback and the test's own Postgres
// in place of the service, asks it how it is with the image's health check, and
// stops it as a container is stopped.
func TestStart(t *testing.T) {
	dir := t.TempDir()
	for name, pkg := range map[string]string{"server": "roodbeam/server", "healthcheck": "roodbeam/deploy/healthcheck"} {
		if out, err := exec.Command("go", "build", "-o", filepath.Join(dir, name), pkg).CombinedOutput(); err != nil {
			t.Fatalf("go build %s: %v\n%s", pkg, err, out)
		}
	}
	filled := map[string]string{"ROODBEAM_ADMIN_TOKEN": strings.Repeat("0123456789abcdef", 3), "ROODBEAM_DB_PASSWORD": "not asked for on a socket"}
	env := imageEnv(t)
	for name, value := range compose(t).Services["server"].Environment {
		env[name] = expand(value, filled)
		if env[name] == "" {
			t.Errorf("%s is empty when env.example is filled in", name)
		}
	}
	env["ROODBEAM_POSTGRES"] = cluster.Database(t)
	env["ROODBEAM_DATA"] = filepath.Join(dir, "data")
	for _, name := range []string{"ROODBEAM_GRPC", "ROODBEAM_HTTP"} {
		env[name] = freeDoor(t)
	}

	if said, err := start(t, dir, env, "ROODBEAM_ADMIN_TOKEN=short"); err == nil || !strings.Contains(said, "at least 32") {
		t.Errorf("with a short owner's token: %v\n%s", err, said)
	}
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	cmd := exec.CommandContext(ctx, filepath.Join(dir, "server"))
	cmd.Dir, cmd.Env = dir, pairs(env)
	errOut, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	log := make(chan string, 1)
	go func() { raw, _ := io.ReadAll(bufio.NewReader(errOut)); log <- string(raw) }()
	healthy := false
	for !healthy && ctx.Err() == nil {
		healthy = exec.CommandContext(ctx, filepath.Join(dir, "healthcheck"), env["ROODBEAM_GRPC"]).Run() == nil
		if !healthy {
			time.Sleep(100 * time.Millisecond)
		}
	}
	if err := cmd.Process.Signal(syscall.SIGTERM); err != nil {
		t.Error(err)
	}
	said := <-log
	if err := cmd.Wait(); err != nil {
		t.Errorf("the server ended with %v\n%s", err, said)
	}
	if !healthy {
		t.Errorf("the server was never healthy:\n%s", said)
	}
	if strings.Contains(said, filled["ROODBEAM_ADMIN_TOKEN"]) {
		t.Error("the log holds the owner's token")
	}
}

// start runs a server that is expected to end by itself.
func start(t *testing.T, dir string, env map[string]string, change string) (string, error) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	cmd := exec.CommandContext(ctx, filepath.Join(dir, "server"))
	cmd.Dir, cmd.Env = dir, append(pairs(env), change)
	out, err := cmd.CombinedOutput()
	return string(out), errors.Join(err, ctx.Err())
}

func pairs(env map[string]string) []string {
	var out []string
	for k, v := range env {
		out = append(out, k+"="+v)
	}
	return out
}

// freeDoor is a loopback address nobody listens at.
func freeDoor(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return fmt.Sprint(l.Addr())
}
