package command_test

import (
	"encoding/json"
	"strings"
	"testing"
)

const spotFile = `IESNA:LM-63-1995
[LUMINAIRE] an invented spot
TILT=NONE
1 -1 1 5 2 1 2 0.1 0.2 0
1 1 40
0 10 20 30 90
0 90
1000 900 400 0 0
1000 800 200 0 0
`

func TestFixtureInspect(t *testing.T) {
	s := newShell(t)
	file := s.write("spot.ies", spotFile)
	text := s.must("fixture", "inspect", file)
	for _, want := range []string{"type       C", "symmetry   quadrant", "flux_lm ", "max_cd     1000.0", "beam_deg ", "field_deg ", "C0-C180\t36.0", "C90-C270\t30.0", "an invented spot"} {
		if !strings.Contains(text, want) {
			t.Errorf("the answer lacks %q:\n%s", want, text)
		}
	}
	var got struct {
		Type, Symmetry string
		Flux           float64 `json:"flux_lm"`
		Max            float64 `json:"max_cd"`
		Planes         []struct {
			Plane string
			Beam  float64 `json:"beam_deg"`
			Field float64 `json:"field_deg"`
		}
		Warnings []struct {
			Line int
			Text string
		}
	}
	untidy := s.write("untidy.ies", strings.Replace(spotFile, "1 1 40", "0 1 0", 1))
	if err := json.Unmarshal([]byte(s.must("--json", "fixture", "inspect", untidy)), &got); err != nil {
		t.Fatal(err)
	}
	if got.Type != "C" || got.Max != 1000 || got.Flux < 300 || len(got.Planes) != 2 || got.Planes[0].Beam != 36 || got.Planes[0].Field != 55 {
		t.Errorf("%+v", got)
	}
	if len(got.Warnings) != 2 || got.Warnings[0].Line != 5 || !strings.Contains(got.Warnings[0].Text+got.Warnings[1].Text, "ballast factor 0") {
		t.Errorf("warnings %+v", got.Warnings)
	}
	if text = s.must("fixture", "inspect", untidy); !strings.Contains(text, "warning    line 5: ") {
		t.Errorf("no warnings in:\n%s", text)
	}
}

func TestFixtureRefused(t *testing.T) {
	s := newShell(t)
	bad := s.write("bad.ies", strings.Replace(spotFile, "1000 800", "1000 bright", 1))
	for _, args := range [][]string{{"fixture", "inspect", bad}, {"--json", "fixture", "inspect", bad}} {
		r := s.run(args...)
		var answer struct{ Error struct{ Message string } }
		if err := json.Unmarshal([]byte(r.err), &answer); (err == nil) != (args[0] == "--json") {
			t.Errorf("%q: JSON or not: %v", args, err)
		} else if err == nil {
			r.err = answer.Error.Message
		}
		if r.status != badFile || r.out != "" || !strings.Contains(r.err, `line 9: candelas: "bright" is not a number`) || !strings.Contains(r.err, "bad.ies") {
			t.Errorf("%q: exit status %d, %q, %q", args, r.status, r.out, r.err)
		}
	}
	for name, args := range map[string][]string{
		"no such file": {"fixture", "inspect", "nowhere.ies"},
		"no project":   {"fixture", "import", s.write("spot.ies", spotFile)},
		"no class":     {"fixture", "import", s.write("spot.ies", spotFile), "--class", "lantern"},
		"no command":   {"fixture"},
	} {
		if r := s.run(args...); r.status != badFile {
			t.Errorf("%s: exit status %d, %q", name, r.status, r.err)
		}
	}
}

func TestFixtureImport(t *testing.T) {
	s := newShell(t)
	church := s.write("my-church.yaml", s.must("init", "--units", "metric"))
	s.must("plan", church, "--out", s.dir+"/packet")
	file := s.write("spot.ies", spotFile)
	text := s.must("fixture", "import", file, "--class", "ellipsoidal")
	for _, want := range []string{"fixture    spot, an invented spot, ellipsoidal", "peak_cd", "C0-C180"} {
		if !strings.Contains(text, want) {
			t.Errorf("the answer lacks %q:\n%s", want, text)
		}
	}
	id := s.projects()[0][0]
	if list := s.must("fixture", "list", "--project", id); !strings.Contains(list, "spot\tan invented spot\tellipsoidal") {
		t.Errorf("the list lacks it:\n%s", list)
	}
	if list := s.must("fixture", "list"); strings.Contains(list, "invented spot") {
		t.Errorf("the generic list has it:\n%s", list)
	}
	bad := s.write("bad.ies", strings.Replace(spotFile, "TILT=NONE", "TILT=", 1))
	if r := s.run("fixture", "import", bad, "--project", id); r.status != badFile || !strings.Contains(r.err, "line 3") {
		t.Errorf("exit status %d, %q", r.status, r.err)
	}
}
