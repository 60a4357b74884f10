package light

import "roodbeam/engine/geom"

// reflect solves the light that goes round in the room, where its transport is
// known.
func (e *evaluator) reflect() {
	t := e.in.Transport
	if t == nil || t.Patches() == 0 {
		e.limit("Direct light only: light reflected by walls, ceiling and floor comes on top.")
		return
	}
	e.field = t.Spread(e.rays.first(t, e.in.Sources))
	e.rep.Reflected = Reflected{Patches: t.Patches(), FluxLm: e.loss * e.field.FluxLm,
		AbsorbedLm: e.loss * e.field.AbsorbedLm, MeanLx: e.loss * e.field.MeanLx()}
	e.limit("Targets are held against direct light alone; light reflected by the room is given beside it, from the surfaces' reflectances as matt.")
	e.limit("Reflected light leaves out the light of existing lamps, people and loose things.")
}

// probe looks round from a point where there is reflected light to see.
func (e *evaluator) probe(at geom.Vec) Probe {
	if e.field.t == nil {
		return Probe{}
	}
	return e.field.t.Probe(at)
}
