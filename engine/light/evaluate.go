package light

import (
	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// Input is what Evaluate needs. LossFactor multiplies every illuminance of the
// zones, screens and walls; 0 means 0.9 (common practice for LED: dirt and
// ageing).
type Input struct {
	Room       room.Room
	Brief      brief.Brief
	Survey     survey.Survey
	Sources    []Source
	Book       *finding.Book
	Region     string
	LossFactor float64
}

// Evaluate returns what every face, screen, wall and eye receives, and the
// findings about it.
func Evaluate(in Input) (Report, []finding.Finding) {
	var rep Report
	return rep, nil
}
