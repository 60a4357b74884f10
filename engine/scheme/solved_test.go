package scheme

import (
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// surveyedHouse is the worked meeting house as volunteers measured it: with one
// height of W1 taken from the gallery floor.
func surveyedHouse() survey.Survey {
	ft := feet.l
	at := func(x, toSeats float64) survey.Place {
		return survey.Place{X: ft(x), Y: ft(-toSeats), Instrument: survey.Laser}
	}
	m := func(id string, k survey.Kind, from, to string, v float64) survey.Measurement {
		return survey.Measurement{ID: id, Kind: k, From: from, To: to, Value: ft(v), Instrument: survey.Laser}
	}
	corner := func(name string, x, toSeats float64) survey.Station {
		return survey.Station{Name: name, NearX: ft(x), NearY: ft(-toSeats)}
	}
	wrong := m("W1 list", survey.Height, "", "W1", 10)
	wrong.Value.Text, wrong.Instrument = "10 ft 0 in", ""
	beam := func(name string, toSeats float64) survey.HangingLine {
		return survey.HangingLine{Name: name, Kind: "beam", From: at(-23, toSeats), To: at(23, toSeats), Drop: ft(1.1667), Width: ft(0.8333), Depth: ft(1), Material: "timber_solid", Access: "lift"}
	}
	rod := beam("rod near", 7)
	rod.Kind, rod.Drop = "tension_rod", ft(1)
	rod.From.Z, rod.To.Z = ft(18), ft(18)
	return survey.Survey{
		Stations:  []survey.Station{corner("fl", -23, -13.5), corner("fr", 23, -13.5), corner("rr", 23, 44.5), corner("rl", -23, 44.5)},
		Footprint: []string{"fl", "fr", "rr", "rl"},
		Measurements: []survey.Measurement{m("width", survey.Distance, "fl", "fr", 46), m("width rear", survey.Distance, "rl", "rr", 46),
			m("left", survey.Distance, "fl", "rl", 58), m("diagonal 1", survey.Distance, "fl", "rr", 74), m("diagonal 2", survey.Distance, "fr", "rl", 74.08),
			m("front", survey.OffsetY, "", "fl", 13.5), m("front 2", survey.OffsetY, "", "fr", 13.5), m("side", survey.OffsetX, "", "fr", 23),
			m("W1 laser", survey.Height, "", "W1", 19.6667), m("W2 laser", survey.Height, "", "W2", 19.6667), wrong},
		Levels:   []survey.Level{{Name: "gallery floor", Height: ft(9.6667)}, {Name: "platform", Height: ft(1.3333)}},
		Ceiling:  survey.Ceiling{Shape: "flat", Height: ft(26), Material: "plaster"},
		Platform: survey.Platform{Width: ft(36), Depth: ft(10), Height: ft(1.3333)},
		Lines:    []survey.HangingLine{beam("W1", 10), beam("W2", -9.5), rod},
		Screens:  []survey.Screen{{Name: "main", Kind: "projected", Centre: survey.Place{X: ft(-12), Y: ft(13.4)}, Width: ft(9), Height: ft(5.0833), Bottom: ft(11.5)}},
		Seating:  []survey.Seating{{Name: "benches", FirstY: ft(-9), LastY: ft(-40.1667), Rows: 12, Width: ft(30), Fixed: "screwed", EyeHeight: ft(3.8333)}},
	}
}

func TestSolvedRoomGoesThroughEveryStep(t *testing.T) {
	s := surveyedHouse()
	r, _ := room.Solve(s, book, "us")
	_, b := meetingHouse()
	for _, line := range []struct {
		name string
		want float64
	}{{"W1", 43.4}, {"rod near", 47.4}} {
		if row, c := cellOf(t, Lines(r, b), line.name, "", "reader"); !near(c.ElevationDeg, line.want, angleTolDeg) || (line.name == "rod near") != (row.Verdict == VerdictRefused) {
			t.Errorf("%s to the reader %.1f° %s, want %.1f°", line.name, c.ElevationDeg, row.Verdict, line.want)
		}
	}

	proposed, fs := Propose(ProposeInput{Room: r, Brief: b, Survey: s, Catalogue: testFixtures(), Book: book, Region: "us", Seed: 1})
	placed, placing := Place(PlaceInput{Scheme: proposed, Room: r, Brief: b, Catalogue: testFixtures(), Book: book, Region: "us"})
	if len(placed) == 0 || len(placing) > 0 || finding.Count(fs, finding.Stop) > 0 {
		t.Fatalf("placed %d, placing %v, proposal %v", len(placed), placing, fs)
	}
	checked := Check(CheckInput{Scheme: proposed, Placed: placed, Room: r, Brief: b, Survey: s, Catalogue: testFixtures(), Book: book, Region: "us"})
	allFilled(t, append(fs, checked...))
	f, ok := find(checked, "SCHEME_DOUBTED_HEIGHT", "line W1")
	if !ok {
		t.Fatalf("the doubted height of W1 should show what it would change; suspects %+v", r.Suspects)
	}
	for _, p := range placed {
		if p.ID != argOf(t, f, "unit").Text {
			continue
		}
		low := p.At
		low.Z = float64(feet) * (10 - 1.1667)
		if then := argOf(t, f, "then").Num; !near(then, geom.ElevationDeg(p.Target, low), angleTolDeg) {
			t.Errorf("%s at the doubted height %.1f°, want %.1f°", p.ID, then, geom.ElevationDeg(p.Target, low))
		}
	}
	rep, _ := light.Evaluate(light.Input{Room: r, Brief: b, Survey: s, Sources: Sources(placed, testFixtures()), Book: book, Region: "us"})
	for _, z := range rep.Zones {
		if slack := defaultTolerance/100 + levelStep; z.MinLx < z.TargetLx*(1-slack) {
			t.Errorf("zone %s: least %.0f lx of %.0f", z.Name, z.MinLx, z.TargetLx)
		}
	}
	doors := 0
	for _, u := range proposed.Units {
		if len(u.Accessories) > 0 {
			doors++
		}
	}
	t.Logf("%d units, %d with accessories", len(proposed.Units), doors)
}
