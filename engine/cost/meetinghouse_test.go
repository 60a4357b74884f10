package cost_test

import (
	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/hanging"
	"roodbeam/engine/network"
	"roodbeam/engine/region"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

var codes = finding.NewBook()

type fixtures map[string]catalogue.Fixture

func (f fixtures) Get(code string) (catalogue.Fixture, bool) {
	v, ok := f[code]
	return v, ok
}

func ft(v float64) si.Length              { return si.Length(v) * si.Foot }
func known(v float64) si.Typed[si.Length] { return si.Known(ft(v)) }
func own(code string, minor int64) cost.Price {
	return cost.Price{Code: code, Minor: minor, Currency: "XTS"}
}
func ownFt(code string, m int64) cost.Price {
	return cost.Price{Code: code, Minor: m, Currency: "XTS", Unit: "ft"}
}

// meetingHouse is the reference brick meeting house: 12 fresnels and 3 washes
// in two phases, house lamps in a third, and its own prices in test money.
func meetingHouse() cost.Input {
	in := cost.Input{
		Catalogue: fixtures{
			"T-FRE": {Code: "T-FRE", PriceMinor: 64000, Currency: "XTS", Slots: 4},
			"T-BCK": {Code: "T-BCK", PriceMinor: 31000, Currency: "XTS", Slots: 8},
			"T-LMP": {Code: "T-LMP", PriceMinor: 900, Currency: "XTS", Class: catalogue.Lamp},
		},
		Profile: region.Profile{ID: "us", Display: si.US},
		Book:    codes,
	}
	add := func(id, code, line, phase string, x, y float64) {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: id, Fixture: code, Line: line, Phase: phase},
			At: geom.Vec{X: ft(x).Metres(), Y: -ft(y).Metres(), Z: ft(18.5).Metres()}})
	}
	for _, u := range []struct {
		id string
		x  float64
	}{{"R1", -4}, {"R2", 12}, {"T1", -8}, {"T2", 8}, {"C1", -6}, {"C2", 0}, {"C3", 5}, {"C4", -18}, {"C5", -13}, {"P1", 18}} {
		add(u.id, "T-FRE", "W1", "A", u.x, 10)
		by := "lift A"
		if u.id == "C4" || u.id == "P1" {
			by = "tower"
		}
		in.Hanging.Places = append(in.Hanging.Places, hanging.ReachCheck{Unit: u.id, By: by})
	}
	add("G1", "T-FRE", "left pier", "B", -21.5, 4)
	add("G2", "T-FRE", "right pier", "B", 21.5, 4)
	for i, id := range []string{"K1", "K2", "K3"} {
		add(id, "T-BCK", "W2", "B", []float64{4, 0, 9}[i], -9.5)
		in.Hanging.Places = append(in.Hanging.Places, hanging.ReachCheck{Unit: id, By: "tower"})
	}
	for _, g := range []string{"G1", "G2"} {
		in.Hanging.Places = append(in.Hanging.Places, hanging.ReachCheck{Unit: g, By: "from the gallery"})
	}
	in.Survey = survey.Survey{
		Lines: []survey.HangingLine{{Name: "W1", Kind: "beam"}, {Name: "W2", Kind: "beam"}, {Name: "left pier", Kind: "pier"}, {Name: "right pier", Kind: "pier"}},
		ExistingUnit: []survey.ExistingLight{
			{Name: "left cove", Count: 24, Fate: "relamp", LampCode: "T-LMP", Dimmer: "D1"},
			{Name: "right cove", Count: 24, Fate: "relamp", LampCode: "T-LMP", Dimmer: "D2"},
			{Name: "rear cove", Count: 20, Fate: "relamp", LampCode: "T-LMP", Dimmer: "D3"},
			{Name: "floods", Count: 6, Fate: "remove", Dimmer: "D4", OverPlatform: true},
			{Name: "under gallery", Count: 14, Fate: "relamp", LampCode: "T-LMP", Dimmer: "D5"},
			{Name: "globes", Count: 6, Fate: "relamp", LampCode: "T-LMP", Dimmer: "D6"},
		},
		Dimmers: []survey.Dimmer{{Channel: "D1"}},
		Floor:   survey.Floor{Kind: "over_cellar"},
		Site:    survey.Site{YearBuilt: 1911, YearAltered: 1974},
		Seating: []survey.Seating{
			{Name: "left", Rows: 12, FirstY: known(-9), LastY: known(-40.17), Fixed: "screwed"},
			{Name: "right", Rows: 12, FirstY: known(-9), LastY: known(-40.17), Fixed: "screwed"},
		},
	}
	in.Scheme.HouseStep = "C"
	in.Scheme.Pipes = []scheme.Pipe{{Line: "W1", Length: known(38), Phase: "A"}, {Line: "W2", Length: known(13), Phase: "B"}}
	in.Load.Circuits = []electrical.Circuit{
		{Name: "W1a", Phase: "A", LengthM: 45, Places: []electrical.Outlet{{}}},
		{Name: "W1b", Phase: "A", LengthM: 45, Places: []electrical.Outlet{{}}},
		{Name: "GB", Phase: "B", LengthM: 50, Places: []electrical.Outlet{{}, {}, {}}},
	}
	in.Network.Splitter.Outputs = 6
	for _, b := range []struct {
		name, line, phase string
		feet              float64
	}{{"A", "W1", "A", 102}, {"B", "W2", "B", 103.5}, {"C", "right pier", "B", 65}, {"D", "left pier", "B", 89}, {"E", "house", "C", 50}} {
		in.Network.Branches = append(in.Network.Branches, network.Branch{Name: b.name, Line: b.line, Phase: b.phase, LengthM: ft(b.feet).Metres()})
	}
	in.Brief = brief.Brief{
		Region:  "us",
		Money:   brief.Money{Currency: "XTS", CapMinor: 1600000, ContingencyPct: 10},
		House:   brief.House{Wish: "relamp", Slots: 6},
		Control: brief.Control{WallPanel: true, Console: true},
		Works: []brief.Work{
			{Name: "Window blind", Quantity: 1, UnitMinor: 18500, Phase: "A", By: "church", Kind: "building"},
		},
	}
	in.Own = []cost.Price{
		own(cost.CodeClamp, 2200), ownFt(cost.CodePipe, 550), own(cost.CodePierArm, 4500), own(cost.CodeSplitter, 26000),
		ownFt(cost.CodeDataCable, 120), own(cost.CodeWallPanel, 41000), own(cost.CodeConsole, 64000), own(cost.CodeHouseControl, 165000),
		own(cost.CodeCircuit, 88000), own(cost.CodeDimmerBypass, 197500), own(cost.CodePermit, 16500),
		own(cost.CodeLiftDay, 21500), own(cost.CodeLiftDelivery, 17000), own(cost.CodeTower, 13000), own(cost.CodeEngineer, 95000),
		own(cost.CodeSeatingHardware, 12000), own(cost.CodeBoards, 28000), own(cost.CodeAsbestos, 32000),
		own(cost.CodeInstall, 0), // skilled members of the congregation hang, unpaid
	}
	return in
}
