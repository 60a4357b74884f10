package room

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/survey"
)

// The same hall described in other ways comes out as the same room.
func TestHallDescribedOtherwise(t *testing.T) {
	book := finding.NewBook()
	for name, change := range map[string]func(*survey.Survey){
		"no coordinates": func(s *survey.Survey) { s.Stations = nil },
		"fixed front": func(s *survey.Survey) {
			for i := range 2 {
				st := &s.Stations[i]
				st.FixedX, st.FixedY = st.NearX, st.NearY
			}
		},
		"corners the other way round": func(s *survey.Survey) {
			s.Footprint = []string{"rear left", "rear right", "front right", "front left"}
		},
		"heights typed at the ends": func(s *survey.Survey) {
			for i := range 2 {
				s.Lines[i].From.Z, s.Lines[i].To.Z = typed(t, "19' 8\""), typed(t, "19' 8\"")
			}
			var kept []survey.Measurement
			for _, m := range s.Measurements {
				if m.ID != "W1 laser" && m.ID != "W2 laser" {
					kept = append(kept, m)
				}
			}
			s.Measurements = kept
		},
		"square said": func(s *survey.Survey) {
			for i, n := range s.Footprint {
				s.Measurements = append(s.Measurements, survey.Measurement{ID: "sq " + n, Kind: survey.Square, From: s.Footprint[(i+3)%4], At: n, To: s.Footprint[(i+1)%4]})
			}
		},
		"square said of the front only": func(s *survey.Survey) {
			s.Measurements = append(s.Measurements,
				survey.Measurement{ID: "side 2", Kind: survey.OffsetX, To: "front left", Value: typed(t, "-23' 0\""), Instrument: survey.Laser},
				survey.Measurement{ID: "sq1", Kind: survey.Square, From: "front right", At: "front left", To: "rear left"},
				survey.Measurement{ID: "sq2", Kind: survey.Square, From: "front left", At: "front right", To: "rear right"})
		},
		"no offset of the walls": func(s *survey.Survey) {
			var kept []survey.Measurement
			for _, m := range s.Measurements {
				if m.Kind != survey.OffsetX && m.Kind != survey.OffsetY {
					kept = append(kept, m)
				}
			}
			s.Measurements = kept
		},
	} {
		s := brickHall(t)
		change(&s)
		r, fs := Solve(s, book, "us")
		b := boundsOf(r.Footprint)
		near(t, name+": width", (b.maxX-b.minX)/foot, 46, 0.2)
		near(t, name+": length", (b.maxY-b.minY)/foot, 58, 0.2)
		near(t, name+": centre", (b.maxX+b.minX)/2/foot, 0, 0.3)
		near(t, name+": front", b.maxY/foot, 13.5, 0.1)
		removed := strings.Join(r.Adjustment.Removed, ",")
		for _, want := range []string{"length", "W1 list", "W2 list"} {
			if !strings.Contains(removed, want) {
				t.Errorf("%s: removed %q, want %s among them", name, removed, want)
			}
		}
		for _, l := range r.Lines {
			if l.Name == "W1" || l.Name == "W2" {
				near(t, name+": "+l.Name, l.From.Z/foot, 19+8./12, 0.02)
			}
		}
		for _, sp := range r.Suspects {
			if sp.Line == "W1" {
				near(t, name+": alternative", float64(sp.Alternative.Value)/foot, 10, 1e-6)
			}
		}
		find(t, survey.Check(s, book, "us"), "SURVEY_WRONG_FLOOR", "W1")
		if name == "no offset of the walls" {
			find(t, fs, "SURVEY_ASSUMED", "place of the room's corners")
			for _, st := range r.Stations {
				if st.Sigma.Y < 0.3 {
					t.Errorf("%s: %s is far too sure: %v", name, st.Name, st.Sigma)
				}
			}
		}
	}
}

