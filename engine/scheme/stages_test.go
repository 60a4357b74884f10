package scheme

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
)

func planned(r room.Room, b brief.Brief, set catalogue.Set) Proposal {
	return Plan(ProposeInput{Room: r, Brief: b, Catalogue: set, Book: book, Region: "metric", Seed: 1})
}

func stageOf(t *testing.T, p Proposal, name string) Stage {
	t.Helper()
	for _, s := range p.Stages {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no stage %s among %d", name, len(p.Stages))
	return Stage{}
}

func count(s Scheme, purpose Purpose) int {
	n := 0
	for _, u := range s.Units {
		if u.Purpose == purpose {
			n++
		}
	}
	return n
}

// TestStagesInTheTradesOrder: one model for front light, one for back light, one for
// what comes last, and their columns together within the limit.
func TestStagesInTheTradesOrder(t *testing.T) {
	r := plainRoom(5.0, -2, 4)
	z := area("choir", "singing", -2, 2, 0.5, 1.7, 500)
	z.BackLight = "wanted"
	wall := area("wall", "wall", -3, 3, 7.9, 8, 150)
	p := planned(r, with(wall, z), testFixtures())
	var names []string
	columns := 0
	for _, s := range p.Stages {
		names = append(names, s.Name)
		columns += s.Reduction.After
		if s.Reduction.Dominated+s.Reduction.Cut+s.Reduction.After != s.Reduction.Before || !s.Result.Solved {
			t.Errorf("%s: %+v, relaxation solved: %v", s.Name, s.Reduction, s.Result.Solved)
		}
		if s.Result.Bound < 0.99*s.Result.Relaxed {
			t.Errorf("%s: bound %v, relaxation %v", s.Name, s.Result.Bound, s.Result.Relaxed)
		}
		if v, kept := s.Model.Value(s.Result.Columns); !kept || math.Abs(v-s.Result.Cost) > 1e-6*v {
			t.Errorf("%s: worth %v (limits kept: %v), said to be %v", s.Name, v, kept, s.Result.Cost)
		}
	}
	if !slices.Equal(names, []string{StageFront, StageBack, StageRest}) || columns > columnLimit {
		t.Errorf("stages %v, %d columns", names, columns)
	}
	rows := ""
	for _, row := range stageOf(t, p, StageFront).Model.Rows {
		rows += row.Name + "\n"
	}
	for _, want := range []string{", even\n", "average of choir", "too bright"} {
		if !strings.Contains(rows, want) {
			t.Errorf("no row %q", want)
		}
	}
}

// TestFrontModelIsJudged lets cbc prove the optimum of a plain room's front model.
func TestFrontModelIsJudged(t *testing.T) {
	r := plainRoom(5.0, -2)
	r.Lines[0].From.X, r.Lines[0].To.X = -2, 2
	p := planned(r, with(zone("desk", 500, true, metres.face("desk", 0, -1, 2))), testFixtures())
	st := stageOf(t, p, StageFront)
	dir := t.TempDir()
	path, sol := filepath.Join(dir, "m.lp"), filepath.Join(dir, "m.sol")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Model.WriteLP(f); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("cbc", path, "sec", "60", "ratio", "0", "threads", "1", "solve", "solution", sol).CombinedOutput(); err != nil {
		t.Fatalf("cbc (package coinor-cbc): %v\n%s", err, out)
	}
	raw, err := os.ReadFile(sol)
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(raw), "\n")
	_, s, ok := strings.Cut(first, "Optimal - objective value")
	best, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if !ok || err != nil {
		t.Fatalf("cbc says %q", first)
	}
	const nearBest, judgeTol = 0.01, 1e-6 // the judge's own tolerance on an objective of thousands
	if c := st.Result.Cost; c > best*(1+nearBest) || c < best*(1-judgeTol) || st.Result.Bound > best*(1+judgeTol) {
		t.Errorf("cost %v, bound %v, the judge's best %v", c, st.Result.Bound, best)
	}
}

