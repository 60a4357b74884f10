package room

import (
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Whatever the room takes for something unknown is said, with how well it holds.
func TestNothingIsTakenInSilence(t *testing.T) {
	m := func(v float64) survey.L { return si.Known(si.Length(v)) }
	s := tiedSurvey(func() float64 { return 0 })
	s.Lines = append(s.Lines, survey.HangingLine{Name: "C", Kind: "pipe", Drop: m(0.4),
		From: survey.Place{X: m(-4), Y: m(-6), Z: m(5)}, To: survey.Place{X: m(4), Y: m(-6), Z: m(5)}},
		survey.HangingLine{Name: "F", Kind: "beam", From: survey.Place{X: m(-9), Y: m(-8), Z: m(5)}, To: survey.Place{X: m(4), Y: m(-8), Z: m(5)}})
	s.Windows = []survey.Window{{Name: "north"}}
	s.Solids = []survey.Solid{{Name: "font"}}
	s.Platform.Flights = []survey.StepFlight{{Centre: survey.Place{X: m(0), Y: m(0)}, Risers: 3}}
	book := finding.NewBook()
	_, fs := Solve(s, book, "metric")
	drops := book.Render(find(t, fs, "SURVEY_ASSUMED", "lenses under their lines"), si.Metric).Text
	if !strings.Contains(drops, "B 0.35 m") || strings.Contains(drops, "C ") || !strings.Contains(drops, "give or take 0.10 m") {
		t.Errorf("drops: %s", drops)
	}
	for _, about := range []string{"window north", "font", "treads of steps of the platform", "reflectances"} {
		find(t, fs, "SURVEY_ASSUMED", about)
	}
	outside := book.Render(find(t, fs, "ROOM_LINE_OUTSIDE", "line F"), si.Metric).Text
	for _, part := range []string{"9.00 m", "5.00 m", "centre line"} {
		if !strings.Contains(outside, part) {
			t.Errorf("outside: %s", outside)
		}
	}
}