// A hall whose corners truly are out of square keeps its measured shape.
func TestSkewedHall(t *testing.T) {
	m := func(id, from, to, v string) survey.Measurement {
		return survey.Measurement{ID: id, Kind: survey.Distance, From: from, To: to, Value: typed(t, v), Instrument: survey.Laser}
	}
	st := func(n, x, y string) survey.Station {
		return survey.Station{Name: n, FixedX: typed(t, x), FixedY: typed(t, y)}
	}
	// A fan: 10 m at the front, 16 m at the rear, 14 m deep.
	diag := math.Hypot(13, 14)
	side := math.Hypot(3, 14)
	s := survey.Survey{
		Stations:  []survey.Station{st("fl", "-5 m", "4 m"), st("fr", "5 m", "4 m"), {Name: "rr", NearX: typed(t, "8 m"), NearY: typed(t, "-10 m")}, {Name: "rl", NearX: typed(t, "-8 m"), NearY: typed(t, "-10 m")}},
		Footprint: []string{"fl", "fr", "rr", "rl"},
		Measurements: []survey.Measurement{m("s1", "fr", "rr", metres(side)), m("s2", "fl", "rl", metres(side)),
			m("d1", "fl", "rr", metres(diag)), m("d2", "fr", "rl", metres(diag)), m("rear", "rl", "rr", "16.000 m")},
		Ceiling: survey.Ceiling{Shape: "flat", Height: typed(t, "5.00 m")},
	}
	r, _ := Solve(s, finding.NewBook(), "metric")
	b := boundsOf(r.Footprint)
	near(t, "rear width", b.maxX-b.minX, 16, 0.01)
	near(t, "rear wall", b.minY, -10, 0.01)
	if len(r.Adjustment.Removed) != 0 {
		t.Errorf("removed %v", r.Adjustment.Removed)
	}
	near(t, "volume", volume(shellOf(r)), 13*14*5, 0.5)
}

// fan is a fan-shaped floor of which people gave sides and diagonals only.
func fan(t testing.TB) survey.Survey {
	m := func(id, from, to, v string) survey.Measurement {
		return survey.Measurement{ID: id, Kind: survey.Distance, From: from, To: to, Value: typed(t, v), Instrument: survey.Laser}
	}
	side, diag := metres(math.Hypot(3, 14)), metres(math.Hypot(13, 14))
	return survey.Survey{Footprint: []string{"front left", "front right", "rear right", "rear left"},
		Measurements: []survey.Measurement{m("front", "front left", "front right", "10.000 m"), m("rear", "rear left", "rear right", "16.000 m"),
			m("s1", "front right", "rear right", side), m("s2", "front left", "rear left", side),
			m("d1", "front left", "rear right", diag), m("d2", "front right", "rear left", diag)},
		Ceiling: survey.Ceiling{Shape: "flat", Height: typed(t, "5.00 m")}}
}

// Six distances outweigh the assumption of square corners: it goes, they stay.
func TestMeasurementsOutweighAssumptions(t *testing.T) {
	r, fs := Solve(fan(t), finding.NewBook(), "metric")
	near(t, "area", signedArea(r.Footprint), 13*14, 0.2)
	for _, id := range r.Adjustment.Removed {
		if !strings.HasPrefix(id, "square corner") {
			t.Errorf("removed %s", id)
		}
	}
	find(t, fs, "ROOM_ASSUMPTION_FAILS", "square corner")
}

