package scheme

import (
	"strings"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// A scheme without units says of each line why nothing hangs from it.
func TestNothingHung(t *testing.T) {
	l := func(text string) survey.L {
		v, err := si.TypedLength(text, si.Metric)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	beam := func(name, y, z string) survey.HangingLine {
		return survey.HangingLine{Name: name, Kind: "tie_beam", From: survey.Place{X: l("-6 m"), Y: l(y), Z: l(z)}, To: survey.Place{X: l("6 m"), Y: l(y), Z: l(z)}}
	}
	in := CheckInput{Book: finding.NewBook(), Region: "metric", Scheme: Scheme{Name: "proposed"}}
	in.Survey = survey.Survey{
		Stations: []survey.Station{{Name: "a", FixedX: l("-6 m"), FixedY: l("4 m")}, {Name: "b", FixedX: l("6 m"), FixedY: l("4 m")},
			{Name: "c", FixedX: l("6 m"), FixedY: l("-14 m")}, {Name: "d", FixedX: l("-6 m"), FixedY: l("-14 m")}},
		Footprint: []string{"a", "b", "c", "d"},
		Ceiling:   survey.Ceiling{Shape: "flat", Height: l("6.7 m")},
		Lines:     []survey.HangingLine{beam("B1", "-4 m", "18 m"), beam("B2", "-30 m", "5 m"), beam("B3", "-4 m", "5 m")},
	}
	in.Room, _ = room.Solve(in.Survey, in.Book, in.Region)
	in.Brief = brief.Brief{Zones: []brief.Zone{{Name: "desk", MinX: l("-1 m"), MaxX: l("1 m"), MinY: l("0 m"), MaxY: l("1 m")}}, Limits: brief.Limits{NoHang: []string{"B3"}}}
	told := func() (string, bool) {
		for _, f := range Check(in) {
			if f.Code == "SCHEME_NOTHING_HUNG" {
				if f.Severity != finding.Stop {
					t.Errorf("severity %v", f.Severity)
				}
				return in.Book.Render(f, si.Metric).Text, true
			}
		}
		return "", false
	}
	text, _ := told()
	for _, want := range []string{"No unit could be placed because", "line B1 is 11.30 m (", "above the ceiling", "line B2 lies outside the walls", "line B3 may carry nothing"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q lacks %q", text, want)
		}
	}
	// A voltage nothing takes is the reason, whatever the lines.
	in.Survey.Supply.Voltage = si.Known(si.Voltage(6600))
	if text, _ := told(); !strings.HasPrefix(text, "No unit could be placed because no fixture of the catalogue that hangs takes the supply's 6600 V") || strings.Contains(text, "B1") {
		t.Errorf("at 6600 V: %s", text)
	}
	in.Survey.Supply.Voltage = si.Typed[si.Voltage]{}
	in.Scheme.HouseStep = "A"
	if text, there := told(); there {
		t.Errorf("a scheme for the house lights alone: %s", text)
	}
	in.Scheme = Scheme{}
	if text, there := told(); there {
		t.Errorf("before a scheme is made: %s", text)
	}
}
