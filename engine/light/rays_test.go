package light

import (
	"math"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
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

// TestLooksDimTheHouse: a look's house lights that stay give their share of what
// they give at full, and those that go give nothing.
func TestLooksDimTheHouse(t *testing.T) {
	in := houseWithTransport()
	in.Room.Footprint, in.Room.Ceiling = hallFloor, room.Ceiling{Shape: "flat", Eaves: 26 * si.Foot}
	in.Survey.ExistingUnit = []survey.ExistingLight{{Name: "globes", Kind: "house", Count: 8, Watts: si.Known(si.Power(100)), Fate: "keep"},
		{Name: "old", Kind: "house", Count: 8, Watts: si.Known(si.Power(500)), Fate: "remove"}}
	reflected := func(pct float64) float64 { return EvaluateLook(in, "look", pct, nil).Light.Reflected.FluxLm }
	dark, full := reflected(0), reflected(100)
	const kept = 8 * 100 * tungstenLmPerW // lm
	if got := (reflected(30) - dark) / (full - dark); !(math.Abs(got-.3) <= closedForm) {
		t.Errorf("at 30 %% the house gives %v of its light", got)
	}
	if got := full - dark; !(got > .9*kept*in.LossFactor && got <= kept*in.LossFactor*(1+closedForm)) {
		t.Errorf("at full the house gives %v lm, hung are %v lm", got, kept)
	}
}

// TestDaylightTowardOneCamera: what was taken toward one camera counts there alone,
// what was taken for all counts at each.
func TestDaylightTowardOneCamera(t *testing.T) {
	cams := []Camera{{Name: "A", Zones: []CameraZone{{Zone: "desk", FaceLx: 400}}}, {Name: "B", Zones: []CameraZone{{Zone: "desk", FaceLx: 300}}}}
	got := WithAmbient(cams, []Ambient{{Zone: "desk", Camera: "A", Lx: 50}, {Zone: "desk", Lx: 7}, {Zone: "choir", Lx: 90}})
	if a, b := got[0].Zones[0], got[1].Zones[0]; a.FaceLx != 457 || a.AmbientLx != 57 || b.FaceLx != 307 || b.AmbientLx != 7 || cams[0].Zones[0].FaceLx != 400 {
		t.Errorf("%+v\n%+v", a, b)
	}
}
