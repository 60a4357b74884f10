package command_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// everyRow is a list with a row of every written form: quotes doubled inside quotes
// and not, one, two and three numbers, seconds of arc with their mark, two numbers in
// one field. The numbers fit each other.
const everyRow = `kind,from,at,to,value,sigma
fixed,,A,,"0 0 0 m",
near,,B,,"10 0 0 m",
near,,C,,5 8 m,
distance,A,,B,"32' 9 1/2""",3mm
distance,A,,B,32' 9 1/2",3mm
level,A,,B,1.234 m,2 mm
height,,B,,1.234 m,5 mm
distance,A,,C,9.434 m,3mm
distance,B,,C,9.4717 m,3mm
angle,A,B,C,58-25-01,60"
slope,A,,B,"9.995 m 7.09 deg",5mm 0.5deg
offset_y,,B,,0 m,1 mm
height,,C,,0 m,1 mm
`

// adjusted is the answer of survey check on a list.
type adjusted struct {
	Stations []struct {
		Name, Loose, Fixed string
		At                 map[string]float64
		Sigma              map[string]float64
		CovM2              []float64 `json:"cov_m2"`
	}
	Measurements []struct {
		Line                                  int
		Kind, Typed                           string
		Angular, Used                         bool
		Value, Sigma, Residual, Redundancy, W float64
	}
	Unknowns, Rank, Redundancy int
	Vpv, Sigma0                float64
	ChiLow                     float64 `json:"chi_low"`
	ChiHigh                    float64 `json:"chi_high"`
	Pass                       bool
	Notes                      []string
	Removed                    []suspect
	Tied                       []struct{ Suspects []suspect }
	Loose                      []struct{ Station string }
	Next                       []struct{ Ask string }
}

type suspect struct {
	Measurement                   int
	Statistic, Critical, Expected float64
	Mistake, Explanation          string
	Gain                          float64
}

func (s *shell) adjust(file string, more ...string) adjusted {
	s.t.Helper()
	var r adjusted
	text := s.must(append([]string{"survey", "check", file, "--json"}, more...)...)
	if err := json.Unmarshal([]byte(text), &r); err != nil {
		s.t.Fatal(err)
	}
	return r
}

func TestEveryRowOfAList(t *testing.T) {
	s := newShell(t)
	comma := s.adjust(s.write("rows.csv", everyRow))
	// The same with semicolons and decimal commas.
	other := strings.ReplaceAll(everyRow, ",", ";")
	other = strings.NewReplacer("1.234 m", "1,2340 m", "9.434 m", "9,4340 m", "9.4717 m", "9,4717 m", "7.09 deg", "7,09 deg", "9.995 m", "9,9950 m", "0.5deg", "0,5deg").Replace(other)
	// A comma before just three digits may part thousands: it is asked, not guessed.
	if r := s.run("survey", "check", s.write("rows3.csv", strings.Replace(other, "1,2340 m", "1,234 m", 1))); r.status != badFile || !strings.Contains(r.err, "1.234 m or 1234 m") {
		t.Errorf("1,234 m: status %d, %s", r.status, r.err)
	}
	for name, r := range map[string]adjusted{"commas": comma, "semicolons": s.adjust(s.write("rows2.csv", other))} {
		if len(r.Stations) != 3 || len(r.Measurements) != 11 {
			t.Fatalf("%s: %d stations, %d measurements", name, len(r.Stations), len(r.Measurements))
		}
		want := []struct {
			line         int
			value, sigma float64
			angular      bool
		}{{5, 9.9949, .003, false}, {6, 9.9949, .003, false}, {7, 1.234, .002, false}, {8, 1.234, .005, false}, {9, 9.434, .003, false}, {10, 9.4717, .003, false},
			{11, (58 + 25./60 + 1./3600) * math.Pi / 180, 60. / 3600 * math.Pi / 180, true}, {12, 9.995, .005, false}, {12, 7.09 * math.Pi / 180, .5 * math.Pi / 180, true},
			{13, 0, .001, false}, {14, 0, .001, false}}
		for i, w := range want {
			m := r.Measurements[i]
			if m.Line != w.line || math.Abs(m.Value-w.value) > 1e-9 || math.Abs(m.Sigma-w.sigma) > 1e-12 || m.Angular != w.angular {
				t.Errorf("%s: row %d is %+v, want %+v", name, i, m, w)
			}
		}
		if r.Unknowns != 6 || r.Rank != 6 || r.Redundancy != 5 || r.Vpv > r.ChiHigh || len(r.Removed)+len(r.Tied)+len(r.Loose) != 0 {
			t.Errorf("%s: %d unknowns, rank %d, redundancy %d, pass %v, removed %v, tied %v, loose %v", name, r.Unknowns, r.Rank, r.Redundancy, r.Pass, r.Removed, r.Tied, r.Loose)
		}
		b := r.Stations[1]
		if math.Abs(math.Hypot(b.At["x_m"], b.At["z_m"])-9.9949) > .003 || math.Abs(b.At["z_m"]-1.234) > .002 || len(b.CovM2) != 9 || !(b.Sigma["z_m"] > 0 && b.Sigma["z_m"] < .002) {
			t.Errorf("%s: B %+v", name, b)
		}
	}
}

