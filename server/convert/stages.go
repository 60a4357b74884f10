package convert

import (
	"slices"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/finding"
	"roodbeam/engine/plan"
	"roodbeam/engine/si"
)

// Results returns the message of everything derived, with the stages asked for; none asked for means all.
// Findings are rendered in display's units.
func Results(r plan.Results, book *finding.Book, display si.Display, stages []roodbeamv1.ResultStage) *roodbeamv1.Results {
	wanted := func(s roodbeamv1.ResultStage) bool { return len(stages) == 0 || slices.Contains(stages, s) }
	out := &roodbeamv1.Results{}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_ROOM) {
		out.Room = Room(r.Room)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_SCHEME) {
		out.Scheme, out.Placed = SchemeToAPI(r.Scheme), each(r.Placed, Placed)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_LINES) {
		out.Lines = each(r.Lines, LineRow)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_LIGHT) {
		out.Light = Light(r.Light)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_DAYLIGHT) {
		out.Daylight = Daylight(r.Daylight)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_LOAD) {
		out.Load = Load(r.Load)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_HANGING) {
		out.Hanging = Hanging(r.Hanging)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_NETWORK) {
		out.Network = Network(r.Network)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_PRESETS) {
		out.Presets = Presets(r.Presets)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_LOOKS) {
		out.Looks = each(r.Looks, LookLight)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_ESTIMATE) {
		out.Estimate = Estimate(r.Estimate)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_PHASES) {
		out.Phases = Phases(r.Phases)
	}
	if wanted(roodbeamv1.ResultStage_RESULT_STAGE_FINDINGS) {
		out.Findings = Findings(r.Findings, book, display)
	}
	return out
}