// TestBackLightGrowsWithSeparation: strong separation takes more units than usual,
// and rooms half and double as wide take fewer and more.
func TestBackLightGrowsWithSeparation(t *testing.T) {
	r := plainRoom(5.0, -2, 4)
	r.Footprint = metres.box(-12, 12, -10, 16)
	for i := range r.Lines {
		r.Lines[i].From.X, r.Lines[i].To.X = -11, 11
	}
	back := func(half float64, separation string) int {
		z := area("choir", "singing", -half, half, 0.5, 1.7, 450)
		z.BackLight, z.Separation = "wanted", separation
		return count(planned(r, with(z), testFixtures()).Scheme, BackLight)
	}
	usual, strong, narrow, wide := back(2.5, ""), back(2.5, "strong"), back(1.25, ""), back(5, "")
	if usual == 0 || strong <= usual || narrow >= usual || wide <= usual {
		t.Errorf("usual %d, strong %d, half the width %d, double %d", usual, strong, narrow, wide)
	}
}

// TestBackLightColourApart: a fixture whose colours do not reach the wanted
// difference from the front's white is not chosen, and the reason says how far the
// chosen one reaches and that it returns to white.
func TestBackLightColourApart(t *testing.T) {
	all := testFixtures().All()
	for i := range all {
		if all[i].Code == "T-BCK" {
			near := all[i]
			near.Code, near.PriceMinor = "T-PALE", 10000
			near.Emitters = []catalogue.Emitter{{Name: "warm", X: 0.44, Y: 0.40, Flux: 3000}, {Name: "cool", X: 0.31, Y: 0.33, Flux: 3000}}
			all[i].Emitters = []catalogue.Emitter{{Name: "red", X: 0.69, Y: 0.31, Flux: 900}, {Name: "green", X: 0.2, Y: 0.72, Flux: 1500}, {Name: "blue", X: 0.15, Y: 0.05, Flux: 500}, {Name: "white", X: 0.38, Y: 0.38, Flux: 2000}}
			all = append(all, near)
			break
		}
	}
	set := catalogue.NewSet(all, nil)
	z := zone("desk", 500, true, metres.face("desk", 0, -1, 2))
	z.BackLight = "wanted"
	chosen := func() (string, string) {
		p := planned(plainRoom(5.0, -2, 4), with(z), set)
		for i, u := range p.Scheme.Units {
			if u.Purpose == BackLight {
				return u.Fixture, p.Scheme.Reasons[i].Text
			}
		}
		return "", ""
	}
	if code, _ := chosen(); code != "T-PALE" {
		t.Errorf("without a wish the cheaper one is chosen, got %q", code)
	}
	z.BackColourApart = 0.15
	code, why := chosen()
	if code != "T-BCK" || !strings.Contains(why, "the brief asks for 0.150") || !strings.Contains(why, "returns to white") {
		t.Errorf("%s: %s", code, why)
	}
}

// TestMovementOnlyWhereAsked: a moving wash comes after front light where movement
// is asked for, and nowhere else.
func TestMovementOnlyWhereAsked(t *testing.T) {
	mov := catalogue.Fixture{Code: "T-MOV", Name: "moving wash", Class: catalogue.MovingWash, Power: 280, PF: 0.95, Mass: 11.8, Slots: 20, ColourMix: true, White: true,
		Throws: true, Generic: true, PriceMinor: 115000, Currency: "XTS", Beams: []catalogue.Beam{{FieldDeg: 6, PeakCd: 90000}, {FieldDeg: 40, PeakCd: 9000}}}
	set := catalogue.NewSet(append(testFixtures().All(), mov), nil)
	z := area("band", "band", -3, 3, 0.5, 1.7, 450)
	still := planned(plainRoom(5.0, -2, 4), with(z), set)
	z.Movement = true
	moving := planned(plainRoom(5.0, -2, 4), with(z), set)
	if n := count(still.Scheme, Accent); n != 0 {
		t.Errorf("%d moving lights nobody asked for", n)
	}
	if count(moving.Scheme, Accent) == 0 || moving.Stages[len(moving.Stages)-1].Name != StageRest {
		t.Fatalf("no moving light: %+v", moving.Scheme.Units)
	}
	for i, u := range moving.Scheme.Units {
		if u.Purpose == Accent && (u.Fixture != "T-MOV" || !strings.Contains(moving.Scheme.Reasons[i].Text, "asks for movement") || u.Phase != "C") {
			t.Errorf("%+v: %s", u, moving.Scheme.Reasons[i].Text)
		}
		if u.Purpose != Accent && u.Fixture == "T-MOV" {
			t.Errorf("%s is a moving wash", u.ID)
		}
	}
}

