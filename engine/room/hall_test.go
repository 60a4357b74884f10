package room

import (
	"strconv"
	"testing"

	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// typed reads a length as a volunteer typed it; ambiguous text keeps its readings.
func typed(t testing.TB, text string) survey.L {
	t.Helper()
	l, err := si.TypedLength(text, si.US)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// brickHall is a survey of a brick meeting house with side galleries, in feet,
// with the slips volunteers make: the length from a framed plan, heights from
// other floors, numbers without unit.
func brickHall(t testing.TB) survey.Survey {
	ft := func(s string) survey.L { return typed(t, s) }
	at := func(x, y, z string) survey.Place {
		return survey.Place{X: ft(x), Y: ft(y), Z: ft(z), Instrument: survey.Laser}
	}
	corner := func(name, x, y string) survey.Station {
		return survey.Station{Name: name, NearX: ft(x), NearY: ft(y)}
	}
	m := func(id string, k survey.Kind, from, to, value string, i survey.Instrument, by string) survey.Measurement {
		return survey.Measurement{ID: id, Kind: k, From: from, To: to, Value: ft(value), Instrument: i, By: by}
	}
	watts := func(w float64) si.Typed[si.Power] { return si.Known(si.Power(w)) }
	return survey.Survey{
		Stations: []survey.Station{corner("front left", "-23 ft", "13.5 ft"), corner("front right", "23 ft", "13.5 ft"),
			corner("rear right", "23 ft", "-44 ft"), corner("rear left", "-23 ft", "-44 ft")},
		Footprint: []string{"front left", "front right", "rear right", "rear left"},
		Measurements: []survey.Measurement{
			m("length", survey.Distance, "front left", "rear left", "60' 0\"", survey.Drawing, "a volunteer"),
			m("width front", survey.Distance, "front left", "front right", "46' 0\"", survey.Laser, "a volunteer"),
			m("width rear", survey.Distance, "rear left", "rear right", "46' 0\"", survey.Laser, "a volunteer"),
			m("diagonal 1", survey.Distance, "front left", "rear right", "74' 0\"", survey.Laser, "a volunteer"),
			m("diagonal 2", survey.Distance, "front right", "rear left", "74' 1\"", survey.Laser, "a volunteer"),
			m("front wall", survey.OffsetY, "", "front left", "13' 6\"", survey.Laser, "a volunteer"),
			m("front wall 2", survey.OffsetY, "", "front right", "13' 6\"", survey.Laser, "a volunteer"),
			m("side", survey.OffsetX, "", "front right", "23' 0\"", survey.Laser, "a volunteer"),
			m("W1 laser", survey.Height, "", "W1", "19' 8\"", survey.Laser, "a volunteer"),
			m("W1 list", survey.Height, "", "W1", "10' 0\"", "", "second helper"),
			m("W2 laser", survey.Height, "", "W2", "19' 8\"", survey.Laser, "a volunteer"),
			m("W2 list", survey.Height, "", "W2", "18' 4\"", "", "second helper"),
		},
		Levels:   []survey.Level{{Name: "gallery floor", Height: ft("9' 8\"")}, {Name: "platform", Height: ft("1' 4\"")}},
		Ceiling:  survey.Ceiling{Shape: "flat", Height: ft("26' 0\""), Material: "plaster"},
		Platform: survey.Platform{Width: ft("36 ft"), Depth: ft("10 ft"), Height: ft("1' 4\""), Steps: 2, Riser: ft("8 in")},
		Lines: []survey.HangingLine{
			{Name: "W1", Kind: "beam", From: at("-23 ft", "-10 ft", ""), To: at("23 ft", "-10 ft", ""), Width: ft("10 in"), Depth: ft("12 in"), Material: "timber_solid"},
			{Name: "W2", Kind: "beam", From: at("-23 ft", "9.5 ft", ""), To: at("23 ft", "9.5 ft", ""), Width: ft("10 in"), Depth: ft("12 in"), Material: "timber_solid"},
			{Name: "rod near", Kind: "tension_rod", From: at("-23 ft", "-7 ft", "18 ft"), To: at("23 ft", "-7 ft", "18 ft"), Width: ft("1 1/4 in"), Note: "strong pipes, ready for clamps"},
			{Name: "rear gallery rail", Kind: "rail", From: at("-15 ft", "-34.5 ft", "11' 10\""), To: at("15 ft", "-34.5 ft", "11' 10\"")},
			{Name: "old batten", Kind: "pipe", From: at("-15 ft", "0 ft", "15 ft"), To: at("15 ft", "0 ft", "15 ft"), State: survey.Removed},
		},
		Galleries: []survey.Gallery{{Name: "left", Floor: ft("9' 8\""), Soffit: ft("8' 11\""), Front: ft("2' 11\""), RailTop: ft("11.10"),
			Outline: []survey.Place{at("-23 ft", "-3 ft", ""), at("-15 ft", "-3 ft", ""), at("-15 ft", "-44.5 ft", ""), at("-23 ft", "-44.5 ft", "")}}},
		Solids: []survey.Solid{{Name: "column", Shape: "cylinder", Centre: at("-15 ft", "-14 ft", ""), Width: ft("9 in"), Height: ft("8' 11\"")},
			{Name: "bell rope", Shape: "box", Centre: at("2.5 ft", "-12 ft", ""), Width: ft("1 in"), KeepClear: ft("18 in")},
			{Name: "piano", Shape: "box", Centre: at("13 ft", "4.5 ft", ""), Width: ft("6 ft"), Depth: ft("5 ft"), Height: ft("3' 4\""), Movable: true}},
		Screens: []survey.Screen{{Name: "main", Kind: "projected", Centre: survey.Place{X: ft("-12 ft"), Y: ft("13.4 ft")}, Width: ft("9' 0\""), Height: ft("5' 1\""), Bottom: ft("11' 6\"")}},
		Windows: []survey.Window{{Name: "south 1", Centre: survey.Place{X: ft("-23 ft"), Y: ft("-9 ft")}, Width: ft("5 ft"), Height: ft("9 ft"), Sill: ft("13 ft"), FacingDeg: 90, Glass: "clear"}},
		Seating: []survey.Seating{{Name: "benches", FirstY: ft("-9' 0\""), LastY: ft("-40' 2\""), Rows: 12, Pitch: ft("86"), Width: ft("30 ft"), Fixed: "screwed", EyeHeight: ft("3' 10\"")}},
		Eyes:    []survey.Eye{{Name: "right gallery", At: at("18 ft", "-5 ft", "13' 8\"")}},
		Glosses: []survey.Gloss{{Name: "piano lid", Centre: at("13.25 ft", "4.5 ft", "4' 8\""), Width: ft("6.5 ft"), Depth: ft("5 ft")}},
		ExistingUnit: []survey.ExistingLight{{Name: "organ floods", Count: 6, Watts: watts(500), Dimmer: "D4"},
			{Name: "left cove", Count: 24, Watts: watts(60), Dimmer: "D1"}},
		Dimmers: []survey.Dimmer{{Channel: "D1", Rating: watts(2400)}, {Channel: "D4", Rating: watts(2400)}},
		Panels:  []survey.Panel{{Name: "dimmer cabinet", ClearDepth: ft("10 in"), Note: "handrail of the gallery stair before its door"}},
		Routes:  []survey.AccessRoute{{Name: "north side door", DoorWidth: ft("38 in"), DoorHeight: ft("6' 10\"")}},
		Floor:   survey.Floor{Kind: "over_cellar"},
		Site:    survey.Site{YearBuilt: 1911, YearAltered: 1974},
	}
}

// metres writes a length as a laser shows it, to the millimetre.
func metres(m float64) string { return strconv.FormatFloat(m, 'f', 3, 64) + " m" }
