package command_test

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rs/zerolog"

	"roodbeam/clients/cli/command"
	"roodbeam/server/app"
)

// Exit statuses, as the help text promises them to scripts.
const (
	done    = 0
	failed  = 1
	badFile = 2
	noEntry = 3
	refused = 4
)

// smallPx is the width of the packets' pictures in these tests, which look at everything but their pixels.
const smallPx = "160"

// shortSearch is the effort of the proposals that these tests only pass on: what a whole search finds is held by the engine's own.
const shortSearch = "0.1"

// shell runs commands with one folder for their projects and one to write to.
type shell struct {
	t         *testing.T
	data, dir string
}

func newShell(t *testing.T) *shell {
	t.Helper()
	for _, name := range []string{"ROODBEAM_SERVER", "ROODBEAM_TOKEN", "ROODBEAM_DATA", "ROODBEAM_ADMIN_TOKEN"} {
		t.Setenv(name, "")
		if err := os.Unsetenv(name); err != nil {
			t.Fatal(err)
		}
	}
	t.Setenv("ROODBEAM_PICTURE_WIDTH", smallPx)
	t.Setenv("ROODBEAM_EFFORT", shortSearch)
	return &shell{t, filepath.Join(t.TempDir(), "projects"), t.TempDir()}
}

// serve starts a server that the commands that follow use, as with
// ROODBEAM_SERVER set: what it worked out once it need not again.
func (s *shell) serve(data string) {
	s.t.Helper()
	srv, err := app.Start(s.t.Context(), app.Config{GRPC: "127.0.0.1:0", DataDir: data, Log: zerolog.Nop(), PictureWidthPx: 160, TokenRate: 1e6})
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() {
		if err := srv.Stop(); err != nil {
			s.t.Error(err)
		}
	})
	s.t.Setenv("ROODBEAM_SERVER", srv.GRPCAddr)
	s.t.Setenv("ROODBEAM_TOKEN", srv.AdminToken)
}

type result struct {
	status   int
	out, err string
}

func (s *shell) run(args ...string) result {
	s.t.Helper()
	var out, errOut bytes.Buffer
	status := command.Main(append([]string{"--data", s.data}, args...), strings.NewReader(""), &out, &errOut)
	return result{status, out.String(), errOut.String()}
}

// must runs a command that has to succeed and returns its standard output.
func (s *shell) must(args ...string) string {
	s.t.Helper()
	r := s.run(args...)
	if r.status != done {
		s.t.Fatalf("roodbeam %s: exit status %d\n%s%s", strings.Join(args, " "), r.status, r.err, r.out)
	}
	return r.out
}

func (s *shell) write(name, text string) string {
	s.t.Helper()
	path := filepath.Join(s.dir, name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		s.t.Fatal(err)
	}
	return path
}

// projects are the rows of the list of projects.
func (s *shell) projects() [][]string {
	s.t.Helper()
	var rows [][]string
	for _, line := range strings.Split(strings.TrimSpace(s.must("show")), "\n")[1:] {
		rows = append(rows, strings.Split(line, "\t"))
	}
	return rows
}

// TestOwnChurch goes the way of somebody with a church of their own: init,
// plan, plan again.
func TestOwnChurch(t *testing.T) {
	for _, units := range []string{"us", "metric"} {
		t.Run(units, func(t *testing.T) {
			if units == "metric" && testing.Short() {
				t.Skip("the short run plays one of the two")
			}
			s := newShell(t)
			file := s.write("my-church.yaml", s.must("init", "--units", units))
			out := filepath.Join(s.dir, "packet")
			first := s.must("plan", file, "--out", out)
			for _, want := range []string{"Hung", "Light on faces", "Power", "Data: splitter", "Cost:", "Findings:", "issue 1 for pricing"} {
				if !strings.Contains(first, want) {
					t.Errorf("the result lacks %q:\n%s", want, first)
				}
			}
			for name, magic := range map[string]string{"packet.pdf": "%PDF-", "plan.svg": "<svg", "section.svg": "<svg", "light-map.svg": "<svg", "hanging-schedule.csv": "", "findings.csv": ""} {
				raw, err := os.ReadFile(filepath.Join(out, name))
				if err != nil || !bytes.Contains(raw[:min(len(raw), 400)], []byte(magic)) || len(raw) < 50 {
					t.Errorf("%s: %d bytes, %v, want one that begins with %q", name, len(raw), err, magic)
				}
			}
			var show struct{ Results json.RawMessage }
			rows := s.projects()
			if len(rows) != 1 {
				t.Fatalf("projects: %q, want one", rows)
			}
			id := rows[0][0]
			if err := json.Unmarshal([]byte(s.must("--json", "show", id)), &show); err != nil || len(show.Results) == 0 {
				t.Errorf("show --json: %v", err)
			}
			if second := s.must("plan", file, "--out", out); !strings.Contains(second, "issue 2 for pricing") {
				t.Errorf("the second plan is no second issue:\n%s", second)
			}
			if again := s.projects(); len(again) != 1 || again[0][0] != id {
				t.Errorf("projects after a second plan: %q, want the same one", again)
			}
			if r := s.run("plan", file, "--out", out, "--status", "construction"); r.status != refused || !strings.Contains(r.err, "stops are open") {
				t.Errorf("for construction with open stops: exit status %d\n%s", r.status, r.err)
			}
		})
	}
}

