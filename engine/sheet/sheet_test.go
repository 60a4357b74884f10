package sheet_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"roodbeam/engine/brief"
	"roodbeam/engine/cost"
	"roodbeam/engine/daylight"
	"roodbeam/engine/drawing"
	"roodbeam/engine/electrical"
	"roodbeam/engine/enginetest/sample"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/hanging"
	"roodbeam/engine/light"
	"roodbeam/engine/network"
	"roodbeam/engine/phase"
	"roodbeam/engine/preset"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/sheet"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// paperTolerance is the rounding error of millimetres on paper: a nanometre.
const paperTolerance = 1e-6

func TestEverySheetIsInThePacket(t *testing.T) {
	p := sheet.Build(sample.MeetingHouse())
	var got []string
	for _, s := range p.Sheets {
		got = append(got, s.Code)
		if s.Title == "" || s.Reader == "" || s.Words == "" || len(s.Blocks) == 0 {
			t.Errorf("sheet %s lacks a title, a reader, words or content", s.Code)
		}
	}
	var want []string
	for _, k := range sheet.Kinds() {
		want = append(want, k.Code)
	}
	if !slices.Equal(got, want) {
		t.Errorf("sheets %v, want every kind once: %v", got, want)
	}
	// What every reader must have; a packet may grow.
	for _, code := range strings.Fields("P0 P1 P2 P2a P3 P3b P4 P4a P4b P5 P6 P7 P8 P9 P10 P11 P11b P12 P13 P15 P17 P17b P18") {
		if !slices.Contains(got, code) {
			t.Errorf("sheet %s is missing", code)
		}
	}
	// The cover's list is what is in the packet.
	for _, b := range p.Sheets[0].Blocks {
		if b.Table != nil && b.Table.Heads[0] == "Sheet" {
			for i, r := range b.Table.Rows {
				if r[0] != p.Sheets[i].Code || r[1] != p.Sheets[i].Title {
					t.Errorf("cover row %d is %v, want %s %s", i, r, p.Sheets[i].Code, p.Sheets[i].Title)
				}
			}
		}
	}
}

// A block holds one kind of content, as the encoders rely on.
func TestBlocksHoldOneThing(t *testing.T) {
	for _, s := range sheet.Build(sample.MeetingHouse()).Sheets {
		for i, b := range s.Blocks {
			n := 0
			for _, set := range []bool{b.Heading != "", b.Text != "", len(b.Bullets) > 0, b.Table != nil, b.Drawing != nil, b.Caution != "", b.SignOff != nil, len(b.Facts) > 0, b.PageBreak, b.ColumnBreak} {
				if set {
					n++
				}
			}
			if n != 1 {
				t.Errorf("sheet %s block %d holds %d things, want 1", s.Code, i, n)
			}
			if b.Table != nil {
				for j, r := range b.Table.Rows {
					if len(r) != len(b.Table.Heads) {
						t.Errorf("sheet %s table %s row %d has %d cells, want %d", s.Code, b.Table.Name, j, len(r), len(b.Table.Heads))
					}
				}
				if b.Table.Align != "" && len(b.Table.Align) != len(b.Table.Heads) {
					t.Errorf("sheet %s table %s aligns %d columns of %d", s.Code, b.Table.Name, len(b.Table.Align), len(b.Table.Heads))
				}
				if len(b.Table.Widths) != 0 && len(b.Table.Widths) != len(b.Table.Heads) {
					t.Errorf("sheet %s table %s has %d widths for %d columns", s.Code, b.Table.Name, len(b.Table.Widths), len(b.Table.Heads))
				}
				for _, w := range b.Table.WriteIn {
					if !slices.Contains(b.Table.Heads, w) {
						t.Errorf("sheet %s table %s has no column %q to write in", s.Code, b.Table.Name, w)
					}
				}
			}
		}
	}
}

