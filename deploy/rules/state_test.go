package rules

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// registries are functions of the engine that fill a table of their package
// while the program starts, called from package variables only, by package.
var registries = map[string][]string{"engine/sheet": {"register"}}

// changing are functions that change what their first argument holds.
var changing = map[string][]string{
	"slices": {"Sort", "SortFunc", "SortStableFunc", "Reverse", "Delete", "DeleteFunc", "Insert", "Replace", "Compact", "CompactFunc"},
	"sort":   {"Sort", "Stable", "Slice", "SliceStable", "Ints", "Strings", "Float64s"},
	"maps":   {"Copy", "DeleteFunc", "Insert"},
	"":       {"delete", "clear", "copy"},
}

// state returns how files of one package keep state in package variables: what
// is written outside their declaration, whose address leaves, what is there to
// be written (locks, pools, once), and what runs by itself at the start.
func state(fset *token.FileSet, files []*ast.File, allowed []string) []string {
	vars := map[string]bool{}
	specs := map[any]bool{}
	var out []string
	say := func(n ast.Node, format string, args ...any) {
		out = append(out, fmt.Sprintf("%s: %s", fset.Position(n.Pos()), fmt.Sprintf(format, args...)))
	}
	for _, f := range files {
		for _, im := range f.Imports {
			if im.Name != nil && im.Name.Name == "." {
				say(im, "dot-import of %s hides what is used", im.Path.Value)
			}
		}
		for _, d := range f.Decls {
			g, ok := d.(*ast.GenDecl)
			if !ok || g.Tok != token.VAR {
				continue
			}
			for _, s := range g.Specs {
				v := s.(*ast.ValueSpec)
				specs[v] = true
				for _, name := range v.Names {
					vars[name.Name] = true
				}
				ast.Inspect(v, func(n ast.Node) bool {
					if _, ok := n.(*ast.FuncLit); ok {
						return false
					}
					if sel, ok := n.(*ast.SelectorExpr); ok {
						if x, ok := sel.X.(*ast.Ident); ok && (x.Name == "sync" && sel.Sel.Name != "OnceValue" && sel.Sel.Name != "OnceValues" || x.Name == "atomic") {
							say(sel, "package variable of type %s.%s is there to be written", x.Name, sel.Sel.Name)
						}
					}
					return true
				})
			}
		}
	}
	// global returns the package variable an expression is part of.
	global := func(e ast.Expr) string {
		for {
			switch x := e.(type) {
			case *ast.ParenExpr:
				e = x.X
			case *ast.IndexExpr:
				e = x.X
			case *ast.SliceExpr:
				e = x.X
			case *ast.StarExpr:
				e = x.X
			case *ast.SelectorExpr:
				e = x.X
			case *ast.Ident:
				if x.Obj != nil && !specs[x.Obj.Decl] || !vars[x.Name] || x.Name == "_" {
					return ""
				}
				return x.Name
			default:
				return ""
			}
		}
	}
	for _, f := range files {
		for _, d := range f.Decls {
			fn, isFunc := d.(*ast.FuncDecl)
			if isFunc && fn.Recv == nil && fn.Name.Name == "init" {
				say(fn, "init runs by itself: fill the variable where it is declared")
				continue
			}
			if isFunc && fn.Recv == nil && slices.Contains(allowed, fn.Name.Name) {
				continue
			}
			ast.Inspect(d, func(n ast.Node) bool {
				switch x := n.(type) {
				case *ast.AssignStmt:
					for _, l := range x.Lhs {
						if name := global(l); name != "" && x.Tok != token.DEFINE {
							say(x, "writes package variable %s", name)
						}
					}
				case *ast.IncDecStmt:
					if name := global(x.X); name != "" {
						say(x, "writes package variable %s", name)
					}
				case *ast.RangeStmt:
					for _, l := range []ast.Expr{x.Key, x.Value} {
						if l != nil && x.Tok == token.ASSIGN {
							if name := global(l); name != "" {
								say(x, "writes package variable %s", name)
							}
						}
					}
				case *ast.CallExpr:
					pkg, name := "", ""
					switch fun := x.Fun.(type) {
					case *ast.Ident:
						name = fun.Name
					case *ast.SelectorExpr:
						if p, ok := fun.X.(*ast.Ident); ok {
							pkg, name = p.Name, fun.Sel.Name
						}
					}
					if isFunc && pkg == "" && slices.Contains(allowed, name) {
						say(x, "%s is for package variables only", name)
					}
					if len(x.Args) > 0 && slices.Contains(changing[pkg], name) {
						if v := global(x.Args[0]); v != "" {
							say(x, "%s changes package variable %s", name, v)
						}
					}
				}
				return true
			})
		}
	}
	return out
}

