package cost

import (
	"fmt"
	"strings"

	"roodbeam/engine/finding"
)

// findings says what leadership must know about the money.
func findings(in Input, e Estimate, p *pricer) []finding.Finding {
	var out []finding.Finding
	cur := e.Currency
	money := func(name string, m int64) finding.Arg { return finding.Money(name, m, cur) }
	add := func(code, subject string, args ...finding.Arg) {
		out = append(out, in.Book.New(code, subject, args...))
	}
	if e.CapMinor > 0 && e.WithContingency.Likely > e.CapMinor {
		add("COST_OVER_CAP", "all phases", money("total", e.WithContingency.Likely), money("cap", e.CapMinor),
			money("over", e.WithContingency.Likely-e.CapMinor), finding.Percent("contingency", e.ContingencyPct))
		split(e, add, money)
	}
	if o := e.Offer; o != nil {
		add("COST_PULL_FORWARD", "phase "+o.Into, finding.Text("lines", strings.Join(o.Lines, ", ")), finding.Text("from", o.From), finding.Text("into", o.Into),
			money("moved", o.MovedMinor), money("with", o.IntoWithContingency), money("rest", o.FromWithContingency), money("left", o.LeftMinor), finding.Text("note", o.Note))
		pullForwardRisk(in, e, add, money)
	}
	if e.ContingencyPct < e.RulePct && e.Total.Likely > 0 {
		add("COST_CONTINGENCY_THIN", "contingency", finding.Percent("used", e.ContingencyPct), finding.Percent("rule", e.RulePct),
			finding.Text("reasons", strings.Join(e.RuleReasons, ", ")), money("more", Share(e.Total.Likely, e.RulePct)-Share(e.Total.Likely, e.ContingencyPct)))
	}
	var unpriced []string
	var generic int64
	for _, l := range e.Lines {
		if l.Unpriced {
			unpriced = append(unpriced, l.Text+" (phase "+l.Phase+")")
		}
		if l.Generic {
			generic += l.Total.Likely
		}
	}
	if len(unpriced) > 0 {
		add("COST_UNPRICED", "estimate", finding.CountOf("count", len(unpriced)), finding.Text("lines", strings.Join(unpriced, ", ")))
	}
	if generic > 0 && e.Total.Likely > 0 {
		add("COST_PLANNING_FIGURES", "estimate", finding.Percent("share", 100*float64(generic)/float64(e.Total.Likely)), money("sum", generic), finding.Text("edition", e.Edition))
	}
	for _, c := range p.foreign {
		add("COST_CURRENCY", "price "+c, finding.Text("currency", cur))
	}
	finding.Sort(out)
	return out
}

// split says how far the first phases get under the cap.
func split(e Estimate, add func(string, string, ...finding.Arg), money func(string, int64) finding.Arg) {
	var sum int64
	var names []string
	for i, ph := range e.Phases {
		next := sum + ph.WithContingency.Likely
		if next > e.CapMinor {
			if i == 0 {
				add("COST_PHASE_OVER_CAP", "phase "+ph.Name, money("phase_total", ph.WithContingency.Likely), money("cap", e.CapMinor))
				return
			}
			add("COST_SPLIT", "phases "+joinPhases(append(append([]string(nil), names...), ph.Name)),
				finding.Text("fits", joinPhases(names)), money("fits_total", sum), money("together", next), money("cap", e.CapMinor))
			return
		}
		sum, names = next, append(names, ph.Name)
	}
}

// pullForwardRisk holds the offer against the contingency the rule asks for.
func pullForwardRisk(in Input, e Estimate, add func(string, string, ...finding.Arg), money func(string, int64) finding.Arg) {
	o := e.Offer
	if e.RulePct <= e.ContingencyPct {
		return
	}
	var plain int64
	for _, ph := range e.Phases {
		if ph.Name <= o.Into {
			plain += ph.Subtotal.Likely
		}
	}
	with := WithContingency(plain+o.MovedMinor, e.RulePct)
	if with <= e.CapMinor {
		return
	}
	alone := WithContingency(plain, e.RulePct)
	verdict := "does not fit either"
	if alone <= e.CapMinor {
		verdict = "fits"
	}
	until := o.waits(in)
	if until == "" {
		until = "the open questions are answered"
	} else {
		until += fmt.Sprintf(" (%s)", strings.Join(e.RuleReasons, ", "))
	}
	add("COST_PULL_FORWARD_RISK", "phase "+o.Into, finding.Percent("rule", e.RulePct), money("with", with), money("alone", alone), money("cap", e.CapMinor),
		money("moved", o.MovedMinor), finding.Text("verdict", verdict), finding.Text("until", until))
}
