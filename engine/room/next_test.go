package room

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

func nextHall(t testing.TB) survey.Survey {
	length := func(text string) survey.L {
		l, err := si.TypedLength(text, si.Metric)
		if err != nil || !l.Set {
			t.Fatal(text, err)
		}
		return l
	}
	s := survey.Survey{Footprint: []string{"fr", "fl", "rl", "rr"}, Platform: survey.Platform{Width: length("6 m"), Depth: length("4 m"), Height: length("0.6 m")}}
	for i, n := range s.Footprint {
		s.Stations = append(s.Stations, survey.Station{Name: n, NearX: length([]string{"6 m", "-6 m", "-6 m", "6 m"}[i]), NearY: length([]string{"4 m", "4 m", "-14 m", "-14 m"}[i])})
	}
	for i, m := range [][3]string{{"fr", "fl", "12 m"}, {"fl", "rl", "18 m"}, {"rl", "rr", "12 m"}, {"rr", "fr", "18 m"}, {"fr", "rl", "21.63 m"}} {
		s.Measurements = append(s.Measurements, survey.Measurement{ID: fmt.Sprint("m", i), Kind: survey.Distance, From: m[0], To: m[1], Value: length(m[2]), Instrument: survey.Laser})
	}
	// One beam guessed, one measured.
	for _, b := range []struct {
		name, y, z string
		with       survey.Instrument
	}{{"guessed", "-3 m", "6 m", survey.Guess}, {"measured", "-6 m", "6.10 m", survey.Laser}} {
		s.Lines = append(s.Lines, survey.HangingLine{Name: b.name, Kind: "beam",
			From: survey.Place{X: length("-5 m"), Y: length(b.y), Z: length(b.z), Instrument: b.with}, To: survey.Place{X: length("5 m"), Y: length(b.y), Z: length(b.z), Instrument: b.with}})
	}
	s.Lines = append(s.Lines, survey.HangingLine{Name: "old rod", Kind: "tension_rod", From: s.Lines[0].From, To: s.Lines[0].To})
	s.Panels = []survey.Panel{{Name: "P1", At: survey.Place{X: length("5.8 m"), Y: length("-13 m"), Z: length("1.5 m"), Instrument: survey.Guess}}}
	s.Screens = []survey.Screen{{Name: "main", Centre: survey.Place{X: length("2 m"), Y: length("3.9 m")}, Height: length("1.8 m"), Width: length("3.2 m"), Bottom: length("2.50 m")}}
	return s
}

// The guessed beam comes first: its height, then its place; each promise names
// what it narrows, before and after.
func TestNextMeasuresTheGuessedBeam(t *testing.T) {
	s := nextHall(t)
	next := Next(s, finding.NewBook(), "metric", 20)
	if len(next) < 4 {
		t.Fatalf("%d proposed", len(next))
	}
	first := next[0]
	if first.Kind != survey.Height || first.To != "guessed" || !strings.Contains(first.Ask, "laser held against the hall floor") {
		t.Errorf("first %s of %s: %s", first.Kind, first.To, first.Ask)
	}
	seen := map[string]bool{}
	for i, r := range next {
		if i > 0 && r.Rate > next[i-1].Rate*(1+1e-9) {
			t.Errorf("%d gains more a minute than the one before", i)
		}
		if strings.Contains(r.Ask, "old rod") {
			t.Errorf("nothing hangs from the rod: %s", r.Ask)
		}
		for _, e := range r.Effects {
			seen[strings.Fields(e.Quantity)[0]] = true
			if !(e.After < e.Before) || math.IsNaN(e.After) {
				t.Errorf("%s: %s %v → %v", r.Ask, e.Quantity, e.Before, e.After)
			}
		}
	}
	for _, what := range []string{"height", "elevation", "throw", "cable", "bottom"} {
		if !seen[what] {
			t.Errorf("nothing narrows any %s", what)
		}
	}
	// Once it is measured, it is no longer first, and what was promised came true.
	promised := 0.0
	for _, e := range first.Effects {
		if e.Quantity == "height of guessed" {
			promised = e.After
		}
	}
	for k, name := range []string{"6.02 m", "6.02 m"} {
		l, _ := si.TypedLength(name, si.Metric)
		p := &s.Lines[0].From
		if k == 1 {
			p = &s.Lines[0].To
		}
		p.Z, p.Instrument = l, survey.Laser
	}
	again := Next(s, finding.NewBook(), "metric", 20)
	if again[0].Kind == survey.Height && again[0].To == "guessed" {
		t.Error("the height is asked for again")
	}
	if promised > 0.005 {
		t.Errorf("promised ± %v m by laser", promised)
	}
}

func TestNextOfNothing(t *testing.T) {
	for _, r := range Next(survey.Survey{}, finding.NewBook(), "us", 10) {
		if r.Ask == "" || len(r.Effects) == 0 {
			t.Errorf("%+v", r)
		}
	}
}

func BenchmarkNext(b *testing.B) {
	s := nextHall(b)
	book := finding.NewBook()
	for b.Loop() {
		Next(s, book, "metric", 10)
	}
}
