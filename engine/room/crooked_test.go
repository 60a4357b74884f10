package room

import (
	"testing"

	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// crooked is a survey in which nearly everything is wrong, so that every finding
// of survey and room appears.
func crooked(t testing.TB) survey.Survey {
	m := func(s string) survey.L { return typed(t, s) }
	at := func(x, y, z string) survey.Place { return survey.Place{X: m(x), Y: m(y), Z: m(z)} }
	line := func(name, kind, y, z string) survey.HangingLine {
		return survey.HangingLine{Name: name, Kind: kind, From: at("-5 m", y, z), To: at("5 m", y, z)}
	}
	meas := func(id string, k survey.Kind, from, to, v string) survey.Measurement {
		return survey.Measurement{ID: id, Kind: k, From: from, To: to, Value: m(v), Instrument: survey.SteelTape}
	}
	return survey.Survey{
		Stations: []survey.Station{{Name: "a", FixedX: m("6 m"), FixedY: m("4 m")}, {Name: "b", FixedX: m("-6 m"), FixedY: m("4 m")},
			{Name: "c", FixedX: m("-6 m"), FixedY: m("-14 m")}, {Name: "d", FixedX: m("6 m"), FixedY: m("-14 m")},
			{Name: "lost", NearX: m("1 m"), NearY: m("1 m")}, {Name: "q", NearX: m("0 m"), NearY: m("0 m")}, {Name: "p", NearX: m("0 m"), NearY: m("-5 m")}},
		Footprint: []string{"a", "b", "c", "d"},
		Measurements: []survey.Measurement{
			meas("m1", survey.Height, "", "B1", "4.00 m"), meas("m2", survey.Height, "", "B1", "4.60 m"),
			meas("m3", survey.Distance, "a", "nowhere", "3 m"), {ID: "m4", Kind: survey.Height, To: "B1", Value: m("2 m"), Reference: "crypt"},
			meas("q1", survey.Distance, "a", "q", "7.21 m"), meas("q2", survey.Distance, "b", "q", "7.21 m"), meas("q3", survey.Distance, "c", "q", "15.23 m"), meas("q4", survey.Distance, "d", "q", "16.23 m"),
			meas("p1", survey.Distance, "a", "p", "10.82 m"), meas("p2", survey.Distance, "b", "p", "10.82 m"), meas("p3", survey.Distance, "c", "p", "11.82 m"),
			meas("m5", survey.Height, "", "ridge", "8.49 m"), meas("w", survey.Distance, "a", "b", "12.00 m"), meas("l", survey.Distance, "b", "c", "18.00 m"),
			meas("d1", survey.Distance, "a", "c", "21.63 m"), meas("d2", survey.Distance, "b", "d", "26.13 m"), meas("m6", survey.Distance, "q", "q", "1 m"),
		},
		Ceiling:  survey.Ceiling{Shape: "gable", Height: m("2.00 m"), Ridge: m("7.00 m"), Slope: m("8.49 m")},
		Platform: survey.Platform{Width: m("6 m"), Depth: m("4 m"), Height: m("0.90 m"), Steps: 2, Riser: m("0.2 m")},
		Lines: []survey.HangingLine{line("B1", "beam", "-2 m", ""), line("B2", "beam", "-4 m", "4 m"), line("B3", "beam", "-6 m", "4 m"), line("B4", "beam", "-9 m", "4 m"),
			line("low", "pipe", "-1 m", "1.5 m"), line("high", "frame", "-3 m", "15 m"), line("far", "wall", "-30 m", "3 m"), line("over", "tie_beam", "2 m", "4.5 m")},
		Galleries:    []survey.Gallery{{Name: "rear", Floor: m("3 m"), Soffit: m("3.2 m"), Front: m("1 m"), RailTop: m("9 m")}},
		Screens:      []survey.Screen{{Name: "s", Kind: "tv", Centre: at("0 m", "3.9 m", ""), Width: m("3 m"), Height: m("1 m"), Bottom: m("9 m")}},
		Seating:      []survey.Seating{{Name: "chairs", FirstY: m("-3 m"), LastY: m("-9 m"), Rows: 12, Pitch: m("1.5 m")}},
		Dimmers:      []survey.Dimmer{{Channel: "1", Rating: si.Known(si.Power(1000))}},
		ExistingUnit: []survey.ExistingLight{{Name: "lamps", Count: 20, Watts: si.Known(si.Power(60)), Dimmer: "1"}},
		Panels:       []survey.Panel{{Name: "P", Spaces: 12, SpacesUsed: 14, ClearDepth: m("0.5 m"), ClearWidth: m("0.4 m")}},
		Hazards:      []survey.Hazard{{Kind: "bats", Where: "tower", Note: "droppings"}, {Kind: "asbestos", Where: "boiler room"}},
		Floor:        survey.Floor{Kind: "unknown"},
	}
}