func texts(p sheet.Packet) []string {
	var out []string
	for _, s := range p.Sheets {
		out = append(out, s.Title, s.Words)
		for _, b := range s.Blocks {
			out = append(out, b.Heading, b.Text, b.Caution)
			out = append(out, b.Bullets...)
			for _, f := range b.Facts {
				out = append(out, f.Label, f.Value)
			}
			if b.SignOff != nil {
				out = append(out, b.SignOff.Role, b.SignOff.Text)
			}
			if b.Table != nil {
				out = append(out, b.Table.Heads...)
				out = append(out, b.Table.Note)
				for _, r := range b.Table.Rows {
					out = append(out, r...)
				}
			}
			if b.Drawing != nil {
				for _, it := range b.Drawing.Items {
					if it.Text != nil {
						out = append(out, it.Text.Value)
					}
				}
			}
		}
	}
	return out
}

// Nothing the tool says is a verdict on what guards people.
func TestNoVerdicts(t *testing.T) {
	verdict := regexp.MustCompile(`(?i)\b(ok|okay|safe|safely|compliant|complies|compliance|passes code|approved by us)\b`)
	for _, s := range texts(sheet.Build(sample.MeetingHouse())) {
		if m := verdict.FindString(s); m != "" {
			t.Errorf("%q says %q", s, m)
		}
	}
}

func TestOpenStopsAreSaid(t *testing.T) {
	in := sample.MeetingHouse()
	p := sheet.Build(in)
	if p.OpenStops != 2 {
		t.Fatalf("open stops %d, want 2", p.OpenStops)
	}
	if all := strings.Join(texts(p), "\n"); !strings.Contains(all, "Not for construction until signed. 2 findings") {
		t.Error("the cover does not say that two findings stop construction")
	}
	in.Findings = nil
	if all := strings.Join(texts(sheet.Build(in)), "\n"); strings.Contains(all, "Not for construction") {
		t.Error("the cover stops construction without a finding")
	}
}

// A sign-off hangs on the fingerprint: it lapses by itself when values change.
func TestClearingLapses(t *testing.T) {
	in := sample.MeetingHouse()
	f := in.Findings[0]
	in.Cleared = []sheet.Clearing{{Key: f.Key, Fingerprint: f.Fingerprint, By: "licensed electrician", Reason: "channel split", Date: "2026-11-20"}}
	if p := sheet.Build(in); p.OpenStops != 1 || !strings.Contains(strings.Join(texts(p), "\n"), "licensed electrician, 2026-11-20: channel split") {
		t.Errorf("open stops %d after a sign-off, want 1 and the sign-off on the sheet", p.OpenStops)
	}
	in.Cleared[0].Fingerprint = "of other values"
	if p := sheet.Build(in); p.OpenStops != 2 || !strings.Contains(strings.Join(texts(p), "\n"), "lapsed, the values have changed since 2026-11-20") {
		t.Errorf("open stops %d after the values changed, want 2 and a lapse on the sheet", p.OpenStops)
	}
}

// symbols returns where the units' symbols stand on a plan: circles filled with
// the colour of a circuit, unlike those of the legend.
func symbols(s drawing.Scene) [][2]float64 {
	var out [][2]float64
	for _, it := range s.Items {
		if c := it.Circle; c != nil && it.Layer == drawing.LayerUnits && math.Abs(c.R-1.7) < paperTolerance && *c.Fill != drawing.White {
			out = append(out, [2]float64{c.X, c.Y})
		}
	}
	return out
}

// Two known points stand on paper at their distance in the room divided by the
// scale that the sheet names.
func TestPlanIsTrueToScale(t *testing.T) {
	in := sample.MeetingHouse()
	for _, s := range []drawing.Scene{sheet.PlanScene(in), sheet.PlatformScene(in)} {
		at := symbols(s)
		if len(at) != len(in.Placed) {
			t.Fatalf("%s: %d symbols, want %d", s.Title, len(at), len(in.Placed))
		}
		for i := range at {
			for j := range at {
				d := in.Placed[i].At.Sub(in.Placed[j].At)
				want := math.Hypot(d.X, d.Y) * 1000 / s.Scale
				if got := math.Hypot(at[i][0]-at[j][0], at[i][1]-at[j][1]); math.Abs(got-want) > paperTolerance {
					t.Fatalf("%s: %s to %s is %g mm on paper, want %g", s.Title, in.Placed[i].ID, in.Placed[j].ID, got, want)
				}
			}
		}
		// Stage left is on the right, upstage is up.
		if c4, p1 := at[7], at[9]; c4[0] >= p1[0] {
			t.Errorf("%s: C4 (stage right) stands right of P1", s.Title)
		}
		if r1, k1 := at[0], at[12]; k1[1] >= r1[1] {
			t.Errorf("%s: K1 (upstage) stands below R1", s.Title)
		}
	}
}

