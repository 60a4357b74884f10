package sheet

import (
	"fmt"
	"math"

	"roodbeam/engine/light"
)

var _ = register(Kind{Code: "P5", Order: 50, Title: "Light", Reader: "designer, leadership", Fill: lightSheet})

func lightSheet(in *Input, page Page) Sheet {
	_, _, w, h := page.Frame()
	blocks := []Block{
		{Heading: "Light on the faces, by zone"},
		{Table: in.zoneTable()},
		{Heading: "Assumptions and limits of the calculation"},
		{Bullets: in.lightLimits()},
	}
	if t := in.screenTable(); len(t.Rows) > 0 {
		blocks = append(blocks, Block{Heading: "Light on the screens"}, Block{Table: t})
	}
	if t := in.eyeTable(); len(t.Rows) > 0 {
		blocks = append(blocks, Block{Heading: "Light in the eyes of people"}, Block{Table: t})
	}
	if in.Light.Reflected.Patches > 0 {
		blocks = append(blocks, Block{Heading: "How the light models the faces"}, Block{Table: in.shapeTable()})
		if t := in.pictureTable(); len(t.Rows) > 0 {
			blocks = append(blocks, Block{Heading: "Pictures in the lit room"}, Block{Table: t})
		}
	}
	if t := in.areaTable(); len(t.Rows) > 0 {
		blocks = append(blocks, Block{Heading: "Light over the whole of each zone"}, Block{Table: t})
	}
	if t := in.cameraTable(); len(t.Rows) > 0 {
		blocks = append(blocks, Block{Heading: "What the cameras meet"}, Block{Table: t})
	}
	if t := in.lookTable(); len(t.Rows) > 0 {
		blocks = append(blocks, Block{Heading: "What each look of the wall panel gives"}, Block{Table: t})
	}
	if t := in.daylightTable(); len(t.Rows) > 0 {
		blocks = append(blocks, Block{Heading: "Daylight during the services"}, Block{Table: t})
		if z := in.zoneDaylightTable(); len(z.Rows) > 0 {
			blocks = append(blocks, Block{Heading: "Daylight on the zones at the brightest hour"}, Block{Table: z})
		}
		if s := in.sunTable(); len(s.Rows) > 0 {
			blocks = append(blocks, Block{Heading: "Sun on the platform during the services"}, Block{Table: s})
		}
	}
	blocks = append(blocks, Block{Heading: "Every face"}, Block{Table: in.faceTable()},
		Block{Heading: "Every unit at its focus point, alone, full on, no loss factor"}, Block{Table: in.unitLightTable()})
	scale := ""
	maps := in.Maps
	if len(maps) == 0 {
		s := LightMapScene(*in)
		scale = scaleText(s.Scale)
		blocks = append(blocks, Block{PageBreak: true}, Block{Drawing: &s})
	}
	for _, f := range maps {
		s := in.mapScene(f, w, h)
		scale = scaleText(s.Scale)
		blocks = append(blocks, Block{PageBreak: true}, Block{Drawing: &s})
	}
	for _, from := range []string{"seat-", "camera-"} {
		if v, ok := in.viewsScene(from, w); ok {
			blocks = append(blocks, Block{PageBreak: true}, Block{Heading: "The room, by calculation"}, Block{Drawing: &v},
				Block{Text: "Matt surfaces of the surveyed reflectances, simple people at the key places. Today's lights stand where they are surveyed, else they are spread evenly under the ceiling. The pictures of the evening have one exposure, without daylight; a picture by day shows the service hour of the year with most of it, exposed for itself. " +
					"Tone mapping after Reinhard et al., SIGGRAPH 2002."})
		}
	}
	return Sheet{Scale: scale, Blocks: blocks}
}

func (in *Input) zoneTable() *Table {
	t := &Table{Name: "light_by_zone", Heads: []string{"Zone", "Today", "Target", "Average", "±", "Least", "Most", "Least / average", "From stage right (house left)", "From stage left (house right)", "Back light", "Key units alone"}, Align: "lrrrrrrrrrrr",
		Note: "Today: all surveyed lights full on in the room as it stands, reflected light included. The others: vertical illuminance on each face's own plane, all front units at their levels. ± is one standard deviation from the survey: line ends, the platform, and where nobody gave them how far lenses hang and how tall people are."}
	now := map[string]string{}
	for _, z := range in.Light.Today {
		now[z.Zone] = in.lux(z.AverageLx)
	}
	for _, z := range in.Light.Zones {
		today, ok := now[z.Name]
		if !ok {
			today = unknown
		}
		t.Rows = append(t.Rows, []string{z.Name, today, in.lux(z.TargetLx), in.lux(z.AverageLx), number(z.SigmaPct, 0, "%"), in.lux(z.MinLx), in.lux(z.MaxLx),
			number(z.Evenness, 2, ""), in.lux(z.FromLeftLx), in.lux(z.FromRightLx), in.lux(z.BackLx), in.lux(z.KeyLx)})
	}
	return t
}