// TestSecondPlan: the project grows by what changed in the file.
func TestSecondPlan(t *testing.T) {
	s := newShell(t)
	text := s.must("init", "--units", "metric")
	file := s.write("my-church.yaml", text)
	s.must("plan", file, "--out", filepath.Join(s.dir, "a"))
	revision := func() float64 {
		var got struct {
			Projects []struct{ Revision json.Number }
		}
		if err := json.Unmarshal([]byte(s.must("--json", "show")), &got); err != nil || len(got.Projects) != 1 {
			t.Fatalf("show --json: %v, %d projects", err, len(got.Projects))
		}
		f, err := got.Projects[0].Revision.Float64()
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	before := revision()
	s.write("my-church.yaml", strings.Replace(text, "town: My town", "town: Elsewhere", 1))
	s.must("plan", file, "--out", filepath.Join(s.dir, "b"))
	if after := revision(); after <= before {
		t.Errorf("revision %v after %v, want a higher one", after, before)
	}
	if rows := s.projects(); rows[0][2] != "Elsewhere" {
		t.Errorf("town %q, want the file's new one", rows[0][2])
	}
	raw, err := os.ReadFile(filepath.Join(s.dir, "b", "values.txt"))
	if err != nil || !bytes.Contains(raw, []byte("Elsewhere")) {
		t.Errorf("the new packet does not name the new town: %v", err)
	}
}

// TestWrongFiles: every error at once with its line, field, value and what is
// allowed; nothing is written.
func TestWrongFiles(t *testing.T) {
	good := newShell(t).must("init", "--units", "us")
	line := func(text, part string) string {
		for i, l := range strings.Split(text, "\n") {
			if strings.Contains(l, part) {
				return "line " + string(regexp.MustCompile(`\d+`).Find([]byte(jsonNumber(i+1)))) + ":"
			}
		}
		t.Fatalf("no line with %q", part)
		return ""
	}
	type want struct {
		at   string // part of the line it stands on; empty: not checked
		says []string
	}
	change := func(pairs ...string) string {
		text := good
		for i := 0; i < len(pairs); i += 2 {
			if !strings.Contains(text, pairs[i]) {
				t.Fatalf("the example file has no %q", pairs[i])
			}
			text = strings.Replace(text, pairs[i], pairs[i+1], 1)
		}
		return text
	}
	for _, c := range []struct {
		name, text string
		wants      []want
		count      int // problems in all
	}{
		{"unknown field", change("time_zone:", "time_zome:"), []want{{"time_zome", []string{"project.time_zome", "no such field", "time_zone"}}}, 1},
		{"word that is none", change("kind: tie_beam", "kind: rainbow"), []want{{"rainbow", []string{"survey.lines[0].kind", `given "rainbow"`, "tension_rod"}}}, 1},
		{"no quantity", change("value: 60 ft 0 in", "value: sixty feet"), []want{{"sixty", []string{"survey.measurements[6].value", "sixty feet", "for example"}}}, 1},
		{"out of range", change("height: 22 ft,", "height: 9000 ft,"), []want{{"9000", []string{"survey.ceiling.height", "9000 ft", "out of range", "allowed:"}}}, 1},
		{"number out of range", change("contingency_pct: 15", "contingency_pct: 900"), []want{{"900", []string{"brief.money.contingency_pct", "900", "100"}}}, 1},
		{"name missing", change("- name: B1\n", "- name: \"\"\n"), []want{{`name: ""`, []string{"survey.lines[0].name"}}}, 1},
		{"name twice", change("- name: B2\n", "- name: B1\n"), []want{{"", []string{"survey.lines[1].name", "B1"}}}, 1},
		{"zone twice", change("- name: singers", "- name: pulpit"), []want{{"", []string{"brief.zones[1].name", "pulpit"}}}, 1},
		{"no date", change("start: 2027-03-01", "start: 2027-02-31"), []want{{"2027-02-31", []string{"brief.calendar.start", "2027-02-31"}}}, 1},
		{"region that is none", change("region: us", "region: moon"), []want{{"region: moon", []string{"brief.region", "moon"}}}, 1},
		{"no YAML", change("survey:\n", "survey: [\n"), []want{{"", []string{"not readable: ", "line"}}}, 1},
		{"empty", "", []want{{"", []string{"empty"}}}, 1},
		{"a list", "- one\n- two\n", []want{{"", []string{"a group of fields is wanted here"}}}, 1},
		{"a list where a field is", change("name: My church", "name: [My, church]"), []want{{"[My", []string{"project.name", "one value"}}}, 1},
		{"field twice", change("  town: My town\n", "  town: My town\n  town: Other town\n"), []want{{"", []string{"town"}}}, 1},
		{"many kinds at once", change("time_zone:", "time_zome:", "kind: tie_beam", "kind: rainbow", "value: 60 ft 0 in", "value: sixty feet",
			"height: 22 ft,", "height: 9000 ft,", "contingency_pct: 15", "contingency_pct: 900", "- name: singers", "- name: pulpit"),
			[]want{{"time_zome", []string{"project.time_zome"}}, {"rainbow", []string{"survey.lines[0].kind"}}, {"sixty", []string{"survey.measurements[6].value"}},
				{"9000", []string{"survey.ceiling.height"}}, {"900}", nil}, {"", []string{"brief.zones[1].name"}}}, 6},
		{"aliases without end", bomb(), []want{{"", []string{"alias"}}}, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newShell(t)
			file := s.write("wrong.yaml", c.text)
			out := filepath.Join(s.dir, "packet")
			r := s.run("plan", file, "--out", out)
			if r.status != badFile {
				t.Errorf("exit status %d, want %d", r.status, badFile)
			}
			lines := strings.Split(strings.TrimSpace(r.err), "\n")
			for _, w := range c.wants {
				ok := slices.ContainsFunc(lines, func(l string) bool {
					for _, part := range w.says {
						if !strings.Contains(l, part) {
							return false
						}
					}
					return w.at == "" || strings.HasPrefix(l, line(c.text, w.at))
				})
				if !ok {
					t.Errorf("no line at %q that says %q", w.at, w.says)
				}
			}
			last := lines[len(lines)-1]
			if !strings.HasSuffix(last, "nothing was written.") {
				t.Errorf("the last line is %q", last)
			}
			problems := slices.DeleteFunc(lines[:len(lines)-1], func(l string) bool { return strings.Contains(l, "…") }) // progress
			if c.count > 0 && len(problems) != c.count {
				t.Errorf("%d problems, want %d", len(problems), c.count)
			}
			if r.out != "" {
				t.Errorf("standard output says %q", r.out)
			}
			if _, err := os.Stat(out); !os.IsNotExist(err) {
				t.Errorf("the packet's folder is there: %v", err)
			}
			if rows := s.projects(); len(rows) != 0 {
				t.Errorf("projects: %q, want none", rows)
			}
			if t.Failed() {
				t.Logf("standard error:\n%s", r.err)
			}
		})
	}
}

