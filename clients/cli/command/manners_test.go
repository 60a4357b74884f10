package command_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"roodbeam/clients/cli/command"
)

// typing runs a command with something on its standard input.
func (s *shell) typing(in string, args ...string) result {
	s.t.Helper()
	var out, errOut bytes.Buffer
	status := command.Main(append([]string{"--data", s.data}, args...), strings.NewReader(in), &out, &errOut)
	return result{status, out.String(), errOut.String()}
}

// TestNamesOfNothing: a name that nothing declares is refused, all at once, with
// the nearest there is, and nothing is written.
func TestNamesOfNothing(t *testing.T) {
	s := newShell(t)
	text := s.must("init", "--units", "us")
	for _, change := range [][2]string{
		{"footprint: [front left, front right", "footprint: [frnt left, front right"},
		{"to: B1, value", "to: B11, value"},
		{"reference: hall floor}", "reference: balcony}"},
		{"      level: platform\n", "      level: plattform\n"},
		{"limits: {no_drill: true", "limits: {no_hang: [B3], no_drill: true"},
	} {
		if !strings.Contains(text, change[0]) {
			t.Fatalf("the example file has no %q", change[0])
		}
		text = strings.Replace(text, change[0], change[1], 1)
	}
	text += `
schemes:
  - name: hand
    units:
      - {id: X1, fixture: G-ELL-Q, line: B7, along: 3 ft, zone: pulpitt, circuit: A}
    circuits: [{name: B, panel: P9}]
`
	r := s.run("plan", s.write("wrong.yaml", text), "--out", filepath.Join(s.dir, "packet"))
	if r.status != badFile {
		t.Errorf("exit status %d, want %d", r.status, badFile)
	}
	for _, want := range []string{
		`survey.footprint[0]: "frnt left" names no station; did you mean "front left"?`,
		`survey.measurements[10].to: "B11" names no station, hanging line or level; did you mean "B1"?`,
		`survey.measurements[10].reference: "balcony" names no level; allowed: hall floor, platform`,
		`brief.zones[0].level: "plattform" names no level; did you mean "platform"?`,
		`brief.limits.no_hang[0]: "B3" names no hanging line; did you mean "B1"?; allowed: B1, B2`,
		`schemes[0].units[0].fixture: "G-ELL-Q" is the code of no fixture; did you mean "G-ELL-`,
		`schemes[0].units[0].line: "B7" names no hanging line`,
		`schemes[0].units[0].zone: "pulpitt" names no zone; did you mean "pulpit"?`,
		`schemes[0].circuits[0].name: "B" is the circuit of no unit of this scheme`,
		`schemes[0].circuits[0].panel: "P9" names no panel; did you mean "P1"?`,
		"10 problems; nothing was written.",
	} {
		if !strings.Contains(r.err, want) {
			t.Errorf("standard error lacks %q", want)
		}
	}
	if n := len(regexp.MustCompile(`(?m)^line \d+: `).FindAllString(r.err, -1)); n != 10 {
		t.Errorf("%d problems name a line, want 10", n)
	}
	if t.Failed() {
		t.Log(r.err)
	}
	if rows := s.projects(); len(rows) != 0 {
		t.Errorf("projects: %q, want none", rows)
	}
}

// TestNewStation: a station is made only when asked for.
func TestNewStation(t *testing.T) {
	s := newShell(t)
	file := s.write("my-church.yaml", s.must("init"))
	s.must("plan", file, "--out", filepath.Join(s.dir, "packet"))
	id := s.projects()[0][0]
	add := []string{"survey", "add", "--project", id, "--kind", "distance", "--from", "front left", "--to", "B9", "--value", "20 ft 1 in"}
	r := s.run(add...)
	if r.status != badFile || !strings.Contains(r.err, `--to: "B9" names no station`) || !strings.Contains(r.err, "--new-station") {
		t.Errorf("exit status %d, %q", r.status, r.err)
	}
	if list := s.must("survey", "list", "--project", id); strings.Contains(list, "B9") {
		t.Errorf("the refused measurement is there:\n%s", list)
	}
	s.must(append(add, "--new-station")...)
	s.must(append(add, "--by", "a volunteer")...) // it is declared now
	if list := s.must("survey", "list", "--project", id); strings.Count(list, "B9") != 2 || !strings.Contains(list, "20.0833 ft") {
		t.Errorf("want two measurements to B9, in feet:\n%s", list)
	}
	lists := s.write("list.csv", "kind,from,at,to,value,sigma\ndistance,front left,,nowhere,3 m,\n")
	if r := s.run("survey", "import", "--project", id, lists); r.status != badFile || !strings.Contains(r.err, `list line 2, column to: "nowhere" names no station`) {
		t.Errorf("import: exit status %d, %q", r.status, r.err)
	}
}

