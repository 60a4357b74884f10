package sheet

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/daylight"
)

// areaTable lists every kind of illuminance over the zones' whole extent.
func (in *Input) areaTable() *Table {
	t := &Table{Name: "light_over_zones", Heads: []string{"Zone", "On", "Average", "Least", "Most", "Least / average", "Reflected beside it", "Points every"}, Align: "llrrrrrr",
		Note: "Direct light of all units at the height of the faces; half as many points along each side change no average by more than 1 %, except where the limits above say by how much."}
	for _, z := range in.Light.Zones {
		for _, q := range z.Area {
			on := map[string]string{"vertical": "faces to the congregation", "horizontal": "the level", "cylindrical": "faces all round (cylindrical)",
				"semi_cylindrical": "faces to the congregation (semi-cylindrical)", "camera": "faces to " + q.Camera}[q.Kind]
			t.Rows = append(t.Rows, []string{z.Name, on, in.lux(q.AverageLx), in.lux(q.MinLx), in.lux(q.MaxLx), number(q.Evenness, 2, ""), in.lux(q.IndirectLx), in.both(z.AreaStepM)})
		}
	}
	return t
}

// cameraTable lists what every camera meets in its zones, by the units alone and
// by day.
func (in *Input) cameraTable() *Table {
	t := &Table{Name: "cameras", Heads: []string{"Camera", "Hour", "Zone", "Faces toward it", "From its left", "From its right", "from steeply above", "Daylight", "Over its settings", "White", "Tint (Duv)", "Between zones"}, Align: "lllrrrrrrrrl"}
	by := func(hour string, day bool) {
		cams := in.Light.Cameras
		if day {
			cams = in.Light.CamerasByDay
		}
		for _, c := range cams {
			for i, z := range c.Zones {
				spread := ""
				if i == 0 {
					spread = spreadText(c.SpreadStops, c.SpreadMired, c.SpreadDuv)
				}
				white := unknown
				if z.CCTK > 0 {
					white = number(math.Round(z.CCTK/50)*50, 0, "K")
				}
				t.Rows = append(t.Rows, []string{c.Name, hour, z.Zone, in.lux(z.FaceLx), in.lux(z.LeftLx), in.lux(z.RightLx), in.lux(z.AboveLx), in.lux(z.AmbientLx),
					number(z.OffStops, 1, "stops"), white, number(z.Duv, 4, ""), spread})
			}
		}
	}
	by("evening", false)
	by("brightest service hour", true)
	return t
}

func spreadText(stops, mired, duv float64) string {
	var out []string
	for _, v := range []struct {
		v        float64
		decimals int
		unit     string
	}{{stops, 1, "stops"}, {mired, 0, "mired"}, {duv, 4, "Duv"}} {
		if !math.IsNaN(v.v) {
			out = append(out, number(v.v, v.decimals, v.unit))
		}
	}
	return strings.Join(out, ", ")
}

// sunTable lists the sun on the platform by service and month, the moment of the
// largest patch in each.
func (in *Input) sunTable() *Table {
	t := &Table{Name: "sun_on_platform", Heads: []string{"Service", "Month", "Moments with sun", "Largest patch", "at", "Brightest", "Through", "Blinds"}, Align: "llrrlrll",
		Note: "Five moments of every service of the year under a clear sky: its beginning, quarters and end."}
	type month struct {
		service, name string
		count         int
		most          daylight.SunTime
	}
	var months []month
	for _, s := range in.Daylight.Sun {
		name := s.When.Format("January 2006")
		if n := len(months); n == 0 || months[n-1].service != s.Service || months[n-1].name != name {
			months = append(months, month{service: s.Service, name: name})
		}
		m := &months[len(months)-1]
		if m.count++; s.AreaM2 > m.most.AreaM2 {
			m.most = s
		}
	}
	for _, m := range months {
		blinds := "none"
		if m.most.Blind {
			blinds = "on all of them"
		}
		t.Rows = append(t.Rows, []string{m.service, m.name, fmt.Sprint(m.count), number(m.most.AreaM2, 1, "m²"), m.most.When.Format("2 January, 15:04"),
			in.lux(m.most.MostLx), strings.Join(m.most.Windows, ", "), blinds})
	}
	return t
}

// lookTable lists what every look gives: the zones, the worst picture and the
// worst eye.
func (in *Input) lookTable() *Table {
	t := &Table{Name: "look_light", Heads: []string{"Look", "Zone", "Average", "Least", "Least / average", "Back light", "Reflected", "Horizontal", "Cylindrical", "Modelling", "Stops against the settings", "Worst picture", "Most veil in an eye"}, Align: "llrrrrrrrrlll",
		Note: "Vertical and back light as for the scheme, of the units at the look's levels; reflected, horizontal and cylindrical light with the house lights that stay."}
	for _, l := range in.Looks {
		picture, worst := "", math.Inf(1)
		for _, s := range l.Light.Screens {
			if s.AmbientContrast < worst {
				picture, worst = s.Name+", "+number(s.AmbientContrast, 0, ": 1")+", "+s.Class, s.AmbientContrast
			}
		}
		eye, most := "", 0.0
		for _, e := range l.Light.Eyes {
			if e.VeilCdM2 > most {
				eye, most = e.Name+", "+veil(e.VeilCdM2), e.VeilCdM2
			}
		}
		for i, z := range l.Light.Zones {
			stops := []string{}
			for _, c := range l.Light.Cameras {
				for _, cz := range c.Zones {
					if cz.Zone == z.Name && !math.IsNaN(cz.OffStops) && !math.IsInf(cz.OffStops, 0) {
						stops = append(stops, c.Name+" "+number(cz.OffStops, 1, ""))
					}
				}
			}
			if i > 0 {
				picture, eye = "", ""
			}
			t.Rows = append(t.Rows, []string{l.Name, z.Name, in.lux(z.AverageLx), in.lux(z.MinLx), number(z.Evenness, 2, ""), in.lux(z.BackLx), in.lux(z.Shape.IndirectLx),
				in.lux(z.Shape.HorizontalLx), in.lux(z.Shape.CylindricalLx), number(z.Shape.ModellingIndex, 2, ""), strings.Join(stops, "; "), picture, eye})
		}
	}
	return t
}
