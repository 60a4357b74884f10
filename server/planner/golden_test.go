package planner_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"roodbeam/engine/finding"
	"roodbeam/engine/plan"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// TestGolden keeps the text and numbers of every sheet of every demo church,
// rounded as the sheets show them, and its list of findings.
func TestGolden(t *testing.T) {
	for _, church := range demos() {
		for _, scheme := range schemes {
			p := planned(t, church, scheme)
			golden(t, church+"-"+scheme+".txt", packet(p.docs, p.got, display(p.file)))
			golden(t, church+"-"+scheme+"-findings.txt", list(p.got.Findings))
		}
	}
}

// list is one finding a line: what it is about and the number it rests on.
func list(fs []finding.Finding) []byte {
	var b bytes.Buffer
	for _, f := range fs {
		fmt.Fprintf(&b, "%s\t%s\t%s\t%s", f.Severity, f.Code, f.Subject, f.Owner)
		if f.HasValue {
			fmt.Fprintf(&b, "\t%.4g", f.Value)
			if f.HasLimit {
				fmt.Fprintf(&b, " against %.4g", f.Limit)
			}
			fmt.Fprintf(&b, " %s", f.Unit)
		}
		b.WriteByte('\n')
	}
	return b.Bytes()
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "golden", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Errorf("%v; write it with: go test ./server/planner -run TestGolden -update", err)
		return
	}
	if bytes.Equal(got, want) {
		return
	}
	g, w := strings.Split(string(got), "\n"), strings.Split(string(want), "\n")
	shown := 0
	for i := 0; i < max(len(g), len(w)) && shown < 5; i++ {
		if a, b := at(w, i), at(g, i); a != b {
			t.Errorf("%s, line %d\n-%.300s\n+%.300s", name, i+1, a, b)
			shown++
		}
	}
}

func at(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return "(end)"
}

// TestSameBytes plans every demo church twice, on one core and on all.
func TestSameBytes(t *testing.T) {
	if runtime.GOMAXPROCS(0) < 2 {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(2))
	}
	for _, church := range demos() {
		all := planned(t, church, proposed)
		one := onOneCore(t, church)
		if !bytes.Equal(packet(one.docs, one.got, display(one.file)), packet(all.docs, all.got, display(all.file))) {
			t.Errorf("%s: another packet on all cores than on one", church)
		}
		if !reflect.DeepEqual(one.got.Scheme, all.got.Scheme) {
			t.Errorf("%s: another scheme on all cores than on one", church)
		}
		every := cmp.Exporter(func(reflect.Type) bool { return true })
		if diff := cmp.Diff(one.got, all.got, cmpopts.EquateNaNs(), every); diff != "" {
			t.Errorf("%s: other results on all cores than on one, to the last digit (-one +all):\n%s", church, diff)
		}
	}
}

// onOneCore plans a demo church anew with the engine's own scheme.
func onOneCore(t *testing.T, church string) demoPlan {
	t.Helper()
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	p := demoPlan{file: file(t, church)}
	p.docs = documents(t, p.file, proposed)
	p.got = plan.Run(p.docs, book)
	return p
}
