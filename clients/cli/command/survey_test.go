package command_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// ninePoints is a distance net of nine points whose standard deviations are known
// up to a factor. Source: Weiss et al., Acta Montanistica Slovaca 15/1, 2010, pp. 62–70.
const ninePoints = `kind;from;at;to;value;sigma
fixed;;1;;4506.299 9001.123 m;
fixed;;2;;2798.622 9502.490 m;
fixed;;3;;3803.973 9894.233 m;
fixed;;8;;4904.569 9413.376 m;
near;;4;;3299.980 9100.838 m;
near;;5;;3697.824 9400.545 m;
near;;6;;3080.370 9775.900 m;
near;;7;;4393.265 9842.503 m;
near;;9;;4251.061 9546.226 m;
distance;4;;6;709.927 m;1.303840 m
distance;2;;6;392.550 m;.774597 m
distance;2;;4;642.409 m;1.140175 m
distance;3;;4;939.941 m;1.095445 m
distance;3;;9;566.555 m;.894427 m
distance;4;;9;1050.204 m;1.048809 m
distance;1;;4;1210.478 m;.894427 m
distance;1;;5;901.755 m;.894427 m
distance;5;;8;1206.806 m;1 m
distance;4;;8;1634.747 m;1.140175 m
distance;4;;5;498.107 m;1.264911 m
distance;2;;5;904.962 m;1.183216 m
distance;2;;7;1630.454 m;1.048809 m
distance;1;;7;849.005 m;.894427 m
distance;1;;9;601.906 m;1.095445 m
distance;8;;9;666.874 m;1.140175 m
distance;7;;8;667.595 m;.774597 m
distance;5;;7;823.990 m;1.264911 m
distance;5;;6;722.631 m;1.140175 m
distance;6;;9;1193.036 m;.836660 m
distance;5;;9;572.094 m;.836660 m
distance;3;;5;504.968 m;1.303840 m
distance;3;;7;591.506 m;1.264911 m
distance;7;;9;328.667 m;.948683 m
`

// networkAnswer is the part of the answer that the tests look at.
type networkAnswer struct {
	Stations []struct {
		Name string
		At   struct {
			X float64 `json:"x_m"`
			Y float64 `json:"y_m"`
		}
	}
	Measurements []struct{ Line int }
	Sigma0       float64
	Redundancy   int
	Removed      []struct {
		Measurement int
		Statistic   float64
		Mistake     string
	}
}

func TestSurveyCheckRemovesInThePublishedOrder(t *testing.T) {
	s := newShell(t)
	file := s.write("net.csv", ninePoints)
	var r networkAnswer
	if err := json.Unmarshal([]byte(s.must("survey", "check", file, "--variance", "estimated", "--alpha", "0.05", "--bonferroni", "--json")), &r); err != nil {
		t.Fatal(err)
	}
	// 1–4 on line 17, then 2–6 on line 12.
	if len(r.Removed) != 2 || r.Measurements[r.Removed[0].Measurement].Line != 17 || r.Measurements[r.Removed[1].Measurement].Line != 12 {
		t.Fatalf("removed %+v", r.Removed)
	}
	for i, tau := range []float64{3.1464, 3.3229} {
		if math.Abs(r.Removed[i].Statistic-tau) > 6e-5 {
			t.Errorf("τ %v, want %v", r.Removed[i].Statistic, tau)
		}
	}
	if math.Abs(r.Sigma0-.003106) > 6e-7 || r.Redundancy != 12 {
		t.Errorf("s0 %v, r %d", r.Sigma0, r.Redundancy)
	}
	for _, st := range r.Stations {
		if st.Name == "4" && (math.Abs(st.At.X-3299.9802) > 6e-5 || math.Abs(st.At.Y-9100.8331) > 6e-5) {
			t.Errorf("4 at %v", st.At)
		}
	}
	text := s.must("survey", "check", file, "--variance", "estimated", "--alpha", "0.05", "--bonferroni")
	first, second := strings.Index(text, "line 17, distance 1 – 4"), strings.Index(text, "line 12, distance 2 – 6")
	if first < 0 || second < first || !strings.Contains(text, "Global test") || !strings.Contains(text, "hardly be told apart from line 11") {
		t.Errorf("%s", text)
	}
}