// The number 1:n of the plan's title block is the scene's own.
func TestScaleIsNamed(t *testing.T) {
	in := sample.MeetingHouse()
	want := map[string]float64{"P3": sheet.PlanScene(in).Scale, "P3b": sheet.PlatformScene(in).Scale, "P4": sheet.SectionScene(in).Scale, "P4a": sheet.CrossScene(in).Scale, "P5": sheet.LightMapScene(in).Scale}
	for _, s := range sheet.Build(in).Sheets {
		if w, ok := want[s.Code]; ok && s.Scale != fmt.Sprintf("1:%.0f", w) {
			t.Errorf("sheet %s says %s, its scene is 1:%g", s.Code, s.Scale, w)
		}
	}
}

// The overall dimensions on plan and sections are the room's, and the three
// drawings agree.
func TestDimensionsAreTheRooms(t *testing.T) {
	in := sample.MeetingHouse()
	has := func(s drawing.Scene, metres float64) bool {
		want := si.FormatBoth(si.Length(metres), in.Display)
		for _, it := range s.Items {
			if it.Text != nil && it.Layer == drawing.LayerDimension && it.Text.Value == want {
				return true
			}
		}
		return false
	}
	length, width, height := 58*0.3048, 46*0.3048, 26*0.3048
	if s := sheet.PlanScene(in); !has(s, length) || !has(s, width) {
		t.Error("the plan lacks 58 ft or 46 ft")
	}
	if s := sheet.SectionScene(in); !has(s, length) || !has(s, height) {
		t.Error("the long section lacks 58 ft or 26 ft")
	}
	if s := sheet.CrossScene(in); !has(s, width) || !has(s, height) {
		t.Error("the cross section lacks 46 ft or 26 ft")
	}
}

func TestSectionNamesElevations(t *testing.T) {
	var all []string
	for _, it := range sheet.SectionScene(sample.MeetingHouse()).Items {
		if it.Text != nil {
			all = append(all, it.Text.Value)
		}
	}
	for _, want := range []string{"R1 R2  38.6°", "T1 T2  50.2°", "K3  67.3°", "P1  38.3°"} {
		if !slices.Contains(all, want) {
			t.Errorf("the section does not say %q", want)
		}
	}
}

// table finds a named table of the packet.
func table(t *testing.T, p sheet.Packet, name string) *sheet.Table {
	t.Helper()
	for _, s := range p.Sheets {
		for _, b := range s.Blocks {
			if b.Table != nil && b.Table.Name == name {
				return b.Table
			}
		}
	}
	t.Fatalf("no table %s", name)
	return nil
}