// TestLightOnAScreenIsLimitedInTheModel: a screen behind the faces keeps light off
// itself that a bare wall there would get.
func TestLightOnAScreenIsLimitedInTheModel(t *testing.T) {
	screen := geom.Polygon{{X: -1.5, Y: 2.6, Z: 1.8}, {X: 1.5, Y: 2.6, Z: 1.8}, {X: 1.5, Y: 2.6, Z: 3.4}, {X: -1.5, Y: 2.6, Z: 3.4}}
	if screen.Normal().Y > 0 {
		slices.Reverse(screen)
	}
	b := with(area("choir", "singing", -2, 2, 0.5, 1.7, 500))
	b.Limits.ScreenSpillPct = 10
	on := func(screens ...room.Screen) float64 {
		r := plainRoom(5.0, -1, -2)
		r.Screens = screens
		s, placed := proposal(r, b, testFixtures())
		sum := 0.0
		for i, src := range Sources(placed, testFixtures()) {
			f, _ := testFixtures().Get(s.Units[i].Fixture)
			sum += defaultLoss * meanOn(src, screen) * cutShare(f.Accessories)
		}
		return sum
	}
	bare, kept := on(), on(room.Screen{Name: "screen", Corners: screen})
	if !(kept < bare) || kept > 1.2*0.1*assumedWhiteLx {
		t.Errorf("%.1f lx on the screen, %.1f lx on a bare wall there", kept, bare)
	}
}

// TestClassFollowsNeed: beside a screen that may get next to nothing the ellipsoidal
// with its shutters is chosen, elsewhere a soft edge; each reason says so.
func TestClassFollowsNeed(t *testing.T) {
	screen := geom.Polygon{{X: -1.5, Y: 2.6, Z: 1.6}, {X: 1.5, Y: 2.6, Z: 1.6}, {X: 1.5, Y: 2.6, Z: 3.6}, {X: -1.5, Y: 2.6, Z: 3.6}}
	if screen.Normal().Y > 0 {
		slices.Reverse(screen)
	}
	b := with(area("choir", "singing", -2, 2, 0.5, 1.7, 500))
	b.Limits.ScreenSpillPct = 2
	class := func(screens ...room.Screen) (hard, soft int, why string) {
		r := plainRoom(5.0, -2)
		r.Screens = screens
		s, _ := proposal(r, b, testFixtures())
		for i, u := range s.Units {
			f, _ := testFixtures().Get(u.Fixture)
			if f.Class == catalogue.Ellipsoidal {
				hard++
			} else {
				soft++
			}
			why += s.Reasons[i].Text
		}
		return hard, soft, why
	}
	hard, soft, why := class()
	if hard != 0 || soft == 0 || !strings.Contains(why, "no exact cut") {
		t.Errorf("without a screen %d hard, %d soft: %s", hard, soft, why)
	}
	hard, soft, why = class(room.Screen{Name: "screen", Corners: screen})
	if hard <= soft || !strings.Contains(why, "shutters have to keep its field off") {
		t.Errorf("beside a screen %d hard, %d soft: %s", hard, soft, why)
	}
}

// TestVeilInTheEyesStandsInTheModel: lenses within 30° of the line of sight count
// by 10·E/θ².
func TestVeilInTheEyesStandsInTheModel(t *testing.T) {
	r := plainRoom(4.4, -3.7) // about 27° to a face 2 m high
	st := stageOf(t, planned(r, with(zone("desk", 500, false, metres.face("desk", 0, -1, 2))), testFixtures()), StageFront)
	for _, row := range st.Model.Rows {
		if strings.HasSuffix(row.Name, "veil in the eyes") && len(row.Terms) > 0 && row.Hi > 0 && row.Over > 0 {
			return
		}
	}
	t.Error("no row of veiling luminance")
}

