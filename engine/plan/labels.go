package plan

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/network"
	"roodbeam/engine/scheme"
)

// addresses returns the slots that stay with their label: the pins, and what the
// labels say where there is no pin.
func (d Documents) addresses() map[string]network.Address {
	out := maps.Clone(d.Pins)
	for u, l := range d.Labels {
		if _, ok := out[u]; ok || l.Slots < 1 {
			continue
		}
		if out == nil {
			out = map[string]network.Address{}
		}
		out[u] = network.Address{Unit: u, Universe: l.Universe, Start: l.Start, Slots: l.Slots, End: l.Start + l.Slots - 1, Pinned: true}
	}
	return out
}

// place is what a sheet or label says of one unit.
type place struct{ circuit, leg, branch, address string }

func standing(load electrical.Plan, net network.Plan) map[string]place {
	out := map[string]place{}
	for _, c := range load.Circuits {
		for _, u := range c.Units {
			p := out[u]
			p.circuit, p.leg = c.Name, c.Leg
			out[u] = p
		}
	}
	for _, b := range net.Branches {
		for i, u := range b.Units {
			p := out[u]
			p.branch = branchPlace(b.Name, b.Places[i])
			out[u] = p
		}
	}
	for _, a := range net.Addresses {
		p := out[a.Unit]
		p.address = a.String()
		out[a.Unit] = p
	}
	return out
}

func branchPlace(name string, n int) string { return fmt.Sprintf("%s, place %d", name, n) }

const nothing = "none"

// labelFindings says where what is worked out now is no longer what is glued on,
// with the old and the new value of every unit it is about.
func labelFindings(labels map[string]scheme.Label, r Results, book *finding.Book) []finding.Finding {
	if len(labels) == 0 {
		return nil
	}
	now := standing(r.Load, r.Network)
	units := map[string]scheme.Placed{}
	for _, u := range r.Placed {
		units[u.ID] = u
	}
	var out []finding.Finding
	for _, id := range slices.Sorted(maps.Keys(labels)) {
		l := labels[id]
		old := place{circuit: l.Circuit, leg: l.Leg}
		if l.Branch != "" {
			old.branch = branchPlace(l.Branch, l.Place)
		}
		if l.Slots > 0 {
			old.address = network.Address{Universe: l.Universe, Start: l.Start, End: l.Start + l.Slots - 1}.String()
		}
		u, hung := units[id]
		got, listed := now[id] // the house control is among the devices and no unit
		switch {
		case !hung && !listed:
			if !l.Retired {
				out = append(out, book.New("LABEL_UNIT_REMOVED", "unit "+id, finding.Text("circuit", cmp.Or(old.circuit, nothing)),
					finding.Text("branch", cmp.Or(old.branch, nothing)), finding.Text("address", cmp.Or(old.address, nothing))))
			}
			continue
		case hung && l.Retired:
			out = append(out, book.New("LABEL_NUMBER_AGAIN", "unit "+id, finding.Text("fixture", l.Fixture), finding.Text("line", l.Line)))
			continue
		}
		why := "the limit or order it rested on has changed"
		switch {
		case hung && l.Moved(u.Unit):
			why = fmt.Sprintf("the unit moved from %s to %s", cmp.Or(l.Line, "no line"), cmp.Or(u.Line, "no line"))
		case hung && l.Changed(u.Unit):
			why = fmt.Sprintf("the unit changed from %s to %s, which its place cannot carry", l.Fixture, u.Fixture)
		}
		for _, x := range []struct{ code, old, now string }{
			{"LABEL_CIRCUIT", old.circuit, got.circuit}, {"LABEL_LEG", old.leg, got.leg},
			{"LABEL_BRANCH", old.branch, got.branch}, {"LABEL_ADDRESS", old.address, got.address},
		} {
			if x.old == "" || x.old == x.now || (x.code == "LABEL_LEG" && old.circuit != got.circuit) || onlyLonger(l, r, x.code) {
				continue
			}
			out = append(out, book.New(x.code, "unit "+id, finding.Text("old", x.old), finding.Text("new", cmp.Or(x.now, nothing)), finding.Text("why", why)))
		}
		if hung && u.Circuit != "" && u.Circuit != l.Circuit && got.circuit == l.Circuit {
			out = append(out, book.New("LABEL_KEPT", "unit "+id, finding.Text("what", "circuit"), finding.Text("label", l.Circuit), finding.Text("asked", u.Circuit)))
		}
		if hung && u.Branch != "" && l.Branch != "" && u.Branch != l.Branch && got.branch == old.branch {
			out = append(out, book.New("LABEL_KEPT", "unit "+id+" on its branch", finding.Text("what", "data branch"), finding.Text("label", l.Branch), finding.Text("asked", u.Branch)))
		}
	}
	return out
}

// onlyLonger tells whether an address starts where the label says and only takes
// another number of slots: the start is what is set on the unit.
func onlyLonger(l scheme.Label, r Results, code string) bool {
	if code != "LABEL_ADDRESS" {
		return false
	}
	for _, a := range r.Network.Addresses {
		if a.Unit == l.Unit {
			return a.Universe == l.Universe && a.Start == l.Start
		}
	}
	return false
}

// Labels returns what is glued on once a packet of these results is issued for
// construction, by unit. A unit of the earlier labels that is gone stays, retired
// with its number.
func Labels(r Results, earlier map[string]scheme.Label) map[string]scheme.Label {
	out := map[string]scheme.Label{}
	for u, l := range earlier {
		l.Retired = true
		out[u] = l
	}
	mine := map[string]bool{}
	set := func(u string, change func(*scheme.Label)) {
		l := out[u]
		if !mine[u] {
			mine[u] = true
			l = scheme.Label{Unit: u}
		}
		change(&l)
		out[u] = l
	}
	for _, u := range r.Placed {
		set(u.ID, func(l *scheme.Label) { l.Fixture, l.Line = u.Fixture, u.Line })
	}
	for _, a := range r.Network.Addresses {
		set(a.Unit, func(l *scheme.Label) { l.Universe, l.Start, l.Slots = a.Universe, a.Start, a.Slots })
	}
	for _, c := range r.Load.Circuits {
		for _, u := range c.Units {
			set(u, func(l *scheme.Label) { l.Circuit, l.Leg, l.Panel = c.Name, c.Leg, c.Panel })
		}
	}
	for _, b := range r.Network.Branches {
		for i, u := range b.Units {
			set(u, func(l *scheme.Label) { l.Branch, l.Place = b.Name, b.Places[i] })
		}
	}
	return out
}
