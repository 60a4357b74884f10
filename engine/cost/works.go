package cost

// applyWorks puts the works and purchases of the brief among the derived
// lines: one with a code takes the place of every derived line of that code,
// one without is added. A quantity of nothing with a code says that nothing is
// needed; without a code it counts as one.
func applyWorks(p *pricer, lines []Line) []Line {
	replaced := map[string]bool{}
	for _, w := range p.in.Brief.Works {
		if w.Code != "" {
			replaced[w.Code] = true
		}
	}
	var out []Line
	for _, l := range lines {
		if !replaced[l.Code] {
			out = append(out, l)
		}
	}
	for _, w := range p.in.Brief.Works {
		q := clean(w.Quantity)
		if q == 0 {
			if w.Code != "" && w.UnitMinor == 0 {
				continue
			}
			q = 1
		}
		l := p.line(part{code: w.Code, text: first(w.Name, w.Code), kind: w.Kind, qty: q, phase: PhaseOf(w.Phase), by: w.By, ahead: w.Ahead, needs: w.Needs})
		if w.UnitMinor != 0 {
			l.UnitMinor, l.Source, l.Unpriced, l.Generic = w.UnitMinor, "works in the brief", false, false
		} else if l.Unpriced && (w.By == "volunteers" || w.By == "church") {
			l.Unpriced, l.Source = false, "own work, no money"
		}
		l.Quantity, l.Unit = q, first(w.Unit, l.Unit)
		if w.By == "volunteers" && (w.Unit == "h" || w.Unit == "hour" || w.Unit == "hours") {
			l.Hours = q
		}
		var low, high float64
		if o, ok := p.own[w.Code]; ok && w.Code != "" {
			low, high = o.LowPct, o.HighPct
		}
		p.amount(&l, low, high)
		out = append(out, l)
	}
	return out
}
