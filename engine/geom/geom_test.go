package geom

import (
	"math"
	"testing"
)

// Inside, outside, past a corner, on an edge, and of polygons without an extent;
// heights count for nothing.
func TestNearestPlan(t *testing.T) {
	square := Polygon{{Z: 3}, {X: 4, Z: 5}, {X: 4, Y: 2}, {Y: 2}}
	for _, tc := range []struct {
		p        Polygon
		x, y     float64
		at       Vec
		distance float64
	}{
		{square, 1, 0.5, Vec{X: 1}, 0.5},
		{square, 2, -3, Vec{X: 2}, 3},
		{square, 7, 6, Vec{X: 4, Y: 2}, 5},
		{square, 4, 1, Vec{X: 4, Y: 1}, 0},
		{Polygon{{X: 1, Y: 1}}, 4, 5, Vec{X: 1, Y: 1}, 5},
		{Polygon{{X: 1}, {X: 1}}, 1, 2, Vec{X: 1}, 2},
		{nil, 4, 5, Vec{X: 4, Y: 5}, math.Inf(1)},
	} {
		if at, d := tc.p.NearestPlan(tc.x, tc.y); at != tc.at || d != tc.distance {
			t.Errorf("(%v, %v) and %v: %v, %v m; want %v, %v m", tc.x, tc.y, tc.p, at, d, tc.at, tc.distance)
		}
	}
}
