package phase_test

import (
	"fmt"
	"strings"
	"testing"

	"roodbeam/engine/phase"

	"pgregory.net/rapid"
)

func activities(text string) []phase.Activity {
	var out []phase.Activity
	for _, f := range strings.Split(text, ";") {
		w := strings.Fields(f)
		a := phase.Activity{ID: w[0]}
		fmt.Sscan(w[1], &a.Units)
		if len(w) > 2 {
			a.Needs = strings.Split(w[2], ",")
		}
		out = append(out, a)
	}
	return out
}

// F. S. Hillier and G. J. Lieberman, Introduction to Operations Research: the
// construction project of 14 activities, 44 weeks, critical A-B-C-E-F-J-L-N.
func TestConstructionProject(t *testing.T) {
	acts := activities("A 2;B 4 A;C 10 B;D 6 C;E 4 C;F 5 E;G 7 D;H 9 E,G;I 7 C;J 8 F,I;K 4 J;L 5 J;M 2 H;N 6 K,L")
	want := map[string]phase.Timing{
		"A": {0, 2, 0, 2, 0, 0}, "B": {2, 6, 2, 6, 0, 0}, "C": {6, 16, 6, 16, 0, 0}, "D": {16, 22, 20, 26, 4, 0}, "E": {16, 20, 16, 20, 0, 0},
		"F": {20, 25, 20, 25, 0, 0}, "G": {22, 29, 26, 33, 4, 0}, "H": {29, 38, 33, 42, 4, 0}, "I": {16, 23, 18, 25, 2, 2}, "J": {25, 33, 25, 33, 0, 0},
		"K": {33, 37, 34, 38, 1, 1}, "L": {33, 38, 33, 38, 0, 0}, "M": {38, 40, 42, 44, 4, 4}, "N": {38, 44, 38, 44, 0, 0}}
	got, length, err := phase.CriticalPath(acts)
	if err != nil || length != 44 {
		t.Fatalf("length %d, %v", length, err)
	}
	for i, a := range acts {
		if got[i] != want[a.ID] {
			t.Errorf("%s: %+v, want %+v", a.ID, got[i], want[a.ID])
		}
	}
}

// A published lecture example of 11 activities: 41 units.
func TestElevenActivities(t *testing.T) {
	acts := activities("A 4;B 6 A;C 3 A;D 6 B;E 14 D;F 5 C;G 2 E,F;H 2 G;I 3 G;J 4 H,I;K 2 J")
	want := map[string][4]int{"A": {0, 4, 0, 4}, "B": {4, 10, 4, 10}, "C": {4, 7, 22, 25}, "D": {10, 16, 10, 16}, "E": {16, 30, 16, 30}, "F": {7, 12, 25, 30},
		"G": {30, 32, 30, 32}, "H": {32, 34, 33, 35}, "I": {32, 35, 32, 35}, "J": {35, 39, 35, 39}, "K": {39, 41, 39, 41}}
	got, length, err := phase.CriticalPath(acts)
	if err != nil || length != 41 {
		t.Fatalf("length %d, %v", length, err)
	}
	for i, a := range acts {
		if g := [4]int{got[i].ES, got[i].EF, got[i].LS, got[i].LF}; g != want[a.ID] {
			t.Errorf("%s: %v, want %v", a.ID, g, want[a.ID])
		}
	}
}

// Strip, conduit, beams, hang, focus: without limits on crew and lift 11 half
// days.
func TestHangingJobBound(t *testing.T) {
	acts := activities("strip 2;beamsA 2 strip;beamsB 2 strip;conduit 3;cableL 2 conduit;hang 3 beamsA,beamsB,cableL;focus 2 hang;console 1;train 1 focus,console")
	if _, length, _ := phase.CriticalPath(acts); length != 11 {
		t.Errorf("%d half days, want 11", length)
	}
}

func TestOddNetworks(t *testing.T) {
	if _, _, err := phase.CriticalPath(activities("A 1 B;B 1 A")); err == nil {
		t.Error("a cycle went unnoticed")
	}
	if got, n, err := phase.CriticalPath(nil); len(got) != 0 || n != 0 || err != nil {
		t.Errorf("empty network: %v %d %v", got, n, err)
	}
	got, n, err := phase.CriticalPath(activities("A 0;B 3 A,nobody"))
	if err != nil || n != 3 || got[1].ES != 0 {
		t.Errorf("%v %d %v", got, n, err)
	}
}

// Laws of the method: nothing before its needs, no negative float, late never
// before early, free float within total float, some path without float.
func TestCriticalPathLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var acts []phase.Activity
		for i := range rapid.IntRange(1, 30).Draw(t, "activities") {
			a := phase.Activity{ID: fmt.Sprint(i), Units: rapid.IntRange(0, 9).Draw(t, "units")}
			for j := range i {
				if rapid.IntRange(0, 4).Draw(t, "edge") == 0 {
					a.Needs = append(a.Needs, fmt.Sprint(j))
				}
			}
			acts = append(acts, a)
		}
		got, length, err := phase.CriticalPath(acts)
		if err != nil {
			t.Fatal(err)
		}
		critical := false
		for i, a := range acts {
			g := got[i]
			if g.EF-g.ES != a.Units || g.LF-g.LS != a.Units || g.TF != g.LS-g.ES || g.TF < 0 || g.FF < 0 || g.FF > g.TF || g.LF > length {
				t.Fatalf("%s: %+v", a.ID, g)
			}
			critical = critical || g.TF == 0
			for _, n := range a.Needs {
				var j int
				fmt.Sscan(n, &j)
				if got[j].EF > g.ES || got[j].LF > g.LS {
					t.Fatalf("%s starts before %s is done", a.ID, n)
				}
			}
		}
		if !critical {
			t.Fatal("no critical activity")
		}
	})
}

func ExampleCriticalPath() {
	t, days, _ := phase.CriticalPath([]phase.Activity{{ID: "rig", Units: 3}, {ID: "data", Units: 1}, {ID: "hang", Units: 2, Needs: []string{"rig", "data"}}})
	fmt.Println(days, "days; data may slip", t[1].TF)
	// Output: 5 days; data may slip 2
}