// Low shop unit, metres: 18.0 × 11.0 m, diagonals 21.1, columns, tiles that are no
// structure and a slab that is.
func TestShopUnit(t *testing.T) {
	m := func(v string) survey.L { return typed(t, v) }
	d := func(id, from, to, v string) survey.Measurement {
		return survey.Measurement{ID: id, Kind: survey.Distance, From: from, To: to, Value: m(v), Instrument: survey.SteelTape}
	}
	at := func(x, y, z string) survey.Place { return survey.Place{X: m(x), Y: m(y), Z: m(z)} }
	s := survey.Survey{
		Footprint: []string{"front left", "front right", "rear right", "rear left"},
		Measurements: []survey.Measurement{d("l", "front left", "rear left", "18.0 m"), d("w", "front left", "front right", "11.0 m"),
			d("d1", "front left", "rear right", "21.1 m"), d("d2", "front right", "rear left", "21.1 m"),
			{ID: "raw", Kind: survey.Height, To: "ceiling", Value: m("9.5")}},
		Ceiling:  survey.Ceiling{Shape: "flat", Height: m("2.95 m"), Material: "suspended tiles", Above: "slab at 3.60 m"},
		Platform: survey.Platform{Width: m("5.0 m"), Depth: m("3.0 m"), Height: m("0.30 m"), Steps: 2, Riser: m("0.15 m")},
		Lines: []survey.HangingLine{{Name: "grid", Kind: "ceiling", From: at("-2 m", "-1.6 m", "2.95 m"), To: at("2 m", "-1.6 m", "2.95 m")},
			{Name: "slab", Kind: "slab", From: at("-2 m", "-1.6 m", "3.60 m"), To: at("2 m", "-1.6 m", "3.60 m")},
			{Name: "sprinkler main", Kind: "pipe", From: at("-5 m", "-3 m", "2.93 m"), To: at("5 m", "-3 m", "2.93 m")}},
		Solids: []survey.Solid{{Name: "column", Shape: "box", Centre: at("3.2 m", "-4 m", ""), Width: m("0.35 m"), Depth: m("0.35 m")}},
		Finishes: []survey.Finish{{Surface: "walls", Reflectance: 0.7}, {Surface: "walls", Reflectance: 0.2, State: survey.Planned},
			{Surface: "floor", Reflectance: 0.4, State: survey.Removed}},
	}
	r, fs := Solve(s, finding.NewBook(), "metric")
	b := boundsOf(r.Footprint)
	near(t, "width", b.maxX-b.minX, 11, 0.05)
	near(t, "length", b.maxY-b.minY, 18, 0.05)
	near(t, "front wall at the platform's back", b.maxY, 3, 0.05)
	near(t, "height", r.Ceiling.HeightAt(0, -5).Metres(), 2.95, 0.02)
	for _, l := range r.Lines {
		if (l.Forbidden != "") != (l.Name != "slab") {
			t.Errorf("%s forbidden %q", l.Name, l.Forbidden)
		}
	}
	for _, o := range r.Solids {
		if o.Name == "column" {
			near(t, "column top", o.Faces[1][0].Z, 2.95, 0.02)
		}
	}
	for _, sf := range r.Surfaces {
		switch {
		case sf.Kind == "wall" && sf.Reflectance != 0.2:
			t.Errorf("%s reflects %v, want the planned 0.2", sf.Name, sf.Reflectance)
		case sf.Kind == "floor" && sf.Reflectance != 0.2:
			t.Errorf("floor reflects %v, want the default", sf.Reflectance)
		}
	}
	for _, f := range fs {
		if f.Code == "ROOM_LINE_HIGH" || f.Code == "ROOM_SUSPECT" {
			t.Errorf("%s about %s", f.Code, f.Subject)
		}
	}
}

// A-frame of 24 × 14 m under a ridge of 12 m: the half width shrinks to 3.38 m at
// 6.2 m, and a collar tie there lies under the roof.
func TestAFrame(t *testing.T) {
	m := func(v string) survey.L { return typed(t, v) }
	at := func(x, y, z string) survey.Place { return survey.Place{X: m(x), Y: m(y), Z: m(z)} }
	s := survey.Survey{
		Stations: []survey.Station{{Name: "a", FixedX: m("7 m"), FixedY: m("5.5 m")}, {Name: "b", FixedX: m("-7 m"), FixedY: m("5.5 m")},
			{Name: "c", FixedX: m("-7 m"), FixedY: m("-18.5 m")}, {Name: "d", FixedX: m("7 m"), FixedY: m("-18.5 m")}},
		Footprint: []string{"a", "b", "c", "d"},
		Ceiling:   survey.Ceiling{Shape: "a_frame", Ridge: m("12.0 m")},
		Platform:  survey.Platform{Width: m("8 m"), Depth: m("5.5 m"), Height: m("0.40 m")},
		Lines: []survey.HangingLine{{Name: "tie +2", Kind: "tie_beam", From: at("-3.38 m", "-2 m", "6.2 m"), To: at("3.38 m", "-2 m", "6.2 m")},
			{Name: "rod", Kind: "tension_rod", From: at("-4 m", "-2 m", "4.9 m"), To: at("4 m", "-2 m", "4.9 m"), Width: m("40 mm")}},
	}
	r, fs := Solve(s, finding.NewBook(), "metric")
	near(t, "volume", volume(shellOf(r)), 24*14*12/2, 1)
	near(t, "height at 3.38 m", r.Ceiling.HeightAt(3.38, -2).Metres(), 6.2, 0.03)
	near(t, "at the wall", r.Ceiling.HeightAt(7, 0).Metres(), 0, 1e-9)
	walls := 0
	for _, sf := range r.Surfaces {
		if sf.Kind == "wall" {
			walls++
			near(t, sf.Name+" corners", float64(len(sf.Polygon)), 3, 0)
		}
	}
	near(t, "gable walls", float64(walls), 2, 0)
	for _, f := range fs {
		if strings.HasPrefix(f.Code, "ROOM_") {
			t.Errorf("%s about %s", f.Code, f.Subject)
		}
	}
}

