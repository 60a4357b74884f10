package room

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

const foot = 0.3048

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.6g, want %.6g ± %g", what, got, want, tolerance)
	}
}

// find returns the finding of a code about a subject.
func find(t *testing.T, fs []finding.Finding, code, subject string) finding.Finding {
	t.Helper()
	for _, f := range fs {
		if f.Code == code && strings.Contains(f.Subject, subject) {
			return f
		}
	}
	var have []string
	for _, f := range fs {
		have = append(have, f.Code+"/"+f.Subject)
	}
	t.Fatalf("no %s about %q among:\n%s", code, subject, strings.Join(have, "\n"))
	return finding.Finding{}
}

func arg(t *testing.T, f finding.Finding, name string) finding.Arg {
	t.Helper()
	for _, a := range f.Args {
		if a.Name == name {
			return a
		}
	}
	t.Fatalf("%s has no argument %s: %v", f.Code, name, f.Args)
	return finding.Arg{}
}

// Length 60 ft: 75.6 ft of diagonal against 74.0–74.1 measured, 2.1 % > 1 %;
// diagonals and width give 58.0 ft, and the rear wall follows them, at y = −44.5 ft.
func TestHallLengthContradiction(t *testing.T) {
	s, book := brickHall(t), finding.NewBook()
	f := find(t, survey.Check(s, book, "us"), "SURVEY_DIAGONAL_MISMATCH", "front left")
	near(t, "percent", f.Value, 2.1, 0.05)
	near(t, "limit", f.Limit, 1, 0)
	near(t, "expected", arg(t, f, "expected").Num/foot, 75.6, 0.05)
	near(t, "low", arg(t, f, "diagonal_low").Num/foot, 74.0, 0.05)
	near(t, "high", arg(t, f, "diagonal_high").Num/foot, 74.1, 0.05)
	near(t, "implied", arg(t, f, "implied").Num/foot, 58.0, 0.05)
	near(t, "typed", arg(t, f, "typed").Num/foot, 60, 1e-9)

	r, fs := Solve(s, book, "us")
	b := boundsOf(r.Footprint)
	near(t, "rear wall", b.minY/foot, -44.5, 0.1)
	near(t, "front wall", b.maxY/foot, 13.5, 0.05)
	near(t, "left wall", b.minX/foot, -23, 0.1)
	near(t, "right wall", b.maxX/foot, 23, 0.1)
	var length Suspect
	for _, sp := range r.Suspects {
		if sp.Measurement == "length" {
			length = sp
		}
	}
	near(t, "kept as suspect, got", float64(length.Got)/foot, 60, 1e-9)
	near(t, "expected of the others", float64(length.Expected)/foot, 58, 0.1)
	for _, f := range fs {
		if f.Code == "ROOM_SUSPECT" && f.Subject == "length" {
			t.Error("the length is reported twice")
		}
	}
	for _, st := range r.Stations {
		if st.Loose != "" {
			t.Errorf("station %s loose %q", st.Name, st.Loose)
		}
		// The far corners are no better than a taped room's.
		if s := st.Sigma; s.X > 0.5 || s.Y > 0.5 {
			t.Errorf("station %s sigma %v", st.Name, s)
		}
	}
}

// Rail top "11.10": soffit 8 ft 11 in + front 2 ft 11 in = 11 ft 10 in; as a
// decimal it would be 8.8 in too low.
func TestHallRailTop(t *testing.T) {
	s, book := brickHall(t), finding.NewBook()
	f := find(t, survey.Check(s, book, "us"), "SURVEY_UNIT_MISSING", "rail top of gallery left")
	if fits := arg(t, f, "fits").Text; !strings.Contains(fits, "11 ft 10 in") || strings.Contains(fits, "11.10 ft") {
		t.Errorf("fits %q", fits)
	}
	if clashes := arg(t, f, "clashes").Text; !strings.Contains(clashes, "11.10 ft (8.8 in too low") {
		t.Errorf("clashes %q", clashes)
	}
	near(t, "taken", arg(t, f, "taken").Num/foot, 11.83, 0.005)
	r, _ := Solve(s, book, "us")
	for _, sf := range r.Surfaces {
		if sf.Name == "gallery_left_front" {
			near(t, "front top", sf.Polygon[2].Z/foot, 11.83, 0.005)
			near(t, "front bottom", sf.Polygon[0].Z/foot, 8.92, 0.005)
			if n := sf.Polygon.Normal(); n.X*n.X+n.Y*n.Y < 0.99 {
				t.Errorf("front normal %v", n)
			}
			return
		}
	}
	t.Error("no gallery front")
}

