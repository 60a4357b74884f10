package daylight

import (
	"math"
	"slices"
	"time"

	"roodbeam/engine/brief"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/room"
	"roodbeam/engine/survey"
)

// Setting is all that a year of daylight rests on, the room's interreflection
// aside, which its Room gives. No unit of a scheme is in it: schemes that light
// the same places share their year.
type Setting struct {
	Room     room.Room // shell, solids, lines, pictures, windows, platform and seats alone
	Site     survey.Site
	Services []brief.Service
	Zones    []string // in the brief's order
	Places   []Place
	Cameras  []Filmed
	From     time.Time      // first day of the year looked at
	Location *time.Location // nil: unknown
}

// Place is a face of a zone: At in metres in the room's axes, Normal where it looks.
type Place struct {
	Zone, Name string
	At, Normal geom.Vec
}

// Filmed is a camera with the zones that it films.
type Filmed struct {
	Name  string
	At    geom.Vec
	Zones []string
}

// SettingOf returns what of the input the year rests on. Of a zone whose faces
// are a grid the middle one stands for all.
func SettingOf(in Input) Setting {
	r := in.Room
	s := Setting{Room: room.Room{Surfaces: r.Surfaces, Solids: r.Solids, Lines: r.Lines, Screens: r.Screens, Windows: r.Windows,
		Platform: r.Platform, Seating: r.Seating},
		Site: in.Survey.Site, Services: in.Brief.Calendar.Services, From: in.From, Location: in.Location}
	for _, z := range in.Light.Zones {
		s.Zones = append(s.Zones, z.Name)
		for i, f := range z.Faces {
			if z.GridStepM == 0 || i == len(z.Faces)/2 {
				s.Places = append(s.Places, Place{Zone: z.Name, Name: f.Name, At: f.At, Normal: f.Facing})
			}
		}
	}
	for _, c := range in.Light.Cameras {
		k := slices.IndexFunc(in.Brief.Cameras, func(b brief.Camera) bool { return b.Name == c.Name })
		if k < 0 {
			continue
		}
		at, ok := light.CameraAt(in.Brief.Cameras[k])
		if !ok {
			continue
		}
		f := Filmed{Name: c.Name, At: at}
		for _, z := range c.Zones {
			f.Zones = append(f.Zones, z.Zone)
		}
		s.Cameras = append(s.Cameras, f)
	}
	return s
}

// Year is the daylight of a setting over a year, the same for every scheme. It is
// never changed and may be shared.
type Year struct{ rep Report }

// NewYear returns the year of a setting; t is the interreflection of its room,
// nil for none.
func NewYear(s Setting, t *light.Transport) *Year {
	e := &evaluator{in: s, transport: t, sc: light.NewScene(s.Room)}
	e.run()
	return &Year{e.rep}
}

// run fills the report with all but the shares of the zones' keys.
func (e *evaluator) run() {
	e.rep.AverageFactorPct = math.NaN()
	e.openings()
	if len(e.panes) == 0 {
		e.rep.Limits = append(e.rep.Limits, "No windows are surveyed; daylight was left out.")
		return
	}
	e.rep.AverageFactorPct = e.averageFactor()
	site := e.in.Site
	if !site.Orientation || site.LatitudeDeg == 0 && site.LongitudeDeg == 0 {
		e.rep.Limits = append(e.rep.Limits, "The sun was not followed through the year: the compass bearing in which the congregation looks, or the place on the map, is not surveyed.")
		e.rep.placeUnknown = true
		return
	}
	e.rep.Limits = append(e.rep.Limits,
		"Mean brightness of a clear day; a single moment may bring half or double.",
		"Trees, hills and buildings outside are left out; they only make it darker.",
		"Glass by its kind: a reading with a light meter inside and outside replaces it.")
	if e.in.Location == nil {
		e.rep.Limits = append(e.rep.Limits, "The church's time zone is not known; the services' hours were taken as UTC.")
	}
	e.places()
	e.year()
	e.worstHour()
}

// zone returns the church's time zone, UTC where it is unknown.
func (e *evaluator) zone() *time.Location {
	if e.in.Location == nil {
		return time.UTC
	}
	return e.in.Location
}

// with returns the year's report beside the zones' key light.
func (y *Year) with(zones []light.Zone) Report {
	rep := y.rep
	rep.Zones = slices.Clone(rep.Zones)
	for i := range rep.Zones {
		z := &rep.Zones[i]
		for _, lit := range zones {
			if lit.Name == z.Name && lit.KeyLx > 0 {
				z.KeyPct = z.TotalLx / lit.KeyLx * 100
			}
		}
	}
	return rep
}
