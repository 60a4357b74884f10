package room

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// scatterTolerance is the share by which a standard deviation sampled from
// sampleRuns runs may miss the predicted one: sampling gives 1/√(2·runs) = 1.6 %,
// the rest is the second order that the closed form leaves out.
const (
	scatterTolerance = 0.15
	sampleRuns       = 2000
)

// tiedSurvey is a hall whose beam hangs between two stations that are measured
// from the corners and by their heights, one of them above the platform.
func tiedSurvey(noise func() float64) survey.Survey {
	typed := func(v, sigma float64) survey.L { return si.Known(si.Length(v + sigma*noise())) }
	corner := func(name string, x, y float64) survey.Station {
		return survey.Station{Name: name, FixedX: si.Known(si.Length(x)), FixedY: si.Known(si.Length(y)), FixedZ: si.Known(si.Length(0))}
	}
	s := survey.Survey{
		Stations: []survey.Station{corner("front left", -5, 3), corner("front right", 5, 3), corner("rear right", 5, -15), corner("rear left", -5, -15),
			{Name: "west", NearX: si.Known(si.Length(-5)), NearY: si.Known(si.Length(-4)), NearZ: si.Known(si.Length(5))},
			{Name: "east", NearX: si.Known(si.Length(5)), NearY: si.Known(si.Length(-4)), NearZ: si.Known(si.Length(5))}},
		Footprint: []string{"front left", "front right", "rear right", "rear left"},
		Ceiling:   survey.Ceiling{Shape: "flat", Height: si.Known(si.Length(6.5))},
		Platform:  survey.Platform{Width: si.Known(si.Length(6)), Depth: si.Known(si.Length(3)), Height: si.Known(si.Length(0.45))},
		Lines:     []survey.HangingLine{{Name: "B", Kind: "beam", From: survey.Place{Station: "west"}, To: survey.Place{Station: "east"}}},
	}
	west, east := geom.Vec{X: -4.8, Y: -3.9, Z: 5.1}, geom.Vec{X: 4.7, Y: -4.3, Z: 4.9}
	add := func(kind survey.Kind, from, to string, v, sigma float64) {
		s.Measurements = append(s.Measurements, survey.Measurement{ID: fmt.Sprintf("m%d", len(s.Measurements)), Kind: kind, From: from, To: to,
			Value: typed(v, sigma), Sigma: si.Known(si.Length(sigma))})
	}
	at := map[string]geom.Vec{"front left": {X: -5, Y: 3}, "rear left": {X: -5, Y: -15}, "front right": {X: 5, Y: 3}, "rear right": {X: 5, Y: -15}}
	for _, c := range []string{"front left", "rear left", "front right"} {
		add(survey.Distance, c, "west", west.Sub(at[c]).Norm(), 0.06)
	}
	add(survey.Distance, "rear right", "east", east.Sub(at["rear right"]).Norm(), 0.05)
	add(survey.Distance, "west", "east", east.Sub(west).Norm(), 0.03)
	add(survey.OffsetX, "", "east", east.X, 0.08)
	add(survey.Height, "", "west", west.Z, 0.05)
	add(survey.Rise, "west", "east", east.Z-west.Z, 0.04)
	return s
}

// The standard deviations of angle, throw and place from the covariance of a
// line between stations are those that the answers scatter by.
func TestSigmasAgainstScatter(t *testing.T) {
	const seed = 20261125
	rng := rand.New(rand.NewPCG(seed, 1))
	book := finding.NewBook()
	r, _ := Solve(tiedSurvey(func() float64 { return 0 }), book, "metric")
	face := geom.Vec{X: 1.2, Y: 1, Z: 2.05}
	var ends []Line
	var below []float64 // how far the lens hangs below what was assumed, m
	for range sampleRuns {
		built := survey.Build(tiedSurvey(rng.NormFloat64))
		sol, err := survey.Adjust(built.Network, survey.Options{KeepAll: true})
		if err != nil {
			t.Fatal(err)
		}
		from, to, _ := built.LineEnds("B")
		l := r.Lines[0]
		l.From, l.To = sol.Points[from].At, sol.Points[to].At
		ends = append(ends, l)
		below = append(below, rng.NormFloat64()*l.SigmaDrop.Metres())
	}
	if r.Lines[0].SigmaDrop == 0 {
		t.Error("a drop that nobody gave is taken for certain")
	}
	for _, along := range []si.Length{0.5, 4.7, 9} {
		lens := r.Lines[0].Lens(along)
		predicted := map[string]float64{"elevation": r.Lines[0].ElevationSigma(lens, face), "throw": r.Lines[0].ThrowSigma(lens, face),
			"x": r.Lines[0].SigmaAt(lens).X, "y": r.Lines[0].SigmaAt(lens).Y, "z": r.Lines[0].SigmaAt(lens).Z}
		sum, square := map[string]float64{}, map[string]float64{}
		for i, l := range ends {
			p := l.Lens(along)
			d := p.Sub(face).Sub(geom.Vec{Z: below[i]})
			for k, v := range map[string]float64{"elevation": math.Atan2(d.Z, d.Plan().Norm()), "throw": d.Norm(), "x": p.X, "y": p.Y, "z": p.Z} {
				sum[k] += v
				square[k] += v * v
			}
		}
		for k, want := range predicted {
			m := sum[k] / sampleRuns
			if got := math.Sqrt(square[k]/sampleRuns - m*m); math.Abs(got-want) > scatterTolerance*want {
				t.Errorf("seed %d, %v m along: %s scatters by %.5f, predicted %.5f", seed, along, k, got, want)
			}
		}
	}
}

