// Package rules holds the tests of how the packages of this module may depend
// on each other.
package rules

import (
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "roodbeam/"

// engineOrder is the order in which the engine's packages may import each
// other: a package imports those before it only.
var engineOrder = []string{
	"si", "geom", "finding", "region", "survey", "room", "brief", "photometry", "catalogue", "light", "daylight", "colour",
	"scheme", "electrical", "hanging", "network", "preset", "cost", "phase", "drawing", "sheet", "plan", "enginetest",
}

// engineBanned are the parts of the standard library that would let the engine
// touch the world outside its arguments.
var engineBanned = []string{"os", "io/ioutil", "net", "log", "database", "syscall", "plugin", "unsafe", "testing", "flag", "expvar"}

// engineCalls are names that read the clock, the machine or a source of
// randomness nobody gave a seed for, by import path. allowed turns the list
// into the only ones that may be used.
var engineCalls = map[string]struct {
	allowed bool
	names   []string
}{
	"time":         {names: []string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker", "Sleep", "Local", "LoadLocation"}},
	"math/rand":    {allowed: true, names: []string{"New", "NewSource", "NewZipf", "Rand", "Source", "Source64", "Zipf"}},
	"math/rand/v2": {allowed: true, names: []string{"New", "NewPCG", "NewChaCha8", "NewZipf", "Rand", "Source", "PCG", "ChaCha8", "Zipf"}},
}

// drivers are database drivers and the one package that may know each.
var drivers = map[string]string{
	"github.com/jackc/pgx": "server/store/postgres",
	"modernc.org/sqlite":   "server/store/sqlite",
	"database/sql":         "server/store/sqlite",
}

var implementations = []string{"server/store/sqlite", "server/store/postgres"}

// imported tells what is wrong with package from importing to, both as import
// paths; empty when nothing is.
func imported(from, to string) string {
	from = strings.TrimPrefix(from, module)
	own := strings.HasPrefix(to, module)
	to = strings.TrimPrefix(to, module)
	if !own {
		return foreign(from, to)
	}
	for _, rule := range []func(from, to string) string{layers, engine, clients, stores, services} {
		if why := rule(from, to); why != "" {
			return why
		}
	}
	return ""
}

// within tells whether pkg is dir or below it.
func within(pkg, dir string) bool { return pkg == dir || strings.HasPrefix(pkg, dir+"/") }

func top(pkg string) string { name, _, _ := strings.Cut(pkg, "/"); return name }

// foreign judges imports from outside the module.
func foreign(from, to string) string {
	for driver, home := range drivers {
		if within(to, driver) && !within(from, home) {
			return "only " + home + " may know the driver " + driver
		}
	}
	if top(from) != "engine" {
		return ""
	}
	if strings.Contains(top(to), ".") {
		if within(to, "gonum.org/v1/gonum") {
			return ""
		}
		return "the engine imports the standard library and gonum only"
	}
	for _, b := range engineBanned {
		if within(to, b) && !(b == "testing" && within(from, "engine/enginetest")) {
			return "the engine is pure: no " + b
		}
	}
	return ""
}

// mayImport lists the parts of the repository each part may import.
var mayImport = map[string][]string{
	"api":      {"api"},
	"engine":   {"engine"},
	"server":   {"server", "api", "engine", "clients"}, // of clients the embedded pages only, see clients
	"clients":  {"clients", "api", "server", "testdata"},
	"deploy":   {"api"},
	"testdata": {},
}

func layers(from, to string) string {
	if !slices.Contains(mayImport[top(from)], top(to)) {
		return top(from) + " may not import " + top(to)
	}
	return ""
}

func engine(from, to string) string {
	if top(from) != "engine" {
		if within(to, "engine/enginetest") {
			return "engine/enginetest is for tests"
		}
		return ""
	}
	stage := func(pkg string) (string, int) {
		name := top(strings.TrimPrefix(pkg, "engine/"))
		return name, slices.Index(engineOrder, name)
	}
	a, i := stage(from)
	b, j := stage(to)
	switch {
	case i < 0:
		return "engine/" + a + " has no place in the order"
	case j < 0:
		return "engine/" + b + " has no place in the order"
	case j > i:
		return fmt.Sprintf("engine/%s comes before engine/%s", a, b)
	}
	return ""
}

func clients(from, to string) string {
	switch {
	case top(to) == "clients" && top(from) == "server" && (from != "server/app" || to != "clients/web"):
		return "of clients only the embedded pages are imported, by server/app alone"
	case within(from, "clients/web") && !within(to, "clients/web"):
		return "clients/web embeds files and imports nothing of this module"
	case within(from, "clients/cli") && top(to) == "server" && to != "server/app":
		return "the command line knows of the server only how to start it"
	case within(from, "clients/cli") && top(to) == "clients" && !within(to, "clients/cli"):
		return "clients do not import each other"
	case within(from, "clients/cli") && top(to) == "testdata" && to != "testdata/churches":
		return "of testdata only the demo churches"
	}
	return ""
}

func stores(from, to string) string {
	for _, im := range implementations {
		if within(to, im) && !within(from, im) && from != "server/app" {
			return "only server/app knows which store it is"
		}
	}
	if within(to, "server/store/storetest") {
		return "server/store/storetest is for tests"
	}
	return ""
}

func services(from, to string) string {
	const dir = "server/service"
	if within(from, dir) && within(to, dir) && from != to {
		return "services do not import each other"
	}
	if within(to, dir) && !within(from, dir) && from != "server/app" {
		return "only server/app wires services"
	}
	if within(to, "server/app") && top(from) == "server" && from != "server" {
		return "nothing of the server imports what wires it"
	}
	return ""
}

// calls returns what a file of the engine uses that it may not.
func calls(fset *token.FileSet, f *ast.File) []string {
	paths := map[string]string{} // local name → import path
	for _, im := range f.Imports {
		p, err := strconv.Unquote(im.Path.Value)
		if err != nil {
			continue
		}
		name := path.Base(strings.TrimSuffix(p, "/v2"))
		if im.Name != nil {
			name = im.Name.Name
		}
		paths[name] = p
	}
	var out []string
	ast.Inspect(f, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		x, ok := sel.X.(*ast.Ident)
		if !ok {
			return true
		}
		rule, ok := engineCalls[paths[x.Name]]
		if ok && slices.Contains(rule.names, sel.Sel.Name) != rule.allowed {
			out = append(out, fmt.Sprintf("%s: %s.%s", fset.Position(sel.Pos()), x.Name, sel.Sel.Name))
		}
		return true
	})
	return out
}

type listed struct {
	Dir, ImportPath string
	GoFiles         []string
	Imports         []string
}

// packages are this module's, as the go command sees them, without tests.
func packages(t *testing.T) []listed {
	t.Helper()
	readSources(t)
	cmd := exec.Command("go", "list", "-json=Dir,ImportPath,GoFiles,Imports", module+"...")
	raw, err := cmd.Output()
	if err != nil {
		var ee *exec.ExitError
		if errors.As(err, &ee) {
			t.Fatalf("go list: %v\n%s", err, ee.Stderr)
		}
		t.Fatal(err)
	}
	var out []listed
	for dec := json.NewDecoder(strings.NewReader(string(raw))); ; {
		var p listed
		err := dec.Decode(&p)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(p.ImportPath, "/node_modules/") {
			out = append(out, p)
		}
	}
	return out
}

// readSources reads every Go file here, in this process: what 'go list' reads is
// not known to the test cache, which would answer for sources changed since.
func readSources(t *testing.T) {
	t.Helper()
	err := filepath.WalkDir(filepath.Join("..", ".."), func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "node_modules" || d.Name() == ".git"):
			return filepath.SkipDir
		case strings.HasSuffix(path, ".go"):
			_, err = os.ReadFile(path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestImports holds every package to the rules.
func TestImports(t *testing.T) {
	seen := map[string]int{}
	for _, p := range packages(t) {
		seen[top(strings.TrimPrefix(p.ImportPath, module))]++
		for _, to := range p.Imports {
			if why := imported(p.ImportPath, to); why != "" {
				t.Errorf("%s imports %s: %s", p.ImportPath, to, why)
			}
		}
		if !strings.HasPrefix(p.ImportPath, module+"engine/") {
			continue
		}
		fset := token.NewFileSet()
		for _, name := range p.GoFiles {
			f, err := parser.ParseFile(fset, filepath.Join(p.Dir, name), nil, parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range calls(fset, f) {
				t.Errorf("the engine takes time and randomness as arguments: %s", c)
			}
		}
	}
	for _, part := range []string{"api", "server", "engine", "clients"} {
		if seen[part] == 0 {
			t.Errorf("no packages of %s were looked at", part)
		}
	}
}

// TestImportRules shows that each rule refuses what it is there for.
func TestImportRules(t *testing.T) {
	refused := []struct{ from, to string }{
		{"roodbeam/engine/light", "os"},
		{"roodbeam/engine/light", "net/http"},
		{"roodbeam/engine/light", "log/slog"},
		{"roodbeam/engine/cost", "database/sql"},
		{"roodbeam/engine/cost", "google.golang.org/protobuf/proto"},
		{"roodbeam/engine/light", "testing"},
		{"roodbeam/engine/light", "roodbeam/engine/scheme"},
		{"roodbeam/engine/room", "roodbeam/engine/brief"},
		{"roodbeam/engine/photometry", "roodbeam/engine/catalogue"},
		{"roodbeam/engine/scheme", "roodbeam/engine/unheard"},
		{"roodbeam/engine/unheard", "roodbeam/engine/si"},
		{"roodbeam/engine/plan", "roodbeam/engine/enginetest"},
		{"roodbeam/engine/plan", "roodbeam/api/gen/roodbeam/v1"},
		{"roodbeam/engine/plan", "roodbeam/server/convert"},
		{"roodbeam/engine/plan", "roodbeam/testdata/churches"},
		{"roodbeam/server/convert", "roodbeam/engine/enginetest/sample"},
		{"roodbeam/api/gen/roodbeam/v1", "roodbeam/engine/si"},
		{"roodbeam/clients/cli/command", "roodbeam/engine/si"},
		{"roodbeam/clients/cli/command", "roodbeam/server/convert"},
		{"roodbeam/clients/cli/command", "roodbeam/clients/web"},
		{"roodbeam/clients/cli/command", "roodbeam/testdata/golden"},
		{"roodbeam/clients/web", "roodbeam/api/gen/roodbeam/v1"},
		{"roodbeam/server/rpc", "roodbeam/clients/web"},
		{"roodbeam/server/app", "roodbeam/clients/cli/churchfile"},
		{"roodbeam/server/store/sqlite", "roodbeam/server/store/postgres"},
		{"roodbeam/server/store/postgres", "roodbeam/server/store/sqlite"},
		{"roodbeam/server/planner", "roodbeam/server/store/sqlite"},
		{"roodbeam/server/app", "roodbeam/server/store/storetest"},
		{"roodbeam/server/service/packet", "roodbeam/server/service/project"},
		{"roodbeam/server/planner", "roodbeam/server/service/project"},
		{"roodbeam/server/rpc", "roodbeam/server/app"},
		{"roodbeam/server/store", "github.com/jackc/pgx/v5"},
		{"roodbeam/server/planner", "modernc.org/sqlite"},
		{"roodbeam/deploy/healthcheck", "roodbeam/server/app"},
		{"roodbeam/testdata/churches", "roodbeam/engine/si"},
	}
	for _, c := range refused {
		if imported(c.from, c.to) == "" {
			t.Errorf("%s may import %s, want refused", c.from, c.to)
		}
	}
	allowed := []struct{ from, to string }{
		{"roodbeam/engine/light", "math"},
		{"roodbeam/engine/room", "gonum.org/v1/gonum/mat"},
		{"roodbeam/engine/finding", "embed"},
		{"roodbeam/engine/catalogue", "roodbeam/engine/photometry"},
		{"roodbeam/engine/brief", "roodbeam/engine/room"},
		{"roodbeam/engine/enginetest/sample", "roodbeam/engine/plan"},
		{"roodbeam/server/convert", "roodbeam/engine/plan"},
		{"roodbeam/server/app", "roodbeam/server/store/postgres"},
		{"roodbeam/server/app", "roodbeam/clients/web"},
		{"roodbeam/server/app", "roodbeam/server/service/packet"},
		{"roodbeam/server", "roodbeam/server/app"},
		{"roodbeam/server/store/postgres", "github.com/jackc/pgx/v5/pgxpool"},
		{"roodbeam/clients/cli/command", "roodbeam/server/app"},
		{"roodbeam/clients/cli/command", "roodbeam/clients/cli/churchfile"},
		{"roodbeam/clients/cli/command", "roodbeam/testdata/churches"},
	}
	for _, c := range allowed {
		if why := imported(c.from, c.to); why != "" {
			t.Errorf("%s may not import %s (%s), want allowed", c.from, c.to, why)
		}
	}
}

// TestCallRules shows that the scan finds the clock and unseeded randomness.
func TestCallRules(t *testing.T) {
	for _, c := range []struct {
		name, src string
		want      int
	}{
		{"clock", `import "time"; var t = time.Now()`, 1},
		{"clock under another name", `import clock "time"; var t = clock.Since(clock.Time{})`, 1},
		{"zone of the machine", `import "time"; var z = time.Local`, 1},
		{"durations are no clock", `import "time"; var d = 3 * time.Second`, 0},
		{"global randomness", `import "math/rand"; var n = rand.Intn(6)`, 1},
		{"global randomness, version 2", `import "math/rand/v2"; var n = rand.IntN(6)`, 1},
		{"seeded randomness", `import "math/rand/v2"; func f(seed uint64) int { return rand.New(rand.NewPCG(seed, 0)).IntN(6) }`, 0},
		{"a method called Now", `type clock struct{}; func (clock) Now() int { return 0 }; var c clock; var n = c.Now()`, 0},
	} {
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, "made_up.go", "package p; "+c.src, parser.SkipObjectResolution)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if got := calls(fset, f); len(got) != c.want {
			t.Errorf("%s: %v, want %d", c.name, got, c.want)
		}
	}
}
