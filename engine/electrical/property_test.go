package electrical

import (
	"math"
	"sort"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

var book = finding.NewBook()

// pack is sharedOut for load and count alone.
func pack(us []unitLoad, capVA float64, most int) [][]unitLoad {
	bins, _ := sharedOut(us, limits{va: capVA, inrushA: math.Inf(1), most: max(1, most)}, nil, nil)
	return bins
}

func drawUnits(t *rapid.T, n int) []unitLoad {
	var us []unitLoad
	for i := range n {
		us = append(us, unitLoad{name: string(rune('a' + i)), va: rapid.Float64Range(1, 600).Draw(t, "va"),
			Placed: scheme.Placed{Unit: scheme.Unit{Zone: rapid.SampledFrom([]string{"", "p", "q"}).Draw(t, "zone")}}})
	}
	return us
}

// No bin passes its capacity but by a unit that alone passes it, and no unit is
// lost or doubled.
func TestPackKeepsEveryLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		us := drawUnits(t, rapid.IntRange(0, 26).Draw(t, "n"))
		cap := rapid.Float64Range(100, 2000).Draw(t, "capacity")
		most := rapid.IntRange(1, 12).Draw(t, "most")
		seen := map[string]int{}
		for _, b := range pack(us, cap, most) {
			sum := 0.0
			for _, u := range b {
				sum += u.va
				seen[u.name]++
			}
			if len(b) > most || (len(b) > 1 && sum > cap*(1+1e-6)) || len(b) == 0 {
				t.Fatalf("bin of %d with %v of %v", len(b), sum, cap)
			}
		}
		for _, u := range us {
			if seen[u.name] != 1 {
				t.Fatalf("unit %s %d times", u.name, seen[u.name])
			}
		}
	})
}

// The bins are as few as an exhaustive search finds, to within the first-fit
// decreasing bound 11/9·best + 6/9 (Dósa, 2007), and never below the volume.
func TestPackAgainstExhaustiveSearch(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		us := drawUnits(t, rapid.IntRange(1, 7).Draw(t, "n"))
		const cap = 700
		best := fewest(us, cap)
		got := len(pack(us, cap, 99))
		if got < best || float64(got) > 11.0/9*float64(best)+6.0/9 {
			t.Fatalf("%d bins, best %d", got, best)
		}
	})
}

func fewest(us []unitLoad, cap float64) int {
	best := len(us)
	sums := []float64{}
	var try func(int)
	try = func(i int) {
		if len(sums) >= best && i < len(us) {
			return
		}
		if i == len(us) {
			best = min(best, len(sums))
			return
		}
		for j := range sums {
			if sums[j]+us[i].va <= cap {
				sums[j] += us[i].va
				try(i + 1)
				sums[j] -= us[i].va
			}
		}
		sums = append(sums, us[i].va)
		try(i + 1)
		sums = sums[:len(sums)-1]
	}
	try(0)
	return best
}

// More load, or a longer run, never asks a smaller breaker or a thinner conductor.
func TestMoreLoadNeverThinner(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(region.Profiles()).Draw(t, "profile")
		volts := rapid.SampledFrom([]float64{100, 120, 230, 240}).Draw(t, "volts")
		a := rapid.Float64Range(0.1, 60).Draw(t, "current")
		more := a + rapid.Float64Range(0, 30).Draw(t, "more")
		l := rapid.Float64Range(1, 80).Draw(t, "length")
		longer := l + rapid.Float64Range(0, 40).Draw(t, "longer")
		n := rapid.IntRange(1, 5).Draw(t, "together")
		b0, b1 := breakerFor(p, a, 70), breakerFor(p, more, 70)
		if b0 > 0 && b1 > 0 && b1 < b0 {
			t.Fatalf("breaker %v then %v", b0, b1)
		}
		if b0 > 0 && b0 < a*p.ContinuousFactor*(1-1e-6) {
			t.Fatalf("%v A on %v A", a, b0)
		}
		if b1 == 0 {
			return
		}
		heat, c0, ok0 := conductorFor(p, b0, n, a*l, volts, .95)
		_, c1, ok1 := conductorFor(p, b1, n, more*longer, volts, .95)
		if ok1 && (!ok0 || c1.AreaMM2 < c0.AreaMM2) {
			t.Fatalf("%s then %s", c0.Name, c1.Name)
		}
		if ok0 {
			count := n
			if p.GroupingPer == "conductors" {
				count = 2 * n
			}
			if p.Ampacity(c0, planAmbientC, count, false) < b0 || a*l*c0.Loop(false, .95)/volts*100 > p.VoltageDropPct || heat.AreaMM2 > c0.AreaMM2 {
				t.Fatalf("%s on %v A over %v m", c0.Name, b0, l)
			}
			if g, ok := p.Ground(b0, heat, c0); !ok || g.AreaMM2 > c0.AreaMM2 {
				t.Fatalf("ground %q of %q", g.Name, c0.Name)
			}
		}
	})
}