func TestSchedulesShowTheResults(t *testing.T) {
	p := sheet.Build(sample.MeetingHouse())
	plain := strings.NewReplacer("\u00a0", " ", "\n", " ")
	for _, c := range []struct{ table, first, head, want string }{
		{"hanging_schedule", "R1", "Offset", "−4 ft (−1.22 m)"},
		{"hanging_schedule", "R1", "Trim", "18 ft 6 in (5.64 m)"},
		{"hanging_schedule", "R1", "Tilt, pan", "38.6° ± 0.4° down 32.6° from stage right"},
		{"hanging_schedule", "C4", "Branch, place", "A, 10"},
		{"hanging_schedule", "K1", "Tilt, pan", "59.4° ± 0.4° down from behind"},
		{"hanging_schedule", "G2", "Universe / slots", "1 / 45–48"},
		{"focus_notes", "5", "Edges", "top edge down to below screen front, 11 ft 6 in (3.51 m); barn doors"},
		{"focus_notes", "1", "Edges", "barn doors"},
		{"circuits", "W1a", "A", "7.24"},
		{"circuits", "W1a", "A for sizing", "9.05"},
		{"load_by_step", "all new on, nothing removed", "Against the limit", "ABOVE on L2: not in this order"},
		{"load_by_step", "all new on, nothing removed", "L2 current", "104.2 A"},
		{"load_by_step", "today", "Against the limit", "below the planning limit"},
		{"light_by_zone", "choir", "Average", "447 lx (42 fc)"},
		{"line_loads", "W1", "Added, all", "312.6 lb (141.8 kg)"},
		{"line_loads", "W1", "There already", "unknown"},
		{"data_branches", "A", "Length", "102 ft (31.09 m)"},
		{"stages", "A", "With the sum for surprises", "14 285.04 XTS"},
		{"stages", "All", "With the sum for surprises", "23 390.29 XTS"},
		{"lines", "rod near", "Result", "refused"},
		{"suspects", "m07", "The others say", "58 ft (17.68 m)"},
	} {
		tb := table(t, p, c.table)
		col := slices.Index(tb.Heads, c.head)
		found := false
		for _, r := range tb.Rows {
			if r[0] == c.first && col >= 0 {
				found = true
				if got := plain.Replace(r[col]); got != c.want {
					t.Errorf("%s, %s, %s = %q, want %q", c.table, c.first, c.head, got, c.want)
				}
			}
		}
		if !found {
			t.Errorf("%s has no row %s or column %s", c.table, c.first, c.head)
		}
	}
}

func TestVoteNamesTheOfferedSplit(t *testing.T) {
	all := strings.ReplaceAll(strings.Join(texts(sheet.Build(sample.MeetingHouse())), "\n"), "\u00a0", " ")
	if !strings.Contains(all, "up to a sum of 15 770.59 XTS including 10 %") {
		t.Error("the words for the minutes lack the sum of the better split")
	}
	in := sample.MeetingHouse()
	in.Estimate.Offer = nil
	all = strings.ReplaceAll(strings.Join(texts(sheet.Build(in)), "\n"), "\u00a0", " ")
	if !strings.Contains(all, "up to a sum of 14 285.04 XTS including 10 %") {
		t.Error("the words for the minutes lack the sum of stage A")
	}
}

func TestMetricDisplay(t *testing.T) {
	in := sample.MeetingHouse()
	in.Display, in.Profile.Paper = si.Metric, "A3"
	p := sheet.Build(in)
	if p.Paper != "A3" {
		t.Errorf("paper %s, want A3", p.Paper)
	}
	for _, r := range table(t, p, "hanging_schedule").Rows {
		if r[0] == "R1" && strings.ReplaceAll(r[5], "\u00a0", " ") != "5.64 m\n(18 ft 6 in)" {
			t.Errorf("trim of R1 %q", r[5])
		}
	}
	if s := sheet.PlanScene(in); s.Scale != 100 {
		t.Errorf("metric plan at 1:%g, want 1:100", s.Scale)
	}
}

func TestBuildIsTheSameTwice(t *testing.T) {
	a, b := texts(sheet.Build(sample.MeetingHouse())), texts(sheet.Build(sample.MeetingHouse()))
	if !slices.Equal(a, b) {
		t.Error("two builds of one input differ")
	}
}

// Every text of every drawing lies on its drawing.
func checkScenes(t interface{ Fatalf(string, ...any) }, p sheet.Packet) {
	for _, s := range p.Sheets {
		for _, b := range s.Blocks {
			if b.Drawing == nil {
				continue
			}
			_, _, w, h := sheet.PageOf(p.Paper).Frame()
			if b.Drawing.WidthMM > w+paperTolerance || b.Drawing.HeightMM > h+paperTolerance {
				t.Fatalf("sheet %s: drawing of %g × %g mm in a frame of %g × %g", s.Code, b.Drawing.WidthMM, b.Drawing.HeightMM, w, h)
			}
			page := drawing.Rect{X: -0.5, Y: -0.5, W: b.Drawing.WidthMM + 1, H: b.Drawing.HeightMM + 1}
			for _, it := range b.Drawing.Items {
				if it.Text == nil {
					continue
				}
				if box := drawing.TextBox(*it.Text); !box.Inside(page) {
					t.Fatalf("sheet %s: %q reaches over the drawing: %+v in %g × %g", s.Code, it.Text.Value, box, b.Drawing.WidthMM, b.Drawing.HeightMM)
				}
			}
		}
	}
}

