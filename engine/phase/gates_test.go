package phase_test

import (
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/phase"
)

// A gate counts the open stops of those who sign it: nobody else clears them.
func TestGatesCountTheirOwnStops(t *testing.T) {
	in := meetingHouse()
	stop := func(o finding.Owner) finding.Finding { return finding.Finding{Severity: finding.Stop, Owner: o} }
	in.Findings = []finding.Finding{stop(finding.Engineer), stop(finding.Engineer), stop(finding.Engineer), stop(finding.Hazards)}
	record := func() string {
		p, _ := phase.Order(in)
		for _, g := range p.Gates {
			if g.Name == "Test record signed" {
				return g.Why
			}
		}
		t.Fatal("no test record")
		return ""
	}
	if why := record(); strings.Contains(why, "stop findings") {
		t.Errorf("stops of the engineer and the inspector: %q", why)
	}
	in.Findings = append(in.Findings, stop(finding.Electrician), finding.Finding{Severity: finding.Warn, Owner: finding.Electrician})
	if why := record(); !strings.HasSuffix(why, "open stop findings of this trade: 1") {
		t.Errorf("one stop of the electrician: %q", why)
	}
}
