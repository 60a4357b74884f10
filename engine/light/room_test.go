package light

import (
	"math"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/photometry"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

const foot = float64(si.Foot)

// ft returns the point of feet measured across, toward the seats and up.
func ft(x, towardSeats, z float64) geom.Vec {
	return geom.Vec{X: x * foot, Y: -towardSeats * foot, Z: z * foot}
}

func lft(v float64) si.Typed[si.Length] { return si.Known(si.Length(v) * si.Foot) }
func lm(v float64) si.Typed[si.Length]  { return si.Known(si.Length(v)) }

// boxFaces returns the outward faces of an upright box between two corners.
func boxFaces(lo, hi geom.Vec) []geom.Polygon {
	base := geom.Polygon{lo, {X: hi.X, Y: lo.Y, Z: lo.Z}, {X: hi.X, Y: hi.Y, Z: lo.Z}, {X: lo.X, Y: hi.Y, Z: lo.Z}}
	return prism(base, geom.Vec{Z: hi.Z - lo.Z})
}

func span(a, b geom.Vec) (lo, hi geom.Vec) {
	lo, hi = grow(a, a, b)
	return lo, hi
}

func ftBox(name string, a, b geom.Vec) room.Solid {
	lo, hi := span(a, b)
	return room.Solid{Name: name, Faces: boxFaces(lo, hi), Base: geom.Vec{X: (lo.X + hi.X) / 2, Y: (lo.Y + hi.Y) / 2, Z: lo.Z}}
}

// shell returns the inward surfaces of a box room.
func shell(lo, hi geom.Vec) []room.Surface {
	names := []string{"ceiling", "wall_front", "wall_right", "wall_behind", "wall_left", "floor"}
	kinds := []string{"ceiling", "wall", "wall", "wall", "wall", "floor"}
	var out []room.Surface
	for i, f := range boxFaces(lo, hi) {
		in := make(geom.Polygon, len(f))
		for j := range f {
			in[len(f)-1-j] = f[j]
		}
		out = append(out, room.Surface{Name: names[i], Kind: kinds[i], Polygon: in})
	}
	return out
}

// meetingHouse is a box room of 46 × 58 ft with side galleries' fronts, columns,
// a platform, a screen, a piano lid, iron rods, a bell rope and windows.
func meetingHouse() room.Room {
	lo, hi := span(ft(-23, 44.5, 0), ft(23, -13.5, 26))
	r := room.Room{
		Surfaces: shell(lo, hi),
		Levels:   []room.Level{{Name: "platform", Height: si.Length(4.0/3) * si.Foot}},
		Platform: room.Platform{
			Outline: geom.Polygon{ft(-18, 0, 4.0/3), ft(18, 0, 4.0/3), ft(18, -10, 4.0/3), ft(-18, -10, 4.0/3)},
			Height:  si.Length(4.0/3) * si.Foot, Width: 36 * si.Foot, Depth: 10 * si.Foot,
		},
		Eyes: []room.Eye{
			{Name: "right gallery front", At: ft(17, 4, 13.67)},
			{Name: "left gallery front", At: ft(-17, 4, 13.67)},
			{Name: "right gallery eye", At: ft(18, 5, 13.67)},
		},
		Glosses: []room.Gloss{{Name: "piano lid", Polygon: geom.Polygon{ft(10, -2, 4.67), ft(16.5, -2, 4.67), ft(16.5, -7, 4.67), ft(10, -7, 4.67)}}},
	}
	r.Solids = append(r.Solids, ftBox("platform", ft(-18, 0, 0), ft(18, -10, 4.0/3)))
	r.Solids = append(r.Solids, ftBox("organ case", ft(-8, -10, 0), ft(8, -13.4, 11)))
	r.Solids = append(r.Solids, ftBox("left gallery", ft(-23, 3, 8.92), ft(-15, 44.5, 11.83)))
	r.Solids = append(r.Solids, ftBox("right gallery", ft(15, 3, 8.92), ft(23, 44.5, 11.83)))
	for _, y := range []float64{4, 14, 24, 34} {
		for _, x := range []float64{-15, 15} {
			r.Solids = append(r.Solids, ftBox("column", ft(x-.375, y-.375, 0), ft(x+.375, y+.375, 8.92)))
		}
	}
	rope := ftBox("bell rope", ft(2.46, 11.96, 0), ft(2.54, 12.04, 26))
	rope.KeepClear = 1.5 * si.Foot
	r.Solids = append(r.Solids, rope)
	for _, x := range []float64{-1, 1} {
		for _, y := range []float64{9, 19, 29, 39} {
			p := geom.Polygon{ft(x*23, y-2.5, 13), ft(x*23, y+2.5, 13), ft(x*23, y+2.5, 22), ft(x*23, y-2.5, 22)}
			name := map[float64]string{-1: "south window ", 1: "north window "}[x] + map[float64]string{9: "1", 19: "2", 29: "3", 39: "4"}[y]
			r.Windows = append(r.Windows, room.Window{Name: name, Polygon: p})
		}
	}
	r.Lines = []room.Line{
		{Name: "W1", Kind: "tie_beam", From: ft(-23, 10, 19.67), To: ft(23, 10, 19.67), SigmaZ: 0.003, SigmaY: 0.02},
		{Name: "W2", Kind: "tie_beam", From: ft(-23, -9.5, 19.67), To: ft(23, -9.5, 19.67), SigmaZ: 0.003, SigmaY: 0.02},
		{Name: "rod near", Kind: "tension_rod", From: ft(-23, 7, 18), To: ft(23, 7, 18), Forbidden: "tension member"},
		{Name: "rod rear", Kind: "tension_rod", From: ft(-23, 25, 18), To: ft(23, 25, 18), Forbidden: "tension member"},
	}
	r.Screens = []room.Screen{{Name: "screen", Kind: "projected", Bottom: 11.5 * si.Foot, White: si.Known(si.Illuminance(500)),
		Corners: geom.Polygon{ft(-16.5, -13.5, 11.5), ft(-7.5, -13.5, 11.5), ft(-7.5, -13.5, 16.58), ft(-16.5, -13.5, 16.58)}}}
	r.Seating = []room.Seating{
		{Name: "left benches", Rows: []room.SeatRow{{Left: ft(-14, 9, 3.83), Right: ft(-1.83, 9, 3.83)}, {Left: ft(-14, 40, 3.83), Right: ft(-1.83, 40, 3.83)}}},
		{Name: "right benches", Rows: []room.SeatRow{{Left: ft(1.83, 9, 3.83), Right: ft(14, 9, 3.83)}, {Left: ft(1.83, 40, 3.83), Right: ft(14, 40, 3.83)}}},
	}
	return r
}

// want is one row of a fixture table computed by hand with E = I·Δy/d³ and I/d².
type want struct {
	id           string
	lens, aim    [3]float64 // ft
	field        float64
	purpose      string
	zone         string
	elevation    float64
	side         float64
	throwFt      float64
	diameterFt   float64
	normal, vert float64 // lx
	upperEdgeFt  float64 // NaN: none
}

var nan = math.NaN()

var meetingHouseUnits = []want{
	{"R1", [3]float64{-4, 10, 18.5}, [3]float64{4, -2.5, 6.67}, 40, "front_wash", "reader", 38.6, -32.6, 19.0, 13.8, 373, 246, 9.1},
	{"R2", [3]float64{12, 10, 18.5}, [3]float64{4, -2.5, 6.67}, 40, "front_wash", "reader", 38.6, 32.6, 19.0, 13.8, 373, 246, 9.1},
	{"T1", [3]float64{-8, 10, 18.5}, [3]float64{0, 2.5, 5.33}, 40, "front_wash", "table", 50.2, -46.8, 17.1, 12.5, 458, 201, -1.5},
	{"T2", [3]float64{8, 10, 18.5}, [3]float64{0, 2.5, 5.33}, 40, "front_wash", "table", 50.2, 46.8, 17.1, 12.5, 458, 201, -1.5},
	{"C1", [3]float64{-6, 10, 18.5}, [3]float64{-14, -5, 7.25}, 40, "front_wash", "choir", 33.5, 28.1, 20.4, 14.8, 324, 238, 12.1},
	{"C2", [3]float64{0, 10, 18.5}, [3]float64{-9, -5, 7.25}, 40, "front_wash", "choir", 32.7, 31.0, 20.8, 15.1, 311, 224, 12.3},
	{"C3", [3]float64{5, 10, 18.5}, [3]float64{-4, -5, 7.25}, 40, "front_wash", "choir", 32.7, 31.0, 20.8, 15.1, 311, 224, 12.3},
	{"C4", [3]float64{-18, 10, 18.5}, [3]float64{-9, -5, 7.25}, 40, "front_wash", "choir", 32.7, -31.0, 20.8, 15.1, 311, 224, 12.3},
	{"C5", [3]float64{-13, 10, 18.5}, [3]float64{-4, -5, 7.25}, 40, "front_wash", "choir", 32.7, -31.0, 20.8, 15.1, 311, 224, 12.3},
	{"P1", [3]float64{18, 10, 18.5}, [3]float64{9, -4, 5.33}, 25, "front_wash", "piano", 38.3, 32.7, 21.2, 9.4, 669, 441, 5.0},
	{"G1", [3]float64{-21.5, 4, 17}, [3]float64{-14, -5, 7.25}, 40, "front_wash", "choir", 39.8, -39.8, 15.2, 11.1, 579, 342, 8.8},
	{"G2", [3]float64{21.5, 4, 17}, [3]float64{4, -2.5, 6.67}, 40, "fill", "reader", 29.0, 69.6, 21.3, 15.5, 296, 90, 9.1},
	{"K1", [3]float64{4, -9.5, 18.5}, [3]float64{4, -2.5, 6.67}, 25, "back_light", "reader", 59.4, 180, 13.7, 6.1, 797, 0, nan},
	{"K2", [3]float64{0, -9.5, 18.5}, [3]float64{0, 2.5, 5.33}, 25, "back_light", "table", 47.7, 180, 17.8, 7.9, 475, 0, nan},
	{"K3", [3]float64{9, -9.5, 18.5}, [3]float64{9, -4, 5.33}, 25, "back_light", "piano", 67.3, 180, 14.3, 6.3, 740, 0, nan},
}

// peaks are the test fixtures' candelas by field angle.
func peakOf(purpose string, field float64) float64 {
	if purpose == "back_light" {
		return 14000
	}
	return map[float64]float64{15: 62000, 25: 28000, 40: 12500, 50: 8200}[field]
}

func meetingHouseSources() []Source {
	var out []Source
	for _, w := range meetingHouseUnits {
		out = append(out, Source{
			ID: w.id, Zone: w.zone, Purpose: w.purpose, Level: 1, FieldDeg: w.field,
			At: ft(w.lens[0], w.lens[1], w.lens[2]), Aim: ft(w.aim[0], w.aim[1], w.aim[2]),
			Dist:        photometry.NewBeam(w.field, 0, peakOf(w.purpose, w.field)),
			Accessories: []string{"barn_doors"},
		})
	}
	return out
}

func meetingHouseBrief() brief.Brief {
	lux := si.Known(si.Illuminance(450))
	face := func(name string, x, towardSeats, z float64) brief.Face {
		return brief.Face{Name: name, X: lft(x), Y: lft(-towardSeats), Z: lft(z)}
	}
	return brief.Brief{
		Zones: []brief.Zone{
			{Name: "reader", Use: "speaking", Target: lux, Faces: []brief.Face{face("reader", 4, -2.5, 6.67)}},
			{Name: "table", Use: "altar", Target: lux, Faces: []brief.Face{face("table", 0, 2.5, 5.33)}},
			{Name: "choir", Use: "singing", Target: lux, Faces: []brief.Face{
				face("choir left", -14, -5, 7.25), face("choir middle", -9, -5, 7.25), face("choir right", -4, -5, 7.25)}},
			{Name: "piano", Use: "piano", Target: lux, Faces: []brief.Face{face("pianist", 9, -4, 5.33)}},
		},
		Cameras: []brief.Camera{{Name: "C1", X: lft(0), Y: lft(-33), Z: lft(13.5)}},
	}
}

func meetingHouseSurvey() survey.Survey {
	flood := survey.ExistingLight{Name: "organ-case flood", Count: 6, Fate: "remove"}
	for _, x := range []float64{-7, -5, -3, 3, 5, 7} {
		flood.Places = append(flood.Places, survey.Place{X: lft(x), Y: lft(10), Z: lft(11.5)})
	}
	return survey.Survey{
		ExistingUnit: []survey.ExistingLight{flood},
		Site:         survey.Site{CongregationFacingDeg: 270, Orientation: true},
		Sun:          []survey.SunCheck{{Name: "winter service", AzimuthDeg: 155, ElevationDeg: 25}},
	}
}

func meetingHouseInput() Input {
	return Input{
		Room: meetingHouse(), Brief: meetingHouseBrief(), Survey: meetingHouseSurvey(),
		Sources: meetingHouseSources(), Book: finding.NewBook(), Region: "us", LossFactor: 1,
	}
}
