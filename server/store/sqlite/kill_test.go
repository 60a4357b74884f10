package sqlite_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
	"roodbeam/server/store/sqlite"
)

// The test binary started again with these set is the program that gets killed.
const (
	killFolder  = "ROODBEAM_TEST_KILL_FOLDER"
	killProject = "ROODBEAM_TEST_KILL_PROJECT"
)

func TestMain(m *testing.M) {
	if folder := os.Getenv(killFolder); folder != "" {
		if err := appendUntilKilled(folder, uuid.MustParse(os.Getenv(killProject))); err != nil {
			fmt.Fprintln(os.Stderr, err)
		}
		os.Exit(1) // it should not have come to an end
	}
	os.Exit(m.Run())
}

// victims is how many goroutines append at once; each prints an entry's id once that is acknowledged.
const victims = 4

// longestLife ends the program by itself should nobody kill it.
const longestLife = time.Minute

func appendUntilKilled(folder string, project uuid.UUID) error {
	ctx, cancel := context.WithTimeout(context.Background(), longestLife)
	defer cancel()
	s, err := sqlite.Open(ctx, folder)
	if err != nil {
		return err
	}
	var wg sync.WaitGroup
	errs := make(chan error, victims)
	for range victims {
		wg.Go(func() {
			for {
				e := numbered(uuid.Must(uuid.NewV7()))
				if _, err := s.Append(ctx, project, []store.Entry{e}, nil); err != nil {
					errs <- err
					return
				}
				if _, err := fmt.Fprintln(os.Stdout, e.ID); err != nil { // one write per line
					errs <- err
					return
				}
			}
		})
	}
	wg.Wait()
	return <-errs
}

// TestKill kills a writing program at some moment, several times over on the same data, and looks whether everything
// it had acknowledged is there. This proves that nothing is kept back in the process; a power cut, which also loses
// what the operating system holds, rests on synchronous=FULL (see TestPragmas).
func TestKill(t *testing.T) {
	rounds := 3
	if os.Getenv("ROODBEAM_FULL") != "" {
		rounds = 60
	}
	folder := t.TempDir()
	project := uuid.New()
	s, err := sqlite.Open(t.Context(), folder)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(t.Context(), project, []store.Entry{numbered(uuid.New())}, store.At(0)); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	total := 1
	for round := range rounds {
		// After this many acknowledgements; the rest of the moment is the machine's choice.
		acknowledged := killAfter(t, folder, project, 1+round*7%50)
		s, err := sqlite.Open(t.Context(), folder)
		if err != nil {
			t.Fatalf("round %d: open after the kill: %v", round, err)
		}
		state, err := s.Documents(t.Context(), project)
		if err != nil {
			t.Fatal(err)
		}
		docs := map[string]bool{}
		for _, d := range state.Docs {
			docs[d.ID] = true
		}
		for _, id := range acknowledged {
			if _, err := s.Entry(t.Context(), project, id); err != nil {
				t.Errorf("round %d: acknowledged entry: %v", round, err)
			}
			if !docs[id.String()] {
				t.Errorf("round %d: document of acknowledged entry %s is gone", round, id)
			}
		}
		// Whatever else was written was in flight: at most one per goroutine.
		total += len(acknowledged)
		extra := int(state.Revision) - total
		if extra < 0 || extra > victims || len(state.Docs) != int(state.Revision) {
			t.Errorf("round %d: revision %d, %d documents, %d acknowledged so far", round, state.Revision, len(state.Docs), total)
		}
		total = int(state.Revision)
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d kills, %d entries", rounds, total)
}

// killAfter starts the writing program, kills it after n acknowledgements and returns all that came.
func killAfter(t *testing.T, folder string, project uuid.UUID, n int) []uuid.UUID {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), killFolder+"="+folder, killProject+"="+project.String())
	var stderr strings.Builder
	cmd.Stderr = &stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var ids []uuid.UUID
	for lines := bufio.NewScanner(out); lines.Scan(); {
		id, err := uuid.Parse(lines.Text())
		if err != nil {
			t.Errorf("the program printed %q", lines.Text())
			break
		}
		ids = append(ids, id)
		if len(ids) == n {
			if err := cmd.Process.Kill(); err != nil { // SIGKILL
				t.Fatal(err)
			}
		}
	}
	_ = cmd.Wait() // says that it was killed
	if len(ids) < n {
		t.Fatalf("the program ended after %d of %d acknowledgements: %s", len(ids), n, &stderr)
	}
	return ids
}
