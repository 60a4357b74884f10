package scheme

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

func mustPlace(t *testing.T, s Scheme, r room.Room, b brief.Brief, set catalogue.Set) []Placed {
	t.Helper()
	placed, _ := Place(PlaceInput{Scheme: s, Room: r, Brief: b, Catalogue: set, Book: book})
	return placed
}

func workedHouse(t *testing.T) CheckInput {
	r, b := meetingHouse()
	s := meetingHouseScheme()
	set := testFixtures()
	return CheckInput{Scheme: s, Placed: mustPlace(t, s, r, b, set), Room: r, Brief: b, Catalogue: set, Book: book, Region: "us"}
}

func find(fs []finding.Finding, code, subject string) (finding.Finding, bool) {
	for _, f := range fs {
		if f.Code == code && strings.Contains(f.Subject, subject) {
			return f, true
		}
	}
	return finding.Finding{}, false
}

func argOf(t *testing.T, f finding.Finding, name string) finding.Arg {
	t.Helper()
	for _, a := range f.Args {
		if a.Name == name {
			return a
		}
	}
	t.Fatalf("%s has no argument %s", f.Code, name)
	return finding.Arg{}
}

func without(in CheckInput, ids ...string) CheckInput {
	var kept []Placed
	for _, p := range in.Placed {
		drop := false
		for _, id := range ids {
			drop = drop || p.ID == id
		}
		if !drop {
			kept = append(kept, p)
		}
	}
	in.Placed = kept
	return in
}

func TestWorkedHouseUnitsHaveTheirAngles(t *testing.T) {
	in := workedHouse(t)
	want := map[string][2]float64{"R1": {38.6, -32.6}, "R2": {38.6, 32.6}, "T1": {50.2, -46.8}, "T2": {50.2, 46.8}, "C1": {33.5, 28.1},
		"C2": {32.7, 31}, "C3": {32.7, 31}, "C4": {32.7, -31}, "C5": {32.7, -31}, "P1": {38.3, 32.7}, "G1": {39.8, -39.8}, "G2": {29, 69.6},
		"K1": {59.4, 180}, "K2": {47.7, 180}, "K3": {67.3, 180}}
	for _, p := range in.Placed {
		w := want[p.ID]
		bearing := geom.BearingDeg(p.Target, p.At)
		if p.ID[0] == 'K' {
			bearing = math.Abs(bearing)
		}
		if e := elevationAtAim(p); !near(e, w[0], angleTolDeg) || !near(bearing, w[1], angleTolDeg) {
			t.Errorf("%s: elevation %.1f° bearing %.1f°, want %v", p.ID, e, bearing, w)
		}
	}
	if len(in.Placed) != len(want) {
		t.Errorf("placed %d, want %d", len(in.Placed), len(want))
	}
}

func TestEveryCheckFindingIsFilledIn(t *testing.T) {
	in := workedHouse(t)
	allFilled(t, Check(in))
	allFilled(t, Check(without(in, "G1", "K1", "K2", "K3", "R1")))
	r, b := aFrame()
	for i := range b.Zones {
		b.Zones[i].BackLight = "wanted"
	}
	_, placed := proposal(r, b, testFixtures())
	allFilled(t, Check(CheckInput{Placed: placed, Room: r, Brief: b, Catalogue: testFixtures(), Book: book}))
}

func TestWorkedHouseBreaksNoRuleOfPlacing(t *testing.T) {
	r, b := meetingHouse()
	_, fs := Place(PlaceInput{Scheme: meetingHouseScheme(), Room: r, Brief: b, Catalogue: testFixtures(), Book: book})
	if len(fs) != 0 {
		t.Errorf("findings %v", fs)
	}
}

func TestTheTableIsLitOnlyAcross(t *testing.T) {
	f, ok := find(Check(workedHouse(t)), "SCHEME_STRAIGHT_STEEP", "table")
	if !ok || !near(f.Value, 60.3, angleTolDeg) || !near(argOf(t, f, "crossed").Num, 50.2, angleTolDeg) || !near(math.Abs(argOf(t, f, "sideways").Num), 46.8, angleTolDeg) {
		t.Errorf("straight light of the table: %+v", f)
	}
	if _, ok := find(Check(workedHouse(t)), "SCHEME_STRAIGHT_STEEP", "reader"); ok {
		t.Error("the reader may be lit straight")
	}
}

