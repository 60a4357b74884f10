package light

import (
	"math"
	"sort"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
)

// The tolerances of a hand calculation with inputs rounded to two decimals of a
// foot.
const (
	handDeg  = 0.5
	handLen  = 0.02 // relative
	handLux  = 0.04 // relative
	handFoot = 0.15 // of heights printed to a tenth of a foot
)

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.4g, want %.4g ± %.2g", what, got, want, tol)
	}
}

func evaluateHouse(t testing.TB) (Report, []finding.Finding) {
	t.Helper()
	return Evaluate(meetingHouseInput())
}

func TestUnitTable(t *testing.T) {
	rep, _ := evaluateHouse(t)
	for i, w := range meetingHouseUnits {
		u := rep.Units[i]
		within(t, w.id+" elevation", u.ElevationDeg, w.elevation, handDeg)
		within(t, w.id+" bearing", math.Abs(turnDeg(u.BearingDeg, w.side)), 0, handDeg)
		within(t, w.id+" throw", u.ThrowM/foot, w.throwFt, handLen*w.throwFt)
		within(t, w.id+" field diameter", u.FieldDiameterM/foot, w.diameterFt, handLen*w.diameterFt)
		within(t, w.id+" normal", u.NormalLx, w.normal, handLux*w.normal)
		within(t, w.id+" vertical", u.VerticalLx, w.vert, handLux*w.vert)
		if math.IsNaN(w.upperEdgeFt) != math.IsNaN(u.UpperEdgeM) {
			t.Errorf("%s upper edge %v", w.id, u.UpperEdgeM)
		} else if !math.IsNaN(w.upperEdgeFt) {
			within(t, w.id+" upper edge", u.UpperEdgeM/foot, w.upperEdgeFt, handFoot)
		}
		if u.Shadowed != "" {
			t.Errorf("%s is shadowed by %s", w.id, u.Shadowed)
		}
	}
}

func zoneNamed(t testing.TB, rep Report, name string) Zone {
	t.Helper()
	for _, z := range rep.Zones {
		if z.Name == name {
			return z
		}
	}
	t.Fatalf("no zone %s", name)
	return Zone{}
}

func TestSumsOfPartners(t *testing.T) {
	in := meetingHouseInput()
	for i := range in.Sources {
		if in.Sources[i].ID == "G1" {
			in.Sources[i].Level = 0.6
		}
	}
	rep, _ := Evaluate(in)
	reader, choir := zoneNamed(t, rep, "reader").Faces[0], zoneNamed(t, rep, "choir").Faces
	for what, v := range map[string][2]float64{
		"reader":       {reader.OwnLx, 492},
		"reader fill":  {reader.FillLx, 90},
		"table":        {zoneNamed(t, rep, "table").KeyLx, 401},
		"choir left":   {choir[0].OwnLx, 443},
		"choir middle": {choir[1].OwnLx, 449},
		"choir right":  {choir[2].OwnLx, 449},
		"pianist":      {zoneNamed(t, rep, "piano").KeyLx, 441},
		"mean of keys": {rep.Balance.MeanLx, 446},
	} {
		within(t, what, v[0], v[1], handLux*v[1])
	}
	within(t, "largest step", rep.Balance.Step, 1.23, 0.02)
	if rep.Balance.Bright != "reader" || rep.Balance.Darkest != "table" {
		t.Errorf("brightest %s, darkest %s", rep.Balance.Bright, rep.Balance.Darkest)
	}
	for _, f := range choir {
		if f.VerticalLx < f.OwnLx {
			t.Errorf("%s: all units give less than its own", f.Name)
		}
	}
	within(t, "spread at the middle", choir[1].PlanSpreadDeg, 62, 1)
	within(t, "spread at the left", choir[0].PlanSpreadDeg, 67.9, 1)
}

func TestChoirLeftWithFullPartner(t *testing.T) {
	rep, _ := evaluateHouse(t)
	f := zoneNamed(t, rep, "choir").Faces[0]
	within(t, "own light", f.OwnLx, 580, handLux*580)
	within(t, "from the left of it", f.LeftLx+f.RightLx, f.VerticalLx, 1e-9*f.VerticalLx)
}

