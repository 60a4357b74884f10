package plan

import (
	"roodbeam/engine/daylight"
	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/scheme"
	"roodbeam/engine/sheet"
)

// Pictures returns the views of the room for people, before and after; it takes
// about a second. widthPx is their width in pixels; 0: 800. The same documents
// and results give the same pixels.
func Pictures(d Documents, r Results, widthPx int) []sheet.Picture {
	set := d.set()
	t := d.transport(r.Room)
	var out []sheet.Picture
	in := light.ShotInput{Room: r.Room, Brief: d.Brief, Survey: d.Survey, Catalogue: set,
		Sources: scheme.Sources(r.Placed, set), Zones: r.Light.Zones, Transport: t, LossFactor: lossFactor, Cols: widthPx,
		Today: d.today(r.Room, t, finding.NewBook())}
	for _, h := range r.Daylight.Hours {
		if h.Service != r.Daylight.Worst {
			continue
		}
		if day, ok := daylight.Day(daylight.Input{Room: r.Room, Survey: d.Survey}, h.When); ok {
			day.Title = h.Service + ", " + h.When.Format("2 January 2006, 15:04") + ", clear sky"
			in.Day = &day
		}
	}
	for _, s := range light.Shots(in) {
		out = append(out, sheet.Picture(s))
	}
	return out
}
