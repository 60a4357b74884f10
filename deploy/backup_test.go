package deploy_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
	"roodbeam/server/store/postgres"
	"roodbeam/server/store/postgres/pgtest"
	"roodbeam/server/store/sqlite"
)

// script runs a script of this folder and returns what it said.
func script(t *testing.T, name string, args ...string) (string, error) {
	t.Helper()
	out, err := exec.Command("bash", append([]string{name}, args...)...).CombinedOutput()
	return string(out), err
}

func mustScript(t *testing.T, name string, args ...string) {
	t.Helper()
	if out, err := script(t, name, args...); err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
}

// fill writes a project of n entries and returns its id.
func fill(t *testing.T, j store.Journal, n int) uuid.UUID {
	t.Helper()
	project := uuid.New()
	var entries []store.Entry
	for range n {
		id := uuid.New()
		entries = append(entries, store.Entry{
			ID: id, Time: time.Unix(1, 0), Kind: "measurement.added", Payload: id[:],
			Effects: []store.Effect{{Kind: "measurement", ID: id.String(), Payload: id[:]}},
		})
	}
	if _, err := j.Append(t.Context(), project, entries, store.At(0)); err != nil {
		t.Fatal(err)
	}
	if _, err := j.PutBlob(t.Context(), []byte("a photo"), "image/png"); err != nil {
		t.Fatal(err)
	}
	return project
}

// holds checks that the project is there as fill made it.
func holds(t *testing.T, j store.Journal, project uuid.UUID, n int) {
	t.Helper()
	state, err := j.Documents(t.Context(), project)
	if err != nil || state.Revision != store.Revision(n) || len(state.Docs) != n {
		t.Errorf("restored: revision %d, %d documents, error %v; want %d", state.Revision, len(state.Docs), err, n)
	}
	if has, err := j.HasBlob(t.Context(), store.HashOf([]byte("a photo"))); err != nil || !has {
		t.Errorf("restored: blob %v, error %v", has, err)
	}
}

func TestBackupSQLite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "it's a folder")
	data, file, restored := filepath.Join(dir, "data"), filepath.Join(dir, "backup.sqlite"), filepath.Join(dir, "restored")
	s, err := sqlite.Open(t.Context(), data)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	project := fill(t, s, 50)
	mustScript(t, "backup", "sqlite", data, file) // with the store open, its entries still in the log
	if st, err := os.Stat(file); err != nil || st.Mode().Perm() != 0o600 {
		t.Errorf("backup has mode %v, error %v", st.Mode(), err)
	}
	fill(t, s, 1) // goes on working, and is not in the backup

	if out, err := script(t, "backup", "sqlite", data, file); err == nil || !strings.Contains(out, "exists already") {
		t.Errorf("a second backup to the same file: %v\n%s", err, out)
	}
	mustScript(t, "restore", "sqlite", file, restored)
	if out, err := script(t, "restore", "sqlite", file, restored); err == nil || !strings.Contains(out, "is there already") {
		t.Errorf("a second restore to the same folder: %v\n%s", err, out)
	}
	r, err := sqlite.Open(t.Context(), restored)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	holds(t, r, project, 50)
	l, err := r.ListProjects(t.Context(), store.ProjectFilter{}, store.Page{})
	if err != nil || len(l.Projects) != 1 {
		t.Errorf("%d projects restored, error %v; want 1", len(l.Projects), err)
	}
}

func TestBackupPostgres(t *testing.T) {
	cluster, err := pgtest.Start()
	if err != nil {
		t.Fatal(err)
	}
	defer cluster.Close()
	from, to := cluster.Database(t), cluster.Database(t)
	s, err := postgres.Open(t.Context(), from)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	project := fill(t, s, 50)
	file := filepath.Join(t.TempDir(), "backup.dump")
	mustScript(t, "backup", "postgres", from, file)
	mustScript(t, "restore", "postgres", file, to)
	if out, err := script(t, "restore", "postgres", file, to); err == nil {
		t.Errorf("a second restore into the same database went through:\n%s", out)
	}
	r, err := postgres.Open(context.Background(), to)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	holds(t, r, project, 50)
}

func TestScriptsRefuse(t *testing.T) {
	for _, args := range [][]string{
		{"backup"},
		{"backup", "sqlite", t.TempDir(), filepath.Join(t.TempDir(), "x")},
		{"backup", "other", "a", filepath.Join(t.TempDir(), "x")},
		{"restore", "sqlite", "backup_test.go", t.TempDir()},
		{"restore", "sqlite", "missing", t.TempDir()},
		{"test", "--nonsense"},
		{"bench", "--nonsense"},
	} {
		if out, err := script(t, args[0], args[1:]...); err == nil {
			t.Errorf("%v went through:\n%s", args, out)
		}
	}
}