func TestBackLightAgainstKey(t *testing.T) {
	rep, fs := evaluateHouse(t)
	for zone, w := range map[string][2]float64{"reader": {797, 1.62}, "table": {475, 1.18}, "piano": {740, 1.68}} {
		z := zoneNamed(t, rep, zone)
		within(t, zone+" back", z.OwnBackLx, w[0], handLux*w[0])
		within(t, zone+" ratio", z.BackRatio, w[1], handLux*w[1])
	}
	wantSubjects(t, fs, "LIGHT_BACK_OVER_KEY", "zone piano", "zone reader")
}

// wantSubjects compares the subjects of a code's findings, in any order.
func wantSubjects(t *testing.T, fs []finding.Finding, code string, want ...string) {
	t.Helper()
	var got []string
	for _, f := range fs {
		if f.Code == code {
			got = append(got, f.Subject)
		}
	}
	sort.Strings(got)
	sort.Strings(want)
	if strings.Join(got, "; ") != strings.Join(want, "; ") {
		t.Errorf("%s about %q, want %q", code, got, want)
	}
}

func findingAbout(t *testing.T, fs []finding.Finding, code, subject string) finding.Finding {
	t.Helper()
	for _, f := range fs {
		if f.Code == code && f.Subject == subject {
			return f
		}
	}
	t.Fatalf("no %s about %s", code, subject)
	return finding.Finding{}
}

func TestScreenEdges(t *testing.T) {
	_, fs := evaluateHouse(t)
	wantSubjects(t, fs, "LIGHT_SCREEN_EDGE", "unit C1 on screen", "unit C2 on screen",
		"unit C3 on screen", "unit C4 on screen", "unit C5 on screen")
	f := findingAbout(t, fs, "LIGHT_SCREEN_EDGE", "unit C2 on screen")
	within(t, "edge", f.Value/foot, 12.3, handFoot)
	within(t, "limit", f.Limit/foot, 11.0, 0.02) // 0.15 m is 0.49 ft
}

// TestScreenEdgeBehindBlades: a blade from the top that ends the field under the
// picture ends the finding too, one that stops short of that does not, and one
// from the side changes nothing; the unit's own upper edge follows the blade.
func TestScreenEdgeBehindBlades(t *testing.T) {
	edge := func(blade photometry.Blade) (finds bool, value, upper float64) {
		in := meetingHouseInput()
		var k int
		for i, s := range in.Sources {
			if s.ID == "C2" {
				in.Sources[i].Dist = photometry.NewCut(s.Dist, blade)
				k = i
			}
		}
		rep, fs := Evaluate(in)
		for _, f := range fs {
			if f.Code == "LIGHT_SCREEN_EDGE" && f.Subject == "unit C2 on screen" {
				finds, value = true, f.Value
			}
		}
		return finds, value / foot, rep.Units[k].UpperEdgeM / foot
	}
	_, _, open := edge(photometry.Blade{SideDeg: 0, OffAxisDeg: 60})
	finds, _, under := edge(photometry.Blade{SideDeg: 90, OffAxisDeg: 4})
	if finds {
		t.Error("a blade that ends the field under the picture is not believed")
	}
	if !(under < open-1) {
		t.Errorf("upper edge %v ft behind a blade, %v open", under, open)
	}
	finds, value, _ := edge(photometry.Blade{SideDeg: 90, OffAxisDeg: 18})
	if !finds || !(value > 11 && value < 12.3) {
		t.Errorf("a blade set too high: %v at %v ft", finds, value)
	}
	// A field that ends under the picture, within what must stay dark there, is told.
	in := meetingHouseInput()
	e := &evaluator{in: in, sc: NewScene(in.Room), loss: 1}
	sc := in.Room.Screens[0]
	bottom := math.Inf(1)
	for _, c := range sc.Corners {
		bottom = math.Min(bottom, c.Z)
	}
	under15 := false
	for deg := 4.0; deg < 18; deg += .25 {
		for _, s := range in.Sources {
			if s.ID == "C2" {
				h, ok := e.cutOnScreen(s, photometry.NewCut(s.Dist, photometry.Blade{SideDeg: 90, OffAxisDeg: deg}).(photometry.Cut), sc)
				under15 = under15 || ok && h > bottom-underScreenM && h < bottom
			}
		}
	}
	if !under15 {
		t.Error("no blade's edge is seen in the band under the picture")
	}
	if finds, _, _ = edge(photometry.Blade{SideDeg: 0, OffAxisDeg: 60}); !finds {
		t.Error("a blade beside the field hides it")
	}
}

