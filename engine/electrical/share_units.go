package electrical

import (
	"fmt"
	"sort"
)

// limits is what one circuit may bear; the spare for growth is off already.
type limits struct {
	va, inrushA float64
	most        int
}

// hold tells whether units together stay within the limits. One unit alone
// always does: it cannot be divided.
func (l limits) hold(us []unitLoad) bool {
	if len(us) < 2 {
		return true
	}
	va, inrush := 0.0, 0.0
	for _, u := range us {
		va += u.va
		inrush += u.inrushA
	}
	return len(us) <= l.most && va <= l.va*fits && inrush <= l.inrushA*fits
}

// limits returns what a circuit of the largest branch breaker is planned to bear.
func (d *designer) limits(capVA float64) limits {
	_, breaker := capacityVA(d.Profile, d.wayVolts(), d.planPct)
	curve, pulse := d.breakerType(d.mainPanel)
	return limits{va: capVA, inrushA: pulse * d.bandMultiple(curve) * breaker, most: maxDrivers}
}

// spreadHere returns the zones all of whose units, two or more, are among these:
// only these circuits can keep them from going dark together.
func spreadHere(us, all []unitLoad) map[string]bool {
	total, here := map[string]int{}, map[string]int{}
	for _, u := range all {
		total[u.Zone]++
	}
	for _, u := range us {
		here[u.Zone]++
	}
	out := map[string]bool{}
	for z, n := range here {
		if z != "" && n >= 2 && n == total[z] {
			out[z] = true
		}
	}
	return out
}

// Packing says how few circuits a line's units were put into, and whether fewer
// were ruled out.
type Packing struct {
	Line, Phase string
	Circuits    int
	Least       int  // no fewer meet every limit
	Proven      bool // Circuits is Least
	Note        string
}

// dealBudget bounds the search for an even sharing-out that keeps every zone on
// two circuits.
const dealBudget = 50_000

// sharedOut puts a line's units into as few circuits as meet every limit: load
// with the spare for growth, inrush, count, reach, and every zone of spread on
// two circuits at least. Dealing is tried first since its circuits are alike.
func sharedOut(us []unitLoad, lim limits, spread map[string]bool, reaches func([]unitLoad) bool) ([][]unitLoad, Packing) {
	if len(us) == 0 {
		return nil, Packing{Proven: true}
	}
	things := make([]burden, len(us))
	for i, u := range us {
		things[i] = burden{u.va / lim.va, 0}
		if lim.inrushA > 0 {
			things[i].inrush = u.inrushA / lim.inrushA
		}
	}
	p := intoFewest(things, lim.most, packBudget)
	plain := make([][]unitLoad, len(p.bins))
	for b, bin := range p.bins {
		for _, i := range bin {
			plain[b] = append(plain[b], us[i])
		}
	}
	least := p.least
	if len(spread) > 0 {
		least = max(least, 2)
	}
	held := func(bins [][]unitLoad) bool { return apart(bins, spread) && allReach(bins, reaches) }
	for n := max(least, len(p.bins)); n <= len(us); n++ {
		done := false
		var bins [][]unitLoad
		if b, ok := deal(us, n, lim); ok && held(b) {
			bins, done = b, true
		} else if n == len(plain) && held(plain) {
			bins, done = plain, true
		}
		if !done {
			var tried bool
			if bins, tried = dealt(us, n, lim, held); bins != nil {
				done = true
			} else if tried && least == n {
				least = n + 1
			}
		}
		if done {
			return bins, noted(n, least)
		}
	}
	// One unit a circuit and still not held: too far away or too heavy by itself.
	return plain, noted(len(plain), min(least, len(plain)))
}

func noted(n, least int) Packing {
	p := Packing{Circuits: n, Least: min(least, n), Proven: n <= least}
	if p.Proven {
		p.Note = fmt.Sprintf("%d: fewer do not meet every limit (shown by search)", n)
	} else {
		p.Note = fmt.Sprintf("%d found; at least %d are needed, what lies between was not ruled out", n, p.Least)
	}
	return p
}

