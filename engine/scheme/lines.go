package scheme

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// The verdicts of a LineRow.
const (
	VerdictUsed     = "used"
	VerdictPossible = "possible"
	VerdictRefused  = "refused"
)

// samples is in how many steps each usable span of a line that does not cross
// the room is searched for its best point: 0.1 m on a span of 16 m.
const samples = 160

// Lines answers "every beam, one line": a row for each hanging line and each
// place on it somebody asked about, with the elevation to the faces of every
// zone. Of a zone's grid each row of faces is shown by its middle place. A line
// that crosses the room is judged from its point straight in front of the face
// within its usable spans; one that runs along the room from the point whose
// elevation is nearest 45°; a named place from itself. Lines nothing may hang
// from keep their numbers, so that the answer to "but it looks perfect" is on
// the sheet.
func Lines(r room.Room, b brief.Brief) []LineRow {
	faces := tableFaces(r, b)
	var rows []LineRow
	for _, l := range r.Lines {
		if l.State == survey.Removed {
			continue
		}
		spans := usableSpans(l)
		rows = append(rows, lineRow(r, l, "", b, faces, func(f facePoint) float64 { return bestAlong(l, spans, f) }))
		for _, p := range l.Survey.Places {
			if !p.Along.Set || !finite(float64(p.Along.Value)) {
				continue
			}
			along := p.Along.Value.Metres()
			rows = append(rows, lineRow(r, l, p.Name, b, faces, func(facePoint) float64 { return along }))
		}
	}
	return rows
}

// Used marks the rows of lines that carry at least one of the placed units.
func Used(rows []LineRow, placed []Placed) []LineRow {
	on := map[string]bool{}
	for _, p := range placed {
		on[p.Line] = true
	}
	out := make([]LineRow, len(rows))
	for i, row := range rows {
		if on[row.Line] && row.Place == "" {
			row.Verdict = VerdictUsed
		}
		out[i] = row
	}
	return out
}

// tableFaces returns the faces the table speaks of.
func tableFaces(r room.Room, b brief.Brief) []facePoint {
	var out []facePoint
	for _, z := range b.Zones {
		fs := zoneFaces(z, r)
		for i := 0; i < len(fs); {
			j := i + 1
			for fs[i].row >= 0 && j < len(fs) && fs[j].row == fs[i].row {
				j++
			}
			f := fs[i+(j-i)/2]
			if f.row >= 0 {
				f.at.X = (fs[i].at.X + fs[j-1].at.X) / 2
				f.name = fmt.Sprintf("row %d", f.row+1)
			}
			out = append(out, f)
			i = j
		}
	}
	return out
}

func lineRow(r room.Room, l room.Line, place string, b brief.Brief, faces []facePoint, along func(facePoint) float64) LineRow {
	row := LineRow{Line: l.Name, Place: place, HangsFrom: hangsFrom(l), Reach: reach(l)}
	var centre geom.Vec
	for _, f := range faces {
		c := lineZone(r, l, f, lensAt(l, along(f)))
		centre = centre.Add(c.From)
		row.Zones = append(row.Zones, c)
	}
	switch {
	case len(faces) > 0:
		row.At = centre.Scale(1 / float64(len(faces)))
	default:
		row.At = lensAt(l, l.Length().Metres()/2)
	}
	row.Verdict, row.Why = verdict(l, b.Limits, row.Zones)
	return row
}

func lineZone(r room.Room, l room.Line, f facePoint, lens geom.Vec) LineZone {
	d := lens.Sub(f.at)
	c := LineZone{Zone: f.zone, Face: f.name, From: lens, ThrowM: d.Norm(),
		ElevationDeg: geom.ElevationDeg(f.at, lens), BearingDeg: geom.BearingDeg(f.at, lens), Behind: d.Y > 0}
	c.SigmaThrowM = r.ThrowSigma(l, lens, f.at)
	c.SigmaDeg = r.ElevationSigma(l, lens, f.at) * 180 / math.Pi
	if c.Behind {
		c.Band = BackBand(c.ElevationDeg)
	} else {
		c.Band = FrontBand(c.ElevationDeg)
	}
	return c
}

