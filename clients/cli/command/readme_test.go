package command

import (
	"io"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// shellWords splits a line as a shell does, without what follows a comment or a
// redirection.
func shellWords(line string) []string {
	var out []string
	var word strings.Builder
	var quote rune
	open := false
	for _, r := range line + " " {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(r)
		case r == '"' || r == '\'':
			quote, open = r, true
		case r == ' ':
			if w := word.String(); open || w != "" {
				if !open && (w == ">" || w == "#") {
					return out
				}
				out = append(out, w)
			}
			word.Reset()
			open = false
		default:
			word.WriteRune(r)
		}
	}
	return out
}

var (
	continued = regexp.MustCompile(`\\\n\s*`)
	calling   = regexp.MustCompile(`(?m)^    (?:\./roodbeam|go run \./clients/cli) (.*)$`)
	inText    = regexp.MustCompile("`([^`\n]+)`")
)

// TestReadmeCommands: every command line of the README is one that the binary takes,
// and every command and option that its text names is there.
func TestReadmeCommands(t *testing.T) {
	raw, err := os.ReadFile("../../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	text := continued.ReplaceAllString(string(raw), "")
	lines := calling.FindAllStringSubmatch(text, -1)
	for _, m := range lines {
		var r root
		parser, err := newParser(&r, io.Discard, io.Discard, func(int) {})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := parser.Parse(shellWords(m[1])); err != nil {
			t.Errorf("%s: %v", m[1], err)
		}
	}
	if len(lines) < 5 {
		t.Errorf("%d command lines, want the README's", len(lines))
	}
	var r root
	parser, err := newParser(&r, io.Discard, io.Discard, func(int) {})
	if err != nil {
		t.Fatal(err)
	}
	child := func(n *kong.Node, name string) *kong.Node {
		i := slices.IndexFunc(n.Children, func(c *kong.Node) bool { return c.Name == name })
		if i < 0 {
			return nil
		}
		return n.Children[i]
	}
	named := 0
	for _, m := range inText.FindAllStringSubmatch(text, -1) {
		words := strings.Fields(strings.TrimPrefix(m[1], "roodbeam "))
		if len(words) == 0 || child(parser.Model.Node, words[0]) == nil {
			continue
		}
		named++
		nodes := []*kong.Node{child(parser.Model.Node, words[0])}
		for _, w := range words[1:] {
			if flag, ok := strings.CutPrefix(w, "--"); ok {
				for _, n := range nodes {
					there := false
					for _, group := range n.AllFlags(false) {
						there = there || slices.ContainsFunc(group, func(f *kong.Flag) bool { return f.Name == flag })
					}
					if !there {
						t.Errorf("`%s`: %s has no --%s", m[1], n.Path(), flag)
					}
				}
				continue
			}
			if len(nodes) != 1 || len(nodes[0].Children) == 0 || w == "…" {
				continue
			}
			var next []*kong.Node
			for _, part := range strings.Split(w, "|") {
				n := child(nodes[0], part)
				if n == nil {
					t.Errorf("`%s`: %s has no %q", m[1], nodes[0].Path(), part)
					continue
				}
				next = append(next, n)
			}
			nodes = next
		}
	}
	if named < 10 {
		t.Errorf("%d commands named, want the README's", named)
	}
}
