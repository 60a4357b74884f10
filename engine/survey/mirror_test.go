package survey

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/geom"
)

func TestMirroredPlacesAreTold(t *testing.T) {
	for _, tc := range []struct {
		name, rows string
		group      []string
		at         geom.Vec
		level      bool
	}{
		{"two distances", "fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\ndistance,A,,C,8.000 m,3mm\ndistance,B,,C,7.000 m,3mm\n",
			[]string{"C"}, geom.Vec{X: 5.75, Y: -math.Sqrt(64 - 5.75*5.75)}, false},
		{"a room on two corners", tapedRoomRows, []string{"C", "D"}, geom.Vec{}, false},
		{"from a row of stations", "fixed,,A,,0 0 m,\nfixed,,B,,5 0 m,\nfixed,,C,,10 0 m,\ndistance,A,,P,5.000 m,3mm\ndistance,B,,P,4.472 m,3mm\ndistance,C,,P,8.062 m,3mm\n",
			[]string{"P"}, geom.Vec{X: 3, Y: -4}, false},
		{"four slant distances", "fixed,,1,,1200 900 900 m,\nfixed,,2,,900 600 900 m,\nfixed,,3,,600 900 900 m,\nfixed,,4,,900 1200 900 m,\n" +
			"distance,1,,P,499.99 m,10mm\ndistance,2,,P,500.00 m,10mm\ndistance,3,,P,500.01 m,10mm\ndistance,4,,P,500.02 m,10mm\n",
			[]string{"P"}, geom.Vec{X: 900.0167, Y: 899.9833, Z: 499.9938}, true},
	} {
		l := mustList(t, listHead+tc.rows)
		s, err := l.Adjust(Options{})
		if err != nil {
			t.Fatal(err)
		}
		ms := s.Mirrored()
		if len(ms) != 1 {
			t.Errorf("%s: %+v", tc.name, ms)
			continue
		}
		var names []string
		for _, p := range ms[0].Points {
			names = append(names, s.Points[p].Name)
		}
		if strings.Join(names, " ") != strings.Join(tc.group, " ") || ms[0].Level != tc.level {
			t.Errorf("%s: %v, level %v", tc.name, names, ms[0].Level)
		}
		if tc.at != (geom.Vec{}) && ms[0].At[0].Sub(tc.at).Norm() > 2e-3 {
			t.Errorf("%s: %v, want %v", tc.name, ms[0].At[0], tc.at)
		}
		if len(s.Doubts()) != 1 || !strings.Contains(s.Doubts()[0], tc.group[0]+" ") && !strings.Contains(s.Doubts()[0], tc.group[0]+",") {
			t.Errorf("%s: %q", tc.name, s.Doubts())
		}
	}
}

// tapedRoomRows hang a room of four corners on two of them.
const tapedRoomRows = "fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\ndistance,A,,C,18.868 m,3mm\ndistance,B,,C,16 m,3mm\ndistance,A,,D,16 m,3mm\ndistance,B,,D,18.868 m,3mm\ndistance,C,,D,10 m,3mm\n"

func TestToldPlacesAreNotDoubted(t *testing.T) {
	for name, rows := range map[string]string{
		"a guess":        "fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\nnear,,C,,5 -5 m,\ndistance,A,,C,8.000 m,3mm\ndistance,B,,C,7.000 m,3mm\n",
		"a third":        "fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\nfixed,,D,,3 9 m,\ndistance,A,,C,8.000 m,3mm\ndistance,B,,C,7.000 m,3mm\ndistance,D,,C,4.402 m,3mm\n",
		"an angle":       "fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\nangle,C,A,B,44-02-46,1 deg\ndistance,A,,C,8.000 m,3mm\ndistance,B,,C,7.000 m,3mm\n",
		"guesses enough": "near,,C,,5 15 m,\nnear,,D,,0 15 m,\n" + tapedRoomRows,
		"on the line":    "fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\ndistance,A,,C,4.000 m,3mm\ndistance,B,,C,6.000 m,3mm\n",
		"a height":       "fixed,,A,,0 0 0 m,\nheight,,B,,5 m,3mm\n",
	} {
		l := mustList(t, listHead+rows)
		if d := mustAdjust(t, l.Network, Options{}).Doubts(); len(d) != 0 {
			t.Errorf("%s: %q", name, d)
		}
	}
}

func TestNetworksThatHangOnNothing(t *testing.T) {
	free := mustList(t, listHead+"distance,A,,B,10 m,3mm\ndistance,B,,C,8 m,3mm\ndistance,A,,C,9 m,3mm\n")
	s := mustAdjust(t, free.Network, Options{})
	if g := s.Afloat(); len(g) != 1 || len(g[0].Points) != 3 || !g[0].Moves {
		t.Errorf("a triangle without a place: %v", g)
	}
	turning := mustList(t, listHead+"fixed,,A,,0 0 m,\ndistance,A,,B,10 m,3mm\ndistance,B,,C,8 m,3mm\ndistance,A,,C,9 m,3mm\n")
	s = mustAdjust(t, turning.Network, Options{})
	if g := s.Afloat(); len(g) != 1 || len(g[0].Points) != 2 || g[0].Moves {
		t.Errorf("a triangle on one place: %v", g)
	}
	island := mustList(t, listHead+"fixed,,A,,0 0 m,\nfixed,,B,,10 0 m,\nnear,,C,,8 8 m,\ndistance,A,,C,12 m,3mm\ndistance,B,,C,9 m,3mm\ndistance,X,,Y,5 m,3mm\ndistance,Y,,Z,4 m,3mm\ndistance,X,,Z,3 m,3mm\n")
	s = mustAdjust(t, island.Network, Options{})
	if d := s.Doubts(); len(d) != 1 || !strings.Contains(d[0], "X, Y, Z") {
		t.Errorf("an island: %q", d)
	}
	// A chain that can fold is no rigid body: its stations are named one by one.
	chain := mustList(t, listHead+"fixed,,A,,0 0 m,\ndistance,A,,B,5 m,3mm\ndistance,B,,C,5 m,3mm\n")
	s = mustAdjust(t, chain.Network, Options{})
	if g := s.Afloat(); len(g) != 0 {
		t.Errorf("a chain: %v", g)
	}
}
