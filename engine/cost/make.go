package cost

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"roodbeam/engine/finding"
)

// kindOrder is the order of the lines inside a phase.
var kindOrder = map[string]int{"fixtures": 0, "hanging": 1, "electrical": 2, "data": 3, "control": 4, "house": 5,
	"access": 6, "building": 7, "fees": 8, "labour": 9}

// Make returns the bill of materials and the estimate of a design, in minor
// units of the brief's currency (the price book's where none is stated). The
// phases add up to the total exactly, with and without contingency. Low and
// High are plain sums of every line's own low and high, so they lie farther out
// than the true range; P80Minor treats the lines as independent.
func Make(in Input) (Estimate, []finding.Finding) {
	p := newPricer(in)
	var lines []Line
	for _, x := range derive(in) {
		lines = append(lines, p.line(x))
	}
	lines = applyWorks(p, lines)
	sort.SliceStable(lines, func(i, j int) bool {
		a, b := lines[i], lines[j]
		if a.Phase != b.Phase {
			return a.Phase < b.Phase
		}
		return rank(a.Kind) < rank(b.Kind)
	})
	e := Estimate{Currency: p.currency, Lines: lines, CapMinor: max(in.Brief.Money.CapMinor, 0),
		Edition:   fmt.Sprintf("%s price book %s (%s)", p.book.Region, p.book.Edition, p.book.Source),
		RangeNote: "Low and high are plain sums: every line at its low or its high at once. The true range is narrower."}
	e.RulePct, e.RuleReasons = contingencyRule(in)
	e.ContingencyPct = in.Brief.Money.ContingencyPct
	if !(e.ContingencyPct > 0) {
		e.ContingencyPct = e.RulePct
	}
	e.ContingencyPct = float64(hundredths(e.ContingencyPct)) / 100
	e.Phases, e.Total, e.WithContingency = sums(lines, e.ContingencyPct)
	for i := range e.Phases {
		e.Phases[i].Title = title(in, lines, e.Phases[i].Name)
	}
	for _, l := range lines {
		if l.By == "volunteers" {
			e.VolunteerHours += l.Hours
		}
	}
	e.P80Minor = independent(lines, p80)
	e.NotIncluded = notIncluded
	e.Open = open(in, lines)
	e.Offer = offer(in, e)
	if in.Book == nil {
		return e, nil
	}
	return e, findings(in, e, p)
}

// open returns what keeps the sums from being the price of what was asked for.
func open(in Input, lines []Line) []string {
	var out []string
	if len(in.Placed) == 0 && len(in.Brief.Zones) > 0 {
		out = append(out, "nothing is hung yet for the places that want light")
	}
	var names []string
	for _, l := range lines {
		if l.Unpriced && !slices.Contains(names, l.Text) {
			names = append(names, l.Text)
		}
	}
	if n := len(names); n > 0 {
		what := strings.Join(names[:min(n, 3)], ", ")
		if n > 3 {
			what += fmt.Sprintf(" and %d more", n-3)
		}
		out = append(out, "no price is known of "+what)
	}
	return out
}

// Known tells whether the sums are a price that can be compared and decided on.
func (e Estimate) Known() bool { return len(e.Open) == 0 }

// notIncluded is said on every estimate.
var notIncluded = []string{
	"taxes that the church cannot reclaim",
	"repairs of structure, wiring or plaster found once work has begun",
	"the designer's time and travel",
	"building works outside the lines above",
}

func rank(kind string) int {
	if r, ok := kindOrder[kind]; ok {
		return r
	}
	return len(kindOrder)
}

// sums adds the lines up by phase and in all, with contingency spread over the
// phases to the last minor unit.
func sums(lines []Line, pct float64) ([]Phase, Amount, Amount) {
	by := map[string]*Phase{}
	for _, l := range lines {
		ph := by[l.Phase]
		if ph == nil {
			ph = &Phase{Name: l.Phase}
			by[l.Phase] = ph
		}
		ph.Subtotal = add(ph.Subtotal, l.Total)
	}
	var phases []Phase
	for _, n := range sortedKeys(by) {
		phases = append(phases, *by[n])
	}
	var total Amount
	for _, ph := range phases {
		total = add(total, ph.Subtotal)
	}
	spread(phases, pct)
	return phases, total, Amount{WithContingency(total.Low, pct), WithContingency(total.Likely, pct), WithContingency(total.High, pct)}
}

