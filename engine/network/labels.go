package network

import (
	"slices"
	"sort"

	"roodbeam/engine/geom"
	"roodbeam/engine/scheme"
)

// labelledGroups returns the branches that labels name with the devices whose
// label holds, in the order of their places.
func labelledGroups(in Input, ds []device) []group {
	index := map[string]int{}
	var out []group
	for _, d := range ds {
		l, ok := scheme.Holds(in.Labels, d.unit.Unit)
		if d.noPlace {
			l, ok = in.Labels[d.id]
			ok = ok && !l.Retired
		}
		if !ok || l.Branch == "" || l.Place < 1 {
			continue
		}
		i, ok := index[l.Branch]
		if !ok {
			i = len(out)
			index[l.Branch] = i
			out = append(out, group{name: l.Branch, ordered: true})
		}
		out[i].devices = append(out[i].devices, d)
	}
	for i := range out {
		g := &out[i]
		sort.SliceStable(g.devices, func(a, b int) bool {
			return in.Labels[g.devices[a].id].Place < in.Labels[g.devices[b].id].Place
		})
		g.labelled = len(g.devices)
		for _, d := range g.devices {
			g.places = append(g.places, in.Labels[d.id].Place)
		}
		for _, l := range in.Labels {
			if l.Branch == g.name {
				g.most = max(g.most, l.Place)
			}
		}
	}
	sort.Slice(out, func(i, j int) bool { return out[i].name < out[j].name })
	return out
}

// withLabels puts the labelled devices before those the designer added to the
// same branch.
func withLabels(gs, labelled []group) []group {
	for _, l := range labelled {
		i := slices.IndexFunc(gs, func(g group) bool { return g.name == l.name })
		if i < 0 {
			gs = append(gs, l)
			continue
		}
		g := &gs[i]
		g.devices = append(l.devices[:len(l.devices):len(l.devices)], g.devices...)
		g.ordered, g.labelled, g.places, g.most = true, l.labelled, l.places, l.most
	}
	return gs
}

// joinLabelled adds a device to the labelled branch that serves its line, where
// there is room on one.
func joinLabelled(gs []group, d device) bool {
	for i := range gs {
		g := &gs[i]
		if g.labelled == 0 || len(g.devices) >= planDevices || d.noPlace {
			continue
		}
		slots := d.slots
		for _, o := range g.devices {
			slots += o.slots
		}
		if first := g.devices[0]; slots <= planSlots && first.unit.Line == d.unit.Line && first.house == d.house {
			g.devices = append(g.devices, d)
			return true
		}
	}
	return false
}

// inCableOrder returns the group with what was added behind the labelled devices
// in the order of the shortest run on from the last of them.
func (g group) inCableOrder(splitter geom.Vec) group {
	added := g.devices[g.labelled:]
	if len(added) < 2 {
		return g
	}
	from := splitter
	if g.labelled > 0 {
		from = g.devices[g.labelled-1].unit.At
	}
	var pts []geom.Vec
	for _, d := range added {
		pts = append(pts, d.unit.At)
	}
	order, _ := OpenPath(from, pts)
	all := g.devices[:g.labelled:g.labelled]
	for _, i := range order {
		all = append(all, added[i])
	}
	g.devices = all
	return g
}

// numbers returns each device's place on the branch in cable order.
func (g group) numbers(order []int) []int {
	var out []int
	next := g.most
	for k, i := range order {
		switch {
		case g.labelled == 0:
			out = append(out, k+1)
		case i < g.labelled:
			out = append(out, g.places[i])
		default:
			next++
			out = append(out, next)
		}
	}
	return out
}
