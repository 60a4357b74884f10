package planner

import (
	"maps"
	"slices"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/server/convert"
	"roodbeam/server/document"
)

// Findings returns a run's findings, those about who signed among them, for people,
// each with its clearing where one stands: a clearing hangs on key and fingerprint,
// so it lapses by itself when the values change.
func (p *Planner) Findings(proj *document.Project, r *Run) []*pb.Finding {
	out := convert.Findings(p.All(proj, r), p.Book, r.Display)
	for _, f := range out {
		if c := proj.Cleared[f.GetKey()]; c != nil && c.GetFingerprint() == f.GetFingerprint() {
			f.Clearing = c.GetClearing()
		}
	}
	return out
}

// Open counts the findings of a severity that nobody cleared.
func Open(fs []*pb.Finding, s pb.Severity) int {
	n := 0
	for _, f := range fs {
		if f.GetSeverity() == s && f.GetClearing() == nil {
			n++
		}
	}
	return n
}

// OpenStops returns the stops of a run that nobody cleared.
func (p *Planner) OpenStops(proj *document.Project, r *Run) []finding.Finding {
	var out []finding.Finding
	for _, f := range r.Results.Findings {
		c := proj.Cleared[f.Key]
		if f.Severity == finding.Stop && (c == nil || c.GetFingerprint() != f.Fingerprint) {
			out = append(out, f)
		}
	}
	return out
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
