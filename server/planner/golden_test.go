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
	"roodbeam/testdata/churches"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// TestGolden keeps the text and numbers of every sheet of every demo church,
// rounded as the sheets show them, and its list of findings.
func TestGolden(t *testing.T) {
	for _, church := range churches.Names() {
		f := file(t, church)
		for _, scheme := range schemes {
			d := documents(t, f, scheme)
			r := plan.Run(d, book)
			golden(t, church+"-"+scheme+".txt", packet(d, r, display(f)))
			golden(t, church+"-"+scheme+"-findings.txt", list(r.Findings))
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

// TestSameBytes plans every demo church twice, on one core and on two.
func TestSameBytes(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, church := range churches.Names() {
		f := file(t, church)
		var sheets [2][]byte
		var runs [2]plan.Results
		for i := range sheets {
			runtime.GOMAXPROCS(i + 1)
			d := documents(t, f, proposed)
			runs[i] = plan.Run(d, book)
			sheets[i] = packet(d, runs[i], display(f))
		}
		if !bytes.Equal(sheets[0], sheets[1]) {
			t.Errorf("%s: another packet on two cores than on one", church)
		}
		if !reflect.DeepEqual(runs[0].Scheme, runs[1].Scheme) {
			t.Errorf("%s: another scheme on two cores than on one", church)
		}
		all := cmp.Exporter(func(reflect.Type) bool { return true })
		if diff := cmp.Diff(runs[0], runs[1], cmpopts.EquateNaNs(), all); diff != "" {
			t.Errorf("%s: other results on two cores than on one, to the last digit (-one +two):\n%s", church, diff)
		}
	}
}
