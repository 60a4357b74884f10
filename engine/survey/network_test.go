package survey

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/geom"
)

// The derivatives of every kind agree with central differences.
func TestDerivativesAgainstDifferences(t *testing.T) {
	kinds := []Kind{Distance, Horizontal, Height, Rise, OffsetX, OffsetY, Square, SameHeight, CentredX, SameY, Angle, Incline, Offset, Parallel}
	rapid.Check(t, func(t *rapid.T) {
		at := make([]geom.Vec, 4)
		for i := range at {
			at[i] = geom.Vec{X: rapid.Float64Range(-20, 20).Draw(t, "x"), Y: rapid.Float64Range(-40, 10).Draw(t, "y"), Z: rapid.Float64Range(0, 9).Draw(t, "z")}
		}
		for i := range at {
			for k := range i {
				if at[i].Sub(at[k]).Plan().Norm() < 0.5 {
					return // angles of a coincident corner have no derivative
				}
			}
		}
		o := Observation{Kind: rapid.SampledFrom(kinds).Draw(t, "kind"), From: 0, At: 1, To: 2, With: 3}
		if v, _ := o.predict(at, geom.Vec{}, nil); o.Kind == Offset && v < 0.01 {
			return // on the wall the side is open
		}
		free := map[coordinate]bool{}
		for _, c := range o.coordinates() {
			free[c] = true
		}
		_, ps := o.predict(at, geom.Vec{X: 3, Y: 4, Z: 5}, nil)
		for point := range at {
			for axis := range 3 {
				var got float64
				for _, p := range ps {
					if !free[coordinate{p.point, p.axis}] {
						t.Fatalf("%s: coordinate %v is not declared", o.Kind, p)
					}
					if p.point == point && p.axis == axis {
						got += p.d
					}
				}
				const h = 1e-5
				c := coord(at[point], axis)
				setCoord(&at[point], axis, c+h)
				up, _ := o.predict(at, geom.Vec{}, nil)
				setCoord(&at[point], axis, c-h)
				down, _ := o.predict(at, geom.Vec{}, nil)
				setCoord(&at[point], axis, c)
				if o.Kind == Angle {
					up = down + math.Remainder(up-down, 2*math.Pi)
				}
				if want := (up - down) / (2 * h); math.Abs(got-want) > 1e-6 {
					t.Fatalf("%s: d/d(point %d, axis %d) = %v, by differences %v", o.Kind, point, axis, got, want)
				}
			}
		}
	})
}

// The covariance agrees with the scatter of the solution under the noise it is
// computed from.
func TestCovarianceAgainstScatter(t *testing.T) {
	build := func(noise func() float64) *net {
		n := newNet()
		n.fixed("1", 0, 0, 0)
		n.fixed("2", 12, 0, 0)
		n.fixed("3", 12, -18, 0)
		n.near("P", 5, -7)
		p := geom.Vec{X: 5, Y: -7}
		for i, from := range []string{"1", "2", "3"} {
			d := p.Sub(n.Points[i].FixedAt).Norm()
			n.obs(Distance, from, "P", d+.01*noise(), .01)
		}
		return n
	}
	seed := uint64(7)
	noise := func() float64 {
		var s float64
		for range 12 {
			seed = seed*6364136223846793005 + 1442695040888963407
			s += float64(seed>>11) / (1 << 53)
		}
		return s - 6
	}
	const runs = 20000
	var sx, sy, sxy float64
	for range runs {
		s := mustAdjust(t, build(noise).Network, Options{KeepAll: true})
		dx, dy := s.Points[3].At.X-5, s.Points[3].At.Y+7
		sx, sy, sxy = sx+dx*dx, sy+dy*dy, sxy+dx*dy
	}
	cov := mustAdjust(t, build(func() float64 { return 0 }).Network, Options{}).Points[3].Cov
	// Three standard errors of a variance from 20,000 runs: 3·√(2/20000) = 3 %.
	near(t, "var x", sx/runs, cov[0][0], .03*cov[0][0])
	near(t, "var y", sy/runs, cov[1][1], .03*cov[1][1])
	near(t, "cov xy", sxy/runs, cov[0][1], .03*math.Sqrt(cov[0][0]*cov[1][1]))
}
