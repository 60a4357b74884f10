package plan

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
)

// Bands of the front light's elevation at the face, degrees. Source: common
// practice: refuse below 25° as main light, below 30° not alone.
const (
	mainLightDeg = 25.0
	aloneDeg     = 30.0
)

// notes says in numbers what was weighed: places that are too flat although easy
// to reach, beams that were to choose from, rows behind the first.
func notes(d Documents, r Results, book *finding.Book) []finding.Finding {
	out := lowPlaces(d, r, book)
	out = append(out, beamsAtHand(d, r, book)...)
	return append(out, rows(d, r, book)...)
}

// narrowest returns the narrowest field, degrees, of the fixtures that light from
// the front; 0 without one.
func narrowest(d Documents, r Results) float64 {
	set, field := d.set(), 0.0
	for _, u := range r.Placed {
		if u.Purpose != scheme.FrontWash {
			continue
		}
		if f, ok := set.Get(u.Fixture); ok {
			for _, b := range f.Beams {
				if field == 0 || b.FieldDeg < field {
					field = b.FieldDeg
				}
			}
		}
	}
	return field
}

// lowPlaces notes for each rail or wall from which every face is below the least
// elevation of a main light where even its narrowest beam would end on a screen:
// upper edge = lens height − way to the screen's plane · tan(elevation − half the
// field), along the beam's own line in plan.
func lowPlaces(d Documents, r Results, book *finding.Book) []finding.Finding {
	field := narrowest(d, r)
	if field == 0 {
		return nil
	}
	var out []finding.Finding
	for _, row := range r.Lines {
		if row.Verdict != "refused" || row.HangsFrom == "" || strings.Contains(row.HangsFrom, "rod") {
			continue
		}
		low := len(row.Zones) > 0
		var angles []string
		worst, of, screen, bottom := math.Inf(-1), "", "", 0.0
		for _, z := range row.Zones {
			if low = low && !z.Behind && z.ElevationDeg < mainLightDeg; !low {
				break
			}
			angles = append(angles, fmt.Sprintf("%s %.1f°", z.Face, z.ElevationDeg))
			target := r.target(z)
			plan := math.Hypot(target.X-z.From.X, target.Y-z.From.Y)
			for _, s := range r.Room.Screens {
				at := s.Corners.Centroid()
				if !(target.Y > z.From.Y) || !(at.Y > target.Y) {
					continue
				}
				way := (at.Y - z.From.Y) * plan / (target.Y - z.From.Y)
				edge := z.From.Z - way*math.Tan((z.ElevationDeg-field/2)*math.Pi/180)
				if edge > worst {
					worst, of, screen, bottom = edge, z.Face, s.Name, s.Bottom.Metres()
				}
			}
		}
		if !low || screen == "" || !(worst > bottom) {
			continue
		}
		name := "line " + row.Line
		if row.Place != "" {
			name += ", " + row.Place
		}
		out = append(out, book.New("SCHEME_LOW_PLACE", name, finding.Text("angles", strings.Join(angles, ", ")), finding.Num("field", field, "°"),
			finding.Text("face", of), finding.Len("edge", si.Length(worst)), finding.Text("screen", screen), finding.Len("bottom", si.Length(bottom))))
	}
	return out
}

// target returns the face of a row's cell; it lies on the cell's line of sight at
// its throw where the face is not among the results.
func (r Results) target(z scheme.LineZone) geom.Vec {
	for _, lz := range r.Light.Zones {
		if lz.Name != z.Zone {
			continue
		}
		for _, f := range lz.Faces {
			if f.Name == z.Face {
				return f.At
			}
		}
	}
	flat := z.ThrowM * math.Cos(z.ElevationDeg*math.Pi/180)
	return geom.Vec{X: z.From.X, Y: z.From.Y + flat, Z: z.From.Z - z.ThrowM*math.Sin(z.ElevationDeg*math.Pi/180)}
}