// Pitch "86": 86 in puts row 12 at 87.8 ft, outside; 86 cm at 40.04 ft against
// 40.17 by tape, 0.4 % of the 31.2 ft run.
func TestHallPitch(t *testing.T) {
	s, book := brickHall(t), finding.NewBook()
	f := find(t, survey.Check(s, book, "us"), "SURVEY_UNIT_MISSING", "pitch of seating benches")
	if fits := arg(t, f, "fits").Text; !strings.Contains(fits, "86 cm (puts row 12 at 40 ft 1/2 in") || !strings.Contains(fits, "0.4 %") || !strings.Contains(fits, "40 ft 2 in") {
		t.Errorf("fits %q", fits)
	}
	if clashes := arg(t, f, "clashes").Text; !strings.Contains(clashes, "86 in (puts row 12 at 87 ft 10 in from the platform, outside the room") {
		t.Errorf("clashes %q", clashes)
	}
	near(t, "taken", arg(t, f, "taken").Num, 0.86, 1e-9)
	r, _ := Solve(s, book, "us")
	rows := r.Seating[0].Rows
	near(t, "rows", float64(len(rows)), 12, 0)
	near(t, "last row", rows[11].Left.Y/foot, -40.167, 0.01)
	near(t, "eye", rows[0].Left.Z/foot, 3.833, 0.001)
}

// W1 "10 ft 0 in" was taken from the gallery floor, W2 "18 ft 4 in" from the
// platform: both are 19 ft 8 in above the hall floor.
func TestHallWrongFloor(t *testing.T) {
	s, book := brickHall(t), finding.NewBook()
	checks := survey.Check(s, book, "us")
	for _, tc := range []struct {
		line, floor         string
		other, height, kept float64
	}{{"W1", "gallery floor", 10, 9 + 8./12, 19 + 8./12}, {"W2", "platform", 18 + 4./12, 1 + 4./12, 19 + 8./12}} {
		f := find(t, checks, "SURVEY_WRONG_FLOOR", tc.line)
		near(t, "kept", arg(t, f, "kept").Num/foot, tc.kept, 1e-6)
		near(t, "other", arg(t, f, "other").Num/foot, tc.other, 1e-6)
		near(t, "difference", arg(t, f, "difference").Num/foot, tc.height, 1e-6)
		near(t, "floor height", arg(t, f, "floor_height").Num/foot, tc.height, 1e-6)
		if got := arg(t, f, "floor").Text; got != tc.floor {
			t.Errorf("floor %q, want %q", got, tc.floor)
		}
	}
	r, _ := Solve(s, book, "us")
	for _, want := range []struct {
		line        string
		alternative float64
	}{{"W1", 10}, {"W2", 18 + 4./12}} {
		found := false
		for _, l := range r.Lines {
			if l.Name != want.line {
				continue
			}
			near(t, want.line+" underside", l.From.Z/foot, 19+8./12, 0.01)
			near(t, want.line+" other end", l.To.Z/foot, 19+8./12, 0.01)
			near(t, want.line+" lens", l.Lens(l.Length()/2).Z/foot, 18.5, 0.05)
			if l.SigmaZ <= 0 || l.SigmaZ > 0.06 {
				t.Errorf("%s sigma z %v", l.Name, l.SigmaZ)
			}
			found = true
		}
		if !found {
			t.Errorf("no line %s", want.line)
		}
		found = false
		for _, sp := range r.Suspects {
			if sp.Line == want.line {
				found = true
				near(t, "alternative", float64(sp.Alternative.Value)/foot, want.alternative, 1e-6)
				near(t, "corrected", float64(sp.Corrected.Value)/foot, 19+8./12, 0.02)
				if !strings.Contains(sp.Explanation, "taken from the") || !sp.Corrected.Set {
					t.Errorf("explanation %q", sp.Explanation)
				}
				// The elevation the suspect would have given the reader, 8.3°
				// against 38.6°, from a lens 1 ft 2 in below the beam.
				if want.line == "W1" {
					reader := geom.Vec{X: 4 * foot, Y: 2.5 * foot, Z: 6.667 * foot}
					lens := geom.Vec{X: -4 * foot, Y: -10 * foot}
					lens.Z = float64(sp.Alternative.Value) - 14./12*foot
					near(t, "elevation if believed", geom.ElevationDeg(reader, lens), 8.3, 0.05)
					lens.Z = (19+8./12)*foot - 14./12*foot
					near(t, "elevation", geom.ElevationDeg(reader, lens), 38.6, 0.05)
				}
			}
		}
		if !found {
			t.Errorf("no suspect for %s", want.line)
		}
	}
}

