package survey

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/geom"
)

// net is a network under construction, with points by name.
type net struct {
	Network
	index map[string]int
}

func newNet() *net { return &net{index: map[string]int{}} }

func (n *net) point(p Point) {
	n.index[p.Name] = len(n.Points)
	n.Points = append(n.Points, p)
}

// fixed adds a datum point, near an unknown one of the plane z = 0, level an
// unknown height, space an unknown point in space.
func (n *net) fixed(name string, x, y, z float64) {
	n.point(Point{Name: name, Fixed: [3]bool{true, true, true}, FixedAt: geom.Vec{X: x, Y: y, Z: z}})
}

func (n *net) near(name string, x, y float64) {
	n.point(Point{Name: name, Fixed: [3]bool{false, false, true}, Near: [3]bool{true, true}, NearAt: geom.Vec{X: x, Y: y}})
}

func (n *net) level(name string) {
	n.point(Point{Name: name, Fixed: [3]bool{true, true, false}})
}

func (n *net) obs(kind Kind, from, to string, value, sigma float64) {
	n.Observations = append(n.Observations, Observation{
		ID: fmt.Sprintf("%s%s", from, to), Kind: kind, From: n.index[from], At: -1, To: n.index[to], Value: value, Sigma: sigma})
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.14g, want %.14g ± %g", what, got, want, tolerance)
	}
}