func spread(phases []Phase, pct float64) {
	var low, likely, high []int64
	for _, ph := range phases {
		low, likely, high = append(low, ph.Subtotal.Low), append(likely, ph.Subtotal.Likely), append(high, ph.Subtotal.High)
	}
	low, likely, high = allocate(low, pct), allocate(likely, pct), allocate(high, pct)
	for i := range phases {
		phases[i].WithContingency = Amount{low[i], likely[i], high[i]}
	}
}

func add(a, b Amount) Amount { return Amount{a.Low + b.Low, a.Likely + b.Likely, a.High + b.High} }

// title says in a few words what a phase brings.
func title(in Input, lines []Line, phase string) string {
	var parts []string
	if n := len(unitsOf(in.Placed, phase)); n > 0 {
		parts = append(parts, plural(n, "unit"))
	}
	n := 0
	for _, c := range in.Load.Circuits {
		if CircuitPhase(in, c) == phase {
			n++
		}
	}
	if n > 0 {
		parts = append(parts, plural(n, "circuit"))
	}
	if phase == in.Scheme.HouseStep {
		parts = append(parts, "house lights")
	}
	if len(parts) == 0 {
		for _, l := range lines {
			if l.Phase == phase {
				parts = append(parts, l.Text)
			}
			if len(parts) == 3 {
				break
			}
		}
	}
	return strings.Join(parts, ", ")
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// contingencyRule returns the contingency in percent that the rule of the trade
// asks for, with its reasons: 15 % as a rule, 10 % once every unknown is closed,
// 20 % with an open unknown of weight, 25 % with four.
// Source: common practice.
func contingencyRule(in Input) (float64, []string) {
	var why []string
	site := in.Survey.Site
	if site.YearBuilt > 0 && site.YearBuilt < 1980 {
		why = append(why, fmt.Sprintf("the building is of %d", site.YearBuilt))
	}
	if site.Protected == "listed" || site.Protected == "worth_preserving" || in.Brief.Limits.Heritage != "" {
		why = append(why, "heritage permission")
	}
	if NeedsEngineer(in) && !EngineerSeen(in) {
		why = append(why, "the structural engineer's answer is open")
	}
	visited := electricianSeen(in)
	if len(in.Load.Circuits) > 0 && !visited {
		why = append(why, "the electrician has not been to see the panel")
	}
	switch {
	case len(why) >= 4:
		return 25, why
	case len(why) > 0:
		return 20, why
	case visited && len(in.Load.Questions) == 0 && len(in.Hanging.Questions) == 0:
		return 10, []string{"every unknown is closed"}
	}
	return 15, []string{"the usual share while some questions are open"}
}

// EngineerSeen tells whether every line that carries new units has documents.
func EngineerSeen(in Input) bool {
	docs := map[string]bool{}
	for _, l := range in.Survey.Lines {
		docs[l.Name] = strings.TrimSpace(l.Documents) != ""
	}
	for _, u := range in.Placed {
		if u.Line != "" && !docs[u.Line] {
			return false
		}
	}
	return true
}

// electricianSeen tells whether a named electrician has read what only one can:
// the main protection and the fault current.
func electricianSeen(in Input) bool {
	s := in.Survey.Supply
	return in.Brief.People.Electrician != "" && s.Main.Set && s.FaultCurrent.Set
}

// p80 is the standard normal quantile of 80 %.
const p80 = 0.8416

// independent returns the sum of the lines at a normal quantile z when each line
// varies by itself in a triangle between its low, likely and high: mean (a+m+b)/3,
// variance (a²+m²+b²−am−ab−mb)/18, summed, and the sum taken as normal.
// Source: moments of the triangular distribution; central limit theorem (from
// memory).
func independent(lines []Line, z float64) int64 {
	var mean, variance float64
	for _, l := range lines {
		a, m, b := float64(l.Total.Low), float64(l.Total.Likely), float64(l.Total.High)
		mean += (a + m + b) / 3
		variance += (a*a + m*m + b*b - a*m - a*b - m*b) / 18
	}
	return int64(math.Round(mean + z*math.Sqrt(math.Max(variance, 0))))
}
