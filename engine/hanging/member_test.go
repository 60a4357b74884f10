package hanging

import (
	"fmt"
	"math"
	"sort"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// Closed forms B1 to B13 and the numeric cases: AWC Design Aid No. 6, Beam
// Formulas with Shear and Moment Diagrams, 2007, and AISC Manual Table 3-23,
// recomputed there for a 48.3 × 4.0 mm steel tube at 210 GPa.
func TestPublishedBeams(t *testing.T) {
	const P, w, L, a, EI = 1000.0, 200.0, 4.0, 1.2, tubeEI
	simple := func(b Beam) Member {
		return Member{LengthM: b.LengthM, SupportsM: []float64{0, b.LengthM}, Points: b.Points, Spread: b.Spread}
	}
	fixed := func(m Member) Member { m.ClampLeft, m.ClampRight = true, true; return m }
	cantilever := func(points []Force, spread []Even) Member {
		return Member{LengthM: a, SupportsM: []float64{0}, ClampLeft: true, Points: points, Spread: spread}
	}
	over := func(points []Force, spread []Even) Member {
		return Member{LengthM: L + a, SupportsM: []float64{0, L}, Points: points, Spread: spread}
	}
	const b8 = L - 1
	for _, tc := range []struct {
		name      string
		m         Member
		reactions []float64
		sag, hog  float64
		y         float64 // greatest, or at the place named
		at        float64 // NaN: anywhere
	}{
		{"B1, C02", simple(Beam{L, nil, []Even{{0, L, w}}}), []float64{w * L / 2, w * L / 2}, 400, 0, 23.059e-3, L / 2},
		{"B2, C01", simple(Beam{L, []Force{{L / 2, P}}, nil}), []float64{500, 500}, 1000, 0, 46.117e-3, L / 2},
		{"B3", simple(Beam{L, []Force{{3, P}}, nil}), []float64{250, 750}, P * 3 * 1 / L, 0, P * 9 * 1 / (3 * EI * L), 3},
		{"B4, C08", simple(Beam{L, []Force{{1, 500}, {3, 500}}, nil}), []float64{500, 500}, 500, 0, 31.706e-3, L / 2},
		{"B5, C10", simple(Beam{L, []Force{{.5, 118}, {1.5, 118}, {2.5, 118}, {3.5, 176}}, []Even{{0, L, 42.855}}}), []float64{328.96, 372.46}, 336.82, 0, math.NaN(), math.NaN()},
		{"B6, C04", fixed(simple(Beam{L, nil, []Even{{0, L, w}}})), []float64{400, 400}, 133.33, -266.67, 4.6117e-3, L / 2},
		{"B7, C03", fixed(simple(Beam{L, []Force{{L / 2, P}}, nil})), []float64{500, 500}, 500, -500, 11.529e-3, L / 2},
		{"B8, C10b", fixed(simple(Beam{L, []Force{{1, P}}, nil})), []float64{843.75, 156.25}, 281.25, -562.5, 4.8639e-3, 1},
		{"B9, C05", cantilever([]Force{{a, 300}}, nil), []float64{300}, 0, -360, 5.9768e-3, a},
		{"B10, C06", cantilever(nil, []Even{{0, a, w}}), []float64{w * a}, 0, -144, 1.7930e-3, a},
		{"B11", Member{LengthM: L, SupportsM: []float64{0, L}, ClampLeft: true, Points: []Force{{L / 2, P}}}, []float64{11 * P / 16, 5 * P / 16}, 5 * P * L / 32, -3 * P * L / 16, 1 / (48 * math.Sqrt(5)) * P * L * L * L / EI, math.NaN()},
		{"B12 tip", over([]Force{{L + a, 300}}, nil), []float64{-300 * a / L, 300 * (L + a) / L}, 0, -300 * a, 300 * a * a * (L + a) / (3 * EI), L + a},
		{"B12 back span", over([]Force{{L + a, 300}}, nil), nil, 0, -300 * a, -300 * a * L * L / (9 * math.Sqrt(3) * EI), L / math.Sqrt(3)},
		{"B13", over(nil, []Even{{L, L + a, w}}), []float64{-w * a * a / (2 * L), w * a * (2*L + a) / (2 * L)}, 0, -w * a * a / 2, w * a * a * a * (4*L + 3*a) / (24 * EI), L + a},
	} {
		s, ok := tc.m.Solve()
		if !ok {
			t.Errorf("%s: not solved", tc.name)
			continue
		}
		for i, r := range tc.reactions {
			near(t, fmt.Sprint(tc.name, " R", i+1), s.ReactionsN[i], r, printedNM)
		}
		sag, _, hog, _ := s.Extremes()
		near(t, tc.name+" sagging", sag, tc.sag, printedNM)
		near(t, tc.name+" hogging", hog, tc.hog, printedNM)
		y := s.Deflection(tc.at, tubeEI)
		if math.IsNaN(tc.at) {
			y, _ = s.MaxDeflection(tubeEI)
		}
		if math.IsNaN(tc.y) {
			near(t, tc.name+" deflection", y, 19.87e-3, 5e-6) // printed to a hundredth of a millimetre
			continue
		}
		near(t, tc.name+" deflection", y, tc.y, printedM)
	}
	// The inner fixed-end moments of B8.
	s, _ := fixed(simple(Beam{L, []Force{{1, P}}, nil})).Solve()
	near(t, "MA", s.MomentsNm[0], -P*1*b8*b8/(L*L), 1e-9)
	near(t, "MB", s.MomentsNm[1], -P*1*1*b8/(L*L), 1e-9)
	near(t, "MB printed", s.MomentsNm[1], -187.5, 1e-9)
	// B11 prints the largest deflection as about 0.009317 PL³/EI.
	near(t, "B11 factor", 1/(48*math.Sqrt(5)), .009317, 6e-7)
}

// Two and three equal spans under an even load: AISC Manual Table 3-22c, the
// coefficients 0.375, 1.25, 0.125 and 0.4, 1.1, 0.1, 0.08, 0.025; largest
// deflections 0.0054 and 0.0069 of wL⁴/EI.
func TestContinuousSpansOfTheManual(t *testing.T) {
	const w, L = 200.0, 4.0
	two, _ := Member{LengthM: 2 * L, SupportsM: []float64{0, L, 2 * L}, Spread: []Even{{0, 2 * L, w}}}.Solve()
	for i, c := range []float64{.375, 1.25, .375} {
		near(t, fmt.Sprint("two spans R", i), two.ReactionsN[i], c*w*L, 1e-9)
	}
	near(t, "two spans hogging", two.MomentsNm[1], -.125*w*L*L, 1e-9)
	y, _ := two.MaxDeflection(tubeEI)
	near(t, "two spans deflection", y/(w*L*L*L*L/tubeEI), .0054, 6e-5)
	three, _ := Member{LengthM: 3 * L, SupportsM: []float64{0, L, 2 * L, 3 * L}, Spread: []Even{{0, 3 * L, w}}}.Solve()
	for i, c := range []float64{.4, 1.1, 1.1, .4} {
		near(t, fmt.Sprint("three spans R", i), three.ReactionsN[i], c*w*L, 1e-9)
	}
	sag, _, hog, _ := three.Extremes()
	near(t, "three spans hogging", hog, -.1*w*L*L, 1e-9)
	near(t, "three spans sagging", sag, .08*w*L*L, 1e-9)
	near(t, "three spans middle", three.Moment(1.5*L), .025*w*L*L, 1e-9)
	y, _ = three.MaxDeflection(tubeEI)
	near(t, "three spans deflection", y/(w*L*L*L*L/tubeEI), .0069, 6e-5)
}

func TestMembersThatCannotStand(t *testing.T) {
	for _, m := range []Member{{}, {LengthM: 4}, {LengthM: 4, SupportsM: []float64{2}}, {LengthM: 4, SupportsM: []float64{-1, 9, math.NaN()}},
		{LengthM: math.NaN(), SupportsM: []float64{0, 1}}, {LengthM: math.Inf(1), SupportsM: []float64{0, 1}}, {LengthM: 4, SupportsM: []float64{1, 1.0001}}} {
		if s, ok := m.Solve(); ok {
			t.Errorf("%+v solved: %+v", m, s)
		}
	}
	s, ok := Member{LengthM: 4, SupportsM: []float64{4, 0}, Points: []Force{{math.NaN(), 5}, {9, 5}, {2, math.Inf(1)}}}.Solve()
	if m, _, _, _ := s.Extremes(); !ok || m != 0 {
		t.Errorf("loads that are none: %v %v", m, ok)
	}
	if !math.IsNaN(s.Deflection(1, 0)) || !math.IsNaN(s.Deflection(5, 1)) || s.Moment(math.NaN()) != 0 {
		t.Error("no stiffness, off the member, no place")
	}
}

// model is a member as two-node Euler–Bernoulli elements with cubic shapes, whose
// nodal values are exact for a member of one section: the second method for
// everything Solve finds.
type model struct {
	x []float64
	u *mat.VecDense
	// reactions by place
	r map[float64]float64
}

func modelOf(m Member, ei float64) model {
	seen := map[float64]bool{0: true, m.LengthM: true}
	for _, s := range m.SupportsM {
		seen[s] = true
	}
	for _, p := range m.Points {
		seen[p.AtM] = true
	}
	for _, e := range m.Spread {
		seen[e.FromM], seen[e.ToM] = true, true
	}
	var fe model
	for x := range seen {
		fe.x = append(fe.x, x)
	}
	sort.Float64s(fe.x)
	n := 2 * len(fe.x)
	node := map[float64]int{}
	for i, x := range fe.x {
		node[x] = i
	}
	k, f := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	for i := 0; i+1 < len(fe.x); i++ {
		l := fe.x[i+1] - fe.x[i]
		ke := [4][4]float64{{12, 6 * l, -12, 6 * l}, {6 * l, 4 * l * l, -6 * l, 2 * l * l}, {-12, -6 * l, 12, -6 * l}, {6 * l, 2 * l * l, -6 * l, 4 * l * l}}
		for r := range 4 {
			for c := range 4 {
				k.Set(2*i+r, 2*i+c, k.At(2*i+r, 2*i+c)+ke[r][c]*ei/(l*l*l))
			}
		}
		w := 0.0
		for _, e := range m.Spread {
			if e.FromM <= fe.x[i] && e.ToM >= fe.x[i+1] {
				w += e.NPerM
			}
		}
		for r, v := range []float64{w * l / 2, w * l * l / 12, w * l / 2, -w * l * l / 12} {
			f.SetVec(2*i+r, f.AtVec(2*i+r)+v)
		}
	}
	for _, p := range m.Points {
		i := 2 * node[p.AtM]
		f.SetVec(i, f.AtVec(i)+p.N)
	}
	held := map[int]bool{}
	for i, s := range m.SupportsM {
		held[2*node[s]] = true
		if i == 0 && m.ClampLeft || i == len(m.SupportsM)-1 && m.ClampRight {
			held[2*node[s]+1] = true
		}
	}
	kk, ff := mat.DenseCopyOf(k), mat.VecDenseCopyOf(f)
	for i := range held {
		for j := range n {
			kk.Set(i, j, 0)
			kk.Set(j, i, 0)
		}
		kk.Set(i, i, 1)
		ff.SetVec(i, 0)
	}
	fe.u = mat.NewVecDense(n, nil)
	// A condition warning still solves; what it costs is in feShare.
	_ = fe.u.SolveVec(kk, ff)
	fe.r = map[float64]float64{}
	var ku mat.VecDense
	ku.MulVec(k, fe.u)
	for _, s := range m.SupportsM {
		i := 2 * node[s]
		fe.r[s] = f.AtVec(i) - ku.AtVec(i)
	}
	return fe
}

// feShare is what the elements' matrices of spans from a decimetre to fifteen
// metres lose of sixteen digits.
const feShare = 1e-6

func drawMember(t *rapid.T) Member {
	// Places on a grid of 0.1 m keep elements from becoming vanishingly short.
	grid := func(name string, from, to int) float64 { return float64(rapid.IntRange(from, to).Draw(t, name)) / 10 }
	m := Member{LengthM: grid("length", 20, 150)}
	tenths := int(math.Round(m.LengthM * 10))
	seen := map[float64]bool{}
	for range rapid.IntRange(2, 6).Draw(t, "supports") {
		seen[grid("support", 0, tenths)] = true
	}
	for s := range seen {
		m.SupportsM = append(m.SupportsM, s)
	}
	sort.Float64s(m.SupportsM)
	if len(m.SupportsM) == 1 {
		m.ClampLeft = true
	} else {
		m.ClampLeft, m.ClampRight = rapid.Bool().Draw(t, "clamp left"), rapid.Bool().Draw(t, "clamp right")
	}
	for range rapid.IntRange(0, 8).Draw(t, "points") {
		m.Points = append(m.Points, Force{grid("at", 0, tenths), rapid.Float64Range(0, 500).Draw(t, "n")})
	}
	for range rapid.IntRange(0, 3).Draw(t, "evens") {
		from, to := grid("from", 0, tenths), grid("to", 0, tenths)
		m.Spread = append(m.Spread, Even{math.Min(from, to), math.Max(from, to), rapid.Float64Range(0, 200).Draw(t, "w")})
	}
	return m
}

// Reactions, deflections and moments of random members are those of the element
// model; reactions balance the load; a mirrored member mirrors them.
func TestMembersAgainstElements(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMember(t)
		s, ok := m.Solve()
		if !ok {
			t.Fatalf("%+v not solved", m)
		}
		fe := modelOf(m, tubeEI)
		total := Member{Points: m.Points, Spread: m.Spread}.weight()
		sum, big := 0.0, total+1
		for i, r := range s.ReactionsN {
			sum += r
			big = math.Max(big, math.Abs(r))
			if want := fe.r[s.SupportsM[i]]; math.Abs(r-want) > feShare*(big+math.Abs(want)) {
				t.Fatalf("reaction %v at %v, elements %v", r, s.SupportsM[i], want)
			}
		}
		if math.Abs(sum-total) > 1e-9*big {
			t.Fatalf("reactions sum to %v, load %v", sum, total)
		}
		deep := 1e-9
		for i := range fe.x {
			deep = math.Max(deep, math.Abs(fe.u.AtVec(2*i)))
		}
		for i, x := range fe.x {
			if y := s.Deflection(x, tubeEI); math.Abs(y-fe.u.AtVec(2*i)) > feShare*deep {
				t.Fatalf("deflection %v at %v, elements %v", y, x, fe.u.AtVec(2*i))
			}
		}
		if y, at := s.MaxDeflection(tubeEI); math.Abs(y) < deep*(1-feShare)-1e-9 {
			t.Fatalf("greatest deflection %v at %v, elements have %v", y, at, deep)
		}
		sag, _, hog, _ := s.Extremes()
		for i := range 201 {
			if v := s.Moment(m.LengthM * float64(i) / 200); v > sag+1e-6 || v < hog-1e-6 {
				t.Fatalf("moment %v outside %v to %v", v, hog, sag)
			}
		}
		// EI·y″ = −M away from loads, by central differences.
		for i := 0; i+1 < len(fe.x); i++ {
			x, h := (fe.x[i]+fe.x[i+1])/2, .01
			curve := (s.Deflection(x-h, tubeEI) - 2*s.Deflection(x, tubeEI) + s.Deflection(x+h, tubeEI)) / (h * h) * tubeEI
			if want := -s.Moment(x); math.Abs(curve-want) > 1e-3*(math.Abs(want)+big) {
				t.Fatalf("curvature %v, moment %v at %v", curve, want, x)
			}
		}
		mirror := Member{LengthM: m.LengthM, ClampLeft: m.ClampRight, ClampRight: m.ClampLeft}
		for _, p := range m.Points {
			mirror.Points = append(mirror.Points, Force{m.LengthM - p.AtM, p.N})
		}
		for _, e := range m.Spread {
			mirror.Spread = append(mirror.Spread, Even{m.LengthM - e.ToM, m.LengthM - e.FromM, e.NPerM})
		}
		for _, at := range m.SupportsM {
			mirror.SupportsM = append(mirror.SupportsM, m.LengthM-at)
		}
		o, _ := mirror.Solve()
		for i, r := range o.ReactionsN {
			if math.Abs(r-s.ReactionsN[len(s.ReactionsN)-1-i]) > 1e-6*big {
				t.Fatalf("mirrored reactions %v of %v", o.ReactionsN, s.ReactionsN)
			}
		}
	})
}

