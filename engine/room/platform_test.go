package room

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// overPlatformHall is a hall with a beam over the seats whose height was taken from
// a floor, and a platform whose height was taken coarsely.
func overPlatformHall(from string, beam, platform float64) survey.Survey {
	corner := func(name string, x, y float64) survey.Station {
		return survey.Station{Name: name, FixedX: si.Known(si.Length(x)), FixedY: si.Known(si.Length(y)), FixedZ: si.Known(si.Length(0))}
	}
	m := func(v float64) survey.L { return si.Known(si.Length(v)) }
	p := func(x float64) survey.Place {
		return survey.Place{X: m(x), Y: m(-4), Instrument: survey.Laser}
	}
	return survey.Survey{
		Stations:     []survey.Station{corner("a", 5, 3), corner("b", -5, 3), corner("c", -5, -15), corner("d", 5, -15)},
		Footprint:    []string{"a", "b", "c", "d"},
		Ceiling:      survey.Ceiling{Shape: "flat", Height: m(7)},
		Platform:     survey.Platform{Width: m(6), Depth: m(3), Height: m(platform)},
		Lines:        []survey.HangingLine{{Name: "B", Kind: "beam", From: p(-5), To: p(5), Drop: m(0.3)}},
		Measurements: []survey.Measurement{{ID: "h", Kind: survey.Height, To: "B", Reference: from, Value: m(beam), Sigma: m(0.01), Instrument: survey.Laser}},
	}
}

// The standard deviation of elevation and throw at a face on the platform holds the
// platform's own, unless the beam was measured up from the platform; both are what
// the answers scatter by.
func TestPlatformHeightInTheAngles(t *testing.T) {
	const seed, runs = 20261125, 300
	const platform, sigmaPlatform = 0.6, 0.025 // of a number without instrument
	for _, tc := range []struct {
		from   string
		height float64
	}{{"", 5.8}, {"platform", 5.2}} {
		rng := rand.New(rand.NewPCG(seed, 7))
		solve := func(beam, p float64) (Room, Line) {
			s := overPlatformHall(tc.from, beam, p)
			// The beam hangs between two points that are measured by themselves.
			s.Lines[0].From, s.Lines[0].To, s.Measurements = survey.Place{Station: "west"}, survey.Place{Station: "east"}, nil
			for name, x := range map[string]si.Length{"west": -5, "east": 5} {
				s.Stations = append(s.Stations, survey.Station{Name: name, FixedX: si.Known(x), FixedY: si.Known(si.Length(-4))})
				s.Measurements = append(s.Measurements, survey.Measurement{ID: name, Kind: survey.Height, To: name, Reference: tc.from,
					Value: si.Known(si.Length(beam)), Sigma: si.Known(si.Length(0.01))})
			}
			r, _ := Solve(s, finding.NewBook(), "metric")
			return r, r.Lines[0]
		}
		r, l := solve(tc.height, platform)
		face := geom.Vec{Y: 1.5, Z: platform + 1.6}
		lens := l.Lens(0)
		var angle, throw []float64
		for range runs {
			rr, ll := solve(tc.height+0.01*rng.NormFloat64(), platform+sigmaPlatform*rng.NormFloat64())
			f := geom.Vec{Y: 1.5, Z: rr.Platform.Height.Metres() + 1.6}
			at := ll.Lens(0)
			angle, throw = append(angle, geom.ElevationDeg(f, at)*math.Pi/180), append(throw, at.Sub(f).Norm())
		}
		if got, want := r.ElevationSigma(l, lens, face), spreadOf(angle); math.Abs(got/want-1) > scatterTolerance {
			t.Errorf("from %q: elevation ± %v, scatters by %v", tc.from, got, want)
		}
		if got, want := r.ThrowSigma(l, lens, face), spreadOf(throw); math.Abs(got/want-1) > scatterTolerance {
			t.Errorf("from %q: throw ± %v, scatters by %v", tc.from, got, want)
		}
		alone := l.ElevationSigma(lens, face)
		if with := r.ElevationSigma(l, lens, face); (tc.from == "") != (with > alone) {
			t.Errorf("from %q: with the platform ± %v, without ± %v", tc.from, with, alone)
		}
		// On the hall floor before the platform its height has no part.
		down := geom.Vec{Y: -1, Z: 1.6}
		if a, b := r.ElevationSigma(l, lens, down), l.ElevationSigma(lens, down); a != b {
			t.Errorf("on the hall floor: %v, %v", a, b)
		}
	}
}

