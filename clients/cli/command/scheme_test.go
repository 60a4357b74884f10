package command_test

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"roodbeam/testdata/churches"
)

// demoFile writes a demo church into the shell's folder.
func (s *shell) demoFile(name string) string {
	s.t.Helper()
	text, err := churches.Read(name)
	if err != nil {
		s.t.Fatal(err)
	}
	return s.write(name+".yaml", string(text))
}

type proposed struct {
	ModelCost  float64 `json:"model_cost"`
	ModelBound float64 `json:"model_bound"`
	Gap        float64 `json:"gap"`
	Stages     []struct {
		Name             string  `json:"name"`
		ModelCost        float64 `json:"model_cost"`
		ModelBound       float64 `json:"model_bound"`
		Relaxed          float64 `json:"relaxed"`
		RelaxationSolved bool    `json:"relaxation_solved"`
		ColumnsBefore    int     `json:"columns_before"`
		ColumnsDominated int     `json:"columns_dominated"`
		ColumnsCut       int     `json:"columns_cut"`
		Columns          int     `json:"columns"`
	} `json:"stages"`
}

// TestSchemeProposeAndItsModel: what propose prints as model_cost is the value that
// an outside judge finds at least as the model's optimum, and the bound is not above
// it and within one percent of the linear relaxation.
func TestSchemeProposeAndItsModel(t *testing.T) {
	s := newShell(t)
	file := s.demoFile("a-frame")
	var p proposed
	if err := json.Unmarshal([]byte(s.must("--json", "scheme", "propose", file)), &p); err != nil {
		t.Fatal(err)
	}
	if !(p.ModelCost > 0) || p.ModelBound > p.ModelCost || len(p.Stages) < 2 || p.Stages[0].Name != "front" || p.Stages[1].Name != "back" {
		t.Fatalf("%+v", p)
	}
	columns := 0
	for _, st := range p.Stages {
		columns += st.Columns
		if !st.RelaxationSolved || st.ModelBound < 0.99*st.Relaxed || st.ColumnsBefore != st.Columns+st.ColumnsDominated+st.ColumnsCut {
			t.Errorf("%+v", st)
		}
	}
	if columns > 5000 {
		t.Errorf("%d columns", columns)
	}
	worth := regexp.MustCompile(`is worth ([0-9.]+) in this model; no choice is below ([0-9.]+)`)
	for _, stage := range []string{"all", "front", "back"} {
		out := filepath.Join(s.dir, stage+".lp")
		r := s.run("scheme", "model", file, "--format", "lp", "--stage", stage, "--out", out)
		m := worth.FindStringSubmatch(r.err)
		if r.status != done || m == nil {
			t.Fatalf("%d %s", r.status, r.err)
		}
		got, _ := strconv.ParseFloat(m[1], 64)
		want := p.ModelCost
		for _, st := range p.Stages {
			if st.Name == stage {
				want = st.ModelCost
			}
		}
		if math.Abs(got-want) > 0.001 {
			t.Errorf("%s: worth %v, propose says %v", stage, got, want)
		}
		if stage == "back" {
			sol := filepath.Join(s.dir, "back.sol")
			if raw, err := exec.Command("cbc", out, "sec", "60", "ratio", "0", "threads", "1", "solve", "solution", sol).CombinedOutput(); err != nil {
				t.Fatalf("cbc (package coinor-cbc): %v\n%s", err, raw)
			}
			raw, err := os.ReadFile(sol)
			if err != nil {
				t.Fatal(err)
			}
			first, _, _ := strings.Cut(string(raw), "\n")
			_, v, ok := strings.Cut(first, "Optimal - objective value")
			best, _ := strconv.ParseFloat(strings.TrimSpace(v), 64)
			if !ok || want > best*1.01 || want < best*(1-1e-6) {
				t.Errorf("cost %v, the judge says %q", want, first)
			}
		}
	}
	if r := s.run("scheme", "model", file, "--stage", "rest"); r.status == done {
		t.Error("the brief asks for no walls and no movement, and there is a model of them")
	}
	if r := s.run("scheme", "model", file, "--stage", "sideways"); r.status != badFile {
		t.Errorf("a stage that is none: exit status %d", r.status)
	}
}

// TestSchemeCommands goes through show, compare, edit and check as a script would.
func TestSchemeCommands(t *testing.T) {
	s := newShell(t)
	file := s.demoFile("shop-unit")
	made := s.must("scheme", "propose", file, "--save", "--name", "engine")
	for _, want := range []string{"unit ", "elevation", "seats this way", "Why", "Passed over", "What falls short, and what would cure it", "a raised hand reaches it",
		"A platform lower by", "The estimate is over the cap", "How good that is"} {
		if !strings.Contains(made, want) {
			t.Errorf("propose lacks %q:\n%s", want, made)
		}
	}
	id := s.projects()[0][0]
	show := s.must("scheme", "show", id, "--scheme", "engine")
	if !strings.Contains(show, "seen from") || strings.Contains(s.must("scheme", "show", id, "--scheme", "engine", "--no-reasons"), "seen from") {
		t.Error("show with and without reasons")
	}
	if out := s.must("scheme", "compare", id, "engine", "hand"); !strings.Contains(out, "differs in") || !strings.Contains(out, "Findings of hand alone") {
		t.Errorf("compare:\n%s", out)
	}
	if out := s.must("scheme", "compare", id, "hand", "--without", "track 2", "--swap", "T-SML=T-FRE", "--wider", "1"); !strings.Contains(out, "without track 2") ||
		!strings.Contains(out, "levels set anew") || !strings.Contains(out, "working days") {
		t.Errorf("what-ifs:\n%s", out)
	}
	var edited struct {
		Results struct {
			Placed []struct {
				Unit struct {
					ID       string
					LevelPct float64 `json:"level_pct"`
				}
			}
		}
	}
	if err := json.Unmarshal([]byte(s.must("--json", "scheme", "edit", id, "--scheme", "hand", "--unit", "F1", "--level", "55", "--lock", "--save-as", "mine")), &edited); err != nil {
		t.Fatal(err)
	}
	found := false
	for _, p := range edited.Results.Placed {
		found = found || (p.Unit.ID == "F1" && p.Unit.LevelPct == 55)
	}
	if !found {
		t.Errorf("F1 at 55 %% is not in %+v", edited)
	}
	if out := s.must("scheme", "propose", id, "--keep", "mine", "--name", "round F1"); !strings.Contains(out, "F1 ") {
		t.Errorf("the locked unit is gone:\n%s", out)
	}
	if out := s.must("scheme", "check", id, "--scheme", "hand"); !strings.Contains(out, "Findings:") || !strings.Contains(out, "warn  ") {
		t.Errorf("check:\n%s", out)
	}
	section := s.must("lines", id, "--section")
	for _, want := range []string{"Section, seats to the left", "track 1", "×", "numbers: lenses of the lines"} {
		if !strings.Contains(section, want) {
			t.Errorf("section lacks %q:\n%s", want, section)
		}
	}
	if table := s.must("lines", id); !strings.Contains(table, "hangs from\treach\twhy") {
		t.Errorf("lines:\n%s", table)
	}
	for _, bad := range [][]string{{"scheme", "compare", id, "engine"}, {"scheme", "edit", id, "--scheme", "hand", "--unit", "nobody"}, {"scheme", "compare", id, "--swap", "x"}} {
		if r := s.run(bad...); r.status != badFile {
			t.Errorf("%v: exit status %d", bad, r.status)
		}
	}
}
