package model

import (
	"bufio"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// verdict is what the outside judge says of a written model.
type verdict struct {
	proven    bool
	objective float64 // of its best plan
	bound     float64
	took      time.Duration
}

// judge lets coinor-cbc work on the very model that is written, with one thread.
func judge(t testing.TB, p *Problem, seconds int) verdict {
	t.Helper()
	cbc, err := exec.LookPath("cbc")
	if err != nil {
		t.Fatal("cbc is needed as the outside judge: install the package coinor-cbc")
	}
	dir := t.TempDir()
	path := filepath.Join(dir, "model.lp")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(f)
	if err := p.WriteLP(w); err != nil {
		t.Fatal(err)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	sol := filepath.Join(dir, "model.sol")
	out, err := exec.Command(cbc, path, "sec", strconv.Itoa(seconds), "ratio", "0", "threads", "1", "solve", "solution", sol).CombinedOutput()
	v := verdict{took: time.Since(start)}
	if err != nil {
		t.Fatalf("cbc: %v\n%s", err, out)
	}
	raw, err := os.ReadFile(sol)
	if err != nil {
		t.Fatalf("cbc wrote no solution: %v\n%s", err, out)
	}
	first, _, _ := strings.Cut(string(raw), "\n")
	v.proven = strings.HasPrefix(first, "Optimal")
	if _, s, ok := strings.Cut(first, "objective value"); ok {
		v.objective, _ = strconv.ParseFloat(strings.TrimSpace(s), 64)
	}
	v.bound = v.objective
	if m := lowerBound.FindSubmatch(out); m != nil && !v.proven {
		v.bound, _ = strconv.ParseFloat(string(m[1]), 64)
	}
	if !v.proven && !strings.HasPrefix(first, "Stopped") {
		t.Fatalf("cbc says %q", first)
	}
	return v
}

var lowerBound = regexp.MustCompile(`Lower bound:\s+([-0-9.e+]+)`)