func TestTheMissingChoirPartnerWouldHangInTheWall(t *testing.T) {
	in := workedHouse(t)
	fs := Check(without(in, "G1"))
	f, ok := find(fs, "SCHEME_CROSS_AIM", "choir aim -14")
	if !ok {
		t.Fatal("no finding for the outermost aim")
	}
	x := argOf(t, f, "x").Num / float64(feet)
	if !near(x, -23, 23*lengthTolPct/100) || !strings.Contains(argOf(t, f, "hint").Text, "wall") {
		t.Errorf("partner at %.1f ft, %s; want −23 ft, the wall", x, argOf(t, f, "hint").Text)
	}
	for _, subject := range []string{"choir aim -9", "choir aim -4", "reader", "table"} {
		if f, ok := find(fs, "SCHEME_CROSS_AIM", subject); ok {
			t.Errorf("%s has its partners, got %+v", subject, f)
		}
	}
	full := Check(in)
	if f, ok := find(full, "SCHEME_CROSS_AIM", "choir"); ok && f.Code == "SCHEME_CROSS_AIM" {
		t.Errorf("with the pier unit every aim has partners, got %+v", f)
	}
	later, ok := find(full, "SCHEME_CROSS_AIM_LATER", "choir aim -14")
	if !ok || argOf(t, later, "units").Text != "C1" {
		t.Errorf("until the second phase the outermost aim has C1 alone: %+v", later)
	}
}

func TestPartnersOfTheChoirAreSixtyTwoDegreesApart(t *testing.T) {
	in := workedHouse(t)
	c := checker{in: in}
	z := checkedZone{Zone: in.Brief.Zones[2], faces: zoneFaces(in.Brief.Zones[2], in.Room)}
	for i, want := range []float64{67.9, 62, 62} {
		units := c.meantFor(z, i, isKey)
		if got := planSpreadDeg(z.faces[i], units); !near(got, want, angleTolDeg) {
			t.Errorf("%s: %.1f° apart, want %.1f°", z.faces[i].name, got, want)
		}
	}
}

func TestBeamOptionsGiveTheWorkedLevels(t *testing.T) {
	options := BeamOptions(workedHouse(t))
	for _, want := range []struct {
		face       string
		field      float64
		lux, poolM float64
		chosen     bool
	}{
		{"aim -9", 40, 449, 15.1 * 0.3048, true},
		{"aim -9", 25, 1005, 9.2 * 0.3048, false},
		{"pianist", 25, 441, 9.4 * 0.3048, true},
		{"pianist", 40, 197, 0, false},
		{"reader", 40, 492, 13.8 * 0.3048, true},
		{"table", 40, 401, 12.5 * 0.3048, true},
		{"aim -14", 40, 443, 0, true},
	} {
		found := false
		for _, o := range options {
			if o.Face != want.face || o.FieldDeg != want.field {
				continue
			}
			found = true
			if !near(o.Lx, want.lux, want.lux*luxTolPct/100) || (want.poolM > 0 && !near(o.PoolM, want.poolM, want.poolM*lengthTolPct/100)) || o.Chosen != want.chosen || o.Matches != want.chosen {
				t.Errorf("%s at %.0f°: %+v, want %+v", want.face, want.field, o, want)
			}
		}
		if !found {
			t.Errorf("no option %s %.0f°", want.face, want.field)
		}
	}
	if f, ok := find(Check(workedHouse(t)), "SCHEME_BEAM_CHOICE", ""); ok {
		t.Errorf("every beam matches its level, got %+v", f)
	}
	in := workedHouse(t)
	for i := range in.Placed {
		if in.Placed[i].ID == "P1" {
			in.Placed[i].FieldDeg = 40
		}
	}
	f, ok := find(Check(in), "SCHEME_BEAM_CHOICE", "P1")
	if !ok || argOf(t, f, "better").Num != 25 || !near(argOf(t, f, "chosen_lx").Num, 197, 197*luxTolPct/100) {
		t.Errorf("the piano unit at 40° should be told of 25°: %+v", f)
	}
}

func TestDoubtedHeightShowsTheAngleItWouldGive(t *testing.T) {
	in := workedHouse(t)
	in.Room.Suspects = []room.Suspect{{Measurement: "m7", Text: "10 ft 0 in", Line: "W1", Alternative: feet.l(10)}}
	f, ok := find(Check(in), "SCHEME_DOUBTED_HEIGHT", "line W1")
	if !ok || argOf(t, f, "unit").Text != "R1" || !near(argOf(t, f, "then").Num, 8.3, angleTolDeg) || !near(argOf(t, f, "now").Num, 38.6, angleTolDeg) {
		t.Errorf("got %+v, want 8.3° instead of 38.6°", f)
	}
}

