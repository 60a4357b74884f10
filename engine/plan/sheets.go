package plan

import (
	"roodbeam/engine/drawing"
	"roodbeam/engine/finding"
	"roodbeam/engine/sheet"
	"roodbeam/engine/si"
)

// Issue is what a packet says of itself.
type Issue struct {
	Revision string
	Date     string // day of issue, 2006-01-02
	Status   string
	Display  si.Display
}

// SheetInput gathers what the sheets of a packet show.
func SheetInput(d Documents, r Results, book *finding.Book, is Issue) sheet.Input {
	var maps []drawing.Field
	if m := r.Light.Map; m.NX > 0 && m.NY > 0 {
		maps = append(maps, drawing.Field{Title: "Light on faces toward the seats", Unit: "lx", MinX: m.MinX - m.StepM/2, MinY: m.MinY - m.StepM/2,
			StepM: m.StepM, Cols: m.NX, Rows: m.NY, Values: m.Lx})
	}
	return sheet.Input{
		Maps: maps,
		Name: d.Name, Town: d.Town, Revision: is.Revision, Date: is.Date, Status: is.Status, Author: "designer", Display: is.Display,
		Survey: d.Survey, Brief: d.Brief, Room: r.Room, Scheme: r.Scheme, Placed: r.Placed,
		Catalogue: d.set(), Lines: r.Lines, Light: r.Light, Daylight: r.Daylight, Load: r.Load, Hanging: r.Hanging,
		Network: r.Network, Presets: r.Presets, Looks: r.Looks, Estimate: r.Estimate, Phases: r.Phases, Findings: r.Findings, Profile: d.Profile, Book: book,
	}
}
