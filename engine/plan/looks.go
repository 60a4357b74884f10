package plan

import (
	"slices"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/colour"
	"roodbeam/engine/light"
	"roodbeam/engine/scheme"
)

// looks returns what each preset gives, whites of the cameras' zones filled in.
func (r *Results) looks(d Documents, transport *light.Transport, set catalogue.Set, rays *light.Rays) []light.LookReport {
	groups := failGroups(r.Placed, r.Load)
	var in []light.LookInput
	for _, l := range r.Presets.Looks {
		pct := map[string]float64{}
		for _, lv := range l.Levels {
			pct[lv.Unit] = lv.Pct
		}
		placed := slices.Clone(r.Placed)
		for i, u := range placed {
			if u.Purpose == scheme.HouseLight {
				pct[u.ID] = l.HousePct
			}
			placed[i].LevelPct = pct[u.ID]
		}
		sources := scheme.Sources(placed, set)
		for i, u := range placed {
			if !(pct[u.ID] > 0) { // a level of 0 in a scheme means it was not stated
				sources[i].Level = 0
			}
		}
		in = append(in, light.LookInput{Name: l.Name, HousePct: l.HousePct, Groups: groups, Input: light.Input{Room: r.Room, Brief: d.Brief, Survey: d.Survey, Sources: sources,
			LossFactor: lossFactor, Transport: transport, Catalogue: set, Rays: rays}})
	}
	out := light.EvaluateLooks(in)
	for i := range out {
		out[i].Light.Cameras, _ = colour.Cameras(out[i].Light.Cameras, "", nil, "")
	}
	return out
}
