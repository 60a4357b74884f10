package scheme

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
)

// backAngles holds each back light's elevation from behind against its bands.
func (c *checker) backAngles() {
	for _, p := range c.in.Placed {
		if p.Purpose != BackLight {
			continue
		}
		e := elevationAtAim(p)
		args := []finding.Arg{finding.Text("line", orNone(p.Line)), finding.Text("place", orNone(c.faceOf(p).label()))}
		if side := math.Abs(wrapDeg(geom.BearingDeg(p.Target, p.At) - c.faceOf(p).facingDeg)); side < 90 && p.At.Y <= p.Target.Y {
			c.rep.add("SCHEME_BACK_NOT_BEHIND", subject(p.Unit), args...)
			continue
		}
		switch BackBand(e) {
		case BandGlare:
			c.rep.check("SCHEME_BACK_LOW", subject(p.Unit), e, args...)
		case BandTop:
			c.rep.check("SCHEME_BACK_STEEP", subject(p.Unit), e, args...)
		case BandBackAsk:
			c.rep.add("SCHEME_BACK_ANGLE", subject(p.Unit), append(args, finding.Deg("elevation", e))...)
		}
	}
}

// backSpacing compares the back light of zones that want it with the spacing
// rule: neighbours 0.8 of a field's diameter apart across the zone's width.
// Source: common practice.
func (c *checker) backSpacing() {
	for _, z := range c.zones {
		if (z.BackLight != "wanted" && z.BackLight != "if_room") || len(z.faces) == 0 {
			continue
		}
		var units []Placed
		for _, p := range c.in.Placed {
			if p.Zone == z.Name && p.Purpose == BackLight {
				units = append(units, p)
			}
		}
		if len(units) == 0 {
			c.backMissing(z)
			continue
		}
		pool := 0.0
		for _, p := range units {
			pool += fieldDiameterM(p.At.Sub(p.Target).Norm(), p.FieldDeg) / float64(len(units))
		}
		width := zoneWidthM(z.Zone, z.faces)
		if need := backCount(width, pool); len(units) < need {
			c.rep.add("SCHEME_BACK_SPACING", "zone "+z.Name, finding.CountOf("units", len(units)), finding.CountOf("rule", need),
				finding.Len("width", lengthOf(width)), finding.Len("pool", lengthOf(pool)))
		}
	}
}

// backCount returns how many back lights a width in metres takes by the spacing
// rule with pools of a diameter in metres; 1 for no width, 0 for no pool.
func backCount(widthM, poolM float64) int {
	if !(poolM > 0) {
		return 0
	}
	return max(1, int(math.Min(1e6, math.Ceil(widthM/(backSpacingShare*poolM)-1e-9))))
}

// backMissing says what back light would take for a zone that has none.
func (c *checker) backMissing(z checkedZone) {
	code := "SCHEME_BACK_LEFT_OUT"
	if z.BackLight == "wanted" {
		code = "SCHEME_BACK_MISSING"
	}
	line, row := c.bestBackLine(z)
	if row == nil {
		if z.BackLight == "wanted" {
			c.rep.add("SCHEME_BACK_NO_LINE", "zone "+z.Name)
		}
		return
	}
	field := c.backField()
	width := zoneWidthM(z.Zone, z.faces)
	pool := fieldDiameterM(row.throwM, field)
	c.rep.add(code, "zone "+z.Name, finding.Text("line", line), finding.Text("angles", strings.Join(row.angles, ", ")),
		finding.Deg("field", field), finding.Len("pool", lengthOf(pool)), finding.Len("width", lengthOf(width)), finding.CountOf("count", backCount(width, pool)), finding.Text("rows", c.backRows(z, line)))
}

// backRows writes the elevation of each row of a zone from straight behind, with
// what steepness makes of it.
func (c *checker) backRows(z checkedZone, line string) string {
	var out []string
	for _, l := range c.in.Room.Lines {
		if l.Name != line || len(z.faces) == 0 {
			continue
		}
		for _, r := range z.Rows {
			if !r.Y.Set || !r.Z.Set {
				continue
			}
			f := z.faces[len(z.faces)/2]
			f.at.Y, f.at.Z = r.Y.Value.Metres(), r.Z.Value.Metres()
			deg := lineZone(c.in.Room, l, f, lensAt(l, bestAlong(l, usableSpans(l), f))).ElevationDeg
			text := fmt.Sprintf("%s %.1f°", r.Name, deg)
			if deg > topLightDeg {
				text += " (top light)"
			}
			out = append(out, text)
		}
	}
	if len(out) == 0 {
		return ""
	}
	return " By rows: " + strings.Join(out, ", ") + "."
}

// topLightDeg is from when light from behind falls on the head and throws the
// nose's shadow down the face. Source: common practice.
const topLightDeg = 75

type backRow struct {
	angles []string
	throwM float64
	miss   float64
}

// bestBackLine returns the allowed line whose elevations from behind miss the
// middle of the band least over a zone's faces.
func (c *checker) bestBackLine(z checkedZone) (string, *backRow) {
	var best *backRow
	name := ""
	for _, l := range c.in.Room.Lines {
		if b, is := barred(l, c.in.Brief.Limits); is && !b.ask {
			continue
		}
		row := backRow{}
		behind := true
		spans := usableSpans(l)
		for _, f := range z.faces {
			cell := lineZone(c.in.Room, l, f, lensAt(l, bestAlong(l, spans, f)))
			behind = behind && cell.Behind
			row.angles = append(row.angles, fmt.Sprintf("%s %.1f°", f.name, cell.ElevationDeg))
			row.throwM += cell.ThrowM / float64(len(z.faces))
			row.miss += math.Abs(cell.ElevationDeg - (backMinDeg+backMaxDeg)/2)
		}
		if behind && (best == nil || row.miss < best.miss) {
			best, name = &row, l.Name
		}
	}
	return name, best
}

// usualBackField is the field angle in degrees taken for back light while no
// fixture is known. Source: common practice, washes of 20° to 30°.
const usualBackField = 25.0

// backField returns the field angle in degrees that most of the scheme's back
// lights have; without any, the narrowest of the catalogue's colour-mixing
// wash; without either that of a usual one.
func (c *checker) backField() float64 {
	count := map[float64]int{}
	best := 0.0
	for _, p := range c.in.Placed {
		if p.Purpose == BackLight {
			count[p.FieldDeg]++
			if count[p.FieldDeg] > count[best] {
				best = p.FieldDeg
			}
		}
	}
	if best > 0 {
		return best
	}
	for _, f := range c.in.Catalogue.All() {
		if f.ColourMix && f.Throws && len(f.Beams) > 0 {
			return f.Beams[0].FieldDeg
		}
	}
	return usualBackField
}