func TestScreenSpill(t *testing.T) {
	rep, fs := evaluateHouse(t)
	s := rep.Screens[0]
	if !(s.AverageLx > 0) || s.MaxLx < s.AverageLx || s.Worst == "" {
		t.Fatalf("screen %+v", s)
	}
	within(t, "share of white", s.SpillPct, s.AverageLx/500*100, 1e-9)
	if s.SpillPct > 5 {
		findingAbout(t, fs, "LIGHT_SCREEN_SPILL", "screen")
	}
}

func TestLowestEyes(t *testing.T) {
	rep, fs := evaluateHouse(t)
	lowest := math.Inf(1)
	for _, u := range rep.Units {
		if !strings.HasPrefix(u.ID, "K") {
			continue
		}
		within(t, u.ID+" from the first row", u.FirstRowDeg, 38.4, handDeg)
		if !strings.Contains(u.LowestEye, "gallery") {
			t.Errorf("%s lowest from %q", u.ID, u.LowestEye)
		}
		lowest = math.Min(lowest, u.LowestEyeDeg)
	}
	within(t, "lowest of all", lowest, 9.4, handDeg) // of the named gallery front eyes 9.4° to 17.1°
	wantSubjects(t, fs, "LIGHT_EYE_GLARE", "unit K1", "unit K2", "unit K3")
}

func TestLowRailIsInTheEyes(t *testing.T) {
	in := meetingHouseInput()
	rail := in.Sources[0]
	rail.ID, rail.At = "rear rail", ft(4, 34.5, 11)
	in.Sources = append(in.Sources, rail)
	rep, fs := Evaluate(in)
	within(t, "elevation", rep.Units[len(rep.Units)-1].ElevationDeg, 6.7, handDeg)
	wantSubjects(t, fs, "LIGHT_SPEAKER_GLARE", "unit rear rail")
	f := findingAbout(t, fs, "LIGHT_SPEAKER_GLARE", "unit rear rail")
	if f.Value > 7 || f.Limit != 25 {
		t.Errorf("%v against %v", f.Value, f.Limit)
	}
}

func TestMirrorInPianoLid(t *testing.T) {
	rep, fs := evaluateHouse(t)
	seen := map[string]bool{}
	for _, m := range rep.Mirrors {
		seen[m.Source] = true
		if !m.Existing {
			t.Errorf("%s meets %s in the lid", m.Source, m.Eye)
		}
		if m.Source == "organ-case flood 5" && m.Eye == "right gallery eye" {
			within(t, "x in the lid", m.At.X/foot, 10.6, 0.1)
			within(t, "y in the lid", -m.At.Y/foot, -3.5, 0.1)
		}
	}
	if !seen["organ-case flood 5"] {
		t.Error("the flood at x = +5 is not mirrored")
	}
	for _, left := range []string{"1", "2", "3"} {
		if seen["organ-case flood "+left] {
			t.Errorf("left flood %s is mirrored", left)
		}
	}
	findingAbout(t, fs, "LIGHT_MIRROR_OLD", "light organ-case flood 5 in piano lid")
}

func TestWinterSunReachesTheReader(t *testing.T) {
	rep, fs := evaluateHouse(t)
	for _, h := range rep.Sun {
		if h.Face != "reader" {
			continue
		}
		if h.Window != "south window 1" {
			t.Errorf("through %s", h.Window)
		}
		within(t, "y at the wall", -h.At.Y/foot, 10.1, 0.1)
		within(t, "z at the wall", h.At.Z/foot, 20.6, 0.1)
		within(t, "off the face's axis", h.OffAxisDeg, -65, handDeg)
		within(t, "fill", h.FillPct, 18, 1)
		findingAbout(t, fs, "LIGHT_SUN_ON_FACE", "face reader, winter service")
		return
	}
	t.Error("the sun does not reach the reader")
}