func TestHallUnfitFacts(t *testing.T) {
	checks := survey.Check(brickHall(t), finding.NewBook(), "us")
	panel := find(t, checks, "SURVEY_PANEL_DEPTH", "dimmer cabinet")
	near(t, "clear", panel.Value/0.0254, 10, 1e-9)
	near(t, "limit", panel.Limit/0.0254, 36, 0.05)
	if panel.Severity != finding.Stop || panel.Owner != finding.Electrician {
		t.Errorf("panel %v %v", panel.Severity, panel.Owner)
	}
	asbestos := find(t, checks, "SURVEY_ASBESTOS", "building")
	if why := arg(t, asbestos, "why").Text; why != "built 1911, altered 1974" || asbestos.Owner != finding.Hazards {
		t.Errorf("asbestos %q %v", why, asbestos.Owner)
	}
	d4 := find(t, checks, "SURVEY_DIMMER_OVER", "D4")
	near(t, "D4 percent", d4.Value, 125, 1e-9)
	if floor := find(t, checks, "SURVEY_FLOOR_UNKNOWN", "hall floor"); floor.Owner != finding.Engineer {
		t.Errorf("floor owner %v", floor.Owner)
	}
	near(t, "riser", arg(t, find(t, checks, "SURVEY_RISER_ODD", "platform"), "riser").Num, 0.2032, 1e-9)
	for _, f := range checks {
		switch {
		case f.Code == "SURVEY_DIMMER_OVER" && strings.Contains(f.Subject, "D1"),
			f.Code == "SURVEY_SCREEN_RATIO", f.Code == "SURVEY_SCREEN_OUTSIDE", f.Code == "SURVEY_STEPS_MISMATCH", f.Code == "SURVEY_RANGE_ODD":
			t.Errorf("unwanted finding %s about %s", f.Code, f.Subject)
		}
	}
}