func TestBackLightLeftOutOfTheChoirShowsItsNumbers(t *testing.T) {
	fs := Check(workedHouse(t))
	f, ok := find(fs, "SCHEME_BACK_LEFT_OUT", "choir")
	if !ok {
		t.Fatal("no finding")
	}
	if pool := argOf(t, f, "pool").Num; argOf(t, f, "line").Text != "W2" || !strings.Contains(argOf(t, f, "angles").Text, "aim -9 68.2°") ||
		argOf(t, f, "count").Num != 4 || !near(pool, 5.4*0.3048, pool*lengthTolPct/100) {
		t.Errorf("got %+v, want W2 at 68.2° with four pools of 5.4 ft", f)
	}
	for _, code := range []string{"SCHEME_BACK_LOW", "SCHEME_BACK_STEEP", "SCHEME_BACK_ANGLE", "SCHEME_BACK_NOT_BEHIND"} {
		if f, ok := find(fs, code, ""); ok {
			t.Errorf("the three back lights lie in the band, got %+v", f)
		}
	}
}

func TestFillFromThePierIsNoKey(t *testing.T) {
	fs := Check(workedHouse(t))
	for _, code := range []string{"SCHEME_ELEVATION_LOW", "SCHEME_SIDE_ANGLE", "FRONT_ELEVATION_HIGH"} {
		if f, ok := find(fs, code, ""); ok {
			t.Errorf("got %+v", f)
		}
	}
	if _, ok := find(fs, "SCHEME_ELEVATION_ASK", "unit C2"); !ok {
		t.Error("the choir's 32.7° is outside the usual band and should be noted")
	}
}

func TestRearRailIsRefusedAsMainLight(t *testing.T) {
	in := workedHouse(t)
	in.Placed = append(without(in, "R1", "R2").Placed, Placed{Unit: Unit{ID: "X1", Fixture: "T-FRE", FieldDeg: 15, Line: "rear gallery rail", Zone: "reader", Purpose: FrontWash},
		At: feet.at(4, 34.5, 11), Target: feet.at(4, -2.5, 6.67)})
	fs := Check(in)
	if f, ok := find(fs, "SCHEME_ELEVATION_LOW", "X1"); !ok || !near(f.Value, 6.7, angleTolDeg) {
		t.Errorf("got %+v", f)
	}
}

func hung(id, line, zoneName string, purpose Purpose, at, target geom.Vec) Placed {
	return Placed{Unit: Unit{ID: id, Fixture: "T-SML", FieldDeg: 50, Line: line, Zone: zoneName, Purpose: purpose}, At: at, Target: target}
}

func TestLowRoomFindsHandsSprinklersAndBackLight(t *testing.T) {
	r, b := shopUnit()
	face := metres.at(0, -1, 1.9)
	in := CheckInput{Room: r, Brief: b, Catalogue: testFixtures(), Book: book, Survey: survey.Survey{Site: survey.Site{Sprinklers: "present"}},
		Placed: []Placed{
			hung("A1", "first row", "platform", FrontWash, metres.at(0, 1.6, 2.75), metres.at(0, 0, 1.9)),
			hung("A2", "second row", "platform", FrontWash, metres.at(0, -0.7, 2.75), metres.at(0, -2, 1.9)),
			hung("K1", "back", "platform", BackLight, metres.at(0, -2.85, 2.75), face),
		}}
	head := metres.at(1, 2, 2.93)
	in.Room.Solids = []room.Solid{{Name: "sprinkler head 1", Faces: []geom.Polygon{{head, head.Add(geom.Vec{X: 0.05}), head.Add(geom.Vec{Y: 0.05})}}}}
	fs := Check(in)
	if f, ok := find(fs, "SCHEME_HAND_REACH", "A2"); !ok || !near(f.Value, 0, 1e-9) || !near(argOf(t, f, "hand").Num, 2.60, 1e-9) || !near(argOf(t, f, "bottom").Num, 2.60, 1e-9) {
		t.Errorf("hand over the platform: %+v", f)
	}
	if f, ok := find(fs, "SCHEME_HAND_REACH", "A1"); ok {
		t.Errorf("over the floor a hand does not reach: %+v", f)
	}
	if f, ok := find(fs, "SCHEME_SPRINKLER_ZONE", ""); !ok || argOf(t, f, "units").Text != "A1, A2, K1" {
		t.Errorf("sprinklers: %+v", f)
	}
	if f, ok := find(fs, "SCHEME_BACK_LOW", "K1"); !ok || !near(f.Value, 24.7, angleTolDeg) {
		t.Errorf("back light: %+v", f)
	}
}