func mustAdjust(t *testing.T, n Network, o Options) Solution {
	t.Helper()
	s, err := Adjust(n, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Levelling net with three unknowns. Source: Ghilani, Adjustment Computations,
// 5th ed. 2010, Ex. 12.6 p. 218; redundancy, w and a-priori σ recomputed.
func TestLevellingNet(t *testing.T) {
	n := newNet()
	n.fixed("A", 0, 0, 437.596)
	for _, p := range []string{"B", "C", "D"} {
		n.level(p)
	}
	n.obs(Rise, "A", "B", 10.509, .006)
	n.obs(Rise, "B", "C", 5.360, .004)
	n.obs(Rise, "C", "D", -8.523, .005)
	n.obs(Rise, "D", "A", -7.348, .003)
	n.obs(Rise, "B", "D", -3.167, .004)
	n.obs(Rise, "A", "C", 15.881, .012)
	s := mustAdjust(t, n.Network, Options{})
	for i, want := range []float64{437.596, 448.10871, 453.46847, 444.94361} {
		near(t, s.Points[i].Name, s.Points[i].At.Z, want, 5e-6)
	}
	for i, want := range []float64{0, .003525, .004048, .002704} {
		near(t, "sigma "+s.Points[i].Name, s.Points[i].Sigma().Z, want, 5e-7)
	}
	near(t, "vPv", s.VPV, 1.272123, 5e-7)
	near(t, "s0", s.Sigma0, 0.651184, 5e-7)
	near(t, "chi low", s.ChiLow, 0.2158, 5e-5)
	near(t, "chi high", s.ChiHigh, 9.3484, 5e-5)
	if s.Redundancy != 3 || !s.Pass || len(s.Removed) != 0 {
		t.Errorf("r %d pass %v removed %v", s.Redundancy, s.Pass, s.Removed)
	}
	for i, want := range []struct{ v, r, w float64 }{
		{3.71, .6549, .7644}, {-.24, .3294, -.1063}, {-1.86, .5092, -.5220}, {.39, .1877, .3037}, {1.89, .4326, .7197}, {-8.53, .8862, -.7553}} {
		near(t, fmt.Sprint("v", i), s.Results[i].Residual*1e3, want.v, 5e-3)
		near(t, fmt.Sprint("r", i), s.Results[i].Redundancy, want.r, 5e-5)
		near(t, fmt.Sprint("w", i), s.Results[i].W, want.w, 5e-5)
	}
}

// Levelling, unweighted and weighted by length. Source: Ghilani & Wolf,
// Adjustment Computations, 4th ed., §12.3–12.4 (from memory, recomputed).
func TestLevellingByLength(t *testing.T) {
	for _, tc := range []struct {
		weighted         bool
		z, sigma         [3]float64
		s0, zTol, sigTol float64
	}{
		{false, [3]float64{105.1410, 104.4829, 106.1876}, [3]float64{.03093, .03281, .03093}, .050119, 5e-5, 5e-6},
		{true, [3]float64{105.1504, 104.4892, 106.1972}, [3]float64{.03276, .02976, .02904}, .030952, 5e-5, 5e-6},
	} {
		n := newNet()
		n.fixed("X", 0, 0, 100)
		n.fixed("Y", 0, 0, 107.5)
		for _, p := range []string{"A", "B", "C"} {
			n.level(p)
		}
		for _, o := range []struct {
			from, to string
			dh, mi   float64
		}{{"X", "A", 5.10, 4}, {"A", "Y", 2.34, 3}, {"Y", "C", -1.25, 2}, {"C", "X", -6.13, 3}, {"A", "B", -.68, 2}, {"Y", "B", -3, 2}, {"B", "C", 1.70, 2}} {
			sigma := 1.0
			if tc.weighted {
				sigma = math.Sqrt(o.mi)
			}
			n.obs(Rise, o.from, o.to, o.dh, sigma)
		}
		s := mustAdjust(t, n.Network, Options{})
		near(t, "s0", s.Sigma0, tc.s0, 5e-7)
		for i := range 3 {
			near(t, s.Points[i+2].Name, s.Points[i+2].At.Z, tc.z[i], tc.zTol)
			near(t, "σ "+s.Points[i+2].Name, s.Points[i+2].Sigma().Z*s.Sigma0, tc.sigma[i], tc.sigTol)
		}
		if !tc.weighted {
			for i, v := range []float64{.0410, .0190, -.0624, -.0576, .0219, -.0171, .0048} {
				near(t, fmt.Sprint("v ", i), s.Results[i].Residual, v, 5.1e-5)
			}
		}
	}
}

// One new point from three distances; with redundancy 1 all three are equally
// suspect and none may go. Source: Strang & Borre, Linear Algebra, Geodesy, and
// GPS, 1997, Ex. 10.1 p. 345.
func TestTrilaterationOnePointTies(t *testing.T) {
	n := newNet()
	n.fixed("1", 170.71, 270.71, 0)
	n.fixed("2", 100, 100, 0)
	n.fixed("3", 241.42, 100, 0)
	n.near("P", 170.71, 170.71)
	n.obs(Distance, "1", "P", 100.01, .01)
	n.obs(Distance, "2", "P", 100.02, .01)
	n.obs(Distance, "3", "P", 100.03, .01)
	s := mustAdjust(t, n.Network, Options{})
	p := s.Points[3]
	near(t, "x", p.At.X, 170.702925444, 2e-9)
	near(t, "y", p.At.Y, 170.723356612, 2e-9)
	near(t, "s0", s.Sigma0, 3.3029324, 5e-8)
	near(t, "vPv", s.VPV, 10.909363, 5e-7)
	near(t, "σx", p.Sigma().X, .010001, 5e-7)
	near(t, "σy", p.Sigma().Y, .007071, 5e-7)
	for i, r := range []float64{.5, .25, .25} {
		near(t, "r", s.Results[i].Redundancy, r, 5e-4)
		near(t, "|w|", math.Abs(s.Results[i].W), 3.3029, 5e-5)
	}
	if len(s.Removed) != 0 || len(s.Tied) != 1 || len(s.Tied[0]) != 3 {
		t.Errorf("removed %v, tied %v: want one group of three", s.Removed, s.Tied)
	}
}

// Trilateration with offsets of 2.4 million: centring. Source: Ghilani,
// Adjustment Computations, 5th ed. 2010, Ex. 14.5 p. 251 (feet).
func TestTrilaterationLargeOffsets(t *testing.T) {
	n := newNet()
	n.fixed("Badger", 2410000, 390000, 0)
	n.fixed("Bucky", 2411820, 386881.222, 0)
	n.near("Campus", 2416892.670, 387603.450)
	n.near("Wisconsin", 2415776.819, 391043.461)
	const sigma = .01
	n.obs(Distance, "Badger", "Wisconsin", 5870.302, sigma)
	n.obs(Distance, "Badger", "Campus", 7297.588, sigma)
	n.obs(Distance, "Wisconsin", "Campus", 3616.434, sigma)
	n.obs(Distance, "Wisconsin", "Bucky", 5742.878, sigma)
	n.obs(Distance, "Campus", "Bucky", 5123.760, sigma)
	s := mustAdjust(t, n.Network, Options{KeepAll: true})
	campus, wisc := s.Points[2], s.Points[3]
	near(t, "Campus x", campus.At.X, 2416892.695516, 2e-6)
	near(t, "Campus y", campus.At.Y, 387603.255128, 2e-6)
	near(t, "Wisconsin x", wisc.At.X, 2415776.904378, 2e-6)
	near(t, "Wisconsin y", wisc.At.Y, 391043.294493, 2e-6)
	s0 := s.Sigma0 * sigma
	near(t, "s0", s0, .13590536, 5e-9)
	for i, want := range []float64{.10378, .27054, .14879, .22061} {
		p := []SolvedPoint{campus, campus, wisc, wisc}[i]
		near(t, "σ", coord(p.Sigma(), i%2)*s.Sigma0, want, 5e-6)
	}
	for i, want := range []struct{ v, r float64 }{{.05468, .1619}, {-.07901, .3380}, {.03675, .0731}, {-.06164, .2057}, {.06393, .2213}} {
		near(t, "v", s.Results[i].Residual, want.v, 5e-6)
		near(t, "r", s.Results[i].Redundancy, want.r, 5e-5)
	}
}

// Square with a diagonal pair. Source: Benning, Statistik in Geodäsie,
// Geoinformation und Bauwesen, 2011, Ex. 8-2 p. 256.
func TestSquareWithDiagonals(t *testing.T) {
	n := newNet()
	n.fixed("1", 0, 1000, 0)
	n.fixed("2", 1000, 1000, 0)
	n.near("3", 0, 0)
	n.near("4", 1000, 0)
	n.obs(Distance, "1", "3", 1000.02, .01)
	n.obs(Distance, "1", "4", 1414.20, .01)
	n.obs(Distance, "2", "3", 1414.24, .01)
	n.obs(Distance, "2", "4", 999.98, .01)
	n.obs(Distance, "3", "4", 1000.00, .01)
	s := mustAdjust(t, n.Network, Options{})
	for i, want := range []float64{-.0095845047, -.0226012125, 999.9930159990, .0173986619} {
		near(t, "coordinate", coord(s.Points[2+i/2].At, i%2), want, 1e-9)
	}
	near(t, "s0", s.Sigma0, .68824153, 5e-9)
	for i, want := range []float64{.013093, .009258} {
		near(t, "σ3", coord(s.Points[2].Sigma(), i), want, 5e-7)
		near(t, "σ4", coord(s.Points[3].Sigma(), i), want, 5e-7)
	}
	for i, want := range []struct{ v, r float64 }{{.00260, 1. / 7}, {-.00368, 2. / 7}, {-.00368, 2. / 7}, {.00260, 1. / 7}, {.00260, 1. / 7}} {
		near(t, "v", s.Results[i].Residual, want.v, 5e-6)
		near(t, "r", s.Results[i].Redundancy, want.r, 2e-5)
	}
}

// A point in space from four slant distances. Source: Wolf 1979 p. 87. The
// printed x, 900.016666667, is that of the first linear step; the converged
// least-squares solution is 900.016667000, a third of a micrometre farther.
func TestSlantDistances(t *testing.T) {
	n := newNet()
	n.fixed("1", 1200, 900, 900)
	n.fixed("2", 900, 600, 900)
	n.fixed("3", 600, 900, 900)
	n.fixed("4", 900, 1200, 900)
	n.point(Point{Name: "P", Near: [3]bool{true, true, true}, NearAt: geom.Vec{X: 900, Y: 900, Z: 1300}})
	for i, d := range []float64{499.99, 500, 500.01, 500.02} {
		n.obs(Distance, fmt.Sprint(i+1), "P", d, .01)
	}
	s := mustAdjust(t, n.Network, Options{})
	p := s.Points[4]
	near(t, "x", p.At.X, 900.016666667, 4e-7)
	near(t, "y", p.At.Y, 899.983333333, 2e-9)
	near(t, "z", p.At.Z, 1300.006249413, 2e-9)
	near(t, "s0", s.Sigma0, 1, 5e-4)
	near(t, "σx", p.Sigma().X, .011785, 5e-7)
	near(t, "σy", p.Sigma().Y, .011785, 5e-7)
	near(t, "σz", p.Sigma().Z, .00625, 5e-7)
	for i, sign := range []float64{1, -1, 1, -1} {
		near(t, "v", s.Results[i].Residual, sign*.005, 5e-6)
		near(t, "r", s.Results[i].Redundancy, .25, 5e-4)
	}
}

// Nine points and 24 distances, all kept. Source: Weiss et al., Acta Montanistica
// Slovaca 15/1, 2010, pp. 62–70.
func TestNinePointNet(t *testing.T) {
	n := newNet()
	n.fixed("1", 4506.299, 9001.123, 0)
	n.fixed("2", 2798.622, 9502.490, 0)
	n.fixed("3", 3803.973, 9894.233, 0)
	n.fixed("8", 4904.569, 9413.376, 0)
	n.near("4", 3299.980, 9100.838)
	n.near("5", 3697.824, 9400.545)
	n.near("6", 3080.370, 9775.900)
	n.near("7", 4393.265, 9842.503)
	n.near("9", 4251.061, 9546.226)
	for _, o := range []struct {
		pair     string
		d, sigma float64
	}{
		{"46", 709.927, 1.303840}, {"26", 392.550, .774597}, {"24", 642.409, 1.140175}, {"34", 939.941, 1.095445},
		{"39", 566.555, .894427}, {"49", 1050.204, 1.048809}, {"14", 1210.478, .894427}, {"15", 901.755, .894427},
		{"58", 1206.806, 1}, {"48", 1634.747, 1.140175}, {"45", 498.107, 1.264911}, {"25", 904.962, 1.183216},
		{"27", 1630.454, 1.048809}, {"17", 849.005, .894427}, {"19", 601.906, 1.095445}, {"89", 666.874, 1.140175},
		{"78", 667.595, .774597}, {"57", 823.990, 1.264911}, {"56", 722.631, 1.140175}, {"69", 1193.036, .836660},
		{"59", 572.094, .836660}, {"35", 504.968, 1.303840}, {"37", 591.506, 1.264911}, {"79", 328.667, .948683}} {
		n.obs(Distance, o.pair[:1], o.pair[1:], o.d, o.sigma)
	}
	s := mustAdjust(t, n.Network, Options{KeepAll: true})
	near(t, "s0", s.Sigma0, .01368896, 1e-8) // printed cut, not rounded
	for i, want := range [][2]float64{{3299.96438, 9100.82886}, {3697.82229, 9400.53944}, {3080.31842, 9775.89433}, {4393.21605, 9842.56181}, {4251.04948, 9546.22976}} {
		near(t, "x", s.Points[4+i].At.X, want[0], 6e-6)
		near(t, "y", s.Points[4+i].At.Y, want[1], 6e-6)
	}
	// The published search: the largest τ = w/s0 is that of 1–4, which hides 2–6.
	near(t, "τ of 1–4", s.Results[6].W/s.Sigma0, -3.1464, 5e-5)
	near(t, "|τ| of 2–6", math.Abs(s.Results[1].W/s.Sigma0), 2.29, 5e-3)
	s = mustAdjust(t, n.Network, Options{Estimated: true, Alpha: .05, Bonferroni: true, Break: Leading})
	if len(s.Removed) != 2 || s.Removed[0].Observation != 6 || s.Removed[1].Observation != 1 || len(s.Tied) != 0 {
		t.Fatalf("removed %+v tied %+v, want 1–4, then 2–6", s.Removed, s.Tied)
	}
	// The second reacts almost like 4–6, which the search says.
	if len(s.Removed[0].Rivals) != 0 || len(s.Removed[1].Rivals) != 1 || s.Removed[1].Rivals[0] != 0 {
		t.Errorf("rivals %v and %v", s.Removed[0].Rivals, s.Removed[1].Rivals)
	}
	near(t, "critical", s.Removed[0].Critical, 2.7245, 6e-5)
	near(t, "first", s.Removed[0].Statistic, 3.1464, 6e-5)
	near(t, "second", s.Removed[1].Statistic, 3.3229, 6e-5)
	near(t, "largest left", largestBut(s, -1)/s.Sigma0, 1.97, 6e-3)
	near(t, "s0 cleaned", s.Sigma0, .003106, 6e-7)
	for i, want := range map[int][2]float64{4: {3299.9802, 9100.8331}, 6: {3080.3442, 9775.9293}} {
		near(t, "x cleaned", s.Points[i].At.X, want[0], 6e-5)
		near(t, "y cleaned", s.Points[i].At.Y, want[1], 6e-5)
	}
}

// Source: standard tables of the χ² distribution.
func TestChiSquareBounds(t *testing.T) {
	for r, want := range map[int][2]float64{1: {.0010, 5.0239}, 2: {.0506, 7.3778}, 3: {.2158, 9.3484}, 4: {.4844, 11.1433},
		5: {.8312, 12.8325}, 6: {1.2373, 14.4494}, 8: {2.1797, 17.5345}, 10: {3.2470, 20.4832}, 15: {6.2621, 27.4884},
		20: {9.5908, 34.1696}, 30: {16.7908, 46.9792}} {
		low, high := ChiSquareBounds(r)
		near(t, fmt.Sprint("low ", r), low, want[0], 6e-5)
		near(t, fmt.Sprint("high ", r), high, want[1], 6e-5)
	}
	if l, h := ChiSquareBounds(0); l != 0 || h != 0 {
		t.Error("r = 0 must give no bounds")
	}
}

func TestLooseDirectionsAreNamed(t *testing.T) {
	n := newNet()
	n.fixed("A", 0, 0, 0)
	n.near("B", 5, 0)
	n.level("C")
	n.obs(Distance, "A", "B", 5, .01)
	s := mustAdjust(t, n.Network, Options{})
	if got := s.Points[1].Loose; !strings.Contains(got, "y") {
		t.Errorf("B loose %q, want y: it can swing about A", got)
	}
	if s.Points[1].Sigma().Y < looseSigma/2 || s.Points[1].Sigma().X > .02 {
		t.Errorf("B sigma %v: along the tape known, across open", s.Points[1].Sigma())
	}
	if s.Points[2].Loose != "z" || s.Points[0].Loose != "" {
		t.Errorf("loose %q %q", s.Points[2].Loose, s.Points[0].Loose)
	}
	if s.Redundancy != 0 {
		t.Errorf("redundancy %d", s.Redundancy)
	}
}

func TestBadNetworksAreRefused(t *testing.T) {
	for name, change := range map[string]func(*net){
		"nan":       func(n *net) { n.Observations[0].Value = math.NaN() },
		"sigma":     func(n *net) { n.Observations[0].Sigma = 0 },
		"negative":  func(n *net) { n.Observations[0].Value = -1 },
		"self":      func(n *net) { n.Observations[0].To = n.Observations[0].From },
		"unknown":   func(n *net) { n.Observations[0].To = 9 },
		"kind":      func(n *net) { n.Observations[0].Kind = "x" },
		"nan point": func(n *net) { n.Points[1].NearAt.X = math.Inf(1) },
	} {
		n := newNet()
		n.fixed("A", 0, 0, 0)
		n.near("B", 1, 1)
		n.obs(Distance, "A", "B", 2, .01)
		change(n)
		var ie *InputError
		if _, err := Adjust(n.Network, Options{}); !errors.As(err, &ie) || ie.Error() == "" {
			t.Errorf("%s: error %v", name, err)
		}
	}
	if s, err := Adjust(Network{}, Options{}); err != nil || len(s.Points) != 0 {
		t.Errorf("empty network: %v %v", s, err)
	}
}

// roomNet is a random box room with all sides and diagonals, the heights of four
// upper corners and slant distances, and its true corners.
func roomNet(t *rapid.T, withNoise bool) *net {
	w := rapid.Float64Range(6, 25).Draw(t, "width")
	l := rapid.Float64Range(8, 40).Draw(t, "length")
	h := rapid.Float64Range(3, 12).Draw(t, "height")
	seed := rapid.Uint64().Draw(t, "noise")
	rnd := func() float64 { // sum of twelve uniforms less six: nearly normal
		var s float64
		for range 12 {
			seed = seed*6364136223846793005 + 1442695040888963407
			s += float64(seed>>11) / (1 << 53)
		}
		if !withNoise {
			return 0
		}
		return s - 6
	}
	n := newNet()
	true3 := []geom.Vec{{X: -w / 2}, {X: w / 2}, {X: w / 2, Y: -l}, {X: -w / 2, Y: -l}}
	n.fixed("p0", true3[0].X, 0, 0)
	n.point(Point{Name: "p1", Fixed: [3]bool{false, true, true}, Near: [3]bool{true}, NearAt: geom.Vec{X: w / 2}})
	n.near("p2", true3[2].X, true3[2].Y)
	n.near("p3", true3[3].X, true3[3].Y)
	for i := range 4 {
		true3 = append(true3, true3[i].Add(geom.Vec{Z: h}))
		n.point(Point{Name: fmt.Sprintf("p%d", i+4), Near: [3]bool{true, true, true}, NearAt: true3[i+4]})
	}
	for i := range true3 {
		for k := i + 1; k < len(true3); k++ {
			d := true3[k].Sub(true3[i]).Norm()
			sigma := .003 + .0002*d
			n.obs(Distance, fmt.Sprintf("p%d", i), fmt.Sprintf("p%d", k), math.Abs(d+sigma*rnd()), sigma)
		}
	}
	for i := 4; i < 8; i++ {
		n.Observations = append(n.Observations, Observation{ID: fmt.Sprint("h", i), Kind: Height, From: -1, At: -1, To: i, Value: h + .005*rnd(), Sigma: .005})
	}
	return n
}

func TestTranslationInvariance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := roomNet(rt, true)
		by := geom.Vec{X: rapid.Float64Range(-1e4, 1e4).Draw(rt, "dx"), Y: rapid.Float64Range(-1e4, 1e4).Draw(rt, "dy")}
		moved := Network{append([]Point(nil), n.Points...), n.Observations}
		for i := range moved.Points {
			moved.Points[i].FixedAt = moved.Points[i].FixedAt.Add(by)
			moved.Points[i].NearAt = moved.Points[i].NearAt.Add(by)
		}
		a, err1 := Adjust(n.Network, Options{KeepAll: true})
		b, err2 := Adjust(moved, Options{KeepAll: true})
		if err1 != nil || err2 != nil {
			rt.Fatal(err1, err2)
		}
		for i := range a.Points {
			if d := b.Points[i].At.Sub(a.Points[i].At).Sub(by).Norm(); d > 1e-7 {
				rt.Fatalf("point %d moved %g m", i, d)
			}
			if d := a.Points[i].Sigma().Sub(b.Points[i].Sigma()).Norm(); d > 1e-7 {
				rt.Fatalf("sigma of point %d changed by %g m", i, d)
			}
		}
	})
}