func jsonNumber(n int) string { b, _ := json.Marshal(n); return string(b) } // an int always marshals

// bomb is a small file that says a hundred thousand things through its aliases.
func bomb() string {
	var b strings.Builder
	b.WriteString("project: {name: x, town: y}\nsurvey:\n  lines:\n")
	for i := range 500 {
		if i == 0 {
			b.WriteString("    - {name: B0, places: &places [&place {name: here}" + strings.Repeat(", *place", 499) + "]}\n")
			continue
		}
		b.WriteString("    - {name: B" + jsonNumber(i) + ", places: *places}\n")
	}
	return b.String()
}

// TestCalc holds the quick sums to published numbers.
func TestCalc(t *testing.T) {
	s := newShell(t)
	for _, c := range []struct {
		name  string
		args  []string
		field string
		want  float64
		tol   float64 // half of the last digit published
	}{
		// D = 2·d·tan(angle/2): closed form.
		{"pool of 26° at 8 m", []string{"pool", "--throw", "8 m", "--angle", "26"}, "diameter_m", 3.69389, 5e-6},
		{"pool of 36° at 6 m", []string{"pool", "--throw", "6 m", "--angle", "36"}, "diameter_m", 3.89904, 5e-6},
		{"pool of 19° at 12 m", []string{"pool", "--throw", "12 m", "--angle", "19"}, "diameter_m", 4.01622, 5e-6},
		// 11.83 ft up and 12.5 ft out: atan(11.83/12.5).
		{"elevation from a beam", []string{"throw", "--lens", "18.5 ft", "--face", "6 ft 8 in", "--distance", "12.5 ft"}, "elevation_deg", 43.43, 0.05},
		// A trade school's sum: 240 V, 20 A, 100 ft of 12 AWG at 1.98 Ω per 1000 ft.
		{"drop in 12 AWG", []string{"volt-drop", "--supply", "240V/1ph", "--current", "20A", "--length", "100ft", "--conductor", "12 AWG"}, "drop_v", 7.92, 0.005},
		{"the same in percent", []string{"volt-drop", "--supply", "240V/1ph", "--current", "20A", "--length", "100ft", "--conductor", "12 AWG"}, "drop_pct", 3.3, 0.05},
		// The same at 120 V, 22 A, 50 ft.
		{"drop at 120 V", []string{"volt-drop", "--supply", "120V/1ph", "--current", "22A", "--length", "50ft", "--conductor", "12 AWG"}, "drop_v", 4.36, 0.005},
		// BS 7671 Appendix 4: 2.5 mm² at 18 mV/A/m, 16 A, 18 m; and 20 A, 20 m.
		{"drop in 2.5 mm²", []string{"volt-drop", "--region", "metric", "--supply", "230V/1ph", "--current", "16A", "--length", "18m", "--conductor", "2.5 mm²"}, "drop_v", 5.184, 0.0005},
		{"drop in 2.5 mm², 20 m", []string{"volt-drop", "--region", "metric", "--supply", "230V/1ph", "--current", "20A", "--length", "20m", "--conductor", "2.5 mm²"}, "drop_v", 7.2, 0.05},
	} {
		var got map[string]any
		if err := json.Unmarshal([]byte(s.must(append([]string{"--json", "calc"}, c.args...)...)), &got); err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		v, ok := got[c.field].(float64)
		if !ok || math.Abs(v-c.want) > c.tol {
			t.Errorf("%s: %s = %v, want %v ± %v", c.name, c.field, got[c.field], c.want, c.tol)
		}
		if basis, ok := got["basis"].(map[string]any); !ok || basis["formula"] == nil || basis["source"] == nil {
			t.Errorf("%s: basis %v, want formula and source", c.name, got["basis"])
		}
		text := s.must(append([]string{"calc"}, c.args...)...)
		if !strings.Contains(text, "formula") || !strings.Contains(text, "source") {
			t.Errorf("%s: the text names no formula or source:\n%s", c.name, text)
		}
		for _, verdict := range []string{"safe", "compliant", " ok"} {
			if strings.Contains(strings.ToLower(text), verdict) {
				t.Errorf("%s: the text gives a verdict:\n%s", c.name, text)
			}
		}
	}
	if r := s.run("calc", "volt-drop", "--supply", "230V/1ph", "--current", "16A", "--length", "18m", "--conductor", "9 mm²", "--region", "metric"); r.status != badFile || !strings.Contains(r.err, "2.5 mm²") {
		t.Errorf("a conductor that is none: exit status %d, %q, want %d and the ones there are", r.status, r.err, badFile)
	}
	if r := s.run("calc", "pool", "--throw", "far", "--angle", "400"); r.status != badFile || !strings.Contains(r.err, "far") || !strings.Contains(r.err, "400") {
		t.Errorf("two bad values: exit status %d, %q, want %d and both", r.status, r.err, badFile)
	}
}