// Sharing over two legs is never worse than a second method: the subset of the
// loads whose sum comes nearest to half, found by its own search.
func TestShareIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		va := rapid.SliceOfN(rapid.Float64Range(50, 2000), 1, 8).Draw(t, "va")
		sys, _ := systemFrom(survey.Supply{System: "single_phase_3w", Voltage: si.Known(si.Voltage(120)), Frequency: 60}, region.Profiles()[0], book)
		legs := sys.share(va, make([]string, len(va)), tally{}, tally{}, 0)
		diff := 0.0
		for i, l := range legs {
			if l == "L1" {
				diff += va[i]
			} else {
				diff -= va[i]
			}
		}
		best := math.Inf(1)
		for m := 0; m < 1<<len(va); m++ {
			d := 0.0
			for i := range va {
				if m>>i&1 == 1 {
					d += va[i]
				} else {
					d -= va[i]
				}
			}
			best = math.Min(best, math.Abs(d))
		}
		if math.Abs(diff) > best+1e-6 {
			t.Fatalf("difference %v, best %v", math.Abs(diff), best)
		}
	})
}

func TestManyCircuitsAreSharedWithinOneOfThem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		va := rapid.SliceOfN(rapid.Float64Range(50, 2000), 13, 40).Draw(t, "va")
		sys, _ := systemFrom(survey.Supply{System: "three_phase_4w", Voltage: si.Known(si.Voltage(230)), Frequency: 50}, region.Profiles()[0], book)
		var sum tally
		for i, l := range sys.share(va, make([]string, len(va)), tally{}, tally{}, 0) {
			sum = sum.plus(sys.on(l, va[i]))
		}
		high, low, _ := extremes(sys.current(sum))
		sort.Float64s(va)
		if high-low > va[len(va)-1]/230+1e-9 {
			t.Fatalf("spread %v A with a largest circuit of %v A", high-low, va[len(va)-1]/230)
		}
	})
}

// Turning a circuit round or mirroring the room changes no length.
func TestRouteIsMirrorSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ps, mirror []place
		for range rapid.IntRange(1, 8).Draw(t, "n") {
			p := place{Outlet: Outlet{X: rapid.Float64Range(-9, 9).Draw(t, "x"), Y: 3, Z: 5}, va: 100}
			ps = append(ps, p)
			p.X = -p.X
			mirror = append(mirror, p)
		}
		byX := func(v []place) { sort.Slice(v, func(i, j int) bool { return v[i].X < v[j].X }) }
		byX(ps)
		byX(mirror)
		_, a := routed(at(4, -10, 1), ps)
		_, b := routed(at(-4, -10, 1), mirror)
		if math.Abs(a-b) > 1e-9 {
			t.Fatalf("%v and %v m", a, b)
		}
	})
}