func TestMoreMeasurementsNeverLoosen(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := roomNet(rt, false)
		all := n.Observations
		drop := rapid.IntRange(0, len(all)-1).Draw(rt, "left out")
		fewer := Network{n.Points, append(append([]Observation(nil), all[:drop]...), all[drop+1:]...)}
		a, err1 := Adjust(fewer, Options{})
		b, err2 := Adjust(n.Network, Options{})
		if err1 != nil || err2 != nil {
			rt.Fatal(err1, err2)
		}
		for i := range a.Points {
			for axis := range 3 {
				if before, after := coord(a.Points[i].Sigma(), axis), coord(b.Points[i].Sigma(), axis); after > before*(1+1e-9)+1e-12 {
					rt.Fatalf("point %d axis %d: σ %g grew to %g", i, axis, before, after)
				}
			}
		}
	})
}

// named tells whether an observation is among the suspects.
func named(s Solution, i int) bool {
	for _, g := range append([][]Suspicion{s.Removed}, s.Tied...) {
		for _, r := range g {
			if r.Observation == i {
				return true
			}
		}
	}
	return false
}

// plant adds 10σ to an observation and tells whether the search names it; ok is
// false where its redundancy is under 0.3 and nothing can be asked of it.
func plant(n *net, i int) (found, ok bool, err error) {
	clean, err := Adjust(n.Network, Options{KeepAll: true})
	if err != nil || clean.Results[i].Redundancy < 0.3 {
		return false, false, err
	}
	n.Observations[i].Value += 10 * n.Observations[i].Sigma
	s, err := Adjust(n.Network, Options{})
	return named(s, i), true, err
}

