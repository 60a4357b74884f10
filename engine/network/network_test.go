package network_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/network"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"

	"pgregory.net/rapid"
)

// lengthTolM is a tenth of a millimetre, far below what a cable is cut to.
const lengthTolM = 1e-4

// ownRouteTol is how near the engine's own route must come to the designer's
// legs, rounded to whole feet along walls that are known.
const ownRouteTol = 0.15

type fixtures map[string]int

func (f fixtures) Get(code string) (catalogue.Fixture, bool) {
	n, ok := f[code]
	return catalogue.Fixture{Code: code, Slots: n}, ok
}

func ft(v float64) si.Length { return si.Length(v) * si.Foot }

func typed(vs ...float64) []si.Typed[si.Length] {
	var out []si.Typed[si.Length]
	for _, v := range vs {
		out = append(out, si.Known(ft(v)))
	}
	return out
}

// at returns a point of the reference meeting house, whose numbers are in feet
// with y toward the seats.
func at(x, y, z float64) geom.Vec {
	return geom.Vec{X: ft(x).Metres(), Y: -ft(y).Metres(), Z: ft(z).Metres()}
}

// meetingHouse is a brick meeting house with side galleries: 12 white fresnels
// and 3 colour washes on two wind-beams and two piers.
func meetingHouse() network.Input {
	unit := func(id, code, line string, x, y, z float64, branch, phase string) scheme.Placed {
		return scheme.Placed{Unit: scheme.Unit{ID: id, Fixture: code, Line: line, Branch: branch, Phase: phase}, At: at(x, y, z)}
	}
	in := network.Input{
		Catalogue: fixtures{"T-FRE": 4, "T-BCK": 8},
		Book:      finding.NewBook(), Region: "us",
		Brief: brief.Brief{House: brief.House{Slots: 6}},
		Room: room.Room{Lines: []room.Line{
			{Name: "W1", Kind: "beam", From: at(-23, 10, 19.67), To: at(23, 10, 19.67), Drop: ft(1.17)},
			{Name: "W2", Kind: "beam", From: at(-23, -9.5, 19.67), To: at(23, -9.5, 19.67), Drop: ft(1.17)},
			{Name: "left pier", Kind: "pier", From: at(-23, 4, 0), To: at(-23, 4, 22)},
			{Name: "right pier", Kind: "pier", From: at(23, 4, 0), To: at(23, 4, 22)},
		}},
	}
	in.Scheme.HouseStep = "C"
	in.Scheme.Splitter = scheme.DataPoint{X: si.Known(ft(12)), Y: si.Known(ft(-38)), Z: si.Known(ft(11))}
	for _, u := range []struct {
		id string
		x  float64
	}{{"R1", -4}, {"R2", 12}, {"T1", -8}, {"T2", 8}, {"C1", -6}, {"C2", 0}, {"C3", 5}, {"C4", -18}, {"C5", -13}, {"P1", 18}} {
		in.Placed = append(in.Placed, unit(u.id, "T-FRE", "W1", u.x, 10, 18.5, "A", "A"))
	}
	in.Placed = append(in.Placed,
		unit("G1", "T-FRE", "left pier", -21.5, 4, 17, "D", "B"),
		unit("G2", "T-FRE", "right pier", 21.5, 4, 17, "C", "B"),
		unit("K1", "T-BCK", "W2", 4, -9.5, 18.5, "B", "B"),
		unit("K2", "T-BCK", "W2", 0, -9.5, 18.5, "B", "B"),
		unit("K3", "T-BCK", "W2", 9, -9.5, 18.5, "B", "B"))
	return in
}

func designed() network.Input {
	in := meetingHouse()
	slack := si.Known(ft(15))
	in.Scheme.Branches = []scheme.Branch{
		{Name: "A", Legs: typed(10, 28, 9, 40), Slack: slack, Phase: "A"},
		{Name: "B", Legs: typed(10, 47.5, 9, 22), Slack: slack, Phase: "B"},
		{Name: "C", Legs: typed(10, 34, 6), Slack: slack, Phase: "B"},
		{Name: "D", Legs: typed(34, 34, 6), Slack: slack, Phase: "B"},
		{Name: "E", Legs: typed(32, 2, 1), Slack: slack, Phase: "C"},
	}
	return in
}