func TestDrawingsKeepTheirTexts(t *testing.T) {
	in := sample.MeetingHouse()
	checkScenes(t, sheet.Build(in))
	in.Display, in.Profile.Paper = si.Metric, "A3"
	checkScenes(t, sheet.Build(in))
	checkScenes(t, sheet.Build(sheet.Input{}))
}

// Odd but possible projects build every sheet.
func TestAnyInputBuilds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := wild(t)
		p := sheet.Build(in)
		if len(p.Sheets) != len(sheet.Kinds()) {
			t.Fatalf("%d sheets, want %d", len(p.Sheets), len(sheet.Kinds()))
		}
		checkScenes(t, p)
		for _, s := range p.Sheets {
			for _, b := range s.Blocks {
				if b.Drawing == nil {
					continue
				}
				if c := drawing.Collisions(*b.Drawing, glyphTolerance); len(c) > 0 {
					t.Fatalf("%s, %s: %q and %q share %.2f mm²", s.Code, b.Drawing.Title, c[0].A, c[0].B, c[0].MM2)
				}
			}
		}
	})
}

// glyphTolerance is what the boxes of two texts may share, mm²: less than the
// white inside one letter.
const glyphTolerance = 0.05

// wild makes an input with any number of everything, names of any characters
// and values that may be missing, huge or not a number.
func wild(t *rapid.T) sheet.Input {
	name := rapid.OneOf(rapid.StringN(0, 40, -1), rapid.StringMatching(`[A-Za-zÅøłЖ語 ]{0,160}`), rapid.Just("=1+1"), rapid.Just(""))
	num := rapid.OneOf(rapid.Float64Range(-30, 30), rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), 1e9, -1e-9}))
	count := func(label string, most int) int {
		return rapid.OneOf(rapid.Just(0), rapid.IntRange(0, most)).Draw(t, label)
	}
	vec := func() geom.Vec {
		return geom.Vec{X: num.Draw(t, "x"), Y: num.Draw(t, "y"), Z: num.Draw(t, "z")}
	}
	poly := func() geom.Polygon {
		var p geom.Polygon
		for range count("corners", 6) {
			p = append(p, vec())
		}
		return p
	}
	typed := func() si.Typed[si.Length] {
		return si.Typed[si.Length]{Value: si.Length(num.Draw(t, "typed")), Set: rapid.Bool().Draw(t, "set"), Text: name.Draw(t, "text")}
	}
	in := sheet.Input{
		Name: name.Draw(t, "name"), Town: name.Draw(t, "town"), Revision: name.Draw(t, "rev"), Date: name.Draw(t, "date"), Status: name.Draw(t, "status"),
		Display: rapid.SampledFrom([]si.Display{si.Metric, si.US}).Draw(t, "display"),
	}
	in.Room.Footprint, in.Room.Platform.Outline = poly(), poly()
	in.Room.Ceiling = room.Ceiling{Eaves: si.Length(num.Draw(t, "eaves")), Ridge: si.Length(num.Draw(t, "ridge")), RidgeAlongY: rapid.Bool().Draw(t, "along"), HalfWidth: si.Length(num.Draw(t, "half"))}
	for range count("lines", 12) {
		in.Room.Lines = append(in.Room.Lines, room.Line{Name: name.Draw(t, "line"), From: vec(), To: vec(), Forbidden: name.Draw(t, "why")})
	}
	for range count("screens", 4) {
		in.Room.Screens = append(in.Room.Screens, room.Screen{Name: name.Draw(t, "screen"), Corners: poly(), Bottom: si.Length(num.Draw(t, "bottom"))})
	}
	for range count("solids", 5) {
		in.Room.Solids = append(in.Room.Solids, room.Solid{Name: name.Draw(t, "solid"), Faces: []geom.Polygon{poly(), poly()}, Base: vec()})
	}
	for range count("seating", 3) {
		b := room.Seating{Name: name.Draw(t, "block")}
		for range count("rows", 5) {
			b.Rows = append(b.Rows, room.SeatRow{Left: vec(), Right: vec()})
		}
		in.Room.Seating = append(in.Room.Seating, b)
	}
	for range count("zones", 8) {
		in.Brief.Zones = append(in.Brief.Zones, brief.Zone{Name: name.Draw(t, "zone"), MinX: typed(), MaxX: typed(), MinY: typed(), MaxY: typed(), Priority: rapid.IntRange(-1, 3).Draw(t, "prio")})
		z := light.Zone{Name: name.Draw(t, "zone"), AverageLx: num.Draw(t, "lx"), TargetLx: num.Draw(t, "target")}
		for range count("faces", 6) {
			z.Faces = append(z.Faces, light.Face{Name: name.Draw(t, "face"), At: vec(), VerticalLx: num.Draw(t, "lx")})
		}
		in.Light.Zones = append(in.Light.Zones, z)
	}
	branches := []network.Branch{{Name: name.Draw(t, "branch")}, {Name: name.Draw(t, "branch"), LengthM: num.Draw(t, "length")}}
	circuits := []electrical.Circuit{{Name: name.Draw(t, "circuit"), CurrentA: num.Draw(t, "a")}}
	for i := range count("units", 60) {
		id := fmt.Sprintf("%s%d", name.Draw(t, "unit"), i)
		line := ""
		if len(in.Room.Lines) > 0 {
			line = in.Room.Lines[i%len(in.Room.Lines)].Name
		}
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: id, Line: line, Fixture: name.Draw(t, "fixture"), FieldDeg: num.Draw(t, "field")}, At: vec(), Target: vec()})
		in.Light.Units = append(in.Light.Units, light.Unit{ID: id, ElevationDeg: num.Draw(t, "elevation"), BearingDeg: num.Draw(t, "bearing"), UpperEdgeM: num.Draw(t, "edge")})
		branches[i%2].Units = append(branches[i%2].Units, id)
		circuits[0].Units = append(circuits[0].Units, id)
		in.Network.Addresses = append(in.Network.Addresses, network.Address{Unit: id, Universe: 1, Start: 1 + i, Slots: 1, End: 1 + i})
	}
	in.Network.Branches, in.Load.Circuits = branches, circuits
	for range count("steps", 5) {
		in.Load.Steps = append(in.Load.Steps, electrical.Step{Name: name.Draw(t, "step"), Legs: []electrical.Leg{{Name: name.Draw(t, "leg"), CurrentA: num.Draw(t, "a"), LimitA: num.Draw(t, "limit")}}})
	}
	for range count("findings", 30) {
		in.Findings = append(in.Findings, finding.Finding{Code: name.Draw(t, "code"), Subject: name.Draw(t, "subject"), Severity: rapid.SampledFrom([]finding.Severity{finding.Note, finding.Warn, finding.Stop}).Draw(t, "severity"),
			Owner: finding.Leadership, Value: num.Draw(t, "value"), HasValue: true, Unit: rapid.SampledFrom([]string{"m", "deg", "lx", "kg", "%", "A", ""}).Draw(t, "unit")})
	}
	for range count("hanging", 4) {
		in.Hanging.Lines = append(in.Hanging.Lines, hanging.Line{Name: name.Draw(t, "line"), AddedKg: num.Draw(t, "kg"), MaxDeflectionM: num.Draw(t, "deflection")})
	}
	for range count("looks", 14) {
		in.Presets.Looks = append(in.Presets.Looks, preset.Look{Name: name.Draw(t, "look"), HousePct: num.Draw(t, "house")})
	}
	for range count("prices", 10) {
		in.Estimate.Lines = append(in.Estimate.Lines, cost.Line{Text: name.Draw(t, "item"), Phase: name.Draw(t, "phase"), Quantity: num.Draw(t, "quantity"), UnitMinor: rapid.Int64().Draw(t, "minor")})
	}
	for range count("tasks", 70) {
		k := phase.Task{ID: name.Draw(t, "task"), Name: name.Draw(t, "what"), Phase: name.Draw(t, "phase")}
		if rapid.Bool().Draw(t, "dated") {
			k.Start = time.Date(2026, 1, 1+rapid.IntRange(0, 4000).Draw(t, "start"), 0, 0, 0, 0, time.UTC)
			k.End = k.Start.AddDate(0, 0, rapid.IntRange(-5, 90).Draw(t, "days"))
		}
		in.Phases.Tasks = append(in.Phases.Tasks, k)
	}
	for range count("panels", 3) {
		in.Survey.Panels = append(in.Survey.Panels, survey.Panel{Name: name.Draw(t, "panel"), At: survey.Place{X: typed(), Y: typed()}})
	}
	if rapid.Bool().Draw(t, "map") {
		n := rapid.IntRange(0, 12).Draw(t, "cells")
		f := drawing.Field{Title: name.Draw(t, "title"), StepM: num.Draw(t, "cell"), MinX: num.Draw(t, "minx"), MinY: num.Draw(t, "miny"), Cols: n, Rows: n}
		for range n * n {
			f.Values = append(f.Values, num.Draw(t, "lx"))
		}
		in.Maps = []drawing.Field{f}
	}
	return in
}

