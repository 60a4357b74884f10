package sqlite_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
	"roodbeam/server/store/sqlite"
	"roodbeam/server/store/storetest"
)

func newData(t *testing.T) storetest.Open {
	folder := filepath.Join(t.TempDir(), "data")
	return func() (store.Journal, error) { return sqlite.Open(context.Background(), folder) }
}

func TestContract(t *testing.T) {
	storetest.Run(t, newData, storetest.Exceptions{WatchOwnOnly: true})
}

func TestFilesArePrivate(t *testing.T) {
	for _, name := range []string{"plain", "with space", "what?%41#é&x=y"} {
		folder := filepath.Join(t.TempDir(), name)
		s, err := sqlite.Open(t.Context(), folder)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.PutBlob(t.Context(), []byte("x"), "text/plain"); err != nil {
			t.Fatal(err)
		}
		files, err := os.ReadDir(folder)
		if err != nil {
			t.Fatal(err)
		}
		if len(files) == 0 {
			t.Errorf("%s: nothing was written into the folder", name)
		}
		for _, f := range files {
			st, err := f.Info()
			if err != nil {
				t.Fatal(err)
			}
			if st.Mode().Perm() != 0o600 || !strings.HasPrefix(f.Name(), sqlite.FileName) {
				t.Errorf("%s: %s has mode %v", name, f.Name(), st.Mode())
			}
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if st, err := os.Stat(folder); err != nil || st.Mode().Perm() != 0o700 {
			t.Errorf("%s: folder has mode %v, error %v", name, st.Mode(), err)
		}
	}
}

func TestOpenRefuses(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if s, err := sqlite.Open(t.Context(), file); err == nil {
		s.Close()
		t.Error("a file was taken for a folder")
	}
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, sqlite.FileName), []byte(strings.Repeat("not a database", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	if s, err := sqlite.Open(t.Context(), folder); err == nil {
		s.Close()
		t.Error("a file of something else was taken for a database")
	}
}

func BenchmarkAppend(b *testing.B) {
	s, err := sqlite.Open(b.Context(), b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	storetest.BenchmarkAppend(b, s)
}

func BenchmarkDocuments(b *testing.B) {
	s, err := sqlite.Open(b.Context(), b.TempDir())
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	storetest.BenchmarkDocuments(b, s)
}

// numbered returns an entry whose id and time tell the n-th of a run.
func numbered(id uuid.UUID) store.Entry {
	return store.Entry{
		ID: id, Actor: "actor", Time: time.Unix(0, 0), Kind: "measurement.added", Payload: id[:],
		Effects: []store.Effect{{Kind: "measurement", ID: id.String(), Payload: id[:]}},
	}
}
