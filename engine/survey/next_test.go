package survey

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/geom"
)

// plainRoom is a room of 12 by 8 m, A fixed, B on the x axis, measured round and
// along one diagonal: nothing checks it.
func plainRoom() *net {
	n := newNet()
	n.fixed("A", 0, 0, 0)
	n.point(Point{Name: "B", Fixed: [3]bool{false, true, true}, Near: [3]bool{true}, NearAt: geom.Vec{X: 12}})
	n.near("C", 12, 8)
	n.near("D", 0, 8)
	const sigma = .003
	n.obs(Distance, "A", "B", 12, sigma)
	n.obs(Distance, "B", "C", 8, sigma)
	n.obs(Distance, "C", "D", 12, sigma)
	n.obs(Distance, "D", "A", 8, sigma)
	n.obs(Distance, "A", "C", math.Hypot(12, 8), sigma)
	return n
}

// Which measurement is worth most, worked by hand: trace and determinant of the
// covariance after each. Source: the sequential update Q' = Q − Qa(Qa)ᵀ/(σ²+aᵀQa).
func TestNextMeasurementOfAPlainRoom(t *testing.T) {
	n := plainRoom()
	s := mustAdjust(t, n.Network, Options{})
	for i, want := range map[string]float64{"Bx": 3, "Cx": 4.1231, "Cy": 3, "Dx": 5.0990, "Dy": 3} {
		p := s.Points[n.index[i[:1]]].Sigma()
		near(t, "σ "+i, coord(p, int(i[1]-'x'))*1e3, want, 6e-5)
	}
	var quantities []Quantity
	for _, q := range s.Coordinates() {
		q.Wanted = .001 // so that Gain is the drop of the trace in mm²
		quantities = append(quantities, q)
	}
	ranked := s.RankNext(quantities, s.Pairs(.003, 100))
	want := map[string]struct{ leverage, drop, ratio float64 }{
		"B–D": {3, 21.5, .25}, "A–C": {1, 13, .5}, "B–C": {1, 8.5, .5}, "A–B": {1, 4.5, .5}, "C–D": {1, 4.5, .5}, "A–D": {1, 4.5, .5}}
	if len(ranked) != len(want) {
		t.Fatalf("%d candidates ranked", len(ranked))
	}
	for _, r := range ranked {
		w := want[r.From+"–"+r.To]
		near(t, r.From+r.To+" aᵀQa/σ²", r.Leverage, w.leverage, 1e-6)
		near(t, r.From+r.To+" drop of the trace", r.Gain, w.drop, 1e-6)
		near(t, r.From+r.To+" ratio of the determinants", 1/(1+r.Leverage), w.ratio, 1e-6)
	}
	if ranked[0].From != "B" || ranked[0].To != "D" {
		t.Errorf("first is %s – %s, want the second diagonal", ranked[0].From, ranked[0].To)
	}
	// It also lifts the redundancy from 0 to 1.
	if s.Redundancy != 0 {
		t.Errorf("redundancy %d", s.Redundancy)
	}
}

// Minutes of work count: of two that narrow alike the quicker comes first, and one
// that narrows a little more but takes four times as long comes last.
func TestNextCountsTheWork(t *testing.T) {
	s := mustAdjust(t, plainRoom().Network, Options{})
	between := func(name string, minutes, sigma float64, from, to int) Candidate {
		return Candidate{Kind: Distance, From: "A", To: name, Minutes: minutes, Sigma: sigma, Measures: Measured(Observation{Kind: Distance, From: from, At: -1, To: to})}
	}
	ranked := s.RankNext(s.Coordinates(), []Candidate{between("careful", 12, .002, 1, 3), between("slow", 6, .003, 1, 3), between("quick", 3, .003, 1, 3)})
	if len(ranked) != 3 || ranked[0].To != "quick" || ranked[1].To != "slow" || ranked[2].To != "careful" || ranked[2].Gain <= ranked[0].Gain {
		t.Errorf("%+v", ranked)
	}
	for _, r := range ranked {
		near(t, "rate", r.Rate*r.Minutes, r.Gain, 1e-12)
		for _, e := range r.Effects {
			if e.After >= e.Before {
				t.Errorf("%s: %v → %v", e.Quantity, e.Before, e.After)
			}
		}
	}
}

// Nobody climbs: between two points out of reach nothing is proposed.
func TestPairsAreTakenFromTheFloor(t *testing.T) {
	r := randomRoom(5, 0)
	s := mustAdjust(t, r.Network, Options{})
	high := func(name string) bool { return r.at[r.index[name]].Z > 2 }
	n := 0
	for _, c := range s.Pairs(.003, 500) {
		n++
		if c.Kind == Distance && high(c.From) && high(c.To) {
			t.Errorf("%s – %s lie both out of reach", c.From, c.To)
		}
	}
	if n == 0 {
		t.Error("nothing is proposed")
	}
}

