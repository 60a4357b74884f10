package scheme

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

func cellOf(t *testing.T, rows []LineRow, line, place, face string) (LineRow, LineZone) {
	t.Helper()
	for _, r := range rows {
		if r.Line != line || r.Place != place {
			continue
		}
		for _, c := range r.Zones {
			if c.Face == face {
				return r, c
			}
		}
	}
	t.Fatalf("no row %q place %q face %q", line, place, face)
	return LineRow{}, LineZone{}
}

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

func TestLinesGiveTheWorkedAngles(t *testing.T) {
	house, wantHouse := meetingHouse()
	choirRow3 := wantHouse
	choirRow3.Zones = append([]brief.Zone{zone("row 3", 450, false, feet.face("row 3", -9, -7.5, 7.833))}, wantHouse.Zones...)
	shop, wantShop := shopUnit()
	low := wantShop
	low.Zones = []brief.Zone{zone("low platform", 500, false, metres.face("lowered", 0, 0, 1.75))}
	hall, wantHall := schoolHall()
	frame, wantFrame := aFrame()
	for _, tc := range []struct {
		name              string
		room              room.Room
		brief             brief.Brief
		line, place, face string
		elevation         float64
		band, verdict     string
	}{
		{"rod looks perfect", house, wantHouse, "rod near", "", "reader", 47.4, BandIdeal, VerdictRefused},
		{"rear rail", house, wantHouse, "rear gallery rail", "", "reader", 6.7, BandRefuse, VerdictRefused},
		{"rear rail", house, wantHouse, "rear gallery rail", "", "table", 10.0, BandRefuse, VerdictRefused},
		{"rear rail", house, wantHouse, "rear gallery rail", "", "aim -9", 5.4, BandRefuse, VerdictRefused},
		{"left rail place", house, wantHouse, "left gallery rail", "left at +6", "reader", 12.0, BandRefuse, ""},
		{"right rail place", house, wantHouse, "right gallery rail", "right at +6", "reader", 17.8, BandRefuse, ""},
		{"W1", house, wantHouse, "W1", "", "reader", 43.4, BandIdeal, VerdictPossible},
		{"W1", house, wantHouse, "W1", "", "aim -9", 36.9, BandUsable, VerdictPossible},
		{"W1", house, wantHouse, "W1", "", "pianist", 43.2, BandIdeal, VerdictPossible},
		{"W1", house, wantHouse, "W1", "", "table", 60.3, BandRefuse, VerdictPossible},
		{"W2", house, wantHouse, "W2", "", "reader", 59.4, BandBack, VerdictPossible},
		{"W2", house, wantHouse, "W2", "", "table", 47.7, BandBack, VerdictPossible},
		{"W2", house, wantHouse, "W2", "", "pianist", 67.3, BandBack, VerdictPossible},
		{"W2 choir row 2", house, wantHouse, "W2", "", "aim -9", 68.2, BandBack, VerdictPossible},
		{"W2 choir row 3", house, choirRow3, "W2", "", "row 3", 79.4, BandTop, VerdictPossible},
		{"low room", shop, wantShop, "first row", "", "front edge", 28.0, BandAsk, ""},
		{"low room at 45", shop, wantShop, "half way", "", "front edge", 45.0, BandIdeal, ""},
		{"lowered platform", shop, low, "first row", "", "lowered", 32.0, BandAsk, ""},
		{"low room back", shop, wantShop, "back", "", "reader", 24.7, BandGlare, ""},
		{"frame", hall, wantHall, "frame +1.2", "", "preacher", 63.0, BandRefuse, VerdictRefused},
		{"frame", hall, wantHall, "frame +7.2", "", "preacher", 31.3, BandAsk, VerdictPossible},
		{"bridge", hall, wantHall, "bridge pipe +3.8", "", "preacher", 45.0, BandIdeal, VerdictPossible},
		{"purlin", hall, wantHall, "purlin", "", "preacher", 45.5, BandIdeal, VerdictRefused},
		{"tie", frame, wantFrame, "tie +2", "", "zone 2", 47.0, BandIdeal, VerdictPossible},
		{"tie", frame, wantFrame, "tie +6", "", "zone 1", 39.7, BandUsable, VerdictPossible},
		{"tie", frame, wantFrame, "tie +2", "", "zone 1", 76.5, BandRefuse, VerdictPossible},
		{"tie", frame, wantFrame, "tie +10", "", "zone 1", 24.8, BandRefuse, VerdictRefused},
		{"tie", frame, wantFrame, "tie +2", "", "zone 3", 32.9, BandAsk, VerdictPossible},
		{"tie", frame, wantFrame, "tie +6", "", "zone 3", 20.9, BandRefuse, VerdictPossible},
		{"tie back", frame, wantFrame, "tie -4.6", "", "zone 2", 50.4, BandBack, VerdictPossible},
		{"tie back", frame, wantFrame, "tie -4.6", "", "zone 3", 78.0, BandTop, VerdictPossible},
		{"tie back", frame, wantFrame, "tie -4.6", "", "zone 1", 36.5, BandGlare, VerdictPossible},
		{"steel rod", frame, wantFrame, "steel rod", "", "zone 2", 35.0, BandAsk, VerdictRefused},
	} {
		row, c := cellOf(t, Lines(tc.room, tc.brief), tc.line, tc.place, tc.face)
		if !near(c.ElevationDeg, tc.elevation, angleTolDeg) || c.Band != tc.band || (tc.verdict != "" && row.Verdict != tc.verdict) {
			t.Errorf("%s: Lines %s %s to %s = %.2f° %s %s, want %.1f° %s %s (%s)", tc.name, tc.line, tc.place, tc.face,
				c.ElevationDeg, c.Band, row.Verdict, tc.elevation, tc.band, tc.verdict, row.Why)
		}
	}
}