// A laser reading of 13.9 m "to the ridge" is the slope: the typed 12.0 m stays.
// Where ridge and slope were both typed as 13.9 m, the ridge follows from them.
func TestSlopeIsNotTheRidge(t *testing.T) {
	m := func(v string) survey.L { return typed(t, v) }
	base := survey.Survey{
		Stations: []survey.Station{{Name: "a", FixedX: m("7 m"), FixedY: m("5.5 m")}, {Name: "b", FixedX: m("-7 m"), FixedY: m("5.5 m")},
			{Name: "c", FixedX: m("-7 m"), FixedY: m("-18.5 m")}, {Name: "d", FixedX: m("7 m"), FixedY: m("-18.5 m")}},
		Footprint: []string{"a", "b", "c", "d"},
		Ceiling:   survey.Ceiling{Shape: "a_frame", Ridge: m("12.0 m"), Slope: m("13.9 m")},
	}
	read := base
	read.Measurements = []survey.Measurement{{ID: "h", Kind: survey.Height, To: "ridge", Value: m("13.9 m"), Instrument: survey.Laser}}
	r, _ := Solve(read, finding.NewBook(), "metric")
	near(t, "ridge", float64(r.Ceiling.Ridge), 12, 0.03)
	if len(r.Suspects) != 1 || r.Suspects[0].Measurement != "h" || !strings.Contains(r.Suspects[0].Explanation, "slope") {
		t.Errorf("suspects %+v", r.Suspects)
	}
	both := base
	both.Ceiling.Ridge = m("13.9 m")
	r, fs := Solve(both, finding.NewBook(), "metric")
	near(t, "ridge", float64(r.Ceiling.Ridge), 12.01, 0.03)
	find(t, fs, "SURVEY_ASSUMED", "ridge height")
}

// The portable platform stands free of the walls: top and four sides; a platform
// in a corner has the sides that are seen.
func TestPlatformSides(t *testing.T) {
	m := func(v string) survey.L { return typed(t, v) }
	s := survey.Survey{
		Stations: []survey.Station{{Name: "a", FixedX: m("5 m"), FixedY: m("6 m")}, {Name: "b", FixedX: m("-5 m"), FixedY: m("6 m")},
			{Name: "c", FixedX: m("-5 m"), FixedY: m("-12 m")}, {Name: "d", FixedX: m("5 m"), FixedY: m("-12 m")}},
		Footprint: []string{"a", "b", "c", "d"}, Ceiling: survey.Ceiling{Shape: "flat", Height: m("4 m")},
		Platform: survey.Platform{Width: m("4 m"), Depth: m("3 m"), Height: m("0.6 m")},
	}
	count := func() (sides int, vol float64) {
		r, _ := Solve(s, finding.NewBook(), "metric")
		var ss []Surface
		for _, sf := range r.Surfaces {
			if sf.Kind == "platform" {
				ss = append(ss, sf)
				if strings.Contains(sf.Name, "side") {
					sides++
				}
			}
		}
		return sides, -volume(ss)
	}
	sides, vol := count()
	near(t, "sides", float64(sides), 4, 0)
	near(t, "volume of the step", vol, 4*3*0.6, 0.02)
	s.Platform.Depth = m("6 m")
	sides, _ = count()
	near(t, "sides at the wall", float64(sides), 3, 0)
	s.Platform.Outline = []survey.Place{{X: m("-2 m"), Y: m("0")}, {X: m("2 m"), Y: m("0")}, {X: m("2 m"), Y: m("2 m")}, {X: m("0"), Y: m("2 m")}, {X: m("0"), Y: m("4 m")}, {X: m("-2 m"), Y: m("4 m")}}
	sides, vol = count()
	near(t, "sides of an L", float64(sides), 6, 0)
	near(t, "volume of an L", vol, 12*0.6, 0.02)
}

