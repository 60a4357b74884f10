package electrical

import (
	"math"
	"sort"
	"strings"

	"roodbeam/engine/region"
)

// maxDrivers is how many LED drivers the packing puts on one circuit.
//
// Source: common practice, check the breaker type above 10 drivers per 16 A to 20 A.
const maxDrivers = 10

// group is a circuit in the making.
type group struct {
	name   string
	phase  string
	lines  []string
	units  []unitLoad
	pinned bool // the designer named it
	label  bool // an issued packet named it
	shared int  // circuits of its line, for the reason
	choice choice
}

type choice struct{ leg, panel, phase, approved, installed string }

func (g group) va() float64 {
	sum := 0.0
	for _, u := range g.units {
		sum += u.va
	}
	return sum
}

// capacityVA returns what one circuit of the largest branch rating is planned
// to carry, VA, and the breaker it belongs to, A.
func capacityVA(p region.Profile, volts, planPct float64) (va, breakerA float64) {
	breakerA = p.BranchBreakers[len(p.BranchBreakers)-1]
	return breakerA * volts * usable(p, planPct), breakerA
}

// usable is the share of a breaker a circuit is planned to use: the planned
// percentage, and never above what the factor for continuous loads leaves.
func usable(p region.Profile, planPct float64) float64 {
	return math.Min(planPct/100, 1/p.ContinuousFactor)
}

// packed shares the units out: labelled circuits first, then the designer's, the
// rest by hanging line and install phase into as few as fit; a labelled circuit
// of the same line and phase takes a new unit where it has room.
func (d *designer) packed(units []unitLoad) []group {
	capVA, _ := capacityVA(d.Profile, d.wayVolts(), d.planPct)
	lim := d.limits(capVA)
	var groups []group
	byName := map[string]int{}
	type key struct{ line, phase string }
	free := map[key][]unitLoad{}
	var keys []key
	kept, was := d.labelled(units)
	for _, c := range was {
		byName[c.name] = len(groups)
		groups = append(groups, c)
	}
	units = kept
	for _, u := range units {
		if u.Circuit != "" {
			i, ok := byName[u.Circuit]
			if !ok {
				i = len(groups)
				byName[u.Circuit] = i
				groups = append(groups, group{name: u.Circuit})
			}
			groups[i].pinned = true
			groups[i].units = append(groups[i].units, u)
			continue
		}
		if i := d.roomOn(groups, u, lim); i >= 0 {
			groups[i].units = append(groups[i].units, u)
			continue
		}
		k := key{u.Line, u.phase}
		if _, ok := free[k]; !ok {
			keys = append(keys, k)
		}
		free[k] = append(free[k], u)
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i].line != keys[j].line {
			return keys[i].line < keys[j].line
		}
		return keys[i].phase < keys[j].phase
	})
	var auto []group
	for _, k := range keys {
		us := free[k]
		d.alongLine(us)
		bins, note := sharedOut(us, lim, spreadHere(us, units), func(b []unitLoad) bool { return d.reaches(b) })
		note.Line, note.Phase = k.line, k.phase
		d.packing = append(d.packing, note)
		for _, b := range bins {
			auto = append(auto, group{phase: k.phase, units: b, shared: len(bins)})
		}
	}
	auto = d.joined(auto, lim)
	d.nameGroups(auto, byName)
	groups = append(groups, auto...)
	for i := range groups {
		g := &groups[i]
		g.choice = d.labelChoice(g.name)
		for _, c := range d.Scheme.Circuits {
			if c.Name == g.name {
				g.choice = choice{named(c.Leg, g.choice.leg), named(c.Panel, g.choice.panel), c.Phase, c.Approved, c.Installed}
			}
		}
		g.phase = g.choice.phase
		for _, u := range g.units {
			if g.choice.phase == "" && (g.phase == "" || u.phase < g.phase) {
				g.phase = u.phase
			}
		}
		d.alongLine(g.units)
		g.lines = linesOf(g.units)
	}
	sort.SliceStable(groups, func(i, j int) bool { return groups[i].name < groups[j].name })
	return groups
}

// fewUnits is how many units a circuit may have to be joined with another line's.
//
// Source: common practice, a circuit of its own for a handful of drivers wastes a
// space of the panel.
const fewUnits = 3

// joined merges circuits of different lines within one install phase where every
// limit holds: those with few units each, or one with a single unit, unless that
// put a whole zone on one breaker. The panel's spaces do not count here: a circuit
// that is needed stays needed, and what finds no space is said of the panel.
func (d *designer) joined(auto []group, lim limits) []group {
	for {
		bi, bj, best := -1, -1, math.Inf(1)
		for i := range auto {
			for j := i + 1; j < len(auto); j++ {
				a, b := auto[i], auto[j]
				both := append(append([]unitLoad(nil), a.units...), b.units...)
				sum := a.va() + b.va()
				if a.phase != b.phase || !smallEnough(len(a.units), len(b.units)) || !lim.hold(both) || !d.reaches(both) || d.darkens(both) {
					continue
				}
				if sum < best {
					bi, bj, best = i, j, sum
				}
			}
		}
		if bi < 0 {
			return auto
		}
		auto[bi].units = append(append([]unitLoad(nil), auto[bi].units...), auto[bj].units...)
		auto = append(auto[:bj], auto[bj+1:]...)
	}
}

// smallEnough tells whether circuits of so many units may be joined.
func smallEnough(a, b int) bool { return min(a, b) == 1 || max(a, b) <= fewUnits }

// darkens tells whether a circuit of these units would hold all of a zone's.
func (d *designer) darkens(us []unitLoad) bool { return len(spreadHere(us, d.units)) > 0 }

// nameGroups names a circuit after its line with a letter: W1a, W1b; "mixed a"
// where it serves several lines.
func (d *designer) nameGroups(auto []group, taken map[string]int) {
	next := map[string]int{}
	used := map[string]bool{}
	for n := range taken {
		used[n] = true
	}
	for _, l := range d.Labels {
		used[l.Circuit] = true
	}
	for i := range auto {
		base := "loose"
		if ls := linesOf(auto[i].units); len(ls) == 1 && ls[0] != "" {
			base = ls[0]
		} else if len(ls) > 1 {
			base = "mixed"
		}
		sep := ""
		if strings.Contains(base, " ") || base == "mixed" || base == "loose" {
			sep = " "
		}
		for {
			n := next[base]
			next[base]++
			name := base + sep + letters(n)
			if !used[name] {
				used[name] = true
				auto[i].name = name
				break
			}
		}
	}
}

// letters counts a, b … z, aa, ab …
func letters(n int) string {
	s := string(rune('a' + n%26))
	if n >= 26 {
		return letters(n/26-1) + s
	}
	return s
}

func linesOf(us []unitLoad) []string {
	seen := map[string]bool{}
	var out []string
	for _, u := range us {
		if !seen[u.Line] {
			seen[u.Line] = true
			out = append(out, u.Line)
		}
	}
	sort.Strings(out)
	return out
}

func zonesOf(us []unitLoad) []string {
	seen := map[string]bool{}
	var out []string
	for _, u := range us {
		if u.Zone != "" && !seen[u.Zone] {
			seen[u.Zone] = true
			out = append(out, u.Zone)
		}
	}
	sort.Strings(out)
	return out
}
