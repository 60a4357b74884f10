package daylight

import (
	"math"
	"time"

	"roodbeam/engine/geom"
	"roodbeam/engine/light"
)

// Day returns the daylight of one moment of a clear day for a picture; false
// where the place or the windows are not known, and at night.
func Day(in Input, when time.Time) (light.Day, bool) {
	site := in.Survey.Site
	if !site.Orientation || site.LatitudeDeg == 0 && site.LongitudeDeg == 0 {
		return light.Day{}, false
	}
	e := &evaluator{in: SettingOf(in), sc: light.NewScene(in.Room)}
	e.openings()
	m := e.moment(when, ClearDay)
	if len(e.panes) == 0 || !(m.out.SkyLx > 0) {
		return light.Day{}, false
	}
	out := light.Day{Toward: m.toward, SunNormalLx: m.out.NormalLx}
	for _, p := range e.panes {
		sky, sun := m.outside(p)
		incidence := math.Acos(math.Min(1, math.Max(0, -m.toward.Dot(p.normal))))
		pane := light.DayPane{Name: p.Name, Polygon: p.Polygon, Normal: p.normal, CdM2: m.seen(p, direction(p.viewer, p.centre)),
			FluxLm: WindowFluxLm(p.area, sky, p.glass.DiffuseTransmittance())}
		pane.X, pane.Y = m.through(p)
		if p.glass.Diffusing {
			pane.FluxLm += WindowFluxLm(p.area, sun, p.glass.Transmittance(incidence))
		} else {
			pane.BeamShare = p.glass.Transmittance(incidence)
		}
		out.Panes = append(out.Panes, pane)
	}
	return out, true
}

func direction(from, to geom.Vec) geom.Vec { return to.Sub(from).Unit() }