// TestShortfallsSayWhatWouldCureThem: each cure alone in a plain room made for it.
func TestShortfallsSayWhatWouldCureThem(t *testing.T) {
	desk := zone("desk", 500, true, metres.face("desk", 0, -1, 2))
	said := func(in ProposeInput) string {
		in.Book, in.Region, in.Seed = book, "metric", 1
		if len(in.Catalogue.All()) == 0 {
			in.Catalogue = testFixtures()
		}
		_, fs := Propose(in)
		text := ""
		for _, f := range fs {
			r := book.Render(f, si.Metric)
			text += r.Title + " " + r.Text + "\n"
		}
		return text
	}
	weak := testFixtures().All()
	for i := range weak {
		weak[i].Beams = []catalogue.Beam{{FieldDeg: 40, PeakCd: 300}}
	}
	low := plainRoom(2.75, -1, 0.7)
	low.Platform.Height = 0.3
	low.Ceiling = room.Ceiling{}
	lowDesk := zone("desk", 500, true, metres.face("desk", 0, -2, 1.9))
	for name, tc := range map[string]struct {
		in   ProposeInput
		want string
	}{
		"a line":       {ProposeInput{Room: plainRoom(5.0, -8), Brief: with(desk)}, "would stand at 45°"},
		"no line":      {ProposeInput{Room: plainRoom(5.0), Brief: with(desk)}, "would stand at 45°"},
		"a fixture":    {ProposeInput{Room: plainRoom(5.0, -2), Brief: with(desk), Catalogue: catalogue.NewSet(weak, nil)}, "would need at least"},
		"watts":        {ProposeInput{Room: plainRoom(5.0, -2), Brief: with(area("choir", "singing", -5, 5, 0.5, 3, 900)), PowerW: 1, LineKg: map[string]float64{"beam -2.0": 25}}, "is documented to carry"},
		"hands":        {ProposeInput{Room: low, Brief: with(lowDesk)}, "a raised hand reaches it"},
		"the platform": {ProposeInput{Room: low, Brief: with(lowDesk)}, "A platform lower by"},
	} {
		if got := said(tc.in); !strings.Contains(got, tc.want) {
			t.Errorf("%s: no %q in %q", name, tc.want, got)
		}
	}
}

// TestPrioritiesWeigh: each lower priority counts six tenths of the one before it,
// but at least four tenths; equal ones count alike, and none comes last.
func TestPrioritiesWeigh(t *testing.T) {
	var zones []brief.Zone
	for i, priority := range []int{0, 2, 1, 2, 3} {
		z := zone(string(rune('a'+i)), 500, true, metres.face("f", float64(i), -1, 2))
		z.Priority = priority
		zones = append(zones, z)
	}
	p := newProposer(ProposeInput{Room: plainRoom(5.0, -2), Brief: with(zones...), Catalogue: testFixtures(), Book: book, Region: "metric"})
	want := map[string]float64{"c": 1, "b": 0.6, "d": 0.6, "e": 0.4, "a": 0.4}
	for _, z := range p.zones {
		if !near(z.weight, want[z.Name], 1e-12) {
			t.Errorf("%s counts %v, want %v", z.Name, z.weight, want[z.Name])
		}
	}
}

// TestStrongSeparationIsBrighterAndCloser: back light that sets people off strongly
// gives more of the key from pools that overlap more.
func TestStrongSeparationIsBrighterAndCloser(t *testing.T) {
	p := newProposer(ProposeInput{Room: plainRoom(5.0, -2, 4), Brief: with(area("choir", "singing", -2, 2, 0.5, 1.7, 450)), Catalogue: testFixtures(), Book: book, Region: "metric"})
	z := p.zones[0]
	usual := p.coverOf(z, BackLight)
	z.Separation = "strong"
	strong, moving := p.coverOf(z, BackLight), p.coverOf(z, Accent)
	if usual.share != 1 || strong.share != 1.2 || !(strong.spacing < usual.spacing) || moving.share != 1 || moving.spacing != usual.spacing {
		t.Errorf("usual %v of the key every %v of a pool, strong %v every %v, moving %v every %v", usual.share, usual.spacing, strong.share, strong.spacing, moving.share, moving.spacing)
	}
	if a, b := coverCount(6, 2, usual.spacing), coverCount(6, 2, strong.spacing); !(b > a) || coverCount(0, 2, 0.6) != 1 || coverCount(6, 0, 0.6) != 0 {
		t.Errorf("%d usual, %d strong pools", a, b)
	}
}
