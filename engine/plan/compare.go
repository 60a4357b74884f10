package plan

import (
	"cmp"
	"math"
	"slices"

	"roodbeam/engine/finding"
	"roodbeam/engine/scheme"
)

// Figures are the numbers a scheme is chosen by.
type Figures struct {
	Units     int
	PowerW    float64
	CurrentA  float64 // all on, at the nominal voltage
	AddedKg   float64 // on all lines
	CostMinor int64   // likely, with contingency
	Currency  string
	Days      float64 // working days along the chain that drives the finish
	Lines     int     // that carry units
	// ReachedPct is the mean over the zones of the average light on faces over the
	// target, each counted to 100 at most.
	ReachedPct float64
	LeastPct   float64 // the least zone of those
	Stops      int
	Warnings   int
	Zones      []ZoneFigures
}

// ZoneFigures is one zone's light.
type ZoneFigures struct {
	Zone      string
	AverageLx float64
	LeastLx   float64
	TargetLx  float64
	BackLx    float64
}

// FiguresOf sums results up.
func FiguresOf(r Results) Figures {
	f := Figures{Units: len(r.Placed), PowerW: r.Load.TotalW, CurrentA: r.Load.TotalA, CostMinor: r.Estimate.WithContingency.Likely,
		Currency: r.Estimate.Currency, Stops: finding.Count(r.Findings, finding.Stop), Warnings: finding.Count(r.Findings, finding.Warn)}
	lines := map[string]bool{}
	for _, p := range r.Placed {
		if p.Line != "" {
			lines[p.Line] = true
		}
	}
	f.Lines = len(lines)
	for _, l := range r.Hanging.Lines {
		if l.AddedKg > 0 {
			f.AddedKg += l.AddedKg
		}
	}
	for _, t := range r.Phases.Tasks {
		if slices.Contains(r.Phases.Critical, t.ID) {
			f.Days += t.Days
		}
	}
	zones := 0.0
	f.LeastPct = math.Inf(1)
	for _, z := range r.Light.Zones {
		f.Zones = append(f.Zones, ZoneFigures{z.Name, z.AverageLx, z.MinLx, z.TargetLx, z.OwnBackLx})
		if z.TargetLx > 0 && !math.IsNaN(z.AverageLx) {
			pct := math.Min(100, 100*z.AverageLx/z.TargetLx)
			f.ReachedPct += pct
			f.LeastPct = math.Min(f.LeastPct, pct)
			zones++
		}
	}
	if zones > 0 {
		f.ReachedPct /= zones
	} else {
		f.LeastPct = 0
	}
	return f
}

// Comparison is every unit, number and finding in which two schemes differ.
type Comparison struct {
	Units    []UnitChange
	Numbers  []NumberChange
	OnlyIn   [2][]finding.Finding // findings of one scheme alone
	Changed  []FindingChange
	FiguresA Figures
	FiguresB Figures
}

// UnitChange is one unit that differs; a nil side has not got it.
type UnitChange struct {
	Unit string
	A, B *scheme.Placed
	What []string // fields that differ
}

// NumberChange is one number that differs.
type NumberChange struct {
	Name string
	Unit string
	A, B float64
}

// FindingChange is a finding both have with other values.
type FindingChange struct{ A, B finding.Finding }

// moveM is below which two places count as one: a clamp's width.
const moveM = 0.01

// Compare returns in what two results differ, sorted by name.
func Compare(a, b Results) Comparison {
	c := Comparison{FiguresA: FiguresOf(a), FiguresB: FiguresOf(b)}
	c.Units = compareUnits(a.Placed, b.Placed)
	c.Numbers = append(compareFigures(c.FiguresA, c.FiguresB), compareStages(a, b)...)
	inA := map[string]finding.Finding{}
	for _, f := range a.Findings {
		inA[f.Key] = f
	}
	inB := map[string]bool{}
	for _, f := range b.Findings {
		inB[f.Key] = true
		was, ok := inA[f.Key]
		switch {
		case !ok:
			c.OnlyIn[1] = append(c.OnlyIn[1], f)
		case was.Fingerprint != f.Fingerprint:
			c.Changed = append(c.Changed, FindingChange{was, f})
		}
	}
	for _, f := range a.Findings {
		if !inB[f.Key] {
			c.OnlyIn[0] = append(c.OnlyIn[0], f)
		}
	}
	return c
}

func compareUnits(a, b []scheme.Placed) []UnitChange {
	side := func(list []scheme.Placed) map[string]*scheme.Placed {
		out := map[string]*scheme.Placed{}
		for i := range list {
			out[list[i].ID] = &list[i]
		}
		return out
	}
	inA, inB := side(a), side(b)
	var out []UnitChange
	for id, p := range inA {
		q := inB[id]
		if q == nil {
			out = append(out, UnitChange{Unit: id, A: p})
			continue
		}
		if what := differing(p, q); len(what) > 0 {
			out = append(out, UnitChange{id, p, q, what})
		}
	}
	for id, q := range inB {
		if inA[id] == nil {
			out = append(out, UnitChange{Unit: id, B: q})
		}
	}
	slices.SortFunc(out, func(x, y UnitChange) int { return cmp.Compare(x.Unit, y.Unit) })
	return out
}

