package survey

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// Context is what the checks of a survey need of other documents; all of it may be
// empty.
type Context struct {
	Machines []Machine
	// Sun are sun positions at services, besides those of the survey.
	Sun []SunCheck
	// Now is the moment of the check, to find clocks that run wrong; zero: not known.
	Now time.Time
	// Start is the first possible working day, Days what the calendar holds.
	Start time.Time
	Days  []CalendarDay
}

// CalendarDay is something of the calendar that takes a day or more.
type CalendarDay struct {
	Name     string
	From, To time.Time // of a span; zero for a weekly service
	Weekly   bool
	Weekday  time.Weekday
}

// Machine is a lift that shall come in.
type Machine struct {
	Name                        string
	Width, Length, StowedHeight L
	Mass, Capacity              si.Typed[si.Mass] // own mass, and what it lifts
}

// CheckIn returns what Check does, and what shows only beside other documents: a
// lift against doors, lobby and floor, the sun at services against windows,
// photographs against the clock, dates of the survey against the calendar. Each task
// against the calendar is the phase plan's check.
func CheckIn(s Survey, book *finding.Book, region string, ctx Context) []finding.Finding {
	out := Check(s, book, region)
	c := &checker{s: s, book: book, region: region, d: surveyDisplay(s)}
	c.machines(ctx.Machines)
	c.weights(ctx.Machines)
	c.sunBehind(ctx.Sun)
	c.clocks(ctx.Now)
	c.dates(ctx)
	out = append(out, c.out...)
	finding.Sort(out)
	return out
}

// machineClearance is kept between a machine and the way, in metres, both sides
// together, and what rounding to the inch may hide (common practice, 75 mm).
const (
	machineClearance = 0.075
	machineRounding  = 0.0015
)

// machines: lift width and 75 mm ≤ every door, stowed height ≤ every door.
func (c *checker) machines(ms []Machine) {
	for _, m := range ms {
		name := "lift " + strings.TrimSpace(strings.TrimPrefix(m.Name, "lift "))
		for _, r := range c.s.Routes {
			width, height := r.Narrowest()
			if need := m.Width.Value + machineClearance; m.Width.Set && width.Set && width.Value < need-machineRounding {
				c.new("SURVEY_MACHINE_WIDTH", name+" by "+r.Name, finding.Len("clear", width.Value), finding.Len("machine", m.Width.Value),
					finding.Len("need", need), remeasure("the clear width of the narrowest door of %s with its leaf open, at three heights", r.Name))
			}
			if m.StowedHeight.Set && height.Set && height.Value < m.StowedHeight.Value {
				c.new("SURVEY_MACHINE_HEIGHT", name+" by "+r.Name, finding.Len("clear", height.Value), finding.Len("machine", m.StowedHeight.Value),
					remeasure("the clear height of the lowest door of %s", r.Name))
			}
			if h := r.LobbyHeight; m.StowedHeight.Set && h.Set && h.Value < m.StowedHeight.Value {
				c.new("SURVEY_MACHINE_LOBBY", name+" by "+r.Name, finding.Len("clear", h.Value), finding.Len("machine", m.StowedHeight.Value),
					remeasure("the lowest clear height between the doors of %s", r.Name))
			}
			if need := m.Width.Value + machineClearance; m.Width.Set && r.Passage.Set && r.Passage.Value < need-machineRounding {
				c.new("SURVEY_MACHINE_WIDTH", name+" in the passage of "+r.Name, finding.Len("clear", r.Passage.Value), finding.Len("machine", m.Width.Value),
					finding.Len("need", need), remeasure("the clear width of the passage of %s at its narrowest", r.Name))
			} else if m.Length.Set && m.Width.Set && r.Passage.Set && r.Landing.Set {
				longest := LongestThatTurns(float64(m.Width.Value), float64(r.Landing.Value), float64(r.Passage.Value))
				if float64(m.Length.Value) > longest+machineRounding {
					c.new("SURVEY_MACHINE_TURN", name+" by "+r.Name, finding.Len("clear", si.Length(longest)), finding.Len("machine", m.Length.Value),
						finding.Len("landing", r.Landing.Value), finding.Len("passage", r.Passage.Value),
						remeasure("the width of the passage and of the landing before the turn on %s", r.Name))
				}
			}
		}
	}
}

