package phase

import (
	"time"

	"roodbeam/engine/brief"
	"roodbeam/engine/cost"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/hanging"
	"roodbeam/engine/network"
	"roodbeam/engine/scheme"
	"roodbeam/engine/survey"
)

// Input is what Order reads. Today is given by the caller; Findings are those
// of the earlier stages, whose stops the gates name.
type Input struct {
	Brief     brief.Brief
	Survey    survey.Survey
	Scheme    scheme.Scheme
	Placed    []scheme.Placed
	Catalogue cost.Fixtures // may be nil: units then count as hung unless their purpose is house
	Load      electrical.Plan
	Hanging   hanging.Plan
	Network   network.Plan
	Estimate  cost.Estimate
	Findings  []finding.Finding
	Today     time.Time
	Book      *finding.Book
	Region    string
}

// quantities is the same design as the cost stage counts it.
func (in Input) quantities() cost.Input {
	q := cost.Input{Placed: in.Placed, Scheme: in.Scheme, Brief: in.Brief, Survey: in.Survey, Catalogue: in.Catalogue,
		Load: in.Load, Hanging: in.Hanging, Network: in.Network}
	if in.Region != "" {
		q.Brief.Region = in.Region
	}
	return q
}
