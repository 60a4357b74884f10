package plan

import (
	"roodbeam/engine/colour"
	"roodbeam/engine/finding"
	"roodbeam/engine/light"
)

const (
	// daylightK is the white of sun and sky together through clear glass.
	// Source: common practice, 5600 K as cameras' daylight setting.
	daylightK = 5600
	// leastDaylightLx leaves out what no camera sees beside stage light.
	leastDaylightLx = 1
	// byDay marks the findings of the service hour with most daylight.
	byDay = "by day"
)

// cameras fills in the whites of what the cameras meet, and their rows at the
// service hour with most daylight where there is any.
func (r *Results) cameras(book *finding.Book, region string) []finding.Finding {
	var fs, more []finding.Finding
	r.Light.Cameras, fs = colour.Cameras(r.Light.Cameras, "", book, region)
	ambient := r.daylight()
	if len(ambient) == 0 || len(r.Light.Cameras) == 0 {
		return fs
	}
	r.Light.Limits = append(r.Light.Limits, "Daylight before cameras is that on the faces at the year's service hour with most of it, taken as 5600 K; coloured glass changes it.")
	day := light.WithAmbient(r.Light.Cameras, ambient)
	fs = append(fs, light.CheckCameras(day, byDay, book, region)...)
	r.Light.CamerasByDay, more = colour.Cameras(day, byDay, book, region)
	return append(fs, more...)
}

// daylight returns the daylight on the zones' faces at that hour.
func (r *Results) daylight() []light.Ambient {
	var out []light.Ambient
	white := colour.Daylight(daylightK)
	for _, z := range r.Daylight.Zones {
		if z.TotalLx >= leastDaylightLx {
			out = append(out, light.Ambient{Zone: z.Name, Lx: z.TotalLx, ChromaX: white.X, ChromaY: white.Y})
		}
	}
	return out
}
