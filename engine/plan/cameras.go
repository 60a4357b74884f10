package plan

import (
	"roodbeam/engine/colour"
	"roodbeam/engine/finding"
	"roodbeam/engine/light"
)

const (
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
	r.Light.Limits = append(r.Light.Limits, "Daylight before cameras is that toward each of them at the year's service hour with most of it: 5600 K through clear glass, through coloured glass a middle tint of its kind where none was measured.")
	day := light.WithAmbient(r.Light.Cameras, ambient)
	fs = append(fs, light.CheckCameras(day, byDay, book, region)...)
	r.Light.CamerasByDay, more = colour.Cameras(day, byDay, book, region)
	return append(fs, more...)
}

// daylight returns the daylight on the zones' faces toward each camera at that
// hour.
func (r *Results) daylight() []light.Ambient {
	var out []light.Ambient
	for _, z := range r.Daylight.Cameras {
		if z.Lx >= leastDaylightLx {
			out = append(out, light.Ambient{Camera: z.Camera, Zone: z.Zone, Lx: z.Lx, ChromaX: z.ChromaX, ChromaY: z.ChromaY})
		}
	}
	return out
}
