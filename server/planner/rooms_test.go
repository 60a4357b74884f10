package planner_test

import (
	"math"
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/light"
	"roodbeam/engine/plan"
	"roodbeam/engine/scheme"
)

// Tolerances of the worked rooms. The rooms are surveyed to a quarter of an
// inch or 5 mm and the numbers below were worked by hand with rounded figures.
const (
	angleTol  = 0.5  // degrees: what an inch of height does at these throws
	lengthTol = 0.02 // share: cable is cut to a foot, pools end softly
	luxTol    = 0.04 // share: two per cent of throw squared
	ampTol    = 0.02 // share: power factor to two digits
	moneyTol  = 0.5  // minor units: money is exact
	exact     = 1e-9
)

const (
	foot = 0.3048
	inch = 0.0254
)

// worked is a room that was worked by hand, with its results.
type worked struct {
	*testing.T
	d plan.Documents
	r plan.Results
}

func work(t *testing.T, church string) worked {
	t.Helper()
	p := planned(t, church, byHand)
	return worked{t, p.docs, p.got}
}

// near checks a number; tol is absolute.
func (w worked) near(what string, got, want, tol float64) {
	w.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > tol {
		w.Errorf("%s = %.4g, want %.4g ± %.2g", what, got, want, tol)
	}
}

// share checks a number; tol is a share of it.
func (w worked) share(what string, got, want, tol float64) {
	w.Helper()
	w.near(what, got, want, math.Abs(want)*tol)
}

func (w worked) unit(id string) light.Unit {
	w.Helper()
	for _, u := range w.r.Light.Units {
		if u.ID == id {
			return u
		}
	}
	w.Fatalf("no unit %s", id)
	return light.Unit{}
}

// line is what a hanging line gives a face.
func (w worked) line(line, place, face string) (scheme.LineZone, scheme.LineRow) {
	w.Helper()
	for _, l := range w.r.Lines {
		for _, z := range l.Zones {
			if l.Line == line && l.Place == place && z.Face == face {
				return z, l
			}
		}
	}
	w.Fatalf("no line %s %s to %s", line, place, face)
	return scheme.LineZone{}, scheme.LineRow{}
}

// finding returns the one of a code whose subject holds the text.
func (w worked) finding(code, about string) (finding.Finding, bool) {
	for _, f := range w.r.Findings {
		if f.Code == code && strings.Contains(f.Subject, about) {
			return f, true
		}
	}
	return finding.Finding{}, false
}

// of returns the value of a finding, or one of its arguments by name.
func of(f finding.Finding, name string) (num float64, text string) {
	if name == "" {
		return f.Value, ""
	}
	for _, a := range f.Args {
		if a.Name == name {
			return a.Num, a.Text
		}
	}
	return math.NaN(), ""
}

// step returns a leg's current in one step of the works.
func (w worked) step(step, leg string) float64 {
	w.Helper()
	for _, s := range w.r.Load.Steps {
		for _, l := range s.Legs {
			if s.Name == step && l.Name == leg {
				return l.CurrentA
			}
		}
	}
	w.Fatalf("no leg %s in step %q", leg, step)
	return 0
}