func TestFirstLook(t *testing.T) {
	s := newShell(t)
	args := []string{"first-look", "--length", "58 ft", "--width", "46 ft", "--ceiling", "26 ft", "--beam", "W1=19 ft 8 in@10 ft", "--beam", "W2=19 ft 8 in@-9.5 ft",
		"--platform", "36 ft x 10 ft x 16 in", "--supply", "1ph3w/120V/125A", "--door", "38 in x 6 ft 10 in", "--steps", "1", "--year", "1911", "--cameras", "2"}
	card := s.must(args...)
	for _, want := range []string{"First look:", "W1", "W2", "±", "Power", "Access", "Blocker", "structural engineer", "Asbestos", "Measure or ask next"} {
		if !strings.Contains(card, want) {
			t.Errorf("the card lacks %q:\n%s", want, card)
		}
	}
	var got struct {
		Places []struct {
			Beam, Zone   string
			ElevationDeg float64 `json:"elevation_deg"`
			SigmaDeg     float64 `json:"sigma_deg"`
		}
	}
	if err := json.Unmarshal([]byte(s.must(append([]string{"--json"}, args...)...)), &got); err != nil || len(got.Places) == 0 {
		t.Fatalf("--json: %v, %d places", err, len(got.Places))
	}
	for _, p := range got.Places {
		if p.ElevationDeg != 0 && p.SigmaDeg <= 0 {
			t.Errorf("%s to %s: %v° without ±", p.Beam, p.Zone, p.ElevationDeg)
		}
	}
	if empty := s.must("first-look"); !strings.Contains(empty, "Measure or ask next") {
		t.Errorf("ten times unknown gives no questions:\n%s", empty)
	}
	if r := s.run("first-look", "--beam", "W1 at twenty feet"); r.status != badFile || !strings.Contains(r.err, "name=height@distance") {
		t.Errorf("a beam nobody can read: exit status %d, %q", r.status, r.err)
	}
}

