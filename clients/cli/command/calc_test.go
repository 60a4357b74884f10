package command

import (
	"bytes"
	"math"
	"testing"

	pb "roodbeam/api/gen/roodbeam/v1"
)

func TestShutterTimes(t *testing.T) {
	for text, want := range map[string]float64{"1/60": 1.0 / 60, "1/60 s": 1.0 / 60, "0.02s": .02, " 1 / 125 ": 1.0 / 125, "2": 2, "1/60S": 1.0 / 60} {
		if got, ok := seconds(text); !ok || math.Abs(got-want) > 1e-12 {
			t.Errorf("%q is %v, %v, want %v", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "s", "1/", "/60", "1/0", "-1/60", "fast", "0", "NaN", "1/NaN"} {
		if got, ok := seconds(text); ok {
			t.Errorf("%q is read as %v s", text, got)
		}
	}
}

func TestSupplies(t *testing.T) {
	var errOut bytes.Buffer
	c := &call{streams: &streams{err: &errOut}}
	for text, want := range map[string]pb.SupplySystem{"208V/1ph": pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W, "230V": pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W,
		"400 V/3PH": pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W} {
		if _, got, ok := supplied(c, text); !ok || got != want {
			t.Errorf("%q: %v %v", text, got, ok)
		}
	}
	if _, _, ok := supplied(c, "400V/2ph"); ok || errOut.Len() == 0 {
		t.Error("two-phase is taken without a word")
	}
}

func TestWireTexts(t *testing.T) {
	for text, want := range map[string][2]string{"4x12 AWG": {"4", "12 AWG"}, "12 AWG": {"", "12 AWG"}, "3 × 10 awg": {"3", "10 awg"}, "2*1/0 AWG": {"2", "1/0 AWG"}} {
		m := wireText.FindStringSubmatch(text)
		if m == nil || m[1] != want[0] || m[2] != want[1] {
			t.Errorf("%q: %q", text, m)
		}
	}
	if m := wireText.FindStringSubmatch("  "); m != nil {
		t.Errorf("nothing is read as %q", m)
	}
}

func FuzzShutterTimes(f *testing.F) {
	for _, s := range []string{"1/60", "0.5s", "1/", "x", "1e308/1e-308"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if v, ok := seconds(text); ok && !(v > 0) {
			t.Errorf("%q is %v s", text, v)
		}
	})
}