// What the closed form promises is what solving again gives.
func TestPromisesAreKept(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := randomRoom(rapid.Uint64().Draw(rt, "seed"), 0)
		s, err := Adjust(r.Network, Options{KeepAll: true})
		if err != nil {
			rt.Fatal(err)
		}
		quantities := append(s.Coordinates(), Quantity{Name: "elevation", Unit: "rad", Wanted: .01, Points: []int{4, 8}, Of: func(at []geom.Vec) float64 {
			d := at[0].Sub(at[1])
			return math.Atan2(d.Z, d.Plan().Norm())
		}})
		candidates := s.Pairs(.003, 500)
		c := candidates[rapid.IntRange(0, len(candidates)-1).Draw(rt, "candidate")]
		ranked := s.RankNext(quantities, []Candidate{c})
		if len(ranked) == 0 {
			return
		}
		o := Observation{ID: "new", Kind: c.Kind, From: -1, At: -1, To: r.index[c.To], Sigma: c.Sigma}
		if c.From != "" {
			o.From = r.index[c.From]
		}
		o.Value, _ = o.predict(r.at, geom.Vec{}, nil)
		again, err := Adjust(Network{r.Points, append(append([]Observation(nil), r.Observations...), o)}, Options{KeepAll: true})
		if err != nil {
			rt.Fatal(err)
		}
		for _, e := range ranked[0].Effects {
			for _, q := range quantities {
				if q.Name != e.Quantity {
					continue
				}
				if _, sigma := again.SigmaOf(q); math.Abs(sigma-e.After) > 1e-6*e.Before {
					rt.Fatalf("%s by %s: promised %g, got %g (before %g)", q.Name, c.Ask, e.After, sigma, e.Before)
				}
			}
		}
	})
}

// A net that is not determined names its loose stations, their directions, and
// what would fix each.
func TestLoosenessNamesFixes(t *testing.T) {
	n := newNet()
	n.fixed("A", 0, 0, 0)
	n.fixed("E", 3, 9, 0)
	n.near("B", 5, 0)
	n.point(Point{Name: "C", Near: [3]bool{true, true, true}, NearAt: geom.Vec{X: 4, Y: 4, Z: 5}})
	n.obs(Distance, "A", "B", 5, .01)
	n.obs(Distance, "A", "C", math.Sqrt(57), .01)
	n.obs(Distance, "E", "C", math.Sqrt(1+25+25), .01)
	s := mustAdjust(t, n.Network, Options{})
	loose := s.Looseness(10)
	if len(loose) != 2 {
		t.Fatalf("loose %+v", loose)
	}
	b, c := loose[0], loose[1]
	if b.Point != "B" || strings.Join(b.Words(), " ") != "y" {
		t.Errorf("B moves in %v", b.Words())
	}
	found := false
	for _, f := range b.Fixes {
		found = found || f.Kind == Distance && f.From == "E" && f.Remaining == 0
		if f.Kind == OffsetX || f.Kind == Height || f.From == "A" {
			t.Errorf("%+v cannot hold B in y", f)
		}
	}
	if !found || b.Fixes[0].Remaining != 0 {
		t.Errorf("fixes of B %+v lack the distance to E", b.Fixes)
	}
	if len(c.Directions) != 1 || len(c.Fixes) == 0 {
		t.Errorf("C %+v: one direction, round the line A – E", c)
	}
	// Each fix does what it says.
	for _, l := range loose {
		for _, f := range l.Fixes {
			o := Observation{ID: "fix", Kind: f.Kind, From: -1, At: -1, To: n.index[f.To], Sigma: .01}
			if f.From != "" {
				o.From = n.index[f.From]
			}
			at := []geom.Vec{}
			for _, p := range s.Points {
				at = append(at, p.At)
			}
			o.Value, _ = o.predict(at, geom.Vec{}, nil)
			again := mustAdjust(t, Network{n.Points, append(append([]Observation(nil), n.Observations...), o)}, Options{})
			left := 0
			for _, x := range again.Looseness(10) {
				if x.Point == l.Point {
					left = len(x.Directions)
				}
			}
			if left != f.Remaining {
				t.Errorf("%s: %+v leaves %d", l.Point, f, left)
			}
		}
	}
}

func TestNothingFixedAtAll(t *testing.T) {
	n := newNet()
	floor := [3]bool{false, false, true}
	for i, p := range []string{"a", "b", "c"} {
		n.point(Point{Name: p, Fixed: floor, Near: [3]bool{true, true}, NearAt: geom.Vec{X: float64(3 * i), Y: float64(i % 2 * 4)}})
	}
	n.obs(Distance, "a", "b", 5, .01)
	n.obs(Distance, "b", "c", 5, .01)
	n.obs(Distance, "a", "c", 6, .01)
	s := mustAdjust(t, n.Network, Options{})
	loose := s.Looseness(10)
	if len(loose) != 3 || s.Rank != 3 || s.Unknowns != 6 {
		t.Errorf("rank %d of %d, loose %+v", s.Rank, s.Unknowns, loose)
	}
	for _, l := range loose {
		if len(l.Directions) != 2 || len(l.Fixes) == 0 || l.Fixes[0].Remaining != 1 {
			t.Errorf("%+v: offsets each take one direction", l)
		}
	}
}

func ExampleSolution_RankNext() {
	s, _ := Adjust(plainRoom().Network, Options{})
	best := s.RankNext(s.Coordinates(), s.Pairs(0.003, 100))[0]
	fmt.Println(best.Ask)
	e := best.Effects[0]
	fmt.Printf("%s: ± %.1f mm → ± %.1f mm\n", e.Quantity, e.Before*1e3, e.After*1e3)
	// Output:
	// Measure the distance from B to D.
	// x of D: ± 5.1 mm → ± 3.6 mm
}