// TestMeetingHouseTraps: what is wrong or dangerous in the first room comes
// out as a finding with the number it rests on.
func TestMeetingHouseTraps(t *testing.T) {
	w := work(t, "brick-meeting-house")
	money := moneyTol
	for _, c := range []struct {
		trap, code, about, arg string
		want, tol              float64
		text                   string // part of the argument's text, where it has one
	}{
		{"1 length against the diagonals", "SURVEY_DIAGONAL_MISMATCH", "front left – rear left", "", 2.1, 0.05, ""},
		{"1 what the diagonal would be", "SURVEY_DIAGONAL_MISMATCH", "front left – rear left", "expected", 75.6 * foot, 0.05 * foot, ""},
		{"1 length by diagonal and width", "SURVEY_DIAGONAL_MISMATCH", "front left – rear left", "implied", 58 * foot, 0.05 * foot, ""},
		{"2 rail top typed as a decimal", "SURVEY_UNIT_MISSING", "rail top", "fits", 0, exact, "11 ft 10 in"},
		{"2 what it would be otherwise", "SURVEY_UNIT_MISSING", "rail top", "clashes", 0, exact, "8.8 in too low"},
		{"3 pitch without unit", "SURVEY_UNIT_MISSING", "pitch", "taken", 0.86, exact, ""},
		{"3 fits", "SURVEY_UNIT_MISSING", "pitch", "fits", 0, exact, "0.4 % of the run"},
		{"3 would be outside the room", "SURVEY_UNIT_MISSING", "pitch", "clashes", 0, exact, "87 ft 10 in"},
		{"4 W1 from the gallery", "SURVEY_WRONG_FLOOR", "W1", "corrected", (19 + 8./12) * foot, 0.01 * foot, ""},
		{"4 by the gallery's height", "SURVEY_WRONG_FLOOR", "W1", "floor_height", (9 + 8./12) * foot, exact, ""},
		{"4 W2 from the platform", "SURVEY_WRONG_FLOOR", "W2", "corrected", (19 + 8./12) * foot, 0.01 * foot, ""},
		{"4 by the platform's height", "SURVEY_WRONG_FLOOR", "W2", "floor_height", (1 + 4./12) * foot, exact, ""},
		{"4 the reader from a wrong W1", "SCHEME_DOUBTED_HEIGHT", "W1", "then", 8.3, angleTol, ""},
		{"4 the reader from the right W1", "SCHEME_DOUBTED_HEIGHT", "W1", "now", 38.6, angleTol, ""},
		{"5 iron rods", "HANGING_NEVER", "rod near", "why", 0, exact, "tension member"},
		{"5 the other rod", "HANGING_NEVER", "rod rear", "why", 0, exact, "tension member"},
		{"6 the rear rail", "SCHEME_LOW_PLACE", "rear gallery rail", "angles", 0, exact, "reader 6.7°, table 10.0°, choir at -14 5.4°"},
		{"6 upper edge of a choir unit at 15°", "SCHEME_LOW_PLACE", "rear gallery rail", "edge", 12.7 * foot, 12.7 * foot * lengthTol, ""},
		{"6 its field", "SCHEME_LOW_PLACE", "rear gallery rail", "field", 15, exact, ""},
		{"6 above the screen's bottom", "SCHEME_LOW_PLACE", "rear gallery rail", "bottom", 11.5 * foot, exact, ""},
		{"9 the rows at aim -9", "SCHEME_ROWS", "choir at -9", "rows", 0, exact, "row 1 459 lx at 37.5°; row 2 449 lx at 32.7°; row 3 420 lx at 28.5°"},
		{"9 darkest to brightest", "SCHEME_ROWS", "choir at -9", "ratio", 0.91, 0.91 * luxTol, ""},
		{"9 row 3 below 30°", "SCHEME_ROWS", "choir at -9", "low", 0, exact, "row 3 28.5°"},
		{"10 the choir's beams", "SCHEME_BEAMS_AT_HAND", "choir at -9", "list", 0, exact, "25° 1005 lx, pool 9 ft"},
		{"10 the one chosen", "SCHEME_BEAMS_AT_HAND", "choir at -9", "list", 0, exact, "40° 449 lx, pool 15 ft"},
		{"10 the piano at 40°", "SCHEME_BEAMS_AT_HAND", "pianist", "list", 0, exact, "40° 197 lx"},
		{"10 the piano at 25°", "SCHEME_BEAMS_AT_HAND", "pianist", "list", 0, exact, "25° 441 lx, pool 9 ft"},
		{"14 flood +3 in the lid", "LIGHT_MIRROR_OLD", "floods 4", "", 0, exact, ""},
		{"7 the table straight from W1", "SCHEME_STRAIGHT_STEEP", "table", "", 60.3, angleTol, ""},
		{"7 the table crossed", "SCHEME_STRAIGHT_STEEP", "table", "crossed", 50.2, angleTol, ""},
		{"15 no back light for the choir", "SCHEME_BACK_LEFT_OUT", "choir", "angles", 0, exact, "68.2°"},
		{"15 its pools", "SCHEME_BACK_LEFT_OUT", "choir", "pool", 5.4 * foot, 5.4 * foot * lengthTol, ""},
		{"15 its units", "SCHEME_BACK_LEFT_OUT", "choir", "count", 4, exact, ""},
		{"15 row 3 would get top light", "SCHEME_BACK_LEFT_OUT", "choir", "rows", 0, exact, "row 3 79.4° (top light)"},
		{"16 eyes in the gallery", "LIGHT_EYE_GLARE", "K3", "", 9.4, angleTol, ""},
		{"17 W1 on one circuit", "ELECTRICAL_LINE_NEEDS_CIRCUITS", "W1", "current", 14.5, 14.5 * ampTol, ""},
		{"17 in percent of it", "ELECTRICAL_LINE_NEEDS_CIRCUITS", "W1", "use", 72, 72 * ampTol, ""},
		{"18 all on and nothing removed", "ELECTRICAL_REMOVE_FIRST", "organ-case floods", "", 104.2, 104.2 * ampTol, ""},
		{"18 with the floods out", "ELECTRICAL_REMOVE_FIRST", "organ-case floods", "after", 79.2, 79.2 * ampTol, ""},
		{"18 spare spaces", "ELECTRICAL_PANEL_SPARE", "HP", "", 8, 0.5, ""},
		{"18 spaces left", "ELECTRICAL_PANEL_SPARE", "HP", "left", 0, exact, ""},
		{"18 spaces that come back", "ELECTRICAL_PANEL_SPARE", "HP", "back", 2, exact, ""},
		{"18 floods out before any new circuit", "PHASE_ISOLATE_FIRST", "organ-case floods", "step", 0, exact, "nothing removed"},
		{"19 channel D4", "ELECTRICAL_DIMMER_OVERLOADED", "D4", "", 3000, exact, ""},
		{"20 new lamps", "ELECTRICAL_DIMMER_TRIAL", "house lights", "afterw", 748, exact, ""},
		{"20 their volt-amperes", "ELECTRICAL_DIMMER_TRIAL", "house lights", "afterva", 1247, 0.5, ""},
		{"20 amperes before", "ELECTRICAL_DIMMER_TRIAL", "house lights", "beforea", 71, 71 * ampTol, ""},
		{"20 amperes after", "ELECTRICAL_DIMMER_TRIAL", "house lights", "aftera", 10.4, 10.4 * ampTol, ""},
		{"20 D5 with dead lamps", "ELECTRICAL_DIMMER_MARGIN", "D5", "", 93.5, exact, ""},
		{"20 D6 below its minimum", "ELECTRICAL_DIMMER_MINIMUM", "D6", "", 51, exact, ""},
		{"20 a globe's new lamp", "ELECTRICAL_LAMP_LESS_LIGHT", "globes", "", 806, exact, ""},
		{"21 the cabinet on the stair", "ELECTRICAL_PANEL_WORKING_SPACE", "dimmer cabinet", "", 10 * inch, exact, ""},
		{"22 lift A at the turn", "LIFT_TURN", "lift A", "", 68.7 * inch, 0.5 * inch, ""},
		{"22 without clearance", "LIFT_TURN", "lift A", "bare", 74.9 * inch, 0.5 * inch, ""},
		{"22 lift B at the turn", "LIFT_TURN", "lift B", "bare", 70.8 * inch, 0.5 * inch, ""},
		{"22 ramp at the main entrance", "LIFT_STEP", "lift A by main", "", 16 * foot, exact, ""},
		{"22 ramp at the side door", "LIFT_STEP", "lift A by north", "", 7 * foot, exact, ""},
		{"22 lift A sweeps the curved aisle", "LIFT_AISLE_SWEEP", "lift A", "swept", 33.4 * inch, 0.2 * inch, ""},
		{"22 lift B sweeps it", "LIFT_AISLE_SWEEP", "lift B", "swept", 37.7 * inch, 0.2 * inch, ""},
		{"22 the aisle", "LIFT_AISLE_SWEEP", "lift B", "", 44 * inch, 0.2 * inch, ""},
		{"22 lift A on an unknown floor", "LIFT_FLOOR", "lift A", "", 2800 * 0.45359237, 0.5, ""},
		{"23 benches below W1", "LIFT_BENCHES", "W1", "rows", 0, exact, "rows 1 and 2 of right benches"},
		{"23 C4 over the gallery", "LIFT_TOWER", "C4", "why", 0, exact, "left gallery"},
		{"23 P1 over the gallery", "LIFT_TOWER", "P1", "why", 0, exact, "right gallery"},
		{"23 W2 over the platform", "LIFT_TOWER", "K1", "why", 0, exact, "platform"},
		{"24 bell rope", "LIGHT_NEAR_KEEP_CLEAR", "bell rope", "distance", 3.2 * foot, 3.2 * foot * lengthTol, ""},
		{"24 nearest lenses", "LIGHT_NEAR_KEEP_CLEAR", "bell rope", "units", 0, exact, "C2 and C3"},
		{"25 W1", "HANGING_UNKNOWN_CAPACITY", "W1", "added", 141.8, 0.05, ""},
		{"25 W1 is much", "HANGING_HEAVY", "W1", "", 141.8, 0.05, ""},
		{"25 W2", "HANGING_UNKNOWN_CAPACITY", "W2", "added", 34.6, 0.06, ""},
		{"25 a pier", "HANGING_ANCHOR_TEST", "left pier", "added", 14.2, exact, ""},
		{"26 plaster of 1911 and 1974", "SURVEY_ASBESTOS", "building", "why", 0, exact, "1911"},
		{"28 flames", "PRESET_FLAME", "Candle", "house", 0, exact, ""},
		{"money: all phases", "COST_OVER_CAP", "all phases", "total", 2339029, money, ""},
		{"money: the cap", "COST_OVER_CAP", "all phases", "cap", 1600000, money, ""},
		{"money: A and B together", "COST_SPLIT", "A + B", "together", 1846559, money, ""},
		{"money: A alone", "COST_SPLIT", "A + B", "fits_total", 1428504, money, ""},
		{"money: what comes forward", "COST_PULL_FORWARD", "phase A", "moved", 135050, money, ""},
		{"money: A with it", "COST_PULL_FORWARD", "phase A", "with", 1577059, money, ""},
		{"money: left below the cap", "COST_PULL_FORWARD", "phase A", "left", 22941, money, ""},
		{"money: B without it", "COST_PULL_FORWARD", "phase A", "rest", 269500, money, ""},
		{"money: at 20 %, with it", "COST_PULL_FORWARD_RISK", "phase A", "with", 1720428, money, ""},
		{"money: at 20 %, plain", "COST_PULL_FORWARD_RISK", "phase A", "alone", 1558368, money, ""},
		{"money: 10 % is thin", "COST_CONTINGENCY_THIN", "contingency", "rule", 20, exact, ""},
	} {
		f, ok := w.finding(c.code, c.about)
		if !ok {
			t.Errorf("%s: no finding %s about %q", c.trap, c.code, c.about)
			continue
		}
		num, text := of(f, c.arg)
		if c.text != "" {
			if !strings.Contains(text, c.text) {
				t.Errorf("%s: %s says %q, want %q", c.trap, c.arg, text, c.text)
			}
			continue
		}
		w.near(c.trap, num, c.want, c.tol)
	}
	for _, u := range []string{"C1", "C2", "C3", "C4", "C5"} {
		if _, ok := w.finding("LIGHT_SCREEN_EDGE", "unit "+u); !ok {
			t.Errorf("12: the field of %s reaches the screen and nobody says so", u)
		}
	}
	for _, u := range []string{"R1", "R2", "G1", "P1", "T1", "T2"} {
		if f, ok := w.finding("LIGHT_SCREEN_EDGE", "unit "+u+" "); ok {
			t.Errorf("12: %s does not reach the screen: %v", u, f)
		}
	}
	for _, u := range []string{"K1", "K2", "K3"} {
		if _, ok := w.finding("LIGHT_EYE_GLARE", "unit "+u); !ok {
			t.Errorf("16: %s stands low to the gallery's eyes and nobody says so", u)
		}
	}
}