// One slip in the plan is found, explained and put right, even one that bends the
// whole network.
func TestOneSlipInThePlan(t *testing.T) {
	for _, tc := range []struct{ id, text, explanation, code string }{
		{"width front", `64' 0"`, "changed places", "SURVEY_DIAGONAL_MISMATCH"},
		{"diagonal 2", `47' 1"`, "changed places", "SURVEY_DIAGONAL_ODD"},
		{"diagonal 1", `73' 0"`, "one foot off", "SURVEY_DIAGONAL_ODD"},
		{"width rear", "46.0 m", "feet, not metres", "SURVEY_DIAGONAL_MISMATCH"},
	} {
		s := brickHall(t)
		for i := range s.Measurements {
			switch m := &s.Measurements[i]; m.ID {
			case "length":
				m.Value, m.Instrument = typed(t, `58' 0"`), survey.Laser
			case tc.id:
				m.Value = typed(t, tc.text)
			}
		}
		r, fs := Solve(s, finding.NewBook(), "us")
		b := boundsOf(r.Footprint)
		near(t, tc.text+": width", (b.maxX-b.minX)/foot, 46, 0.3)
		near(t, tc.text+": length", (b.maxY-b.minY)/foot, 58, 0.3)
		explained := false
		for _, sp := range r.Suspects {
			if sp.Measurement == tc.id {
				explained = strings.Contains(sp.Explanation, tc.explanation)
			} else if !strings.HasSuffix(sp.Measurement, "list") {
				t.Errorf("%s: %s is suspected too", tc.text, sp.Measurement)
			}
		}
		if !explained {
			t.Errorf("%s: suspects %+v", tc.text, r.Suspects)
		}
		if f := find(t, survey.Check(s, finding.NewBook(), "us"), tc.code, ""); f.Severity != finding.Warn {
			t.Errorf("%s: %v", tc.text, f)
		}
		for _, f := range fs {
			if f.Code == "ROOM_NETWORK_TEST" {
				t.Errorf("%s: the network test still fails", tc.text)
			}
		}
	}
}

// A pier is one place; a beam of which only one end and no height is known runs
// to the other wall under the ceiling, declared.
func TestLinesOfWhichLittleIsKnown(t *testing.T) {
	m := func(v string) survey.L { return typed(t, v) }
	s := fan(t)
	s.Lines = []survey.HangingLine{
		{Name: "pier", Kind: "pier", From: survey.Place{X: m("-5 m"), Y: m("-4 m"), Z: m("3 m"), Instrument: survey.SteelTape}},
		{Name: "beam", Kind: "beam", From: survey.Place{X: m("-5 m"), Y: m("-3 m")}},
		{Name: "nothing", Kind: "beam"},
		{Name: "part", Kind: "beam", From: survey.Place{X: m("-5 m"), Y: m("-2 m"), Z: m("4 m")}, To: survey.Place{X: m("5 m"), Y: m("-2 m"), Z: m("4 m")},
			Usable: []survey.Span{{From: m("1 m"), To: m("3 m")}, {From: m("8 m"), To: m("99 m")}}, Drop: m("0.5 m")},
	}
	r, fs := Solve(s, finding.NewBook(), "metric")
	l := map[string]Line{}
	for _, x := range r.Lines {
		l[x.Name] = x
	}
	if p := l["pier"]; p.From != p.To || len(p.Spans) != 1 || p.SigmaZ > 0.1 || p.SigmaY > 0.1 || p.Drop != 0 {
		t.Errorf("pier %+v", p)
	}
	if b := l["beam"]; b.To.X < 5 || math.Abs(b.From.Z-4.5) > 0.1 || b.From.Z != b.To.Z || b.SigmaZ < 0.5 {
		t.Errorf("beam %v %v σ %v", b.From, b.To, b.SigmaZ)
	}
	find(t, fs, "SURVEY_ASSUMED", "line beam")
	find(t, fs, "SURVEY_ASSUMED", "line nothing")
	for _, f := range fs {
		if f.Code == "SURVEY_ASSUMED" && strings.Contains(f.Subject, "pier") {
			t.Errorf("the pier needs no assumption: %v", f)
		}
	}
	p := l["part"]
	if len(p.Spans) != 2 || p.Spans[1].To != p.Length() || p.Spans[0].From != 1 {
		t.Errorf("spans %v", p.Spans)
	}
	near(t, "lens", p.Lens(2).Z, 3.5, 0.01)
}