// Without noise every rival's |w| is ρ times the culprit's, so it is always named.
func TestPlantedBlunderIsFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := roomNet(rt, false)
		i := rapid.IntRange(0, len(n.Observations)-1).Draw(rt, "blunder")
		if found, ok, err := plant(n, i); err != nil || (ok && !found) {
			rt.Fatalf("10σ in %s not found (%v)", n.Observations[i].ID, err)
		}
	})
}

// With noise it is named in at least 95 of 100 rooms.
func TestPlantedBlunderIsFoundInNoise(t *testing.T) {
	tried, hit := 0, 0
	for seed := range 300 {
		room := rapid.Custom(func(rt *rapid.T) *net { return roomNet(rt, true) }).Example(seed + 1)
		found, ok, err := plant(room, seed%len(room.Observations))
		if err != nil {
			t.Fatal(err)
		}
		if ok {
			tried++
			if found {
				hit++
			}
		}
	}
	if tried < 100 || float64(hit) < 0.95*float64(tried) {
		t.Errorf("named %d of %d planted blunders", hit, tried)
	}
}

// A clean network loses a measurement no more often than the test's own rate,
// 0.1 % of the measurements, plus three standard errors.
func TestCleanNetworksKeepTheirMeasurements(t *testing.T) {
	tests, lost := 0, 0
	for seed := range 400 {
		room := rapid.Custom(func(rt *rapid.T) *net { return roomNet(rt, true) }).Example(seed + 10000)
		s := mustAdjust(t, room.Network, Options{})
		tests += len(room.Observations)
		lost += len(s.Removed) + len(s.Tied)
	}
	rate := 0.001 * float64(tests)
	if float64(lost) > rate+3*math.Sqrt(rate) {
		t.Errorf("%d of %d measurements lost, expected about %.0f", lost, tests, rate)
	}
}