func TestHallFeatures(t *testing.T) {
	r, fs := Solve(brickHall(t), finding.NewBook(), "us")
	lines := map[string]Line{}
	for _, l := range r.Lines {
		lines[l.Name] = l
	}
	if _, there := lines["old batten"]; there {
		t.Error("a removed line is in the room")
	}
	if lines["rod near"].Forbidden == "" || lines["W1"].Forbidden != "" {
		t.Errorf("forbidden: rod %q, W1 %q", lines["rod near"].Forbidden, lines["W1"].Forbidden)
	}
	near(t, "W1 span", float64(lines["W1"].Spans[0].To)/foot, 46, 0.01)
	solids := map[string]Solid{}
	for _, s := range r.Solids {
		solids[s.Name] = s
		for _, f := range s.Faces {
			if f.Normal().Norm() < 0.99 {
				t.Errorf("%s has a face without normal", s.Name)
			}
		}
	}
	for _, n := range []string{"W1", "W2", "rod near", "column", "bell rope", "piano"} {
		if len(solids[n].Faces) < 6 {
			t.Errorf("solid %s has %d faces", n, len(solids[n].Faces))
		}
	}
	near(t, "column faces", float64(len(solids["column"].Faces)), 14, 0)
	near(t, "piano stands on the platform", solids["piano"].Base.Z/foot, 1.333, 0.02)
	near(t, "rope clear", float64(solids["bell rope"].KeepClear), 0.4572, 1e-9)
	sc := r.Screens[0]
	if n := sc.Corners.Normal(); math.Abs(n.Y+1) > 1e-9 {
		t.Errorf("screen normal %v, want −y", n)
	}
	near(t, "screen bottom", sc.Corners[0].Z/foot, 11.5, 1e-6)
	near(t, "screen left edge", sc.Corners[0].X/foot, -16.5, 1e-6)
	if n := r.Windows[0].Polygon.Normal(); math.Abs(n.X-1) > 1e-9 {
		t.Errorf("window normal %v, want +x", n)
	}
	near(t, "platform top", r.Platform.Outline[0].Z/foot, 1.333, 0.02)
	names := map[string]int{}
	for _, s := range r.Surfaces {
		names[s.Name]++
		if s.Reflectance <= 0 || s.Reflectance >= 1 || !convexInSpace(s.Polygon) {
			t.Errorf("surface %s: reflectance %v", s.Name, s.Reflectance)
		}
	}
	for _, want := range []string{"floor", "ceiling", "wall_behind", "wall_1", "wall_2", "wall_3", "platform", "screen_main", "gallery_left_floor", "gallery_left_soffit"} {
		if names[want] != 1 {
			t.Errorf("%d surfaces named %s among %v", names[want], want, names)
		}
	}
	if find(t, fs, "SURVEY_ASSUMED", "reflectances").Severity != finding.Note {
		t.Error("assumed reflectances")
	}
	if len(r.Questions) < 5 {
		t.Errorf("questions %v", r.Questions)
	}
}

func convexInSpace(g geom.Polygon) bool {
	n := g.Normal()
	for i := range g {
		a, b, c := g[i], g[(i+1)%len(g)], g[(i+2)%len(g)]
		if b.Sub(a).Cross(c.Sub(b)).Dot(n) < -1e-9 {
			return false
		}
	}
	return true
}

// A survey of nothing but length, width and height still gives a room.
func TestBareSurvey(t *testing.T) {
	d := func(id, from, to, v string) survey.Measurement {
		return survey.Measurement{ID: id, Kind: survey.Distance, From: from, To: to, Value: typed(t, v)}
	}
	for name, s := range map[string]survey.Survey{
		"corners": {Footprint: []string{"a", "b", "c", "d"}, Measurements: []survey.Measurement{d("w", "a", "b", "11 m"), d("l", "b", "c", "18 m")},
			Ceiling: survey.Ceiling{Shape: "flat", Height: typed(t, "2.95 m")}},
		"no corners": {Measurements: []survey.Measurement{d("w", "left wall", "right wall", "11 m"), d("l", "wall behind", "rear wall", "18 m")},
			Ceiling: survey.Ceiling{Shape: "flat", Height: typed(t, "2.95 m")}},
		"nothing": {},
	} {
		r, fs := Solve(s, finding.NewBook(), "metric")
		b := boundsOf(r.Footprint)
		if name != "nothing" {
			near(t, name+" width", b.maxX-b.minX, 11, 0.05)
			near(t, name+" length", b.maxY-b.minY, 18, 0.05)
			near(t, name+" volume", volume(shellOf(r)), 11*18*2.95, 1)
		}
		if b.minY > -5 || b.maxY < 0 {
			t.Errorf("%s: the room lies at y %v to %v; the seats are at negative y", name, b.minY, b.maxY)
		}
		if len(r.Questions) < 5 || finding.Count(fs, finding.Note) == 0 {
			t.Errorf("%s: %d questions, findings %v", name, len(r.Questions), fs)
		}
		for _, st := range r.Stations {
			if st.Sigma.Y < 0.1 {
				t.Errorf("%s: station %s sigma %v is far too sure", name, st.Name, st.Sigma)
			}
		}
	}
}

