package light

import (
	"fmt"
	"math"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/geom"
	"roodbeam/engine/si"
)

// Values computed here from ISO 2720:1974: f/2.8, 1/60 s, ISO 800.
func TestExposure(t *testing.T) {
	within(t, "C 250", ExposureLx(800, 2.8, 1./60, 250), 147.0, .05)
	within(t, "C 340", ExposureLx(800, 2.8, 1./60, 340), 199.9, .05)
	within(t, "EV100 of 500 lx", EV100(500, CalibrationC), 7.6439, 1e-4)
	within(t, "EV100 of the settings", SettingsEV100(800, 2.8, 1./60), math.Log2(2.8*2.8*60*100/800), 1e-9)
	within(t, "grey of 12.5 and 250", ImpliedGrey(CalibrationK, CalibrationC), .15708, 1e-5)
	within(t, "stops", Stops(400, 100), 2, 1e-12)
	for what, v := range map[string]float64{
		"no ISO": ExposureLx(0, 2.8, .02, 250), "no aperture": ExposureLx(800, 0, .02, 250), "no time": ExposureLx(800, 2.8, 0, 250),
		"no constant": ExposureLx(800, 2.8, .02, 0), "EV of less than nothing": EV100(-1, 250), "stops from the dark": Stops(5, 0),
	} {
		if !math.IsNaN(v) {
			t.Errorf("%s = %v", what, v)
		}
	}
	if !math.IsInf(EV100(0, 250), -1) {
		t.Error("EV of the dark")
	}
}

// filmed is an empty room with two zones of one face each, 4 m apart, lit by a
// unit apiece from the front, and a camera straight before them.
func filmed(secondLevel float64) Input {
	l := func(m float64) brief.L { return si.Known(si.Length(m)) }
	zone := func(name string, x float64) brief.Zone {
		return brief.Zone{Name: name, Camera: true, Faces: []brief.Face{{Name: name, X: l(x), Y: l(1), Z: l(1.6)}}}
	}
	unit := func(name string, x, level float64, chromaX, chromaY float64) Source {
		return Source{ID: name, Zone: name, At: geom.Vec{X: x, Y: -4, Z: 1.6}, Aim: geom.Vec{X: x, Y: 1, Z: 1.6}, Level: level,
			Dist: beamOf(10), ChromaX: chromaX, ChromaY: chromaY}
	}
	return Input{
		Brief: brief.Brief{
			Zones:   []brief.Zone{zone("left", -20), zone("right", 20)},
			Cameras: []brief.Camera{{Name: "C1", X: l(0), Y: l(-1e6), Z: l(1.6), ISO: 800, Aperture: 2.8, ShutterS: 1. / 60}, {Name: "no place"}},
		},
		Sources:    []Source{unit("left", -20, 1, .44, .40), unit("right", 20, secondLevel, .31, .32)},
		Book:       finding.NewBook(),
		LossFactor: 1,
	}
}

// beamOf is a narrow beam that gives a face 5 m away 14 700 cd / 25 m².
func beamOf(fieldDeg float64) narrow { return narrow{14700, fieldDeg} }

type narrow struct{ cd, fieldDeg float64 }

func (n narrow) Intensity(d geom.Vec) float64 {
	if math.Acos(-d.Z)*180/math.Pi > n.fieldDeg/2 {
		return 0
	}
	return n.cd
}
func (n narrow) FluxLm() float64 {
	return n.cd * 2 * math.Pi * (1 - math.Cos(n.fieldDeg/2*math.Pi/180))
}
func (n narrow) PeakCd() float64   { return n.cd }
func (n narrow) BeamDeg() float64  { return n.fieldDeg }
func (n narrow) FieldDeg() float64 { return n.fieldDeg }

func codesOf(fs []finding.Finding, prefix string) string {
	out := ""
	for _, f := range fs {
		if len(f.Code) >= len(prefix) && f.Code[:len(prefix)] == prefix {
			out += f.Code + " " + f.Subject + "; "
		}
	}
	return out
}

func TestCameraExposureAndSpread(t *testing.T) {
	rep, fs := Evaluate(filmed(.5))
	if len(rep.Cameras) != 1 || len(rep.Cameras[0].Zones) != 2 {
		t.Fatalf("%+v", rep.Cameras)
	}
	c := rep.Cameras[0]
	within(t, "wanted", c.WantedLx, 147, .05)
	within(t, "left", c.Zones[0].FaceLx, 588, .1)
	within(t, "right", c.Zones[1].FaceLx, 294, .1)
	within(t, "left over the settings", c.Zones[0].OffStops, 2, 1e-3)
	within(t, "right over the settings", c.Zones[1].OffStops, 1, 1e-3)
	within(t, "spread", c.SpreadStops, 1, 1e-9)
	within(t, "EV", c.Zones[0].EV, EV100(588, 250), 1e-3)
	if c.Brightest != "left" || c.Darkest != "right" {
		t.Errorf("%+v", c)
	}
	if got, want := codesOf(fs, "LIGHT_CAMERA"), "LIGHT_CAMERA_SPREAD camera C1; LIGHT_CAMERA_BRIGHT camera C1, zone left; "; got != want {
		t.Errorf("findings %q, want %q", got, want)
	}
	within(t, "chromaticity", c.Zones[0].ChromaX, .44, 1e-9)
	within(t, "chromaticity", c.Zones[1].ChromaY, .32, 1e-9)
}

