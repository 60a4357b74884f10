package plan

import (
	"roodbeam/engine/light"
	"roodbeam/engine/scheme"
	"roodbeam/engine/sheet"
)

// Pictures returns the views of the room for people, before and after; it takes
// about a second. widthPx is their width in pixels; 0: 800. The same documents
// and results give the same pixels.
func Pictures(d Documents, r Results, widthPx int) []sheet.Picture {
	set := d.set()
	var out []sheet.Picture
	for _, s := range light.Shots(light.ShotInput{Room: r.Room, Brief: d.Brief, Survey: d.Survey, Catalogue: set,
		Sources: scheme.Sources(r.Placed, set), Zones: r.Light.Zones, Transport: d.transport(r.Room), LossFactor: lossFactor, Cols: widthPx}) {
		out = append(out, sheet.Picture(s))
	}
	return out
}