// The keys of the answer are a promise to scripts.
func TestKeysOfSurveyCheck(t *testing.T) {
	s := newShell(t)
	file := s.write("room.csv", tapedRoom)
	var raw map[string]any
	if err := json.Unmarshal([]byte(s.must("survey", "check", file, "--json")), &raw); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"stations", "measurements", "unknowns", "rank", "redundancy", "vpv", "sigma0", "chi_low", "chi_high", "critical", "notes"} {
		if _, ok := raw[key]; !ok {
			t.Errorf("no key %q among %v", key, raw)
		}
	}
	first := func(list string) map[string]any {
		l, _ := raw[list].([]any)
		if len(l) == 0 {
			t.Fatalf("%s is empty", list)
		}
		m, _ := l[0].(map[string]any)
		return m
	}
	for _, key := range []string{"line", "kind", "from", "to", "typed", "value", "sigma", "residual", "redundancy", "w", "tau", "smallest_detectable", "used"} {
		if _, ok := first("measurements")[key]; !ok {
			t.Errorf("no key measurements.%s", key)
		}
	}
	for _, key := range []string{"name", "at", "sigma", "cov_m2", "fixed"} {
		if _, ok := first("stations")[key]; !ok {
			t.Errorf("no key stations.%s", key)
		}
	}
}

// --variance chooses the test: the normal one takes the standard deviations as they
// are, the tau test up to a factor.
func TestVarianceKnownAndEstimated(t *testing.T) {
	s := newShell(t)
	var b strings.Builder
	b.WriteString("kind,from,at,to,value,sigma\nfixed,,A,,0 m,\n")
	// Sigmas a hundred times too large hide a blunder from the normal test only.
	for i, z := range []float64{5.000, 5.002, 4.999, 5.001, 5.000, 4.998, 5.001, 5.002, 5.100} {
		fmt.Fprintf(&b, "level,A,,B,%.3f m,%d mm\n", z, 200+i)
	}
	file := s.write("levels.csv", b.String())
	if r := s.adjust(file); len(r.Removed) != 0 || r.Redundancy != 8 || r.Pass {
		t.Errorf("known: removed %+v, pass %v", r.Removed, r.Pass) // far better than promised: the low side fails
	}
	r := s.adjust(file, "--variance", "estimated")
	if len(r.Removed) != 1 || r.Measurements[r.Removed[0].Measurement].Line != 11 || r.Removed[0].Statistic <= r.Removed[0].Critical {
		t.Errorf("estimated: removed %+v", r.Removed)
	}
	if r := s.run("survey", "check", file, "--variance", "guessed"); r.status != badFile {
		t.Errorf("a third kind: status %d", r.status)
	}
}

