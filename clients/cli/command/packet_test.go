package command

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A new packet replaces an older one and touches nothing else.
func TestReplaceParts(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "packet")
	put := func(parts ...string) {
		t.Helper()
		content := map[string][]byte{}
		for _, p := range parts {
			name, text, _ := strings.Cut(p, "=")
			content[name] = []byte(text)
		}
		if _, err := replaceParts(dir, "0197a000-0000-7000-8000-0000000000c1", "St  Anne", content); err != nil {
			t.Fatal(err)
		}
	}
	own := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want := func(files ...string) {
		t.Helper()
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, e := range entries {
			raw, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			if e.Name() != manifest {
				got = append(got, e.Name()+"="+string(raw))
			}
		}
		if !slices.Equal(got, files) {
			t.Errorf("the folder holds %q, want %q", got, files)
		}
	}
	put("a.csv=1", "b.csv=1", "c.csv=1")
	want("a.csv=1", "b.csv=1", "c.csv=1")
	own("notes.txt", "mine")
	own("b.csv", "edited") // ours once, a person's now
	put("a.csv=2")
	want("a.csv=2", "b.csv=edited", "notes.txt=mine")
	own("a.csv", "edited too")
	put("a.csv=3", "notes.txt=new")
	want("a.csv=3", "a.csv.yours=edited too", "b.csv=edited", "notes.txt=new", "notes.txt.yours=mine")
	own(manifest, "x  ../outside\n\nnonsense")
	put("a.csv=4")
	want("a.csv=4", "a.csv.yours=edited too", "a.csv.yours-2=3", "b.csv=edited", "notes.txt=new", "notes.txt.yours=mine")
}
