package planner_test

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"roodbeam/engine/network"
	"roodbeam/engine/plan"
	"roodbeam/engine/scheme"
)

// neverHang are kinds of lines that carry nothing, whatever the weight.
var neverHang = []string{"tension_rod", "sprinkler_pipe", "ceiling_grid", "purlin", "duct", "conduit"}

// TestProposals holds the engine's own scheme of every demo church to the
// rules of the trade.
func TestProposals(t *testing.T) {
	for _, church := range demos() {
		t.Run(church, func(t *testing.T) {
			p := planned(t, church, proposed)
			w := worked{t, p.docs, p.got}
			if len(w.r.Placed) == 0 {
				t.Fatal("nothing is proposed")
			}
			w.holdsToLines()
			w.holdsToAngles()
			w.reachesTargets()
			w.crossesBeams()
			w.addressesOnce()
			w.loadsCircuits()
			if w.d.Brief.Limits.NoDrill {
				if f, ok := w.finding("SCHEME_NEEDS_DRILLING", ""); ok {
					t.Errorf("the church allows no drilling, and: %v", f)
				}
			}
		})
	}
}

func (w worked) holdsToLines() {
	w.Helper()
	for _, p := range w.r.Placed {
		i := slices.IndexFunc(w.r.Lines, func(l scheme.LineRow) bool { return l.Line == p.Line && l.Verdict == "used" })
		if i < 0 {
			w.Errorf("unit %s hangs from %q, which is no line in use", p.ID, p.Line)
		}
		for _, l := range w.d.Survey.Lines {
			if l.Name == p.Line && (slices.Contains(neverHang, l.Kind) || l.Permission == "no") {
				w.Errorf("unit %s hangs from %s, a %s with permission %q", p.ID, p.Line, l.Kind, l.Permission)
			}
		}
	}
	for _, code := range []string{"HANGING_FORBIDDEN", "HANGING_NOT_STRUCTURE"} {
		for _, f := range w.r.Findings {
			if f.Code == code && f.HasValue && f.Value > 0 {
				w.Errorf("units on a forbidden line: %v", f)
			}
		}
	}
}

// holdsToAngles: under 25° a front light is in the speaker's eyes and on the
// wall behind; over 65° eye sockets stay dark (common practice).
func (w worked) holdsToAngles() {
	w.Helper()
	front := 0
	for _, p := range w.r.Placed {
		if p.Purpose != "front_wash" {
			continue
		}
		front++
		if e := w.unit(p.ID).ElevationDeg; !(e >= 25 && e <= 65) {
			w.Errorf("front unit %s stands at %.1f°", p.ID, e)
		}
	}
	if front == 0 {
		w.Error("no front light is proposed")
	}
}

func (w worked) reachesTargets() {
	w.Helper()
	for i, z := range w.r.Light.Zones {
		want := w.d.Brief.Zones[i]
		if want.Name != z.Name || z.TargetLx <= 0 {
			continue
		}
		tol := want.TolerancePct
		if tol == 0 {
			tol = 20
		}
		low, high := z.TargetLx*(1-tol/100), z.TargetLx*(1+tol/100)
		_, saidLow := w.finding("LIGHT_TARGET_LOW", "zone "+z.Name)
		_, saidHigh := w.finding("LIGHT_TARGET_HIGH", "zone "+z.Name)
		if z.AverageLx < low && !saidLow {
			w.Errorf("zone %s has %.0f lx of %.0f lx and no finding says so", z.Name, z.AverageLx, z.TargetLx)
		}
		if z.AverageLx > high && !saidHigh {
			w.Errorf("zone %s has %.0f lx, more than %.0f lx, and no finding says so", z.Name, z.AverageLx, high)
		}
		if saidLow && z.MinLx >= low && z.AverageLx >= low {
			w.Errorf("zone %s reaches its target and a finding says it does not", z.Name)
		}
	}
}