// Each bad row is refused with its line and what is wrong, and nothing is printed
// for a result.
func TestBadRowsAreRefused(t *testing.T) {
	s := newShell(t)
	const fixed = "fixed,,A,,0 0 0 m,\n"
	for row, want := range map[string][]string{
		"distance,A,,B,NaN m,3mm":                     {"line 3, value", "not a length"},
		"distance,A,,B,inf m,3mm":                     {"line 3, value", "not a length"},
		"distance,A,,B,-5 m,3mm":                      {"line 3, value", "cannot be negative"},
		"distance,A,,B,5 m,-3mm":                      {"line 3, sigma", "greater than zero"},
		"distance,A,,B,5 m,0 mm":                      {"line 3, sigma", "greater than zero"},
		"distance,A,,A,5 m,3mm":                       {"line 3", "from a station to itself"},
		"angle,A,B,A,45 deg,1 deg":                    {"line 3", "from a station to itself"},
		"distance,A,,,5 m,3mm":                        {"line 3, to", "station is wanted"},
		"distance,A,X,B,5 m,3mm":                      {"line 3, at", "has no station here"},
		"distance,a,,B,5 m,3mm":                       {"line 3, from", "also written"},
		"distance,A,,B,86,3mm":                        {"line 3, value", "more than one way", "86 m", "86 ft", "86 in"},
		"distance,A,,B,11.10,3mm":                     {"line 3, value", "more than one way", "11.1 ft", "11 ft 10 in"},
		"distance,A,,B,5 m 3 ft,3mm":                  {"line 3, value"},
		"distance,A,,B,12' 14\",3mm":                  {"line 3, value"},
		"distance,A,,B,45 deg,3mm":                    {"line 3, value", "not a unit of length"},
		"angle,A,B,C,5 m,1 deg":                       {"line 3, value", "not a unit of angle"},
		"angle,A,B,C,45-12-34,3 mm":                   {"line 3, sigma"},
		"slope,A,,B,7.31 m,5mm 0.5deg":                {"line 3, value", "7.31 m 34.5 deg"},
		"slope,A,,B,7.31 m 134.5 deg,5mm 0.5deg":      {"line 3, value", "between -90 and 90"},
		"fixed,,A,,1 0 0 m,\ndistance,A,,B,5 m,3mm":   {"line 3", "fixed elsewhere"},
		"fixed,,B,,1 2 3 4 m,\ndistance,A,,B,5 m,3mm": {"line 3, value", "one, two or three"},
		"stretch,A,,B,5 m,3mm":                        {"line 3, kind", "is not known"},
		"square,A,B,C,5 m,":                           {"line 3, value", "assumption"},
		"distance,A,,B,5 m,3mm,laser,extra":           {"line 3", "columns"},
	} {
		r := s.run("survey", "check", s.write("bad.csv", "kind,from,at,to,value,sigma\n"+fixed+row+"\n"))
		if r.status != badFile || r.out != "" {
			t.Errorf("%q: status %d, %s", row, r.status, r.out)
		}
		for _, w := range want {
			if !strings.Contains(r.err, w) {
				t.Errorf("%q: %q is not in %s", row, w, r.err)
			}
		}
	}
	var b strings.Builder
	b.WriteString("kind,from,at,to,value,sigma\n" + fixed)
	for i := range 10000 {
		fmt.Fprintf(&b, "distance,A,,P%d,5 m,3mm\n", i%900)
	}
	if r := s.run("survey", "check", s.write("many.csv", b.String())); r.status != badFile || !strings.Contains(r.err, "5000 measurements") {
		t.Errorf("ten thousand rows: status %d, %.300s", r.status, r.err)
	}
}

