package hanging

import (
	"math"
	"regexp"
	"strings"
	"testing"
)

// byTheInch are names such as 3/32 in and 2-1/2 in, and not "8.8 in tension".
var byTheInch = regexp.MustCompile(`\d/\d+ in `)

// Nobody in a metric country buys 3/32 in rope: pieces by the millimetre come
// first, and by the inch stands last what has no other table.
func TestPiecesByRegion(t *testing.T) {
	inch := false
	for _, p := range RatedPiecesIn("", "metric") {
		isInch := byTheInch.MatchString(p.Name)
		if inch && !isInch {
			t.Errorf("%s stands after pieces by the inch", p.Name)
		}
		inch = inch || isInch
		if isInch && (p.Kind == "wire rope" || p.Kind == "shackle" || p.Kind == "bolt") {
			t.Errorf("%s by the inch", p.Name)
		}
	}
	if !inch {
		t.Error("the fasteners in wood are gone")
	}
	if got := RatedPiecesIn("", "us")[0].Name; !strings.HasPrefix(got, "3/32 in") {
		t.Errorf("us begins with %s", got)
	}
	// EN 12385-4: 0.359 × 3² × 1770 = 5718.9 N; with a ferrule of 90 %, over 10: 514.7 N.
	rope := RatedPiecesIn("", "metric")[0]
	if math.Abs(rope.WorkingN-514.7) > 0.05 || !strings.HasPrefix(rope.Name, "3 mm") || !strings.Contains(rope.Source, "EN 12385-4") {
		t.Errorf("%+v", rope)
	}
	for region, want := range map[string]string{"metric": "from 3 mm 6×7-WSC galvanised", "us": "from 1/8 in 7×19"} {
		if got := ropesFor(500, 10, region); !strings.HasPrefix(got, want) {
			t.Errorf("%s: %q", region, got)
		}
	}
	if got := boltsFor(500, 10); !strings.HasPrefix(got, "from M8 bolt") {
		t.Errorf("%q", got)
	}
}