// lensAt returns the lens of a unit at a distance in metres along a line.
func lensAt(l room.Line, along float64) geom.Vec {
	return l.Lens(lengthOf(along))
}

// bestAlong returns the distance in metres along a line from which it is judged
// for a face.
func bestAlong(l room.Line, spans [][2]float64, f facePoint) float64 {
	d := l.To.Sub(l.From)
	n := d.Norm()
	if n == 0 || !finite(n) {
		return 0
	}
	if math.Abs(d.X) >= math.Abs(d.Y) && d.X != 0 {
		return clampToSpans(spans, (f.at.X-l.From.X)/d.X*n)
	}
	best, at := math.Inf(1), clampToSpans(spans, 0)
	for _, s := range spans {
		for i := 0; i <= samples; i++ {
			along := s[0] + (s[1]-s[0])*float64(i)/samples
			lens := lensAt(l, along)
			miss := math.Abs(geom.ElevationDeg(f.at, lens) - idealFrontDeg)
			if side := math.Abs(geom.BearingDeg(f.at, lens)); side > sideOneSidedDeg {
				miss += side - sideOneSidedDeg
			}
			if miss < best {
				best, at = miss, along
			}
		}
	}
	return at
}

// verdict returns possible or refused, and in one line why not.
func verdict(l room.Line, limits brief.Limits, cells []LineZone) (string, string) {
	if b, is := barred(l, limits); is && !b.ask {
		return VerdictRefused, b.why
	}
	var low, steep, glare, top []string
	for _, c := range cells {
		at := fmt.Sprintf("%s %.1f°", cellName(c), c.ElevationDeg)
		switch {
		case c.Band == BandRefuse && c.ElevationDeg < refuseFrontMinDeg:
			low = append(low, at)
		case c.Band == BandRefuse:
			steep = append(steep, at)
		case c.Band == BandGlare:
			glare = append(glare, at)
		case c.Band == BandTop:
			top = append(top, at)
		}
	}
	var why []string
	say := func(list []string, format string, limit float64) {
		if len(list) > 0 {
			why = append(why, fmt.Sprintf(format, strings.Join(list, ", "), limit))
		}
	}
	say(low, "too low for a main light: %s (below %.0f° it is in the speaker's eyes and on the wall behind)", refuseFrontMinDeg)
	say(steep, "too steep straight from the seats: %s (above %.0f°: only cross-aimed or with a lower partner)", refuseFrontMaxDeg)
	say(glare, "as back light too low: %s (below %.0f° it is in the first rows' eyes)", backGlareDeg)
	say(top, "almost top light: %s (above %.0f°)", backTopDeg)
	if b, is := barred(l, limits); is && b.ask {
		why = append([]string{b.why}, why...)
	}
	v := VerdictPossible
	if len(cells) > 0 && len(low)+len(glare)+len(steep)+len(top) == len(cells) {
		v = VerdictRefused
	}
	return v, strings.Join(why, "; ")
}

func cellName(c LineZone) string {
	if c.Face == "" || c.Face == c.Zone {
		return c.Zone
	}
	return c.Zone + " " + c.Face
}

// hangsFrom says what a line is, and what is known of its strength.
func hangsFrom(l room.Line) string {
	parts := []string{strings.ReplaceAll(l.Kind, "_", " ")}
	if m := l.Survey.Material; m != "" && m != "unknown" {
		parts = append(parts, strings.ReplaceAll(m, "_", " "))
	}
	switch {
	case l.Survey.Allowed.Set:
		parts = append(parts, fmt.Sprintf("documented for %.0f kg", l.Survey.Allowed.Value.Kilograms()))
	default:
		parts = append(parts, "strength unknown")
	}
	if l.State == survey.Planned {
		parts = append(parts, "still to be built")
	}
	if c := l.Survey.Condition; c != "" && c != "unknown" {
		parts = append(parts, c)
	}
	return strings.Trim(strings.Join(parts, ", "), ", ")
}

// reach says how people get to a line.
func reach(l room.Line) string {
	access := strings.ReplaceAll(l.Survey.Access, "_", " ")
	if access == "" {
		access = "reach unknown"
	}
	if l.Survey.Below != "" {
		return access + ", above " + l.Survey.Below
	}
	return access
}
