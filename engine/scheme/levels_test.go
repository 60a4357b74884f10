package scheme

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestLevelsAreOptimal checks the conditions of Karush, Kuhn and Tucker: a level
// inside its bounds has no slope, one at a bound has a slope that holds it there.
func TestLevelsAreOptimal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var l levels
		for range rapid.IntRange(1, 8).Draw(t, "points") {
			l.weight = append(l.weight, rapid.Float64Range(0.1, 1).Draw(t, "weight"))
			l.rest = append(l.rest, rapid.Float64Range(0, 1).Draw(t, "rest"))
		}
		for range rapid.IntRange(0, 6).Draw(t, "units") {
			row := make([]float64, len(l.rest))
			for k := range row {
				row[k] = rapid.Float64Range(0, 1).Draw(t, "share")
			}
			l.full = append(l.full, row)
		}
		x := l.solve()
		for u, row := range l.full {
			slope := -fullPull * (1 - x[u])
			for k, a := range row {
				left := l.rest[k]
				for v, other := range l.full {
					left -= x[v] * other[k]
				}
				slope -= l.weight[k] * a * left
			}
			switch {
			case x[u] < leastLevel-1e-9 || x[u] > 1+1e-9:
				t.Fatalf("level %v", x[u])
			case x[u] <= leastLevel+1e-9 && slope >= -1e-5, x[u] >= 1-1e-9 && slope <= 1e-5, math.Abs(slope) < 1e-5:
			default:
				t.Fatalf("unit %d at %v has slope %v", u, x[u], slope)
			}
		}
	})
}

func TestLevelsEvenAZoneOut(t *testing.T) {
	r := plainRoom(5.0, -2)
	b := with(area("choir", "singing", -3, 3, 0.5, 1.7, 500))
	s, _ := proposal(r, b, testFixtures())
	for i := range s.Units {
		s.Units[i].LevelPct = 100
	}
	s.Units[0].Locked = true
	got := Levels(ProposeInput{Room: r, Brief: b, Catalogue: testFixtures(), Keep: s, Book: book})
	spread := func(s Scheme) float64 {
		placed, _ := Place(PlaceInput{Scheme: s, Room: r, Brief: b, Catalogue: testFixtures(), Book: book})
		sum := 0.0
		for _, f := range zoneFaces(b.Zones[0], r) {
			d := verticalAt(f, placed, r)/500 - 1
			sum += d * d
		}
		return sum
	}
	if was, now := spread(s), spread(got); now > was {
		t.Errorf("squared deviations %v, were %v", now, was)
	}
	if got.Units[0].LevelPct != 100 {
		t.Errorf("the locked unit's level is %v", got.Units[0].LevelPct)
	}
}
