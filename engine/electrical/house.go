package electrical

import (
	"math"

	"roodbeam/engine/finding"
)

// deadShare is up to what share of dead lamps a channel near its minimum is
// pointed out.
//
// Source: common practice, lamps are replaced in batches.
const deadShare = 0.25

func (d *designer) isDimmer(name string) bool {
	if name == "" {
		return false
	}
	for _, dm := range d.Survey.Dimmers {
		if dm.Cabinet == name || dm.Channel == name {
			return true
		}
	}
	return false
}

// house checks every channel of the old dimmers before and after.
func (d *designer) house() []DimmerCheck {
	var out []DimmerCheck
	kinds := ""
	for _, dm := range d.Survey.Dimmers {
		c := DimmerCheck{Channel: dm.Channel, Feeds: dm.Controls, Leg: dm.Leg,
			RatingW: positive(float64(dm.Rating.Or(0))), MinimumW: positive(float64(dm.Minimum.Or(0)))}
		subject := "dimmer channel " + named(dm.Channel, "without name")
		removed, kept, perLamp := 0, 0, math.Inf(1)
		for _, l := range d.today.lights {
			if l.Dimmer != dm.Channel || dm.Channel == "" {
				continue
			}
			c.BeforeW += l.watts
			c.AfterW += l.afterW
			c.AfterVA += l.afterVA
			switch {
			case l.removed:
				removed++
			default:
				kept++
				if l.converts && l.count > 0 {
					c.Lamps += l.count
					perLamp = math.Min(perLamp, l.afterW/float64(l.count))
				}
			}
		}
		switch {
		case removed > 0 && kept == 0:
			c.Action = "isolate and take out"
		case c.Lamps > 0:
			c.Action = "new lamps; one channel on trial for a week first"
			if d.Brief.House.DimBy == "dmx" {
				c.Action = "new lamps; dimmer taken out of the way for control over DMX512, or one channel on trial for a week first"
			}
		case kept > 0:
			c.Action = "keep"
		default:
			c.Action = "find out what it feeds"
			d.ask("What does "+subject+" feed?", "No light of the survey hangs on it.")
		}
		c.Edge = dm.Kind
		if c.RatingW > 0 && c.Lamps > 0 {
			c.LEDCapacityW = ledShare * c.RatingW
			c.CapacityUsePct = c.AfterW / c.LEDCapacityW * 100
		}
		d.channelFindings(c, subject, perLamp)
		if c.Lamps > 0 {
			kinds = joinKind(kinds, named(dm.Kind, "unknown"))
		}
		out = append(out, c)
	}
	d.trial(kinds)
	for _, l := range d.today.lights {
		if (l.Kind == "emergency" || l.Kind == "exit") && l.Dimmer != "" {
			d.add(d.Book.New("ELECTRICAL_EMERGENCY_ON_DIMMER", named(l.Name, l.Kind), finding.Text("channel", l.Dimmer)))
			d.ask("How is "+named(l.Name, l.Kind)+" fed when the dimmers are off?", "It is listed on dimmer channel "+l.Dimmer+".")
		}
		d.lampFlux(l)
	}
	return out
}

func (d *designer) channelFindings(c DimmerCheck, subject string, perLamp float64) {
	if c.RatingW > 0 && c.BeforeW > c.RatingW {
		f := d.Book.New("ELECTRICAL_DIMMER_OVERLOADED", subject, finding.Num("load", c.BeforeW, "W"), finding.Num("rating", c.RatingW, "W"),
			finding.Text("feeds", c.Feeds))
		d.add(measured(f, c.BeforeW, c.RatingW))
		d.askFirst("Is "+subject+" overloaded today, or is the list of what it feeds wrong?",
			finding.Num("", c.BeforeW, "W").Format(d.Profile.Display)+" is listed on a channel of "+finding.Num("", c.RatingW, "W").Format(d.Profile.Display)+".")
	}
	if c.LEDCapacityW > 0 && c.AfterW > c.LEDCapacityW {
		f := d.Book.New("ELECTRICAL_DIMMER_LED_CAPACITY", subject, finding.Num("rating", c.RatingW, "W"))
		d.add(measured(f, c.AfterW, c.LEDCapacityW))
	}
	if c.Lamps > 0 && c.Edge == "forward_phase" {
		d.add(d.Book.New("ELECTRICAL_DIMMER_EDGE", subject, finding.CountOf("lamps", c.Lamps)))
	}
	if c.Lamps == 0 || c.MinimumW == 0 {
		return
	}
	if c.AfterW < c.MinimumW {
		f := d.Book.New("ELECTRICAL_DIMMER_MINIMUM", subject, finding.Num("load", c.AfterW, "W"), finding.Num("minimum", c.MinimumW, "W"))
		d.add(measured(f, c.AfterW, c.MinimumW))
		return
	}
	if !(perLamp > 0) || math.IsInf(perLamp, 0) {
		return
	}
	dead := math.Floor((c.AfterW-c.MinimumW)/perLamp) + 1
	if dead <= deadShare*float64(c.Lamps) {
		left := c.AfterW - dead*perLamp
		f := d.Book.New("ELECTRICAL_DIMMER_MARGIN", subject, finding.Num("full", c.AfterW, "W"), finding.CountOf("dead", int(dead)),
			finding.Num("left", left, "W"))
		d.add(measured(f, left, c.MinimumW))
	}
}

// trial sums up the change to LED lamps on the old dimmers.
func (d *designer) trial(kinds string) {
	n := 0
	var w0, w1, va1 float64
	var before, after tally
	for _, l := range d.today.lights {
		if l.Kind == "exit" || l.Kind == "emergency" {
			continue // they stay out of every dimmer and burn on
		}
		before, after = before.plus(l.before), after.plus(l.after)
		if !l.converts || l.Dimmer == "" {
			continue
		}
		n += l.count
		w0 += l.watts
		w1 += l.afterW
		va1 += l.afterVA
	}
	if n == 0 {
		return
	}
	d.add(d.Book.New("ELECTRICAL_DIMMER_TRIAL", "house lights on dimmers", finding.CountOf("before", n), finding.Num("beforew", w0, "W"),
		finding.Num("afterw", w1, "W"), finding.Num("afterva", va1, "VA"),
		finding.Num("beforea", d.sum(before), "A"), finding.Num("aftera", d.sum(after), "A"), finding.Text("kind", kinds)))
	d.ask("Are the old dimmers forward-phase or reverse-phase, and may they feed LED lamps?", "Kind: "+kinds+". The new lamps are dimmed by them unless they are bypassed.")
}

// sum returns the legs' currents added up, A.
func (d *designer) sum(t tally) float64 {
	total := 0.0
	for _, a := range d.sys.current(t) {
		total += a
	}
	return total
}

func (d *designer) lampFlux(l oldLight) {
	if !l.converts || l.lampFlux == 0 || l.count == 0 {
		return
	}
	watts := l.watts / float64(l.count)
	old := l.oneLm()
	// A tenth less is not seen; common practice.
	if l.lampFlux >= 0.8*old {
		return
	}
	f := d.Book.New("ELECTRICAL_LAMP_LESS_LIGHT", named(l.Name, l.Kind), finding.Num("watts", watts, "W"), finding.Num("old", old, "lm"),
		finding.Num("new", l.lampFlux, "lm"))
	d.add(measured(f, l.lampFlux, old))
}

func joinKind(list, kind string) string {
	switch {
	case list == "":
		return kind
	case list == kind:
		return list
	}
	return "mixed"
}