// TestExitStatus: scripts tell by the status what went wrong.
func TestExitStatus(t *testing.T) {
	s := newShell(t)
	srv, err := app.Start(t.Context(), app.Config{GRPC: "127.0.0.1:0", DataDir: filepath.Join(t.TempDir(), "data"), Log: zerolog.Nop()})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := srv.Stop(); err != nil {
			t.Error(err)
		}
	}()
	file := s.write("my-church.yaml", s.must("init"))
	for _, c := range []struct {
		name   string
		args   []string
		status int
		says   string
	}{
		{"help", []string{"--help"}, done, ""},
		{"nothing there", []string{"show", "0197a000-0000-7000-8000-00000000dead"}, failed, "not found"},
		{"command that is none", []string{"paint"}, badFile, "--help"},
		{"file that is none", []string{"plan", filepath.Join(s.dir, "no.yaml")}, badFile, "no.yaml"},
		{"no server", []string{"--server", "127.0.0.1:1", "show"}, noEntry, "Try: start a server"},
		{"no token", []string{"--server", srv.GRPCAddr, "show"}, noEntry, "Try: --token"},
		{"wrong token", []string{"--server", srv.GRPCAddr, "--token", "rbt_x", "show"}, noEntry, "token is missing, unknown, expired or revoked"},
		{"with token", []string{"--server", srv.GRPCAddr, "--token", srv.AdminToken, "show"}, done, ""},
		{"token in the clear", []string{"--server", "192.0.2.1:7443", "--token", "rbt_x", "show"}, failed, "--tls"},
		{"invitation without a server", []string{"invite", "0197a000-0000-7000-8000-00000000dead"}, noEntry, "--http"},
		{"role that is none", []string{"invite", "0197a000-0000-7000-8000-00000000dead", "--role", "pope"}, badFile, "pope"},
		{"a plan on a server", []string{"--server", srv.GRPCAddr, "--token", srv.AdminToken, "plan", file, "--out", filepath.Join(s.dir, "there")}, done, ""},
		{"with open stops", []string{"--server", srv.GRPCAddr, "--token", srv.AdminToken, "plan", file, "--out", filepath.Join(s.dir, "built"), "--status", "construction"}, refused, "stops are open"},
		{"scheme that is none", []string{"--server", srv.GRPCAddr, "--token", srv.AdminToken, "plan", file, "--scheme", "dream", "--out", filepath.Join(s.dir, "dream")}, failed, "not found"},
	} {
		r := s.run(c.args...)
		if r.status != c.status || !strings.Contains(r.err, c.says) {
			t.Errorf("%s: exit status %d, want %d with %q\n%s", c.name, r.status, c.status, c.says, r.err)
		}
		if c.status != done && r.out != "" {
			t.Errorf("%s: standard output says %q", c.name, r.out)
		}
		if strings.Contains(r.err, "rpc error") || strings.Contains(r.err, "desc =") {
			t.Errorf("%s: words for programs: %q", c.name, r.err)
		}
	}
	for _, folder := range []string{"built", "dream"} {
		if _, err := os.Stat(filepath.Join(s.dir, folder)); !os.IsNotExist(err) {
			t.Errorf("folder %s was written: %v", folder, err)
		}
	}
	if _, err := os.Stat(filepath.Join(s.dir, "there", "packet.pdf")); err != nil {
		t.Error(err)
	}
}

