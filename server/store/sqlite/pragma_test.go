package sqlite

import "testing"

// TestPragmas holds what durability rests on, on each connection the store would write through.
func TestPragmas(t *testing.T) {
	s, err := Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, c := range []struct{ pragma, want string }{
		{"journal_mode", "wal"},
		{"synchronous", "2"}, // FULL
		{"foreign_keys", "1"},
	} {
		var got string
		if err := s.write.QueryRowContext(t.Context(), "PRAGMA "+c.pragma).Scan(&got); err != nil {
			t.Fatal(err)
		}
		if got != c.want {
			t.Errorf("PRAGMA %s = %s, want %s", c.pragma, got, c.want)
		}
	}
	if _, err := s.read.ExecContext(t.Context(), "DELETE FROM blobs"); err == nil {
		t.Error("a reader could write")
	}
	if n := s.write.Stats().MaxOpenConnections; n != 1 {
		t.Errorf("%d writers", n)
	}
}

// TestNewerData refuses data that a newer program has changed.
func TestNewerData(t *testing.T) {
	folder := t.TempDir()
	s, err := Open(t.Context(), folder)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.write.ExecContext(t.Context(), "INSERT INTO schema_steps (number, title) VALUES (999, 'from_the_future')"); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err := Open(t.Context(), folder); err == nil {
		s.Close()
		t.Error("data of a newer program was opened")
	}
}
