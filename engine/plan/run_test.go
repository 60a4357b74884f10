package plan

import (
	"math"
	"sync/atomic"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/light"
)

// TestOneCauseOneFinding: a zone on one circuit is said once; that it goes dark
// with a unit, or with another circuit, is a cause of its own.
func TestOneCauseOneFinding(t *testing.T) {
	book := finding.NewBook()
	electrical := []finding.Finding{
		book.New("ELECTRICAL_ZONE_ONE_CIRCUIT", "zone choir", finding.CountOf("count", 3), finding.Text("circuit", "W1")),
		book.New("ELECTRICAL_ZONE_ONE_CIRCUIT", "zone desk", finding.CountOf("count", 2), finding.Text("circuit", "W2")),
	}
	dark := func(zone, what string) finding.Finding {
		return book.New("LIGHT_ONE_DARK", "zone "+zone, finding.Text("what", what))
	}
	got := notSaid([]finding.Finding{dark("choir", "circuit W1"), dark("desk", "unit D1"), dark("piano", "circuit W1")}, zonesOnOne(electrical))
	if len(got) != 2 || got[0].Subject != "zone desk" || got[1].Subject != "zone piano" {
		t.Errorf("%+v", got)
	}
}

// TestPanicReachesTheCaller: the first of several by number, once all have ended.
func TestPanicReachesTheCaller(t *testing.T) {
	var ended atomic.Int32
	defer func() {
		if r := recover(); r != "second" || ended.Load() != 2 {
			t.Errorf("recovered %v, %d ended", r, ended.Load())
		}
	}()
	atOnce(4, func(i int) {
		switch i {
		case 1:
			panic("second")
		case 3:
			panic("fourth")
		}
		ended.Add(1)
	})
	t.Error("nothing was caught")
}

// TestUnknownOnBothSidesIsNoChange: a number nobody knows on either side does not
// differ; one that is known on one side alone does.
func TestUnknownOnBothSidesIsNoChange(t *testing.T) {
	of := func(lx float64) Results {
		return Results{Light: light.Report{Screens: []light.Screen{{Name: "main", AverageLx: lx}}}}
	}
	nan := math.NaN()
	for _, tc := range []struct {
		a, b float64
		want int
	}{{nan, nan, 0}, {5, 5, 0}, {5, 5 + 1e-12, 0}, {0, 0, 0}, {5, 6, 1}, {nan, 5, 1}, {5, nan, 1}} {
		if got := compareStages(of(tc.a), of(tc.b)); len(got) != tc.want {
			t.Errorf("%v and %v: %+v", tc.a, tc.b, got)
		}
	}
	if got := compareStages(of(5), Results{}); len(got) != 1 || !math.IsNaN(got[0].B) {
		t.Errorf("on one side alone: %+v", got)
	}
}
