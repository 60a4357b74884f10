package model

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// lineWidth keeps lines of a written model short: readers of the format have
// fixed buffers.
const lineWidth = 200

// WriteLP writes the problem in the open LP text format. x are columns, y
// openings, s what a row misses, e what it has too much. Numbers are rounded to
// a thousandth; the objective's value at a plan is what Value returns for the
// rounded problem.
func (p *Problem) WriteLP(w io.Writer) error {
	out := &lpText{w: w}
	q := p.Rounded()
	out.line("\\ Which units to hang: choose x (a unit) and y (what is opened once) for the least cost.")
	out.line("\\ s: what a row misses, at its price; u: what it has too much, at its price.")
	for j, c := range q.Columns {
		if c.Name != "" {
			out.line(fmt.Sprintf("\\ x%d = %s", j, clean(c.Name)))
		}
	}
	for o, v := range q.Openings {
		if v.Name != "" {
			out.line(fmt.Sprintf("\\ y%d = %s", o, clean(v.Name)))
		}
	}
	for i, r := range q.Rows {
		if r.Name != "" {
			out.line(fmt.Sprintf("\\ r%d = %s", i, clean(r.Name)))
		}
	}
	out.line("Minimize")
	out.start("cost:")
	for j, c := range q.Columns {
		out.term(c.Cost, "x", j)
	}
	for o, v := range q.Openings {
		out.term(v.Cost, "y", o)
	}
	for i, r := range q.Rows {
		if needsShort(r) {
			out.term(r.Short, "s", i)
		}
		if needsOver(r) {
			out.term(r.Over, "u", i)
		}
	}
	out.end()
	out.line("Subject To")
	for i, r := range q.Rows {
		if !math.IsInf(r.Lo, -1) {
			out.start(fmt.Sprintf("lo%d:", i))
			out.sum(r.Terms)
			out.term(1, "s", i)
			out.word(">= " + number(r.Lo))
			out.end()
		}
		if !math.IsInf(r.Hi, 1) && len(r.Terms) > 0 {
			out.start(fmt.Sprintf("hi%d:", i))
			out.sum(r.Terms)
			if needsOver(r) {
				out.term(-1, "u", i)
			}
			out.word("<= " + number(r.Hi))
			out.end()
		}
	}
	for k, list := range q.placeLists() {
		if len(list) > 1 {
			out.start(fmt.Sprintf("one%d:", k))
			for _, j := range list {
				out.term(1, "x", j)
			}
			out.word("<= 1")
			out.end()
		}
	}
	for n, l := range q.links() {
		out.start(fmt.Sprintf("open%d:", n))
		for _, j := range l.columns {
			out.term(1, "x", j)
		}
		out.term(-1, "y", l.opening)
		out.word("<= 0")
		out.end()
	}
	out.line("Binary")
	for j := range q.Columns {
		out.word("x" + strconv.Itoa(j))
	}
	for o := range q.Openings {
		out.word("y" + strconv.Itoa(o))
	}
	out.end()
	out.line("End")
	return out.err
}

func needsShort(r Row) bool { return !math.IsInf(r.Lo, -1) }
func needsOver(r Row) bool  { return r.Over > 0 && !math.IsInf(r.Hi, 1) }

// placeLists returns the columns of each place.
func (p *Problem) placeLists() [][]int {
	out := make([][]int, p.Places)
	for j, c := range p.Columns {
		out[c.Place] = append(out[c.Place], j)
	}
	return out
}

// link is Σ columns ≤ opening, over the columns of one place.
type link struct {
	opening int
	columns []int
}

func (p *Problem) links() []link {
	var out []link
	for _, list := range p.placeLists() {
		at := map[int]int{}
		for _, j := range list {
			for _, o := range p.Columns[j].Needs {
				k, ok := at[o]
				if !ok {
					k = len(out)
					at[o] = k
					out = append(out, link{opening: o})
				}
				out[k].columns = append(out[k].columns, j)
			}
		}
	}
	return out
}

// lpText writes words into short lines.
type lpText struct {
	w    io.Writer
	buf  strings.Builder
	lead bool // nothing of the sum written yet
	err  error
}

func (t *lpText) line(s string) {
	t.end()
	if t.err == nil {
		_, t.err = io.WriteString(t.w, s+"\n")
	}
}

func (t *lpText) start(name string) {
	t.end()
	t.buf.WriteString(" " + name)
	t.lead = true
}

func (t *lpText) word(s string) {
	if t.buf.Len()+len(s) > lineWidth {
		t.end()
	}
	t.buf.WriteString(" " + s)
}

func (t *lpText) sum(terms []Term) {
	for _, v := range terms {
		t.term(v.Coef, "x", v.Column)
	}
}

// term writes a coefficient with its variable; nothing for 0.
func (t *lpText) term(coef float64, name string, i int) {
	if coef == 0 {
		return
	}
	sign := "+ "
	switch {
	case coef < 0:
		sign, coef = "- ", -coef
	case t.lead:
		sign = ""
	}
	t.lead = false
	value := ""
	if coef != 1 {
		value = number(coef) + " "
	}
	t.word(sign + value + name + strconv.Itoa(i))
}

func (t *lpText) end() {
	if t.buf.Len() == 0 {
		return
	}
	s := t.buf.String() + "\n"
	t.buf.Reset()
	if t.err == nil {
		_, t.err = io.WriteString(t.w, s)
	}
}

func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// clean keeps a name on one line of a comment.
func clean(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if len(s) > lineWidth {
		s = strings.ToValidUTF8(s[:lineWidth], "")
	}
	return s
}
