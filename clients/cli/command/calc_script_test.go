package command_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
)

// words splits a command line as a shell does: at spaces outside double quotes.
func words(line string) []string {
	var out []string
	var word strings.Builder
	quoted, any := false, false
	for _, r := range line {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case unicode.IsSpace(r) && !quoted:
			if any || word.Len() > 0 {
				out = append(out, word.String())
			}
			word.Reset()
			any = false
		default:
			word.WriteRune(r)
		}
	}
	if any || word.Len() > 0 {
		out = append(out, word.String())
	}
	return out
}

// verdicts never stand in an answer, whatever the figures.
var verdicts = []string{"safe", "compliant", " ok", "approved", "passes"}

// TestCalcScript plays every quick sum as it is typed, with its answer, its JSON and
// what it refuses.
func TestCalcScript(t *testing.T) {
	raw, err := os.ReadFile("testdata/calc.txt")
	if err != nil {
		t.Fatal(err)
	}
	s := newShell(t)
	s.serve(s.data)
	sums := map[string]bool{}
	var line string
	var last result
	var rest string
	played := 0
	for _, text := range strings.Split(string(raw), "\n") {
		mark, want, _ := strings.Cut(text, " ")
		switch mark {
		case "$":
			line, played = want, played+1
			args := words(want)
			last = s.run(args...)
			rest = last.out
			sums[args[1]] = true
			if last.status != done {
				break
			}
			for _, v := range verdicts {
				if strings.Contains(strings.ToLower(last.out), v) {
					t.Errorf("%s: the answer gives a verdict, %q:\n%s", line, v, last.out)
				}
			}
			for _, part := range []string{"formula", "source"} {
				if !strings.Contains(last.out, part) {
					t.Errorf("%s: no %s", line, part)
				}
			}
			var answer struct {
				Basis struct{ Formula, Source string }
			}
			if err := json.Unmarshal([]byte(s.must(append([]string{"--json"}, args...)...)), &answer); err != nil || answer.Basis.Formula == "" || answer.Basis.Source == "" {
				t.Errorf("%s: --json: %v, basis %+v", line, err, answer.Basis)
			}
		case ">":
			before, after, found := strings.Cut(rest, want)
			if !found {
				t.Errorf("%s: exit status %d, the answer lacks %q after\n%s\n%s", line, last.status, want, before, last.err)
			}
			rest = after
		case "!":
			if last.status != badFile || last.out != "" || !strings.Contains(last.err, want) {
				t.Errorf("%s: exit status %d, want %d and %q:\n%s%s", line, last.status, badFile, want, last.err, last.out)
			}
		}
	}
	if played == 0 {
		t.Fatal("nothing was played")
	}
	for _, sum := range []string{"volt-drop", "circuit", "fill", "beam", "secondary", "throw", "pool", "exposure", "sun", "payback"} {
		if !sums[sum] {
			t.Errorf("%s is not played", sum)
		}
		help := s.must("calc", sum, "--help")
		for _, part := range []string{"Source:", "Example: roodbeam calc " + sum, "="} {
			if !strings.Contains(strings.Join(strings.Fields(help), " "), part) {
				t.Errorf("calc %s --help lacks %q", sum, part)
			}
		}
	}
}

// loaded makes the project of a demo church and returns its id.
func loaded(t *testing.T, s *shell, church string) string {
	t.Helper()
	s.must("demo", "--church", church, "--out", s.dir)
	s.serve(filepath.Join(s.dir, "data"))
	rows := s.projects()
	if len(rows) != 1 {
		t.Fatalf("projects: %q, want one", rows)
	}
	return rows[0][0]
}

// TestLoadCommands: circuits, house lights, hanging and questions of a church, on
// paper for people and as JSON; an answer stands beside its question and clears
// nothing.
func TestLoadCommands(t *testing.T) {
	s := newShell(t)
	id := loaded(t, s, "brick-meeting-house")
	for name, parts := range map[string][]string{
		"circuits":  {"W1", "today", "after phase", "L2"},
		"house":     {"fader 1", "left cove", "reading in the seats", "way out", "payback"},
		"hanging":   {"W1", "secondary suspension", "take down", "structural engineer"},
		"questions": {"licensed electrician", "structural engineer", "qualified rigger", "answer: ____", "[q-"},
	} {
		text := s.must("load", name, id)
		for _, want := range parts {
			if !strings.Contains(text, want) {
				t.Errorf("load %s lacks %q:\n%s", name, want, text)
			}
		}
		for _, v := range []string{"safe", "compliant", " ok "} {
			if strings.Contains(strings.ToLower(text), v) {
				t.Errorf("load %s gives a verdict, %q", name, v)
			}
		}
		if raw := s.must("--json", "load", name, id); !json.Valid([]byte(raw)) || len(raw) < 100 {
			t.Errorf("load %s --json: %.80s", name, raw)
		}
	}
	var asked struct {
		Questions []struct {
			Key, Who string
			Answers  []struct{ Text, By string }
		}
	}
	list := func() {
		asked.Questions = nil
		if err := json.Unmarshal([]byte(s.must("--json", "load", "questions", id)), &asked); err != nil {
			t.Fatal(err)
		}
	}
	list()
	before := s.must("findings", id)
	for _, who := range []string{"licensed electrician", "structural engineer", "qualified rigger"} {
		key := ""
		for _, q := range asked.Questions {
			if q.Who == who && key == "" {
				key = q.Key
			}
		}
		text := s.must("load", "questions", id, "--answer", key, "--text", "as seen on site", "--by", who)
		if !strings.Contains(text, "answered by "+who) || !strings.Contains(text, "as seen on site") {
			t.Errorf("the answer of the %s does not stand beside its question:\n%s", who, text)
		}
	}
	list()
	n := 0
	for _, q := range asked.Questions {
		n += len(q.Answers)
	}
	if n != 3 {
		t.Errorf("%d answers, want 3", n)
	}
	if after := s.must("findings", id); after != before {
		t.Error("an answer changed the findings")
	}
	for _, bad := range [][]string{{"load", "questions", id, "--answer", "q-000000000000", "--text", "x"}, {"load", "questions", id, "--text", "x"}} {
		if r := s.run(bad...); r.status != badFile {
			t.Errorf("%v: exit status %d\n%s", bad, r.status, r.err)
		}
	}
}