// weights: weight of a machine over its own plan ≤ the floor's documented load.
func (c *checker) weights(ms []Machine) {
	rating, ok := ReadAreaLoad(c.s.Floor.Rating)
	if !ok {
		return
	}
	for _, m := range ms {
		kg := float64(m.Mass.Or(0) + m.Capacity.Or(0))
		area := float64(m.Width.Or(0)) * float64(m.Length.Or(0))
		if !m.Mass.Set || kg <= 0 || area <= 0 {
			continue
		}
		if pressure := kg * si.StandardGravity / area; pressure > rating {
			c.new("SURVEY_MACHINE_WEIGHT", "lift "+strings.TrimSpace(strings.TrimPrefix(m.Name, "lift "))+" on the hall floor", finding.Num("machine", kg, "kg"),
				finding.Num("pressure", pressure/1000, "kN/m²"), finding.Text("rating", c.s.Floor.Rating),
				remeasure("ask the hire firm for the load of one wheel, and an engineer what the floor carries"))
		}
	}
}

// dates: what the survey dates against the calendar.
func (c *checker) dates(ctx Context) {
	if ctx.Start.IsZero() {
		return
	}
	day := func(t time.Time) time.Time { return time.Date(t.Year(), t.Month(), t.Day(), 0, 0, 0, 0, time.UTC) }
	text := func(t time.Time) string { return t.Format("Monday 2 January 2006") }
	start := day(ctx.Start)
	if !ctx.Now.IsZero() && start.Before(day(ctx.Now)) {
		c.new("SURVEY_DATE_CLASH", "first working day", finding.Text("typed", text(start)), finding.Text("what", "today"),
			finding.Text("expected", text(day(ctx.Now))), remeasure("ask the church from which day work may begin"))
	}
	for _, d := range ctx.Days {
		switch {
		case d.Weekly && d.Weekday == start.Weekday():
			c.new("SURVEY_DATE_CLASH", "first working day and "+d.Name, finding.Text("typed", text(start)), finding.Text("what", d.Name),
				finding.Text("expected", "every "+d.Weekday.String()+", on "+start.Format("2 January")+" too"), remeasure("ask the church which day is meant"))
		case !d.Weekly && !d.From.IsZero() && !start.Before(day(d.From)) && !start.After(day(later(d.To, d.From))):
			c.new("SURVEY_DATE_CLASH", "first working day and "+d.Name, finding.Text("typed", text(start)), finding.Text("what", d.Name),
				finding.Text("expected", "from "+text(day(d.From))+" to "+text(day(later(d.To, d.From)))), remeasure("ask the church which day is meant"))
		}
	}
	for i, h := range c.s.Hazards {
		if h.State == Removed || h.Due.IsZero() || !day(h.Due).After(start) {
			continue
		}
		c.new("SURVEY_DATE_CLASH", fmt.Sprintf("%s at %s", strings.ReplaceAll(h.Kind, "_", " "), orText(h.Where, fmt.Sprintf("place %d", i+1))),
			finding.Text("typed", text(day(h.Due))), finding.Text("what", "work begins before it is dealt with: the first working day"),
			finding.Text("expected", text(start)), remeasure("ask its owner for an earlier day, or begin later"))
	}
}

func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

// Compass checks. A phone's compass indoors is good to ±15° and worse beside steel.
const (
	bearingTolerance = 30 // degrees between two statements of one direction
	sunReach         = 75 // degrees off a window's normal up to which sun comes far in
	sunHigh          = 60 // degrees of elevation above which it falls at the wall's foot
	behindWithin     = 60 // degrees from upstage up to which a window is behind the preacher
)

// outward returns the compass bearing one looks toward through a window, by the
// room's own orientation and the wall it is in.
func (c *checker) outward(w Window) float64 {
	return math.Mod(c.s.Site.CongregationFacingDeg-w.FacingDeg+720, 360)
}

// apart returns the angle between two bearings in degrees, 0 to 180.
func apart(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 360)) }

