package scheme

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

func TestPlaceFindsTheLens(t *testing.T) {
	r, b := schoolHall()
	u := metres
	for _, tc := range []struct {
		name string
		unit Unit
		at   geom.Vec
		ok   bool
	}{
		{"along its line", Unit{Line: "frame +7.2", Along: u.l(1)}, u.at(-3, 7.2, 7.5), true},
		{"by x on its line", Unit{Line: "frame +7.2", LensX: u.l(2.5)}, u.at(2.5, 7.2, 7.5), true},
		{"by its lens", Unit{Line: "frame +7.2", LensX: u.l(1), LensY: u.l(-7), LensZ: u.l(7.4), Along: u.l(3)}, u.at(1, 7, 7.4), true},
		{"lower on its line", Unit{Line: "frame +7.2", Along: u.l(1), LensZ: u.l(6)}, u.at(-3, 7.2, 6), true},
		{"nothing given", Unit{Line: "frame +7.2"}, geom.Vec{}, false},
		{"unknown line", Unit{Line: "frame 9", Along: u.l(1)}, geom.Vec{}, false},
		{"not a number", Unit{LensX: si.Known(si.Length(math.NaN())), LensY: u.l(0), LensZ: u.l(1)}, geom.Vec{}, false},
	} {
		tc.unit.ID, tc.unit.Fixture, tc.unit.FieldDeg, tc.unit.Zone, tc.unit.Purpose = "U1", "T-FRE", 40, "preacher", FrontWash
		placed, fs := Place(PlaceInput{Scheme: Scheme{Units: []Unit{tc.unit}}, Room: r, Brief: b, Catalogue: testFixtures(), Book: book})
		if _, unknown := find(fs, "SCHEME_PLACE_UNKNOWN", "U1"); unknown == tc.ok || len(placed) > 0 != tc.ok {
			t.Errorf("%s: placed %d, findings %v", tc.name, len(placed), fs)
			continue
		}
		if tc.ok && placed[0].At.Sub(tc.at).Norm() > 1e-9 {
			t.Errorf("%s: at %v, want %v", tc.name, placed[0].At, tc.at)
		}
		if tc.ok && placed[0].Target.Sub(u.at(0, -1.5, 2.2)).Norm() > 1e-9 {
			t.Errorf("%s: without a focus point it points at its zone, got %v", tc.name, placed[0].Target)
		}
	}
}

func TestPlaceReportsWhatItCannotUse(t *testing.T) {
	r, b := schoolHall()
	r.Lines[1].Spans = []room.Span{{From: 0, To: 2}, {From: 5, To: 8}}
	r.Lines = append(r.Lines, metres.line("pier", "pier", metres.at(9, 3, 4), metres.at(9, 3, 6), 0.2))
	b.Limits.NoDrill = true
	b.Limits.NoHang = []string{"frame +1.2"}
	u := metres
	unit := func(id, line string, along float64) Unit {
		return Unit{ID: id, Fixture: "T-FRE", FieldDeg: 40, Line: line, Along: u.l(along), Zone: "preacher", Purpose: FrontWash}
	}
	wrong := unit("X", "frame 9", 1)
	wrong.Fixture, wrong.Zone = "NONE", "attic"
	wrong.LensX, wrong.LensY, wrong.LensZ = u.l(0), u.l(-3), u.l(5)
	face := unit("F", "frame +7.2", 7)
	face.Face = "nobody"
	beam := unit("B", "frame +7.2", 6)
	beam.Fixture, beam.FieldDeg = "T-PRO", 50
	units := []Unit{unit("A", "frame +7.2", 3), unit("P", "purlin", 3), unit("N", "frame +1.2", 3), unit("D", "pier", 1), unit("A", "frame +7.2", 1), wrong, face, beam,
		unit("E1", "frame +7.2", 0.5), unit("E2", "frame +7.2", 0.7)}
	_, fs := Place(PlaceInput{Scheme: Scheme{Units: units, Pipes: []Pipe{{Line: "frame +7.2", Length: u.l(6)}, {Line: "nowhere"}}},
		Room: r, Brief: b, Catalogue: testFixtures(), Book: book})
	for _, want := range []struct {
		code, subject, arg, text string
		severity                 finding.Severity
	}{
		{"SCHEME_OUTSIDE_SPAN", "unit A", "", "", finding.Stop},
		{"SCHEME_LINE_FORBIDDEN", "line purlin", "why", "purlins", finding.Stop},
		{"SCHEME_LINE_NOT_WANTED", "line frame +1.2", "units", "N", finding.Stop},
		{"SCHEME_NEEDS_DRILLING", "line pier", "units", "D", finding.Stop},
		{"SCHEME_UNIT_TWICE", "unit A", "", "", finding.Stop},
		{"SCHEME_LINE_UNKNOWN", "unit X", "allowed", "bridge pipe +3.8, frame +1.2", finding.Stop},
		{"SCHEME_FIXTURE_UNKNOWN", "unit X", "allowed", "T-BCK, T-FRE", finding.Stop},
		{"SCHEME_ZONE_UNKNOWN", "unit X", "allowed", "preacher", finding.Stop},
		{"SCHEME_FACE_UNKNOWN", "unit F", "allowed", "preacher", finding.Warn},
		{"SCHEME_BEAM_UNKNOWN", "unit B", "allowed", "26°, 36°", finding.Stop},
		{"SCHEME_LENSES_CLOSE", "E1 and E2", "", "", finding.Warn},
		{"SCHEME_PIPE_SHORT", "pipe on frame +7.2", "", "", finding.Warn},
		{"SCHEME_LINE_UNKNOWN", "pipe on nowhere", "", "", finding.Stop},
	} {
		f, ok := find(fs, want.code, want.subject)
		if !ok || f.Severity != want.severity {
			t.Errorf("no %v %s for %s", want.severity, want.code, want.subject)
			continue
		}
		if want.arg != "" && !strings.Contains(argOf(t, f, want.arg).Text, want.text) {
			t.Errorf("%s: %s = %q, want %q in it", want.code, want.arg, argOf(t, f, want.arg).Text, want.text)
		}
	}
	if f, _ := find(fs, "SCHEME_OUTSIDE_SPAN", "unit A"); argOf(t, f, "past").Num != 1 || argOf(t, f, "to").Num != 2 {
		t.Errorf("3 m along lies 1 m past the span that ends at 2 m: %+v", f)
	}
	allFilled(t, fs)
}

