package scheme

import (
	"roodbeam/engine/catalogue"
	"roodbeam/engine/light"
)

// Sources returns the placed units as the light stage sees them, in their
// order. A unit whose fixture is unknown, or has no known light, stays in the
// list without a distribution and gives none.
func Sources(placed []Placed, set catalogue.Set) []light.Source {
	out := make([]light.Source, len(placed))
	for i, p := range placed {
		out[i] = light.Source{ID: p.ID, Zone: p.Zone, Purpose: string(p.Purpose), At: p.At, Aim: p.Target, Circuit: p.Circuit,
			Level: levelShare(p.Unit), FieldDeg: p.FieldDeg, Face: p.Face, Line: p.Line, Accessories: p.Accessories}
		if p.Purpose == "" {
			out[i].Purpose = string(FrontWash)
		}
		if f, ok := set.Get(p.Fixture); ok {
			if d, ok := catalogue.Distribution(f, p.FieldDeg); ok {
				out[i].Dist = d
			}
		}
	}
	return out
}
