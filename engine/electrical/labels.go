package electrical

import (
	"slices"
	"sort"

	"roodbeam/engine/scheme"
)

// labelled returns the units without a label that holds, and the circuits that
// labels name with theirs. A circuit that units of another type than labelled
// bring over its limit loses these, heaviest first, and never another.
func (d *designer) labelled(units []unitLoad) (rest []unitLoad, out []group) {
	if len(d.Labels) == 0 {
		return units, nil
	}
	index := map[string]int{}
	for _, u := range units {
		l, ok := scheme.Holds(d.Labels, u.Unit)
		if !ok || l.Circuit == "" {
			rest = append(rest, u)
			continue
		}
		i, ok := index[l.Circuit]
		if !ok {
			i = len(out)
			index[l.Circuit] = i
			out = append(out, group{name: l.Circuit, label: true})
		}
		out[i].units = append(out[i].units, u)
		out[i].pinned = out[i].pinned || u.Circuit == l.Circuit
	}
	// The designer sized what the scheme names; it may use all that continuous loads leave.
	most, _ := capacityVA(d.Profile, d.wayVolts(), 100)
	for i := range out {
		g := &out[i]
		for g.va() > most*fits {
			k := -1
			for j, u := range g.units {
				if d.Labels[u.ID].Changed(u.Unit) && (k < 0 || u.va > g.units[k].va) {
					k = j
				}
			}
			if k < 0 {
				break
			}
			u := g.units[k]
			u.Circuit = ""
			rest = append(rest, u)
			g.units = append(g.units[:k:k], g.units[k+1:]...)
		}
	}
	out = slices.DeleteFunc(out, func(g group) bool { return len(g.units) == 0 })
	sort.Slice(out, func(i, j int) bool { return out[i].name < out[j].name })
	return rest, out
}

// roomOn returns the labelled circuit that serves the unit's line in its install
// phase and can take it within the planned limits, the lightest of several; -1
// for none.
func (d *designer) roomOn(groups []group, u unitLoad, lim limits) int {
	best := -1
	for i, g := range groups {
		if !g.label {
			continue
		}
		if k := len(g.units) - 1; g.units[k].Line != u.Line || g.units[k].phase != u.phase {
			continue
		}
		both := append(append([]unitLoad(nil), g.units...), u)
		if lim.hold(both) && d.reaches(both) && (best < 0 || g.va() < groups[best].va()) {
			best = i
		}
	}
	return best
}

// labelChoice is the leg and panel that a labelled circuit is written up for.
func (d *designer) labelChoice(circuit string) choice {
	var units []string
	for u := range d.Labels {
		units = append(units, u)
	}
	sort.Strings(units)
	for _, u := range units {
		if l := d.Labels[u]; l.Circuit == circuit && circuit != "" && l.Leg != "" {
			return choice{leg: l.Leg, panel: l.Panel}
		}
	}
	return choice{}
}
