package survey

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// full tells whether the long versions of the random tests are wanted.
func full() bool { return os.Getenv("ROODBEAM_FULL") == "1" }

// runs returns how many random rooms a test tries.
func runs(short, long int) int {
	if full() {
		return long
	}
	return short
}

// trueRoom is a random room with its true corners, eight of a box that is not
// quite square, and a mark on the floor.
type trueRoom struct {
	*net
	at  []geom.Vec
	rnd *rand.Rand
}

// randomRoom measures a random room: all sides and diagonals less some, the
// heights of the upper corners, levels and offsets, with normal errors of the
// stated standard deviations where noise is 1.
func randomRoom(seed uint64, noise float64) *trueRoom {
	r := &trueRoom{net: newNet(), rnd: rand.New(rand.NewPCG(seed, 20261125))}
	u := func(a, b float64) float64 { return a + (b-a)*r.rnd.Float64() }
	w, l, h := u(6, 25), u(8, 40), u(3, 12)
	skew := func() float64 { return u(-.3, .3) }
	r.at = []geom.Vec{{X: -w / 2}, {X: w / 2}, {X: w/2 + skew(), Y: -l + skew()}, {X: -w/2 + skew(), Y: -l + skew()}}
	for i := range 4 {
		r.at = append(r.at, r.at[i].Add(geom.Vec{X: skew(), Y: skew(), Z: h + skew()}))
	}
	r.at = append(r.at, geom.Vec{X: u(-w/3, w/3), Y: u(-l*.8, -l*.2)})
	r.fixed("p0", r.at[0].X, 0, 0)
	r.point(Point{Name: "p1", Fixed: [3]bool{false, true, true}, Near: [3]bool{true}, NearAt: r.at[1]})
	for i := 2; i < len(r.at); i++ {
		near := r.at[i].Add(geom.Vec{X: u(-.3, .3), Y: u(-.3, .3)})
		onFloor := i < 4 || i == 8
		r.point(Point{Name: fmt.Sprint("p", i), Fixed: [3]bool{false, false, onFloor}, Near: [3]bool{true, true, !onFloor}, NearAt: near})
	}
	for i := range r.at {
		for k := i + 1; k < len(r.at); k++ {
			if r.rnd.Float64() < .25 && i > 0 {
				continue
			}
			r.take(Observation{Kind: Distance, From: i, At: -1, To: k}, math.Hypot(.002, .0001*r.at[i].Sub(r.at[k]).Norm()), noise)
		}
	}
	for i := 4; i < 8; i++ {
		r.take(Observation{Kind: Height, From: -1, At: -1, To: i}, .003, noise)
		r.take(Observation{Kind: Rise, From: i - 4, At: -1, To: i}, .004, noise)
	}
	for i := 1; i < 4; i++ {
		r.take(Observation{Kind: OffsetX, From: -1, At: -1, To: i}, .004, noise)
	}
	return r
}

// take measures something of the true room.
func (r *trueRoom) take(o Observation, sigma, noise float64) {
	v, _ := o.predict(r.at, geom.Vec{}, nil)
	o.Sigma, o.Value = sigma, v+noise*sigma*r.rnd.NormFloat64()
	o.ID = fmt.Sprintf("%s %d", o.Kind, len(r.Observations))
	r.Observations = append(r.Observations, o)
}

// The true position lies inside the 95 % ellipse in 95 % of rooms. The standard
// error of the share in 2,000 runs is 0.5 %.
func TestEllipseHoldsTheTruth(t *testing.T) {
	const chi2 = 5.991465
	n := runs(2000, 20000)
	inside := 0
	for seed := range uint64(n) {
		r := randomRoom(seed, 1)
		s := mustAdjust(t, r.Network, Options{KeepAll: true})
		i := 2 + int(seed)%(len(r.at)-2)
		d, c := s.Points[i].At.Sub(r.at[i]), s.Points[i].Cov
		det := c[0][0]*c[1][1] - c[0][1]*c[0][1]
		if (d.X*d.X*c[1][1]-2*d.X*d.Y*c[0][1]+d.Y*d.Y*c[0][0])/det <= chi2 {
			inside++
		}
	}
	if share := float64(inside) / float64(n) * 100; math.Abs(share-95) > 2 {
		t.Errorf("inside in %.2f %% of %d rooms, want 95 ± 2", share, n)
	} else {
		t.Logf("inside in %.2f %%", share)
	}
}