func TestBellRopeAndRod(t *testing.T) {
	rep, fs := evaluateHouse(t)
	k := rep.KeepClear[0]
	within(t, "nearest lens", k.NearestM/foot, 3.2, handLen*3.2)
	if k.UnitsText != "C2 and C3" {
		t.Errorf("nearest lenses %s", k.UnitsText)
	}
	findingAbout(t, fs, "LIGHT_NEAR_KEEP_CLEAR", "bell rope")
	r1 := rep.Units[0]
	if r1.ClearanceOf != "rod near" {
		t.Errorf("R1 passes %s", r1.ClearanceOf)
	}
	within(t, "R1 under the rod", r1.CrossingM/foot, 2.3, 0.05)
	within(t, "R1 from the rod", r1.ClearanceM/foot, 1.70, 0.02) // point to line in the y–z plane, by hand
	findingAbout(t, fs, "LIGHT_NEAR_ROD", "line rod near")
}

func TestLensInsideTheSpaceToKeepClear(t *testing.T) {
	in := meetingHouseInput()
	in.Sources[0].At = ft(2.5, 11, 18.5)
	rep, fs := Evaluate(in)
	within(t, "distance", rep.KeepClear[0].NearestM/foot, 0.96, 0.02) // to the rope's surface
	within(t, "need", rep.KeepClear[0].NeedM/foot, 1.5, 1e-9)
	if rep.KeepClear[0].UnitsText != "R1" {
		t.Errorf("nearest %s", rep.KeepClear[0].UnitsText)
	}
	findingAbout(t, fs, "LIGHT_NEAR_KEEP_CLEAR", "bell rope")
}

func TestUncertaintyFollowsTheLine(t *testing.T) {
	// Closed form at 45° straight on: half the height error over the rise.
	in := meetingHouseInput()
	in.Room.Lines[0].SigmaZ, in.Room.Lines[0].SigmaY = 0.3, 0
	in.Sources = in.Sources[:1]
	in.Sources[0].Aim = ft(-4, 10-11.15, 18.5-11.15)
	rep, _ := Evaluate(in)
	rise := 11.15 * foot
	within(t, "sigma at 45°", rep.Units[0].SigmaElevationDeg, 0.5*0.3/rise*180/math.Pi, 1e-9)
	// 5 % in the throw along the rise is 10 % in the light.
	s, l := in.Sources[0], in.Room.Lines[0]
	within(t, "throw", sigmaThrow(s.At, s.Aim, l), 0.3*rise/(2*rise*rise), 1e-12)
	full, _ := evaluateHouse(t)
	if z := zoneNamed(t, full, "reader"); !(z.SigmaPct > 0 && z.SigmaPct < 3) { // people's heights, which nobody gave, are the most of it
		t.Errorf("zone average known to %v %%", z.SigmaPct)
	}
}

func TestShadowedUnitIsNamed(t *testing.T) {
	in := meetingHouseInput()
	in.Room.Solids = append(in.Room.Solids, ftBox("banner", ft(-1, 3, 8), ft(1, 3.5, 16)))
	rep, fs := Evaluate(in)
	if u := rep.Units[0]; u.Shadowed != "banner" || u.NormalLx != 0 {
		t.Errorf("R1 shadowed by %q with %v lx", u.Shadowed, u.NormalLx)
	}
	f := findingAbout(t, fs, "LIGHT_SHADOWED", "unit R1")
	if f.Args[0].Text != "banner" {
		t.Errorf("blocked by %q", f.Args[0].Text)
	}
}