func differing(p, q *scheme.Placed) []string {
	var what []string
	add := func(name string, differs bool) {
		if differs {
			what = append(what, name)
		}
	}
	add("fixture", p.Fixture != q.Fixture)
	add("beam", p.FieldDeg != q.FieldDeg)
	add("line", p.Line != q.Line)
	add("place", p.At.Sub(q.At).Norm() > moveM)
	add("aim", p.Target.Sub(q.Target).Norm() > moveM)
	add("level", p.LevelPct != q.LevelPct)
	add("purpose", p.Purpose != q.Purpose)
	add("zone", p.Zone != q.Zone)
	add("phase", p.Phase != q.Phase)
	add("accessories", !slices.Equal(p.Accessories, q.Accessories))
	add("lock", p.Locked != q.Locked)
	add("face", p.Face != q.Face)
	add("white", p.WhiteK != q.WhiteK)
	add("shutters", !slices.Equal(p.Blades, q.Blades))
	add("circuit", p.Circuit != q.Circuit)
	add("data branch", p.Branch != q.Branch)
	add("address", p.Universe != q.Universe || p.Address != q.Address)
	add("note", p.Note != q.Note)
	return what
}

func compareFigures(a, b Figures) []NumberChange {
	var out []NumberChange
	add := func(name, unit string, x, y float64) {
		if x != y && !(math.IsNaN(x) && math.IsNaN(y)) {
			out = append(out, NumberChange{name, unit, x, y})
		}
	}
	add("units", "", float64(a.Units), float64(b.Units))
	add("lines used", "", float64(a.Lines), float64(b.Lines))
	add("power", "W", a.PowerW, b.PowerW)
	add("current", "A", a.CurrentA, b.CurrentA)
	add("added mass", "kg", a.AddedKg, b.AddedKg)
	add("cost with contingency", cmp.Or(a.Currency, b.Currency), float64(a.CostMinor)/100, float64(b.CostMinor)/100)
	add("working days", "d", a.Days, b.Days)
	add("wanted light reached", "%", a.ReachedPct, b.ReachedPct)
	add("stops", "", float64(a.Stops), float64(b.Stops))
	add("warnings", "", float64(a.Warnings), float64(b.Warnings))
	zones := map[string]ZoneFigures{}
	for _, z := range a.Zones {
		zones[z.Zone] = z
	}
	for _, z := range b.Zones {
		was, ok := zones[z.Zone]
		if !ok {
			was.AverageLx, was.LeastLx, was.BackLx = math.NaN(), math.NaN(), math.NaN()
		}
		add(z.Zone+", average", "lx", was.AverageLx, z.AverageLx)
		add(z.Zone+", least", "lx", was.LeastLx, z.LeastLx)
		add(z.Zone+", back light", "lx", was.BackLx, z.BackLx)
	}
	return out
}

// compareStages returns the numbers of the stages' own rows that differ: light on
// screens, amps of legs and circuits, mass of lines, slots, data cable, phases.
func compareStages(a, b Results) []NumberChange {
	type value struct {
		unit string
		v    [2]float64
	}
	values := map[string]*value{}
	var order []string
	set := func(side int, name, unit string, v float64) {
		if values[name] == nil {
			values[name] = &value{unit, [2]float64{math.NaN(), math.NaN()}}
			order = append(order, name)
		}
		values[name].v[side] = v
	}
	for side, r := range []Results{a, b} {
		for _, s := range r.Light.Screens {
			set(side, "light on "+s.Name, "lx", s.AverageLx)
		}
		for _, c := range r.Load.Circuits {
			set(side, "circuit "+c.Name, "A", c.CurrentA)
		}
		for _, s := range r.Load.Steps {
			for _, l := range s.Legs {
				set(side, "leg "+l.Name+", "+s.Name, "A", l.CurrentA)
			}
		}
		for _, l := range r.Hanging.Lines {
			set(side, "added to "+l.Name, "kg", l.AddedKg)
		}
		for _, n := range r.Network.Branches {
			set(side, "data branch "+n.Name, "m", n.LengthM)
		}
		for _, p := range r.Estimate.Phases {
			set(side, "phase "+p.Name, r.Estimate.Currency, float64(p.WithContingency.Likely)/100)
		}
	}
	var out []NumberChange
	for _, name := range order {
		v := values[name]
		was, is := v.v[0], v.v[1]
		if !(was == is || math.IsNaN(was) && math.IsNaN(is) || math.Abs(was-is) <= numberTol*math.Abs(was)) {
			out = append(out, NumberChange{name, v.unit, was, is})
		}
	}
	return out
}

// numberTol is the share below which two numbers are the same: the rounding of sums.
const numberTol = 1e-9
