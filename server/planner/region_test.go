package planner_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"roodbeam/engine/plan"
	"roodbeam/engine/region"
	"roodbeam/engine/si"
)

// A third region is a data file: every demo church is planned by one that no code
// names, from the survey's checks to the sheets.
func TestThirdRegion(t *testing.T) {
	raw, err := os.ReadFile("../../engine/region/testdata/hundred-volt.json")
	if err != nil {
		t.Fatal(err)
	}
	p, err := region.Parse(raw)
	if err != nil {
		t.Fatal(err)
	}
	coiled := false
	for _, church := range demos() {
		f := file(t, church)
		d := documents(t, f, byHand)
		d.Brief.Region, d.Profile = p.ID, p
		// A supply nobody surveyed is taken as the region has it.
		d.Survey.Supply.System, d.Survey.Supply.Voltage, d.Survey.Supply.VoltageLL = "", si.Typed[si.Voltage]{}, si.Typed[si.Voltage]{}
		r := plan.Run(d, book)
		if len(r.Load.Circuits) == 0 || !strings.Contains(r.Load.SupplyNote, "100/200 V") {
			t.Errorf("%s: %d circuits, %s", church, len(r.Load.Circuits), r.Load.SupplyNote)
		}
		for _, c := range r.Load.Circuits {
			if _, ok := p.Conductor(c.Conductor); c.BreakerA > 0 && !ok && c.Conductor != "" {
				t.Errorf("%s: %s is wired in %q", church, c.Name, c.Conductor)
			}
			if !c.Existing && c.BreakerA > 0 && !slices.Contains(p.Breakers, c.BreakerA) {
				t.Errorf("%s: %s behind %v A", church, c.Name, c.BreakerA)
			}
			if c.Connector != "" && !strings.HasPrefix(c.Connector, "JIS") {
				t.Errorf("%s: %s has %q", church, c.Name, c.Connector)
			}
		}
		for _, b := range r.Network.Branches {
			if len(d.Scheme.Branches) == 0 && b.SlackM != p.Conventions.DataSlackM {
				t.Errorf("%s: branch %s has %v m of slack", church, b.Name, b.SlackM)
			}
			coiled = coiled || b.SlackM == p.Conventions.DataSlackM
		}
		if len(packet(d, r, p.Display)) == 0 {
			t.Errorf("%s: no packet", church)
		}
	}
	if !coiled && !testing.Short() { // the one church of the short run has none
		t.Error("no data branch has the slack of the region")
	}
}

// Every limit that findings are held against has one that holds in any region.
func TestLimitsHoldInEveryRegion(t *testing.T) {
	for _, code := range book.Codes() {
		_, us := book.Limit(code.Code, "us")
		_, metric := book.Limit(code.Code, "metric")
		if _, third := book.Limit(code.Code, "a third region"); (us || metric) && !third {
			t.Errorf("%s has limits in named regions alone", code.Code)
		}
	}
}
