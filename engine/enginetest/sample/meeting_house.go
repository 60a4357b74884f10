// Package sample holds a packet input made by hand for tests: a brick meeting
// house with side galleries, fifteen units, four zones, two beams. Its numbers
// are written down, not computed, so that a sheet's text can be checked against
// them.
package sample

import (
	"fmt"
	"math"
	"time"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/drawing"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/hanging"
	"roodbeam/engine/light"
	"roodbeam/engine/network"
	"roodbeam/engine/phase"
	"roodbeam/engine/preset"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/sheet"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// Fixtures is a catalogue for tests.
type Fixtures map[string]catalogue.Fixture

// Get returns the fixture of a code.
func (f Fixtures) Get(code string) (catalogue.Fixture, bool) {
	x, ok := f[code]
	return x, ok
}

const ft = 0.3048

// at turns feet, with Y toward the seats as builders write it, into the room's axes.
func at(x, y, z float64) geom.Vec { return geom.Vec{X: x * ft, Y: -y * ft, Z: z * ft} }

func feet(v float64) si.Typed[si.Length] {
	return si.Typed[si.Length]{Text: fmt.Sprintf("%g ft", v), Value: si.Length(v) * si.Foot, Set: true}
}

// Unit is one row of the unit table, feet and degrees.
type Unit struct {
	ID, Fixture, Line, Zone, Purpose, Circuit, Phase string
	X, Y, Z, AX, AY, AZ                              float64
	Field, Elevation, Sideways, ThrowM, Diameter     float64
	Normal, Vertical, UpperEdge                      float64
}

var nan = math.NaN()

// Units are the fifteen units with their values, one at a time, full on.
var Units = []Unit{
	{"R1", "T-FRE", "W1", "reading desk", "front_wash", "W1a", "A", -4, 10, 18.5, 4, -2.5, 6.67, 40, 38.6, -32.6, 5.79, 13.8, 373, 246, 9.1},
	{"R2", "T-FRE", "W1", "reading desk", "front_wash", "W1a", "A", 12, 10, 18.5, 4, -2.5, 6.67, 40, 38.6, 32.6, 5.79, 13.8, 373, 246, 9.1},
	{"T1", "T-FRE", "W1", "table", "front_wash", "W1a", "A", -8, 10, 18.5, 0, 2.5, 5.33, 40, 50.2, -46.8, 5.22, 12.5, 458, 201, nan},
	{"T2", "T-FRE", "W1", "table", "front_wash", "W1a", "A", 8, 10, 18.5, 0, 2.5, 5.33, 40, 50.2, 46.8, 5.22, 12.5, 458, 201, nan},
	{"C1", "T-FRE", "W1", "choir", "front_wash", "W1b", "A", -6, 10, 18.5, -14, -5, 7.25, 40, 33.5, 28.1, 6.21, 14.8, 324, 238, 12.1},
	{"C2", "T-FRE", "W1", "choir", "front_wash", "W1b", "A", 0, 10, 18.5, -9, -5, 7.25, 40, 32.7, 31.0, 6.34, 15.1, 311, 224, 12.3},
	{"C3", "T-FRE", "W1", "choir", "front_wash", "W1b", "A", 5, 10, 18.5, -4, -5, 7.25, 40, 32.7, 31.0, 6.34, 15.1, 311, 224, 12.3},
	{"C4", "T-FRE", "W1", "choir", "front_wash", "W1b", "A", -18, 10, 18.5, -9, -5, 7.25, 40, 32.7, -31.0, 6.34, 15.1, 311, 224, 12.3},
	{"C5", "T-FRE", "W1", "choir", "front_wash", "W1b", "A", -13, 10, 18.5, -4, -5, 7.25, 40, 32.7, -31.0, 6.34, 15.1, 311, 224, 12.3},
	{"P1", "T-FRE", "W1", "piano", "front_wash", "W1a", "A", 18, 10, 18.5, 9, -4, 5.33, 25, 38.3, 32.7, 6.47, 9.4, 669, 441, 5.0},
	{"G1", "T-FRE", "left pier", "choir", "front_wash", "GB", "B", -21.5, 4, 17, -14, -5, 7.25, 40, 39.8, -39.8, 4.65, 11.1, 579, 342, 8.8},
	{"G2", "T-FRE", "right pier", "reading desk", "fill", "GB", "B", 21.5, 4, 17, 4, -2.5, 6.67, 40, 29.0, 69.6, 6.50, 15.5, 296, 90, 9.1},
	{"K1", "T-BCK", "W2", "reading desk", "back_light", "GB", "B", 4, -9.5, 18.5, 4, -2.5, 6.67, 25, 59.4, 180, 4.19, 6.1, 797, 0, nan},
	{"K2", "T-BCK", "W2", "table", "back_light", "GB", "B", 0, -9.5, 18.5, 0, 2.5, 5.33, 25, 47.7, 180, 5.43, 7.9, 475, 0, nan},
	{"K3", "T-BCK", "W2", "piano", "back_light", "GB", "B", 9, -9.5, 18.5, 9, -4, 5.33, 25, 67.3, 180, 4.35, 6.3, 740, 0, nan},
}

// MeetingHouse returns the whole input.
func MeetingHouse() sheet.Input {
	book := finding.NewBook()
	in := sheet.Input{
		Name: "Alder Ford Meeting House", Town: "Alder Ford, Lowmark", Revision: "3", Date: "2026-11-25", Status: "for pricing",
		Author: "designer", Display: si.US,
		Survey: surveyOf(), Brief: briefOf(), Room: roomOf(), Scheme: scheme.Scheme{Name: "Two beams and two piers", Author: "designer",
			Passed: []scheme.Passed{{Line: "rear gallery rail", Zone: "reading desk", Why: "6.7° is in the speaker's eyes and on the screen", ElevationDeg: 6.7, ThrowM: 11.35}}},
		Catalogue: Fixtures{
			"T-FRE": {Code: "T-FRE", Name: "LED fresnel, white, barn doors", Class: catalogue.Fresnel, Power: 165, PF: 0.95, Mass: 7.4, Slots: 4},
			"T-BCK": {Code: "T-BCK", Name: "Colour wash 25°", Class: catalogue.Wash, Power: 120, PF: 0.95, Mass: 3.9, Slots: 8},
		},
		Profile: region.Profile{ID: "us", Edition: "us-2026.1", Title: "United States", Display: si.US, Paper: "Tabloid", ContinuousFactor: 1.25, ContinuousSource: "NEC 210.20(A), from memory"},
		Book:    book,
		Options: []sheet.Option{
			{Name: "front light only", What: "stage A alone; no back light, old house lights stay", Lights: 10, Price: cost.Amount{Low: 1314223, Likely: 1428504, High: 1685634}},
		},
		Changes: []string{"Revision 3: the unit for the sixth choir partner moved to the left pier; back light reduced to three units.", "Revision 2: bench pitch clarified."},
	}
	for _, u := range Units {
		in.Placed = append(in.Placed, scheme.Placed{
			Unit: scheme.Unit{ID: u.ID, Fixture: u.Fixture, FieldDeg: u.Field, Line: u.Line, Zone: u.Zone, Purpose: scheme.Purpose(u.Purpose), Circuit: u.Circuit, Phase: u.Phase, Accessories: []string{"barn_doors"}},
			At:   at(u.X, u.Y, u.Z), Target: at(u.AX, u.AY, u.AZ),
		})
	}
	in.Light = lightOf()
	in.Maps = []drawing.Field{fieldOf()}
	in.Lines = linesOf()
	in.Load = loadOf()
	in.Hanging = hangingOf()
	in.Network = networkOf()
	in.Presets = presetsOf()
	in.Estimate = estimateOf()
	in.Phases = phasesOf()
	for _, v := range []float64{60.3, 68.2} {
		if f, ok := book.Check("FRONT_ELEVATION_HIGH", "us", fmt.Sprintf("place at %.1f", v), v); ok {
			in.Findings = append(in.Findings, f)
		}
	}
	in.Findings = append(in.Findings,
		finding.Finding{Code: "LINE_NOT_APPROVED", Key: "LINE_NOT_APPROVED/line W1", Severity: finding.Stop, Owner: finding.Engineer, Subject: "line W1", Value: 141.8, Limit: 100, Unit: "kg", HasValue: true, HasLimit: true, Source: "common practice"},
		finding.Finding{Code: "DIMMER_OVERLOADED", Key: "DIMMER_OVERLOADED/D4", Severity: finding.Stop, Owner: finding.Electrician, Subject: "dimmer D4", Value: 3000, Limit: 2400, Unit: "W", HasValue: true, HasLimit: true, Source: "the channel's rating plate"},
		finding.Finding{Code: "BUDGET_CAP_PASSED", Key: "BUDGET_CAP_PASSED/estimate", Severity: finding.Warn, Owner: finding.Leadership, Subject: "estimate", Source: "the church's limit"},
	)
	finding.Sort(in.Findings)
	return in
}

func roomOf() room.Room {
	r := room.Room{
		Footprint: geom.Polygon{at(-23, 44.5, 0), at(23, 44.5, 0), at(23, -13.5, 0), at(-23, -13.5, 0)},
		Ceiling:   room.Ceiling{Shape: "flat", Eaves: 26 * si.Foot, Ridge: 26 * si.Foot},
		Platform: room.Platform{Outline: geom.Polygon{at(-18, 0, 1.333), at(18, 0, 1.333), at(18, -10, 1.333), at(-18, -10, 1.333)},
			Height: si.Length(4.0/3) * si.Foot, Width: 36 * si.Foot, Depth: 10 * si.Foot},
		Levels: []room.Level{{Name: "platform", Height: si.Length(4.0/3) * si.Foot}, {Name: "gallery floor", Height: si.Length(9+8.0/12) * si.Foot}},
		Adjustment: room.Adjustment{Measurements: 31, Unknowns: 22, Redundancy: 9, VPV: 11.3, ChiLow: 2.7, ChiHigh: 19, Pass: true,
			Removed: []string{"m07"}},
		Questions: []room.Question{
			{About: "W1 and W2", Ask: "What timber are the two wind-beams, and how deep do they sit in the wall?", Why: "the engineer needs it before anything is hung", Assumed: "nothing", Who: "structural engineer"},
			{About: "room length", Ask: "Please measure the rear wall to the wall behind the platform along the left aisle.", Why: "the framed plan says 60 ft, the diagonals say 58 ft", Assumed: "58 ft 0 in ± 1/2 in", Who: "volunteer"},
		},
		Suspects: []room.Suspect{{Measurement: "m07", Text: "60 ft 0 in", Expected: 58 * si.Foot, Got: 60 * si.Foot, Normalised: 12.4, Explanation: "taken from a framed plan, not from the room"}},
	}
	for i, n := range []string{"rear left", "rear right", "front right", "front left"} {
		r.Stations = append(r.Stations, room.Station{Name: n, At: r.Footprint[i], Sigma: geom.Vec{X: 0.004, Y: 0.006, Z: 0.002}})
	}
	gallery := func(name string, x0, x1, y0, y1 float64) {
		r.Surfaces = append(r.Surfaces,
			room.Surface{Name: name + "_floor", Kind: "gallery", Polygon: geom.Polygon{at(x0, y0, 9.667), at(x1, y0, 9.667), at(x1, y1, 9.667), at(x0, y1, 9.667)}},
			room.Surface{Name: name + "_soffit", Kind: "gallery", Polygon: geom.Polygon{at(x0, y0, 8.917), at(x1, y0, 8.917), at(x1, y1, 8.917), at(x0, y1, 8.917)}})
	}
	gallery("gallery_left", -23, -15, 3, 44.5)
	gallery("gallery_right", 15, 23, 3, 44.5)
	gallery("gallery_rear", -15, 15, 34.5, 44.5)
	front := func(name string, a, b geom.Vec) {
		lift := geom.Vec{Z: (2 + 11.0/12 + 0.75) * ft}
		r.Surfaces = append(r.Surfaces, room.Surface{Name: name, Kind: "gallery", Polygon: geom.Polygon{a, b, b.Add(lift), a.Add(lift)}})
	}
	front("gallery_left_front", at(-15, 3, 8.917), at(-15, 44.5, 8.917))
	front("gallery_right_front", at(15, 3, 8.917), at(15, 44.5, 8.917))
	front("gallery_rear_front", at(-15, 34.5, 8.917), at(15, 34.5, 8.917))
	n := 0
	for _, x := range []float64{-15, 15} {
		for _, y := range []float64{4, 14, 24, 34} {
			n++
			r.Solids = append(r.Solids, box(fmt.Sprintf("column %d", n), x, y, 0.75, 0.75, 0, 8.917))
		}
	}
	r.Solids = append(r.Solids, box("organ case", 0, -11.75, 16, 3.5, 1.333, 20), box("piano", 13.25, -4.5, 6.5, 5, 1.333, 4.67), box("bell rope", 2.5, 12, 0.15, 0.15, 0, 26))
	beam := func(name, kind string, y, z, half float64) {
		r.Lines = append(r.Lines, room.Line{Name: name, Kind: kind, From: at(-half, y, z), To: at(half, y, z), Drop: si.Length(14) * si.Inch,
			Survey: survey.HangingLine{Width: feet(10.0 / 12), Depth: feet(1), Material: "timber_solid"}})
	}
	beam("W1", "beam", 10, 19.667, 23)
	beam("W2", "beam", -9.5, 19.667, 23)
	beam("rear gallery rail", "rail", 34.5, 11.83, 15)
	for _, y := range []float64{7, 25} {
		r.Lines = append(r.Lines, room.Line{Name: map[float64]string{7: "rod near", 25: "rod rear"}[y], Kind: "tension_rod", From: at(-23, y, 18), To: at(23, y, 18), Forbidden: "a tension member"})
	}
	for _, s := range []float64{-1, 1} {
		name := map[float64]string{-1: "left", 1: "right"}[s]
		r.Lines = append(r.Lines,
			room.Line{Name: name + " gallery rail", Kind: "rail", From: at(15*s, 3, 11.83), To: at(15*s, 44.5, 11.83)},
			room.Line{Name: name + " pier", Kind: "pier", From: at(22.5*s, 4, 17.5), To: at(21.5*s, 4, 17.5)})
	}
	r.Screens = []room.Screen{{Name: "front", Kind: "projected", Bottom: 11.5 * si.Foot,
		Corners: geom.Polygon{at(-16.5, -13.5, 11.5), at(-7.5, -13.5, 11.5), at(-7.5, -13.5, 16.583), at(-16.5, -13.5, 16.583)}}}
	for _, x := range []float64{-23, 23} {
		for i, y := range []float64{9, 19, 29, 39} {
			r.Windows = append(r.Windows, room.Window{Name: fmt.Sprintf("window %d", i+1), Glass: "clear",
				Polygon: geom.Polygon{at(x, y-2.5, 13), at(x, y+2.5, 13), at(x, y+2.5, 22), at(x, y-2.5, 22)}})
		}
	}
	for _, s := range []float64{-1, 1} {
		b := room.Seating{Name: map[float64]string{-1: "left benches", 1: "right benches"}[s], Fixed: "screwed"}
		for i := range 12 {
			y := 9 + float64(i)*2.833
			b.Rows = append(b.Rows, room.SeatRow{Left: at(s*2-s*0.1, y, 3.83), Right: at(s*14, y, 3.83)})
		}
		r.Seating = append(r.Seating, b)
	}
	r.Eyes = []room.Eye{{Name: "first row", At: at(0, 9, 3.83)}, {Name: "gallery front left", At: at(-17, 4, 13.67)}, {Name: "gallery front right", At: at(17, 4, 13.67)}}
	return r
}

func box(name string, cx, cy, w, d, z0, z1 float64) room.Solid {
	x0, x1, y0, y1 := cx-w/2, cx+w/2, cy-d/2, cy+d/2
	ring := func(z float64) geom.Polygon {
		return geom.Polygon{at(x0, y0, z), at(x1, y0, z), at(x1, y1, z), at(x0, y1, z)}
	}
	return room.Solid{Name: name, Faces: []geom.Polygon{ring(z0), ring(z1)}, Base: at(cx, cy, z0)}
}

func surveyOf() survey.Survey {
	watt := func(w float64) si.Typed[si.Power] { return si.Known(si.Power(w)) }
	amp := func(a float64) si.Typed[si.Current] { return si.Known(si.Current(a)) }
	s := survey.Survey{
		Measurements: []survey.Measurement{
			{ID: "m01", Kind: survey.Distance, From: "rear left", To: "front right", Value: feet(74), Instrument: survey.Laser, By: "a volunteer"},
			{ID: "m02", Kind: survey.Distance, From: "rear right", To: "front left", Value: si.Typed[si.Length]{Text: "74' 1\"", Value: 74*si.Foot + si.Inch, Set: true}, Instrument: survey.Laser, By: "a volunteer"},
			{ID: "m07", Kind: survey.Distance, From: "rear left", To: "front left", Value: feet(60), Instrument: survey.Drawing, By: "a volunteer", Note: "from a framed plan"},
			{ID: "m11", Kind: survey.Height, To: "rail top", Value: si.Typed[si.Length]{Text: "11.10"}, Instrument: survey.SteelTape, By: "second helper"},
		},
		ExistingUnit: []survey.ExistingLight{
			{Name: "left cove", Count: 24, Watts: watt(60), Dimmer: "D1", Fate: "relamp"}, {Name: "right cove", Count: 24, Watts: watt(60), Dimmer: "D2", Fate: "relamp"},
			{Name: "rear cove", Count: 20, Watts: watt(60), Dimmer: "D3", Fate: "relamp"},
			{Name: "organ floods", Count: 6, Watts: watt(500), Dimmer: "D4", Fate: "remove", OverPlatform: true},
			{Name: "under gallery", Count: 14, Watts: watt(60), Dimmer: "D5", Fate: "relamp"}, {Name: "globes", Count: 6, Watts: watt(100), Dimmer: "D6", Fate: "relamp"},
		},
		Supply: survey.Supply{System: "single_phase_3w", Earthing: "tn_c_s", Voltage: si.Known(si.Voltage(120)), VoltageLL: si.Known(si.Voltage(240)), Frequency: 60, Main: amp(125), Reading: "spot",
			Standing: []survey.StandingLoad{{Name: "Sunday, all old lights on", Leg: "L1", Current: amp(86)}, {Name: "Sunday, all old lights on", Leg: "L2", Current: amp(97)}}},
		Panels:     []survey.Panel{{Name: "HP", At: survey.Place{X: feet(-20), Y: feet(-40)}, Rating: amp(125), Poles: 2, Spaces: 24, SpacesUsed: 21, SpacesBack: 2, Feeds: "dimmer cabinet"}},
		DataPlaces: []survey.DataPlace{{Name: "booth", Kind: "booth", At: survey.Place{X: feet(10), Y: feet(-38)}}, {Name: "wall panel", Kind: "wall_panel", At: survey.Place{X: feet(2), Y: feet(-44)}}},
		Site:       survey.Site{YearBuilt: 1911, YearAltered: 1974, CongregationFacingDeg: 270, Orientation: true},
		Hazards: []survey.Hazard{{Kind: "asbestos", Where: "1974 plaster", Note: "inspection before anchors, pockets or ceiling work"},
			{Kind: "panel_access", Where: "dimmer cabinet on the stair", Note: "10 in to the handrail"}},
	}
	for i, d := range []struct {
		leg, controls string
	}{{"L1", "left cove"}, {"L2", "right cove"}, {"L1", "rear cove"}, {"L2", "organ floods"}, {"L1", "under gallery"}, {"L2", "globes"}} {
		s.Dimmers = append(s.Dimmers, survey.Dimmer{Channel: fmt.Sprintf("D%d", i+1), Cabinet: "stair cabinet", Rating: watt(2400), Minimum: watt(100), Leg: d.leg, Controls: d.controls})
	}
	return s
}

func briefOf() brief.Brief {
	zone := func(name, use string, x0, x1, y0, y1 float64, p int) brief.Zone {
		return brief.Zone{Name: name, Use: use, Level: "platform", MinX: feet(x0), MaxX: feet(x1), MinY: feet(-y1), MaxY: feet(-y0), Target: si.Known(si.Illuminance(450)), Priority: p, FaceHeight: feet(5.33)}
	}
	return brief.Brief{
		Region:     "us",
		Zones:      []brief.Zone{zone("reading desk", "speaking", 1, 7, -4.5, -0.5, 1), zone("table", "altar", -3, 3, 1, 4, 2), zone("choir", "singing", -17, -1, -8.5, -1.5, 3), zone("piano", "piano", 7.5, 10.5, -6, -2.5, 4)},
		Cameras:    []brief.Camera{{Name: "C1", X: feet(0), Y: feet(-33), Z: feet(13.5)}, {Name: "C2", X: feet(-13), Y: feet(-12), Z: feet(5)}},
		Money:      brief.Money{Currency: "XTS", CapMinor: 1600000, ContingencyPct: 10, EnergyMinorPerKWh: 21, HoursPerWeek: 6},
		KeepInView: []string{"organ case", "clear windows"},
		People:     brief.People{Volunteers: 7, Operators: 3},
	}
}

func lightOf() light.Report {
	r := light.Report{LossFactor: 0.8, Limits: []string{"light reflected by walls and ceiling", "daylight through the windows"}}
	for _, u := range Units {
		edge := u.UpperEdge * ft
		r.Units = append(r.Units, light.Unit{ID: u.ID, ElevationDeg: u.Elevation, SigmaElevationDeg: 0.4, BearingDeg: u.Sideways, ThrowM: u.ThrowM, FieldDiameterM: u.Diameter * ft,
			NormalLx: u.Normal, VerticalLx: u.Vertical, UpperEdgeM: edge, LowestEyeDeg: 38.4, LowestEye: "first row"})
	}
	face := func(name string, p geom.Vec, lx, left, right, back float64) light.Face {
		return light.Face{Name: name, At: p, Facing: geom.Vec{Y: -1}, VerticalLx: lx, OwnLx: lx, LeftLx: left, RightLx: right, BackLx: back, PlanSpreadDeg: 62}
	}
	r.Zones = []light.Zone{
		{Name: "reading desk", Faces: []light.Face{face("reader", at(4, -2.5, 6.67), 582, 246, 336, 478)}, AverageLx: 582, MinLx: 582, MaxLx: 582, Evenness: 1, FromLeftLx: 246, FromRightLx: 336, BackLx: 478, TargetLx: 450, SigmaPct: 3, KeyLx: 492},
		{Name: "table", Faces: []light.Face{face("leader", at(0, 2.5, 5.33), 401, 201, 200, 475)}, AverageLx: 401, MinLx: 401, MaxLx: 401, Evenness: 1, FromLeftLx: 201, FromRightLx: 200, BackLx: 475, TargetLx: 450, SigmaPct: 3, KeyLx: 401},
		{Name: "choir", Faces: []light.Face{face("left", at(-14, -5, 7.25), 443, 205, 238, 0), face("middle", at(-9, -5, 7.25), 449, 224, 225, 0), face("right", at(-4, -5, 7.25), 449, 224, 225, 0)}, AverageLx: 447, MinLx: 443, MaxLx: 449, Evenness: 0.99, FromLeftLx: 218, FromRightLx: 229, TargetLx: 450, SigmaPct: 3, KeyLx: 447},
		{Name: "piano", Faces: []light.Face{face("pianist", at(9, -4, 5.33), 441, 0, 441, 444)}, AverageLx: 441, MinLx: 441, MaxLx: 441, Evenness: 1, FromRightLx: 441, BackLx: 444, TargetLx: 450, SigmaPct: 4, KeyLx: 441},
	}
	r.Screens = []light.Screen{{Name: "front", AverageLx: 18, MaxLx: 41, WhiteLx: 600, SpillPct: 3, Contrast: 34, Worst: "C3"}}
	r.Eyes = []light.EyeGlare{{Name: "reader", VeilCdM2: 6.2, WorstUnit: "R1", WorstDeg: 41, ElevationDeg: 38.6}}
	return r
}

// fieldOf is a map of vertical illuminance at face height from the units' peak
// values, falling to a tenth at the edge of the field.
func fieldOf() drawing.Field {
	f := drawing.Field{Title: "Vertical illuminance at face height", Unit: "lx", MinX: -18 * ft, MinY: -5 * ft, StepM: 0.5 * ft, Cols: 72, Rows: 30}
	for j := range f.Rows {
		for i := range f.Cols {
			p := geom.Vec{X: f.MinX + (float64(i)+0.5)*f.StepM, Y: f.MinY + (float64(j)+0.5)*f.StepM, Z: 6.67 * ft}
			sum := 0.0
			for _, u := range Units {
				if u.Vertical == 0 {
					continue
				}
				lens, aim := at(u.X, u.Y, u.Z), at(u.AX, u.AY, u.AZ)
				axis, to := aim.Sub(lens).Unit(), p.Sub(lens)
				off := math.Acos(math.Min(1, axis.Dot(to.Unit()))) * 180 / math.Pi
				sum += u.Vertical * math.Pow(0.1, math.Pow(off/(u.Field/2), 2)) * math.Pow(u.ThrowM/to.Norm(), 2)
			}
			f.Values = append(f.Values, sum)
		}
	}
	return f
}

func linesOf() []scheme.LineRow {
	row := func(line, place string, z float64, from, verdict, why string, e ...float64) scheme.LineRow {
		r := scheme.LineRow{Line: line, Place: place, At: at(0, 10, z), HangsFrom: from, Reach: "lift A", Verdict: verdict, Why: why}
		for i, v := range e {
			band := "good"
			if v < 25 || v > 60 {
				band = "refuse"
			}
			r.Zones = append(r.Zones, scheme.LineZone{Zone: []string{"reading desk", "table", "choir", "piano"}[i], ElevationDeg: v, SigmaDeg: 0.4, ThrowM: 5.8, Band: band})
		}
		return r
	}
	return []scheme.LineRow{
		row("W1", "", 19.667, "beam", "used", "about 45° to three zones; the table is crossed from both sides", 43.4, 60.3, 36.9, 43.2),
		row("W2", "", 19.667, "beam", "used", "back light", 59.4, 47.7, 68.2, 67.3),
		row("rear gallery rail", "", 11.83, "rail", "refused", "low light in the speaker's eyes and on the screen", 6.7, 10.0, 5.4, 6.1),
		row("left gallery rail", "left at +6", 11.83, "rail", "refused", "12° is far below 25°", 12.0, 14.0, 11.1, 9.0),
		row("rod near", "", 18, "tension_rod", "refused", "a tension member: nothing may ever hang from it", 47.4, 61.2, 40.0, 46.8),
	}
}

func loadOf() electrical.Plan {
	p := electrical.Plan{TotalW: 2340, TotalVA: 2463, TotalA: 20.5, HeatBTUh: 7985, SupplyNote: "120/240 V single-phase three-wire; every new circuit is 120 V."}
	circuit := func(name, leg, stage string, w, a float64, units []string, lines ...[3]float64) electrical.Circuit {
		c := electrical.Circuit{Name: name, Units: units, Leg: leg, Panel: "HP", Phase: stage, ConnectedW: w, ConnectedVA: w / 0.95, CurrentA: a, DesignA: 1.25 * a, BreakerA: 20, BreakerPoles: 1, UsePct: a / 20 * 100,
			Conductor: "12 AWG copper", Ground: "12 AWG", LengthM: 36.5, SigmaLengthM: 0.4, DropV: 2.1, DropPct: 1.8, InrushA: 90, LeakageMA: 3.5, Connector: "locking, 20 A 125 V, 2-pole 3-wire", Reason: "one circuit for the line would pass the planning share of 70 %"}
		for i, o := range lines {
			c.Places = append(c.Places, electrical.Outlet{Name: fmt.Sprintf("%s-%d", name, i+1), X: o[0] * ft, Y: -o[1] * ft, Z: o[2] * ft, Units: units[i*len(units)/len(lines) : (i+1)*len(units)/len(lines)]})
		}
		return c
	}
	p.Circuits = []electrical.Circuit{
		circuit("W1a", "L1", "A", 825, 7.24, []string{"T1", "R1", "T2", "R2", "P1"}, [3]float64{-6, 10, 19.7}, [3]float64{10, 10, 19.7}),
		circuit("W1b", "L2", "A", 825, 7.24, []string{"C4", "C5", "C1", "C2", "C3"}, [3]float64{-15, 10, 19.7}, [3]float64{2, 10, 19.7}),
		circuit("GB", "L1", "B", 690, 6.05, []string{"G1", "K2", "K1", "K3", "G2"}, [3]float64{-22, 4, 17}, [3]float64{4, -9.5, 19.7}, [3]float64{22, 4, 17}),
	}
	p.Panels = []electrical.PanelCheck{{Name: "HP", RatingA: 125, LimitA: 100, Spaces: 24, SpacesUsed: 21, SpacesNeeded: 3, SpacesLeft: 0, SpacesBack: 2, SpareAfterPct: 8}}
	step := func(name string, l1, l2 float64) electrical.Step {
		return electrical.Step{Name: name, Legs: []electrical.Leg{{Name: "L1", CurrentA: l1, LimitA: 100}, {Name: "L2", CurrentA: l2, LimitA: 100}}, ImbalancePct: math.Abs(l1-l2) / math.Max(l1, l2) * 100, Allowed: l1 <= 100 && l2 <= 100}
	}
	p.Steps = []electrical.Step{step("today", 86, 97), step("all new on, nothing removed", 99.3, 104.2), step("floods isolated first, all new on", 99.3, 79.2), step("stage A alone, floods out", 93.2, 79.2), step("after the house job", 77.1, 65.8)}
	p.House = []electrical.DimmerCheck{
		{Channel: "D1", Feeds: "left cove", Leg: "L1", RatingW: 2400, MinimumW: 100, BeforeW: 1440, AfterW: 204, AfterVA: 340, Lamps: 24, Action: "relamp, trial of one week first"},
		{Channel: "D4", Feeds: "organ floods", Leg: "L2", RatingW: 2400, MinimumW: 100, BeforeW: 3000, Lamps: 6, Action: "isolate before any new circuit is energised"},
		{Channel: "D6", Feeds: "globes", Leg: "L2", RatingW: 2400, MinimumW: 100, BeforeW: 600, AfterW: 51, AfterVA: 85, Lamps: 6, Action: "below the least load: flicker likely, ask first"},
	}
	p.Questions = []electrical.Question{
		{No: 1, Text: "Channel D4 reads 3,000 W on a 2.4 kW channel. Is it overloaded today, or is the directory wrong?", Why: "asked before anything else"},
		{No: 2, Text: "Which spaces of panel HP can the three new circuits have?", Why: "21 of 24 are used"},
		{No: 3, Text: "How is the dimmer cabinet on the stair to be bypassed or moved?", Why: "10 in to the handrail; the working space is short"},
	}
	return p
}

func hangingOf() hanging.Plan {
	p := hanging.Plan{
		Lines: []hanging.Line{
			{Name: "W1", Material: "timber_solid", SpanM: 30 * ft, UnitsKg: 82, PipeKg: 46.9, CableKg: 12.9, AddedKg: 141.8, ExistingKg: nan, ReactionsN: []float64{695, 695}, MaxShearN: 695, MaxMomentNM: 1620, MaxDeflectionM: nan, StressMPa: nan, Screening: "not without an engineer", Why: "more than 100 kg added, capacity unknown"},
			{Name: "W2", Material: "timber_solid", SpanM: 30 * ft, UnitsKg: 14.1, PipeKg: 16, CableKg: 4.4, AddedKg: 34.6, ExistingKg: nan, ReactionsN: []float64{160, 180}, MaxShearN: 180, MaxMomentNM: 510, MaxDeflectionM: nan, StressMPa: nan, Screening: "not without an engineer", Why: "capacity unknown"},
			{Name: "left pier", Material: "masonry", SpanM: 0.46, UnitsKg: 8.2, OtherKg: 6, AddedKg: 14.2, ExistingKg: 0, MaxDeflectionM: nan, StressMPa: nan, Screening: "not without an engineer", Why: "old brick: anchor test"},
		},
		Lifts: []hanging.LiftCheck{
			{Lift: "A", Route: "main entrance", Why: "the turn takes a body of 68.7 in, the machine is 74 in", NeedWidthM: 33 * 0.0254, HaveWidthM: 42 * 0.0254, LongestM: 68.7 * 0.0254, RampM: 16 * ft, MassKg: 1270, FloorNote: "timber over a cellar, rating unknown"},
			{Lift: "A", Route: "side door", Fits: true, Why: "33 in of 38 in; stowed 78 in under 82 in", NeedWidthM: 33 * 0.0254, HaveWidthM: 38 * 0.0254, LongestM: nan, RampM: 7 * ft, MassKg: 1270, FloorNote: "timber over a cellar, rating unknown"},
		},
		Questions: []hanging.Question{
			{No: 1, Who: "structural engineer", Text: "May W1 carry 141.8 kg spread over 38 ft of pipe?", Why: "no drawings of the beams exist"},
			{No: 2, Who: "qualified rigger", Text: "How are the pier arms fixed in old brick without through bolts?", Why: "outer face is protected"},
		},
	}
	for _, u := range Units {
		for i := range p.Lines {
			if p.Lines[i].Name == u.Line {
				mass := si.Mass(8.2)
				if u.Fixture == "T-BCK" {
					mass = 4.7
				}
				p.Lines[i].Loads = append(p.Lines[i].Loads, hanging.PointLoad{Unit: u.ID, Along: si.Length(u.X+23) * si.Foot, Mass: mass})
			}
		}
		if u.Line == "W1" {
			c := hanging.ReachCheck{Unit: u.ID, Line: "W1", HangM: 19.667 * ft, NeedPlatformM: 14.667 * ft, By: "lift A", Below: "bench rows 1 and 2"}
			if u.ID == "C4" || u.ID == "P1" {
				c = hanging.ReachCheck{Unit: u.ID, Line: "W1", HangM: 10 * ft, NeedPlatformM: 5 * ft, By: "tower", Below: "gallery floor", Why: "over the gallery"}
			}
			p.Places = append(p.Places, c)
		}
	}
	return p
}

func networkOf() network.Plan {
	p := network.Plan{Splitter: network.Splitter{X: 12 * ft, Y: -38 * ft, Z: 11 * ft, Outputs: 6, Used: 5, Spare: 1}, TotalCableM: 409.5 * ft}
	branch := func(name, line, stage string, total float64, units []string, legs ...float64) {
		b := network.Branch{Name: name, Units: units, SlackM: 15 * ft, LengthM: total * ft, SigmaM: 0.15, UnitLoads: len(units), Line: line, Phase: stage}
		if len(units) > 0 {
			b.Terminate = units[len(units)-1]
		}
		for i, l := range legs {
			b.Legs = append(b.Legs, network.Leg{Along: []string{"x", "y", "z", "x"}[i%4], LengthM: l * ft})
		}
		p.Branches = append(p.Branches, b)
	}
	branch("A", "W1", "A", 102, []string{"P1", "R2", "T2", "C3", "C2", "R1", "C1", "T1", "C5", "C4"}, 10, 28, 9, 40)
	branch("B", "W2", "B", 103.5, []string{"K3", "K1", "K2"}, 10, 47.5, 9, 22)
	branch("C", "right pier", "B", 65, []string{"G2"}, 10, 34, 6)
	branch("D", "left pier", "B", 89, []string{"G1"}, 34, 34, 6)
	branch("E", "house", "C", 50, nil, 32, 2, 1)
	start := 1
	for _, u := range Units {
		n := 4
		if u.Fixture == "T-BCK" {
			n = 8
		}
		p.Addresses = append(p.Addresses, network.Address{Unit: u.ID, Universe: 1, Start: start, Slots: n, End: start + n - 1, Pinned: u.Phase == "A"})
		start += n
	}
	p.Universes = []network.Universe{{Number: 1, Used: 78, Free: 434, UsedPct: 15.2}}
	return p
}

func presetsOf() preset.Set {
	look := func(n int, name, when string, house float64, lines []string, wrong string, pct map[string]float64) preset.Look {
		l := preset.Look{Button: n, Name: name, When: when, HousePct: house, FadeS: 3, Lines: lines, IfWrong: wrong}
		for _, u := range Units {
			v, ok := pct[u.ID[:1]]
			if ok && v > 0 {
				l.Levels = append(l.Levels, preset.Level{Unit: u.ID, Pct: v})
			}
		}
		return l
	}
	return preset.Set{Panel: "the main entrance", Looks: []preset.Look{
		look(1, "House only", "people arrive and leave", 100, nil, "press once more", nil),
		look(2, "House and platform", "notices, rehearsal", 80, []string{"desk 582 lx"}, "press All off, then this again", map[string]float64{"R": 100, "T": 100, "C": 80}),
		look(3, "Service", "from the first hymn", 40, []string{"desk 582 lx", "table 401 lx", "choir 447 lx"}, "press 2 and call", map[string]float64{"R": 100, "T": 100, "C": 100, "P": 100, "G": 60, "K": 60}),
		look(4, "Candles", "candle service, week 10", 5, []string{"table 32 lx", "choir 45 lx"}, "press 1", map[string]float64{"T": 8, "C": 10}),
		look(5, "All off", "the last person leaves", 0, nil, "use the old switch", nil),
		look(6, "Cleaning", "weekdays", 100, nil, "press once more", nil),
	}}
}

func estimateOf() cost.Estimate {
	amount := func(likely float64) cost.Amount {
		return cost.Amount{Low: int64(likely * 92), Likely: int64(math.Round(likely * 100)), High: int64(likely * 118)}
	}
	e := cost.Estimate{Currency: "XTS", ContingencyPct: 10, CapMinor: 1600000, VolunteerHours: 64, Edition: "test book 1",
		Total: amount(21263.90), WithContingency: amount(23390.29)}
	line := func(stage, code, text, kind, unit, by string, qty, each float64, ahead bool) {
		e.Lines = append(e.Lines, cost.Line{Code: code, Text: text, Kind: kind, Quantity: qty, Unit: unit, UnitMinor: int64(math.Round(each * 100)), Total: amount(qty * each), Phase: stage, By: by, Ahead: ahead, Source: "project price"})
	}
	line("A", "T-FRE", "LED fresnel, white, barn doors", "fixtures", "piece", "church", 10, 640, false)
	line("A", "clamp-set", "clamp and secondary suspension", "hanging", "set", "church", 10, 22, false)
	line("A", "pipe", "pipe under W1", "hanging", "ft", "rigger", 38, 5.5, false)
	line("A", "splitter", "data splitter, six outputs", "data", "piece", "church", 1, 260, false)
	line("A", "cable", "data cable, branch A", "data", "ft", "volunteers", 102, 1.2, false)
	line("A", "surface", "control surface", "control", "piece", "church", 1, 640, false)
	line("A", "wall-panel", "wall panel", "control", "piece", "church", 1, 410, false)
	line("A", "circuit", "new circuit", "electrical", "circuit", "electrician", 2, 880, false)
	line("A", "permit", "electrical permit", "fees", "piece", "church", 1, 165, false)
	line("A", "lift", "lift hire", "access", "job", "hire", 1, 815, false)
	line("A", "engineer", "structural engineer's letter", "fees", "letter", "engineer", 1, 950, false)
	line("B", "T-FRE", "LED fresnel, white, barn doors", "fixtures", "piece", "church", 2, 640, false)
	line("B", "T-BCK", "colour wash, 25°", "fixtures", "piece", "church", 3, 310, false)
	line("B", "circuit", "new circuit GB", "electrical", "circuit", "electrician", 1, 880, true)
	line("B", "arm", "pier arm", "hanging", "piece", "rigger", 2, 45, true)
	line("C", "T-LMP", "retrofit lamp", "house", "piece", "volunteers", 88, 9, false)
	line("C", "house-control", "house light control", "house", "job", "electrician", 1, 1650, false)
	line("C", "bypass", "dimmer cabinet bypass", "electrical", "job", "electrician", 1, 1975, false)
	e.Phases = []cost.Phase{
		{Name: "A", Title: "front light", Subtotal: amount(12986.40), WithContingency: amount(14285.04)},
		{Name: "B", Title: "modelling and back light", Subtotal: amount(3800.50), WithContingency: amount(4180.55)},
		{Name: "C", Title: "house lights", Subtotal: amount(4477.00), WithContingency: amount(4924.70)},
	}
	e.Offer = &cost.Offer{Into: "A", From: "B", Lines: []string{"circuit GB", "pipe W2", "pier arms", "cables B, C, D"}, MovedMinor: 135050, IntoWithContingency: 1577059, FromWithContingency: 269500, LeftMinor: 22941,
		Note: "10 % is thin for a building of 1911 while the engineer's answer is open; order the moved parts only after the letter and the electrician's visit."}
	return e
}

func phasesOf() phase.Plan {
	start := time.Date(2027, 1, 11, 8, 0, 0, 0, time.UTC)
	p := phase.Plan{}
	task := func(id, name, stage, by string, from, days int, critical bool, needs ...string) {
		t := phase.Task{ID: id, Name: name, Phase: stage, Needs: needs, Days: float64(days), Hours: float64(days * 6), By: by, Start: start.AddDate(0, 0, from), End: start.AddDate(0, 0, from+days), Critical: critical, SlackDays: 5}
		t.Sunday = from/7 != (from+days)/7
		p.Tasks = append(p.Tasks, t)
		if t.End.After(p.Finish) {
			p.Finish = t.End
		}
	}
	task("A1", "leadership decides on stage A", "A", "leadership", 0, 21, true)
	task("A2", "engineer's letter", "A", "structural engineer", 7, 28, true, "A1")
	task("A3", "permit and orders", "A", "church", 21, 35, true, "A1", "G2")
	task("A4", "isolate the organ floods", "A", "electrician", 56, 1, true, "A3")
	task("A5", "circuits W1a and W1b", "A", "electrician", 57, 4, true, "A4")
	task("A6", "data branch A and splitter", "A", "volunteers", 57, 3, false, "A4")
	task("A7", "benches out, boards down, lift in", "A", "volunteers", 61, 1, true, "A5")
	task("A8", "pipe and units on W1", "A", "rigger", 62, 3, true, "A7", "G3")
	task("A9", "addresses and focus", "A", "designer", 65, 1, true, "A8", "A6")
	task("A10", "training", "A", "operators", 66, 2, true, "A9")
	task("B1", "pier arms and W2 pipe", "B", "rigger", 120, 2, false, "A10", "G3")
	task("B2", "units of stage B", "B", "rigger", 122, 2, false, "B1")
	task("C1", "house light trial", "C", "electrician", 150, 7, false, "A10")
	task("C2", "house light conversion", "C", "electrician", 157, 3, false, "C1")
	p.Gates = []phase.Gate{
		{ID: "G1", Name: "money and permission for stage A", Who: "leadership", Needs: []string{"A1"}, Why: "nothing is ordered before"},
		{ID: "G2", Name: "structure approved", Who: "structural engineer", Needs: []string{"A2"}, Why: "W1 gets more than 100 kg"},
		{ID: "G3", Name: "test certificate of the new circuits", Who: "licensed electrician", Needs: []string{"A5"}, Why: "before anything is plugged in"},
	}
	p.Jobs = []phase.JobCard{{Name: "Benches", Do: []string{"unscrew rows 1 and 2", "label every screw bag", "carry with four people"}, Dont: []string{"stand below the lift", "open the cellar hatch"}, People: 6, Minutes: 120}}
	return p
}
