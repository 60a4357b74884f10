package region

import (
	"strings"
	"testing"

	"roodbeam/engine/si"
)

func TestConventions(t *testing.T) {
	for _, c := range []struct {
		id, like string
		display  si.Display
	}{{"us", "us", si.US}, {"metric", "metric", si.Metric}, {"nowhere", "metric", si.Metric}} {
		want := must(t, c.like).Conventions
		if got := ConventionsOf(c.id); got != want || DisplayOf(c.id) != c.display {
			t.Errorf("%s: %+v", c.id, got)
		}
		if got := (Conventions{}).OrOf(c.id); got != want {
			t.Errorf("%s, none filled in: %+v", c.id, got)
		}
	}
	own := Conventions{DataSlackM: 1}
	if own.OrOf("us") != own {
		t.Error("a profile's own conventions give way")
	}
	// 0.67 W/ft², ASHRAE/IES 90.1-2019 table 9.5.1.
	near(t, "W/m²", must(t, "us").Conventions.HouseLightWM2, .67/(.3048*.3048), 1e-12)
}

// Where two sources give two limits for one thing, the stricter stands and both are
// named: BS 7671 Table 4D1A has 20 A, IEC 60364-5-52 Table B.52.2 has 19.5 A.
func TestStricterOfTwoSources(t *testing.T) {
	in, _ := must(t, "metric").Installation("A1", 2)
	v, _ := Table{Rows: in.Rows}.Value("2.5 mm²")
	if v != 19.5 || !strings.Contains(in.Source, "4D1A gives 20 A") || !strings.Contains(in.Source, "B.52.2 gives 19.5 A") {
		t.Errorf("%v A, %s", v, in.Source)
	}
}
