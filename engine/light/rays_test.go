package light

import (
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// TestKeptRaysChangeNothing: looks at other levels, one with a unit off, give bit
// for bit the same with rays kept from one to the next as without; and the second
// look casts none onto surfaces anew.
func TestKeptRaysChangeNothing(t *testing.T) {
	in := houseWithTransport()
	var kept Rays
	all := cmp.Options{cmpopts.EquateNaNs(), cmp.Exporter(func(reflect.Type) bool { return true })}
	cast := 0
	for look, level := range []float64{1, .37, 0, .8} {
		in.Sources[0].Level = level
		in.Sources[1].Level = 1 - level/3
		in.Rays = nil
		want := EvaluateLook(in, "look", 30, nil)
		in.Rays = &kept
		got := EvaluateLook(in, "look", 30, nil)
		if diff := cmp.Diff(want, got, all); diff != "" {
			t.Fatalf("look %d (-without +with):\n%s", look, diff)
		}
		if look == 0 {
			cast = len(kept.shots)
		}
	}
	if cast == 0 || len(kept.shots) != cast {
		t.Errorf("%d shots after the first look, %d after the last", cast, len(kept.shots))
	}
}