// A blunder of 10σ is named first in 95 % of rooms where its redundancy number is
// at least 0.3 and no rival's residual reacts alike by more than 0.8; where one
// does, it is named together with its rivals.
func TestTenSigmaIsNamedFirst(t *testing.T) {
	clear, first, alike, named := 0, 0, 0, 0
	for seed := range uint64(runs(600, 4000)) {
		r := randomRoom(seed, 1)
		clean := mustAdjust(t, r.Network, Options{KeepAll: true})
		i := r.rnd.IntN(len(r.Observations))
		if clean.Results[i].Redundancy < .3 {
			continue
		}
		rho := mostAlike(clean, i)
		sign := 1.0
		if r.rnd.IntN(2) == 0 {
			sign = -1
		}
		r.Observations[i].Value += sign * 10 * r.Observations[i].Sigma
		s := mustAdjust(t, r.Network, Options{})
		if rho <= tieCorrelation {
			clear++
			if len(s.Removed) > 0 && s.Removed[0].Observation == i {
				first++
			}
			continue
		}
		alike++
		for _, g := range append([][]Suspicion{s.Removed}, s.Tied...) {
			for _, x := range g {
				if x.Observation == i {
					named++
				}
			}
		}
	}
	t.Logf("first in %d of %d; with a rival alike named in %d of %d", first, clear, named, alike)
	if clear < 200 || float64(first) < .95*float64(clear) {
		t.Errorf("named first in %d of %d", first, clear)
	}
	if float64(named) < .95*float64(alike) {
		t.Errorf("named together with its rivals in %d of %d", named, alike)
	}
}

// mostAlike returns the largest correlation of an observation's residual with
// another's.
func mostAlike(s Solution, i int) float64 {
	for _, p := range s.state.parts {
		for row, k := range p.active {
			if k != i {
				continue
			}
			most := 0.0
			for other, rho := range p.correlation(row) {
				if other != row {
					most = math.Max(most, rho)
				}
			}
			return most
		}
	}
	return 0
}

// A clean network loses a reading no more often than the test's own rate, and
// three standard errors; so with estimated variance at the usual risk. (At 1 % the
// iterated search with estimated variance loses an eighth more: each reading that
// goes makes s0 smaller for the rest.)
func TestCleanRoomsLoseNothing(t *testing.T) {
	for _, opt := range []Options{{}, {Alpha: .01}, {Estimated: true}, {Estimated: true, Alpha: .05, Bonferroni: true}} {
		alpha := opt.Alpha
		if alpha == 0 {
			alpha = DefaultAlpha
		}
		tests, lost := 0, 0
		for seed := range uint64(runs(400, 4000)) {
			r := randomRoom(seed+1e6, 1)
			s := mustAdjust(t, r.Network, opt)
			tests += len(r.Observations)
			if opt.Bonferroni {
				tests += 1 - len(r.Observations)
			}
			lost += len(s.Removed) + len(s.Tied)
		}
		rate := alpha * float64(tests)
		t.Logf("%+v: %d of %d lost, expected %.0f", opt, lost, tests, rate)
		if float64(lost) > rate+3*math.Sqrt(rate) {
			t.Errorf("%+v: %d of %d lost, expected about %.0f", opt, lost, tests, rate)
		}
	}
}

// planted is a mistake made on a typed text.
type planted struct{ kind, text string }

// write types a length as people do: in sixteenths of an inch, or millimetres as
// metres.
func write(v float64, us bool) string {
	if !us {
		return fmt.Sprintf("%.3f m", v)
	}
	n := int(math.Round(v / .0254 * 16))
	ft, in, frac := n/192, n/16%12, n%16
	if frac == 0 {
		return fmt.Sprintf(`%d' %d"`, ft, in)
	}
	den := 16
	for frac%2 == 0 {
		frac, den = frac/2, den/2
	}
	return fmt.Sprintf(`%d' %d %d/%d"`, ft, in, frac, den)
}

// plantMixed writes feet and inches with a point between them, to the inch.
func plantMixed(v float64) (planted, bool) {
	n := int(math.Round(v / .0254))
	if n/12 == 0 || n%12 == 0 {
		return planted{}, false
	}
	return planted{"inch_foot", fmt.Sprintf("%d.%d ft", n/12, n%12)}, true
}

// plantText makes one mistake on a text; false where it cannot be made.
func plantText(rnd *rand.Rand, v float64, us bool, by Instrument) (planted, bool) {
	text := write(v, us)
	var all []planted
	swapDigits(text, func(kind, _, b string) { all = append(all, planted{kind, b}) })
	digits := all
	all = nil
	sign := float64(2*rnd.IntN(2) - 1)
	if us {
		all = append(all, planted{"foot_slip", write(v+sign*.3048, true)}, planted{"foot_slip", write(v-sign*.3048, true)},
			planted{"unit", fmt.Sprintf(`%.2f"`, v/.3048)}, planted{"unit", fmt.Sprintf("%.2f ft", v)}) // feet as inches, metres as feet
	} else {
		slip := .1 // the next mark of a tape; a laser meter shows its decimetres in digits
		if laser(by) {
			slip = 1
		}
		all = append(all, planted{"metre_slip", write(v+sign, false)}, planted{"metre_slip", write(v+slip*sign, false)},
			planted{"unit", fmt.Sprintf("%.3f m", v/.3048)}, planted{"unit", fmt.Sprintf("%.1f m", v*100)})
	}
	if len(digits) > 0 {
		all = append(all, digits[rnd.IntN(len(digits))], digits[rnd.IntN(len(digits))])
	}
	p := all[rnd.IntN(len(all))]
	l, err := si.ParseLength(p.text, si.Metric)
	return p, err == nil && l > 0
}

