package packet

import (
	"maps"
	"slices"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/plan"
	"roodbeam/server/document"
	"roodbeam/server/planner"
	"roodbeam/server/store"
)

// pinEffects keeps number, circuit, address and place on the data branch of every
// unit: labels are glued on after this issue, so later changes only add. A unit
// that an earlier issue pinned and that is gone is retired with its number.
func pinEffects(run *planner.Run) ([]store.Effect, error) {
	labels := plan.Labels(run.Results, run.Documents.Labels)
	var out []store.Effect
	for _, u := range slices.Sorted(maps.Keys(labels)) {
		l := labels[u]
		e, err := document.Pin.Put(u, &pb.Pin{Unit: u, Universe: int32(l.Universe), Start: int32(l.Start), Slots: int32(l.Slots), Circuit: l.Circuit,
			Branch: l.Branch, Place: int32(l.Place), Fixture: l.Fixture, Line: l.Line, Leg: l.Leg, Panel: l.Panel, Retired: l.Retired})
		if err != nil {
			return nil, err
		}
		out = append(out, e)
	}
	return out, nil
}
