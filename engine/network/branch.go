package network

import (
	"maps"
	"math"
	"sort"
	"strings"

	"roodbeam/engine/geom"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
)

// Planning figures of a branch; the limits that make findings stand with their
// sources in the findings' own files.
const (
	planDevices = 20  // per branch (common practice; the standard's limit is 32 unit loads, ANSI E1.11)
	planSlots   = 384 // of 512 on one branch, which leaves 25 % (common practice)
	maxOutputs  = 10  // of one splitter in usual sizes 4, 6, 8, 10 (common practice)
)

// group is a branch before it is routed.
type group struct {
	name     string
	devices  []device
	ordered  bool // the designer gave the order
	choice   *scheme.Branch
	designer bool
	labelled int // so many devices, first in the list, keep their order
	places   []int
	most     int // highest place ever given on the branch
}

// groups sorts the devices into branches: the designer's own first, the rest by
// hanging line, the house lights apart. twice names devices listed on two
// branches, unknown the listed names that are no unit.
func groups(in Input, ds []device) (gs []group, twice, unknown []string) {
	byID := map[string]device{}
	for _, d := range ds {
		byID[d.id] = d
	}
	taken := map[string]bool{}
	index := map[string]int{}
	labelled := labelledGroups(in, ds)
	for _, g := range labelled {
		for _, d := range g.devices {
			taken[d.id] = true
		}
	}
	onLabelled := maps.Clone(taken)
	for i := range in.Scheme.Branches {
		b := &in.Scheme.Branches[i]
		if _, dup := index[b.Name]; dup {
			continue
		}
		g := group{name: b.Name, choice: b, designer: true, ordered: len(b.Units) > 0}
		for _, u := range b.Units {
			switch d, ok := byID[u]; {
			case !ok:
				unknown = append(unknown, u)
			case onLabelled[u]:
			case taken[u]:
				twice = append(twice, u)
			default:
				taken[u] = true
				g.devices = append(g.devices, d)
			}
		}
		index[b.Name] = len(gs)
		gs = append(gs, g)
	}
	for _, d := range ds {
		name := d.unit.Branch
		if taken[d.id] || name == "" {
			continue
		}
		i, ok := index[name]
		if !ok {
			i = len(gs)
			index[name] = i
			gs = append(gs, group{name: name, designer: true})
		}
		if gs[i].ordered && gs[i].choice != nil && len(gs[i].choice.Units) > 0 {
			gs[i].ordered = false // a unit was added beside the listed ones: order them anew
		}
		taken[d.id] = true
		gs[i].devices = append(gs[i].devices, d)
	}
	placeHouseControl(gs, byID, taken)
	gs = withLabels(gs, labelled)
	var rest []device
	for _, d := range ds {
		if !taken[d.id] && !joinLabelled(gs, d) {
			rest = append(rest, d)
		}
	}
	used := map[string]bool{}
	for _, l := range in.Labels {
		used[l.Branch] = true
	}
	for _, g := range gs {
		used[g.name] = true
	}
	own := byLine(rest)
	if room := maxOutputs - 1 - len(gs); len(own) > room {
		own = merge(own, max(room, 1))
	}
	for _, devs := range own {
		gs = append(gs, group{name: nextName(used), devices: devs})
	}
	sort.Strings(twice)
	sort.Strings(unknown)
	return gs, twice, unknown
}

// placeHouseControl puts the house control on the designer's branch that has
// legs or a name for it and no unit.
func placeHouseControl(gs []group, byID map[string]device, taken map[string]bool) {
	d, ok := byID[HouseControl]
	if !ok || taken[HouseControl] {
		return
	}
	for pass := range 2 {
		for i := range gs {
			if len(gs[i].devices) > 0 {
				continue
			}
			named := strings.Contains(strings.ToLower(gs[i].name), "house")
			if c := gs[i].choice; c != nil {
				for _, u := range c.Units {
					named = named || strings.Contains(strings.ToLower(u), "house")
				}
			}
			if named || pass == 1 {
				gs[i].devices = append(gs[i].devices, d)
				taken[HouseControl] = true
				return
			}
		}
	}
}

// byLine returns the devices of each hanging line, lines in order of their
// first unit, the house last; a line with too many devices or slots for one
// branch is cut into equal parts along itself.
func byLine(ds []device) [][]device {
	var keys []string
	lines := map[string][]device{}
	for _, d := range ds {
		key := "line " + d.unit.Line
		if d.house {
			key = "house"
		}
		if lines[key] == nil {
			keys = append(keys, key)
		}
		lines[key] = append(lines[key], d)
	}
	sort.SliceStable(keys, func(i, j int) bool { return keys[i] != "house" && keys[j] == "house" })
	var out [][]device
	for _, k := range keys {
		out = append(out, cut(lines[k])...)
	}
	return out
}

func cut(ds []device) [][]device {
	slots := 0
	for _, d := range ds {
		slots += d.slots
	}
	parts := max((len(ds)+planDevices-1)/planDevices, (slots+planSlots-1)/planSlots)
	if parts <= 1 {
		return [][]device{ds}
	}
	sorted := append([]device(nil), ds...)
	sort.SliceStable(sorted, func(i, j int) bool {
		a, b := sorted[i].unit.At, sorted[j].unit.At
		if a.X != b.X {
			return a.X < b.X
		}
		return a.Y < b.Y
	})
	per := (len(sorted) + parts - 1) / parts
	var out [][]device
	var cur []device
	curSlots := 0
	for _, d := range sorted {
		if len(cur) > 0 && (len(cur) >= per || curSlots+d.slots > planSlots) {
			out, cur, curSlots = append(out, cur), nil, 0
		}
		cur, curSlots = append(cur, d), curSlots+d.slots
	}
	return append(out, cur)
}

// merge joins the two nearest groups that may share a branch until at most n
// are left or nothing more fits together.
func merge(gs [][]device, n int) [][]device {
	for len(gs) > n {
		bi, bj, best := -1, -1, math.Inf(1)
		for i := range gs {
			for j := i + 1; j < len(gs); j++ {
				slots := 0
				for _, d := range append(append([]device(nil), gs[i]...), gs[j]...) {
					slots += d.slots
				}
				if gs[i][0].house != gs[j][0].house || len(gs[i])+len(gs[j]) > planDevices || slots > planSlots {
					continue
				}
				if m := Manhattan(centre(gs[i]), centre(gs[j])); m < best {
					bi, bj, best = i, j, m
				}
			}
		}
		if bi < 0 {
			return gs
		}
		joined := append(append([]device(nil), gs[bi]...), gs[bj]...)
		next := append([][]device(nil), gs[:bj]...)
		next = append(next, gs[bj+1:]...)
		next[bi] = joined
		gs = next
	}
	return gs
}

func centre(ds []device) geom.Vec {
	var s geom.Vec
	for _, d := range ds {
		s = s.Add(d.unit.At)
	}
	return s.Scale(1 / float64(max(len(ds), 1)))
}

// nextName returns the next free letter, then A', B' ….
func nextName(used map[string]bool) string {
	for round := 1; ; round++ {
		for c := 'A'; c <= 'Z'; c++ {
			n := string(c)
			if round > 1 {
				n += strings.Repeat("'", round-1)
			}
			if !used[n] {
				used[n] = true
				return n
			}
		}
	}
}

// lineOf finds the room's line of a unit.
func lineOf(r room.Room, name string) (room.Line, bool) {
	for _, l := range r.Lines {
		if l.Name == name {
			return l, true
		}
	}
	return room.Line{}, false
}