func TestLowRoomNeedsASecondRow(t *testing.T) {
	r, b := shopUnit()
	b.Zones[0].Faces = append(b.Zones[0].Faces, metres.face("far", 0, -1.8, 1.9))
	in := CheckInput{Room: r, Brief: b, Catalogue: testFixtures(), Book: book, Placed: []Placed{
		hung("A1", "first row", "platform", FrontWash, metres.at(0, 1.6, 2.75), metres.at(0, 0, 1.9))}}
	f, ok := find(Check(in), "SCHEME_FALL_OFF", "platform")
	// 1.6 m to 3.4 m in plan with a rise of 0.85 m.
	if !ok || !near(f.Value, 3.7, 3.7*luxTolPct/100) {
		t.Errorf("got %+v, want 3.7:1", f)
	}
	in.Placed = append(in.Placed, hung("A2", "half way", "platform", FrontWash, metres.at(0, 0.85, 2.75), metres.at(0, -1.8, 1.9)))
	if f, ok := find(Check(in), "SCHEME_FALL_OFF", "platform"); ok {
		t.Errorf("two rows light it: %+v", f)
	}
}

func TestAFrameHalfWidthAtTheLens(t *testing.T) {
	r, b := aFrame()
	unit := func(id string, x float64) Unit {
		at := metres.at(x, 2, 5.8)
		return Unit{ID: id, Fixture: "T-FRE", FieldDeg: 40, Zone: "zone 2", Line: "tie +2", Purpose: FrontWash,
			LensX: si.Known(si.Length(at.X)), LensY: si.Known(si.Length(at.Y)), LensZ: si.Known(si.Length(at.Z))}
	}
	_, fs := Place(PlaceInput{Scheme: Scheme{Units: []Unit{unit("in", 3.1), unit("edge", 3.55), unit("out", 3.7)}}, Room: r, Brief: b, Catalogue: testFixtures(), Book: book})
	if _, ok := find(fs, "SCHEME_OUTSIDE_ROOM", "out"); !ok {
		t.Error("3.70 m at lens height is above the slope (half width 3.62 m)")
	}
	for _, id := range []string{"unit in", "unit edge"} {
		if _, ok := find(fs, "SCHEME_OUTSIDE_ROOM", id); ok {
			t.Errorf("%s is inside the room", id)
		}
	}
	if _, ok := find(fs, "SCHEME_OUTSIDE_SPAN", "edge"); !ok {
		t.Error("3.55 m is past the tie's usable end")
	}
}

func TestKeepClearPlaneOfACurtain(t *testing.T) {
	r, b := schoolHall()
	lo, hi := metres.at(-10, 10.2, 0), metres.at(10, 10.2, 7)
	r.Solids = []room.Solid{{Name: "curtain", KeepClear: 0.7, Faces: []geom.Polygon{{lo, {X: hi.X, Y: lo.Y}, hi, {X: lo.X, Y: lo.Y, Z: hi.Z}}}}}
	in := CheckInput{Room: r, Brief: b, Catalogue: testFixtures(), Book: book, Placed: []Placed{
		hung("near", "", "preacher", FrontWash, metres.at(1, 9.7, 6), metres.at(0, -1.5, 2.2)),
		hung("above", "", "preacher", FrontWash, metres.at(1, 10.2, 8), metres.at(0, -1.5, 2.2)),
		hung("far", "", "preacher", FrontWash, metres.at(1, 9.4, 6), metres.at(0, -1.5, 2.2)),
	}}
	fs := Check(in)
	if f, ok := find(fs, "SCHEME_KEEP_CLEAR", "unit near"); !ok || !near(argOf(t, f, "distance").Num, 0.5, 1e-9) {
		t.Errorf("got %+v", f)
	}
	for _, id := range []string{"unit above", "unit far"} {
		if f, ok := find(fs, "SCHEME_KEEP_CLEAR", id); ok {
			t.Errorf("got %+v", f)
		}
	}
}

