package migrate

import (
	"testing"
	"testing/fstest"
)

func TestSteps(t *testing.T) {
	file := &fstest.MapFile{Data: []byte("SELECT 1")}
	steps, err := Steps(fstest.MapFS{"m/0002_b.sql": file, "m/0001_a_b.sql": file}, "m")
	if err != nil || len(steps) != 2 || steps[0].Title != "a_b" || steps[1].Number != 2 || steps[1].SQL != "SELECT 1" {
		t.Errorf("steps %+v, error %v", steps, err)
	}
	for name, fs := range map[string]fstest.MapFS{
		"gap":       {"m/0001_a.sql": file, "m/0003_b.sql": file},
		"twice":     {"m/0001_a.sql": file, "m/0001_b.sql": file},
		"no number": {"m/a.sql": file},
		"no folder": {},
	} {
		if _, err := Steps(fs, "m"); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestPending(t *testing.T) {
	steps := []Step{{Number: 1, Title: "a"}, {Number: 2, Title: "b"}}
	todo, err := Pending(steps, map[int]string{1: "a"})
	if err != nil || len(todo) != 1 || todo[0].Number != 2 {
		t.Errorf("todo %+v, error %v", todo, err)
	}
	for _, done := range []map[int]string{{1: "a", 2: "b", 3: "c"}, {1: "other"}} {
		if _, err := Pending(steps, done); err == nil {
			t.Errorf("done %v: no error", done)
		}
	}
}