func TestWindowAgainstFace(t *testing.T) {
	in := meetingHouseInput()
	in.Room.Windows[0].Polygon = nil // an odd one must not matter
	in.Room.Solids = nil             // the organ case hides the gable
	in.Room.Windows = append(in.Room.Windows, in.Room.Windows[1])
	w := &in.Room.Windows[len(in.Room.Windows)-1]
	w.Name = "gable"
	w.Polygon = nil
	for _, c := range [][3]float64{{-6, -13.5, 2}, {6, -13.5, 2}, {6, -13.5, 20}, {-6, -13.5, 20}} {
		w.Polygon = append(w.Polygon, ft(c[0], c[1], c[2]))
	}
	w.Luminance.Set, w.Luminance.Value = true, 6000
	rep, fs := Evaluate(in)
	for _, c := range rep.Windows {
		z := zoneNamed(t, rep, c.Zone)
		if c.Zone == "table" {
			within(t, "ratio", c.Ratio, 6000/(z.Faces[0].VerticalLx*0.35/math.Pi), 1e-6*c.Ratio)
			within(t, "needed", c.NeededLx, 6000/30*math.Pi/0.35, 1)
		}
	}
	findingAbout(t, fs, "LIGHT_WINDOW_CONTRAST", "window gable behind zone table")
	// 180 lx: 20 cd/m² and 299:1; even 1000 lx leaves 54:1.
	within(t, "face of 180 lx", FaceLuminance(180), 20.05, 0.01)
	within(t, "ratio at 180 lx", 6000/FaceLuminance(180), 299, 1)
	within(t, "ratio at 1000 lx", 6000/FaceLuminance(1000), 54, 0.5)
}

func TestTargets(t *testing.T) {
	in := meetingHouseInput()
	for i := range in.Sources {
		in.Sources[i].Level = 0.3
	}
	_, low := Evaluate(in)
	findingAbout(t, low, "LIGHT_TARGET_LOW", "zone piano")
	for i := range in.Sources {
		in.Sources[i].Level = 1
		in.Sources[i].Dist = doubled{in.Sources[i].Dist}
	}
	_, high := Evaluate(in)
	findingAbout(t, high, "LIGHT_TARGET_HIGH", "zone reader")
}

// TestPlainRooms holds single units against E = I·Δy/d³ worked by hand.
func TestPlainRooms(t *testing.T) {
	for _, tc := range []struct {
		what                 string
		before, lensZ, faceZ float64 // m before the face, heights
		x                    float64 // m to the side
		field, peak          float64
		elevation, throw     float64
		vertical, normal     float64
		diameter             float64
	}{
		// A low ceiling: 1.6 m before a face 0.85 m lower.
		{"small wash", 1.6, 2.75, 1.90, 0, 50, 2400, 28.0, 1.81, 647, 731, 1.69},
		{"fresnel too near", 1.6, 2.75, 1.90, 0, 50, 8200, 28.0, 1.81, 2210, 2500, 1.69},
		// A hall with frames: 4 m and 1.3 m to the side, cross-aimed.
		{"hall, outer", 5.3, 7.5, 2.2, 2.5, 25, 28000, 42.1, 7.90, 301, 448, 3.50},
		{"hall, inner", 5.3, 7.5, 2.2, 2.8, 25, 28000, 41.5, 8.00, 290, 437, 3.55},
	} {
		s := Source{ID: tc.what, Purpose: "front_wash", Level: 1, FieldDeg: tc.field,
			At: geom.Vec{X: tc.x, Y: -tc.before, Z: tc.lensZ}, Aim: geom.Vec{Z: tc.faceZ}, Dist: photometry.NewBeam(tc.field, 0, tc.peak)}
		rep, _ := Evaluate(Input{Sources: []Source{s}})
		u := rep.Units[0]
		within(t, tc.what+" elevation", u.ElevationDeg, tc.elevation, handDeg)
		within(t, tc.what+" throw", u.ThrowM, tc.throw, handLen*tc.throw)
		within(t, tc.what+" vertical", u.VerticalLx, tc.vertical, handLux*tc.vertical)
		within(t, tc.what+" normal", u.NormalLx, tc.normal, handLux*tc.normal)
		within(t, tc.what+" pool", u.FieldDiameterM, tc.diameter, handLen*tc.diameter)
	}
}