func TestDesignersLegsGiveTheBranchLengths(t *testing.T) {
	p, fs := network.Route(designed())
	want := map[string]float64{"A": 102, "B": 103.5, "C": 65, "D": 89, "E": 50}
	for _, b := range p.Branches {
		if math.Abs(b.LengthM-ft(want[b.Name]).Metres()) > lengthTolM {
			t.Errorf("branch %s: %.2f ft, want %.2f", b.Name, si.Length(b.LengthM).Feet(), want[b.Name])
		}
	}
	if got := si.Length(p.TotalCableM).Feet(); math.Abs(got-409.5) > 0.001 {
		t.Errorf("total %.2f ft, want 409.5", got)
	}
	if p.Splitter.Outputs != 6 || p.Splitter.Used != 5 || p.Splitter.Spare != 1 {
		t.Errorf("splitter %+v, want 6 outputs, 5 used, 1 spare", p.Splitter)
	}
	if len(p.Universes) != 1 || p.Universes[0].Used != 78 || p.Universes[0].Free != 434 {
		t.Errorf("universes %+v, want one with 78 of 512", p.Universes)
	}
	for _, b := range p.Branches {
		if b.Name == "E" && (len(b.Units) != 1 || b.Units[0] != network.HouseControl || b.Phase != "C") {
			t.Errorf("branch E %+v, want the house control in phase C", b)
		}
		if b.Name == "A" && fmt.Sprint(b.Units) != "[P1 R2 T2 C3 C2 R1 C1 T1 C5 C4]" {
			t.Errorf("branch A in cable order %v", b.Units)
		}
	}
	if n := finding.Count(fs, finding.Stop); n != 0 {
		t.Errorf("%d stops: %+v", n, fs)
	}
}

func TestOwnRouteComesNearTheDesigners(t *testing.T) {
	in := meetingHouse()
	for i := range in.Placed {
		in.Placed[i].Branch = ""
	}
	in.Survey.Panels = []survey.Panel{{Name: "HP", At: survey.Place{X: si.Known(ft(-20)), Y: si.Known(ft(-36)), Z: si.Known(ft(10))}}}
	p, _ := network.Route(in)
	want := map[string]float64{"W1": 102, "W2": 103.5, "right pier": 65, "left pier": 89, "house": 50}
	if len(p.Branches) != len(want) || p.Splitter.Outputs != 6 {
		t.Fatalf("%d branches on %d outputs: %+v", len(p.Branches), p.Splitter.Outputs, p.Branches)
	}
	for _, b := range p.Branches {
		got := si.Length(b.LengthM).Feet()
		if w := want[b.Line]; math.Abs(got-w) > ownRouteTol*w {
			t.Errorf("%s: %.1f ft, want %.1f ± 15 %%", b.Line, got, w)
		}
		if b.SigmaM <= 0 {
			t.Errorf("%s: no standard deviation", b.Line)
		}
	}
}

func TestAddressesStartAtRoundTensWithGaps(t *testing.T) {
	p, _ := network.Route(designed())
	got := map[string]string{}
	for _, a := range p.Addresses {
		got[a.Unit] = a.String()
	}
	for unit, want := range map[string]string{
		"P1": "universe 1, slots 1–4", "C4": "universe 1, slots 37–40",
		// branch B starts behind the 25 % gap of A's 40 slots
		"K3": "universe 1, slots 51–58", "K2": "universe 1, slots 67–74",
		"G2": "universe 1, slots 81–84", "G1": "universe 1, slots 91–94",
		network.HouseControl: "universe 1, slots 101–106",
	} {
		if got[unit] != want {
			t.Errorf("%s: %s, want %s", unit, got[unit], want)
		}
	}
}

