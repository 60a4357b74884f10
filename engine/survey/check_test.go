package survey

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

func typed(t testing.TB, text string) L {
	t.Helper()
	l, err := si.TypedLength(text, si.Metric)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func only(fs []finding.Finding, code string) []finding.Finding {
	var out []finding.Finding
	for _, f := range fs {
		if f.Code == code {
			out = append(out, f)
		}
	}
	return out
}

func argOf(t *testing.T, f finding.Finding, name string) finding.Arg {
	t.Helper()
	for _, a := range f.Args {
		if a.Name == name {
			return a
		}
	}
	t.Fatalf("%s lacks %s", f.Code, name)
	return finding.Arg{}
}

// A-frame 14.0 m wide, ridge 12.0 m: a typed height of 13.9 m is the slope,
// √(7² + 12²) = 13.89 m at 59.7°.
func TestSlopeTypedAsHeight(t *testing.T) {
	book := finding.NewBook()
	base := func() Survey {
		s := Survey{Footprint: []string{"a", "b", "c", "d"}, Ceiling: Ceiling{Shape: "a_frame", Ridge: typed(t, "12.0 m")}}
		for i, n := range s.Footprint {
			x, y := "7.0 m", "5.5 m"
			if i == 1 || i == 2 {
				x = "-7.0 m"
			}
			if i > 1 {
				y = "-18.5 m"
			}
			s.Stations = append(s.Stations, Station{Name: n, NearX: typed(t, x), NearY: typed(t, y)})
		}
		return s
	}
	measured := base()
	measured.Measurements = []Measurement{{ID: "h", Kind: Height, To: "ridge", Value: typed(t, "13.9 m")}}
	asHeight := base()
	asHeight.Ceiling.Height = typed(t, "13.9 m")
	slopeToo := base()
	slopeToo.Ceiling.Ridge, slopeToo.Ceiling.Slope = typed(t, "13.9 m"), typed(t, "13.9 m")
	bySides := base()
	bySides.Stations = []Station{{Name: "a"}, {Name: "b"}, {Name: "c"}, {Name: "d"}}
	bySides.Ceiling.Height = typed(t, "13.9 m")
	bySides.Measurements = []Measurement{{ID: "w", Kind: Distance, From: "a", To: "b", Value: typed(t, "14.0 m")}, {ID: "l", Kind: Distance, From: "b", To: "c", Value: typed(t, "24.0 m")}}
	for name, s := range map[string]Survey{"measured": measured, "height": asHeight, "slope too": slopeToo, "by sides": bySides} {
		fs := only(Check(s, book, "metric"), "SURVEY_SLOPE_AS_HEIGHT")
		if len(fs) != 1 {
			t.Errorf("%s: %d findings", name, len(fs))
			continue
		}
		near(t, name+" implied", argOf(t, fs[0], "implied").Num, 12.0, 0.05)
		near(t, name+" pitch", argOf(t, fs[0], "pitch").Num, 59.7, 0.1)
	}
	clean := base()
	clean.Ceiling.Slope = typed(t, "13.89 m")
	for _, f := range Check(clean, book, "metric") {
		if f.Code == "SURVEY_SLOPE_AS_HEIGHT" || f.Code == "SURVEY_RIDGE_MISMATCH" {
			t.Errorf("a true ridge gives %s", f.Code)
		}
	}
	wrong := base()
	wrong.Ceiling.Slope = typed(t, "12.9 m")
	if fs := only(Check(wrong, book, "metric"), "SURVEY_RIDGE_MISMATCH"); len(fs) != 1 {
		t.Errorf("ridge 12.0 against %.2f: %d findings", math.Sqrt(12.9*12.9-49), len(fs))
	} else {
		near(t, "expected ridge", argOf(t, fs[0], "expected").Num, math.Sqrt(12.9*12.9-49), 1e-6)
	}
}

// "9.5" for a ceiling read as 2.95 m: in metres it contradicts, in feet it is 2.90 m.
func TestCeilingWithoutUnit(t *testing.T) {
	book := finding.NewBook()
	second := Survey{Ceiling: Ceiling{Shape: "flat", Height: typed(t, "2.95 m")},
		Measurements: []Measurement{{ID: "raw", Kind: Height, To: "ceiling", Value: typed(t, "9.5")}}}
	first := Survey{Ceiling: Ceiling{Shape: "flat", Height: typed(t, "9.5")}, Routes: []AccessRoute{{Name: "door", DoorHeight: typed(t, "2.10 m")}},
		Lines: []HangingLine{{Name: "slab", Kind: "slab", From: Place{Z: typed(t, "3.60 m")}, To: Place{Z: typed(t, "3.60 m")}}}}
	tiles := Survey{Ceiling: Ceiling{Shape: "flat", Height: typed(t, "9.5")},
		Lines: []HangingLine{{Name: "tiles", Kind: "ceiling", From: Place{Z: typed(t, "2.95 m")}, To: Place{Z: typed(t, "2.95 m")}},
			{Name: "track", Kind: "slab", From: Place{Z: typed(t, "2.95 m")}, To: Place{Z: typed(t, "2.95 m")}}}}
	for name, s := range map[string]Survey{"second reading": second, "only reading": first, "tiles": tiles} {
		fs := only(Check(s, book, "metric"), "SURVEY_UNIT_MISSING")
		if len(fs) != 1 {
			t.Errorf("%s: %d findings", name, len(fs))
			continue
		}
		if fits := argOf(t, fs[0], "fits").Text; !strings.Contains(fits, "9.5 ft (2.90 m") || strings.Contains(fits, "9.5 m") {
			t.Errorf("%s: fits %q", name, fits)
		}
		if clashes := argOf(t, fs[0], "clashes").Text; !strings.Contains(clashes, "9.5 m (9.50 m") {
			t.Errorf("%s: clashes %q", name, clashes)
		}
		near(t, name, argOf(t, fs[0], "taken").Num, 2.9, 0.03)
	}
}

func TestChecksAgainstPlainMistakes(t *testing.T) {
	book := finding.NewBook()
	m := func(s string) L { return typed(t, s) }
	beam := func(name, y string) HangingLine {
		return HangingLine{Name: name, Kind: "beam", From: Place{Y: m(y)}, To: Place{Y: m(y)}}
	}
	for _, tc := range []struct {
		code    string
		bad, ok Survey
	}{
		{"SURVEY_STEPS_MISMATCH", Survey{Platform: Platform{Steps: 3, Riser: m("0.15 m"), Height: m("0.60 m")}},
			Survey{Platform: Platform{Steps: 4, Riser: m("0.15 m"), Height: m("0.60 m")}}},
		{"SURVEY_RISER_ODD", Survey{Platform: Platform{Riser: m("0.25 m")}}, Survey{Platform: Platform{Riser: m("0.17 m")}}},
		{"SURVEY_ROWS_MISMATCH", Survey{Seating: []Seating{{FirstY: m("-3 m"), LastY: m("-12 m"), Rows: 10, Pitch: m("0.95 m")}}},
			Survey{Seating: []Seating{{FirstY: m("-3 m"), LastY: m("-12 m"), Rows: 10, Pitch: m("0.99 m")}}}},
		{"SURVEY_SPACING_ODD", Survey{Lines: []HangingLine{beam("1", "-1 m"), beam("2", "-5 m"), beam("3", "-9 m"), beam("4", "-14 m")}},
			Survey{Lines: []HangingLine{beam("1", "-1 m"), beam("2", "-5 m"), beam("3", "-9 m"), beam("4", "-13 m")}}},
		{"SURVEY_SCREEN_RATIO", Survey{Screens: []Screen{{Kind: "tv", Width: m("3 m"), Height: m("1 m")}}},
			Survey{Screens: []Screen{{Kind: "tv", Width: m("2.4 m"), Height: m("1.35 m")}}}},
		{"SURVEY_SCREEN_OUTSIDE", Survey{Ceiling: Ceiling{Height: m("2.95 m")}, Screens: []Screen{{Width: m("2.4 m"), Height: m("1.35 m"), Bottom: m("1.85 m")}}},
			Survey{Ceiling: Ceiling{Height: m("2.95 m")}, Screens: []Screen{{Width: m("2.4 m"), Height: m("1.35 m"), Bottom: m("1.35 m")}}}},
		{"SURVEY_RANGE_ODD", Survey{Ceiling: Ceiling{Height: m("29.5 m")}}, Survey{Ceiling: Ceiling{Height: m("2.95 m")}}},
		{"SURVEY_STACK_MISMATCH", Survey{Galleries: []Gallery{{Soffit: m("2.70 m"), Front: m("0.90 m"), RailTop: m("3.40 m")}}},
			Survey{Galleries: []Gallery{{Soffit: m("2.70 m"), Front: m("0.90 m"), RailTop: m("3.60 m")}}}},
		{"SURVEY_TWO_READINGS", Survey{Measurements: []Measurement{{ID: "1", Kind: Rise, From: "a", To: "b", Value: m("4.00 m")}, {ID: "2", Kind: Rise, From: "a", To: "b", Value: m("4.13 m")}}},
			Survey{Measurements: []Measurement{{ID: "1", Kind: Rise, From: "a", To: "b", Value: m("4.00 m")}, {ID: "2", Kind: Rise, From: "a", To: "b", Value: m("4.03 m")}}}},
		{"SURVEY_PANEL_DEPTH", Survey{Panels: []Panel{{Name: "P", ClearDepth: m("0.80 m")}}}, Survey{Panels: []Panel{{Name: "P", ClearDepth: m("36 in")}}}},
		{"SURVEY_PANEL_COUNT", Survey{Panels: []Panel{{Spaces: 24, SpacesUsed: 25}}}, Survey{Panels: []Panel{{Spaces: 24, SpacesUsed: 24}}}},
		{"SURVEY_ASBESTOS", Survey{Site: Site{YearBuilt: 1964}}, Survey{Site: Site{YearBuilt: 2004}}},
		{"SURVEY_UNKNOWN_PLACE", Survey{Measurements: []Measurement{{ID: "1", Kind: Distance, From: "a", To: "b", Value: m("4 m")}}},
			Survey{Stations: []Station{{Name: "a"}, {Name: "b"}}, Measurements: []Measurement{{ID: "1", Kind: Distance, From: "a", To: "b", Value: m("4 m")}}}},
		{"SURVEY_FLOOR_UNKNOWN", Survey{Floor: Floor{Kind: "over_cellar"}, Lines: []HangingLine{{Name: "1", From: Place{Z: m("6 m")}}}},
			Survey{Floor: Floor{Kind: "over_cellar"}, Lines: []HangingLine{{Name: "1", From: Place{Z: m("2.9 m")}}}}},
	} {
		if n := len(only(Check(tc.bad, book, "us"), tc.code)); n != 1 {
			t.Errorf("%s: %d findings on the mistake, want 1", tc.code, n)
		}
		if n := len(only(Check(tc.ok, book, "us"), tc.code)); n != 0 {
			t.Errorf("%s: %d findings without the mistake", tc.code, n)
		}
	}
}

// "11.10 ft" typed with a unit: the point may still part feet from inches.
func TestDecimalFeetInches(t *testing.T) {
	g := Gallery{Name: "g", Soffit: typed(t, `8' 11"`), Front: typed(t, `2' 11"`), RailTop: typed(t, "11.10 ft")}
	fs := only(Check(Survey{Galleries: []Gallery{g}}, finding.NewBook(), "us"), "SURVEY_STACK_MISMATCH")
	if len(fs) != 1 {
		t.Fatalf("%d findings", len(fs))
	}
	if why := argOf(t, fs[0], "explanation").Text; !strings.Contains(why, "11 ft 10 in") {
		t.Errorf("explanation %q", why)
	}
}

func TestExplainTheMistakesPeopleMake(t *testing.T) {
	floors := []NamedFloor{{"gallery", 2.9464}, {"platform", 0.4}}
	for _, tc := range []struct {
		text     string
		expected float64
		kind     string
	}{
		{`11' 4"`, 14*.3048 + .0254, "transposed"},
		{"4.86 m", 4.68, "transposed"},
		{`16' 3"`, 19*.3048 + 3*.0254, "six_nine"},
		{"3.96 m", 3.99, ""}, // within the number's own uncertainty
		{`14' 2"`, 15*.3048 + 2*.0254, "foot_slip"},
		{"5.20 m", 6.20, "metre_slip"},
		{"86 in", 0.86, "unit"},
		{"18 m", 18 * .3048, "unit"},
		{"3.05 m", 3.05 + 2.9464, "wrong_level"},
		{"5.60 m", 6.00, "wrong_level"},
		{"5.60 m", 5.00, ""},
	} {
		l := typed(t, tc.text)
		o := Observation{ID: "x", Kind: Height, To: 0, Value: float64(l.Value), Sigma: 0.008, Typed: l, Instrument: SteelTape}
		m, ok := Explain(o, tc.expected, 0.005, floors)
		if m.Kind != tc.kind || ok != (tc.kind != "") {
			t.Errorf("%q expected %.3f: %q (%s), want %q", tc.text, tc.expected, m.Kind, m.Text, tc.kind)
		}
		if ok && (m.Text == "" || math.Abs(float64(m.Corrected)-tc.expected) > 0.04) {
			t.Errorf("%q: corrected %v %q", tc.text, m.Corrected, m.Text)
		}
	}
}

// The wrong one of two readings goes: the one a slip explains, else the worse
// instrument, and neither when nothing tells them apart.
func TestTwoReadingsKeepTheBetter(t *testing.T) {
	m := func(id, v string, i Instrument) Measurement {
		return Measurement{ID: id, Kind: Height, To: "beam", Value: typed(t, v), Instrument: i}
	}
	line := HangingLine{Name: "beam", Kind: "beam"}
	levels := []Level{{Name: "gallery", Height: typed(t, "3.00 m")}}
	for _, tc := range []struct {
		name    string
		ms      []Measurement
		removed string
		tied    int
	}{
		{"wrong floor", []Measurement{m("a", "3.00 m", Laser), m("b", "6.00 m", FibreTape)}, "a", 0},
		{"worse instrument", []Measurement{m("a", "5.10 m", Clinometer), m("b", "6.00 m", Laser)}, "a", 0},
		{"nothing tells", []Measurement{m("a", "5.55 m", Laser), m("b", "6.00 m", Laser)}, "", 2},
	} {
		b := Build(Survey{Lines: []HangingLine{line}, Levels: levels, Measurements: tc.ms})
		s := mustAdjust(t, b.Network, Options{Break: BreakTie(b.Network, b.Floors)})
		got := ""
		for _, r := range s.Removed {
			got += b.Observations[r.Observation].ID
		}
		tied := 0
		for _, g := range s.Tied {
			tied += len(g)
		}
		if got != tc.removed || tied != tc.tied {
			t.Errorf("%s: removed %q, %d tied; want %q, %d", tc.name, got, tied, tc.removed, tc.tied)
		}
	}
}

func TestInstrumentTable(t *testing.T) {
	for i, p := range precisions {
		if p.source == "" || p.name == "" || p.fixed <= 0 {
			t.Errorf("instrument %q: %+v", i, p)
		}
	}
	// Maximum permissible errors of tapes at 3, 5 and 8 m: class II 0.9, 1.3,
	// 1.9 mm, class III 1.8, 2.6, 3.8 mm without the hook's share.
	// Source: EU Measuring Instruments Directive, material measures of length.
	for i, l := range []float64{3, 5, 8} {
		for inst, want := range map[Instrument]float64{SteelTape: []float64{.9, 1.3, 1.9}[i], FibreTape: []float64{1.8, 2.6, 3.8}[i]} {
			a := map[Instrument]float64{SteelTape: .3, FibreTape: .6}[inst]
			near(t, string(inst), precisions[inst].perMetre*math.Sqrt(3)*l*1e3+a, want, 1e-9)
		}
	}
	if SigmaOf(Laser, typed(t, "6.000 m")) >= SigmaOf(Guess, typed(t, "6.000 m")) || SigmaOf("odd", typed(t, "6 m")) != SigmaOf("", typed(t, "6 m")) {
		t.Error("order of instruments")
	}
	// Written to the inch, no laser is better than 25.4/√12 mm.
	if got := SigmaOf(Laser, typed(t, `19' 8"`)); got < 0.0073 || got > 0.009 {
		t.Errorf("sigma of a laser reading to the inch %v", got)
	}
}

func TestBuildReportsWhatItCannotUse(t *testing.T) {
	m := func(s string) L { return typed(t, s) }
	b := Build(Survey{
		Stations: []Station{{Name: "a", FixedX: m("1 m"), FixedY: m("2 m")}, {Name: "b"}},
		Levels:   []Level{{Name: "Gallery floor", Height: m("3 m")}, {Name: "hall", Height: m("0")}},
		Measurements: []Measurement{
			{ID: "1", Kind: Distance, From: "a", To: "zz", Value: m("3 m")}, {ID: "2", Kind: Height, To: "b", Value: m("3 m"), Reference: "crypt"},
			{ID: "3", Kind: Distance, From: "a", To: "b", Value: m("86")}, {ID: "4", Kind: "angle", From: "a", To: "b", Value: m("3 m")},
			{ID: "5", Kind: Height, To: "b", Value: m("1 m"), Reference: "gallery"}, {ID: "6", Kind: Distance, From: "a", To: "a", Value: m("3 m")},
			{ID: "7", Kind: Distance, From: "a", To: "b", Value: m("3 m"), Void: true}, {ID: "8", Kind: Distance, From: "a", To: "b"}},
	})
	var got []string
	for _, p := range b.Problems {
		got = append(got, p.Measurement+" "+p.Reason)
	}
	if want := "1 unknown_station,2 unknown_level,3 no_unit,4 no_value,6 itself,8 no_value"; strings.Join(got, ",") != want {
		t.Errorf("problems %v, want %s", got, want)
	}
	s := mustAdjust(t, b.Network, Options{})
	i, _ := b.Index("b")
	near(t, "b from the gallery", s.Points[i].At.Z, 4, 1e-9)
	if len(b.OnFloor) != 1 || b.OnFloor[0] != "a" {
		t.Errorf("on the floor: %v", b.OnFloor)
	}
}
