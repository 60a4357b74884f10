package plan

import (
	"fmt"
	"slices"
	"strings"

	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/survey"
)

// restOn lets the fingerprint of every stop that a trade signs cover all values
// the signature rests on, so that it lapses when one of them changes.
func restOn(d Documents, r Results, fs []finding.Finding) []finding.Finding {
	out := make([]finding.Finding, len(fs))
	for i, f := range fs {
		basis := ""
		if f.Severity == finding.Stop {
			basis = restsOn(d, r, f)
		}
		out[i] = f.RestingOn(basis)
	}
	return out
}

// restsOn writes out what the owner of a stop looks at before signing: the works of
// the trade as proposed and what was surveyed of them. Nothing of other trades,
// of names or of money is in it.
func restsOn(d Documents, r Results, f finding.Finding) string {
	switch {
	case f.Owner == finding.Electrician:
		return electricalBasis(d, r, f.Subject)
	case f.Owner == finding.FireAlarm:
		return fmt.Sprintf("%s|%s|%s", d.Brief.Limits.Haze, d.Survey.Site.Detectors, d.Survey.Site.Sprinklers)
	case strings.HasPrefix(f.Code, "LIFT_") || f.Code == "SURVEY_FLOOR_UNKNOWN":
		return liftBasis(d, r)
	case f.Owner == finding.Engineer || f.Owner == finding.Rigger:
		return hangingBasis(r, f.Subject)
	case f.Owner == finding.Hazards:
		return fmt.Sprintf("%d|%d|%+v", d.Survey.Site.YearBuilt, d.Survey.Site.YearAltered, hazardsOf(d.Survey, "asbestos"))
	}
	return ""
}

// electricalBasis is one circuit for a finding about that circuit, else every
// circuit, with panels, supply, old lights and dimmers as surveyed.
func electricalBasis(d Documents, r Results, subject string) string {
	var b strings.Builder
	about := func(c electrical.Circuit) bool {
		return subject == "circuit "+c.Name || subject == "existing circuit "+c.Panel && c.Existing
	}
	one := slices.ContainsFunc(r.Load.Circuits, about)
	for _, c := range r.Load.Circuits {
		if one && !about(c) {
			continue
		}
		fmt.Fprintf(&b, "%s %v %.4g W %.4g VA %.4g A, design %.4g A, breaker %g A %d poles %s, %s, ground %s, %.4g m, drop %.3g, %s of %s, inrush %.3g, loop %.3g/%.3g, phase %s\n",
			c.Name, c.Units, c.ConnectedW, c.ConnectedVA, c.CurrentA, c.DesignA, c.BreakerA, c.BreakerPoles, c.Curve, c.Conductor, c.Ground, c.LengthM, c.DropPct,
			c.Leg, c.Panel, c.InrushA, c.LoopOhm, c.LoopLimitOhm, c.Phase)
		for _, o := range c.Places {
			fmt.Fprintf(&b, "outlet %.4g %.4g %.4g %v\n", o.X, o.Y, o.Z, o.Units)
		}
	}
	fmt.Fprintf(&b, "%+v\n%+v\n", d.Survey.Supply, d.Survey.Panels)
	for _, n := range r.Load.Neutral {
		if !one || strings.HasSuffix(subject, " "+n.Where) {
			fmt.Fprintf(&b, "neutral %s %v %t %.4g %.4g %v\n", n.Where, n.Circuits, n.Existing, n.WithThirdA, n.SizedForA, n.Faults)
		}
	}
	if !one {
		for _, l := range d.Survey.ExistingUnit {
			fmt.Fprintf(&b, "%s %d %.4g %s %s\n", l.Kind, l.Count, l.Watts.Or(0).Watts(), l.Dimmer, l.Fate)
		}
		fmt.Fprintf(&b, "%+v\n%+v\n", d.Survey.Dimmers, hazardsOf(d.Survey, "panel_access", "wiring"))
		for _, h := range r.Load.House {
			fmt.Fprintf(&b, "%s %.4g %.4g %.4g\n", h.Channel, h.BeforeW, h.AfterW, h.AfterVA)
		}
	}
	return b.String()
}

// liftBasis is the machines on offer, the ways in, the floor, and every height
// to be reached.
func liftBasis(d Documents, r Results) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%+v\n%+v\n%+v\n%+v\n", d.Brief.Lifts, d.Survey.Routes, d.Survey.Floor, d.Survey.PlannedFloor)
	for _, l := range r.Hanging.Lifts {
		fmt.Fprintf(&b, "%s %s %t %.4g kg\n", l.Lift, l.Route, l.Fits, l.MassKg)
	}
	for _, p := range r.Hanging.Places {
		fmt.Fprintf(&b, "%s %s %.4g %.4g %s %s\n", p.Unit, p.Line, p.HangM, p.NeedPlatformM, p.By, p.Below)
	}
	return b.String()
}

// hangingBasis is the line a finding is about, or the lines of the unit, with
// everything on it and where it stands in the room; every line for any other
// subject.
func hangingBasis(r Results, subject string) string {
	var b strings.Builder
	var lines []string
	for _, u := range r.Placed {
		if strings.HasPrefix(subject+" ", "unit "+u.ID+" ") {
			lines = append(lines, u.Line)
			fmt.Fprintf(&b, "%s %s %.4g %.4g %.4g %v\n", u.ID, u.Fixture, u.At.X, u.At.Y, u.At.Z, u.Accessories)
		}
	}
	for _, l := range r.Hanging.Lines {
		if strings.HasSuffix(subject, l.Name) {
			lines = append(lines, l.Name)
		}
	}
	about := func(name string) bool { return len(lines) == 0 || slices.Contains(lines, name) }
	for _, l := range r.Room.Lines {
		if about(l.Name) {
			fmt.Fprintf(&b, "%s %s %.4v %.4v %s %+v\n", l.Name, l.Kind, l.From, l.To, l.Forbidden, l.Survey)
		}
	}
	for _, l := range r.Hanging.Lines {
		if !about(l.Name) {
			continue
		}
		fmt.Fprintf(&b, "%s %s %s %.4g %.4g %.4g\n", l.Name, l.Material, l.Section, l.SpanM, l.AddedKg, l.ExistingKg)
		for _, p := range l.Loads {
			fmt.Fprintf(&b, "%s %.4g %.4g\n", p.Unit, p.Along.Metres(), p.Mass.Kilograms())
		}
	}
	for _, s := range r.Room.Solids {
		if strings.HasSuffix(subject, " and "+s.Name) {
			fmt.Fprintf(&b, "%s %.4v\n", s.Name, s.Faces)
		}
	}
	return b.String()
}

func hazardsOf(s survey.Survey, kinds ...string) []survey.Hazard {
	var out []survey.Hazard
	for _, h := range s.Hazards {
		if slices.Contains(kinds, h.Kind) {
			out = append(out, h)
		}
	}
	return out
}
