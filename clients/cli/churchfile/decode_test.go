package churchfile_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/clients/cli/churchfile"
	"roodbeam/testdata/churches"
)

func TestDecode(t *testing.T) {
	var f pb.ChurchFile
	lines, problems := churchfile.Decode([]byte(`
project: {name: A hall, town: Somewhere, units: us}
survey:
  lines:
    - name: W1
      kind: tension-rod
      from: {x: 12' 6", y: -3 ft}
      bearings: [0 ft, 8 ft]
  site: {protected: unknown}
brief:
  region: us
  limits: {no_drill: yes}
  calendar: {start: 2027-03-01}
  zones:
    - {name: pulpit, target: 450 lx, priority: 2}
  money: {cap_minor: 1600000, contingency_pct: 12.5}
`), &f)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, c := range []struct {
		what      string
		got, want any
	}{
		{"text", f.GetProject().GetName(), "A hall"},
		{"word", f.GetSurvey().GetLines()[0].GetKind(), pb.HangingLineKind_HANGING_LINE_KIND_TENSION_ROD},
		{"quantity as typed", f.GetSurvey().GetLines()[0].GetFrom().GetX().GetTyped(), `12' 6"`},
		{"list of quantities", f.GetSurvey().GetLines()[0].GetBearings()[1].GetTyped(), "8 ft"},
		{"yes", f.GetBrief().GetLimits().GetNoDrill(), true},
		{"whole number", f.GetBrief().GetZones()[0].GetPriority(), int32(2)},
		{"large number", f.GetBrief().GetMoney().GetCapMinor(), int64(1600000)},
		{"number", f.GetBrief().GetMoney().GetContingencyPct(), 12.5},
	} {
		if c.got != c.want {
			t.Errorf("%s = %v, want %v", c.what, c.got, c.want)
		}
	}
	for field, want := range map[string]int{
		"project.units":               2,
		"survey.lines[0].kind":        6,
		"survey.lines[0].from.x":      7,
		"survey.lines[0].from.z":      7, // not in the file: where it would stand
		"survey.lines[0].bearings[1]": 8,
		"brief.zones[0].target":       15,
		"brief.zones[7].target":       14,
		"prices[0].code":              0,
	} {
		if got := lines.Of(field); got != want {
			t.Errorf("line of %s = %d, want %d", field, got, want)
		}
	}
}

// TestDemoFiles: each demo church reads without a problem.
func TestDemoFiles(t *testing.T) {
	for _, name := range churches.Names() {
		raw, err := churches.Read(name)
		if err != nil {
			t.Fatal(err)
		}
		var f pb.ChurchFile
		if _, problems := churchfile.Decode(raw, &f); len(problems) > 0 {
			t.Errorf("%s: %v", name, problems)
		}
		if len(f.GetSchemes()) == 0 || len(f.GetBrief().GetZones()) == 0 || len(f.GetSurvey().GetLines()) == 0 {
			t.Errorf("%s: schemes, zones or lines are missing", name)
		}
	}
}

func TestProblems(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"slip of the pen", "project: {nmae: x}", "line 1: project.nmae: no such field; allowed: name (did you mean this?)"},
		{"nothing near", "project: {zzzzzzzzzz: x}", "name"},
		{"no number", "brief: {money: {contingency_pct: lots}}", `not a number; given "lots"`},
		{"not a number", "brief: {money: {contingency_pct: .nan}}", "not a number"},
		{"endless", "brief: {money: {contingency_pct: 1e999}}", "not a number"},
		{"no whole number", "brief: {people: {volunteers: 2.5}}", "not a whole number"},
		{"too large for its field", "brief: {people: {volunteers: 99999999999}}", "not a whole number"},
		{"neither yes nor no", "brief: {limits: {no_drill: perhaps}}", "yes or no is wanted here"},
		{"group for a value", "project: {name: {first: x}}", "one value is wanted here"},
		{"value for a group", "project: x", "a group of fields is wanted here"},
		{"value for a list", "survey: {lines: W1}", "a list is wanted here"},
		{"group for a quantity", "survey: {ceiling: {height: {typed: 3 m}}}", "one value with its unit is wanted here"},
		{"twice", "project: {name: x}\nproject: {name: y}", "project"},
		{"too large", strings.Repeat("#", churchfile.MaxBytes+1), "the file is too large"},
		{"two documents with a tab", "project:\n\tname: x", "line 2: not readable: the line is indented with a tab; use spaces"},
		{"colon in a text", "project: {town: x}\nsurvey:\n  site: {}\n  note: left: not measured\n", "line 4: not readable: there is a colon too many"},
		{"list left open", "survey:\n  footprint: [a, b\nbrief: {}\n", "not readable: a list that was opened with ["},
		{"quotation left open", "project:\n  name: \"x\n", "a quotation mark was opened"},
		{"no colon", "project:\n  name My church\n  town: x\n", "not readable: "},
		{"free fields", "extras:\n  - {kind: bell, fields: [1]}", "a group of fields is wanted here"},
	} {
		var f pb.ChurchFile
		_, problems := churchfile.Decode([]byte(c.text), &f)
		if !strings.Contains(fmt.Sprint(problems), c.want) {
			t.Errorf("%s: %v, want %q", c.name, problems, c.want)
		}
	}
}

// TestAliasesAreBounded: a small file cannot be made to fill the memory.
func TestAliasesAreBounded(t *testing.T) {
	var b strings.Builder
	b.WriteString("survey:\n  lines:\n    - {name: B, places: &places [&p {name: x}" + strings.Repeat(", *p", 2000) + "]}\n")
	b.WriteString(strings.Repeat("    - {name: B, places: *places}\n", 2000))
	start := time.Now()
	var f pb.ChurchFile
	_, problems := churchfile.Decode([]byte(b.String()), &f)
	if !strings.Contains(fmt.Sprint(problems), "repeats too much through aliases") {
		t.Errorf("%d problems, want the aliases named", len(problems))
	}
	if n := proto.Size(&f); n > 64<<20 {
		t.Errorf("the message holds %d bytes after %v", n, time.Since(start))
	}
}

// FuzzDecode: whatever is in the file, it is read or refused with problems
// that name lines of it.
func FuzzDecode(f *testing.F) {
	for _, s := range []string{"", "project: {name: A hall, units: us}\nbrief: {region: metric, zones: [{name: pulpit, target: 450 lx}]}", "a", "- 1", "project: &a {name: *a}", "project: &a [*a]", "survey: {lines: [{name: x, from: {x: 1}}]}",
		"brief: {calendar: {start: 2027-13-01}}", "? {a: b}\n: c", "project: !!binary x", "<<: {project: {name: x}}", "project: {name: ~}"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var file, again pb.ChurchFile
		lines, problems := churchfile.Decode(data, &file)
		last := strings.Count(string(data), "\n") + strings.Count(string(data), "\r") + 1
		for _, p := range problems {
			if p.Line < 0 || p.Line > last || p.Message == "" || p.String() == "" {
				t.Errorf("problem %+v in a file of %d lines", p, last)
			}
		}
		for field, n := range lines {
			if field == "" || n < 1 || n > last {
				t.Errorf("field %q on line %d of %d", field, n, last)
			}
		}
		if _, err := proto.Marshal(&file); err != nil && len(problems) == 0 {
			t.Errorf("what was read cannot be sent: %v", err)
		}
		if _, p := churchfile.Decode(data, &again); len(p) != len(problems) || !proto.Equal(&file, &again) {
			t.Error("reading twice gives two results")
		}
	})
}
