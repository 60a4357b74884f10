// Package pgtest starts a private PostgreSQL server for tests, from the binaries installed on the machine: on a
// socket only, as an unprivileged user, gone with the test binary.
package pgtest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

const (
	startLimit = 60 * time.Second // a loaded machine of two cores takes a few seconds
	pollEvery  = 5 * time.Millisecond
)

// Cluster is a running server.
type Cluster struct {
	dir  string
	cmd  *exec.Cmd
	done chan struct{} // closed when the server has ended
	n    atomic.Int64
}

// Run is for TestMain: it starts a server, runs the tests and returns the exit code. Without the binaries the tests
// fail; they are not skipped, as the store they prove would go unproved.
func Run(m *testing.M, use func(*Cluster)) int {
	c, err := Start()
	if err != nil {
		fmt.Fprintf(os.Stderr, "cannot start PostgreSQL for the tests: %v\n", err)
		return 1
	}
	defer c.Close()
	use(c)
	return m.Run()
}

// Start starts a server with an empty data folder of its own.
func Start() (*Cluster, error) {
	bin, err := binaries()
	if err != nil {
		return nil, err
	}
	// Not below t.TempDir, which an unprivileged user cannot enter; and short, for the socket's path.
	parent := ""
	if st, err := os.Stat("/dev/shm"); err == nil && st.IsDir() {
		parent = "/dev/shm"
	}
	dir, err := os.MkdirTemp(parent, "rbpg")
	if err != nil && parent != "" {
		dir, err = os.MkdirTemp("", "rbpg")
	}
	if err != nil {
		return nil, err
	}
	c := &Cluster{dir: dir, done: make(chan struct{})}
	if err := c.start(bin); err != nil {
		return nil, errors.Join(err, c.Close())
	}
	return c, nil
}

func (c *Cluster) start(bin string) error {
	cred, err := unprivileged(c.dir)
	if err != nil {
		close(c.done)
		return err
	}
	data := filepath.Join(c.dir, "data")
	initdb := command(cred, filepath.Join(bin, "initdb"), "-D", data, "-U", "test", "-A", "trust", "-E", "UTF8",
		"--locale=C.UTF-8", "--no-sync")
	if out, err := initdb.CombinedOutput(); err != nil {
		close(c.done)
		return fmt.Errorf("initdb: %w\n%s", err, out)
	}
	var log bytes.Buffer
	c.cmd = command(cred, filepath.Join(bin, "postgres"), "-D", data, "-k", c.dir, "-c", "listen_addresses=",
		"-c", "fsync=off", "-c", "synchronous_commit=off", "-c", "full_page_writes=off", "-c", "shared_buffers=32MB")
	c.cmd.Stdout, c.cmd.Stderr = &log, &log
	started := make(chan error)
	// The death signal follows the thread that forked, so one goroutine keeps that thread until the server ends.
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		defer close(c.done)
		err := c.cmd.Start()
		started <- err
		if err == nil {
			_ = c.cmd.Wait() // ended by Close, or seen by whoever connects
		}
	}()
	if err := <-started; err != nil {
		return err
	}
	return c.await(&log)
}

// await waits until the server answers.
func (c *Cluster) await(log *bytes.Buffer) error {
	ctx, cancel := context.WithTimeout(context.Background(), startLimit)
	defer cancel()
	for {
		conn, err := pgx.Connect(ctx, c.dsn("postgres"))
		if err == nil {
			return conn.Close(ctx)
		}
		select {
		case <-c.done:
			return fmt.Errorf("the server ended at once:\n%s", log)
		case <-ctx.Done():
			return fmt.Errorf("the server does not answer: %w", err)
		case <-time.After(pollEvery):
		}
	}
}

func (c *Cluster) dsn(db string) string { return "host=" + c.dir + " user=test dbname=" + db }

// Database creates an empty database for one test and returns its DSN.
func (c *Cluster) Database(t testing.TB) string {
	t.Helper()
	name := fmt.Sprintf("test%d", c.n.Add(1))
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, c.dsn("postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, "CREATE DATABASE "+name); err != nil {
		t.Fatal(err)
	}
	return c.dsn(name)
}

// Close stops the server and removes its folder.
func (c *Cluster) Close() error {
	if c.cmd != nil && c.cmd.Process != nil {
		_ = c.cmd.Process.Signal(syscall.SIGQUIT) // immediate shutdown; fails only when it has ended already
	}
	<-c.done
	return os.RemoveAll(c.dir)
}

// binaries returns the folder with initdb and postgres.
func binaries() (string, error) {
	var dirs []string
	if out, err := exec.Command("pg_config", "--bindir").Output(); err == nil {
		dirs = append(dirs, strings.TrimSpace(string(out)))
	}
	debian, _ := filepath.Glob("/usr/lib/postgresql/*/bin") // fails only for a bad pattern
	slices.SortFunc(debian, func(a, b string) int { return version(b) - version(a) })
	return find(slices.Concat(dirs, debian, filepath.SplitList(os.Getenv("PATH"))))
}

// find returns the first folder that has both programs.
func find(dirs []string) (string, error) {
	for _, d := range dirs {
		_, err := os.Stat(filepath.Join(d, "initdb"))
		_, err2 := os.Stat(filepath.Join(d, "postgres"))
		if err == nil && err2 == nil {
			return d, nil
		}
	}
	return "", errors.New("initdb and postgres are not installed; ./deploy/test installs what the tests need")
}

// version returns the number in a path like /usr/lib/postgresql/15/bin.
func version(dir string) int {
	n, _ := strconv.Atoi(filepath.Base(filepath.Dir(dir))) // 0 for anything else, which sorts it last
	return n
}

// unprivileged returns whom to run as when the tests run as root, which PostgreSQL refuses, and gives them dir.
func unprivileged(dir string) (*syscall.Credential, error) {
	if os.Geteuid() != 0 {
		return nil, nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		u, err = user.Lookup("nobody")
	}
	if err != nil {
		return nil, fmt.Errorf("no user to run PostgreSQL as: %w", err)
	}
	uid, err := strconv.ParseUint(u.Uid, 10, 32)
	if err != nil {
		return nil, err
	}
	gid, err := strconv.ParseUint(u.Gid, 10, 32)
	if err != nil {
		return nil, err
	}
	return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, os.Chown(dir, int(uid), int(gid))
}

func command(cred *syscall.Credential, path string, args ...string) *exec.Cmd {
	cmd := exec.Command(path, args...)
	cmd.Dir = "/"
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=C.UTF-8", "TZ=UTC"}
	cmd.SysProcAttr = attributes(cred)
	return cmd
}
