package plan

import (
	"fmt"
	"slices"
	"sync"

	"roodbeam/engine/finding"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
)

// Change is one question of the kind "what if".
type Change struct {
	// WithoutLine leaves a hanging line out: its units are taken off, and what
	// their zones then lack is proposed anew round the units that stay.
	WithoutLine string
	// Fixture is exchanged for Into wherever it hangs, at the nearest beam.
	Fixture, Into string
	// PlatformWider widens the platform, and the zones on it in proportion; they
	// are then filled up round the units that stay.
	PlatformWider si.Length
	// Screen is moved by ScreenX to stage left and ScreenZ up.
	Screen           string
	ScreenX, ScreenZ si.Length
}

// Answer is what a change would give, beside what is.
type Answer struct {
	Change  Change
	Text    string // the question in words
	Figures Figures
	Differs Comparison
	Unknown string // what the documents do not have; empty: answered
}

// whatIfWork bounds each stage of a new proposal within a what-if, so that a
// handful of questions are answered within a second.
const whatIfWork = 3_000_000

// WhatIf answers changes of the documents, each by itself, side by side with
// what the documents give as they are.
func WhatIf(d Documents, changes []Change, seed uint64, book *finding.Book) (Figures, []Answer) {
	was := Run(d, book)
	out := make([]Answer, len(changes))
	atOnce(len(changes), func(i int) { out[i] = changes[i].answer(d, was, seed, book) })
	return FiguresOf(was), out
}

// atOnce calls do for 0..n−1 at once. A panic in a call comes up in the caller, who
// can catch it, once the others have ended.
func atOnce(n int, do func(i int)) {
	var all sync.WaitGroup
	failed := make([]any, n)
	for i := range n {
		all.Go(func() {
			defer func() { failed[i] = recover() }()
			do(i)
		})
	}
	all.Wait()
	for _, f := range failed {
		if f != nil {
			panic(f)
		}
	}
}

// answer works one change out.
func (c Change) answer(d Documents, was Results, seed uint64, book *finding.Book) Answer {
	a := Answer{Change: c}
	changed, again, text, unknown := c.apply(d)
	a.Text, a.Unknown = text, unknown
	if unknown != "" {
		return a
	}
	switch {
	case again:
		changed.Scheme.Units = filledUp(changed, seed, book)
		a.Text += " (units that stay are kept, their zones filled up anew)"
	case c.Fixture != "":
		changed.Scheme.Units = Levels(changed, book).Units
		a.Text += " (same places, levels set anew)"
	default:
		a.Text += " (same units, light and findings anew)"
	}
	now := Run(changed, book)
	a.Figures = FiguresOf(now)
	a.Differs = Compare(was, now)
	return a
}

// filledUp returns the units of the documents' scheme, all kept, with what the
// engine adds for zones that lack light.
func filledUp(d Documents, seed uint64, book *finding.Book) []scheme.Unit {
	rm, _ := room.Solve(d.Survey, book, d.Profile.ID)
	locked := map[string]bool{}
	d.Scheme.Units = slices.Clone(d.Scheme.Units)
	for i, u := range d.Scheme.Units {
		locked[u.ID] = u.Locked
		d.Scheme.Units[i].Locked = true
	}
	units := planIn(d, rm, Search{Seed: seed, Work: whatIfWork}, book).Scheme.Units
	for i, u := range units {
		units[i].Locked = locked[u.ID]
	}
	return units
}

// apply returns the changed documents, whether zones are to be filled up anew,
// the question in words and what it names that is not there.
func (c Change) apply(d Documents) (_ Documents, again bool, text, unknown string) {
	d.Scheme.Units = slices.Clone(d.Scheme.Units)
	display := d.Profile.Display
	switch {
	case c.WithoutLine != "":
		text = "without " + c.WithoutLine
		found := false
		for _, l := range d.Survey.Lines {
			found = found || l.Name == c.WithoutLine
		}
		if !found {
			return d, false, text, fmt.Sprintf("no hanging line %q", c.WithoutLine)
		}
		kept := d.Scheme.Units[:0]
		for _, u := range d.Scheme.Units {
			if u.Line != c.WithoutLine {
				kept = append(kept, u)
			}
		}
		d.Scheme.Units = kept
		d.Brief.Limits.NoHang = append(slices.Clone(d.Brief.Limits.NoHang), c.WithoutLine)
		return d, true, text, ""
	case c.Fixture != "" || c.Into != "":
		text = fmt.Sprintf("%s instead of %s", c.Into, c.Fixture)
		f, ok := d.set().Get(c.Into)
		if !ok {
			return d, false, text, fmt.Sprintf("no fixture %q", c.Into)
		}
		n := 0
		for i, u := range d.Scheme.Units {
			if u.Fixture == c.Fixture {
				d.Scheme.Units[i].Fixture, d.Scheme.Units[i].FieldDeg = c.Into, f.NearestField(u.FieldDeg)
				n++
			}
		}
		if n == 0 {
			return d, false, text, fmt.Sprintf("no unit is a %q", c.Fixture)
		}
		return d, false, text, ""
	case c.PlatformWider != 0:
		text = fmt.Sprintf("platform wider by %s", si.FormatLength(c.PlatformWider, display))
		w := d.Survey.Platform.Width
		if !w.Set || !(w.Value > 0) || len(d.Survey.Platform.Outline) > 0 || w.Value+c.PlatformWider <= 0 {
			return d, false, text, "the platform is not a rectangle of known width"
		}
		k := (w.Value + c.PlatformWider) / w.Value
		d.Survey.Platform.Width = si.Known(w.Value + c.PlatformWider)
		d.Brief.Zones = slices.Clone(d.Brief.Zones)
		for i, z := range d.Brief.Zones {
			if z.Level != "platform" || !z.MinX.Set || !z.MaxX.Set {
				continue
			}
			d.Brief.Zones[i].MinX, d.Brief.Zones[i].MaxX = si.Known(z.MinX.Value*k), si.Known(z.MaxX.Value*k)
			if z.Width.Set {
				d.Brief.Zones[i].Width = si.Known(z.Width.Value * k)
			}
		}
		return d, true, text, ""
	case c.Screen != "":
		text = fmt.Sprintf("%s moved by %s across and %s up", c.Screen, si.FormatLength(c.ScreenX, display), si.FormatLength(c.ScreenZ, display))
		d.Survey.Screens = slices.Clone(d.Survey.Screens)
		for i, s := range d.Survey.Screens {
			if s.Name != c.Screen {
				continue
			}
			if s.Centre.X.Set {
				s.Centre.X = si.Known(s.Centre.X.Value + c.ScreenX)
			}
			if s.Centre.Z.Set {
				s.Centre.Z = si.Known(s.Centre.Z.Value + c.ScreenZ)
			}
			if s.Bottom.Set {
				s.Bottom = si.Known(s.Bottom.Value + c.ScreenZ)
			}
			d.Survey.Screens[i] = s
			return d, false, text, ""
		}
		return d, false, text, fmt.Sprintf("no screen %q", c.Screen)
	}
	return d, false, "no change", "nothing is to be changed"
}
