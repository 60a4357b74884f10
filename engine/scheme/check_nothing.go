package scheme

import (
	"fmt"
	"strings"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/finding"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// leastLineM is the length below which a hanging line can't be one: a hand's width.
const leastLineM = 0.1

// nothingHung says why a scheme that should light zones has no unit: of each
// hanging line the first reason that keeps units off it. A scheme that is not
// made yet has no name, and one that only changes the house lights hangs nothing.
func (c *checker) nothingHung() {
	if len(c.in.Placed) > 0 || len(c.zones) == 0 || c.in.Scheme.Name == "" || c.in.Scheme.HouseStep != "" || len(c.in.Scheme.Units) > 0 {
		return
	}
	var why []string
	if volts := c.in.Survey.Supply.Voltage; volts.Set && !c.anyFits(volts.Value) {
		c.rep.add("SCHEME_NOTHING_HUNG", "scheme "+c.in.Scheme.Name, finding.Text("why", fmt.Sprintf("no fixture of the catalogue that hangs takes the supply's %.0f V", volts.Value.Volts())))
		return
	}
	for _, l := range c.in.Room.Lines {
		if l.State == survey.Removed {
			continue
		}
		why = append(why, "line "+l.Name+" "+c.keptOff(l))
	}
	if len(why) == 0 {
		why = []string{"the survey has no hanging line"}
	}
	c.rep.add("SCHEME_NOTHING_HUNG", "scheme "+c.in.Scheme.Name, finding.Text("why", strings.Join(why, "; ")))
}

// anyFits tells whether a white fixture of the catalogue takes a voltage.
func (c *checker) anyFits(v si.Voltage) bool {
	for _, f := range c.in.Catalogue.All() {
		if f.Throws && f.White && takes(f, v) {
			return true
		}
	}
	return false
}

// takes tells whether a fixture may be fed with a voltage; one that does not say is
// taken to.
func takes(f catalogue.Fixture, v si.Voltage) bool {
	return !(f.VoltageMax > 0) || v >= f.VoltageMin && v <= f.VoltageMax
}

// keptOff says what keeps units off a line, after its name.
func (c *checker) keptOff(l room.Line) string {
	r := c.in.Room
	above, beyond, spans := 0.0, 0, usableSpans(l)
	const steps = 4
	for i := range steps + 1 {
		at := l.Underside(lengthOf(l.Length().Metres() * float64(i) / steps))
		if len(r.Footprint) >= 3 && !r.Footprint.ContainsPlan(at.X, at.Y) && outsideBy(r.Footprint, at) > spanSlackM {
			beyond++
			continue
		}
		if h, ok := ceilingAt(r, at.X, at.Y); ok && at.Z-h > above && l.Kind != "slab" {
			above = at.Z - h
		}
	}
	switch {
	case beyond == steps+1:
		return "lies outside the walls"
	case above > spanSlackM:
		return fmt.Sprintf("is %s above the ceiling", si.FormatBoth(lengthOf(above), region.DisplayOf(c.in.Region)))
	}
	if l.Length().Metres() < leastLineM {
		return "has no length: both its ends lie at one place"
	}
	if b, is := barred(l, c.in.Brief.Limits); is && !b.ask {
		return "may carry nothing: " + b.why
	}
	if len(spans) == 0 {
		return "has no part that may be used"
	}
	for _, row := range Lines(r, c.in.Brief) {
		// That permission is to be asked keeps nobody from planning.
		why := strings.TrimPrefix(strings.TrimPrefix(row.Why, asked), "; ")
		if row.Line == l.Name && row.Place == "" && why != "" {
			return "does not do: " + why
		}
	}
	return "sees no zone at 25° to 60° with a fixture of fitting strength"
}
