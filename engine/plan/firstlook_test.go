package plan

import (
	"strings"
	"testing"

	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// goodRoom has a beam at about 45° to every zone and a known supply.
func goodRoom() Answers {
	profile, _ := region.Get("metric")
	m := func(v float64) survey.L { return si.Known(si.Length(v)) }
	a := Answers{Length: m(16), Width: m(10), CeilingHeight: m(7), PlatformWidth: m(6), PlatformDepth: m(3), PlatformHeight: m(0.4), DoorWidth: m(1), DoorHeight: m(2.1), YearBuilt: 2004, Profile: profile,
		Protected: "none", FireAlarm: "smoke", Landlord: "no", Damp: "no", Bats: "no"}
	a.Supply.System, a.Supply.Voltage, a.Supply.Main = "single_phase_2w", si.Known(si.Voltage(230)), si.Known(si.Current(63))
	for _, b := range []struct {
		name  string
		y, dz float64
	}{{"A", 4.4, 0}, {"B", 2.9, 0}, {"C", 2.0, 0}, {"D", 0.9, 0}} {
		a.Beams = append(a.Beams, BeamAnswer{b.name, m(5.4 + b.dz), m(b.y)})
	}
	return a
}

func TestScreenDecidesTheVerdict(t *testing.T) {
	book := finding.NewBook()
	for name, tc := range map[string]struct {
		change  func(*Answers)
		verdict string
		reason  string
	}{
		"nothing found":    {func(*Answers) {}, "simple", "Every usual zone"},
		"old":              {func(a *Answers) { a.YearBuilt = 1931 }, "hard", "asbestos"},
		"listed":           {func(a *Answers) { a.Protected = "listed" }, "hard", "consent"},
		"rented":           {func(a *Answers) { a.Landlord = "yes" }, "hard", "written leave"},
		"aspirating alarm": {func(a *Answers) { a.FireAlarm = "aspirating" }, "hard", "fire-alarm contractor"},
		"bats":             {func(a *Answers) { a.Bats = "yes" }, "hard", "ecologist"},
		"damp":             {func(a *Answers) { a.Damp = "yes" }, "must_visit", "electrician"},
		"three at once":    {func(a *Answers) { a.Bats, a.Landlord, a.Protected = "yes", "yes", "listed" }, "must_visit", "3 hazards"},
		"no beams":         {func(a *Answers) { a.Beams = nil }, "must_visit", "Nothing to hang from"},
	} {
		a := goodRoom()
		tc.change(&a)
		c := FirstLook(a, book)
		if c.Verdict != tc.verdict || c.Why != c.Reasons[0] || !strings.Contains(strings.Join(c.Reasons, " "), tc.reason) {
			t.Errorf("%s: %s, %q; want %s because of %q", name, c.Verdict, c.Reasons, tc.verdict, tc.reason)
		}
	}
}

// What the screen leaves open is asked for and taken as the careful answer.
func TestUnknownHazardsAreAsked(t *testing.T) {
	a := goodRoom()
	a.Protected, a.Landlord, a.FireAlarm, a.Damp, a.Bats = "", "unknown", "", "", ""
	c := FirstLook(a, finding.NewBook())
	asked := map[string]bool{}
	for _, q := range c.Next {
		if asked[q.About] = true; q.Ask == "" || q.Who == "" {
			t.Errorf("%+v", q)
		}
	}
	for _, about := range []string{"damp", "fire alarm", "protection", "owner", "bats", "north"} {
		if !asked[about] {
			t.Errorf("nobody asks about %s", about)
		}
	}
}

func TestSunOfAMorning(t *testing.T) {
	for _, tc := range []struct {
		facing float64
		want   string
	}{{90, "toward east (90°)"}, {100, "behind the platform"}, {315, "behind the seats"}, {45, "on the right"}, {225, "on the left"}, {359, "toward north (359°)"}} {
		if got := (Answers{FacingDeg: tc.facing, Facing: true}).sun(); !strings.Contains(got, tc.want) {
			t.Errorf("facing %v: %s; want %q", tc.facing, got, tc.want)
		}
	}
}

// Nothing is taken for a size without a line, a finding and a question.
func TestUnsaidSizesAreDeclared(t *testing.T) {
	book := finding.NewBook()
	profile, _ := region.Get("metric")
	c := FirstLook(Answers{Profile: profile, Beams: []BeamAnswer{{Name: "W1", Height: si.Known(si.Length(5))}}}, book)
	for about, want := range map[string]string{"length of the room": "18.00 m, give or take 4.50 m", "width of the room": "11.00 m, give or take 2.75 m",
		"height of the ceiling": "7.00 m, give or take 1.50 m", "width of the platform": "6.60 m, give or take 3.30 m",
		"depth of the platform": "3.00 m, give or take 1.50 m", "platform height": "give or take half of it", "line W1": "give or take"} {
		found, asked, noted := false, false, about == "line W1" || about == "platform height"
		for _, f := range c.Findings {
			found = found || f.Code == "SURVEY_ASSUMED" && f.Subject == about && strings.Contains(book.Render(f, si.Metric).Text, want)
		}
		for _, q := range c.Next {
			asked = asked || q.About == about
		}
		for _, n := range c.Notes {
			noted = noted || n.About == "assumed" && strings.Contains(n.Text, about) && strings.Contains(n.Text, want)
		}
		if !found || !asked || !noted {
			t.Errorf("%s: a finding %v, a question %v, a line %v", about, found, asked, noted)
		}
	}
	for _, n := range FirstLook(goodRoom(), book).Notes {
		if n.About == "assumed" {
			t.Errorf("said, and yet taken: %s", n.Text)
		}
	}
	// What is taken is less sure than what was said.
	a := goodRoom()
	said := FirstLook(a, book)
	a.PlatformHeight = survey.L{}
	if unsaid := FirstLook(a, book); !(unsaid.Places[1].SigmaDeg > said.Places[1].SigmaDeg) {
		t.Errorf("±%.2f° with the platform's height, ±%.2f° without", said.Places[1].SigmaDeg, unsaid.Places[1].SigmaDeg)
	}
}

// The same supply draws the same current, whichever of its two voltages was given.
func TestAmpsByEitherVoltage(t *testing.T) {
	for _, tc := range []struct {
		system string
		volts  float64
		want   string
	}{
		{"single_phase_2w", 230, "10 to 20 A at 230 V"},
		{"", 240, "10 to 19 A at 240 V"},
		{"single_phase_3w", 120, "19 to 38 A at 120 V if all were on one leg, 10 to 19 A per leg spread evenly"},
		{"single_phase_3w", 240, "19 to 38 A at 120 V if all were on one leg, 10 to 19 A per leg spread evenly"},
		{"three_phase_4w", 230, "10 to 20 A at 230 V if all were on one line, 3 to 7 A per line spread evenly"},
		{"three_phase_4w", 400, "10 to 20 A at 231 V if all were on one line, 3 to 7 A per line spread evenly"},
		{"three_phase_4w", 208, "19 to 38 A at 120 V if all were on one line, 6 to 13 A per line spread evenly"},
		{"three_phase_4w", 277, "8 to 17 A at 277 V if all were on one line, 3 to 6 A per line spread evenly"},
		{"three_phase_4w", 347, "7 to 13 A at 347 V if all were on one line, 2 to 4 A per line spread evenly"},
		{"three_phase_3w", 230, "10 to 20 A at 230 V if all were on one line, 6 to 12 A per line spread evenly"},
	} {
		var a Answers
		a.Supply.System = tc.system
		if got := a.amps(2300, 4600, tc.volts); got != tc.want {
			t.Errorf("%s, %v V: %q, want %q", tc.system, tc.volts, got, tc.want)
		}
	}
}
