package hanging

import (
	"fmt"
	"math"
	"strings"

	"roodbeam/engine/brief"
	"roodbeam/engine/finding"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// liftClearance is kept between a machine's width and the way, m, both sides
// together.
//
// Source: common practice, 75 mm (3 in).
const liftClearance = 0.075

// rampRun is the run of a ramp for one unit of rise.
//
// Source: common practice, 1:12.
const rampRun = 12

// inchTolerance forgives the difference between 75 mm and 3 in: sizes of
// machines and doors are given to the inch or the centimetre.
const inchTolerance = 0.0015

// liftName returns a machine's name with the word lift in it: "lift A", "hall lift".
func liftName(m brief.Lift) string {
	if strings.Contains(strings.ToLower(m.Name), "lift") {
		return m.Name
	}
	return "lift " + named(m.Name, "without name")
}

func length(l survey.L) float64 { return positive(float64(l.Or(0))) }

// lifts checks every machine on every way in and along every curved aisle.
func (c *checker) lifts() []LiftCheck {
	var out []LiftCheck
	for _, m := range c.Brief.Lifts {
		way, reasons := false, []string{}
		for _, r := range c.Survey.Routes {
			lc := c.route(m, r)
			way = way || lc.Fits
			if !lc.Fits {
				reasons = append(reasons, named(r.Name, "a way in")+": "+lc.Why)
			}
			out = append(out, lc)
		}
		for _, s := range c.Survey.Seating {
			switch {
			case length(s.Aisle) > 0 && length(s.AisleRadius) > 0:
				out = append(out, c.aisle(m, s))
			case length(s.Aisle) > 0:
				out = append(out, c.straightAisle(m, s))
			}
		}
		if !way && len(c.Survey.Routes) > 0 {
			c.add(c.Book.New("LIFT_NO_WAY_IN", liftName(m), finding.Text("why", strings.Join(reasons, "; ")+".")))
		}
	}
	if len(c.Brief.Lifts) == 0 {
		// A ramp is worth a word before a machine is chosen.
		for _, r := range c.Survey.Routes {
			c.ramp(r, "the way in by "+named(r.Name, "a door"))
		}
	}
	if len(c.Brief.Lifts) > 0 && len(c.Survey.Routes) == 0 {
		c.add(c.Book.New("LIFT_SIZE_UNKNOWN", "the way in", finding.Text("missing", "every door, step and turn on the way")))
		c.ask(finding.Volunteer, "Which doors, steps and turns are on the way in, how wide and how high?", "No way in was surveyed, so no machine is taken to get in.")
	}
	return out
}

func (c *checker) mass(m brief.Lift) (total, alone float64) {
	alone = positive(float64(m.Mass.Or(0)))
	if alone == 0 {
		return math.NaN(), math.NaN()
	}
	return alone + positive(float64(m.Capacity.Or(0))), alone
}

func (c *checker) route(m brief.Lift, r survey.AccessRoute) LiftCheck {
	lc := c.machine(m)
	total := lc.MassKg
	lc.Route, lc.SweptM = r.Name, math.NaN()
	subject := liftName(m) + " by " + named(r.Name, "a way in")
	width, long, high := length(m.Width), length(m.Length), length(m.StowedHeight)
	var missing, why []string
	need := func(v float64, what string) {
		if v == 0 {
			missing = append(missing, what)
		}
	}
	need(width, "the machine's width")
	need(high, "its stowed height")
	passage, landing := length(r.Passage), length(r.Landing)
	turns := passage > 0 && landing > 0
	if turns {
		need(long, "its length")
	}
	lc.NeedWidthM = width + liftClearance
	// Narrowest of door and passage.
	where := "the door"
	doorWidth, doorHeight := r.Narrowest()
	have := length(doorWidth)
	if passage > 0 && (have == 0 || passage < have) {
		have, where = passage, "the passage"
	}
	if length(doorWidth) == 0 {
		missing = append(missing, "the door's clear width")
	}
	need(length(doorHeight), "the door's clear height")
	lc.HaveWidthM, lc.HaveHeightM = have, length(doorHeight)
	if have > 0 && width > 0 && have < lc.NeedWidthM-inchTolerance {
		why = append(why, where+" is too narrow")
		f := c.Book.New("LIFT_DOOR_WIDTH", subject, finding.Text("where", where), finding.Len("have", si.Length(have)), finding.Len("need", si.Length(lc.NeedWidthM)))
		c.add(measured(f, have, lc.NeedWidthM))
	}
	if door := length(doorHeight); door > 0 && high > door {
		why = append(why, "the door is too low")
		f := c.Book.New("LIFT_DOOR_HEIGHT", subject, finding.Len("have", si.Length(door)), finding.Len("need", si.Length(high)))
		c.add(measured(f, door, high))
	}
	if turns && width > 0 {
		lc.LongestM = LongestThatTurns(lc.NeedWidthM, landing, passage)
		lc.LongestBareM = LongestThatTurns(width, landing, passage)
		if long > lc.LongestM {
			why = append(why, "it does not turn the corner")
			f := c.Book.New("LIFT_TURN", subject, finding.Len("longest", si.Length(lc.LongestM)), finding.Len("bare", si.Length(lc.LongestBareM)),
				finding.Len("landing", r.Landing.Value), finding.Len("passage", r.Passage.Value))
			c.add(measured(f, lc.LongestM, long))
		}
	}
	lc.RiseM = length(r.StepRise) * float64(max(r.Steps, 1))
	lc.RampM = rampRun * lc.RiseM
	note := ""
	if lc.RiseM > 0 {
		note = fmt.Sprintf("a ramp of %s for %s", si.FormatLength(si.Length(lc.RampM), c.Profile.Display), si.FormatLength(si.Length(lc.RiseM), c.Profile.Display))
		f := c.Book.New("LIFT_STEP", subject, finding.Len("rise", si.Length(lc.RiseM)), finding.Mass("mass", si.Mass(total)))
		f.Value, f.HasValue = lc.RampM, true
		c.add(f)
	}
	if c.ramp(r, subject) {
		note = "the ramp there is steep: the machine's plate decides"
	}
	if len(missing) > 0 {
		c.add(c.Book.New("LIFT_SIZE_UNKNOWN", subject, finding.Text("missing", strings.Join(missing, ", "))))
		why = append(why, strings.Join(missing, ", ")+notKnown)
	}
	lc.Fits = len(why) == 0
	if lc.Fits {
		why = append(why, "passes by the sizes given")
	}
	if note != "" {
		why = append(why, note)
	}
	lc.Why = strings.Join(why, "; ")
	return lc
}

// notKnown ends the words of a size that nobody gave.
const notKnown = " not known"

// Unmeasured tells whether nothing that was measured keeps the machine out, and only
// sizes are missing.
func (l LiftCheck) Unmeasured() bool {
	first, _, _ := strings.Cut(l.Why, "; ")
	return !l.Fits && strings.HasSuffix(first, notKnown)
}

// ramp reports an existing ramp that is steeper than machines are moved on.
func (c *checker) ramp(r survey.AccessRoute, subject string) bool {
	slope := positive(r.RampSlope)
	if slope == 0 {
		return false
	}
	f, bad := c.Book.Check("LIFT_RAMP_STEEP", c.Profile.ID, subject, slope*100)
	if bad {
		c.add(f)
	}
	return bad
}

// aisle checks a machine on the curved aisle of a block of rows.
func (c *checker) aisle(m brief.Lift, s survey.Seating) LiftCheck {
	lc := c.machine(m)
	lc.Route, lc.HaveWidthM = "aisle of "+named(s.Name, "the rows"), length(s.Aisle)
	w, l := length(m.Width), length(m.Length)
	if w == 0 || l == 0 {
		lc.SweptM, lc.Why = math.NaN(), "the machine's size is not known"
		return lc
	}
	lc.SweptM = SweptWidth(w, l, length(s.AisleRadius))
	lc.NeedWidthM = lc.SweptM + liftClearance
	lc.Fits = lc.HaveWidthM >= lc.NeedWidthM-inchTolerance
	lc.Why = fmt.Sprintf("sweeps %s on the curve", si.FormatLength(si.Length(lc.SweptM), c.Profile.Display))
	if !lc.Fits {
		f := c.Book.New("LIFT_AISLE", liftName(m)+" in "+lc.Route, finding.Len("swept", si.Length(lc.SweptM)), finding.Len("need", si.Length(lc.NeedWidthM)))
		c.add(measured(f, lc.HaveWidthM, lc.NeedWidthM))
	} else if lc.SweptM > w+inchTolerance {
		f := c.Book.New("LIFT_AISLE_SWEEP", liftName(m)+" in "+lc.Route, finding.Len("swept", si.Length(lc.SweptM)), finding.Len("need", si.Length(lc.NeedWidthM)))
		c.add(measured(f, lc.HaveWidthM, lc.NeedWidthM))
	}
	return lc
}

// aisleClearance is kept between a machine's width and a straight aisle between
// rows, m, both sides together.
//
// Source: common practice, 0.2 m.
const aisleClearance = 0.2

// straightAisle checks a machine in the straight aisle of a block of rows.
func (c *checker) straightAisle(m brief.Lift, s survey.Seating) LiftCheck {
	lc := c.machine(m)
	lc.Route, lc.HaveWidthM = "aisle of "+named(s.Name, "the rows"), length(s.Aisle)
	// It is an aisle and no way in: no width is swept beyond the machine's own.
	w := length(m.Width)
	if w == 0 {
		lc.Why = "the machine's width is" + notKnown
		return lc
	}
	lc.SweptM, lc.NeedWidthM = w, w+aisleClearance
	lc.Fits = lc.HaveWidthM >= lc.NeedWidthM-inchTolerance
	lc.Why = "straight"
	if !lc.Fits {
		lc.Why = "straight, too narrow"
		f := c.Book.New("LIFT_AISLE", liftName(m)+" in "+lc.Route, finding.Len("swept", si.Length(w)), finding.Len("need", si.Length(lc.NeedWidthM)))
		c.add(measured(f, lc.HaveWidthM, lc.NeedWidthM))
	}
	return lc
}

// machine fills what is true of a machine wherever it goes.
func (c *checker) machine(m brief.Lift) LiftCheck {
	total, _ := c.mass(m)
	lc := LiftCheck{Lift: m.Name, LongestM: math.NaN(), LongestBareM: math.NaN(), MassKg: total, FloorNote: c.floorNote(), StowedM: length(m.StowedHeight),
		PlatformM: math.NaN(), WorkingHeightM: math.NaN(), PlatformKg: math.NaN(), PlatformNeedKg: c.platformNeed(),
		PressurePa: OccupiedPressure(total, length(m.Length), length(m.Width)), FloorPa: c.liveLoad(), WheelN: WheelLoad(total), BoardPa: BoardPressure(total)}
	if h := length(m.PlatformHeight); h > 0 {
		lc.PlatformM, lc.WorkingHeightM = h, WorkingHeight(h)
	}
	if kg := positive(float64(m.Capacity.Or(0))); kg > 0 {
		lc.PlatformKg = kg
	}
	return lc
}

func (c *checker) floorNote() string {
	rating := "; rating " + named(c.Survey.Floor.Rating, "unknown")
	switch c.Survey.Floor.Kind {
	case "slab_on_ground":
		return "slab on the ground: ask what lies under it" + rating
	case "heated_slab":
		return "heated slab: ask where the pipes run; no anchors into it" + rating
	case "sprung_timber":
		return "sprung timber: boards under the wheels, ask the floor's maker" + rating
	case "timber_suspended":
		return "suspended timber: boards and a structural engineer" + rating
	case "over_cellar":
		return "over a cellar: boards and a structural engineer" + rating
	}
	return "kind unknown: a structural engineer" + rating
}

// floors holds the machines that some place is reached by against the floor;
// every machine on offer while none is chosen.
func (c *checker) floors(places []ReachCheck) {
	chosen := map[string]bool{}
	for _, r := range places {
		chosen[r.By] = true
	}
	some := false
	for _, m := range c.Brief.Lifts {
		some = some || chosen[liftName(m)]
	}
	for _, m := range c.Brief.Lifts {
		if !some || chosen[liftName(m)] {
			c.floor(m)
		}
	}
}

// floor reports the machine's weight against the kind of floor.
func (c *checker) floor(m brief.Lift) {
	total, alone := c.mass(m)
	subject := liftName(m)
	if math.IsNaN(total) {
		c.add(c.Book.New("LIFT_SIZE_UNKNOWN", subject, finding.Text("missing", "the machine's mass")))
		return
	}
	code := "LIFT_FLOOR"
	switch c.Survey.Floor.Kind {
	case "slab_on_ground", "heated_slab":
		code = "LIFT_FLOOR_ASK"
	case "sprung_timber":
		if f, bad := c.Book.Check("LIFT_SPRUNG_FLOOR", c.Profile.ID, subject, alone, finding.Mass("total", si.Mass(total))); bad {
			c.add(f)
		}
	}
	lc := c.machine(m)
	if lc.PlatformKg < lc.PlatformNeedKg {
		f := c.Book.New("LIFT_PLATFORM_LOAD", subject, finding.Mass("need", si.Mass(lc.PlatformNeedKg)))
		c.add(measured(f, lc.PlatformKg, lc.PlatformNeedKg))
	}
	// A slab on the ground is asked about what lies under it, not held to a live load.
	if lc.PressurePa > lc.FloorPa && c.Survey.Floor.Kind != "slab_on_ground" {
		f := c.Book.New("LIFT_PRESSURE", subject, finding.Num("wheel", lc.WheelN/1000, "kN"), finding.Num("board", lc.BoardPa/1000, "kPa"))
		c.add(measured(f, lc.PressurePa/1000, lc.FloorPa/1000))
	}
	c.ask(finding.Engineer, "May "+subject+" stand and drive on the floor, and with which boards?", si.FormatMass(si.Mass(total), c.Profile.Display)+" with its load; "+c.floorNote()+".")
	f := c.Book.New(code, "floor under "+subject, finding.Text("lift", upperFirst(subject)), finding.Text("floor", c.floorNote()), finding.Mass("total", si.Mass(total)))
	f.Value, f.HasValue = total, true
	c.add(f)
}
