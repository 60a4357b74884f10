package survey

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"roodbeam/engine/geom"
)

// gridNet is a net of n stations in space, four measurements each: distances to
// neighbours and heights, with small errors.
func gridNet(n int) Network {
	side := int(math.Ceil(math.Sqrt(float64(n))))
	rnd := rand.New(rand.NewPCG(1, uint64(n)))
	out := newNet()
	at := make([]geom.Vec, n)
	for i := range n {
		at[i] = geom.Vec{X: float64(i%side)*2 + .3*rnd.Float64(), Y: float64(i/side)*2 + .3*rnd.Float64(), Z: float64(i%3) * .5}
		if i == 0 || i == 1 || i == side {
			out.fixed(fmt.Sprint(i), at[i].X, at[i].Y, at[i].Z)
		} else {
			out.point(Point{Name: fmt.Sprint(i), Near: [3]bool{true, true, true}, NearAt: at[i].Add(geom.Vec{X: .05, Y: -.03})})
		}
	}
	add := func(i, k int) {
		if len(out.Observations) < 4*n {
			d := at[k].Sub(at[i]).Norm()
			out.obs(Distance, fmt.Sprint(i), fmt.Sprint(k), d+.003*rnd.NormFloat64(), .003)
		}
	}
	for i := range n {
		out.Observations = append(out.Observations, Observation{ID: fmt.Sprint("h", i), Kind: Height, From: -1, At: -1, To: i,
			Value: at[i].Z + .005*rnd.NormFloat64(), Sigma: .005})
	}
	for _, step := range [][2]int{{1, 0}, {0, 1}, {1, 1}, {-1, 1}, {2, 1}} {
		for i := range n {
			x, y := i%side+step[0], i/side+step[1]
			if k := x + y*side; x >= 0 && x < side && k < n {
				add(i, k)
			}
		}
	}
	return out.Network
}

// hubNet is a net as a laser on a few stands makes it: every point seen from four
// of them.
func hubNet(n, hubs int) Network {
	rnd := rand.New(rand.NewPCG(2, uint64(n)))
	out := newNet()
	at := make([]geom.Vec, n)
	for i := range n {
		at[i] = geom.Vec{X: 20 * rnd.Float64(), Y: 30 * rnd.Float64(), Z: 6 * rnd.Float64()}
		if i < 3 {
			out.fixed(fmt.Sprint(i), at[i].X, at[i].Y, at[i].Z)
		} else {
			out.point(Point{Name: fmt.Sprint(i), Near: [3]bool{true, true, true}, NearAt: at[i].Add(geom.Vec{X: .05, Z: .04})})
		}
	}
	for i := range n {
		for k := range 4 {
			if h := (i + k*7) % hubs; h != i {
				out.obs(Distance, fmt.Sprint(h), fmt.Sprint(i), at[h].Sub(at[i]).Norm()+.003*rnd.NormFloat64(), .003)
			}
		}
	}
	return out.Network
}

func benchAdjust(b *testing.B, n Network) {
	for b.Loop() {
		s, err := Adjust(n, Options{})
		if err != nil || s.Rank != s.Unknowns {
			b.Fatal(err, s.Rank, s.Unknowns)
		}
	}
	b.ReportMetric(float64(len(n.Observations)), "measurements")
}

// Solving with the covariance of every station and the search for suspects, and
// how it grows.
func BenchmarkAdjust100(b *testing.B)      { benchAdjust(b, gridNet(100)) }
func BenchmarkAdjust200(b *testing.B)      { benchAdjust(b, gridNet(200)) }
func BenchmarkAdjust500(b *testing.B)      { benchAdjust(b, gridNet(500)) }
func BenchmarkAdjust1000(b *testing.B)     { benchAdjust(b, gridNet(1000)) }
func BenchmarkAdjustHubs1000(b *testing.B) { benchAdjust(b, hubNet(1000, 12)) }

// 500 candidates for what to measure next in 100 stations, by what they do to 60
// quantities.
func BenchmarkRankNext500(b *testing.B) {
	s, err := Adjust(gridNet(100), Options{})
	if err != nil {
		b.Fatal(err)
	}
	quantities, candidates := s.Coordinates()[:60], s.Pairs(.003, 500)
	if len(candidates) != 500 {
		b.Fatal(len(candidates))
	}
	for b.Loop() {
		if got := s.RankNext(quantities, candidates); len(got) == 0 {
			b.Fatal("nothing ranked")
		}
	}
}

// A solution that must lead back to the network's own covariance: what the sparse
// inverse says of one station against a solve with unit vectors.
func TestSelectedInverseAgainstSolves(t *testing.T) {
	for _, n := range []Network{gridNet(60), hubNet(80, 6), randomRoom(5, 1).Network} {
		s := mustAdjust(t, n, Options{KeepAll: true})
		for i := range s.Points {
			for axis := range 3 {
				if s.state.unknown[i][axis] < 0 {
					continue
				}
				v := s.state.vector([]partial{{i, axis, 1}})
				for other := range 3 {
					if s.state.unknown[i][other] < 0 {
						continue
					}
					w := s.state.vector([]partial{{i, other, 1}})
					near(t, fmt.Sprint("cov ", i, axis, other), s.Points[i].Cov[axis][other], s.state.product(v, w), 1e-9*math.Sqrt(s.Points[i].Cov[axis][axis]*s.Points[i].Cov[other][other])+1e-18)
				}
			}
		}
	}
}
