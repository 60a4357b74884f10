package electrical

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func burdens(text string, capacity float64) []burden {
	var out []burden
	for _, f := range strings.Fields(text) {
		var v float64
		if _, err := fmt.Sscan(f, &v); err != nil {
			panic(err)
		}
		out = append(out, burden{va: v / capacity})
	}
	return out
}

func heldAll(t rapid.TB, things []burden, most int, p packing) {
	t.Helper()
	seen := map[int]int{}
	for _, b := range p.bins {
		var sum burden
		for _, i := range b {
			seen[i]++
			sum = burden{sum.va + things[i].va, sum.inrush + things[i].inrush}
		}
		if len(b) == 0 || len(b) > most || (len(b) > 1 && (sum.va > fits+1e-9 || sum.inrush > fits+1e-9)) {
			t.Fatalf("bin %v bears %+v", b, sum)
		}
	}
	for i := range things {
		if seen[i] != 1 {
			t.Fatalf("thing %d is in %d bins", i, seen[i])
		}
	}
	if p.least > len(p.bins) {
		t.Fatalf("bound %d above %d bins", p.least, len(p.bins))
	}
}

// Published instances of bin packing with known optimum.
//
// Source: OR-Library binpack1 u120_00 (Falkenauer), optimum 48; R. L. Graham's
// list for the anomaly of first-fit decreasing; a ten-thing case where
// first-fit decreasing needs 4 and 3 do.
func TestPackingOfPublishedInstances(t *testing.T) {
	const u12000 = `42 69 67 57 93 90 38 36 45 42 33 79 27 57 44 84 86 92 46 38 85 33 82 73 49 70 59 23 57 72 74 69 33 42 28 46 30 64 29 74 41 49 55 98 80 32 25 38
82 30 35 39 57 84 62 50 55 27 30 36 20 78 47 26 45 41 58 98 91 96 73 84 37 93 91 43 73 85 81 79 71 80 76 83 41 78 70 23 42 87 43 84 60 55 49 78 73 62 36 44
94 69 32 96 70 84 58 78 25 80 58 66 83 24 98 60 42 43 43 39`
	graham := "442" + strings.Repeat(" 252", 7) + strings.Repeat(" 127", 5) + strings.Repeat(" 106", 4) + " 85 84 46 37 37" +
		strings.Repeat(" 12", 3) + strings.Repeat(" 10", 6) + " 9 9"
	for _, tc := range []struct {
		name     string
		things   string
		capacity float64
		firstFit int // what first-fit decreasing alone needs
		want     int
	}{{"u120_00", u12000, 150, 49, 48}, {"anomaly, all", graham, 524, 7, 7},
		{"anomaly, one thing less", strings.Replace(graham, " 46", "", 1), 524, 8, 7},
		{"ten", "49 41 34 33 29 26 26 22 20 19", 100, 4, 3}} {
		things := burdens(tc.things, tc.capacity)
		s := completion{things: things, most: 999}
		for i := range things {
			s.order = append(s.order, i)
		}
		sort.SliceStable(s.order, func(a, b int) bool { return things[s.order[a]].va > things[s.order[b]].va })
		if n := len(s.firstFit()); n != tc.firstFit {
			t.Errorf("%s: first-fit decreasing %d, want %d", tc.name, n, tc.firstFit)
		}
		p := intoFewest(things, 999, packBudget)
		heldAll(t, things, 999, p)
		if len(p.bins) != tc.want || !p.proven() {
			t.Errorf("%s: %d bins, bound %d, want %d proven", tc.name, len(p.bins), p.least, tc.want)
		}
	}
}

// Against a second method that tries everything; taking a thing away never needs
// more bins.
func TestPackingIsExactWhenSmall(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var things []burden
		var us []unitLoad
		for range rapid.IntRange(0, 9).Draw(t, "n") {
			v := rapid.Float64Range(.05, .9).Draw(t, "share")
			things = append(things, burden{va: v})
			us = append(us, unitLoad{va: v})
		}
		p := intoFewest(things, 99, packBudget)
		heldAll(t, things, 99, p)
		if len(things) == 0 {
			return
		}
		if best := fewest(us, fits); len(p.bins) != best || !p.proven() {
			t.Fatalf("%d bins, bound %d, best %d", len(p.bins), p.least, best)
		}
		if fewer := intoFewest(things[1:], 99, packBudget); len(fewer.bins) > len(p.bins) {
			t.Fatalf("%d bins, one thing less %d", len(p.bins), len(fewer.bins))
		}
	})
}

func TestPackingKeepsBothSharesAndTheCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var things []burden
		for range rapid.IntRange(0, 30).Draw(t, "n") {
			things = append(things, burden{rapid.Float64Range(0, 1.2).Draw(t, "va"), rapid.Float64Range(0, 1.2).Draw(t, "inrush")})
		}
		most := rapid.IntRange(1, 12).Draw(t, "most")
		heldAll(t, things, most, intoFewest(things, most, 20_000))
	})
}

func TestPackingOfOddThings(t *testing.T) {
	if p := intoFewest(nil, 5, 10); len(p.bins) != 0 || !p.proven() {
		t.Errorf("nothing: %+v", p)
	}
	heavy := []burden{{va: 7}, {va: .2}, {va: 3}}
	p := intoFewest(heavy, 0, packBudget)
	heldAll(t, heavy, 1, p)
	if len(p.bins) != 3 {
		t.Errorf("%+v", p)
	}
}

func BenchmarkPackingTwenty(b *testing.B) {
	var things []burden
	for i := range 20 {
		things = append(things, burden{va: .2 + .03*math.Mod(float64(i*7), 11)})
	}
	for b.Loop() {
		intoFewest(things, 10, packBudget)
	}
}