// allFilled fails when a finding's text leaves a place open.
func allFilled(t interface{ Errorf(string, ...any) }, fs []finding.Finding) {
	for _, f := range fs {
		if r := book.Render(f, si.US); strings.ContainsAny(r.Title+r.Text+r.Advice, "{}") {
			t.Errorf("%s leaves a place open: %+v", f.Code, r)
		}
	}
}

func TestRandomSchemesNeverPanic(t *testing.T) {
	set := testFixtures()
	rapid.Check(t, func(t *rapid.T) {
		r, b, sv := randomRoom(t)
		length := func(name string) L {
			switch rapid.IntRange(0, 3).Draw(t, name) {
			case 0:
				return L{}
			case 1:
				return si.Known(si.Length(math.NaN()))
			}
			return si.Known(si.Length(rapid.Float64Range(-20, 20).Draw(t, name)))
		}
		pick := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
		var s Scheme
		for range rapid.IntRange(0, 6).Draw(t, "units") {
			s.Units = append(s.Units, Unit{ID: pick("id", "A1", "A2", "B1", ""), Fixture: pick("fixture", "T-FRE", "T-PRO", "NONE", ""),
				FieldDeg: rapid.SampledFrom([]float64{0, 25, 40, -3, math.NaN(), math.Inf(1)}).Draw(t, "field"), Line: pick("line", "l0", "l1", "l9", ""), Along: length("along"),
				LensX: length("lx"), LensY: length("ly"), LensZ: length("lz"), AimX: length("ax"), AimY: length("ay"), AimZ: length("az"),
				Zone: pick("zone", "z0", "z1", ""), Face: pick("face", "", "z0 1"), Purpose: Purpose(pick("purpose", string(FrontWash), string(Fill), string(BackLight), string(HouseLight), "")),
				LevelPct: rapid.SampledFrom([]float64{0, 60, 300, -1, math.NaN()}).Draw(t, "level"), Phase: pick("phase", "", "A", "B")})
		}
		s.Pipes = []Pipe{{Line: "l0", Length: length("pipe")}}
		placed, fs := Place(PlaceInput{Scheme: s, Room: r, Brief: b, Catalogue: set, Book: book})
		for _, p := range placed {
			if !finite(p.FieldDeg, p.At.X, p.At.Y, p.At.Z, p.Target.X, p.Target.Y, p.Target.Z) {
				t.Fatalf("%s placed at %v for %v", p.ID, p.At, p.Target)
			}
		}
		allFilled(t, append(fs, Check(CheckInput{Scheme: s, Placed: placed, Room: r, Brief: b, Survey: sv, Catalogue: set, Book: book})...))
		for _, src := range Sources(placed, set) {
			if !(src.Level >= 0 && src.Level <= 1) {
				t.Fatalf("level %v", src.Level)
			}
		}
		Used(Lines(r, b), placed)
	})
}
