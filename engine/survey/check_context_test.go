package survey

import (
	"strings"
	"testing"
	"time"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

func amps(v float64) si.Typed[si.Current] { return si.Known(si.Current(v)) }

// fourCorners is a hall of 12.00 by 18.00 m with its diagonals.
func fourCorners(t *testing.T, diagonal string) Survey {
	s := Survey{Footprint: []string{"a", "b", "c", "d"}}
	for i, m := range []struct{ from, to, v string }{{"a", "b", "12.00 m"}, {"b", "c", "18.00 m"}, {"c", "d", "12.00 m"}, {"d", "a", "18.00 m"},
		{"a", "c", diagonal}, {"b", "d", "21.63 m"}} {
		s.Measurements = append(s.Measurements, Measurement{ID: "m" + string(rune('1'+i)), Kind: Distance, From: m.from, To: m.to, Value: typed(t, m.v), Instrument: Laser})
	}
	for i, n := range s.Footprint {
		s.Stations = append(s.Stations, Station{Name: n, NearX: typed(t, []string{"6 m", "-6 m", "-6 m", "6 m"}[i]), NearY: typed(t, []string{"4 m", "4 m", "-14 m", "-14 m"}[i])})
	}
	return s
}

// Each contradiction of the survey checklist that shows inside survey and brief is
// found, shows at least two values and says what to measure again. Number 6 is the
// room's (its lines against doors and roof, TestLinesAgainstDoorsAndRoof); each task
// of number 16 is the phase plan's.
func TestContradictionsByNumber(t *testing.T) {
	gable := func(ridge, slope string) Survey {
		s := fourCorners(t, "21.63 m")
		s.Ceiling = Ceiling{Shape: "gable", Height: typed(t, "4.00 m"), Ridge: typed(t, ridge), Slope: typed(t, slope)}
		return s
	}
	clock := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	for name, tc := range map[string]struct {
		code string
		s    Survey
		ctx  Context
	}{
		"1 ridge":       {"SURVEY_RIDGE_MISMATCH", gable("7.00 m", "7.50 m"), Context{}},
		"2 slope":       {"SURVEY_SLOPE_AS_HEIGHT", gable("9.60 m", "9.60 m"), Context{}},
		"3 diagonals":   {"SURVEY_DIAGONAL_ODD", fourCorners(t, "22.63 m"), Context{}},
		"4 rows":        {"SURVEY_ROWS_MISMATCH", Survey{Seating: []Seating{{Name: "main", Rows: 10, Pitch: typed(t, "0.90 m"), FirstY: typed(t, "-2 m"), LastY: typed(t, "-12 m")}}}, Context{}},
		"5 steps":       {"SURVEY_STEPS_MISMATCH", Survey{Platform: Platform{Steps: 3, Riser: typed(t, "16 cm"), Height: typed(t, "0.60 m")}}, Context{}},
		"5 riser":       {"SURVEY_RISER_ODD", Survey{Platform: Platform{Riser: typed(t, "25 cm")}}, Context{}},
		"7 spacing":     {"SURVEY_SPACING_ODD", Survey{Lines: beams(t, "-2 m", "-5 m", "-8 m", "-12 m", "-15 m")}, Context{}},
		"8 outside":     {"SURVEY_SCREEN_OUTSIDE", Survey{Ceiling: Ceiling{Shape: "flat", Height: typed(t, "3 m")}, Screens: []Screen{{Name: "s", Bottom: typed(t, "2 m"), Width: typed(t, "3.2 m"), Height: typed(t, "1.8 m")}}}, Context{}},
		"8 ratio":       {"SURVEY_SCREEN_RATIO", Survey{Screens: []Screen{{Name: "s", Kind: "tv", Width: typed(t, "3.2 m"), Height: typed(t, "1.0 m")}}}, Context{}},
		"9 door":        {"SURVEY_RANGE_ODD", Survey{Routes: []AccessRoute{{Name: "west", Doors: []Door{{Name: "inner", Height: typed(t, "1.60 m")}}}}}, Context{}},
		"9 pitch":       {"SURVEY_RANGE_ODD", Survey{Seating: []Seating{{Name: "main", Pitch: typed(t, "2 m")}}}, Context{}},
		"10 two people": {"SURVEY_TWO_READINGS", twice(t), Context{}},
		"11 channel": {"SURVEY_DIMMER_OVER", Survey{Dimmers: []Dimmer{{Channel: "1", Rating: si.Known(si.Power(1000))}},
			ExistingUnit: []ExistingLight{{Name: "pendants", Count: 12, Watts: si.Known(si.Power(100)), Dimmer: "1"}}}, Context{}},
		"11 feeder": {"SURVEY_FEEDER_OVER", Survey{Supply: Supply{Voltage: si.Known(si.Voltage(230))},
			Panels:  []Panel{{Name: "P", Ways: []PanelWay{{Space: 3, Rating: amps(16), Poles: 1, Feeds: "dimmer cabinet A"}}}},
			Dimmers: []Dimmer{{Channel: "1", Cabinet: "A", Rating: si.Known(si.Power(3000))}, {Channel: "2", Cabinet: "A", Rating: si.Known(si.Power(3000))}},
			ExistingUnit: []ExistingLight{{Name: "a", Count: 20, Watts: si.Known(si.Power(100)), Dimmer: "1"},
				{Name: "b", Count: 20, Watts: si.Known(si.Power(100)), Dimmer: "2"}}}, Context{}},
		"12 directory": {"SURVEY_DIRECTORY_MISMATCH", Survey{Panels: []Panel{{Name: "P", Spaces: 12, SpacesUsed: 5, Ways: []PanelWay{{Space: 1, Poles: 2}, {Space: 5}}}}}, Context{}},
		"12 main":      {"SURVEY_STANDING_OVER", Survey{Supply: Supply{Main: amps(63), Standing: []StandingLoad{{Leg: "L1", Current: amps(40)}, {Current: amps(30)}}}}, Context{}},
		"13 width": {"SURVEY_MACHINE_WIDTH", Survey{Routes: []AccessRoute{{Name: "west", DoorWidth: typed(t, "0.80 m")}}},
			Context{Machines: []Machine{{Name: "A", Width: typed(t, "0.76 m")}}}},
		"13 height": {"SURVEY_MACHINE_HEIGHT", Survey{Routes: []AccessRoute{{Name: "west", Doors: []Door{{Name: "inner", Height: typed(t, "1.95 m")}}}}},
			Context{Machines: []Machine{{Name: "A", StowedHeight: typed(t, "1.98 m")}}}},
		"9 people":                 {"SURVEY_RANGE_ODD", Survey{Platform: Platform{TallestSpeaker: typed(t, "6' 11\"")}}, Context{}},
		"9 people, feet as metres": {"SURVEY_RANGE_ODD", Survey{Platform: Platform{ShortestSpeaker: typed(t, "5.25 m")}}, Context{}},
		"9 people turned round":    {"SURVEY_SPEAKERS_ODD", Survey{Platform: Platform{TallestSpeaker: typed(t, "1.62 m"), ShortestSpeaker: typed(t, "1.85 m")}}, Context{}},
		"12 ways":                  {"SURVEY_PANEL_COUNT", Survey{Panels: []Panel{{Name: "P", Spaces: 12, SpacesUsed: 14}}}, Context{}},
		"13 lobby": {"SURVEY_MACHINE_LOBBY", Survey{Routes: []AccessRoute{{Name: "west", LobbyHeight: typed(t, "1.95 m")}}},
			Context{Machines: []Machine{{Name: "A", StowedHeight: typed(t, "1.98 m")}}}},
		"13 passage": {"SURVEY_MACHINE_WIDTH", Survey{Routes: []AccessRoute{{Name: "west", Passage: typed(t, "0.80 m")}}},
			Context{Machines: []Machine{{Name: "A", Width: typed(t, "0.76 m")}}}},
		"13 turn": {"SURVEY_MACHINE_TURN", Survey{Routes: []AccessRoute{{Name: "west", Landing: typed(t, "1.20 m"), Passage: typed(t, "1.00 m")}}},
			Context{Machines: []Machine{{Name: "A", Width: typed(t, "0.76 m"), Length: typed(t, "1.83 m")}}}},
		"13 weight": {"SURVEY_MACHINE_WEIGHT", Survey{Floor: Floor{Rating: "3 kN/m²"}},
			Context{Machines: []Machine{{Name: "A", Width: typed(t, "0.76 m"), Length: typed(t, "1.40 m"), Mass: si.Known(si.Mass(680)), Capacity: si.Known(si.Mass(227))}}}},
		"16 service": {"SURVEY_DATE_CLASH", Survey{}, Context{Start: clock.AddDate(0, 0, 4), Days: []CalendarDay{{Name: "Sunday service", Weekly: true, Weekday: time.Sunday}}}},
		"16 closed":  {"SURVEY_DATE_CLASH", Survey{}, Context{Start: clock, Days: []CalendarDay{{Name: "bazaar", From: clock.AddDate(0, 0, -1), To: clock.AddDate(0, 0, 1)}}}},
		"16 hazard":  {"SURVEY_DATE_CLASH", Survey{Hazards: []Hazard{{Kind: "bats", Where: "roof", Due: clock.AddDate(0, 0, 30)}}}, Context{Start: clock.AddDate(0, 0, 7)}},
		"14 sun": {"SURVEY_SUN_BEHIND", Survey{Site: Site{Orientation: true, CongregationFacingDeg: 90}, Windows: []Window{{Name: "east"}}},
			Context{Sun: []SunCheck{{"Sunday in March", 120, 25}}}},
		"14 compass": {"SURVEY_BEARING_ODD", Survey{Site: Site{Orientation: true, CongregationFacingDeg: 90}, Windows: []Window{{Name: "east", Bearing: true, BearingDeg: 180}}}, Context{}},
		"15 direction": {"SURVEY_PHOTO_DIRECTION", Survey{Site: Site{Orientation: true, CongregationFacingDeg: 90},
			Photos: []Photo{{ID: "1", Of: "rear wall", Bearing: true, DirectionDeg: 80}}}, Context{}},
		"15 time": {"SURVEY_PHOTO_TIME", Survey{Photos: []Photo{{ID: "1", Taken: clock.AddDate(1, 0, 0)}}}, Context{Now: clock}},
		"15 day": {"SURVEY_PHOTO_TIME", Survey{Measurements: []Measurement{{ID: "m1", Kind: Height, To: "ceiling", Value: typed(t, "5 m"), Taken: clock}},
			Photos: []Photo{{ID: "1", Of: "measurement m1", Taken: clock.AddDate(0, 0, -9)}}}, Context{Now: clock}},
	} {
		found := only(CheckIn(tc.s, finding.NewBook(), "metric", tc.ctx), tc.code)
		if len(found) == 0 {
			t.Errorf("%s: %s is not found", name, tc.code)
			continue
		}
		values := 0
		for _, a := range found[0].Args {
			if a.Kind != finding.KindText || strings.ContainsAny(a.Text, "0123456789") {
				values++
			}
		}
		if found[0].HasValue {
			values++
		}
		if values < 2 {
			t.Errorf("%s: shows %d values, want two that clash: %+v", name, values, found[0].Args)
		}
		if argOf(t, found[0], "remeasure").Text == "" {
			t.Errorf("%s: nothing to measure again", name)
		}
	}
}

// The same surveys with numbers that fit bring none of these findings.
func TestAgreementsAreQuiet(t *testing.T) {
	s := fourCorners(t, "21.63 m")
	s.Ceiling = Ceiling{Shape: "gable", Height: typed(t, "4.00 m"), Ridge: typed(t, "8.50 m"), Slope: typed(t, "7.50 m")}
	s.Site = Site{Orientation: true, CongregationFacingDeg: 90}
	s.Windows = []Window{{Name: "south", FacingDeg: -90, Bearing: true, BearingDeg: 185}, {Name: "north", FacingDeg: 90, Bearing: true, BearingDeg: 355}}
	s.Walls = []Wall{{Name: "front", From: "a", To: "b"}, {Name: "left side", From: "d", To: "a"}}
	s.Photos = []Photo{{ID: "1", Of: "wall front", Bearing: true, DirectionDeg: 100}, {ID: "2", Of: "wall left side", Bearing: true, DirectionDeg: 170}}
	s.Routes = []AccessRoute{{Name: "west", DoorWidth: typed(t, "0.90 m"), DoorHeight: typed(t, "2.05 m"), Landing: typed(t, "1.60 m"), Passage: typed(t, "1.50 m")}}
	s.Platform = Platform{TallestSpeaker: typed(t, "6' 2\""), ShortestSpeaker: typed(t, "1.58 m")}
	s.Floor = Floor{Kind: "slab_on_ground", Rating: "10 kN/m²"}
	s.Hazards = []Hazard{{Kind: "bats", Due: time.Date(2026, 12, 20, 0, 0, 0, 0, time.UTC)}}
	s.Panels = []Panel{{Name: "P", Spaces: 12, SpacesUsed: 3, Ways: []PanelWay{{Space: 1, Poles: 2}, {Space: 5}}}}
	s.Supply = Supply{Main: amps(63), Standing: []StandingLoad{{Leg: "L1", Current: amps(20)}, {Leg: "L2", Current: amps(60)}}}
	ctx := Context{Machines: []Machine{{Name: "A", Width: typed(t, "0.76 m"), Length: typed(t, "1.4 m"), StowedHeight: typed(t, "1.98 m"), Mass: si.Known(si.Mass(680))}},
		Start: time.Date(2027, 1, 11, 0, 0, 0, 0, time.UTC), Now: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC),
		Days: []CalendarDay{{Name: "Sunday service", Weekly: true, Weekday: time.Sunday}, {Name: "Advent", From: time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC), To: time.Date(2027, 1, 10, 0, 0, 0, 0, time.UTC)}},
		Sun:  []SunCheck{{"evening", 270, 20}, {"noon", 180, 70}}}
	for _, f := range CheckIn(s, finding.NewBook(), "metric", ctx) {
		switch f.Code {
		case "SURVEY_MISSING_ANSWER", "SURVEY_ASBESTOS", "SURVEY_FLOOR_UNKNOWN", "SURVEY_PLATFORM_RATING", "SURVEY_CHECKLIST_OPEN", "SURVEY_ITEM_ASSUMED", "SURVEY_HAZARD":
		default:
			t.Errorf("%s %s %+v", f.Code, f.Subject, f.Args)
		}
	}
}

func beams(t *testing.T, ys ...string) []HangingLine {
	var out []HangingLine
	for i, y := range ys {
		p := Place{Y: typed(t, y)}
		out = append(out, HangingLine{Name: "B" + string(rune('1'+i)), Kind: "beam", From: p, To: p})
	}
	return out
}

func twice(t *testing.T) Survey {
	s := Survey{Lines: beams(t, "-2 m")}
	for i, v := range []string{"5.90 m", "6.30 m"} {
		s.Measurements = append(s.Measurements, Measurement{ID: "m" + string(rune('1'+i)), Kind: Height, To: "B1", Value: typed(t, v), Instrument: Laser, By: "a volunteer"})
	}
	return s
}