func spreadOf(v []float64) float64 {
	mean, sum := 0.0, 0.0
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		sum += (x - mean) * (x - mean)
	}
	return math.Sqrt(sum / float64(len(v)-1))
}

// Beam underside ≥ door head, and ≤ the roof over it: both numbers and what to
// measure again, before any network.
func TestLinesAgainstDoorsAndRoof(t *testing.T) {
	s := overPlatformHall("", 1.98, 0.6)
	_, fs := Solve(s, finding.NewBook(), "metric")
	for _, f := range fs {
		if f.Code == "ROOM_LINE_LOW" {
			t.Errorf("over a usual door head: %+v", f.Args)
		}
	}
	s.Routes = []survey.AccessRoute{{Name: "west", Doors: []survey.Door{{Name: "inner", Height: typed(t, "2.05 m")}, {Name: "outer", Height: typed(t, "2.20 m")}}}}
	_, fs = Solve(s, finding.NewBook(), "metric")
	f := find(t, fs, "ROOM_LINE_LOW", "line B")
	if arg(t, f, "door").Num != 2.05 || arg(t, f, "underside").Num != 1.98 || !strings.Contains(arg(t, f, "what").Text, "inner") || arg(t, f, "remeasure").Text == "" {
		t.Errorf("%+v", f.Args)
	}
	// A metre slip lifts the beam through the roof; nothing but this one line is measured.
	s = survey.Survey{Ceiling: survey.Ceiling{Shape: "flat", Height: typed(t, "5.20 m")},
		Lines: []survey.HangingLine{{Name: "B", Kind: "beam", From: survey.Place{Y: typed(t, "-4 m"), Z: typed(t, "6.90 m")}, To: survey.Place{Y: typed(t, "-4 m"), Z: typed(t, "6.90 m")}}}}
	_, fs = Solve(s, finding.NewBook(), "metric")
	f = find(t, fs, "ROOM_LINE_HIGH", "line B")
	if arg(t, f, "underside").Num != 6.9 || arg(t, f, "ceiling").Num != 5.2 || arg(t, f, "remeasure").Text == "" {
		t.Errorf("%+v", f.Args)
	}
}

// Whatever is taken for something unknown is told, with how well it holds.
func TestNothingIsTakenSilently(t *testing.T) {
	s := overPlatformHall("", 5.8, 0.6)
	s.Platform.Height = survey.L{}
	s.Windows = []survey.Window{{Name: "east", Centre: survey.Place{X: typed(t, "5 m"), Y: typed(t, "-6 m")}}}
	s.Solids = []survey.Solid{{Name: "column", Centre: survey.Place{X: typed(t, "2 m"), Y: typed(t, "-6 m")}}}
	s.Seating = []survey.Seating{{Name: "main", Rows: 8, FirstY: typed(t, "-2 m")}}
	s.Galleries = []survey.Gallery{{Name: "rear", Outline: []survey.Place{{X: typed(t, "-5 m"), Y: typed(t, "-15 m")}, {X: typed(t, "5 m"), Y: typed(t, "-15 m")},
		{X: typed(t, "5 m"), Y: typed(t, "-12 m")}, {X: typed(t, "-5 m"), Y: typed(t, "-12 m")}}, Floor: typed(t, "3 m")}}
	s.Walls = []survey.Wall{{Name: "west", From: "b", To: "c", Openings: []survey.Opening{{Name: "side door", Kind: "door", Along: typed(t, "5 m")}}}}
	s.Views = []survey.KeepInView{{Name: "cross", Centre: survey.Place{X: typed(t, "0 m")}}}
	r, fs := Solve(s, finding.NewBook(), "metric")
	for _, about := range []string{"platform height", "windows east", "size of column", "row to row of seating main", "eyes in seating main",
		"thickness of gallery rear", "rail top of gallery rear", "size of openings side door", "size of cross", "size of B", "reflectances"} {
		f := find(t, fs, "SURVEY_ASSUMED", about)
		if text := arg(t, f, "assumed").Text; !strings.Contains(text, "give or take") {
			t.Errorf("%s: %q says not how well", about, text)
		}
	}
	if got, want := float64(r.Platform.SigmaHeight), survey.AssumedSigma("S1")*float64(r.Platform.Height); math.Abs(got-want) > 1e-9 {
		t.Errorf("an assumed platform of %v has σ %v, want %v", r.Platform.Height, got, want)
	}
}
