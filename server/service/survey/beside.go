package survey

import (
	"fmt"
	"time"

	"roodbeam/engine/daylight"
	enginesurvey "roodbeam/engine/survey"
	"roodbeam/server/convert"
	"roodbeam/server/document"
)

// beside collects what the survey's checks need of the other documents: machines on
// offer, and the sun at the services on the four turning points of this year.
func (s *Server) beside(proj *document.Project, doc enginesurvey.Survey) enginesurvey.Context {
	now := time.Now
	if s.Now != nil {
		now = s.Now
	}
	ctx := enginesurvey.Context{Now: now()}
	b := convert.BriefToEngine(proj.File.GetBrief())
	for _, m := range b.Lifts {
		ctx.Machines = append(ctx.Machines, enginesurvey.Machine{Name: m.Name, Width: m.Width, Length: m.Length, StowedHeight: m.StowedHeight,
			Mass: m.Mass, Capacity: m.Capacity})
	}
	ctx.Start = b.Calendar.Start
	for _, service := range b.Calendar.Services {
		ctx.Days = append(ctx.Days, enginesurvey.CalendarDay{Name: service.Name, Weekly: true, Weekday: service.Weekday})
	}
	for _, span := range b.Calendar.Closed {
		ctx.Days = append(ctx.Days, enginesurvey.CalendarDay{Name: span.Name, From: span.From, To: span.To})
	}
	zone, err := time.LoadLocation(proj.File.GetProject().GetTimeZone())
	site := doc.Site
	if err != nil || !site.Orientation || (site.LatitudeDeg == 0 && site.LongitudeDeg == 0) {
		return ctx
	}
	for _, service := range b.Calendar.Services {
		for _, month := range []time.Month{time.March, time.June, time.September, time.December} {
			day := time.Date(ctx.Now.Year(), month, 21, service.Hour, service.Minute, 0, 0, zone)
			day = day.AddDate(0, 0, (int(service.Weekday)-int(day.Weekday())+7)%7)
			for _, at := range []time.Time{day, day.Add(time.Duration(service.Minutes) * time.Minute)} {
				sun := daylight.SunAt(at, site.LatitudeDeg, site.LongitudeDeg)
				ctx.Sun = append(ctx.Sun, enginesurvey.SunCheck{Name: fmt.Sprintf("%s, %s", service.Name, at.Format("2 January 15:04")),
					AzimuthDeg: sun.AzimuthDeg, ElevationDeg: sun.ElevationDeg})
			}
		}
	}
	return ctx
}