// Starting guesses a step off lead to the same solution.
func TestRoughGuessesConverge(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := roomNet(rt, true)
		a, err1 := Adjust(n.Network, Options{KeepAll: true})
		for i := range n.Points {
			n.Points[i].NearAt = n.Points[i].NearAt.Add(geom.Vec{X: rapid.Float64Range(-1, 1).Draw(rt, "dx"),
				Y: rapid.Float64Range(-1, 1).Draw(rt, "dy"), Z: rapid.Float64Range(-.8, .8).Draw(rt, "dz")})
		}
		b, err2 := Adjust(n.Network, Options{KeepAll: true})
		if err1 != nil || err2 != nil {
			rt.Fatal(err1, err2)
		}
		for i := range a.Points {
			if d := a.Points[i].At.Sub(b.Points[i].At).Norm(); d > 1e-7 {
				rt.Fatalf("point %d ends %g m away", i, d)
			}
		}
	})
}

// What the others say about a removed reading is near the truth.
func TestExpectedOfASuspect(t *testing.T) {
	n := newNet()
	n.fixed("A", 0, 0, 0)
	n.level("B")
	for i, v := range []float64{5.000, 5.002, 4.999, 3.048} {
		n.obs(Rise, "A", "B", v, .003)
		n.Observations[i].ID = fmt.Sprint(i)
	}
	s := mustAdjust(t, n.Network, Options{})
	if len(s.Removed) != 1 || s.Removed[0].Observation != 3 {
		t.Fatalf("removed %v", s.Removed)
	}
	near(t, "expected", s.Removed[0].Expected, (5.000+5.002+4.999)/3, 1e-9)
	near(t, "its sigma", s.Removed[0].ExpectedSigma, .003/math.Sqrt(3), 1e-9)
	near(t, "height", s.Points[1].At.Z, (5.000+5.002+4.999)/3, 1e-9)
	if !s.Pass || s.Redundancy != 2 || s.Results[3].Used {
		t.Errorf("pass %v r %d %+v", s.Pass, s.Redundancy, s.Results[3])
	}
}

