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