// bearings: the compass bearing of a window against the room's orientation.
func (c *checker) bearings() {
	if !c.s.Site.Orientation {
		return
	}
	for _, w := range c.s.Windows {
		if !w.Bearing || w.State == Removed {
			continue
		}
		if by := c.outward(w); apart(by, w.BearingDeg) > bearingTolerance {
			c.new("SURVEY_BEARING_ODD", "window "+w.Name, finding.Deg("typed", w.BearingDeg), finding.Deg("expected", by),
				finding.Deg("apart", apart(by, w.BearingDeg)), remeasure("the bearing through %s with a phone's compass held at the glass, away from steel", w.Name))
		}
	}
	walls := c.wallBearings()
	for _, p := range c.s.Photos {
		wall, ok := wallOf(p.Of, walls)
		if !p.Bearing || !ok {
			continue
		}
		if by := walls[wall]; apart(by, p.DirectionDeg) > photoTolerance {
			c.new("SURVEY_PHOTO_DIRECTION", "photograph "+p.ID, finding.Text("wall", wall), finding.Deg("typed", p.DirectionDeg), finding.Deg("expected", by),
				remeasure("say which wall the photograph shows, or take it again square to the wall"))
		}
	}
}

// photoTolerance is how far a photograph of a wall may look off its normal, in
// degrees: half the angle between two walls.
const photoTolerance = 60

// wallBearings are the compass bearings toward which one looks at each wall: the
// four of the room, and those the survey names.
func (c *checker) wallBearings() map[string]float64 {
	f := c.s.Site.CongregationFacingDeg
	out := map[string]float64{"wall behind the platform": math.Mod(f+360, 360), "rear wall": math.Mod(f+180, 360),
		"wall at stage left": math.Mod(f+90, 360), "wall at stage right": math.Mod(f+270, 360)}
	at := map[string][2]float64{}
	for _, st := range c.s.Stations {
		x, y := st.FixedX, st.FixedY
		if !x.Set {
			x = st.NearX
		}
		if !y.Set {
			y = st.NearY
		}
		if x.Set && y.Set {
			at[st.Name] = [2]float64{float64(x.Value), float64(y.Value)}
		}
	}
	var middle [2]float64
	for _, n := range c.s.Footprint {
		p, ok := at[n]
		if !ok {
			return out
		}
		middle[0] += p[0] / float64(len(c.s.Footprint))
		middle[1] += p[1] / float64(len(c.s.Footprint))
	}
	for _, w := range c.s.Walls {
		a, ok1 := at[w.From]
		b, ok2 := at[w.To]
		dx, dy := b[0]-a[0], b[1]-a[1]
		if !ok1 || !ok2 || math.Hypot(dx, dy) == 0 || w.Name == "" {
			continue
		}
		nx, ny := -dy, dx
		if nx*((a[0]+b[0])/2-middle[0])+ny*((a[1]+b[1])/2-middle[1]) < 0 {
			nx, ny = -nx, -ny
		}
		out["wall "+w.Name] = math.Mod(f+math.Atan2(nx, ny)*180/math.Pi+360, 360)
	}
	return out
}

// wallOf finds the wall that a photograph is said to show.
func wallOf(of string, walls map[string]float64) (string, bool) {
	of = strings.ToLower(strings.TrimSpace(of))
	var names []string
	for n := range walls {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		if of == strings.ToLower(n) {
			return n, true
		}
	}
	return "", false
}

// sunBehind: compass direction, window and service time put the sun behind the
// preacher.
func (c *checker) sunBehind(more []SunCheck) {
	if !c.s.Site.Orientation {
		return
	}
	for _, w := range c.s.Windows {
		out := c.outward(w)
		if w.Bearing {
			out = w.BearingDeg
		}
		if w.State == Removed || w.Blind || apart(out, c.s.Site.CongregationFacingDeg) > behindWithin {
			continue
		}
		for _, sun := range append(append([]SunCheck(nil), c.s.Sun...), more...) {
			if sun.ElevationDeg > 0 && sun.ElevationDeg < sunHigh && apart(out, sun.AzimuthDeg) < sunReach {
				c.new("SURVEY_SUN_BEHIND", "window "+w.Name, finding.Text("when", sun.Name), finding.Deg("window", out), finding.Deg("sun", sun.AzimuthDeg),
					finding.Deg("elevation", sun.ElevationDeg), remeasure("the bearing through %s with a phone's compass, and take a photograph from the seats at that hour", w.Name))
				break
			}
		}
	}
}

