package electrical

import (
	"fmt"
	"math"

	"roodbeam/engine/finding"
)

// residualBudget bounds the search for groups that keep every zone on two devices.
const residualBudget = 50_000

// residualGroups shares the circuits out over residual-current devices so that the
// drivers' standing leakage stays within each one's share and no zone that has two
// circuits goes dark with one device, in as few devices as hold both. Where no
// device was surveyed the smallest rating of the region is taken: outlets up to
// 32 A ask for it.
//
// Source: BS 7671 531.3.2, 30 % of the rated residual current; 411.3.3, 30 mA for
// outlets up to 32 A.
func (d *designer) residualGroups(cs []Circuit) []ResidualGroup {
	rule := d.Profile.Protection.Residual
	if rule.SharePct == 0 || len(rule.RatingsMA) == 0 {
		return nil
	}
	rated := positive(float64(d.Survey.Supply.RCD.Or(0))) * 1000
	surveyed := rated > 0
	if !surveyed {
		rated = rule.RatingsMA[0]
	}
	limit := rated * rule.SharePct / 100
	old := 0.0
	for _, l := range d.today.lights {
		if !l.removed {
			old += l.leakMA
		}
	}
	var fresh []*Circuit
	total := old
	for i := range cs {
		if !cs[i].Existing {
			fresh = append(fresh, &cs[i])
			total += cs[i].LeakageMA
		}
	}
	asFound := ResidualGroup{Name: "device as found", RatedMA: rated, LeakageMA: old, LimitMA: limit, Existing: true}
	if len(fresh) == 0 {
		if !surveyed {
			return nil
		}
		return []ResidualGroup{asFound}
	}
	groups := sharedResidual(fresh, limit)
	var out []ResidualGroup
	if surveyed {
		d.oneDevice(fresh)
		if total <= limit && len(groups) == 1 {
			asFound.LeakageMA = total
			for _, c := range fresh {
				c.ResidualGroup = asFound.Name
				asFound.Circuits = append(asFound.Circuits, c.Name)
			}
			asFound.Darkens = darkened(fresh, fresh)
			return []ResidualGroup{asFound}
		}
		out = append(out, asFound)
	}
	for n, bin := range groups {
		g := ResidualGroup{Name: fmt.Sprintf("RCD %d", n+1), RatedMA: rated, LimitMA: limit, Darkens: darkened(bin, fresh)}
		for _, c := range bin {
			c.ResidualGroup = g.Name
			g.Circuits = append(g.Circuits, c.Name)
			g.LeakageMA += c.LeakageMA
		}
		out = append(out, g)
	}
	return out
}

// oneDevice says that a device that covers everything darkens everything.
func (d *designer) oneDevice(fresh []*Circuit) {
	zones := map[string]bool{}
	for _, c := range fresh {
		for _, z := range c.Zones {
			zones[z] = true
		}
	}
	d.add(d.Book.New("ELECTRICAL_RCD_ONE", "residual-current device", finding.Text("zones", named(list(sortedKeys(zones)), "the room"))))
	d.ask("May the one residual-current device be replaced by one for each group of circuits, or by a delayed one before them?",
		"As found, one trip darkens everything; groups behind it trip together with it.")
}

// darkened returns the zones all of whose circuits are in a group, sorted.
func darkened(group, all []*Circuit) []string {
	in, of := map[string]int{}, map[string]int{}
	for _, c := range all {
		for _, z := range c.Zones {
			of[z]++
		}
	}
	for _, c := range group {
		for _, z := range c.Zones {
			in[z]++
		}
	}
	out := map[string]bool{}
	for z, n := range in {
		if n == of[z] {
			out[z] = true
		}
	}
	return sortedKeys(out)
}

// sharedResidual returns the fewest groups whose leakage, mA, stays within the limit
// and that keep every zone with two circuits or more on two devices. A circuit that
// leaks more by itself stands alone.
func sharedResidual(cs []*Circuit, limit float64) [][]*Circuit {
	of, sum := map[string]int{}, 0.0
	for _, c := range cs {
		sum += c.LeakageMA
		for _, z := range c.Zones {
			of[z]++
		}
	}
	least := max(1, int(math.Ceil(sum/limit-1e-9)))
	least = min(least, len(cs))
	for n := least; n < len(cs); n++ {
		if bins := residualBins(cs, n, limit, of); bins != nil {
			return bins
		}
	}
	out := make([][]*Circuit, len(cs))
	for i, c := range cs {
		out[i] = []*Circuit{c}
	}
	return out
}

// residualBins looks for n groups; nil when none was found within the budget.
func residualBins(cs []*Circuit, n int, limit float64, of map[string]int) [][]*Circuit {
	bins, leak := make([][]*Circuit, n), make([]float64, n)
	budget := residualBudget
	apart := func() bool {
		for _, b := range bins {
			if len(b) == 0 {
				return false
			}
			in := map[string]int{}
			for _, c := range b {
				for _, z := range c.Zones {
					if in[z]++; in[z] == of[z] && of[z] > 1 {
						return false
					}
				}
			}
		}
		return true
	}
	var try func(i, used int) bool
	try = func(i, used int) bool {
		if budget--; budget <= 0 || len(cs)-i < n-used {
			return false
		}
		if i == len(cs) {
			return apart()
		}
		// The emptiest device first, so that leakage is shared evenly.
		order := make([]int, 0, n)
		for b := 0; b < min(used+1, n); b++ {
			order = append(order, b)
		}
		for a := 1; a < len(order); a++ {
			for k := a; k > 0 && leak[order[k]] < leak[order[k-1]]; k-- {
				order[k], order[k-1] = order[k-1], order[k]
			}
		}
		for _, b := range order {
			if len(bins[b]) > 0 && leak[b]+cs[i].LeakageMA > limit*fits {
				continue
			}
			bins[b] = append(bins[b], cs[i])
			leak[b] += cs[i].LeakageMA
			if try(i+1, max(used, b+1)) {
				return true
			}
			bins[b] = bins[b][:len(bins[b])-1]
			leak[b] -= cs[i].LeakageMA
		}
		return false
	}
	if try(0, 0) {
		return bins
	}
	return nil
}