func shellOf(r Room) []Surface {
	var out []Surface
	for _, s := range r.Surfaces {
		if s.Kind == "floor" || s.Kind == "ceiling" || s.Kind == "wall" {
			out = append(out, s)
		}
	}
	return out
}

// contrary is a survey whose parts contradict each other and what stands beside it.
func contrary(t *testing.T) (survey.Survey, survey.Context) {
	clock := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	amps := func(v float64) si.Typed[si.Current] { return si.Known(si.Current(v)) }
	s := survey.Survey{
		Site:     survey.Site{Orientation: true, CongregationFacingDeg: 90},
		Stations: []survey.Station{{Name: "A"}, {Name: "B"}},
		Measurements: []survey.Measurement{{ID: "below nothing", Kind: survey.Distance, From: "A", To: "B", Value: typed(t, "-14 m")},
			{ID: "read again", Kind: survey.Distance, From: "A", To: "B", Value: typed(t, "14 m"), Repeats: []survey.L{typed(t, "-14.02 m")}}},
		Windows:  []survey.Window{{Name: "east", Bearing: true, BearingDeg: 140}},
		Photos:   []survey.Photo{{ID: "1", Of: "rear wall", Bearing: true, DirectionDeg: 80, Taken: clock.AddDate(1, 0, 0)}},
		Platform: survey.Platform{TallestSpeaker: typed(t, "1.62 m"), ShortestSpeaker: typed(t, "1.82 m")},
		Floor:    survey.Floor{Kind: "sprung_timber", Rating: "3 kN/m², drawing of 1988"},
		Routes: []survey.AccessRoute{{Name: "west", DoorWidth: typed(t, "0.80 m"), DoorHeight: typed(t, "1.95 m"), LobbyHeight: typed(t, "1.90 m"),
			Passage: typed(t, "0.90 m"), Landing: typed(t, "0.90 m")}},
		Supply:       survey.Supply{Voltage: si.Known(si.Voltage(230)), Main: amps(63), Standing: []survey.StandingLoad{{Current: amps(80)}}},
		Panels:       []survey.Panel{{Name: "P", Spaces: 12, SpacesUsed: 5, Ways: []survey.PanelWay{{Space: 3, Rating: amps(6), Poles: 1, Feeds: "dimmer cabinet A"}}}},
		Dimmers:      []survey.Dimmer{{Channel: "1", Cabinet: "A", Rating: si.Known(si.Power(3000))}},
		ExistingUnit: []survey.ExistingLight{{Name: "pendants", Count: 20, Watts: si.Known(si.Power(100)), Dimmer: "1"}},
	}
	return s, survey.Context{Now: clock, Sun: []survey.SunCheck{{Name: "Sunday in March", AzimuthDeg: 120, ElevationDeg: 25}},
		Machines: []survey.Machine{{Name: "A", Width: typed(t, "0.76 m"), Length: typed(t, "2.90 m"), StowedHeight: typed(t, "1.98 m"),
			Mass: si.Known(si.Mass(780)), Capacity: si.Known(si.Mass(230))}},
		Start: clock.AddDate(0, 1, 0), Days: []survey.CalendarDay{{Name: "Advent", From: clock.AddDate(0, 0, 20), To: clock.AddDate(0, 0, 40)}}}
}

