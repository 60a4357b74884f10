package model

import (
	"math"
	"slices"
)

// Exchange returns a function that gives what the whole choice would cost with
// the column out exchanged for another; +Inf where a hard limit or a taken place
// forbids it.
func (p *Problem) Exchange(columns []int, out int) func(in int) float64 {
	s := newSearch(p, nil)
	s.strict = true
	s.set(columns)
	total, _ := p.Value(columns)
	total += s.take(out)
	return func(in int) float64 {
		if k := s.taken[p.Columns[in].Place]; k >= 0 {
			return math.Inf(1)
		}
		return total + s.gain(in)
	}
}

// Beside returns problems side by side as one, with their choices as one. The
// names of the parts' places and openings stay apart.
func Beside(parts []*Problem, chosen [][]int) (*Problem, []int) {
	out := &Problem{}
	var all []int
	for k, q := range parts {
		cols, opens, places := len(out.Columns), len(out.Openings), out.Places
		for _, c := range q.Columns {
			c.Place += places
			c.Needs = slices.Clone(c.Needs)
			for i := range c.Needs {
				c.Needs[i] += opens
			}
			out.Columns = append(out.Columns, c)
		}
		for _, o := range q.Openings {
			o.Class = o.Class*len(parts) + k
			out.Openings = append(out.Openings, o)
		}
		for _, r := range q.Rows {
			r.Terms = slices.Clone(r.Terms)
			for i := range r.Terms {
				r.Terms[i].Column += cols
			}
			out.Rows = append(out.Rows, r)
		}
		out.Places += q.Places
		for _, j := range chosen[k] {
			all = append(all, j+cols)
		}
	}
	return out, all
}

// Given returns the problem of choosing among the free columns, by the rows that
// count, when others are chosen already; and which column each of its own is.
// What is open stays open at no cost.
func (p *Problem) Given(chosen []int, free, counts func(int) bool) (*Problem, []int) {
	q := &Problem{Places: p.Places, Openings: slices.Clone(p.Openings)}
	taken := make([]bool, p.Places)
	fixed := make([]bool, len(p.Columns))
	for _, j := range chosen {
		fixed[j], taken[p.Columns[j].Place] = true, true
		for _, o := range p.Columns[j].Needs {
			q.Openings[o].Cost = 0
		}
	}
	var back []int
	at := make([]int, len(p.Columns))
	for j, c := range p.Columns {
		at[j] = -1
		if free(j) && !taken[c.Place] {
			at[j] = len(back)
			back = append(back, j)
			q.Columns = append(q.Columns, c)
		}
	}
	for i, r := range p.Rows {
		if !counts(i) {
			continue
		}
		var terms []Term
		sum := 0.0
		for _, t := range r.Terms {
			if fixed[t.Column] {
				sum += t.Coef
			} else if at[t.Column] >= 0 {
				terms = append(terms, Term{at[t.Column], t.Coef})
			}
		}
		r.Lo, r.Hi, r.Terms = r.Lo-sum, r.Hi-sum, terms
		if r.Over == 0 {
			r.Hi = max(0, r.Hi)
		}
		q.Rows = append(q.Rows, r)
	}
	return q, back
}
