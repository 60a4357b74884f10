package light

import (
	"fmt"
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

const (
	// shotCols and shotRows are the size of a picture nobody asked another of.
	shotCols, shotRows = 800, 450
	// underCeilingM is how far under the ceiling lights of unknown place are
	// taken to hang.
	underCeilingM = 1.0
)

// ShotInput is what Shots shows: the room, the light that hangs today and the
// scheme's.
type ShotInput struct {
	Room       room.Room
	Brief      brief.Brief
	Survey     survey.Survey
	Catalogue  catalogue.Set
	Sources    []Source
	Zones      []Zone // of the report: their faces get people
	Transport  *Transport
	LossFactor float64
	Cols       int // width of a picture in pixels; 0: 800
	// Day is the moment of a service with most daylight; nil: no picture of it.
	Day *Day
	// Today is the room as it stands, for the pictures of today; nil: Room.
	Today *Today
}

// Shots returns pictures of an evening: from a seat and, where one is placed,
// from a camera, today ("before", in the room as it stands) and with the scheme
// ("after", in the finished one), all with one exposure. Before shows the existing lights at their surveyed places, or spread
// evenly under the ceiling where no place is known; after the new units at
// their levels with the house lights that stay. Where a day is given, the view
// from the seat comes by day too, exposed for itself. None in a room without walls.
func Shots(in ShotInput) []Shot {
	t := in.Transport
	if t == nil || t.Patches() == 0 {
		return nil
	}
	loss := in.LossFactor
	if !(loss > 0) {
		loss = defaultLoss
	}
	m := NewModel(t, in.Room, in.Zones)
	now, was := m, in.Room
	if in.Today != nil && in.Today.Transport != nil && in.Today.Transport.Patches() > 0 && in.Today.Transport != t {
		now, was = NewModel(in.Today.Transport, in.Today.Room, in.Zones), in.Today.Room
	}
	old, stay := HouseSources(was, in.Survey, in.Catalogue, false), HouseSources(in.Room, in.Survey, in.Catalogue, true)
	before := now.Light(gathered(old), old, loss)
	after := m.Light(append(gathered(stay), in.Sources...), append(stay, in.Sources...), loss)
	faces := 0.0
	for _, z := range in.Zones {
		faces = math.Max(faces, FaceLuminance(z.AverageLx+z.Shape.IndirectLx))
	}
	views := []View{SeatView(in.Room)}
	if v, ok := CameraView(in.Brief, in.Zones); ok {
		views = append(views, v)
	}
	cols := in.Cols
	if cols <= 0 {
		cols = shotCols
	}
	var out []Shot
	var fromSeat seen
	for i, v := range views {
		v.Cols, v.Rows = cols, max(1, cols*shotRows/shotCols)
		view := m.see(v)
		if i == 0 {
			fromSeat = view
		}
		will, then := after.render(view), Frame{}
		if len(before.sources) > 0 {
			if now != m {
				view = now.see(v)
			}
			then = before.render(view)
		}
		// Exposed for the room, but never so long that lit faces burn out.
		mean := math.Max(math.Max(will.LogMean(), 0.3), 0.5*greyKey*faces)
		if len(before.sources) > 0 {
			s := then.Tone(mean, 40*mean)
			s.Name, s.Title = v.Name+"-before", v.Title+", today"
			out = append(out, s)
		}
		s := will.Tone(mean, 40*mean)
		s.Name, s.Title = v.Name+"-after", v.Title+", as proposed"
		if len(before.sources) == 0 {
			s.Title += "; no picture of today: its lights are not surveyed with power and count"
		}
		out = append(out, s)
	}
	if in.Day != nil && len(in.Day.Panes) > 0 {
		v := views[0]
		day := m.LightByDay(append(gathered(stay), in.Sources...), append(stay, in.Sources...), loss, *in.Day).render(fromSeat)
		mean := math.Max(day.LogMean(), 0.3)
		s := day.Tone(mean, 40*mean)
		s.Name, s.Title = v.Name+"-day", v.Title+", as proposed, "+in.Day.Title
		out = append(out, s)
	}
	return out
}

// HouseSources returns the existing lights as sources that shine all round, or
// downward where the catalogue's replacement is a downlight: today, or those
// that stay after the works with their new lamps.
func HouseSources(r room.Room, s survey.Survey, set catalogue.Set, after bool) []Source {
	var out []Source
	for _, x := range s.ExistingUnit {
		if x.Kind == "emergency" || x.Kind == "exit" || x.Count <= 0 || after && x.Fate == "remove" {
			continue
		}
		flux, _ := OldLampLm(x)
		if after && (x.Fate == "relamp" || x.Fate == "replace") {
			if f, ok := set.Get(x.LampCode); ok && f.Flux > 0 {
				flux = float64(f.Flux)
			}
		}
		if !(flux > 0) {
			continue
		}
		places := housePlaces(r, x)
		flux *= float64(x.Count) / float64(max(1, len(places))) // none is lost where one place stands for several
		for i, at := range places {
			out = append(out, Source{ID: fmt.Sprintf("%s %d", x.Name, i+1), Zone: x.Name, Purpose: house, At: at, Aim: at.Sub(geom.Vec{Z: 1}), Level: 1,
				Dist: allRound(flux)})
		}
	}
	return out
}

// gatheredMost is how many sources stand for the lights of one group.
const gatheredMost = 6

// gathered returns fewer, stronger sources in the middle of neighbours of one
// group of equal lamps: their shadows in a picture run together anyway.
func gathered(lights []Source) []Source {
	var out []Source
	for from := 0; from < len(lights); {
		to := from
		for to < len(lights) && lights[to].Zone == lights[from].Zone && lights[to].Dist == lights[from].Dist {
			to++
		}
		n := to - from
		parts := min(n, gatheredMost)
		for k := range parts {
			part := lights[from+k*n/parts : from+(k+1)*n/parts]
			s := part[0]
			var at geom.Vec
			for _, p := range part {
				at = at.Add(p.At.Scale(1 / float64(len(part))))
			}
			s.At, s.Aim, s.Level = at, at.Sub(geom.Vec{Z: 1}), float64(len(part))
			out = append(out, s)
		}
		from = to
	}
	return out
}

// housePlaces returns where the lights of a group hang: as surveyed, else spread
// over the floor's outline under the ceiling, a row along each long side.
func housePlaces(r room.Room, x survey.ExistingLight) []geom.Vec {
	var out []geom.Vec
	for _, p := range x.Places {
		at := geom.Vec{X: p.X.Value.Metres(), Y: p.Y.Value.Metres(), Z: p.Z.Value.Metres()}
		if p.X.Set && p.Y.Set && finite(at) {
			if !p.Z.Set {
				at.Z = r.Ceiling.HeightAt(at.X, at.Y).Metres() - underCeilingM
			}
			out = append(out, at)
		}
	}
	if len(out) > 0 || len(r.Footprint) < 3 {
		return out
	}
	lo, hi := emptyBox()
	for _, v := range r.Footprint {
		lo, hi = grow(lo, hi, v)
	}
	n := min(x.Count, 40)
	cols := max(1, int(math.Round(math.Sqrt(float64(n)*(hi.X-lo.X)/math.Max(.1, hi.Y-lo.Y)))))
	rows := (n + cols - 1) / cols
	for i := range n {
		at := geom.Vec{X: lo.X + (hi.X-lo.X)*(float64(i%cols)+.5)/float64(cols), Y: lo.Y + (hi.Y-lo.Y)*(float64(i/cols)+.5)/float64(rows)}
		at.Z = r.Ceiling.HeightAt(at.X, at.Y).Metres() - underCeilingM
		if r.Footprint.ContainsPlan(at.X, at.Y) {
			out = append(out, at)
		}
	}
	return out
}

// allRound is an even emitter of a flux in lumens.
type allRound float64

var _ photometry.Distribution = allRound(0)

// Intensity returns candela, the same in every direction.
func (a allRound) Intensity(geom.Vec) float64 { return float64(a) / (4 * math.Pi) }

// FluxLm returns the flux in lumens.
func (a allRound) FluxLm() float64 { return float64(a) }

// PeakCd returns candela.
func (a allRound) PeakCd() float64 { return float64(a) / (4 * math.Pi) }

// BeamDeg returns 360.
func (a allRound) BeamDeg() float64 { return 360 }

// FieldDeg returns 360.
func (a allRound) FieldDeg() float64 { return 360 }