func drawInput(t *rapid.T) Input {
	num := func(name string) float64 {
		return rapid.SampledFrom([]float64{0, 1, -3, 12.5, 120, 230, 1e9, math.NaN(), math.Inf(1)}).Draw(t, name)
	}
	word := func(name string, words ...string) string { return rapid.SampledFrom(words).Draw(t, name) }
	in := Input{Catalogue: fixtures, Profile: rapid.SampledFrom(append(region.Profiles(), region.Profile{})).Draw(t, "profile"), Book: book}
	in.Room.Lines = []room.Line{{Name: "W", From: geom.Vec{X: num("x0")}, To: geom.Vec{X: num("x1")}, Drop: si.Length(num("drop")), SigmaZ: si.Length(num("sz"))}}
	if rapid.Bool().Draw(t, "footprint") {
		in.Room.Footprint = geom.Polygon{{X: num("fx"), Y: 2}, {X: 4, Y: num("fy")}}
	}
	for range rapid.IntRange(0, 14).Draw(t, "units") {
		in.Placed = append(in.Placed, scheme.Placed{Unit: scheme.Unit{ID: word("id", "", "a", "b", "c"), Fixture: word("fx", "T-FRE", "T-LMP", "T-BCK", "?"),
			Line: word("line", "", "W", "V"), Circuit: word("circuit", "", "", "C", "D"), Phase: word("phase", "", "A", "B"), Zone: word("zone", "", "z")},
			At: geom.Vec{X: num("ux"), Y: num("uy"), Z: num("uz")}})
	}
	in.Scheme.HouseStep = word("house", "", "A", "C")
	in.Scheme.Circuits = []scheme.CircuitChoice{{Name: "C", Leg: word("leg", "", "L1", "L2", "L3", "L1-L2", "L3-L1", "N"), Panel: word("panel", "", "P", "Q", "cab")}}
	s := &in.Survey
	s.Supply = survey.Supply{System: word("system", "", "single_phase_2w", "single_phase_3w", "three_phase_4w", "three_phase_3w", "odd"),
		Voltage: survey.Supply{}.Voltage, Frequency: num("hz"), Reading: word("reading", "", "spot", "twelve_months")}
	if rapid.Bool().Draw(t, "voltage known") {
		s.Supply.Voltage = si.Known(si.Voltage(num("v")))
		s.Supply.VoltageLL = si.Known(si.Voltage(num("vll")))
		s.Supply.Main = si.Known(si.Current(num("main")))
		s.Supply.RCD = si.Known(si.Current(num("rcd")))
	}
	for range rapid.IntRange(0, 3).Draw(t, "standing") {
		st := survey.StandingLoad{Name: word("sname", "", "heat", "urn"), Leg: word("sleg", "", "L1", "L3", "L1-L2", "Q", "x"), PF: num("pf"),
			Interlock: word("lock", "", "g"), Sheddable: rapid.Bool().Draw(t, "shed"), Scenarios: rapid.SampledFrom([][]string{nil, {"winter"}, {"summer"}, {" "}, {"winter", "summer"}}).Draw(t, "scenarios")}
		if rapid.Bool().Draw(t, "by current") {
			st.Current = si.Known(si.Current(num("sa")))
		} else {
			st.Power = si.Known(si.Power(num("sw")))
		}
		s.Supply.Standing = append(s.Supply.Standing, st)
	}
	for range rapid.IntRange(0, 3).Draw(t, "old") {
		s.ExistingUnit = append(s.ExistingUnit, survey.ExistingLight{Name: word("oname", "", "x"), Kind: word("kind", "house", "exit", ""),
			Count: rapid.IntRange(-2, 9).Draw(t, "count"), Watts: si.Known(si.Power(num("ow"))), Dimmer: word("dim", "", "D1"),
			Fate: word("fate", "", "keep", "remove", "relamp", "replace"), LampCode: word("lamp", "", "T-LMP"), Phase: word("ophase", "", "A", "Z"), Voltage: si.Known(si.Voltage(num("ov")))})
	}
	s.Dimmers = []survey.Dimmer{{Channel: "D1", Cabinet: "cab", Rating: si.Known(si.Power(num("dr"))), Minimum: si.Known(si.Power(num("dm"))), Leg: "L1"}}
	s.Panels = []survey.Panel{{Name: "P", Rating: si.Known(si.Current(num("pr"))), Spaces: rapid.IntRange(-1, 12).Draw(t, "spaces"),
		SpacesUsed: rapid.IntRange(-1, 14).Draw(t, "used"), ClearDepth: si.Known(si.Length(num("depth")))},
		{Name: "Q", Poles: 1, Rating: si.Known(si.Current(num("qr")))}}
	s.Supply.LoopOhm, s.Supply.DemandPF, s.Supply.Demand = num("ze"), num("demand pf"), si.Known(si.Power(num("demand")))
	s.Panels[0].Feeder = si.Known(si.Current(num("feeder")))
	for range rapid.IntRange(0, 2).Draw(t, "ways") {
		s.Panels[0].Ways = append(s.Panels[0].Ways, survey.PanelWay{Space: rapid.IntRange(-2, 9).Draw(t, "space"), Rating: si.Known(si.Current(num("way a"))),
			Poles: rapid.IntRange(-1, 4).Draw(t, "poles"), Load: si.Known(si.Current(num("way load"))), Leg: word("way leg", "", "L1", "x")})
	}
	for range rapid.IntRange(0, 2).Draw(t, "controls") {
		s.OldControls = append(s.OldControls, survey.OldControl{Name: word("control", "", "f1"), Channel: word("works", "", "D1", "D9"),
			Lights: []string{word("light", "", "x")}, Decision: word("decision", "", "keep")})
	}
	for i := range s.ExistingUnit {
		s.ExistingUnit[i].Clearance, s.ExistingUnit[i].ClearanceMarked = si.Known(si.Length(num("clear"))), si.Known(si.Length(num("marked")))
		s.ExistingUnit[i].LampLifeH = num("life")
	}
	in.Brief.House = brief.House{DimBy: word("dim by", "", "dmx", "none"), TargetLx: si.Known(si.Illuminance(num("house lx")))}
	in.Brief.Money = brief.Money{HoursPerWeek: num("hours"), EnergyMinorPerKWh: 18, DiscountPct: num("discount"), EnergyRisePct: num("rise")}
	in.Brief.Limits = brief.Limits{PlanLoadPct: num("plan"), SpareCircuitPct: num("spare")}
	return in
}