func TestFindings(t *testing.T) {
	has := func(fs []finding.Finding, code string) bool {
		for _, f := range fs {
			if f.Code == code {
				return true
			}
		}
		return false
	}
	many := func(n int, branch string) network.Input {
		in := network.Input{Catalogue: fixtures{"F": 4, "W": 40}, Book: finding.NewBook(), Region: "metric"}
		for i := range n {
			in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: fmt.Sprintf("U%02d", i), Fixture: "F", Branch: branch}, At: geom.Vec{X: float64(i), Z: 5}})
		}
		return in
	}
	for name, tc := range map[string]struct {
		code string
		edit func(*network.Input)
		n    int
	}{
		"overlap of typed addresses": {"NETWORK_ADDRESS_OVERLAP", func(in *network.Input) { in.Placed[0].Address, in.Placed[1].Address = 100, 103 }, 3},
		"address past 512":           {"NETWORK_ADDRESS_CROSSES", func(in *network.Input) { in.Placed[0].Address = 510 }, 3},
		"negative address":           {"NETWORK_ADDRESS_CROSSES", func(in *network.Input) { in.Placed[0].Address = -3 }, 3},
		"21 on one branch":           {"NETWORK_BRANCH_DEVICES", func(*network.Input) {}, 21},
		"33 unit loads":              {"NETWORK_BRANCH_UNIT_LOADS", func(*network.Input) {}, 33},
		"long branch":                {"NETWORK_BRANCH_LENGTH", func(in *network.Input) { in.Placed[0].At.X = 400 }, 3},
		"no spare output":            {"NETWORK_SPARE_OUTPUT", func(in *network.Input) { in.Scheme.Splitter.Outputs = 1 }, 3},
		"few slots left": {"NETWORK_SPARE_SLOTS", func(in *network.Input) {
			for i := range in.Placed {
				in.Placed[i].Fixture = "W"
			}
		}, 10},
		"branch without an end":     {"NETWORK_TERMINATION", func(in *network.Input) { in.Scheme.Branches = []scheme.Branch{{Name: "Z"}} }, 3},
		"splitter place unknown":    {"NETWORK_SPLITTER_ASSUMED", func(*network.Input) {}, 3},
		"unknown fixture":           {"NETWORK_FOOTPRINT_UNKNOWN", func(in *network.Input) { in.Placed[0].Fixture = "?" }, 3},
		"two universes on a branch": {"NETWORK_BRANCH_TWO_UNIVERSES", func(in *network.Input) { in.Placed[0].Address, in.Placed[1].Address, in.Placed[1].Universe = 1, 1, 2 }, 3},
		"label differs": {"NETWORK_PIN_DIFFERS", func(in *network.Input) {
			in.Pins = map[string]network.Address{"U00": {Universe: 1, Start: 7, Slots: 4}}
			in.Placed[0].Address = 9
		}, 3},
		"listed twice": {"NETWORK_UNIT_TWICE", func(in *network.Input) {
			in.Scheme.Branches = []scheme.Branch{{Name: "Y", Units: []string{"U00", "U00"}}}
		}, 3},
	} {
		in := many(tc.n, "X")
		tc.edit(&in)
		_, fs := network.Route(in)
		for _, f := range fs {
			if r := in.Book.Render(f, si.US); strings.ContainsAny(r.Title+r.Text+r.Advice, "{}") {
				t.Errorf("%s: unfilled place in %+v", f.Code, r)
			}
		}
		if !has(fs, tc.code) {
			t.Errorf("%s: no %s among %d findings", name, tc.code, len(fs))
		}
	}
	// Without a fault none of the stops is reported.
	_, fs := network.Route(many(20, "X"))
	if n := finding.Count(fs, finding.Stop); n != 0 || has(fs, "NETWORK_BRANCH_DEVICES") {
		t.Errorf("faultless branch of 20: %+v", fs)
	}
}