func (in *Input) lightLimits() []string {
	out := []string{}
	if in.Light.LossFactor > 0 {
		out = append(out, fmt.Sprintf("A loss factor of %.2f for dirt and age is included in every illuminance, except where a table says otherwise.", in.Light.LossFactor))
	}
	out = append(out, "Values are calculated from the catalogue's light distributions; what is measured on site counts.")
	return append(out, in.Light.Limits...)
}

func (in *Input) screenTable() *Table {
	t := &Table{Name: "screens", Heads: []string{"Screen", "Average", "Most", "White of the picture", "Share of white", "Contrast left", "Unit that adds most"}, Align: "lrrrrrl"}
	for _, s := range in.Light.Screens {
		white, contrast := unknown, unknown
		if s.WhiteLx > 0 {
			white = in.lux(s.WhiteLx)
		}
		if !math.IsNaN(s.Contrast) && s.Contrast > 0 {
			contrast = number(s.Contrast, 0, ": 1")
		}
		t.Rows = append(t.Rows, []string{s.Name, in.lux(s.AverageLx), in.lux(s.MaxLx), white, number(s.SpillPct, 1, "%"), contrast, s.Worst})
	}
	return t
}

func (in *Input) eyeTable() *Table {
	t := &Table{Name: "eyes", Heads: []string{"Person or place", "Veiling luminance", "Unit that adds most, or nearest", "From the line of sight", "Above the horizontal"}, Align: "lrlrr",
		Note: "Veiling luminance counts units within 30° of the line of sight, where the Stiles–Holladay form holds (CIE 146); where none is, the unit nearest to it is named."}
	for _, e := range in.Light.Eyes {
		t.Rows = append(t.Rows, []string{e.Name, veil(e.VeilCdM2), e.WorstUnit, degrees(e.WorstDeg), degrees(e.ElevationDeg)})
	}
	return t
}

func veil(cdM2 float64) string {
	const shown = 0.005 // rounds to nothing in hundredths
	if cdM2 >= 0 && cdM2 < shown {
		return "under 0.01\u00a0cd/m²"
	}
	return number(cdM2, 2, "cd/m²")
}

func (in *Input) faceTable() *Table {
	t := &Table{Name: "light_by_face", Heads: []string{"Zone", "Face", "x", "y", "z", "All front units", "Own units", "From stage right (house left)", "From stage left (house right)", "Back light", "Widest angle between two", "Blocked by"}, Align: "llrrrrrrrrrl"}
	for _, z := range in.Light.Zones {
		for _, f := range z.Faces {
			t.Rows = append(t.Rows, []string{z.Name, f.Name, in.length(f.At.X), in.length(f.At.Y), in.length(f.At.Z),
				in.lux(f.VerticalLx), in.lux(f.OwnLx), in.lux(f.LeftLx), in.lux(f.RightLx), in.lux(f.BackLx), degrees(f.PlanSpreadDeg), shadows(f)})
		}
	}
	return t
}

func shadows(f light.Face) string {
	out := ""
	for _, c := range f.Contributions {
		if c.Shadowed != "" {
			if out != "" {
				out += "; "
			}
			out += c.Unit + " by " + c.Shadowed
		}
	}
	return out
}

func (in *Input) unitLightTable() *Table {
	t := &Table{Name: "light_by_unit", Heads: []string{"Unit", "Elevation", "±", "Sideways", "Throw", "Field diameter", "Facing the unit", "On a face to the seats", "Upper edge on the wall behind", "Least free distance", "Lowest eye that sees it"}, Align: "lrrlrrrrrll"}
	for _, u := range in.Light.Units {
		clear, eye := "", ""
		if u.ClearanceOf != "" {
			clear = in.length(u.ClearanceM) + " to " + u.ClearanceOf
		}
		if u.LowestEye != "" && !math.IsNaN(u.LowestEyeDeg) {
			eye = degrees(u.LowestEyeDeg) + ", " + u.LowestEye
		}
		edge := "does not meet it"
		if !math.IsNaN(u.UpperEdgeM) {
			edge = in.both(u.UpperEdgeM)
		}
		t.Rows = append(t.Rows, []string{u.ID, degrees(u.ElevationDeg), degrees(u.SigmaElevationDeg), bearing(u.BearingDeg), in.both(u.ThrowM) + in.give(u.SigmaThrowM),
			in.both(u.FieldDiameterM), in.lux(u.NormalLx), in.lux(u.VerticalLx), edge, clear, eye})
	}
	return t
}