// Networks whose answer an expert knows beforehand, and what is to be said of them.
func TestNetworksWithKnownAnswers(t *testing.T) {
	s := newShell(t)
	for name, tc := range map[string]struct {
		rows   string
		at     map[string][3]float64
		within float64
		notes  []string // of the answer's notes
		loose  int
	}{
		"free square": {"distance,A,,B,10 m,3mm\ndistance,B,,C,10 m,3mm\ndistance,C,,D,10 m,3mm\ndistance,D,,A,10 m,3mm\ndistance,A,,C,14.142 m,3mm\ndistance,B,,D,14.142 m,3mm\n",
			nil, 0, []string{"can still be moved or turned"}, 4},
		"heights alone": {"fixed,,floor,,0 m,\nheight,,beam,,6.200 m,5mm\nlevel,floor,,beam,6.210 m,5mm\n", map[string][3]float64{"beam": {0, 0, 6.205}}, 1e-6, nil, 0},
		"resection by angles": {"fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\nfixed,,C,,10 8 m,\nfixed,,D,,0 8 m,\nangle,A,P,B,271-08-44.7,5\"\nangle,B,P,C,293-37-45.8,5\"\nangle,C,P,D,243-26-05.8,5\"\n",
			map[string][3]float64{"P": {4, 5, 0}}, 2e-4, nil, 0},
		"two islands": {"fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\nnear,,C,,8 9 m,\ndistance,A,,C,12.042 m,3mm\ndistance,B,,C,9.220 m,3mm\ndistance,X,,Y,5 m,3mm\ndistance,Y,,Z,4 m,3mm\ndistance,X,,Z,3 m,3mm\n",
			map[string][3]float64{"C": {8, 9, 0}}, 2e-3, []string{"X, Y, Z hold together"}, 3},
		"mirrored": {"fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\ndistance,A,,C,8 m,3mm\ndistance,B,,C,7 m,3mm\n", map[string][3]float64{"C": {5.75, 5.5621, 0}}, 1e-4, []string{"on the other side", "-5.562"}, 0},
		"units mixed in rows": {"fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\nnear,,P,,4 3 m,\ndistance,A,,P,16' 4 7/8\",3mm\ndistance,B,,P,6708 mm,3mm\nhorizontal,A,,P,500 cm,3mm\n",
			map[string][3]float64{"P": {4, 3, 0}}, 3e-3, nil, 0},
		"huge coordinates": {"fixed,,A,,500000 5800000 100 m,\nfixed,,B,,500010 5800000 100 m,\nnear,,P,,500004 5800003 100 m,\nheight,,P,,100 m,1mm\ndistance,A,,P,5 m,1mm\ndistance,B,,P,6.7082 m,1mm\nangle,A,P,B,243-26-06,60\"\n",
			map[string][3]float64{"P": {500004, 5800003, 100}}, 1e-3, nil, 0},
		"a pole by slopes": {"fixed,,A,,0 0 0 m,\nfixed,,B,,10 0 0 m,\nnear,,P,,4 3 5 m,\nslope,A,,P,7.071 m 45.0 deg,3mm 0.1deg\nslope,B,,P,8.367 m 36.70 deg,3mm 0.1deg\n",
			map[string][3]float64{"P": {4, 3, 5}}, 8e-3, nil, 0},
		"offsets from a wall": {"fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\nnear,,P,,4 3 m,\noffset,A,B,P,3 m,3mm\ndistance,A,,P,5 m,3mm\n", map[string][3]float64{"P": {4, 3, 0}}, 1e-3, nil, 0},
		"a beam without heights": {"fixed,,1,,0 0 0 m,\nfixed,,2,,10 0 0 m,\nfixed,,3,,10 8 0 m,\nfixed,,4,,0 8 0 m,\ndistance,1,,P,7.810 m,3mm\ndistance,2,,P,9.000 m,3mm\ndistance,3,,P,9.849 m,3mm\ndistance,4,,P,8.775 m,3mm\n",
			map[string][3]float64{"P": {4, 3, 6}}, .1, []string{"solved in space", "below instead of above"}, 0},
	} {
		r := s.adjust(s.write("known.csv", "kind,from,at,to,value,sigma\n"+tc.rows))
		for _, st := range r.Stations {
			want, ok := tc.at[st.Name]
			if !ok {
				continue
			}
			for axis, key := range []string{"x_m", "y_m", "z_m"} {
				if math.Abs(st.At[key]-want[axis]) > tc.within {
					t.Errorf("%s: %s at %v, want %v", name, st.Name, st.At, want)
				}
			}
		}
		notes := strings.Join(r.Notes, "\n")
		for _, w := range tc.notes {
			if !strings.Contains(notes, w) {
				t.Errorf("%s: %q is not in %q", name, w, notes)
			}
		}
		if len(tc.notes) == 0 && (strings.Contains(notes, "other side") || strings.Contains(notes, "hold together")) {
			t.Errorf("%s: doubted: %q", name, notes)
		}
		if len(r.Loose) != tc.loose || len(r.Removed)+len(r.Tied) != 0 {
			t.Errorf("%s: %d loose, removed %v, tied %v", name, len(r.Loose), r.Removed, r.Tied)
		}
	}
}