// TestEditedScheme: a scheme somebody edited outlives the next plan.
func TestEditedScheme(t *testing.T) {
	s := newShell(t)
	file := s.write("my-church.yaml", s.must("init"))
	out := filepath.Join(s.dir, "packet")
	s.must("plan", file, "--out", out)
	id := s.projects()[0][0]
	s.must("scheme", "edit", id, "--scheme", "proposed", "--unit", "P1", "--drop", "--save")
	units := func() string {
		t.Helper()
		var show struct {
			Results struct{ Scheme json.RawMessage }
			Scheme  json.RawMessage
		}
		if err := json.Unmarshal([]byte(s.must("--json", "scheme", "show", id, "--scheme", "proposed")), &show); err != nil || len(show.Scheme)+len(show.Results.Scheme) == 0 {
			t.Fatalf("scheme show --json: %v, %d bytes", err, len(show.Scheme))
		}
		return string(show.Scheme) + string(show.Results.Scheme)
	}
	edited := units()
	r := s.run("plan", file, "--out", out)
	if r.status != done || !strings.Contains(r.err, `"proposed" was edited by hand and stays as it is`) || !strings.Contains(r.out, "scheme proposed 2") {
		t.Errorf("exit status %d\n%s%s", r.status, r.err, r.out)
	}
	if now := units(); now != edited || strings.Contains(now, `"id": "P1"`) {
		t.Error("the edited scheme has changed")
	}
	if !strings.Contains(r.out, "roodbeam findings "+id) {
		t.Errorf("the result does not name the next command:\n%s", r.out)
	}
}

// TestTapeMisread: a gross mistake of the tape is on the screen after a plan.
func TestTapeMisread(t *testing.T) {
	s := newShell(t)
	text := strings.Replace(s.must("init", "--units", "us"), "id: m9, kind: distance, from: front left, to: rear right, value: 72 ft 1 in", "id: m9, kind: distance, from: front left, to: rear right, value: 62 ft 1 in", 1)
	card := s.must("plan", s.write("my-church.yaml", text), "--out", filepath.Join(s.dir, "packet"))
	if !regexp.MustCompile(`(?m)^  (stop|warn): .*front left – rear right was given as 62 ft 1 in`).MatchString(card) {
		t.Errorf("no line on the diagonal:\n%s", card)
	}
	if strings.Contains(card, " kg") || strings.Contains(card, " m,") {
		t.Errorf("metric units for a church that reads feet:\n%s", card)
	}
}

// TestTooLittle: an almost empty file gets no packet of noughts.
func TestTooLittle(t *testing.T) {
	s := newShell(t)
	out := filepath.Join(s.dir, "packet")
	r := s.run("plan", s.write("tiny.yaml", "project: {name: Tiny}\nbrief: {region: us}\n"), "--out", out)
	if r.status != badFile {
		t.Errorf("exit status %d, want %d", r.status, badFile)
	}
	for _, want := range []string{"survey.footprint", "survey.lines", "brief.zones", "nothing was written", "first-look"} {
		if !strings.Contains(r.err, want) {
			t.Errorf("standard error lacks %q:\n%s", want, r.err)
		}
	}
	if _, err := os.Stat(out); !os.IsNotExist(err) {
		t.Errorf("the packet's folder is there: %v", err)
	}
}

