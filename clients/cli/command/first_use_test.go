package command_test

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/rs/zerolog"

	"roodbeam/clients/cli/command"
	"roodbeam/server/app"
)

// asCommand makes the test's own binary the command line, for what a signal does.
const asCommand = "ROODBEAM_TEST_AS_COMMAND"

func TestMain(m *testing.M) {
	if os.Getenv(asCommand) != "" {
		os.Exit(command.Main(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}
	os.Exit(m.Run())
}

const interrupted = 130

// TestInterrupt: an interrupt at any moment of a plan is told as one.
func TestInterrupt(t *testing.T) {
	s := newShell(t)
	file := s.write("my-church.yaml", s.must("init"))
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, after := range []time.Duration{0, 20, 60, 150, 400, 900} {
		cmd := exec.Command(self, "--data", s.data, "plan", file, "--out", filepath.Join(s.dir, "packet"))
		cmd.Env = append(os.Environ(), asCommand+"=1")
		var errOut strings.Builder
		cmd.Stderr = &errOut
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep((150 + after) * time.Millisecond)
		if err := cmd.Process.Signal(os.Interrupt); err != nil {
			t.Fatal(err)
		}
		err := cmd.Wait()
		got := cmd.ProcessState.ExitCode()
		if got == done {
			t.Logf("after %d ms it was done already", after)
			continue
		}
		// On a busy machine the signal may come before the program's own first line,
		// and the system ends it: to a shell that is 130 too.
		if ws, ok := cmd.ProcessState.Sys().(syscall.WaitStatus); ok && ws.Signaled() && ws.Signal() == syscall.SIGINT && errOut.Len() == 0 {
			continue
		}
		if got != interrupted || !strings.HasSuffix(errOut.String(), "roodbeam: interrupted\n") {
			t.Errorf("after %d ms: exit status %d, %v\n%s", after, got, err, errOut.String())
		}
	}
}

// TestDemoNextCommand: the command that a demo ends with works as typed, and a
// scheme that is none is refused before anything starts.
func TestDemoNextCommand(t *testing.T) {
	s := newShell(t)
	card := s.must("demo", "--church", "shop-unit", "--out", filepath.Join(s.dir, "demo"))
	lines := strings.Split(strings.TrimSpace(card), "\n")
	next := words(strings.ReplaceAll(lines[len(lines)-1], "'", `"`))
	elsewhere := newShell(t) // whatever else is stored
	if out := elsewhere.must(next[1:]...); !strings.Contains(out, "open:") {
		t.Errorf("%q says\n%s", next, out)
	}
	r := s.run("demo", "--scheme", "foo", "--out", filepath.Join(s.dir, "none"))
	if r.status != badFile || !strings.Contains(r.err, "allowed: proposed, hand") || strings.Contains(r.err, "Starting") {
		t.Errorf("--scheme foo: exit status %d, %q", r.status, r.err)
	}
}

// TestWhatIsNotThere: an error says which thing of which kind is not there, and
// which there are.
func TestWhatIsNotThere(t *testing.T) {
	s := newShell(t)
	file := s.write("my-church.yaml", s.must("init", "--units", "us"))
	packet := filepath.Join(s.dir, "packet")
	s.must("plan", file, "--out", packet)
	id := s.projects()[0][0]
	other := s.write("other.yaml", s.must("init", "--units", "us"))
	noFile := filepath.Join(s.dir, "none.yaml")
	const nobody = "0197a000-0000-7000-8000-00000000dead"
	for _, c := range []struct {
		args   []string
		status int
		says   []string
	}{
		{[]string{"show", nobody}, failed, []string{nobody + " is not found in " + s.data, id + "  My church"}},
		{[]string{"findings", other}, failed, []string{"not been planned here yet", "plan " + other}},
		{[]string{"findings", "St Nobody"}, badFile, []string{`"St Nobody" is no file`, id}},
		{[]string{"scheme", "show", file, "--scheme", "nope"}, failed, []string{`scheme "nope" not found; this project has: proposed`}},
		{[]string{"scheme", "compare", file, "foo", "bar"}, failed, []string{`scheme "foo" not found`, "proposed"}},
		{[]string{"scheme", "compare", file, "--without", "B7"}, badFile, []string{`no hanging line "B7"`, "hanging lines: B1, B2"}},
		{[]string{"scheme", "compare", file, "--swap", "G-FRE-S=G-NOPE"}, badFile, []string{`no fixture "G-NOPE"`, "G-FRE-S"}},
		{[]string{"scheme", "compare", file, "--wider", "far"}, badFile, []string{"--wider", "far"}},
		{[]string{"sign", id, "NOPE/x", "--fingerprint", "x", "--reason", "y"}, failed, []string{`finding "NOPE/x" not found`, "HANGING_UNKNOWN_CAPACITY/line B1"}},
		{[]string{"photo", "get", "zzz", "--project", id, "--out", "-"}, failed, []string{"photograph zzz is not found", "there are none"}},
		{[]string{"member", "remove", id, "Anne"}, badFile, []string{`no member is called "Anne"`, "Server owner, manager"}},
		{[]string{"invite", id, "--role", "electrician"}, badFile, []string{"licensed_electrician", "qualified_rigger"}},
		{[]string{"plan", other, "--out", packet}, badFile, []string{"another church: My church", id, "--replace"}},
		{[]string{"survey", "add", file, "--kind", "distance", "--from", "a", "--to", "b", "--value", "3 m"}, badFile, []string{"is a church's file", "--project"}},
		{[]string{"--server", "http://127.0.0.1:1", "show"}, badFile, []string{"HOST:PORT", "without http://"}},
		{[]string{"plan", noFile}, badFile, []string{"none.yaml"}},
		{[]string{"scheme", "show", noFile}, badFile, []string{"none.yaml"}},
		{[]string{"survey", "checklist", noFile}, badFile, []string{"none.yaml"}},
		{[]string{"survey", "import", noFile, "--project", id}, badFile, []string{"none.yaml"}},
		{[]string{"photo", "add", noFile, "--project", id, "--of", "line B1"}, badFile, []string{"none.yaml"}},
		{[]string{"fixture", "inspect", noFile}, badFile, []string{"none.yaml"}},
		{[]string{"survey", "import", s.write("l.csv", "kind,from,at,to,value,sigma\ndistance,front left,,nowhere,3 m,\n"), "--project", id}, badFile, []string{`list line 2, column to: "nowhere"`}},
	} {
		r := s.run(c.args...)
		if r.status != c.status || r.out != "" {
			t.Errorf("%v: exit status %d, want %d\n%s%s", c.args, r.status, c.status, r.err, r.out)
		}
		for _, want := range c.says {
			if !strings.Contains(r.err, want) {
				t.Errorf("%v: standard error lacks %q\n%s", c.args, want, r.err)
			}
		}
		var got struct {
			Error struct {
				Status   int
				Message  string
				Problems []struct{ Message string }
			}
		}
		r = s.run(append([]string{"--json"}, c.args...)...)
		if err := json.Unmarshal([]byte(r.err), &got); err != nil || got.Error.Status != c.status || r.status != c.status || got.Error.Message == "" {
			t.Errorf("--json %v: exit status %d, %v\n%s", c.args, r.status, err, r.err)
		}
	}
	for _, args := range [][]string{{"findings", file}, {"lines", file}, {"show", "my church"}, {"load", "circuits", file}, {"survey", "check", file}, {"survey", "next", file}, {"survey", "list", file},
		{"scheme", "compare", file, "--wider", "3 ft"}} {
		s.must(args...)
	}
	if r := s.run("--json", "no-such-command"); r.status != badFile || !json.Valid([]byte(r.err)) {
		t.Errorf("--json no-such-command: exit status %d\n%s", r.status, r.err)
	}
	s.must("plan", other, "--out", packet, "--replace")
}

// TestCommasInGroups: a comma in a number within { } is told as such.
func TestCommasInGroups(t *testing.T) {
	s := newShell(t)
	text := strings.Replace(s.must("init", "--units", "us"), "to: B1, value: 18 ft 0 in", "to: B1, value: 4,8 m", 1)
	text = strings.Replace(text, "cap_minor: 2500000", "cap_minor: 12,000", 1)
	r := s.run("plan", s.write("comma.yaml", text), "--out", filepath.Join(s.dir, "packet"))
	for _, want := range []string{`write 4.8 m, or put it in quotes, "4,8 m"`, "write 12000", "2 problems"} {
		if r.status != badFile || !strings.Contains(r.err, want) {
			t.Errorf("exit status %d, no %q:\n%s", r.status, want, r.err)
		}
	}
}

// TestIDGivenTwice: an id given twice is told with both lines.
func TestIDGivenTwice(t *testing.T) {
	s := newShell(t)
	text := strings.Replace(s.must("init", "--units", "us"), "{id: m2,", "{id: m1,", 1)
	line := 0
	for i, l := range strings.Split(text, "\n") {
		if strings.Contains(l, "{id: m1,") && line == 0 {
			line = i + 1
		}
	}
	r := s.run("plan", s.write("twice.yaml", text), "--out", filepath.Join(s.dir, "packet"))
	if want := fmt.Sprintf(`"m1" is given twice: line %d has it too`, line); r.status != badFile || !strings.Contains(r.err, want) || !strings.Contains(r.err, fmt.Sprintf("line %d: ", line+1)) {
		t.Errorf("exit status %d, no %q:\n%s", r.status, want, r.err)
	}
}

// TestSchemeFindingsCounted: a proposal and the check of it count the same findings.
func TestSchemeFindingsCounted(t *testing.T) {
	s := newShell(t)
	file := s.write("my-church.yaml", s.must("init", "--units", "us"))
	counted := func(text string) string {
		t.Helper()
		_, after, found := strings.Cut(text, "\nFindings: ")
		if !found {
			t.Fatalf("no findings in\n%s", text)
		}
		line, _, _ := strings.Cut(after, "\n")
		return line
	}
	proposed := s.must("scheme", "propose", file, "--save")
	if a, b := counted(proposed), counted(s.must("scheme", "check", file)); a != b {
		t.Errorf("the proposal counts %s, its check %s", a, b)
	}
	for _, args := range [][]string{{"scheme", "show", file}, {"show", "My church"}} {
		if out := s.must(args...); !strings.Contains(out, "unit\tfixture\t") && !strings.Contains(out, "line\tfixtures\t") {
			t.Errorf("%v: no table parted by tabs:\n%s", args, out)
		}
	}
}

// TestRolesAndLinks: an invitation is a whole link where the web address is known,
// and a member is told what their role may not do.
func TestRolesAndLinks(t *testing.T) {
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
	owner := []string{"--server", srv.GRPCAddr, "--token", srv.AdminToken}
	as := func(who []string, args ...string) []string { return append(append([]string{}, who...), args...) }
	s.must(as(owner, "plan", file, "--out", filepath.Join(s.dir, "packet"))...)
	link := field(t, s.must(as(owner, "invite", file, "--web", "http://127.0.0.1:7480/")...), "link")
	if !strings.HasPrefix(link, "http://127.0.0.1:7480/#join=") {
		t.Errorf("link %q", link)
	}
	if r := s.run(as(owner, "invite", file)...); !strings.Contains(r.err, "--web") || !strings.Contains(r.out, "/#join=") {
		t.Errorf("without an address: %q, %q", r.out, r.err)
	}
	volunteer := []string{"--server", srv.GRPCAddr, "--token", field(t, s.must(as(owner, "join", link, "--name", "A volunteer")...), "token")}
	r := s.run(as(volunteer, "plan", file, "--out", filepath.Join(s.dir, "theirs"))...)
	if r.status != noEntry || !strings.Contains(r.err, "as volunteer") || !strings.Contains(r.err, "designer, manager") || strings.Contains(r.err, "Try: --token") {
		t.Errorf("a volunteer's plan: exit status %d\n%s", r.status, r.err)
	}
	if out := s.must(as(owner, "member", "remove", file, "a volunteer")...); !strings.Contains(out, "removed") {
		t.Errorf("by name: %q", out)
	}
}

// TestHelpAndVersion: help takes commands and topics.
func TestHelpAndVersion(t *testing.T) {
	s := newShell(t)
	all := s.must("help")
	for _, want := range []string{"exit-codes", "json", "first-look", "scheme"} {
		if !strings.Contains(all, want) {
			t.Errorf("help lacks %q", want)
		}
	}
	if out := s.must("help", "scheme", "propose"); !strings.Contains(out, "--alternatives") {
		t.Errorf("help scheme propose:\n%s", out)
	}
	if out := s.must("help", "calc", "circuit"); strings.Contains(strings.SplitN(out, "\n", 2)[0], "--load") {
		t.Errorf("both --load and --current look wanted:\n%s", out)
	}
	if r := s.run("help", "nope"); r.status != badFile || !strings.Contains(r.err, "nope") {
		t.Errorf("help nope: exit status %d, %q", r.status, r.err)
	}
	if out := s.must("--version"); !strings.HasPrefix(out, "roodbeam ") || !strings.Contains(out, "go1") {
		t.Errorf("version %q", out)
	}
	if out := s.must("--help"); !strings.Contains(strings.Join(strings.Fields(out), " "), "share/roodbeam") {
		t.Errorf("--data does not name its folder:\n%s", out)
	}
}

// TestLooseList: where nothing of a list holds, next says so and what would.
func TestLooseList(t *testing.T) {
	s := newShell(t)
	out := s.must("survey", "next", s.write("list.csv", "kind,from,at,to,value,sigma\ndistance,A,,B,3 m,\n"))
	if !strings.Contains(out, "Loose: A can move in x and y") || !strings.Contains(out, "measure offset x of A") || strings.Contains(out, "No single measurement") {
		t.Errorf("%s", out)
	}
}