// crossesBeams: where the brief wants light from both sides, every face gets
// it, or a finding says why not.
func (w worked) crossesBeams() {
	w.Helper()
	for _, z := range w.d.Brief.Zones {
		if !z.CrossAim {
			continue
		}
		for _, f := range z.Faces {
			left, right := false, false
			for _, p := range w.r.Placed {
				if p.Zone == z.Name && p.Face == f.Name && p.Purpose == "front_wash" {
					b := w.unit(p.ID).BearingDeg
					left, right = left || b < 0, right || b > 0
				}
			}
			said := false
			for _, code := range []string{"SCHEME_CROSS_AIM", "SCHEME_CROSS_AIM_LATER", "SCHEME_CROSS_AIM_ELSEWHERE", "SCHEME_TARGET_MISSED", "LIGHT_TARGET_LOW"} {
				if _, ok := w.finding(code, f.Name); ok {
					said = true
				}
				if _, ok := w.finding(code, z.Name); ok {
					said = true
				}
			}
			if !(left && right) && !said {
				w.Errorf("face %s of zone %s is lit from one side and no finding says so", f.Name, z.Name)
			}
		}
	}
}

func (w worked) addressesOnce() {
	w.Helper()
	taken := map[[2]int]string{}
	for _, a := range w.r.Network.Addresses {
		if a.Start < 1 || a.End > 512 || a.End != a.Start+a.Slots-1 {
			w.Errorf("unit %s has slots %d to %d", a.Unit, a.Start, a.End)
		}
		for s := a.Start; s <= a.End; s++ {
			at := [2]int{a.Universe, s}
			if other := taken[at]; other != "" {
				w.Errorf("slot %d of universe %d belongs to %s and %s", s, a.Universe, other, a.Unit)
			}
			taken[at] = a.Unit
		}
	}
	for _, p := range w.r.Placed {
		if !slices.ContainsFunc(w.r.Network.Branches, func(b network.Branch) bool { return slices.Contains(b.Units, p.ID) }) {
			w.Errorf("unit %s is on no data branch", p.ID)
		}
	}
}

// planPct is the share of a breaker that is planned for: 65 % to 70 %, so that
// a fourth of it stays spare (common practice).
const planPct = 70

func (w worked) loadsCircuits() {
	w.Helper()
	fed := map[string]int{}
	for _, c := range w.r.Load.Circuits {
		if c.UsePct > planPct {
			w.Errorf("circuit %s is used to %.0f %% of its breaker", c.Name, c.UsePct)
		}
		if c.CurrentA > c.BreakerA {
			w.Errorf("circuit %s carries %.1f A on a breaker of %.0f A", c.Name, c.CurrentA, c.BreakerA)
		}
		for _, u := range c.Units {
			fed[u]++
		}
	}
	for _, p := range w.r.Placed {
		if fed[p.ID] != 1 {
			w.Errorf("unit %s is fed by %d circuits, want one", p.ID, fed[p.ID])
		}
	}
}

// TestProposalKeeps: what is locked stays where it is when the engine proposes
// again, and the same seed gives the same scheme.
func TestProposalKeeps(t *testing.T) {
	d := documents(t, file(t, "brick-meeting-house"), byHand)
	for i := range d.Scheme.Units {
		d.Scheme.Units[i].Locked = d.Scheme.Units[i].ID == "R1" || d.Scheme.Units[i].ID == "K1"
	}
	made, _ := plan.Propose(d, 7, book)
	for _, id := range []string{"R1", "K1"} {
		was := slices.IndexFunc(d.Scheme.Units, func(u scheme.Unit) bool { return u.ID == id })
		is := slices.IndexFunc(made.Units, func(u scheme.Unit) bool { return u.ID == id })
		if is < 0 {
			t.Errorf("locked unit %s is gone", id)
			continue
		}
		a, b := d.Scheme.Units[was], made.Units[is]
		if diff := cmp.Diff(a, b); diff != "" {
			t.Errorf("locked unit %s changed (-before +after):\n%s", id, diff)
		}
	}
	seen := map[string]bool{}
	for _, u := range made.Units {
		if seen[u.ID] {
			t.Errorf("two units are called %s", u.ID)
		}
		seen[u.ID] = true
	}
}