// On any document Design answers without panic, the same twice, with every unit
// of the catalogue on exactly one circuit and no automatic circuit over plan
// unless one unit alone passes it.
func TestDesignOnAnyDocument(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawInput(t)
		p, fs := Design(in)
		q, gs := Design(in)
		if len(p.Circuits) != len(q.Circuits) || len(fs) != len(gs) {
			t.Fatal("not the same twice")
		}
		for i := range fs {
			if fs[i].Key != gs[i].Key || fs[i].Fingerprint != gs[i].Fingerprint {
				t.Fatalf("finding %d differs", i)
			}
			book.Render(fs[i], si.US)
		}
		want := 0
		for _, u := range in.Placed {
			if u.Fixture == "T-FRE" || u.Fixture == "T-BCK" {
				want++
			}
		}
		got := 0
		for _, c := range p.Circuits {
			got += len(c.Units)
			if math.IsNaN(c.CurrentA) || c.CurrentA < 0 || c.Leg == "" && !c.Existing {
				t.Fatalf("%+v", c)
			}
		}
		limits := in.Profile
		if limits.ID == "" {
			limits, _ = region.Get("metric")
		}
		for _, c := range p.Circuits {
			if c.Name != "C" && c.Name != "D" && !c.Existing && len(c.Units) > 1 && c.UsePct > planPct(in.Brief.Limits, limits)*(1+1e-6) {
				t.Fatalf("%s: %v %% used", c.Name, c.UsePct)
			}
			if c.DropPct > limits.VoltageDropPct*(1+1e-6) {
				t.Fatalf("%s: drop %v %%", c.Name, c.DropPct)
			}
			if c.Conductor != "" && (c.Ground == "" || len(c.Units) > 0 && len(c.Places) == 0) {
				t.Fatalf("%+v", c)
			}
		}
		if got != want {
			t.Fatalf("%d units on circuits, %d placed", got, want)
		}
		for _, s := range p.Steps {
			for _, l := range s.Legs {
				if math.IsNaN(l.CurrentA) || l.CurrentA < 0 || (s.Allowed && l.CurrentA > l.LimitA*(1+1e-6)) {
					t.Fatalf("%+v", s)
				}
			}
		}
	})
}

func BenchmarkDesign(b *testing.B) {
	in := meetingHouse(b)
	for b.Loop() {
		Design(in)
	}
}

func BenchmarkShareTwelveOverThree(b *testing.B) {
	sys, _ := systemFrom(survey.Supply{System: "three_phase_3w", Voltage: si.Known(si.Voltage(230))}, region.Profiles()[0], book)
	va := []float64{900, 850, 820, 700, 650, 600, 590, 480, 400, 310, 200, 120}
	for b.Loop() {
		sys.share(va, make([]string, len(va)), tally{}, tally{}, 50)
	}
}
