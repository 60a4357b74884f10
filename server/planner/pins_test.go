package planner_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"roodbeam/engine/catalogue"
	"roodbeam/engine/electrical"
	"roodbeam/engine/network"
	"roodbeam/engine/plan"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
)

// wired is what is on the walls of a scheme: who hangs where on what.
type wired struct {
	circuit, leg, branch, address map[string]string
}

// wire lays out circuits and data of a scheme under labels, without the light.
func wire(d plan.Documents, rm room.Room) (plan.Results, wired) {
	set := catalogue.NewSet(catalogue.Generic(), d.Fixtures)
	r := plan.Results{Room: rm}
	r.Placed, _ = scheme.Place(scheme.PlaceInput{Scheme: d.Scheme, Room: rm, Brief: d.Brief, Catalogue: set, Book: book, Region: d.Profile.ID})
	r.Load, _ = electrical.Design(electrical.Input{Placed: r.Placed, Scheme: d.Scheme, Catalogue: set, Room: rm, Survey: d.Survey, Brief: d.Brief,
		Profile: d.Profile, Book: book, Labels: d.Labels})
	pins := map[string]network.Address{}
	for u, l := range d.Labels {
		if l.Slots > 0 {
			pins[u] = network.Address{Unit: u, Universe: l.Universe, Start: l.Start, Slots: l.Slots, End: l.Start + l.Slots - 1, Pinned: true}
		}
	}
	r.Network, _ = network.Route(network.Input{Placed: r.Placed, Scheme: d.Scheme, Catalogue: set, Room: rm, Survey: d.Survey, Brief: d.Brief,
		Book: book, Region: d.Profile.ID, Pins: pins, Labels: d.Labels})
	w := wired{map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}}
	for _, c := range r.Load.Circuits {
		for _, u := range c.Units {
			w.circuit[u], w.leg[u] = c.Name, c.Leg
		}
	}
	for _, b := range r.Network.Branches {
		for i, u := range b.Units {
			w.branch[u] = fmt.Sprintf("%s %d", b.Name, b.Places[i])
		}
	}
	for _, a := range r.Network.Addresses {
		w.address[a.Unit] = fmt.Sprintf("%d/%d", a.Universe, a.Start)
	}
	return r, w
}

// TestPinsHoldUnderAnyEdit: whatever is added, taken out, moved along its line,
// moved to another line or exchanged for another type, every unit that was not
// touched keeps its circuit, leg, place on the branch and address, and nothing
// new takes what is on a label.
func TestPinsHoldUnderAnyEdit(t *testing.T) {
	type start struct {
		d      plan.Documents
		rm     room.Room
		labels map[string]scheme.Label
		was    wired
	}
	var starts []start
	for _, church := range demos() {
		for _, typed := range []bool{true, false} {
			d := documents(t, file(t, church), byHand)
			d.Scheme.Units = slices.Clone(d.Scheme.Units)
			if !typed {
				// Nothing but the engine's own circuits, branches and addresses.
				d.Scheme.Branches, d.Scheme.Circuits = nil, nil
				for i := range d.Scheme.Units {
					u := &d.Scheme.Units[i]
					u.Circuit, u.Branch, u.Universe, u.Address = "", "", 0, 0
				}
			}
			rm, _ := room.Solve(d.Survey, book, d.Profile.ID)
			r, was := wire(d, rm)
			starts = append(starts, start{d, rm, plan.Labels(r, nil), was})
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := starts[rapid.IntRange(0, len(starts)-1).Draw(t, "church")]
		d := s.d
		d.Labels = s.labels
		us := slices.Clone(d.Scheme.Units)
		edited := map[string]bool{}
		var lines, types []string
		for _, l := range s.rm.Lines {
			lines = append(lines, l.Name)
		}
		for _, u := range us {
			types = append(types, u.Fixture)
		}
		for range rapid.IntRange(1, 6).Draw(t, "edits") {
			if len(us) == 0 {
				break
			}
			i := rapid.IntRange(0, len(us)-1).Draw(t, "unit")
			switch rapid.SampledFrom([]string{"add", "remove", "along", "line", "type", "circuit"}).Draw(t, "edit") {
			case "add":
				n := us[i]
				n.ID, n.Circuit, n.Branch, n.Universe, n.Address = fmt.Sprintf("%s%d", rapid.SampledFrom([]string{"A", "Z"}).Draw(t, "letter"), 900+len(edited)), "", "", 0, 0
				edited[n.ID] = true
				us = slices.Insert(us, rapid.IntRange(0, len(us)).Draw(t, "at"), n)
			case "remove":
				edited[us[i].ID] = true
				us = slices.Delete(us, i, i+1)
			case "along":
				us[i].Along.Set, us[i].LensX.Set = true, false
				us[i].Along.Value += 0.3
			case "line":
				edited[us[i].ID] = true
				us[i].Line = rapid.SampledFrom(lines).Draw(t, "line")
			case "type":
				edited[us[i].ID] = true
				us[i].Fixture = rapid.SampledFrom(types).Draw(t, "type")
			case "circuit":
				edited[us[i].ID] = true
				us[i].Circuit = "new circuit"
			}
		}
		d.Scheme.Units = us
		r, now := wire(d, s.rm)
		present := map[string]bool{}
		for _, u := range r.Placed {
			present[u.ID] = true
		}
		for _, of := range []struct {
			what     string
			was, now map[string]string
		}{{"circuit", s.was.circuit, now.circuit}, {"leg", s.was.leg, now.leg}, {"place on a branch", s.was.branch, now.branch}, {"address", s.was.address, now.address}} {
			for u, was := range of.was {
				if got := of.now[u]; (present[u] || u == network.HouseControl) && !edited[u] && got != was {
					t.Fatalf("%s of %s, which nobody touched, went from %q to %q", of.what, u, was, got)
				}
			}
			if of.what != "place on a branch" && of.what != "address" {
				continue
			}
			for u, got := range of.now {
				for v, label := range of.was {
					if u != v && got == label {
						t.Fatalf("%s of %s is %q, which is on the label of %s", of.what, u, got, v)
					}
				}
			}
		}
	})
}