// TestEngineKeepsNoState: the same arguments give the same answer, whatever ran
// before.
func TestEngineKeepsNoState(t *testing.T) {
	looked := 0
	for _, p := range packages(t) {
		if !strings.HasPrefix(p.ImportPath, module+"engine/") {
			continue
		}
		fset := token.NewFileSet()
		var files []*ast.File
		for _, name := range p.GoFiles {
			f, err := parser.ParseFile(fset, filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, f)
		}
		looked += len(files)
		for _, s := range state(fset, files, registries[strings.TrimPrefix(p.ImportPath, module)]) {
			t.Error(s)
		}
	}
	if looked < 100 {
		t.Errorf("%d files were looked at", looked)
	}
}

// TestStateRules shows that the scan finds what it is there for.
func TestStateRules(t *testing.T) {
	for _, c := range []struct {
		name, src, other string
		want             int
	}{
		{"table that is only read", `var t = map[string]int{"a": 1}; func f() int { return t["a"] }`, "", 0},
		{"counter", `var n int; func f() { n++ }`, "", 1},
		{"cache", `var m = map[string]int{}; func f() { m["a"] = 1 }`, "", 1},
		{"element", `var a [3]int; func f(i int) { a[i] += 2 }`, "", 1},
		{"field", `var s struct{ x int }; func f() { s.x = 1 }`, "", 1},
		{"variable of another file", `func f() { n = 1 }`, `var n int`, 1},
		{"appended to", `var l []int; func f() { l = append(l, 1) }`, "", 1},
		{"local of the same name", `var n int; func f() { n := 0; n++; _ = n }`, "", 0},
		{"parameter of the same name", `func f(n []int) { n[0] = 1 }`, `var n []int`, 0},
		{"deleted from", `var m map[string]int; func f() { delete(m, "a") }`, "", 1},
		{"sorted in place", `import "slices"; var l []int; func f() { slices.Sort(l) }`, "", 1},
		{"written by a function value", `var n int; var f = func() { n = 1 }`, "", 1},
		{"loop variable", `var n int; func f(l []int) { for _, n = range l { _ = n } }`, "", 1},
		{"lock", `import "sync"; var mu sync.Mutex`, "", 1},
		{"made once from nothing but code", `import "sync"; var t = sync.OnceValue(func() int { return 1 })`, "", 0},
		{"init", `func init() {}`, "", 1},
		{"method called init", `type t struct{}; func (t) init() {}`, "", 0},
		{"dot-import", `import . "math"; var x = Pi`, "", 1},
		{"registry used later", `var l []int; func register(n int) bool { l = append(l, n); return true }; func f() { register(1) }`, "", 1},
		{"registry", `var l []int; func register(n int) bool { l = append(l, n); return true }; var _ = register(1)`, "", 0},
	} {
		fset := token.NewFileSet()
		var files []*ast.File
		for i, src := range []string{c.src, c.other} {
			f, err := parser.ParseFile(fset, fmt.Sprintf("made_up_%d.go", i), "package p; "+src, 0)
			if err != nil {
				t.Fatalf("%s: %v", c.name, err)
			}
			files = append(files, f)
		}
		if got := state(fset, files, []string{"register"}); len(got) != c.want {
			t.Errorf("%s: %q, want %d", c.name, got, c.want)
		}
	}
}