const tapedRoom = `kind,from,at,to,value,sigma
fixed,,A,,0 0 0 m,
fixed,,B,,"32' 9 1/2"" 0 0",
distance,A,,C,"52' 6""",3mm
distance,B,,C,"41' 0 1/4""",3mm
distance,A,,D,12.498 m,3mm
distance,B,,D,"52' 6""",3mm
distance,C,,D,"23' 9 1/2""",3mm
`

func TestSurveyCommandsOnAList(t *testing.T) {
	s := newShell(t)
	file := s.write("room.csv", tapedRoom)
	text := s.must("survey", "check", file)
	for _, want := range []string{"likely two digits changed places: 32' 9 1/2\"", "distance C – D"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if text := s.must("survey", "list", file); !strings.Contains(text, `52' 6"`) || !strings.Contains(text, "16.0020 m") {
		t.Errorf("%s", text)
	}
	if text := s.must("survey", "next", file); !strings.Contains(text, "1. Measure the distance") || !strings.Contains(text, "→") {
		t.Errorf("%s", text)
	}
	s.must("survey", "add", file, "--kind", "distance", "--from", "C", "--to", "D", "--value", `32' 9 1/2"`, "--sigma", "3 mm")
	raw, err := os.ReadFile(file)
	if err != nil || !strings.HasSuffix(string(raw), "distance,C,,D,\"32' 9 1/2\"\"\",\"3 mm\"\n") {
		t.Errorf("%v\n%s", err, raw)
	}
	fresh := file + ".new.csv"
	s.must("survey", "add", fresh, "--kind", "fixed", "--to", "A", "--value", "0 0 0 m")
	s.must("survey", "add", fresh, "--kind", "height", "--to", "A", "--value", "1 m", "--instrument", "laser")
	s.must("survey", "check", fresh)
}

func TestSurveyListsAreRefusedByLine(t *testing.T) {
	s := newShell(t)
	for text, want := range map[string]string{
		"kind,from,at,to,value,sigma\ndistance,A,,B,12.5,3mm\n":      "line 2, value",
		"kind,from,at,to,value,sigma\n\ndistance,A,,A,12.5 m,3mm\n":  "line 3",
		"kind,from,at,to,value\ndistance,A,,B,12.5 m\n":              "sigma",
		"kind,from,at,to,value,sigma\ndistance,A,,B,12.5 deg,3 mm\n": "line 2, value",
	} {
		r := s.run("survey", "check", s.write("bad.csv", text))
		if r.status != badFile || !strings.Contains(r.err, want) || r.out != "" {
			t.Errorf("%q: status %d, %s%s", text, r.status, r.err, r.out)
		}
	}
	if r := s.run("survey", "check", "no-such.csv"); r.status != badFile {
		t.Errorf("missing file: status %d, %s", r.status, r.err)
	}
	if r := s.run("survey", "check"); r.status != badFile || !strings.Contains(r.err, "--project") {
		t.Errorf("nothing named: status %d, %s", r.status, r.err)
	}
}

// A list goes into a project once, however often it is sent.
func TestSurveyImport(t *testing.T) {
	s := newShell(t)
	s.must("plan", s.write("my-church.yaml", s.must("init", "--units", "metric")), "--out", filepath.Join(s.dir, "packet"))
	project := s.projects()[0][0]
	list := s.write("more.csv", "kind,from,at,to,value,sigma,instrument\nheight,,ceiling,,2.71 m,,laser\nslope,front left,,rear right,\"12.00 m 1.0 deg\",5 mm 0.5 deg,laser\n")
	const entry = "01936f00-0000-7000-8000-000000000001"
	first := s.must("survey", "import", list, "--project", project, "--entry", entry)
	if !strings.Contains(first, "2 measurements added") {
		t.Errorf("%s", first)
	}
	s.must("survey", "import", list, "--project", project, "--entry", entry)
	text := s.must("survey", "list", "--project", project)
	if strings.Count(text, "2.71 m") != 1 || !strings.Contains(text, "12.00 m 1.0 deg") {
		t.Errorf("%s", text)
	}
	s.must("survey", "add", "--project", project, "--kind", "height", "--to", "ceiling", "--value", "2.72 m", "--instrument", "steel_tape", "--reference", "hall floor")
	if next := s.must("survey", "next", "--project", project); !strings.Contains(next, "→") {
		t.Errorf("%s", next)
	}
	s.must("survey", "check", "--project", project)
	if r := s.run("survey", "import", s.write("empty.csv", "kind,from,at,to,value,sigma\n"), "--project", project); r.status != badFile {
		t.Errorf("empty list: status %d, %s", r.status, r.err)
	}
}