func TestCameraWithAmbientLight(t *testing.T) {
	rep, _ := Evaluate(filmed(1))
	ambient := []Ambient{{Zone: "right", Lx: 588, ChromaX: .31271, ChromaY: .32902}, {Zone: "elsewhere", Lx: 1e5}, {Zone: "left", Lx: math.Inf(1)}}
	day := WithAmbient(rep.Cameras, ambient)
	z := day[0].Zones[1]
	within(t, "right", z.FaceLx, 1176, .2)
	within(t, "least", z.LeastLx, 1176, .2)
	within(t, "of it ambient", z.AmbientLx, 588, 1e-9)
	within(t, "spread", day[0].SpreadStops, 1, 1e-3)
	within(t, "over the settings", z.OffStops, 3, 1e-3)
	// Equal amounts: the weights are 1/y.
	wantX := (.31/.32 + .31271/.32902) / (1/.32 + 1/.32902)
	within(t, "mixed x", z.ChromaX, wantX, 1e-5)
	within(t, "known", z.KnownPct, 100, 1e-9)
	if rep.Cameras[0].Zones[1].AmbientLx != 0 || rep.Cameras[0].SpreadStops != 0 {
		t.Errorf("the rows without it changed: %+v", rep.Cameras[0])
	}
	ambient[0].ChromaX = 0 // half of the light of unknown white
	if z = WithAmbient(rep.Cameras, ambient)[0].Zones[1]; math.Abs(z.KnownPct-50) > .1 || math.Abs(z.ChromaX-.31) > 1e-9 {
		t.Errorf("half-unknown light: %+v", z)
	}
	fs := CheckCameras(day, "by day", finding.NewBook(), "us")
	if got := codesOf(fs, "LIGHT_CAMERA_SPREAD"); got != "LIGHT_CAMERA_SPREAD camera C1 by day; " {
		t.Errorf("findings %q", got)
	}
}

// TestCameraSeesReflectedLight: in a box the light thrown back comes on top, and
// nothing else changes.
func TestCameraSeesReflectedLight(t *testing.T) {
	in := meetingHouseInput()
	direct, _ := Evaluate(in)
	in.Transport = NewTransport(in.Room)
	all, _ := Evaluate(in)
	for i, z := range all.Cameras[0].Zones {
		if d := direct.Cameras[0].Zones[i]; !(z.FaceLx > d.FaceLx) || z.FaceLx > 3*d.FaceLx {
			t.Errorf("%s: %v lx with reflected light, %v without", z.Zone, z.FaceLx, d.FaceLx)
		}
	}
}

func TestCameraFrames(t *testing.T) {
	in := filmed(1)
	in.Brief.Cameras[0].Frames = []string{"right"}
	in.Brief.Cameras[0].ISO = 0
	rep, fs := Evaluate(in)
	c := rep.Cameras[0]
	if len(c.Zones) != 1 || c.Zones[0].Zone != "right" || !math.IsNaN(c.SpreadStops) || !math.IsNaN(c.WantedLx) || !math.IsNaN(c.Zones[0].OffStops) {
		t.Errorf("%+v", c)
	}
	if got := codesOf(fs, "LIGHT_CAMERA"); got != "" {
		t.Errorf("findings %q", got)
	}
	in.Brief.Cameras[0].Frames = nil
	in.Brief.Zones[0].Camera = false
	if rep, _ = Evaluate(in); len(rep.Cameras[0].Zones) != 1 {
		t.Errorf("frames %+v", rep.Cameras[0].Zones)
	}
	in.Sources = nil // in the dark
	in.Brief.Zones[0].Camera = true
	rep, _ = Evaluate(in)
	if c = rep.Cameras[0]; !math.IsNaN(c.SpreadStops) || !math.IsNaN(c.Zones[0].EV) || c.Zones[0].FaceLx != 0 {
		t.Errorf("in the dark: %+v", c)
	}
}

func ExampleExposureLx() {
	fmt.Printf("%.0f lx\n", ExposureLx(800, 2.8, 1./60, CalibrationC))
	// Output: 147 lx
}