// On two supports a member is the simple span it was before.
func TestMemberIsTheSimpleSpan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBeam(t)
		s, _ := Member{LengthM: b.LengthM, SupportsM: []float64{0, b.LengthM}, Points: b.Points, Spread: b.Spread}.Solve()
		l, r := b.Reactions()
		if math.Abs(s.ReactionsN[0]-l) > 1e-6 || math.Abs(s.ReactionsN[1]-r) > 1e-6 {
			t.Fatalf("%v, want %v %v", s.ReactionsN, l, r)
		}
		m, _ := b.MaxMoment()
		if sag, _, hog, _ := s.Extremes(); math.Abs(sag-m) > 1e-6 || math.Abs(hog) > 1e-6 {
			t.Fatalf("%v %v, want %v", sag, hog, m)
		}
	})
}

func BenchmarkMember(b *testing.B) {
	m := Member{LengthM: 14, SupportsM: []float64{0, 2.4, 11.6, 14}, Spread: []Even{{1.2, 12.8, 50}}}
	for i := range 10 {
		m.Points = append(m.Points, Force{1.5 + float64(i), 80})
	}
	for b.Loop() {
		s, _ := m.Solve()
		s.MaxDeflection(tubeEI)
	}
}

func ExampleMember_Solve() {
	s, _ := Member{LengthM: 8, SupportsM: []float64{0, 4, 8}, Spread: []Even{{0, 8, 200}}}.Solve()
	fmt.Printf("%.0f N, %.0f N·m over the middle support\n", s.ReactionsN, s.MomentsNm[1])
	// Output: [300 1000 300] N, -400 N·m over the middle support
}
