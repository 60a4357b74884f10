package survey

import (
	"fmt"
	"math"
	"testing"
)

// course is one side of a traverse: its bearing from north or south toward east or
// west, and its length in feet.
type course struct {
	ns       float64 // +1 north, −1 south
	deg      float64
	ew       float64 // +1 east, −1 west
	length   float64
	lat, dep float64 // printed
}

func dms(d, m, s float64) float64 { return d + m/60 + s/3600 }

// traverse is a polygon course from a known point to a known point.
type traverse struct {
	name            string
	northA, eastA   float64
	northZ, eastZ   float64
	courses         []course
	adjusted        bool // lat and dep are printed adjusted
	digits          float64
	miscloseNorth   float64 // of the courses against the known points, computed
	miscloseEast    float64
	ratio           float64 // one in so many
	adjustedCorners [][2]float64
}

// The compass rule shares out a misclosure by length. That is another method than
// the adjustment of distances and angles, but the same as a least-squares
// adjustment of latitudes and departures whose variances grow with the length, so
// that the published traverses test the levelling part of the solver twice each.
//
// Source: open surveying course, traverse computations, examples of chapters H and
// I (printed to the thousandth, each leg rounded by itself); adjusted corners and
// misclosures recomputed. The equivalence: Ghilani & Wolf, Adjustment
// Computations, 4th ed. (from memory).
func TestTraversesByTheCompassRule(t *testing.T) {
	for _, tr := range []traverse{
		{name: "loop A", northA: 500, eastA: 2000, northZ: 500, eastZ: 2000, digits: 6e-4, miscloseNorth: .0827, miscloseEast: .0744, ratio: 12116,
			courses: []course{{-1, dms(68, 5, 35), -1, 472.68, -176.357, -438.548}, {1, dms(19, 46, 0), -1, 216.13, 203.395, -73.093},
				{1, dms(45, 55, 20), 1, 276.52, 192.357, 198.651}, {-1, dms(54, 59, 15), 1, 382.24, -219.312, 313.065}},
			adjustedCorners: [][2]float64{{323.614, 1561.426}, {526.996, 1488.321}, {719.336, 1686.956}}},
		{name: "link Q to T", northA: 2600.480, eastA: 1391.670, northZ: 2713.780, eastZ: 1727.810, digits: 1.1e-3, adjusted: true, miscloseNorth: .0541, miscloseEast: -.0703, ratio: 16068,
			courses: []course{{-1, dms(56, 23, 38), 1, 398.75, -220.715, 332.124}, {-1, dms(75, 17, 42), -1, 422.89, -107.363, -409.017},
				{1, dms(43, 5, 47), 1, 604.49, 441.379, 413.034}}},
		{name: "loop 2", northA: 5000, eastA: 10000, northZ: 5000, eastZ: 10000, digits: 6e-4, miscloseNorth: math.NaN(), miscloseEast: math.NaN(), ratio: 22517,
			courses: []course{{1, dms(22, 36, 40), -1, 314.02, 289.883, -120.733}, {-1, dms(60, 39, 24), -1, 264.49, -129.611, -230.556},
				{-1, dms(38, 46, 10), 1, 213.50, -166.460, 133.691}, {1, dms(88, 22, 58), 1, 217.69, 6.144, 217.603}},
			adjustedCorners: [][2]float64{{5289.897, 9879.265}, {5160.297, 9648.708}, {4993.847, 9782.398}}},
	} {
		t.Run(tr.name, func(t *testing.T) { tr.check(t) })
	}
}

func (tr traverse) check(t *testing.T) {
	raw := func(c course) (lat, dep float64) {
		s, k := math.Sincos(c.deg * math.Pi / 180)
		return c.ns * c.length * k, c.ew * c.length * s
	}
	sumN, sumE, length := 0.0, 0.0, 0.0
	for _, c := range tr.courses {
		lat, dep := raw(c)
		sumN, sumE, length = sumN+lat, sumE+dep, length+c.length
		if !tr.adjusted {
			near(t, "latitude", lat, c.lat, tr.digits)
			near(t, "departure", dep, c.dep, tr.digits)
		}
	}
	missN, missE := sumN-(tr.northZ-tr.northA), sumE-(tr.eastZ-tr.eastA)
	if !math.IsNaN(tr.miscloseNorth) {
		near(t, "misclosure north", missN, tr.miscloseNorth, 6e-5)
		near(t, "misclosure east", missE, tr.miscloseEast, 6e-5)
	}
	near(t, "one in", length/math.Hypot(missN, missE), tr.ratio, 1)

	solve := func(from, to float64, of func(course) float64) []float64 {
		n := newNet()
		n.fixed("0", 0, 0, from)
		for i := 1; i < len(tr.courses); i++ {
			n.level(fmt.Sprint(i))
		}
		n.fixed(fmt.Sprint(len(tr.courses)), 0, 0, to)
		for i, c := range tr.courses {
			n.obs(Rise, fmt.Sprint(i), fmt.Sprint(i+1), of(c), math.Sqrt(c.length)*1e-2)
		}
		s := mustAdjust(t, n.Network, Options{KeepAll: true})
		out := make([]float64, len(tr.courses)+1)
		for name, i := range n.index {
			var k int
			if _, err := fmt.Sscan(name, &k); err != nil {
				t.Fatal(err)
			}
			out[k] = s.Points[i].At.Z
		}
		return out
	}
	north := solve(tr.northA, tr.northZ, func(c course) float64 { lat, _ := raw(c); return lat })
	east := solve(tr.eastA, tr.eastZ, func(c course) float64 { _, dep := raw(c); return dep })
	for i, c := range tr.courses {
		// The rule itself: each leg takes its length's share.
		lat, dep := raw(c)
		near(t, "rule, north", north[i+1]-north[i], lat-missN*c.length/length, 1e-9)
		near(t, "rule, east", east[i+1]-east[i], dep-missE*c.length/length, 1e-9)
		if tr.adjusted {
			near(t, "adjusted latitude", north[i+1]-north[i], c.lat, tr.digits)
			near(t, "adjusted departure", east[i+1]-east[i], c.dep, tr.digits)
		}
	}
	for i, want := range tr.adjustedCorners {
		near(t, "corner north", north[i+1], want[0], 6e-4)
		near(t, "corner east", east[i+1], want[1], 6e-4)
	}
}