func apart(bins [][]unitLoad, spread map[string]bool) bool {
	for z := range spread {
		in := 0
		for _, b := range bins {
			for _, u := range b {
				if u.Zone == z {
					in++
					break
				}
			}
		}
		if in < 2 {
			return false
		}
	}
	return true
}

func allReach(bins [][]unitLoad, reaches func([]unitLoad) bool) bool {
	for _, b := range bins {
		if len(b) > 1 && reaches != nil && !reaches(b) {
			return false
		}
	}
	return true
}

// deal hands the units out heaviest first, each to the circuit with the fewest
// of its zone, then the least load.
func deal(us []unitLoad, n int, lim limits) ([][]unitLoad, bool) {
	sorted := append([]unitLoad(nil), us...)
	sort.SliceStable(sorted, func(i, j int) bool {
		if sorted[i].va != sorted[j].va {
			return sorted[i].va > sorted[j].va
		}
		return sorted[i].Zone < sorted[j].Zone
	})
	bins := make([][]unitLoad, n)
	sums := make([]float64, n)
	zones := make([]map[string]int, n)
	for i := range zones {
		zones[i] = map[string]int{}
	}
	for _, u := range sorted {
		best := -1
		for i := range bins {
			if len(bins[i]) > 0 && !lim.hold(append(bins[i][:len(bins[i]):len(bins[i])], u)) {
				continue
			}
			if best < 0 || zones[i][u.Zone] < zones[best][u.Zone] ||
				(zones[i][u.Zone] == zones[best][u.Zone] && sums[i] < sums[best]) {
				best = i
			}
		}
		if best < 0 {
			return nil, false
		}
		bins[best] = append(bins[best], u)
		sums[best] += u.va
		zones[best][u.Zone]++
	}
	for _, b := range bins {
		if len(b) == 0 {
			return nil, false
		}
	}
	return bins, true
}

// dealt looks for any sharing-out over n circuits that is held, and tells
// whether every one was tried.
func dealt(us []unitLoad, n int, lim limits, held func([][]unitLoad) bool) (out [][]unitLoad, tried bool) {
	budget := dealBudget
	sorted := append([]unitLoad(nil), us...)
	sort.SliceStable(sorted, func(i, j int) bool { return sorted[i].va > sorted[j].va })
	bins := make([][]unitLoad, n)
	var try func(i, used int) bool
	try = func(i, used int) bool {
		if budget--; budget <= 0 || len(sorted)-i < n-used {
			return false
		}
		if i == len(sorted) {
			return held(bins)
		}
		for b := 0; b < min(used+1, n); b++ {
			if !lim.hold(append(bins[b][:len(bins[b]):len(bins[b])], sorted[i])) {
				continue
			}
			bins[b] = append(bins[b], sorted[i])
			if try(i+1, max(used, b+1)) {
				return true
			}
			bins[b] = bins[b][:len(bins[b])-1]
		}
		return false
	}
	if try(0, 0) {
		return bins, true
	}
	return nil, budget > 0
}

// reaches tells whether some conductor of the region carries a circuit of these
// units over its run within the voltage drop.
func (d *designer) reaches(us []unitLoad) bool {
	g := group{units: append([]unitLoad(nil), us...)}
	d.alongLine(g.units)
	from, _ := d.panelAt(d.mainPanel)
	ps, length := routed(from, d.outlets(g))
	volts := d.wayVolts()
	watts, va := 0.0, 0.0
	for _, u := range us {
		watts += u.watts
		va += u.va
	}
	pf := 1.0
	if va > 0 {
		pf = watts / va
	}
	stretch := 1 + sizeSigmas*assumedSigma
	if !(length > 0) || !finite(length) {
		return true
	}
	_, _, ok := conductorFor(d.Profile, breakerWithSpare(d.Profile, va/volts, d.planPct), 1, ampereMetres(from, ps, volts)*stretch, volts, pf)
	return ok
}
