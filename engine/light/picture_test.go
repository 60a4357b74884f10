package light

import (
	"math"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// TestContrastClasses: a screen of 500 lx white and 1000:1 in 20 lx, and the
// ambient that the classes allow. Values computed here from the formula; the
// classes are those of ANSI/INFOCOMM 3M-2011.
func TestContrastClasses(t *testing.T) {
	within(t, "20 lx", Contrast(500, 20, 1000), 25.366, 1e-3)
	for _, c := range []struct {
		contrast, want float64
		class          string
	}{{7, 82.75, ClassPassive}, {15, 35.18, ClassBasic}, {50, 9.694, ClassDetail}, {80, 5.823, ClassMotion}} {
		got := AllowedAmbient(500, c.contrast, 1000)
		within(t, "allowed", got, c.want, 1e-4*c.want)
		if class := ViewingClass(Contrast(500, got*0.999, 1000)); class != c.class {
			t.Errorf("just under %v lx: %s, want %s", got, class, c.class)
		}
	}
	if ViewingClass(6.9) != ClassNone || ViewingClass(math.NaN()) != "" {
		t.Error("class of nothing")
	}
	// 300 cd/m² and 5 % of 628.3 lx: 10 cd/m² on black and white.
	within(t, "self-lit", SelfLitContrast(300, 200*math.Pi, .05, 1e9), 31, 1e-6)
}

func TestAllowedAmbientIsTheInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		white, cr := rapid.Float64Range(50, 2000).Draw(t, "white"), rapid.Float64Range(1.5, 900).Draw(t, "contrast")
		if got := Contrast(white, AllowedAmbient(white, cr, 1000), 1000); math.Abs(got-cr) > 1e-9*cr {
			t.Fatalf("contrast %v comes back as %v", cr, got)
		}
	})
}

// TestVeils: 10 lx at 10°, young and at 60 years, and the contrast kept under
// 5 cd/m² before 50. Values computed here from the equations of CIE 146.
func TestVeils(t *testing.T) {
	within(t, "Stiles–Holladay", Veil(10, 10), 1, 1e-12)
	within(t, "age 60", VeilAged(10, 10, 60), 1.53978, 1e-5)
	within(t, "contrast kept", ContrastKept(50, 5), .90909, 1e-5)
	if !math.IsNaN(ContrastKept(0, 5)) {
		t.Error("contrast of the dark")
	}
}

// houseWithTransport is the meeting house with reflectances and its transport.
func houseWithTransport() Input {
	in := meetingHouseInput()
	for i := range in.Room.Surfaces {
		in.Room.Surfaces[i].Reflectance = .5
	}
	in.Brief.DoNotLight = []string{"screen", "wall_behind", "nowhere"}
	in.Transport = NewTransport(in.Room)
	return in
}

// TestReflectedLightLeavesDirectAlone: a transport adds figures and changes
// none.
func TestReflectedLightLeavesDirectAlone(t *testing.T) {
	in := houseWithTransport()
	with, fw := Evaluate(in)
	in.Transport = nil
	without, fo := Evaluate(in)
	if len(fw) != len(fo) {
		t.Errorf("%d findings with reflected light, %d without", len(fw), len(fo))
	}
	for i, z := range with.Zones {
		o := without.Zones[i]
		if z.AverageLx != o.AverageLx || z.KeyLx != o.KeyLx || z.BackLx != o.BackLx {
			t.Errorf("%s: direct light changed", z.Name)
		}
		// Reflected light in a hall of 0.5 is a good part of the direct, never more.
		if !(z.Shape.IndirectLx > .02*z.AverageLx) || z.Shape.IndirectLx > z.AverageLx {
			t.Errorf("%s: %v lx reflected beside %v direct", z.Name, z.Shape.IndirectLx, z.AverageLx)
		}
		if !(z.Shape.ModellingIndex > 0) || !(z.Shape.VectorScalar > 0) || z.Shape.VectorScalar > 4 {
			t.Errorf("%s: %+v", z.Name, z.Shape)
		}
	}
	r := with.Reflected
	within(t, "audit", r.AbsorbedLm, r.FluxLm, balanceError*r.FluxLm)
	if s := with.Screens[0]; !(s.IndirectLx > 0) || !(s.AmbientContrast < s.Contrast) || s.Class == "" {
		t.Errorf("%+v", s)
	}
	if len(with.Spill) != 2 || !(with.Spill[1].AverageLx > 0) || !(with.Spill[1].IndirectLx > 0) {
		t.Errorf("%+v", with.Spill)
	}
	if len(with.Walls) == 0 || !(with.Walls[0].IndirectLx > 0) {
		t.Errorf("%+v", with.Walls)
	}
}

// TestCoresDoNotChangeReflectedLight: the same report on one core and several.
func TestCoresDoNotChangeReflectedLight(t *testing.T) {
	in := houseWithTransport()
	many, _ := Evaluate(in)
	was := runtime.GOMAXPROCS(1)
	in.Transport = NewTransport(in.Room)
	one, _ := Evaluate(in)
	runtime.GOMAXPROCS(was)
	if diff := cmp.Diff(many, one, cmpopts.EquateNaNs(), cmp.AllowUnexported(Contribution{}, CameraZone{}, Mixture{})); diff != "" {
		t.Error(diff)
	}
}

// TestFailures: what is left when a unit or a circuit goes dark, by hand from
// the contributions: superposition.
func TestFailures(t *testing.T) {
	c := func(u string, lx float64) Contribution { return Contribution{Unit: u, Lx: lx, front: true} }
	rep := Report{Zones: []Zone{
		{Name: "a", AverageLx: 250, Faces: []Face{
			{VerticalLx: 300, Contributions: []Contribution{c("1", 200), c("2", 100), {Unit: "B", Lx: 50}}},
			{VerticalLx: 200, Contributions: []Contribution{c("1", 50), c("2", 150)}}}},
		{Name: "empty"},
	}}
	got := Failures(rep, []Group{{"unit 1", []string{"1"}}, {"unit 2", []string{"2"}}, {"unit B", []string{"B"}}})
	if got[0].What != "unit 1" || got[1].What != "" {
		t.Fatalf("%+v", got)
	}
	within(t, "left", got[0].LeftLx, 125, 1e-9)
	within(t, "percent", got[0].LeftPct, 50, 1e-9)
	within(t, "least", got[0].LeastLx, 100, 1e-9)
	got = Failures(rep, []Group{{"circuit x", []string{"1", "2"}}})
	within(t, "all dark", got[0].LeftLx, 0, 0)
}

// TestFlares: a unit over the platform that points at the seats shines into a
// camera at the back; one that points away does not.
func TestFlares(t *testing.T) {
	in := meetingHouseInput()
	rep, _ := Evaluate(in)
	for _, f := range rep.Flares {
		if !(f.Deg >= 0) || f.Deg > flareDeg {
			t.Errorf("%+v", f)
		}
	}
	if len(rep.Flares) == 0 {
		t.Error("no back light shines toward the rear camera")
	}
}