// TestMeetingHouseNumbers: geometry, light, legs, data and money of the first
// room where they are results and no findings.
func TestMeetingHouseNumbers(t *testing.T) {
	w := work(t, "brick-meeting-house")
	// Sum of the partners alone, without loss factor.
	alone := func(ids ...string) (sum float64) {
		for _, id := range ids {
			sum += w.unit(id).VerticalLx
		}
		return sum
	}
	for _, u := range []struct {
		id                                string
		elevation, sideways, throw, field float64 // degrees, degrees, metres, feet
		normal, vertical, edge            float64 // lux, lux, feet; 0: not given
	}{
		{"R1", 38.6, -32.6, 5.79, 13.8, 373, 246, 9.1},
		{"R2", 38.6, 32.6, 5.79, 13.8, 373, 246, 9.1},
		{"T1", 50.2, -46.8, 5.22, 12.5, 458, 201, -1.5},
		{"T2", 50.2, 46.8, 5.22, 12.5, 458, 201, -1.5},
		{"C1", 33.5, 28.1, 6.21, 14.8, 324, 238, 12.1},
		{"C2", 32.7, 31.0, 6.34, 15.1, 311, 224, 12.3},
		{"C3", 32.7, 31.0, 6.34, 15.1, 311, 224, 12.3},
		{"C4", 32.7, -31.0, 6.34, 15.1, 311, 224, 12.3},
		{"C5", 32.7, -31.0, 6.34, 15.1, 311, 224, 12.3},
		{"P1", 38.3, 32.7, 6.47, 9.4, 669, 441, 5.0},
		{"G1", 39.8, -39.8, 4.65, 11.1, 579, 342, 8.8},
		{"G2", 29.0, 69.6, 6.50, 15.5, 296, 90, 9.1},
		{"K1", 59.4, 180, 4.19, 6.1, 797, 0, 0},
		{"K2", 47.7, 180, 5.43, 7.9, 475, 0, 0},
		{"K3", 67.3, 180, 4.35, 6.3, 740, 0, 0},
	} {
		got := w.unit(u.id)
		w.near(u.id+" elevation", got.ElevationDeg, u.elevation, angleTol)
		w.near(u.id+" sideways", got.BearingDeg, u.sideways, angleTol)
		w.share(u.id+" throw", got.ThrowM, u.throw, lengthTol)
		w.share(u.id+" field", got.FieldDiameterM, u.field*foot, lengthTol)
		w.share(u.id+" normal", got.NormalLx, u.normal, luxTol)
		if u.vertical != 0 {
			w.share(u.id+" vertical", got.VerticalLx, u.vertical, luxTol)
			// An edge near the floor turns with the least angle: to a tenth of a foot.
			w.near(u.id+" upper edge", got.UpperEdgeM, u.edge*foot, max(math.Abs(u.edge)*lengthTol, 0.1)*foot)
		}
	}
	w.share("reader", alone("R1", "R2"), 492, luxTol)
	w.share("reader with fill", alone("R1", "R2", "G2"), 582, luxTol)
	w.share("table", alone("T1", "T2"), 401, luxTol)
	w.share("choir at −9", alone("C2", "C4"), 449, luxTol)
	w.share("choir at −4", alone("C3", "C5"), 449, luxTol)
	w.share("choir at −14", alone("C1", "G1"), 580, luxTol)
	w.share("choir at −14, G1 at 60 %", alone("C1")+0.6*alone("G1"), 443, luxTol)
	w.share("pianist", alone("P1"), 441, luxTol)
	w.share("back to key at the reader", w.unit("K1").NormalLx/alone("R1", "R2"), 1.62, luxTol)
	w.near("5: R1 below the rod", w.unit("R1").CrossingM, 2.3*foot, 0.05*foot)
	w.near("8: partners at −9", w.unit("C2").BearingDeg-w.unit("C4").BearingDeg, 62, angleTol)
	w.near("8: partners at −14", w.unit("C1").BearingDeg-w.unit("G1").BearingDeg, 67.9, angleTol)
	w.near("16: first row", w.unit("K1").FirstRowDeg, 38.4, angleTol)
	w.near("11: largest step", w.r.Light.Balance.Step, 1.23, 0.01)
	w.near("11: darkest", w.r.Light.Balance.LowPct, -10, 0.5)
	w.near("11: brightest", w.r.Light.Balance.HighPct, 10, 0.5)

	for _, l := range []struct {
		line, place, face string
		want              float64
		refused           bool
	}{
		{"W1", "", "reader", 43.4, false},
		{"W1", "", "choir at -9", 36.9, false},
		{"W1", "", "pianist", 43.2, false},
		{"W1", "", "table", 60.3, true},
		{"W2", "", "reader", 59.4, false},
		{"W2", "", "table", 47.7, false},
		{"W2", "", "pianist", 67.3, false},
		{"W2", "", "choir at -9", 68.2, false},
		{"rod near", "", "reader", 47.4, true},
		{"rear gallery rail", "", "reader", 6.7, true},
		{"rear gallery rail", "", "table", 10.0, true},
		{"rear gallery rail", "", "choir at -9", 5.4, true},
		{"left gallery rail", "left at +6", "reader", 12.0, true},
		{"right gallery rail", "right at +6", "reader", 17.8, true},
	} {
		z, row := w.line(l.line, l.place, l.face)
		w.near(l.line+" "+l.place+" to "+l.face, z.ElevationDeg, l.want, angleTol)
		if (row.Verdict == "refused" || z.Band == "refuse") != l.refused {
			t.Errorf("%s %s to %s is %s, %s (%s), want refused: %v", l.line, l.place, l.face, z.Band, row.Verdict, row.Why, l.refused)
		}
	}

	for step, want := range map[string][2]float64{
		"today":                            {86, 97},
		"all new on, nothing removed":      {99.3, 104.2},
		"old lights out first, all new on": {99.3, 79.2},
		"after phase A":                    {93.2, 79.2},
		"after phase B":                    {99.3, 79.2},
		"after phase C, house job":         {77.1, 65.8},
	} {
		w.share(step+" L1", w.step(step, "L1"), want[0], ampTol)
		w.share(step+" L2", w.step(step, "L2"), want[1], ampTol)
	}
	legs := map[string]string{"W1a": "L1", "W1b": "L2", "GB": "L1"}
	amps := map[string]float64{"W1a": 7.24, "W1b": 7.24, "GB": 6.05}
	watts := 0.0
	for _, c := range w.r.Load.Circuits {
		w.share("circuit "+c.Name, c.CurrentA, amps[c.Name], ampTol)
		if c.Leg != legs[c.Name] {
			t.Errorf("circuit %s is on %s, want %s", c.Name, c.Leg, legs[c.Name])
		}
		watts += c.ConnectedW
	}
	w.near("watts", watts, 2340, exact)

	branches := map[string]float64{"A": 102, "B": 103.5, "C": 65, "D": 89, "E": 50}
	total := 0.0
	for _, b := range w.r.Network.Branches {
		w.share("branch "+b.Name, b.LengthM, branches[b.Name]*foot, lengthTol)
		total += b.LengthM
	}
	if len(w.r.Network.Branches) != len(branches) {
		t.Errorf("%d branches, want %d", len(w.r.Network.Branches), len(branches))
	}
	w.share("all cable", total, 409.5*foot, lengthTol)
	if u := w.r.Network.Universes; len(u) != 1 || u[0].Used != 78 {
		t.Errorf("universes %v, want one with 78 slots", u)
	}
	if s := w.r.Network.Splitter; s.Outputs != 6 || s.Spare != 1 {
		t.Errorf("splitter %+v, want six outputs and one spare", s)
	}

	e := w.r.Estimate
	w.near("sum", float64(e.Total.Likely), 2126390, moneyTol)
	w.near("with contingency", float64(e.WithContingency.Likely), 2339029, moneyTol)
	for _, p := range e.Phases {
		want := map[string]float64{"A": 1428504, "B": 418055, "C": 492470}[p.Name]
		w.near("phase "+p.Name, float64(p.WithContingency.Likely), want, moneyTol)
	}
	for _, k := range w.r.Presets.Looks {
		if !strings.Contains(k.Name, "Candle") {
			continue
		}
		want := map[string]float64{"T1": 8, "T2": 8, "C1": 10, "C2": 10, "C3": 10, "C4": 10, "C5": 10}
		for _, l := range k.Levels {
			w.near("28: candle look, "+l.Unit, l.Pct, want[l.Unit], exact)
		}
		return
	}
	t.Error("28: no candle look")
}

