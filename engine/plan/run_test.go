package plan

import (
	"testing"

	"roodbeam/engine/finding"
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