// TestFlagsBeforeEnvironment: a flag wins over the environment.
func TestFlagsBeforeEnvironment(t *testing.T) {
	s := newShell(t)
	t.Setenv("ROODBEAM_SERVER", "127.0.0.1:1")
	if r := s.run("show"); r.status != noEntry {
		t.Errorf("with a server in the environment: exit status %d, want %d", r.status, noEntry)
	}
	if r := s.run("--server", "", "show"); r.status != done {
		t.Errorf("the flag does not win: exit status %d\n%s", r.status, r.err)
	}
}

// TestTables: in a pipe, columns are parted by tabs and nothing is cut.
func TestTables(t *testing.T) {
	s := newShell(t)
	lines := strings.Split(strings.TrimSpace(s.must("fixture", "list")), "\n")
	if len(lines) < 15 {
		t.Errorf("%d lines, want a head and at least 14 fixtures", len(lines))
	}
	for _, l := range lines {
		if got, want := strings.Count(l, "\t"), strings.Count(lines[0], "\t"); got != want || want == 0 {
			t.Errorf("%q has %d tabs, want %d", l, got, want)
		}
	}
	file := s.write("my-church.yaml", s.must("init"))
	s.must("plan", file, "--out", filepath.Join(s.dir, "packet"))
	id := s.projects()[0][0]
	for _, l := range strings.Split(strings.TrimRight(s.must("lines", id), "\n"), "\n") {
		if strings.Count(l, "\t") != 8 {
			t.Errorf("%q is no row of nine columns", l)
		}
	}
	for _, args := range [][]string{{"lines", id}, {"findings", id}, {"show", id}, {"fixture", "list"}} {
		var v map[string]any
		if err := json.Unmarshal([]byte(s.must(append([]string{"--json"}, args...)...)), &v); err != nil || len(v) == 0 {
			t.Errorf("--json %s: %v, %d fields", args[0], err, len(v))
		}
	}
	if stops, all := s.must("findings", id, "--least", "stop"), s.must("findings", id); len(stops) >= len(all) || !strings.Contains(stops, "open:") {
		t.Errorf("--least stop gives %d bytes of %d", len(stops), len(all))
	}
}

// TestDemo plays every demo church, each with the engine's scheme and the hand's.
func TestDemo(t *testing.T) {
	s := newShell(t)
	churches := []string{"brick-meeting-house", "shop-unit", "school-hall", "a-frame"}
	if testing.Short() {
		churches = churches[1:2]
	}
	for _, scheme := range []string{"hand", "proposed"} {
		for _, church := range churches {
			out := filepath.Join(s.dir, scheme)
			card := s.must("demo", "--church", church, "--scheme", scheme, "--out", out)
			if !strings.Contains(card, "Findings:") || !strings.Contains(card, "scheme "+scheme) {
				t.Errorf("%s, %s:\n%s", church, scheme, card)
			}
			if _, err := os.Stat(filepath.Join(out, church, "packet.pdf")); err != nil {
				t.Error(err)
			}
		}
	}
	if r := s.run("demo", "--church", "cathedral", "--out", filepath.Join(s.dir, "x")); r.status != badFile || !strings.Contains(r.err, "shop-unit") {
		t.Errorf("a church that is none: exit status %d, %q", r.status, r.err)
	}
}