// Published small case: open Manhattan path from the first of six points.
func TestOpenPathKnownLengths(t *testing.T) {
	start := geom.Vec{}
	pts := []geom.Vec{{X: 6, Y: 1}, {X: 3, Y: 4}, {X: 9, Y: 5}, {X: 1, Y: 7}, {X: 7, Y: 8}}
	order, m := network.OpenPath(start, pts)
	if math.Abs(m-30) > lengthTolM || len(order) != 5 {
		t.Errorf("length %v order %v, want 30", m, order)
	}
	for _, tc := range []struct {
		name string
		pts  []geom.Vec
		want float64
	}{
		{"none", nil, 0},
		{"coincident", []geom.Vec{{X: 2}, {X: 2}, {X: 2}}, 2},
		{"no number", []geom.Vec{{X: math.NaN()}, {X: 3}, {Y: math.NaN(), X: 3}}, 3},
		{"on the start", []geom.Vec{{}}, 0},
		{"collinear, start in the middle", []geom.Vec{{X: -1}, {X: 5}}, 7},
	} {
		if _, got := network.OpenPath(start, tc.pts); math.Abs(got-tc.want) > lengthTolM {
			t.Errorf("%s: %v, want %v", tc.name, got, tc.want)
		}
	}
}

// shortest tries every order: a second method for the same number.
func shortest(at geom.Vec, left []geom.Vec) float64 {
	if len(left) == 0 {
		return 0
	}
	best := math.Inf(1)
	for i, p := range left {
		rest := append(append([]geom.Vec(nil), left[:i]...), left[i+1:]...)
		best = min(best, network.Manhattan(at, p)+shortest(p, rest))
	}
	return best
}

func point() *rapid.Generator[geom.Vec] {
	return rapid.Custom(func(t *rapid.T) geom.Vec {
		f := rapid.Float64Range(-30, 30)
		return geom.Vec{X: f.Draw(t, "x"), Y: f.Draw(t, "y"), Z: f.Draw(t, "z")}
	})
}

// vec also draws coordinates that are no place at all.
func vec() *rapid.Generator[geom.Vec] {
	return rapid.Custom(func(t *rapid.T) geom.Vec {
		f := rapid.OneOf(rapid.Float64Range(-30, 30), rapid.SampledFrom([]float64{0, 5, math.NaN(), math.Inf(1), -1e300}))
		return geom.Vec{X: f.Draw(t, "x"), Y: f.Draw(t, "y"), Z: f.Draw(t, "z")}
	})
}

func TestOpenPathIsTheShortest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := rapid.SliceOfN(point(), 0, 6).Draw(t, "points")
		start := point().Draw(t, "start")
		_, got := network.OpenPath(start, pts)
		if want := shortest(start, pts); math.Abs(got-want) > lengthTolM {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}

func TestOpenPathVisitsEveryPointOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pts := rapid.SliceOfN(vec(), 0, 40).Draw(t, "points")
		order, _ := network.OpenPath(geom.Vec{}, pts)
		seen := make([]bool, len(pts))
		for _, i := range order {
			if seen[i] {
				t.Fatalf("point %d twice", i)
			}
			seen[i] = true
		}
		if len(order) != len(pts) {
			t.Fatalf("%d of %d points", len(order), len(pts))
		}
	})
}

// church draws any document a person could save: names that repeat, no lines,
// odd heights, pins and typed addresses.
func church() *rapid.Generator[network.Input] {
	return rapid.Custom(func(t *rapid.T) network.Input {
		in := network.Input{Catalogue: fixtures{"a": 1, "b": 4, "c": 20, "d": 0, "e": 64}, Book: finding.NewBook(), Region: rapid.SampledFrom([]string{"us", "metric"}).Draw(t, "region")}
		lines := []string{"", "L1", "L2", "L3", "L4"}
		for _, l := range lines[1:rapid.IntRange(1, 5).Draw(t, "lines")] {
			in.Room.Lines = append(in.Room.Lines, room.Line{Name: l, Kind: rapid.SampledFrom([]string{"beam", "pier", "pipe", "wall"}).Draw(t, "kind"), From: vec().Draw(t, "from"), To: vec().Draw(t, "to")})
		}
		for i := range rapid.IntRange(0, 60).Draw(t, "units") {
			in.Placed = append(in.Placed, scheme.Placed{
				Unit: scheme.Unit{ID: fmt.Sprintf("U%d", i), Fixture: rapid.SampledFrom([]string{"a", "b", "c", "e"}).Draw(t, "code"),
					Line: rapid.SampledFrom(lines).Draw(t, "line"), Branch: rapid.SampledFrom([]string{"", "", "", "X", "Y"}).Draw(t, "branch"),
					Purpose: rapid.SampledFrom([]scheme.Purpose{scheme.FrontWash, scheme.HouseLight}).Draw(t, "purpose")},
				At: vec().Draw(t, "at")})
		}
		in.Brief.House.Slots = rapid.IntRange(0, 40).Draw(t, "house")
		return in
	})
}