// What the survey says people want to go on seeing counts as the brief's windows do.
func TestUnitBeforeAViewOfTheSurvey(t *testing.T) {
	r, b := schoolHall()
	r.Views = []room.View{{Name: "cross", Polygon: geom.Polygon{{X: -1, Y: 4, Z: 3}, {X: 1, Y: 4, Z: 3}, {X: 1, Y: 4, Z: 5}, {X: -1, Y: 4, Z: 5}}}}
	r.Eyes = []room.Eye{{Name: "seat", At: geom.Vec{Y: -16, Z: 1.2}}}
	in := CheckInput{Room: r, Brief: b, Catalogue: testFixtures(), Book: book, Placed: []Placed{
		hung("low", "", "preacher", FrontWash, geom.Vec{Y: -6, Z: 2.6}, geom.Vec{Y: 1.5, Z: 2.2}),
		hung("high", "", "preacher", FrontWash, geom.Vec{Y: -6, Z: 7.5}, geom.Vec{Y: 1.5, Z: 2.2}),
	}}
	fs := Check(in)
	if f, ok := find(fs, "SCHEME_IN_VIEW", "unit low"); !ok || argOf(t, f, "what").Text != "cross" {
		t.Errorf("got %+v", f)
	}
	if _, ok := find(fs, "SCHEME_IN_VIEW", "unit high"); ok {
		t.Error("over the line of sight")
	}
}

func TestUnitInTheLineOfSight(t *testing.T) {
	r, b := schoolHall()
	r.Screens = []room.Screen{{Name: "main", Corners: geom.Polygon{{X: -2, Y: 4, Z: 3}, {X: 2, Y: 4, Z: 3}, {X: 2, Y: 4, Z: 5}, {X: -2, Y: 4, Z: 5}}}}
	r.Eyes = []room.Eye{{Name: "seat", At: geom.Vec{Y: -16, Z: 1.2}}}
	in := CheckInput{Room: r, Brief: b, Catalogue: testFixtures(), Book: book, Placed: []Placed{
		hung("low", "", "preacher", FrontWash, geom.Vec{Y: -6, Z: 2.6}, geom.Vec{Y: 1.5, Z: 2.2}),
		hung("high", "", "preacher", FrontWash, geom.Vec{Y: -6, Z: 7.5}, geom.Vec{Y: 1.5, Z: 2.2}),
		hung("behind", "", "preacher", FrontWash, geom.Vec{Y: -20, Z: 1}, geom.Vec{Y: 1.5, Z: 2.2}),
	}}
	fs := Check(in)
	if f, ok := find(fs, "SCHEME_IN_VIEW", "unit low"); !ok || argOf(t, f, "share").Num != 100 {
		t.Errorf("got %+v", f)
	}
	for _, id := range []string{"unit high", "unit behind"} {
		if _, ok := find(fs, "SCHEME_IN_VIEW", id); ok {
			t.Errorf("%s is not in the view", id)
		}
	}
}

func TestUnitsOverSeats(t *testing.T) {
	in := workedHouse(t)
	var rows []room.SeatRow
	for i := 0; i < 12; i++ {
		y := 9 + 2.83*float64(i)
		rows = append(rows, room.SeatRow{Left: feet.at(-14, y, 3.8), Right: feet.at(14, y, 3.8)})
	}
	in.Room.Seating = []room.Seating{{Name: "benches", Rows: rows}}
	f, ok := find(Check(in), "SCHEME_OVER_SEATS", "W1")
	if !ok || argOf(t, f, "rows").Text != "1, 2" {
		t.Errorf("got %+v, want rows 1 and 2", f)
	}
}

func TestCountRule(t *testing.T) {
	for _, tc := range []struct {
		width, pool float64
		want        int
	}{{0, 0, 1}, {-1, 3, 1}, {2.4, 0, 1}, {2.5, 5, 3}, {7.2, 4, 3}, {7.3, 4, 4}, {math.NaN(), 2, 1}, {math.Inf(1), 2, 1000000},
		{5.0, 1.69, 5}, // the worked low room: spacing 0.7 × 1.69 m
		{16 * 0.3048, 4.6, 3}} {
		if got := areasAcross(tc.width, tc.pool); got != tc.want {
			t.Errorf("areasAcross(%v, %v) = %d, want %d", tc.width, tc.pool, got, tc.want)
		}
	}
	// 16 ft with pools of 5.4 ft: the worked choir.
	if got := backCount(16*0.3048, 5.4*0.3048); got != 4 {
		t.Errorf("backCount = %d, want 4", got)
	}
}