// Every finding of room and survey is rendered with all its places filled.
func TestFindingsRender(t *testing.T) {
	book := finding.NewBook()
	seen := map[string]bool{}
	against, ctx := contrary(t)
	for _, s := range []survey.Survey{brickHall(t), {}, crooked(t), fan(t), against, crossed(t)} {
		_, fs := Solve(s, book, "us")
		keys := map[string]bool{}
		for _, f := range append(fs, survey.CheckIn(s, book, "us", ctx)...) {
			if keys[f.Key] {
				t.Errorf("two findings share the key %s", f.Key)
			}
			keys[f.Key] = true
			for _, d := range []si.Display{si.Metric, si.US} {
				r := book.Render(f, d)
				if text := r.Title + r.Text + r.Advice; strings.ContainsAny(text, "{}") || strings.Contains(text, "NaN") {
					t.Errorf("%s: %s | %s | %s", f.Code, r.Title, r.Text, r.Advice)
				}
			}
			seen[f.Code] = true
		}
	}
	for _, c := range book.Codes() {
		if (strings.HasPrefix(c.Code, "ROOM_") || strings.HasPrefix(c.Code, "SURVEY_")) && !seen[c.Code] {
			t.Errorf("%s is never rendered", c.Code)
		}
	}
}

func ExampleSolve() {
	l := func(text string) survey.L { v, _ := si.TypedLength(text, si.Metric); return v }
	r, _ := Solve(survey.Survey{
		Footprint: []string{"front left", "front right", "rear right", "rear left"},
		Measurements: []survey.Measurement{
			{ID: "w", Kind: survey.Distance, From: "front left", To: "front right", Value: l("11.00 m"), Instrument: survey.Laser},
			{ID: "l", Kind: survey.Distance, From: "front left", To: "rear left", Value: l("18.00 m"), Instrument: survey.Laser},
		},
		Platform: survey.Platform{Width: l("5 m"), Depth: l("3 m"), Height: l("0.30 m")},
		Ceiling:  survey.Ceiling{Shape: "flat", Height: l("2.95 m")},
	}, finding.NewBook(), "metric")
	fmt.Println(r.Ceiling.HeightAt(0, 0), len(r.Surfaces), "surfaces")
	fmt.Println(r.Questions[0].Ask)
	// Output:
	// 2.95 10 surfaces
	// Measure from the platform's front edge to the wall behind it, and from the centre line to both side walls.
}

// crossed is a hall whose corners are written in an order that crosses the walls,
// with a beam that has no length.
func crossed(t *testing.T) survey.Survey {
	t.Helper()
	s := brickHall(t)
	f := slices.Clone(s.Footprint)
	f[1], f[2] = f[2], f[1]
	s.Footprint = f
	at := survey.Place{X: typed(t, "1 m"), Y: typed(t, "-4 m"), Z: typed(t, "5 m")}
	s.Lines = append(slices.Clone(s.Lines), survey.HangingLine{Name: "stub", Kind: "beam", From: at, To: at})
	return s
}

func TestWallsAndLinesThatCannotBe(t *testing.T) {
	r, fs := Solve(crossed(t), finding.NewBook(), "us")
	f := find(t, fs, "ROOM_FOOTPRINT_CROSSES", "floor plan")
	if got := arg(t, f, "corners").Text; got != strings.Join(crossed(t).Footprint, ", ") || len(r.Footprint) != 4 {
		t.Errorf("corners %q, floor of %d", got, len(r.Footprint))
	}
	if f = find(t, fs, "ROOM_LINE_SHORT", "line stub"); arg(t, f, "length").Num != 0 {
		t.Errorf("%+v", f.Args)
	}
	_, fs = Solve(brickHall(t), finding.NewBook(), "us")
	for _, f := range fs {
		if f.Code == "ROOM_FOOTPRINT_CROSSES" || f.Code == "ROOM_LINE_SHORT" {
			t.Errorf("in a sound hall: %+v", f)
		}
	}
}