// Mistakes planted in the typed text, of at least 10σ, and 4σ with the scatter of
// what the others say, are explained rightly in four of five rooms: all together,
// and each cause by itself.
func TestPlantedMistakesAreExplained(t *testing.T) {
	causes := []string{"foot_slip", "metre_slip", "inch_foot", "unit", "transposed", "six_nine", "laser_end", "wrong_station", "along_slope", "finish"}
	tried, right, taken := map[string]int{}, map[string]int{}, map[string]map[string]int{}
	all, good := 0, 0
	for seed := range uint64(runs(1600, 8000)) {
		r := randomRoom(seed+2e6, 1)
		us := seed%2 == 0
		// Level distances from the floor to the upper corners, which a tape takes along
		// the slope.
		for i := range 4 {
			for k := 4; k < 8; k++ {
				if k != i+4 && r.rnd.Float64() < .5 {
					r.take(Observation{Kind: Horizontal, From: i, At: -1, To: k}, .004, 1)
				}
			}
		}
		for i := range r.Observations {
			o := &r.Observations[i]
			o.Instrument = SteelTape
			if r.rnd.IntN(2) == 0 {
				o.Instrument = Laser
			}
			if o.Kind == OffsetX {
				continue
			}
			l, err := si.ParseLength(write(o.Value, us), si.Metric)
			if err != nil {
				t.Fatal(err)
			}
			o.Typed = L{Text: write(o.Value, us), Value: l, Set: true}
			if us {
				o.Sigma = math.Hypot(o.Sigma, .0254/16/math.Sqrt(12))
			}
			o.Value = float64(l)
		}
		clean := mustAdjust(t, r.Network, Options{KeepAll: true})
		i := r.rnd.IntN(len(r.Observations))
		o := &r.Observations[i]
		if o.Kind == OffsetX || clean.Results[i].Redundancy < .3 || mostAlike(clean, i) > tieCorrelation {
			continue
		}
		sign := float64(2*r.rnd.IntN(2) - 1)
		truth, _ := o.predict(r.at, geom.Vec{}, nil)
		var p planted
		ok := true
		switch what := r.rnd.IntN(12); {
		case what == 0:
			// The reading of another corner.
			other := *o
			other.To = 2 + r.rnd.IntN(6)
			ok = other.To != o.To && other.To != o.From && o.Kind == Distance
			if ok {
				v, _ := other.predict(r.at, geom.Vec{}, nil)
				p = planted{"wrong_station", write(v, us)}
			}
		case what == 1:
			ok = o.Instrument == Laser
			p = planted{"laser_end", write(float64(o.Typed.Value)+laserBody*sign, us)}
		case what == 2:
			ok = unsigned(o.Kind)
			p = planted{"finish", write(float64(o.Typed.Value)+(.032+.022*r.rnd.Float64())*sign, us)}
		case what == 3 && us:
			p, ok = plantMixed(float64(o.Typed.Value))
		case what <= 5:
			ok = o.Kind == Horizontal
			if ok {
				p = planted{"along_slope", write(r.at[o.From].Sub(r.at[o.To]).Norm(), us)}
			}
		default:
			p, ok = plantText(r.rnd, float64(o.Typed.Value), us, o.Instrument)
		}
		if !ok {
			continue
		}
		l, err := si.ParseLength(p.text, si.Metric)
		if err != nil || l < 0 {
			continue
		}
		off := math.Abs(float64(l) - truth)
		if off < 10*o.Sigma || off < 4*o.Sigma/math.Sqrt(clean.Results[i].Redundancy) {
			continue
		}
		o.Typed, o.Value = L{Text: p.text, Value: l, Set: true}, float64(l)
		s := mustAdjust(t, r.Network, Options{})
		tried[p.kind]++
		all++
		as := "not found"
		for _, x := range s.Removed {
			if x.Observation != i {
				continue
			}
			as = "unexplained"
			m, ok := ExplainIn(r.Network, s, x, nil)
			if !ok {
				continue
			}
			if as = m.Kind; m.Kind == p.kind {
				right[p.kind]++
				good++
				if m.Gain <= 0 {
					t.Errorf("seed %d: %s explained by %q without gain", seed, p.text, m.Text)
				}
			}
		}
		if as != p.kind {
			if taken[p.kind] == nil {
				taken[p.kind] = map[string]int{}
			}
			taken[p.kind][as]++
		}
	}
	for _, k := range causes {
		t.Logf("%s: %d of %d; else taken for %v", k, right[k], tried[k], taken[k])
		if tried[k] < 10 || float64(right[k]) < .8*float64(tried[k]) {
			t.Errorf("%s explained rightly in %d of %d", k, right[k], tried[k])
		}
	}
	t.Logf("all: %d of %d", good, all)
	if float64(good) < .8*float64(all) {
		t.Errorf("explained rightly in %d of %d", good, all)
	}
}
