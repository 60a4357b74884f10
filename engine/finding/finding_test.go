package finding

import (
	"math"
	"testing"

	"roodbeam/engine/si"
)

func TestEveryCodeFileReads(t *testing.T) {
	if n := len(NewBook().Codes()); n == 0 {
		t.Fatal("no codes")
	}
}

func TestCheckHoldsValueAgainstStrictestBound(t *testing.T) {
	b := NewBook()
	for _, tc := range []struct {
		value float64
		want  bool
	}{{59.9, false}, {60, false}, {60.3, true}, {math.NaN(), true}} {
		f, got := b.Check("FRONT_ELEVATION_HIGH", "us", "unit T1", tc.value)
		if got != tc.want {
			t.Errorf("Check(%v) = %v, want %v", tc.value, got, tc.want)
		}
		if got && f.Limit != 60 {
			t.Errorf("limit %v, want 60", f.Limit)
		}
	}
}

func TestFingerprintFollowsValuesAndKeyDoesNot(t *testing.T) {
	b := NewBook()
	f1, _ := b.Check("FRONT_ELEVATION_HIGH", "us", "unit T1", 61)
	f2, _ := b.Check("FRONT_ELEVATION_HIGH", "us", "unit T1", 62)
	f3, _ := b.Check("FRONT_ELEVATION_HIGH", "us", "unit T1", 61)
	if f1.Key != f2.Key || f1.Fingerprint == f2.Fingerprint || f1.Fingerprint != f3.Fingerprint {
		t.Errorf("keys %q %q fingerprints %q %q %q", f1.Key, f2.Key, f1.Fingerprint, f2.Fingerprint, f3.Fingerprint)
	}
}

func TestRenderFillsEveryPlace(t *testing.T) {
	b := NewBook()
	f, _ := b.Check("FRONT_ELEVATION_HIGH", "us", "unit T1", 60.31)
	r := b.Render(f, si.Metric)
	if want := "The light reaches the face at 60.3° above the horizontal; more than 60.0° leaves dark eye sockets."; r.Text != want {
		t.Errorf("got %q, want %q", r.Text, want)
	}
}

func TestReduceKeepsTheFindingThatKnowsMore(t *testing.T) {
	b := NewBook()
	less := b.New("SURVEY_DIMMER_OVER", "dimmer D4")
	more := b.New("ELECTRICAL_DIMMER_OVERLOADED", "dimmer channel D4")
	if got := b.Reduce([]Finding{less, more, more}); len(got) != 1 || got[0].Code != more.Code {
		t.Errorf("Reduce = %v, want the electrical finding once", got)
	}
	if got := b.Reduce([]Finding{less}); len(got) != 1 {
		t.Errorf("Reduce drops a finding that nothing replaces")
	}
}

func TestEveryReplacedCodeExists(t *testing.T) {
	b := NewBook()
	for _, c := range b.Codes() {
		for _, r := range c.Replaces {
			b.must(r)
		}
	}
}
