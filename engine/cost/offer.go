package cost

import (
	"math/big"
	"strings"
)

// offer finds a better split when the whole does not fit under the cap but a
// first part does: lines of the next phase whose later work would cost a second
// visit (power, metal, data) and which still fit. Of all subsets it takes the
// one worth most; nil when there is nothing to offer.
func offer(in Input, e Estimate) *Offer {
	if e.CapMinor <= 0 || e.WithContingency.Likely <= e.CapMinor || len(e.Phases) < 2 {
		return nil
	}
	var sum int64
	fit := -1
	for i, ph := range e.Phases {
		if upWith(sum+ph.Subtotal.Likely, e.ContingencyPct) > e.CapMinor {
			break
		}
		sum += ph.Subtotal.Likely
		fit = i
	}
	if fit < 0 || fit+1 >= len(e.Phases) {
		return nil
	}
	into, from := e.Phases[fit], e.Phases[fit+1]
	room := largestUnder(e.CapMinor, e.ContingencyPct) - sum
	access := hasAccess(e.Lines, into.Name)
	var cand []int
	var worth []int64
	for i, l := range e.Lines {
		if l.Phase != from.Name || !l.Ahead || l.Total.Likely <= 0 {
			continue
		}
		if l.Kind == "hanging" && !access {
			continue // it would cost the hire it is meant to save
		}
		cand, worth = append(cand, i), append(worth, l.Total.Likely)
	}
	chosen, moved := bestSubset(worth, room)
	if moved == 0 {
		return nil
	}
	lines := append([]Line(nil), e.Lines...)
	o := &Offer{Into: into.Name, From: from.Name, MovedMinor: moved}
	metal := false
	for _, k := range chosen {
		lines[cand[k]].Phase = into.Name
		o.Lines = append(o.Lines, lines[cand[k]].Text)
		metal = metal || lines[cand[k]].Kind == "hanging"
	}
	phases, _, _ := sums(lines, e.ContingencyPct)
	var spent int64
	for _, ph := range phases {
		switch ph.Name {
		case into.Name:
			o.IntoWithContingency = ph.WithContingency.Likely
		case from.Name:
			o.FromWithContingency = ph.WithContingency.Likely
		}
		if ph.Name <= into.Name {
			spent += ph.WithContingency.Likely
		}
	}
	o.LeftMinor = e.CapMinor - spent
	o.Note = "Power, metal and cables for phase " + from.Name + " go in with phase " + into.Name + ", so nobody has to come twice for them."
	if metal && hires(e.Lines, into.Name, CodeTower) && hires(e.Lines, from.Name, CodeTower) {
		o.Note += " The metal uses the tower already hired in phase " + into.Name + "; phase " + from.Name + " keeps one hire for its units."
	}
	return o
}

// upWith is the amount with contingency rounded up, so that what is called
// under the cap stays under it however the phases share the last minor unit.
func upWith(minor int64, pct float64) int64 {
	n := new(big.Int).Mul(big.NewInt(minor), big.NewInt(10000+hundredths(pct)))
	n.Add(n, big.NewInt(9999)).Div(n, big.NewInt(10000))
	if !n.IsInt64() {
		return maxMinor
	}
	return n.Int64()
}

// largestUnder is the largest amount that stays under the cap with contingency.
func largestUnder(capMinor int64, pct float64) int64 {
	n := new(big.Int).Mul(big.NewInt(capMinor), big.NewInt(10000))
	return n.Div(n, big.NewInt(10000+hundredths(pct))).Int64()
}

func hasAccess(lines []Line, phase string) bool {
	return hires(lines, phase, CodeTower) || hires(lines, phase, CodeLiftDay)
}

func hires(lines []Line, phase, code string) bool {
	for _, l := range lines {
		if l.Phase == phase && l.Code == code && l.Quantity > 0 {
			return true
		}
	}
	return false
}

// maxSums bounds the exact search: more reachable sums than this and later
// items are considered only where they fit on what was found.
const maxSums = 1 << 18

// bestSubset returns the items whose sum is the largest not above room, and the
// sum (0/1 knapsack with value equal to weight, exact over all reachable sums).
// Of equal sums the first found stays, which uses earlier items. Items that are
// not positive are never taken.
func bestSubset(worth []int64, room int64) (chosen []int, sum int64) {
	type step struct {
		sum  int64
		item int
		prev int
	}
	steps := []step{{0, -1, -1}}
	seen := map[int64]bool{0: true}
	best := 0
	for i, w := range worth {
		if w <= 0 || w > room {
			continue
		}
		for k, n := 0, len(steps); k < n && len(steps) < maxSums; k++ {
			s := steps[k].sum + w
			if s > room || seen[s] {
				continue
			}
			seen[s] = true
			steps = append(steps, step{s, i, k})
			if s > steps[best].sum {
				best = len(steps) - 1
			}
		}
	}
	for k := best; steps[k].item >= 0; k = steps[k].prev {
		chosen = append(chosen, steps[k].item)
	}
	for a, b := 0, len(chosen)-1; a < b; a, b = a+1, b-1 {
		chosen[a], chosen[b] = chosen[b], chosen[a]
	}
	return chosen, steps[best].sum
}

// waits names the answers the moved lines should wait for.
func (o *Offer) waits(in Input) string {
	var w []string
	if NeedsEngineer(in) && !EngineerSeen(in) {
		w = append(w, "the engineer's letter")
	}
	if !electricianSeen(in) {
		w = append(w, "the electrician's visit")
	}
	return strings.Join(w, " and ")
}
