package sheet

import (
	"math"
	"strings"
)

// shapeTable says how the light models the faces of each zone.
func (in *Input) shapeTable() *Table {
	t := &Table{Name: "light_modelling", Heads: []string{"Zone", "Reflected", "Horizontal", "Cylindrical", "Semi-cylindrical", "Cylindrical / horizontal",
		"Brighter side / darker", "Back / front", "Strongest light from", "Kept from the eyes by the brow", "Left in the nose's shadow", "If one fails", "left"}, Align: "lrrrrrrrrrrlr",
		Note: "Direct and reflected light of all units. EN 12464-1 asks for cylindrical / horizontal between 0.30 and 0.60. Brow: 15 mm before and 25 mm over the eye."}
	for _, z := range in.Light.Zones {
		s := z.Shape
		t.Rows = append(t.Rows, []string{z.Name, in.lux(s.IndirectLx), in.lux(s.HorizontalLx), in.lux(s.CylindricalLx), in.lux(s.SemiCylindricalLx),
			number(s.ModellingIndex, 2, ""), number(s.SideRatio, 1, ": 1"), number(s.BackFrontRatio, 2, ""), degrees(s.DominantDeg),
			number(s.BrowShadePct, 0, "%"), number(s.ShadowKeptPct, 0, "%"), z.Failure.What, number(z.Failure.LeftPct, 0, "%")})
	}
	return t
}

// pictureTable says what the room's light leaves of the pictures.
func (in *Input) pictureTable() *Table {
	t := &Table{Name: "pictures", Heads: []string{"Screen", "Direct", "Reflected", "Contrast left", "Enough for"}, Align: "lrrrl",
		Note: "Viewing classes of ANSI/INFOCOMM 3M-2011: 7, 15, 50 and 80 to 1."}
	for _, s := range in.Light.Screens {
		t.Rows = append(t.Rows, []string{s.Name, in.lux(s.AverageLx), in.lux(s.IndirectLx), number(s.AmbientContrast, 0, ": 1"), orText(s.Class, unknown)})
	}
	return t
}

// daylightTable lists the brightest hour of each service in the year.
func (in *Input) daylightTable() *Table {
	t := &Table{Name: "daylight_hours", Heads: []string{"Service", "Brightest hour of its year", "Sun above the horizon", "Most on a face", "of it sun", "Face", "Through", "Hours with sun on a face", "Brightest window"}, Align: "llrrrllrl"}
	for _, h := range in.Daylight.Hours {
		share := ""
		if h.HoursSeen > 0 {
			share = number(100*float64(h.SunHours)/float64(h.HoursSeen), 0, "%")
		}
		bright := ""
		if h.WindowCdM2 > 0 {
			bright = h.BrightWindow + ", " + number(h.WindowCdM2, 0, "cd/m²")
		}
		t.Rows = append(t.Rows, []string{h.Service, h.When.Format("2 January 2006, 15:04"), degrees(h.SunElevationDeg), in.lux(h.FaceLx), in.lux(h.SunLx), h.Face, h.Window, share, bright})
	}
	if !math.IsNaN(in.Daylight.AverageFactorPct) {
		t.Note = "Average daylight factor of the room: " + number(in.Daylight.AverageFactorPct, 1, "%") + ". "
	}
	t.Note += strings.Join(in.Daylight.Limits, " ")
	return t
}

// zoneDaylightTable lists the zones at the year's brightest service hour.
func (in *Input) zoneDaylightTable() *Table {
	t := &Table{Name: "daylight_zones", Heads: []string{"Zone", "Sun, most on a face", "From windows in view", "Reflected", "All", "On a dull day", "Share of the key"}, Align: "lrrrrrr"}
	for _, z := range in.Daylight.Zones {
		t.Rows = append(t.Rows, []string{z.Name, in.lux(z.SunLx), in.lux(z.SkyLx), in.lux(z.ReflectedLx), in.lux(z.TotalLx), in.lux(z.OvercastLx), number(z.KeyPct, 0, "%")})
	}
	return t
}