// The checklist without a church, of a church, and what is open of it.
func TestSurveyChecklist(t *testing.T) {
	s := newShell(t)
	type item struct {
		ID         string `json:"id"`
		State      string
		Taken      string
		SigmaValue float64 `json:"sigma_value"`
		SigmaUnit  string  `json:"sigma_unit"`
	}
	var empty, mine struct {
		Items       []item
		GroundRules []string `json:"ground_rules"`
	}
	if err := json.Unmarshal([]byte(s.must("survey", "checklist", "--json")), &empty); err != nil {
		t.Fatal(err)
	}
	if len(empty.Items) != 84 || len(empty.GroundRules) < 7 {
		t.Errorf("%d items, %d rules", len(empty.Items), len(empty.GroundRules))
	}
	for _, i := range empty.Items {
		if i.State == "ITEM_STATE_ASSUMED" && (i.SigmaValue <= 0 || i.SigmaUnit == "" || i.Taken == "") {
			t.Errorf("%s is assumed without a number: %+v", i.ID, i)
		}
	}
	file := s.write("mine.yaml", s.must("init", "--units", "metric"))
	if err := json.Unmarshal([]byte(s.must("survey", "checklist", file, "--json")), &mine); err != nil {
		t.Fatal(err)
	}
	answered := 0
	for _, i := range mine.Items {
		if i.State == "ITEM_STATE_ANSWERED" {
			answered++
			if i.Taken != "" {
				t.Errorf("%s is answered and assumed: %q", i.ID, i.Taken)
			}
		}
	}
	if answered == 0 || len(mine.Items) != len(empty.Items) {
		t.Errorf("%d of %d answered", answered, len(mine.Items))
	}
	text := s.must("survey", "checklist", file, "--open", "--full")
	for _, want := range []string{"give or take", "taken meanwhile", "how:", "why:", "missing"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the open checklist", want)
		}
	}
	if r := s.run("survey", "checklist", file, "--project", "x"); r.status != badFile {
		t.Errorf("both a file and a project: status %d", r.status)
	}
}

// What an entry contradicts is told with the entry itself.
func TestAddTellsContradictionsAtOnce(t *testing.T) {
	s := newShell(t)
	s.must("plan", s.write("my-church.yaml", s.must("init", "--units", "metric")), "--out", filepath.Join(s.dir, "packet"))
	project := s.projects()[0][0]
	s.must("survey", "add", "--project", project, "--kind", "height", "--to", "ridge", "--value", "5.20 m", "--instrument", "laser")
	text := s.must("survey", "add", "--project", project, "--kind", "height", "--to", "ridge", "--value", "5.90 m", "--instrument", "laser", "--by", "second helper")
	for _, want := range []string{"5.20 m", "5.90 m", "a third time"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in\n%s", want, text)
		}
	}
	if r := s.run("survey", "add", "--project", project, "--kind", "height", "--to", "ridge", "--value", "-2 kg"); r.status != badFile {
		t.Errorf("a mass for a height: status %d, %s", r.status, r.err)
	}
	if _, err := os.Stat(filepath.Join(s.dir, "packet")); err != nil {
		t.Error(err)
	}
}
