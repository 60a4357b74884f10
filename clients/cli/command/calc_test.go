package command

import (
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
	const two, three, star, delta = pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_2W, pb.SupplySystem_SUPPLY_SYSTEM_SINGLE_PHASE_3W,
		pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_4W, pb.SupplySystem_SUPPLY_SYSTEM_THREE_PHASE_3W
	for text, want := range map[string]supply{
		"208V/1ph": {two, "208V", ""}, "230V": {0, "230V", ""}, "400 V/3PH": {star, "400 V", ""}, "1ph2w/230V/100A": {two, "230V", "100A"},
		"1ph3w/120V/125A": {three, "120V", "125A"}, "3ph3w/480 V": {delta, "480 V", ""}, "230V/1ph/100A": {two, "230V", "100A"}, "1ph3w/120/100": {three, "120", "100"},
		"1ph/230V": {two, "230V", ""}, "1ph2w//100A": {two, "", "100A"}, "1ph2w": {two, "", ""}} {
		if got, err := readSupply(text); err != nil || got != want {
			t.Errorf("%q: %+v %v, want %+v", text, got, err, want)
		}
	}
	for _, text := range []string{"400V/2ph", "230V/400V/1ph/2ph", "1ph/1ph", "mains", "2ph4w/400V", "1ph2w/230V/100A/50A"} {
		if got, err := readSupply(text); err == nil {
			t.Errorf("%q is read as %+v", text, got)
		}
	}
	for _, text := range []string{"1ph", "100A"} {
		if _, _, err := supplied(text); err == nil {
			t.Errorf("%q is a supply without a voltage", text)
		}
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