func TestCornersWithoutAnyGuess(t *testing.T) {
	n := newNet()
	floor := [3]bool{false, false, true}
	for _, p := range []string{"a", "b", "c", "d"} {
		n.point(Point{Name: p, Fixed: floor})
	}
	n.obs(Distance, "a", "b", 10, .01)
	n.obs(Distance, "b", "c", 20, .01)
	n.obs(Distance, "c", "d", 10, .01)
	n.obs(Distance, "a", "c", math.Hypot(10, 20), .01)
	n.obs(Distance, "b", "d", math.Hypot(10, 20), .01)
	s := mustAdjust(t, n.Network, Options{})
	near(t, "a–d", s.Points[3].At.Sub(s.Points[0].At).Norm(), 20, 1e-3)
	near(t, "vPv", s.VPV, 0, 1e-9)
	if s.Rank != 5 || s.Unknowns != 8 {
		t.Errorf("rank %d of %d, want 5 of 8: three freedoms of the datum", s.Rank, s.Unknowns)
	}
}

func ExampleAdjust() {
	n := Network{
		Points: []Point{{Name: "floor", Fixed: [3]bool{true, true, true}}, {Name: "beam", Fixed: [3]bool{true, true, false}}},
		Observations: []Observation{
			{ID: "laser", Kind: Height, From: -1, At: -1, To: 1, Value: 5.994, Sigma: 0.003},
			{ID: "tape", Kind: Rise, From: 0, At: -1, To: 1, Value: 6.000, Sigma: 0.006},
		},
	}
	s, _ := Adjust(n, Options{})
	fmt.Printf("%.4f ± %.4f m\n", s.Points[1].At.Z, s.Points[1].Sigma().Z)
	// Output: 5.9952 ± 0.0027 m
}