// TestOtherRooms: angle and light of the units entered by hand in the other
// three rooms, and of the lines they came from.
func TestOtherRooms(t *testing.T) {
	for church, c := range map[string]struct {
		units []struct {
			id                  string
			elevation, sideways float64
			vertical            float64 // 0: not given
		}
		sums  map[string]float64 // units joined by + : lux
		lines []struct {
			line, face string
			elevation  float64
		}
		findings []struct {
			code, about, arg string
			want, tol        float64
		}
	}{
		"shop-unit": {
			units: []struct {
				id                  string
				elevation, sideways float64
				vertical            float64
			}{{"F1", 28.0, 0, 647}, {"F3", 28.0, 0, 647}, {"B1", 28.0, 0, 647}, {"B5", 28.0, 0, 647}},
			findings: []struct {
				code, about, arg string
				want, tol        float64
			}{
				{"SCHEME_HAND_REACH", "B1", "bottom", 2.60, 0.01},
				{"SCHEME_HAND_REACH", "B1", "hand", 2.60, 0.01},
				{"ELECTRICAL_LEG_OVER_LIMIT", "today", "", 41.1, 41.1 * ampTol},
				{"ELECTRICAL_LEG_OVER_LIMIT", "house job", "", 40.3, 40.3 * ampTol},
				{"ELECTRICAL_SHED_SCENARIO", "kitchen urn", "", 27.3, 27.3 * ampTol},
				{"ELECTRICAL_RCD_LEAKAGE", "", "leak", 13, exact},
				{"ELECTRICAL_RCD_LEAKAGE", "", "drivers", 26, exact},
				{"SCHEME_SPRINKLER_ZONE", "sprinklers", "zone", 0.46, 0.005},
			},
		},
		"school-hall": {
			units: []struct {
				id                  string
				elevation, sideways float64
				vertical            float64
			}{{"P1", 42.1, -25.25, 301}, {"P2", 41.5, 27.85, 290}, {"P3", 41.5, -27.85, 290}, {"P4", 42.1, 25.25, 301}},
			sums: map[string]float64{"P1+P2": 591, "P3+P4": 591},
			lines: []struct {
				line, face string
				elevation  float64
			}{{"frame +1.2", "left mark", 63.0}, {"frame +7.2", "left mark", 31.3}, {"bridge pipe", "left mark", 45.0}},
			findings: []struct {
				code, about, arg string
				want, tol        float64
			}{
				{"LIFT_SPRUNG_FLOOR", "hall lift", "", 1590, exact},
				{"LIFT_FLOOR", "hall lift", "total", 1817, exact},
				{"ELECTRICAL_OLD_OUTLETS", "wall outlets", "", 25.6, 25.6 * ampTol},
				{"ELECTRICAL_OLD_OUTLETS", "wall outlets", "without", 15.2, 15.2 * ampTol},
				{"ELECTRICAL_OLD_OUTLETS", "wall outlets", "use", 76, 76 * ampTol},
			},
		},
		"a-frame": {
			units: []struct {
				id                  string
				elevation, sideways float64
				vertical            float64
			}{{"L1", 45.6, -17.4, 303}, {"L2", 41.5, 34.4, 241}, {"L3", 41.5, -34.4, 241}, {"L4", 45.6, 17.4, 303},
				{"A1", 39.6, -5.7, 506}, {"A2", 39.7, 0, 510}, {"K1", 50.4, 180, 0}, {"K5", 36.5, 180, 0}},
			sums: map[string]float64{"L1+L2": 544, "L3+L4": 544},
			lines: []struct {
				line, face string
				elevation  float64
			}{{"tie +2", "lectern left", 47.0}, {"tie +6", "rail centre", 39.7}, {"tie +2", "rail centre", 76.5}, {"tie +10", "rail centre", 24.8},
				{"tie +2", "altar left", 32.9}, {"tie +6", "altar left", 20.9}, {"tie rear", "lectern left", 50.4}, {"tie rear", "altar left", 78.0}, {"tie rear", "rail centre", 36.5}},
			findings: []struct {
				code, about, arg string
				want, tol        float64
			}{
				{"SURVEY_SLOPE_AS_HEIGHT", "m11", "implied", 12.0, 0.05},
				{"SURVEY_SLOPE_AS_HEIGHT", "m11", "pitch", 59.7, 0.2},
				{"ELECTRICAL_NO_NEUTRAL", "supply", "pair", 11.6, 11.6 * ampTol},
				{"ELECTRICAL_NO_NEUTRAL", "supply", "balanced", 6.7, 6.7 * ampTol},
				{"LIFT_RAMP_STEEP", "main door", "", 12.5, exact},
				{"HANGING_NEVER", "steel rod", "", 0, exact},
			},
		},
	} {
		t.Run(church, func(t *testing.T) {
			w := work(t, church)
			for _, u := range c.units {
				got := w.unit(u.id)
				w.near(u.id+" elevation", got.ElevationDeg, u.elevation, angleTol)
				w.near(u.id+" sideways", got.BearingDeg, u.sideways, angleTol)
				if u.vertical != 0 {
					w.share(u.id+" vertical", got.VerticalLx, u.vertical, luxTol)
				}
			}
			for ids, want := range c.sums {
				sum := 0.0
				for _, id := range strings.Split(ids, "+") {
					sum += w.unit(id).VerticalLx
				}
				w.share(ids, sum, want, luxTol)
			}
			for _, l := range c.lines {
				z, _ := w.line(l.line, "", l.face)
				w.near(l.line+" to "+l.face, z.ElevationDeg, l.elevation, angleTol)
			}
			for _, x := range c.findings {
				f, ok := w.finding(x.code, x.about)
				if !ok {
					t.Errorf("no finding %s about %q", x.code, x.about)
					continue
				}
				num, _ := of(f, x.arg)
				w.near(x.code+" "+x.arg, num, x.want, x.tol)
			}
		})
	}
}