// beamsAtHand lists for each key place every beam of the fixture chosen for it.
func beamsAtHand(d Documents, r Results, book *finding.Book) []finding.Finding {
	options := scheme.BeamOptions(scheme.CheckInput{Scheme: d.Scheme, Placed: r.Placed, Room: r.Room, Brief: d.Brief, Survey: d.Survey,
		Catalogue: d.set(), Book: book, Region: d.Profile.ID})
	var out []finding.Finding
	for i := 0; i < len(options); {
		j := i
		var list []string
		chosen := ""
		for ; j < len(options) && options[j].Zone == options[i].Zone && options[j].Face == options[i].Face; j++ {
			o := options[j]
			list = append(list, fmt.Sprintf("%.0f° %.0f lx, pool %s", o.FieldDeg, o.Lx, si.FormatLength(si.Length(o.PoolM), d.Profile.Display)))
			if o.Chosen {
				chosen = fmt.Sprintf("%.0f°", o.FieldDeg)
			}
		}
		if j-i > 1 && chosen != "" {
			o := options[i]
			out = append(out, book.New("SCHEME_BEAMS_AT_HAND", "zone "+o.Zone+", "+o.Face, finding.Text("units", strings.Join(o.Units, ", ")), finding.Text("fixture", o.Fixture),
				finding.Text("list", strings.Join(list, "; ")), finding.Text("chosen", chosen)))
		}
		i = j
	}
	return out
}

// rows holds the rows of a zone against the light of the units meant for each of
// its key places, the row taken at full beam: E = I · Δy / d³ on faces to the
// seats, without a loss factor.
func rows(d Documents, r Results, book *finding.Book) []finding.Finding {
	set := d.set()
	var out []finding.Finding
	for _, z := range d.Brief.Zones {
		for _, f := range z.Faces {
			if len(z.Rows) < 2 || !f.X.Set {
				continue
			}
			var units []scheme.Placed
			var names []string
			for _, u := range r.Placed {
				if u.Zone == z.Name && u.Face == f.Name && u.Purpose == scheme.FrontWash {
					units, names = append(units, u), append(names, u.ID)
				}
			}
			var lines, flat []string
			least, most := math.Inf(1), 0.0
			for _, row := range z.Rows {
				lx, low, high, ok := rowLight(set, units, f, row)
				if !ok {
					continue
				}
				least, most = math.Min(least, lx), math.Max(most, lx)
				angle := fmt.Sprintf("%.1f°", low)
				if high-low > 0.5 {
					angle += fmt.Sprintf(" to %.1f°", high)
				}
				lines = append(lines, fmt.Sprintf("%s %.0f lx at %s", row.Name, lx, angle))
				if low < aloneDeg {
					flat = append(flat, fmt.Sprintf("%s %.1f°", row.Name, low))
				}
			}
			if len(flat) == 0 || !(most > 0) {
				continue
			}
			out = append(out, book.New("SCHEME_ROWS", "zone "+z.Name+", "+f.Name, finding.Text("units", strings.Join(names, ", ")),
				finding.Text("rows", strings.Join(lines, "; ")), finding.Num("ratio", least/most, ""), finding.Text("low", strings.Join(flat, ", "))))
		}
	}
	return out
}

// rowLight returns the light of units on a row's face, lx, and their least and
// greatest elevation there, degrees; false where a place or beam is not known.
func rowLight(set catalogue.Set, units []scheme.Placed, f brief.Face, row brief.Row) (lx, low, high float64, ok bool) {
	if !row.Y.Set || !row.Z.Set || len(units) == 0 {
		return 0, 0, 0, false
	}
	at := geom.Vec{X: f.X.Value.Metres(), Y: row.Y.Value.Metres(), Z: row.Z.Value.Metres()}
	low = math.Inf(1)
	for _, u := range units {
		fx, known := set.Get(u.Fixture)
		peak := 0.0
		for _, b := range fx.Beams {
			if b.FieldDeg == u.FieldDeg {
				peak = b.PeakCd
			}
		}
		if !known || peak == 0 {
			return 0, 0, 0, false
		}
		level := u.LevelPct / 100
		if level == 0 {
			level = 1
		}
		n := u.At.Sub(at).Norm()
		if !(n > 0) {
			return 0, 0, 0, false
		}
		lx += level * peak * math.Max(0, at.Y-u.At.Y) / (n * n * n)
		deg := geom.ElevationDeg(at, u.At)
		low, high = math.Min(low, deg), math.Max(high, deg)
	}
	return lx, low, high, true
}