// Ends that hang on one measured height err together: in the middle the line is
// no better known than at its ends.
func TestOneHeightForBothEnds(t *testing.T) {
	s := tiedSurvey(func() float64 { return 0 })
	s.Lines = []survey.HangingLine{{Name: "B", Kind: "beam", From: survey.Place{X: si.Known(si.Length(-5)), Y: si.Known(si.Length(-3))}, To: survey.Place{X: si.Known(si.Length(5)), Y: si.Known(si.Length(-3))}}}
	s.Measurements = append(s.Measurements, survey.Measurement{ID: "h", Kind: survey.Height, To: "B", Value: si.Known(si.Length(5)), Sigma: si.Known(si.Length(0.2))})
	r, _ := Solve(s, finding.NewBook(), "metric")
	middle := r.Lines[0].SigmaAt(r.Lines[0].From.Lerp(r.Lines[0].To, 0.5)).Z
	if middle < 0.199 || middle > 0.21 {
		t.Errorf("middle known to %.3f m, want just over 0.2: %v", middle, r.Lines[0].Cov)
	}
}

// The pull of a line's ends is the difference quotient.
func TestPullAgainstDifferences(t *testing.T) {
	l := Line{From: geom.Vec{X: -4, Y: -3, Z: 5}, To: geom.Vec{X: 5, Y: -4, Z: 5.6}}
	face := geom.Vec{X: 1, Y: 1, Z: 2}
	const along, step = 3.0, 1e-6
	elevation := func(l Line) float64 {
		d := l.Underside(along).Sub(face)
		return math.Atan2(d.Z, d.Plan().Norm())
	}
	p := l.Underside(along)
	to := p.Sub(face)
	h, d2 := to.Plan().Norm(), to.Dot(to)
	got := l.Pull(p, geom.Vec{X: -to.Z * to.X / (h * d2), Y: -to.Z * to.Y / (h * d2), Z: h / d2})
	for i := range 6 {
		m := l
		*[]*float64{&m.From.X, &m.From.Y, &m.From.Z, &m.To.X, &m.To.Y, &m.To.Z}[i] += step
		near(t, fmt.Sprintf("derivative %d", i), got[i], (elevation(m)-elevation(l))/step, 1e-6)
	}
}

// A room today and finished: what is to go stands today, what is planned later.
func TestTodayAndFinished(t *testing.T) {
	s := tiedSurvey(func() float64 { return 0 })
	zero := si.Known(si.Length(0))
	s.Solids = []survey.Solid{{Name: "old pulpit", Centre: survey.Place{X: zero, Y: zero}, Width: si.Known(si.Length(1)), Height: si.Known(si.Length(1)), State: survey.Removed},
		{Name: "new desk", Centre: survey.Place{X: zero, Y: zero}, Width: si.Known(si.Length(1)), Height: si.Known(si.Length(1)), State: survey.Planned}}
	s.Finishes = []survey.Finish{{Surface: "wall_behind", Reflectance: 0.7}, {Surface: "wall_behind", Reflectance: 0.15, State: survey.Planned}}
	s.PlannedPlatform.Depth = si.Known(si.Length(4))
	book := finding.NewBook()
	wall := func(r Room) float64 {
		for _, f := range r.Surfaces {
			if f.Name == "wall_behind" {
				return f.Reflectance
			}
		}
		return math.NaN()
	}
	names := func(r Room) (out []string) {
		for _, o := range r.Solids {
			if o.Name != "B" {
				out = append(out, o.Name)
			}
		}
		return out
	}
	today, _ := SolveToday(s, book, "metric")
	done, _ := Solve(s, book, "metric")
	if got := fmt.Sprint(names(today), wall(today), today.Platform.Depth.Metres()); got != "[old pulpit] 0.7 3" {
		t.Errorf("today: %s", got)
	}
	if got := fmt.Sprint(names(done), wall(done), done.Platform.Depth.Metres()); got != "[new desk] 0.15 4" {
		t.Errorf("finished: %s", got)
	}
	if s.Solids[0].State != survey.Removed {
		t.Error("the caller's survey was changed")
	}
}