// TestFirstLookAsked: a bad answer is asked for again, and answers outlive the end
// of the input.
func TestFirstLookAsked(t *testing.T) {
	s := newShell(t)
	r := s.typing("far\n58 ft\n46 ft\n26 ft\nW1\nW1=19 ft 8 in@10 ft\n\n36 ft x 10 ft x 16 in\n", "first-look", "--ask")
	if r.status != done || !strings.Contains(r.out, "W1") {
		t.Errorf("exit status %d\n%s", r.status, r.out)
	}
	for _, want := range []string{`"far" is not a length`, "name=height@distance, such as",
		"roodbeam first-look --ask --length '58 ft' --width '46 ft' --ceiling '26 ft' --beam 'W1=19 ft 8 in@10 ft' --platform '36 ft x 10 ft x 16 in'\n"} {
		if !strings.Contains(r.err, want) {
			t.Errorf("standard error lacks %q:\n%s", want, r.err)
		}
	}
	if !strings.Contains(r.out, "is not answered") {
		t.Errorf("the card does not say that cameras were not answered:\n%s", r.out)
	}
	if none := s.must("first-look", "--cameras", "0"); strings.Contains(none, "Whether there are cameras") {
		t.Errorf("no cameras is taken for no answer:\n%s", none)
	}
	short, all := s.must("first-look"), s.must("first-look", "--all")
	if !strings.Contains(short, "--all lists them") || strings.Contains(all, "--all lists them") || len(all) <= len(short) {
		t.Errorf("--all lists no more:\n%s", all)
	}
	if legs := s.must("first-look", "--supply", "1ph3w/120V/125A"); !strings.Contains(legs, "per leg") {
		t.Errorf("the amperes are of no leg:\n%s", legs)
	}
}

// TestSmallManners: negative numbers as values, help with topics, words for numbers.
func TestSmallManners(t *testing.T) {
	s := newShell(t)
	if out := s.must("calc", "sun", "--lat", "40", "--lon", "-105", "--time", "2024-06-21T12:00:00Z"); !strings.Contains(out, "elevation") {
		t.Error(out)
	}
	codes := s.must("help", "exit-codes")
	for _, status := range []string{"0\t", "1\t", "2\t", "3\t", "4\t", "130\t"} {
		if !strings.Contains(codes, "\n"+status) {
			t.Errorf("exit-codes lacks %q:\n%s", status, codes)
		}
	}
}

// TestEveryMistakeAtOnce: what each reader refuses comes in one list, in the
// order of the file, without what only follows from it.
func TestEveryMistakeAtOnce(t *testing.T) {
	s := newShell(t)
	text := s.must("init", "--units", "us")
	for _, change := range [][2]string{
		{"town: My town", "towm: My town"},
		{"time_zone: America/Chicago", "time_zone: Europe/Londn"},
		{"id: m2,", "id: m1,"},
		{"value: 40 ft 0 in, instrument", "value: -14 m, instrument"},
		{"reference: hall floor}", "reference: A}"},
		{"last_y: -40 ft", "last_y: ten feet"},
		{"spaces_used: 20", "spaces_used: 40"},
		{"protected: unknown", "protected: maybe"},
		{"region: us", "region: uk"},
		{"min_x: -4 ft", "min_x: 5 ft"},
	} {
		if !strings.Contains(text, change[0]) {
			t.Fatalf("the example file has no %q", change[0])
		}
		text = strings.Replace(text, change[0], change[1], 1)
	}
	r := s.run("plan", s.write("wrong.yaml", text), "--out", filepath.Join(s.dir, "packet"))
	if r.status != badFile {
		t.Errorf("exit status %d, want %d", r.status, badFile)
	}
	at := 0
	for _, want := range []string{
		"project.towm: no such field",
		`project.time_zone: "Europe/Londn" is no time zone of the IANA database; did you mean "Europe/London"?`,
		`survey.measurements[1].id: "m1" is given twice: line `,
		`survey.measurements[4].value: "-14 m" is below nothing: a distance has no direction; allowed: `,
		`survey.measurements[10].reference: "A" names no level; allowed: hall floor, platform`,
		`survey.seating[0].last_y: "ten feet" is not a length`,
		`survey.panels[0].spaces_used: "40" is more than the panel's spaces; allowed: 0 to 30`,
		"survey.site.protected: not one of the words this field knows",
		`brief.region: "uk" is not a region profile; allowed: metric, us`,
		`brief.zones[0].min_x: "5 ft" is not less than max_x, 4 ft`,
		"10 problems; nothing was written.",
	} {
		i := strings.Index(r.err[at:], want)
		if i < 0 {
			t.Errorf("standard error lacks %q, or not in this order", want)
			continue
		}
		at += i
	}
	if t.Failed() {
		t.Log(r.err)
	}
	// Where the stations' list itself cannot be read, their names are no news.
	r = s.run("plan", s.write("list.yaml", strings.Replace(s.must("init"), "  stations:", "  stattions:", 1)), "--out", filepath.Join(s.dir, "packet"))
	if r.status != badFile || strings.Contains(r.err, "names no station") || !strings.Contains(r.err, "1 problem;") {
		t.Errorf("exit status %d, %s", r.status, r.err)
	}
}
