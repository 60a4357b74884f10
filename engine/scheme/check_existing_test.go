package scheme

import (
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

func TestLightsInTheWayAreNamed(t *testing.T) {
	in := workedHouse(t)
	r1 := in.Placed[0]
	mid := r1.At.Lerp(r1.Target, 0.5)
	place := func(dx float64) []survey.Place {
		return []survey.Place{{X: si.Known(si.Length(mid.X + dx)), Y: si.Known(si.Length(mid.Y)), Z: si.Known(si.Length(mid.Z))}}
	}
	in.Survey.ExistingUnit = []survey.ExistingLight{
		{Name: "in the beam", Places: place(0.1), Dimmer: "D1"}, {Name: "beside", Places: place(-30)},
		{Name: "going anyway", Places: place(0), Fate: "remove"}, {Name: "place unknown"}}
	fs := Check(in)
	f, ok := find(fs, "SCHEME_REMOVE_LIGHT", "in the beam")
	if !ok || !strings.Contains(argOf(t, f, "what").Text, r1.ID) || argOf(t, f, "feed").Text != "D1" {
		t.Errorf("finding %+v", f)
	}
	for _, name := range []string{"beside", "going anyway", "place unknown"} {
		if f, ok := find(fs, "SCHEME_REMOVE_LIGHT", name); ok {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

func TestHazeStopsUntilTheDetectorsAreDealtWith(t *testing.T) {
	in := workedHouse(t)
	if _, ok := find(Check(in), "SCHEME_HAZE", ""); ok {
		t.Error("haze was not asked for")
	}
	in.Brief.Limits.Haze = "asked"
	in.Survey.Site.Detectors = "beam"
	f, ok := find(Check(in), "SCHEME_HAZE", "")
	if !ok || f.Severity != finding.Stop || f.Owner != finding.FireAlarm || argOf(t, f, "detectors").Text != "beam" {
		t.Errorf("finding %+v", f)
	}
}

func TestWallsAreTriedWithOneSample(t *testing.T) {
	r := plainRoom(5.0, -2, 4)
	wall := area("wall", "wall", -3, 3, 7.9, 8, 150)
	b := with(zone("desk", 500, true, metres.face("desk", 0, -1, 2)), wall)
	_, placed := proposal(r, b, testFixtures())
	in := CheckInput{Placed: placed, Room: r, Brief: b, Catalogue: testFixtures(), Book: book}
	if f, ok := find(Check(in), "SCHEME_WALL_SAMPLE", "wall"); !ok || f.Severity != finding.Note {
		t.Errorf("finding %+v", f)
	}
}

// A doubted height is one finding, with the most important unit's angles and the
// range over all.
func TestDoubtedHeightIsOneFinding(t *testing.T) {
	in := workedHouse(t)
	in.Brief.Zones[0].Priority = 1
	for i := 1; i < len(in.Brief.Zones); i++ {
		in.Brief.Zones[i].Priority = 1 + i
	}
	in.Room.Suspects = []room.Suspect{{Measurement: "m7", Line: "W1", Text: "10.0", Alternative: feet.l(9.7)}}
	n := 0
	for _, f := range Check(in) {
		if f.Code != "SCHEME_DOUBTED_HEIGHT" {
			continue
		}
		n++
		if id := argOf(t, f, "unit").Text; id != "R1" || argOf(t, f, "now").Num < 38 || !strings.Contains(argOf(t, f, "list").Text, " to ") {
			t.Errorf("unit %s, %+v", id, f.Args)
		}
	}
	if n != 1 {
		t.Errorf("%d findings", n)
	}
}
