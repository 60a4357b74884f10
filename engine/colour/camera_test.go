package colour

import (
	"math"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/light"
)

func zone(name string, c XY) light.CameraZone {
	nan := math.NaN()
	return light.CameraZone{Zone: name, FaceLx: 500, KnownPct: 100, ChromaX: c.X, ChromaY: c.Y, CCTK: nan, Mired: nan, Duv: nan}
}

// lines between isotherms leave this much, in mired.
const isothermMired = 1.0

// The isotherms and the formula the whites are made with are two approximations
// of one locus; they differ by this much.
const twoLoci = 3e-4

func TestCameraWhites(t *testing.T) {
	in := []light.Camera{
		{Name: "C1", Zones: []light.CameraZone{zone("choir", Planck(3000)), zone("table", White(5600, .004)), zone("dark", XY{})}},
		{Name: "C2", Zones: []light.CameraZone{zone("choir", Planck(3000)), zone("reader", Planck(3100))}},
		{Name: "C3", Zones: []light.CameraZone{zone("choir", Planck(3000))}},
	}
	out, fs := Cameras(in, "", finding.NewBook(), "us")
	near(t, "spread", out[0].SpreadMired, 1e6/3000-1e6/5600, isothermMired)
	near(t, "tint", out[0].SpreadDuv, .004, twoLoci)
	near(t, "choir", out[0].Zones[0].CCTK, 3000, 3)
	if out[0].Warmest != "choir" || out[0].Coolest != "table" || !math.IsNaN(out[0].Zones[2].CCTK) {
		t.Errorf("%+v", out[0])
	}
	if !math.IsNaN(in[0].Zones[0].CCTK) {
		t.Error("the input was changed")
	}
	if !math.IsNaN(out[2].SpreadMired) {
		t.Error("a spread of one zone")
	}
	if len(fs) != 1 || fs[0].Code != "LIGHT_CAMERA_WHITE" || fs[0].Subject != "camera C1" {
		t.Errorf("findings %v", fs)
	}
	in[0].Zones[1].KnownPct = 80
	if out, _ = Cameras(in, "", nil, ""); !math.IsNaN(out[0].Zones[1].CCTK) || !math.IsNaN(out[0].SpreadMired) {
		t.Errorf("a white of light a fifth of which is unknown: %+v", out[0])
	}
	in[1].Zones[1] = zone("reader", White(3100, .009))
	if _, fs = Cameras(in[1:2], "by day", finding.NewBook(), "us"); len(fs) != 1 || fs[0].Code != "LIGHT_CAMERA_TINT" || fs[0].Subject != "camera C2 by day" {
		t.Errorf("findings %v", fs)
	}
}

func TestLampWhite(t *testing.T) {
	for _, w := range lampWhites {
		k, duv, ok := Nearest(LampWhite(w.nominal))
		if !ok {
			t.Fatalf("%v K is no white", w.nominal)
		}
		near(t, "kelvin", k, w.kelvin, 1)
		near(t, "Duv", duv, w.duv, 1e-5)
	}
	last := 0.0
	for k := 1800.0; k < 10000; k += 100 {
		got, _, ok := Nearest(LampWhite(k))
		if !ok || got <= last {
			t.Errorf("%v K gives %v after %v", k, got, last)
		}
		last = got
	}
	if LampWhite(0) != (XY{}) || LampWhite(-5) != (XY{}) {
		t.Error("a white of no temperature")
	}
}