func TestRefusedLinesSayWhy(t *testing.T) {
	r, b := meetingHouse()
	b.Limits.NoHang = []string{"W2"}
	b.Limits.NoDrill = true
	rows := Lines(r, b)
	for line, want := range map[string]string{"rod near": "tension member", "rear gallery rail": "too low for a main light: reader 6.7°",
		"W2": "church", "left pier": "anchors", "W1": "too steep straight from the seats: table 60.3°"} {
		row, _ := cellOf(t, rows, line, "", "reader")
		if !strings.Contains(row.Why, want) {
			t.Errorf("%s: why %q, want it to hold %q", line, row.Why, want)
		}
	}
}

func TestElevationSigmaAgreesWithDifference(t *testing.T) {
	d := geom.Vec{X: 2, Y: -4, Z: 5}
	const sy, sz = 0.02, 0.03
	face := geom.Vec{}
	byZ := geom.ElevationDeg(face, d.Add(geom.Vec{Z: sz})) - geom.ElevationDeg(face, d)
	byY := geom.ElevationDeg(face, d.Add(geom.Vec{Y: sy})) - geom.ElevationDeg(face, d)
	const secondOrder = 0.01 // relative size of the terms first-order propagation leaves out here
	l := room.Line{From: d.Add(geom.Vec{X: -3}), To: d.Add(geom.Vec{X: 3}), SigmaY: sy, SigmaZ: sz}
	if got, want := lineZone(room.Room{}, l, facePoint{at: face}, d).SigmaDeg, math.Hypot(byZ, byY); !near(got, want, want*secondOrder) {
		t.Errorf("sigma %v, by differences %v", got, want)
	}
	if got := lineZone(room.Room{}, l, facePoint{at: d}, d).SigmaDeg; got != 0 {
		t.Errorf("coincident points: %v", got)
	}
}

// roundingDeg is what double arithmetic may change in an angle of a room.
const roundingDeg = 1e-6

func TestMirroredAndScaledRoomsKeepTheirAngles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range
		x, y := num(-8, 8).Draw(t, "x"), num(0, 6).Draw(t, "y")
		r := room.Room{Lines: []room.Line{
			{Name: "a", Kind: "beam", From: geom.Vec{X: -num(3, 9).Draw(t, "x0"), Y: num(-15, 3).Draw(t, "y0"), Z: num(3, 9).Draw(t, "z0")},
				To: geom.Vec{X: num(3, 9).Draw(t, "x1"), Y: num(-15, 3).Draw(t, "y1"), Z: num(3, 9).Draw(t, "z1")}, Drop: 0.3},
		}}
		b := brief.Brief{Zones: []brief.Zone{{Name: "z", Faces: []brief.Face{{Name: "f", X: si.Known(si.Length(x)), Y: si.Known(si.Length(y)), Z: si.Known(si.Length(1.6))}}}}}
		got := Lines(r, b)[0].Zones[0]
		overhead := got.ElevationDeg > 89.9 // straight above, where a plan angle means nothing

		mirror := func(v geom.Vec) geom.Vec { return geom.Vec{X: -v.X, Y: v.Y, Z: v.Z} }
		m, mb := r, b
		m.Lines = []room.Line{{Name: "a", Kind: "beam", From: mirror(r.Lines[0].To), To: mirror(r.Lines[0].From), Drop: 0.3}}
		mb.Zones = []brief.Zone{b.Zones[0]}
		mb.Zones[0].Faces = []brief.Face{b.Zones[0].Faces[0]}
		mb.Zones[0].Faces[0].X = si.Known(si.Length(-x))
		if c := Lines(m, mb)[0].Zones[0]; !near(c.ElevationDeg, got.ElevationDeg, roundingDeg) || (!overhead && !near(math.Abs(wrapDeg(c.BearingDeg+got.BearingDeg)), 0, roundingDeg)) {
			t.Fatalf("mirrored %v, want mirror of %v", c, got)
		}

		k := num(0.2, 5).Draw(t, "k")
		s, sb := r, b
		s.Lines = []room.Line{{Name: "a", Kind: "beam", From: r.Lines[0].From.Scale(k), To: r.Lines[0].To.Scale(k), Drop: si.Length(0.3 * k)}}
		f := brief.Face{Name: "f", X: si.Known(si.Length(x * k)), Y: si.Known(si.Length(y * k)), Z: si.Known(si.Length(1.6 * k))}
		sb.Zones = []brief.Zone{{Name: "z", Faces: []brief.Face{f}}}
		c := Lines(s, sb)[0].Zones[0]
		if !near(c.ElevationDeg, got.ElevationDeg, roundingDeg) || (!overhead && !near(math.Abs(wrapDeg(c.BearingDeg-got.BearingDeg)), 0, roundingDeg)) || !near(c.ThrowM, k*got.ThrowM, 1e-9*k*got.ThrowM) {
			t.Fatalf("scaled %v, want %v", c, got)
		}
	})
}

func TestLinesOfOddRooms(t *testing.T) {
	for name, r := range map[string]room.Room{
		"no lines":   {},
		"point line": {Lines: []room.Line{{Name: "p"}}},
		"no spans":   {Lines: []room.Line{{Name: "p", To: geom.Vec{X: 3}, Spans: []room.Span{{From: 9, To: 12}}}}},
		"not finite": {Lines: []room.Line{{Name: "p", To: geom.Vec{X: math.NaN()}}}},
	} {
		rows := Lines(r, brief.Brief{Zones: []brief.Zone{{Name: "empty"}, zone("z", 0, true, metres.face("f", 0, 0, 1))}})
		if len(rows) != len(r.Lines) {
			t.Errorf("%s: %d rows", name, len(rows))
		}
	}
}