func BenchmarkBuild(b *testing.B) {
	in := sample.MeetingHouse()
	for b.Loop() {
		sheet.Build(in)
	}
}

// TestLightTables: the tables over zones, cameras, looks and the sun show what the
// light and daylight stages found, the sun by month with its largest patch.
func TestLightTables(t *testing.T) {
	in := sample.MeetingHouse()
	at := func(month time.Month, day, hour int) time.Time {
		return time.Date(2027, month, day, hour, 0, 0, 0, time.UTC)
	}
	in.Daylight.Hours = []daylight.Hour{{Service: "morning", When: at(2, 7, 11), FaceLx: 900}}
	in.Daylight.Sun = []daylight.SunTime{
		{Service: "morning", When: at(2, 7, 11), AreaM2: 1.5, MostLx: 9000, Windows: []string{"south 1"}},
		{Service: "morning", When: at(2, 14, 11), AreaM2: 2.5, MostLx: 8000, Windows: []string{"south 1", "south 2"}, Blind: true},
		{Service: "morning", When: at(3, 7, 11), AreaM2: .4, MostLx: 7000, Windows: []string{"south 2"}},
	}
	in.Light.Zones[0].Area = []light.Quantity{{Kind: "camera", Camera: "C1", AverageLx: 400, MinLx: 200, MaxLx: 600, Evenness: .5, IndirectLx: 20}}
	in.Light.Zones[0].AreaStepM = .5
	in.Light.Cameras = []light.Camera{{Name: "C1", SpreadStops: .4, SpreadMired: 12, SpreadDuv: math.NaN(), Zones: []light.CameraZone{{Zone: "choir", FaceLx: 410, CCTK: 3985, Duv: .001, OffStops: -.5}}}}
	in.Looks = []light.LookReport{{Name: "Talk", HousePct: 50, Light: light.Report{Zones: []light.Zone{{Name: "choir", AverageLx: 120}}, Screens: []light.Screen{{Name: "main", AmbientContrast: 22, Class: "basic decisions"}}}}}
	p := sheet.Build(in)
	row := func(name string, n int) string {
		return strings.NewReplacer("\u00a0", " ", "\n", " ").Replace(strings.Join(table(t, p, name).Rows[n], " | "))
	}
	for _, c := range []struct {
		table string
		row   int
		want  []string
	}{
		{"sun_on_platform", 0, []string{"morning | February 2027 | 2 | 2.5 m²", "14 February, 11:00", "south 1, south 2 | on all of them"}},
		{"sun_on_platform", 1, []string{"March 2027 | 1 | 0.4 m²", "| none"}},
		{"light_over_zones", 0, []string{"faces to C1 | 400 lx", "| 0.50 |"}},
		{"cameras", 0, []string{"C1 | evening | choir | 410 lx", "−0.5 stops", "4000 K", "0.4 stops, 12 mired"}},
		{"look_light", 0, []string{"Talk | choir | 120 lx", "main, 22 : 1, basic decisions"}},
	} {
		got := row(c.table, c.row)
		for _, w := range c.want {
			if !strings.Contains(got, w) {
				t.Errorf("%s: %q lacks %q", c.table, got, w)
			}
		}
	}
}