func overlap(as []network.Address) string {
	owner := map[[2]int]string{}
	for _, a := range as {
		for s := a.Start; s <= a.End; s++ {
			if o := owner[[2]int{a.Universe, s}]; o != "" {
				return fmt.Sprintf("%s and %s on slot %d", o, a.Unit, s)
			}
			owner[[2]int{a.Universe, s}] = a.Unit
		}
		if a.Start < 1 || a.End > 512 {
			return a.Unit + " leaves the universe"
		}
	}
	return ""
}

func TestEveryUnitOnceAndNoOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := church().Draw(t, "church")
		p, _ := network.Route(in)
		if s := overlap(p.Addresses); s != "" {
			t.Fatal(s)
		}
		if !(p.TotalCableM >= 0 && p.TotalCableM < 1e9) {
			t.Fatalf("total %v m", p.TotalCableM)
		}
		count := map[string]int{}
		branchOf := map[string]string{}
		for _, b := range p.Branches {
			for _, u := range b.Units {
				count[u]++
				branchOf[u] = b.Name
			}
		}
		for _, u := range in.Placed {
			if count[u.ID] != 1 {
				t.Fatalf("%s on %d branches", u.ID, count[u.ID])
			}
		}
		universe := map[string]int{}
		for _, a := range p.Addresses {
			if u, ok := universe[branchOf[a.Unit]]; ok && u != a.Universe {
				t.Fatalf("branch %s carries two universes", branchOf[a.Unit])
			}
			universe[branchOf[a.Unit]] = a.Universe
		}
	})
}

func TestPinnedAddressesNeverMove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := church().Draw(t, "church")
		first, _ := network.Route(in)
		in.Pins = map[string]network.Address{}
		for _, a := range first.Addresses {
			in.Pins[a.Unit] = a
		}
		for i := range rapid.IntRange(1, 10).Draw(t, "more") {
			in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: fmt.Sprintf("N%d", i), Fixture: "b", Line: "L1"}, At: vec().Draw(t, "at")})
		}
		if rapid.Bool().Draw(t, "drop one") && len(in.Placed) > 1 {
			in.Placed = in.Placed[1:]
		}
		second, _ := network.Route(in)
		for _, a := range second.Addresses {
			if p, ok := in.Pins[a.Unit]; ok && (p.Start != a.Start || p.Universe != a.Universe || !a.Pinned) {
				t.Fatalf("%s moved from %v to %v", a.Unit, p, a)
			}
		}
		if s := overlap(second.Addresses); s != "" {
			t.Fatal(s)
		}
	})
}

func TestLengthGrowsWithDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := meetingHouse()
		before, _ := network.Route(in)
		away := rapid.Float64Range(0, 50).Draw(t, "farther")
		in.Scheme.Splitter.Y = si.Known(ft(-38) - si.Length(away))
		after, _ := network.Route(in)
		if d := after.TotalCableM - before.TotalCableM; math.Abs(d-4*away-houseShare(before, after)) > 1e-6 {
			t.Fatalf("total grew by %v for %v m of distance on four branches", d, away)
		}
	})
}

// houseShare is what the house branch alone grew by: without a surveyed panel
// its control is taken to stand at the splitter, wherever that is.
func houseShare(a, b network.Plan) float64 {
	n := len(a.Branches) - 1
	return b.Branches[n].LengthM - a.Branches[n].LengthM
}

func ExampleOpenPath() {
	order, m := network.OpenPath(geom.Vec{}, []geom.Vec{{X: 8}, {X: 2}, {X: 5, Y: 1}})
	fmt.Printf("%v, %.0f m\n", order, m)
	// Output: [1 2 0], 10 m
}

func BenchmarkRoute(b *testing.B) {
	in := designed()
	for b.Loop() {
		network.Route(in)
	}
}