func TestOpeningsViewsAndSteps(t *testing.T) {
	s := tiedSurvey(func() float64 { return 0 })
	m := func(v float64) survey.L { return si.Known(si.Length(v)) }
	s.Walls = []survey.Wall{{Name: "rear", From: "rear right", To: "rear left", Openings: []survey.Opening{{Name: "main door", Kind: "door", Along: m(5), Width: m(1.8), Height: m(2.1)},
		{Name: "chapel arch", Kind: "arch", Along: m(8), Width: m(2), Height: m(3)}}},
		{Name: "nowhere", From: "x", To: "y", Openings: []survey.Opening{{Name: "gap"}}}}
	s.Views = []survey.KeepInView{{Name: "cross", Centre: survey.Place{X: m(0), Y: m(3)}, Width: m(1), Height: m(2), Bottom: m(2)}}
	s.Platform.Flights = []survey.StepFlight{{Name: "middle", Centre: survey.Place{X: m(0), Y: m(0)}, Width: m(2), Risers: 3, Going: m(0.3)}}
	s.Platform.Apron = []survey.Place{{X: m(-3), Y: m(-1)}, {X: m(3), Y: m(-1)}, {X: m(3), Y: m(0)}, {X: m(-3), Y: m(0)}}
	s.Platform.ApronHeight = m(0.2)
	s.Panels = []survey.Panel{{Name: "P1", At: survey.Place{Station: "rear left"}}, {Name: "P2"}}
	r, _ := Solve(s, finding.NewBook(), "metric")
	if len(r.Openings) != 2 || len(r.Views) != 1 {
		t.Fatalf("openings %v, views %v", r.Openings, r.Views)
	}
	// Through the arch light goes out; the door stays wall.
	open := 0
	for _, f := range r.Surfaces {
		if f.Kind == "opening" {
			open++
			if f.Reflectance > 0.15 || math.Abs(f.Polygon.Area()-6) > 1e-9 || math.Abs(f.Polygon.Centroid().Y+15) > 1e-9 {
				t.Errorf("arch %+v", f)
			}
		}
	}
	if open != 1 {
		t.Errorf("%d open arches", open)
	}
	door := r.Openings[0]
	if c := door.Polygon.Centroid(); math.Abs(c.X) > 1e-9 || math.Abs(c.Y+15) > 1e-9 || math.Abs(c.Z-1.05) > 1e-9 {
		t.Errorf("door at %v", c)
	}
	if n := door.Polygon.Normal(); math.Abs(n.Y-1) > 1e-9 {
		t.Errorf("door looks toward %v, want into the room", n)
	}
	treads, top := 0, 0.0
	for _, o := range r.Solids {
		if o.Name != "B" {
			treads++
			for _, f := range o.Faces {
				for _, p := range f {
					top = math.Max(top, p.Z)
				}
			}
		}
	}
	if treads != 2 || math.Abs(top-0.3) > 1e-9 {
		t.Errorf("%d treads, the upper one at %v m", treads, top)
	}
	if math.Abs(float64(r.Platform.ApronHeight)-0.2) > 1e-9 || len(r.Platform.Apron) != 4 {
		t.Errorf("apron %v", r.Platform.Apron)
	}
	if !r.Panels[0].Known || r.Panels[1].Known || r.Panels[1].Sigma.X != assumedPlaceSigma {
		t.Errorf("panels %+v", r.Panels)
	}
}

// A vault of eight facets holds what the circle's segment and the half ellipse
// hold, less the slivers under each chord.
func TestVaultAgainstCircle(t *testing.T) {
	section := func(half, rise float64) float64 {
		us, zs := vault(half, rise)
		var a float64
		for i := range us[:len(us)-1] {
			a += (us[i+1] - us[i]) * (zs[i+1] + zs[i]) / 2
		}
		return a
	}
	const facetLoss = 0.03
	for _, tc := range []struct{ half, rise, want float64 }{
		{4, 4, math.Pi / 2 * 16}, {4, 6, math.Pi / 2 * 24},
		{4, 1, func() float64 { r := 17.0 / 2; a := math.Asin(4 / r); return r*r*a - 4*(r-1) }()},
	} {
		if got := section(tc.half, tc.rise); got > tc.want || got < tc.want*(1-facetLoss) {
			t.Errorf("half %v rise %v: section %v, want just under %v", tc.half, tc.rise, got, tc.want)
		}
	}
}
