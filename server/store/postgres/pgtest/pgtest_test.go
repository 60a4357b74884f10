package pgtest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"
)

func TestFind(t *testing.T) {
	half, whole := t.TempDir(), t.TempDir()
	for _, path := range []string{filepath.Join(half, "initdb"), filepath.Join(whole, "initdb"), filepath.Join(whole, "postgres")} {
		if err := os.WriteFile(path, nil, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := find([]string{t.TempDir(), half, whole}); got != whole || err != nil {
		t.Errorf("find = %s, %v, want %s", got, err, whole)
	}
	if _, err := find([]string{half}); err == nil || !strings.Contains(err.Error(), "./deploy/test") {
		t.Errorf("without the programs: error %v, want one that says what to do", err)
	}
}

func TestVersion(t *testing.T) {
	for dir, want := range map[string]int{"/usr/lib/postgresql/15/bin": 15, "/usr/lib/postgresql/9.6/bin": 0, "/usr/bin": 0} {
		if got := version(dir); got != want {
			t.Errorf("version(%s) = %d, want %d", dir, got, want)
		}
	}
}

// TestClose looks whether a stopped server is gone, and its folder with it.
func TestClose(t *testing.T) {
	c, err := Start()
	if err != nil {
		t.Fatal(err)
	}
	dsn := c.Database(t)
	if err := c.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := pgx.Connect(t.Context(), dsn); err == nil {
		t.Error("the server still answers")
	}
	if _, err := os.Stat(c.dir); !os.IsNotExist(err) {
		t.Errorf("folder %s: %v", c.dir, err)
	}
}