// clocks: photographs from the future, or of another day than their measurement.
func (c *checker) clocks(now time.Time) {
	taken := map[string]time.Time{}
	for _, m := range c.s.Measurements {
		taken["measurement "+m.ID] = m.Taken
	}
	const day = 24 * time.Hour
	say := func(p Photo, other time.Time, what string) {
		c.new("SURVEY_PHOTO_TIME", "photograph "+p.ID, finding.Text("typed", p.Taken.UTC().Format("2006-01-02 15:04")),
			finding.Text("expected", other.UTC().Format("2006-01-02 15:04")), finding.Text("what", what),
			remeasure("look at the clock of the phone that took it"))
	}
	for _, p := range c.s.Photos {
		switch m := taken[p.Of]; {
		case p.Taken.IsZero():
		case !now.IsZero() && p.Taken.Sub(now) > day:
			say(p, now, "today")
		case !m.IsZero() && (p.Taken.Sub(m) > day || m.Sub(p.Taken) > day):
			say(p, m, "the measurement it shows")
		}
	}
}

// feeders: the sum of what a dimmer cabinet's channels feed against its feeder.
func (c *checker) feeders() {
	v := float64(c.s.Supply.Voltage.Or(0))
	if v <= 0 {
		return
	}
	load := map[string]float64{}
	var cabinets []string
	for _, d := range c.s.Dimmers {
		if d.Cabinet == "" || d.State == Removed {
			continue
		}
		if _, ok := load[d.Cabinet]; !ok {
			cabinets = append(cabinets, d.Cabinet)
			load[d.Cabinet] = 0
		}
		for _, e := range c.s.ExistingUnit {
			if e.Dimmer == d.Channel && d.Channel != "" && e.Watts.Set && e.Count > 0 {
				load[d.Cabinet] += float64(e.Count) * float64(e.Watts.Value)
			}
		}
	}
	for _, cabinet := range cabinets {
		amps, poles, what := c.feederOf(cabinet)
		if amps <= 0 || load[cabinet] <= 0 {
			continue
		}
		rating := amps * v * voltagesOn(c.s.Supply.System, poles)
		c.check("SURVEY_FEEDER_OVER", "dimmer cabinet "+cabinet, load[cabinet]/rating*100, finding.Num("load", load[cabinet], "W"),
			finding.Num("feeder", amps, "A"), finding.Num("rating", rating, "W"), finding.Text("what", what),
			remeasure("let an electrician read the feeder's breaker, and count the lamps again from the floor"))
	}
}

// voltagesOn returns the power of a breaker of some poles over its amperes times
// the supply's voltage, which is to neutral, and between lines where there is no
// neutral. Of a system that nobody named every pole counts as a line.
// Source: power of single and three-phase systems, any textbook (from memory).
func voltagesOn(system string, poles int) float64 {
	switch system {
	case "single_phase_2w":
		return 1 // a second pole opens the neutral
	case "single_phase_3w":
		return float64(min(poles, 2))
	case "three_phase_3w":
		if poles >= 3 {
			return math.Sqrt(3)
		}
		return 1
	}
	return float64(min(poles, 3))
}

// feederOf finds the breaker that feeds a cabinet.
func (c *checker) feederOf(cabinet string) (amps float64, poles int, what string) {
	names := func(text string) bool {
		return strings.Contains(strings.ToLower(text), strings.ToLower(cabinet))
	}
	for _, p := range c.s.Panels {
		for _, w := range p.Ways {
			if names(w.Feeds) && w.Rating.Set {
				return float64(w.Rating.Value), max(1, w.Poles), fmt.Sprintf("way %d of panel %s", w.Space, p.Name)
			}
		}
	}
	return 0, 0, ""
}

// directories: breakers counted on the photograph against the directory's lines.
func (c *checker) directories() {
	for _, p := range c.s.Panels {
		if len(p.Ways) == 0 || p.SpacesUsed <= 0 || p.State == Removed {
			continue
		}
		listed := 0
		for _, w := range p.Ways {
			listed += max(1, w.Poles)
		}
		if listed != p.SpacesUsed {
			c.new("SURVEY_DIRECTORY_MISMATCH", "panel "+p.Name, finding.CountOf("counted", p.SpacesUsed), finding.CountOf("listed", listed),
				remeasure("count the breakers once more on the photograph with the door open"))
		}
	}
}
