package scheme

import (
	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Tolerances of the worked rooms: a tape and a laser in an old building settle
// an angle to half a degree, a length to two percent, and the rounded hand
// figures of illuminance to four percent.
const (
	angleTolDeg  = 0.5
	lengthTolPct = 2.0
	luxTolPct    = 4.0
)

var book = finding.NewBook()

// hand builds points of a worked room from its own lengths: x right as seen
// from the seats, y toward the seats, z up, in its unit.
type hand float64

const (
	feet   hand = 0.3048
	metres hand = 1
)

func (u hand) at(x, toSeats, z float64) geom.Vec {
	return geom.Vec{X: x * float64(u), Y: -toSeats * float64(u), Z: z * float64(u)}
}

func (u hand) l(v float64) L { return si.Known(si.Length(v * float64(u))) }

// line is a hanging line given by its lenses; drop is from its underside.
func (u hand) line(name, kind string, from, to geom.Vec, drop float64) room.Line {
	d := drop * float64(u)
	from.Z += d
	to.Z += d
	return room.Line{Name: name, Kind: kind, From: from, To: to, Drop: si.Length(d), Survey: survey.HangingLine{Name: name, Kind: kind}}
}

func (u hand) face(name string, x, toSeats, z float64) brief.Face {
	p := u.at(x, toSeats, z)
	return brief.Face{Name: name, X: si.Known(si.Length(p.X)), Y: si.Known(si.Length(p.Y)), Z: si.Known(si.Length(p.Z))}
}

func (u hand) box(x0, x1, toSeats0, toSeats1 float64) geom.Polygon {
	y0, y1 := -toSeats1, -toSeats0
	f := float64(u)
	return geom.Polygon{{X: x0 * f, Y: y0 * f}, {X: x1 * f, Y: y0 * f}, {X: x1 * f, Y: y1 * f}, {X: x0 * f, Y: y1 * f}}
}

// testFixtures is the catalogue of the worked rooms: fictional fixtures whose
// answers can be checked by hand.
func testFixtures() catalogue.Set {
	f := func(code string, class catalogue.Class, watts, kg float64, slots int, price int64, colour bool, acc []string, beams ...float64) catalogue.Fixture {
		out := catalogue.Fixture{Code: code, Name: code, Class: class, Power: si.Power(watts), PF: 0.95, Mass: si.Mass(kg), Slots: slots,
			PriceMinor: price * 100, Currency: "XTS", Throws: true, White: true, ColourMix: colour, Accessories: acc, Generic: true}
		for i := 0; i+1 < len(beams); i += 2 {
			out.Beams = append(out.Beams, catalogue.Beam{FieldDeg: beams[i], PeakCd: beams[i+1]})
		}
		return out
	}
	return catalogue.NewSet([]catalogue.Fixture{
		f("T-FRE", catalogue.Fresnel, 165, 7.4, 4, 640, false, []string{"barn_doors"}, 15, 62000, 25, 28000, 40, 12500, 50, 8200),
		f("T-PRO", catalogue.Ellipsoidal, 205, 9.6, 5, 890, false, []string{"shutters"}, 26, 52000, 36, 30000),
		f("T-SML", catalogue.Wash, 45, 1.6, 5, 160, false, nil, 50, 2400),
		f("T-BCK", catalogue.Wash, 120, 3.9, 8, 310, true, []string{"half_hat"}, 25, 14000),
	}, nil)
}

func zone(name string, target float64, cross bool, faces ...brief.Face) brief.Zone {
	return brief.Zone{Name: name, Use: "speaking", Level: "platform", CrossAim: cross, Faces: faces, Target: si.Known(si.Illuminance(target)), Priority: 1}
}

// meetingHouse is the worked brick meeting house with side galleries.
func meetingHouse() (room.Room, brief.Brief) {
	u := feet
	r := room.Room{
		Footprint: u.box(-23, 23, -13.5, 44.5),
		Ceiling:   room.Ceiling{Shape: "flat", Eaves: si.Length(26 * float64(u)), Ridge: si.Length(26 * float64(u))},
		Platform:  room.Platform{Outline: u.box(-18, 18, -10, 0), Height: si.Length(1.3333 * float64(u))},
		Lines: []room.Line{
			u.line("W1", "beam", u.at(-23, 10, 18.5), u.at(23, 10, 18.5), 1.1667),
			u.line("W2", "beam", u.at(-23, -9.5, 18.5), u.at(23, -9.5, 18.5), 1.1667),
			u.line("rod near", "tension_rod", u.at(-23, 7, 17), u.at(23, 7, 17), 1),
			u.line("rod rear", "tension_rod", u.at(-23, 25, 17), u.at(23, 25, 17), 1),
			u.line("rear gallery rail", "rail", u.at(-15, 34.5, 11), u.at(15, 34.5, 11), 0.83),
			u.line("left gallery rail", "rail", u.at(-14.5, 3, 11), u.at(-14.5, 34.5, 11), 0.83),
			u.line("right gallery rail", "rail", u.at(14.5, 3, 11), u.at(14.5, 34.5, 11), 0.83),
			u.line("left pier", "pier", u.at(-21.5, 4, 16), u.at(-21.5, 4, 18), 0),
			u.line("right pier", "pier", u.at(21.5, 4, 16), u.at(21.5, 4, 18), 0),
		},
	}
	for i := range r.Lines {
		switch r.Lines[i].Name {
		case "left gallery rail":
			r.Lines[i].Survey.Places = []survey.LinePlace{{Name: "left at +6", Along: u.l(3)}}
		case "right gallery rail":
			r.Lines[i].Survey.Places = []survey.LinePlace{{Name: "right at +6", Along: u.l(3)}}
		}
	}
	b := brief.Brief{Region: "us", Money: brief.Money{Currency: "XTS"}, Zones: []brief.Zone{
		zone("reader", 450, true, u.face("reader", 4, -2.5, 6.67)),
		zone("table", 450, true, u.face("table", 0, 2.5, 5.33)),
		zone("choir", 450, true, u.face("aim -14", -14, -5, 7.25), u.face("aim -9", -9, -5, 7.25), u.face("aim -4", -4, -5, 7.25)),
		zone("pianist", 450, false, u.face("pianist", 9, -4, 5.33)),
	}}
	b.Zones[2].Width = u.l(16)
	b.Zones[2].BackLight = "if_room"
	return r, b
}

// meetingHouseScheme is the worked scheme of that room.
func meetingHouseScheme() Scheme {
	type row struct {
		id, fixture, line, zone, face string
		x, toSeats, z                 float64
		ax, aSeats, az                float64
		field, level                  float64
		purpose                       Purpose
		phase                         string
	}
	rows := []row{
		{"R1", "T-FRE", "W1", "reader", "reader", -4, 10, 18.5, 4, -2.5, 6.67, 40, 100, FrontWash, "A"},
		{"R2", "T-FRE", "W1", "reader", "reader", 12, 10, 18.5, 4, -2.5, 6.67, 40, 100, FrontWash, "A"},
		{"T1", "T-FRE", "W1", "table", "table", -8, 10, 18.5, 0, 2.5, 5.33, 40, 100, FrontWash, "A"},
		{"T2", "T-FRE", "W1", "table", "table", 8, 10, 18.5, 0, 2.5, 5.33, 40, 100, FrontWash, "A"},
		{"C1", "T-FRE", "W1", "choir", "aim -14", -6, 10, 18.5, -14, -5, 7.25, 40, 100, FrontWash, "A"},
		{"C2", "T-FRE", "W1", "choir", "aim -9", 0, 10, 18.5, -9, -5, 7.25, 40, 100, FrontWash, "A"},
		{"C3", "T-FRE", "W1", "choir", "aim -4", 5, 10, 18.5, -4, -5, 7.25, 40, 100, FrontWash, "A"},
		{"C4", "T-FRE", "W1", "choir", "aim -9", -18, 10, 18.5, -9, -5, 7.25, 40, 100, FrontWash, "A"},
		{"C5", "T-FRE", "W1", "choir", "aim -4", -13, 10, 18.5, -4, -5, 7.25, 40, 100, FrontWash, "A"},
		{"P1", "T-FRE", "W1", "pianist", "pianist", 18, 10, 18.5, 9, -4, 5.33, 25, 100, FrontWash, "A"},
		{"G1", "T-FRE", "left pier", "choir", "aim -14", -21.5, 4, 17, -14, -5, 7.25, 40, 60, FrontWash, "B"},
		{"G2", "T-FRE", "right pier", "reader", "reader", 21.5, 4, 17, 4, -2.5, 6.67, 40, 100, Fill, "B"},
		{"K1", "T-BCK", "W2", "reader", "reader", 4, -9.5, 18.5, 4, -2.5, 6.67, 25, 60, BackLight, "B"},
		{"K2", "T-BCK", "W2", "table", "table", 0, -9.5, 18.5, 0, 2.5, 5.33, 25, 100, BackLight, "B"},
		{"K3", "T-BCK", "W2", "pianist", "pianist", 9, -9.5, 18.5, 9, -4, 5.33, 25, 60, BackLight, "B"},
	}
	s := Scheme{Name: "worked", Author: "designer", Pipes: []Pipe{{Line: "W1", Length: feet.l(38)}, {Line: "W2", Length: feet.l(13)}}}
	for _, w := range rows {
		lens, aim := feet.at(w.x, w.toSeats, w.z), feet.at(w.ax, w.aSeats, w.az)
		s.Units = append(s.Units, Unit{ID: w.id, Fixture: w.fixture, FieldDeg: w.field, Line: w.line, Zone: w.zone, Face: w.face, Purpose: w.purpose,
			LevelPct: w.level, Phase: w.phase,
			LensX: si.Known(si.Length(lens.X)), LensY: si.Known(si.Length(lens.Y)), LensZ: si.Known(si.Length(lens.Z)),
			AimX: si.Known(si.Length(aim.X)), AimY: si.Known(si.Length(aim.Y)), AimZ: si.Known(si.Length(aim.Z))})
	}
	return s
}

// shopUnit is the worked low shop unit; its lines are two rows under the slab.
func shopUnit() (room.Room, brief.Brief) {
	u := metres
	r := room.Room{
		Footprint: u.box(-5.5, 5.5, -3, 15),
		Ceiling:   room.Ceiling{Shape: "flat", Eaves: 2.95, Ridge: 2.95},
		Platform:  room.Platform{Outline: u.box(-2.5, 2.5, -3, 0), Height: 0.30},
		Lines: []room.Line{
			u.line("first row", "pipe", u.at(-2.5, 1.6, 2.75), u.at(2.5, 1.6, 2.75), 0.15),
			u.line("second row", "pipe", u.at(-2.5, -0.7, 2.75), u.at(2.5, -0.7, 2.75), 0.15),
			u.line("half way", "pipe", u.at(-2.5, 0.85, 2.75), u.at(2.5, 0.85, 2.75), 0.15),
			u.line("back", "pipe", u.at(-2.5, -2.85, 2.75), u.at(2.5, -2.85, 2.75), 0.15),
		},
	}
	b := brief.Brief{Region: "metric", Money: brief.Money{Currency: "XTS"}, Zones: []brief.Zone{
		zone("platform", 500, false, u.face("front edge", 0, 0, 1.90), u.face("reader", 0, -1.0, 1.90)),
	}}
	return r, b
}

// schoolHall is the worked school hall with portal frames.
func schoolHall() (room.Room, brief.Brief) {
	u := metres
	r := room.Room{
		Footprint: u.box(-10, 10, -4.8, 25.2),
		Platform:  room.Platform{Outline: u.box(-3.6, 3.6, -4.8, 0), Height: 0.60},
		Lines: []room.Line{
			u.line("frame +1.2", "frame", u.at(-4, 1.2, 7.5), u.at(4, 1.2, 7.5), 0.5),
			u.line("frame +7.2", "frame", u.at(-4, 7.2, 7.5), u.at(4, 7.2, 7.5), 0.5),
			u.line("bridge pipe +3.8", "pipe", u.at(-4, 3.8, 7.5), u.at(4, 3.8, 7.5), 0.5),
			u.line("purlin", "purlin", u.at(-4, 4.2, 8), u.at(4, 4.2, 8), 0.3),
		},
	}
	b := brief.Brief{Region: "metric", Money: brief.Money{Currency: "XTS"}, Zones: []brief.Zone{
		zone("preacher", 550, true, u.face("preacher", 0, -1.5, 2.20)),
	}}
	return r, b
}

// aFrame is the worked A-frame church.
func aFrame() (room.Room, brief.Brief) {
	u := metres
	r := room.Room{
		Footprint: u.box(-7, 7, -5.5, 18.5),
		Ceiling:   room.Ceiling{Shape: "a_frame", Eaves: 0, Ridge: 12, HalfWidth: 7, RidgeAlongY: true},
		Platform:  room.Platform{Outline: u.box(-4, 4, -5.5, 0), Height: 0.40},
		Lines: []room.Line{
			u.line("tie +10", "tie_beam", u.at(-3.2, 10, 5.8), u.at(3.2, 10, 5.8), 0.4),
			u.line("tie +6", "tie_beam", u.at(-3.2, 6, 5.8), u.at(3.2, 6, 5.8), 0.4),
			u.line("tie +2", "tie_beam", u.at(-3.2, 2, 5.8), u.at(3.2, 2, 5.8), 0.4),
			u.line("tie -4.6", "tie_beam", u.at(-3.2, -4.6, 5.8), u.at(3.2, -4.6, 5.8), 0.4),
			u.line("steel rod", "tension_rod", u.at(-3.2, 2, 4.5), u.at(3.2, 2, 4.5), 0.4),
		},
	}
	b := brief.Brief{Region: "metric", Money: brief.Money{Currency: "XTS"}, Limits: brief.Limits{NoDrill: true}, Zones: []brief.Zone{
		zone("zone 1", 500, true, u.face("zone 1", 0, 1.0, 1.65)),
		zone("zone 2", 500, true, u.face("zone 2", 0, -1.5, 2.05)),
		zone("zone 3", 500, false, u.face("zone 3", 0, -3.8, 2.05)),
	}}
	return r, b
}