// TestPinThatCannotHoldIsNamed: the finding names the unit, the old and the new
// value, and the number of a unit taken out is not given out again.
func TestPinThatCannotHoldIsNamed(t *testing.T) {
	d := documents(t, file(t, "brick-meeting-house"), byHand)
	r := plan.Run(d, book)
	d.Labels = plan.Labels(r, nil)
	d.Scheme.Units = slices.Clone(d.Scheme.Units)
	var gone string
	for i := range d.Scheme.Units {
		switch u := &d.Scheme.Units[i]; u.ID {
		case "R1": // more slots than its place has
			u.Fixture = "T-BCK"
		case "G1": // to the other pier, off what the designer typed
			u.Line, u.Circuit, u.Branch = "W2", "", ""
		case "K3":
			gone = u.ID
		}
	}
	d.Scheme.Units = slices.DeleteFunc(d.Scheme.Units, func(u scheme.Unit) bool { return u.ID == gone })
	later := plan.Run(d, book)
	want := map[string][]string{"LABEL_ADDRESS/unit R1": {"old", "new"}, "LABEL_BRANCH/unit G1": {"old", "new"}, "LABEL_UNIT_REMOVED/unit K3": {"circuit", "branch", "address"}}
	for _, f := range later.Findings {
		for _, arg := range want[f.Key] {
			for _, a := range f.Args {
				if a.Name == arg && a.Text == "" {
					t.Errorf("%s: argument %s is empty", f.Key, arg)
				}
			}
		}
		delete(want, f.Key)
		if strings.HasPrefix(f.Code, "LABEL_") && !strings.HasSuffix(f.Key, "R1") && !strings.HasSuffix(f.Key, "G1") && !strings.HasSuffix(f.Key, "K3") {
			t.Errorf("%s is about a unit nobody touched: %v", f.Key, f.Args)
		}
	}
	for k := range want {
		t.Errorf("no finding %s", k)
	}
	labels := plan.Labels(later, d.Labels)
	if !labels["K3"].Retired {
		t.Error("K3 is gone at the second issue and its number is still to be had")
	}
	d.Labels = labels
	d.Scheme = convertEmpty(d.Scheme.Name)
	again, _ := plan.Propose(d, 0, book)
	for _, u := range again.Units {
		if _, taken := labels[u.ID]; taken {
			t.Errorf("the proposal gives the number %s of a label to a new unit; labels: %v", u.ID, slices.Sorted(maps.Keys(labels)))
		}
	}
}

func convertEmpty(name string) scheme.Scheme { return scheme.Scheme{Name: name} }
