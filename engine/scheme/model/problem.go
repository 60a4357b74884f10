// Package model holds the choice of units as a mixed-integer linear model, a
// solver for it with a lower bound of its own, and the model's text in the open
// LP format, so that anyone can check the optimum with another solver.
package model

import (
	"fmt"
	"math"
	"slices"
)

// Problem is: choose columns, at most one in each place, so that
//
//	Σ cost of columns + Σ cost of what they open + Σ price of what rows miss
//
// is least. Costs and prices are not negative, and coefficients of rows with a
// hard upper limit are not. Choosing nothing keeps every hard limit, so a problem
// always has a plan.
type Problem struct {
	Columns  []Column
	Openings []Opening
	Rows     []Row
	Places   int // number of places; Column.Place is below it
}

// Column is one thing that may be chosen.
type Column struct {
	Name  string
	Cost  float64
	Place int
	Needs []int // openings that must be open for it
}

// Opening is paid for once, however many columns need it: a line that gets its
// first unit, a type that is bought for the first time.
type Opening struct {
	Name string
	Cost float64
	// Class groups openings of one kind. Where every column needs one of a class,
	// a plan that chooses anything opens at least one of it.
	Class int
}

// Row is lo ≤ Σ coefficient × column ≤ hi. Below Lo each missing unit costs
// Short. Above Hi each unit too much costs Over; with Over 0 Hi is a hard limit.
type Row struct {
	Name   string
	Lo, Hi float64 // −Inf and +Inf: none
	Short  float64 // price of each unit below Lo
	Over   float64 // price of each unit above Hi; 0: not allowed
	Terms  []Term
}

// Term is one coefficient of a row.
type Term struct {
	Column int
	Coef   float64
}

// Invalid says what is wrong with a problem.
type Invalid struct{ What string }

func (e *Invalid) Error() string { return "model: " + e.What }

// Validate returns an *Invalid where the problem is not of the form above.
func (p *Problem) Validate() error {
	bad := func(format string, args ...any) error { return &Invalid{fmt.Sprintf(format, args...)} }
	for j, c := range p.Columns {
		if !(c.Cost >= 0) || math.IsInf(c.Cost, 1) {
			return bad("column %d costs %v", j, c.Cost)
		}
		if c.Place < 0 || c.Place >= p.Places {
			return bad("column %d has place %d of %d", j, c.Place, p.Places)
		}
		for _, o := range c.Needs {
			if o < 0 || o >= len(p.Openings) {
				return bad("column %d needs opening %d of %d", j, o, len(p.Openings))
			}
		}
	}
	for o, v := range p.Openings {
		if !(v.Cost >= 0) || math.IsInf(v.Cost, 1) {
			return bad("opening %d costs %v", o, v.Cost)
		}
	}
	for i, r := range p.Rows {
		switch {
		case !(r.Lo <= r.Hi):
			return bad("row %d asks for %v to %v", i, r.Lo, r.Hi)
		case !math.IsInf(r.Lo, -1) && (!(r.Short > 0) || math.IsInf(r.Short, 1)):
			return bad("row %d has a lower limit and no price of missing it", i)
		case !(r.Over >= 0) || math.IsInf(r.Over, 1):
			return bad("row %d has a price of %v for too much", i, r.Over)
		case r.Over == 0 && r.Hi < 0:
			return bad("row %d cannot be kept by choosing nothing", i)
		}
		last := -1
		for _, t := range r.Terms {
			if t.Column <= last || t.Column >= len(p.Columns) {
				return bad("row %d names column %d after %d of %d", i, t.Column, last, len(p.Columns))
			}
			if math.IsNaN(t.Coef) || math.IsInf(t.Coef, 0) || (t.Coef < 0 && r.Over == 0 && !math.IsInf(r.Hi, 1)) {
				return bad("row %d has coefficient %v", i, t.Coef)
			}
			last = t.Column
		}
	}
	return nil
}

// decimals of every number in a written model.
const decimals = 1000.0

func round(v float64) float64 { return math.Round(v*decimals) / decimals }

// Rounded returns the problem with every number rounded to a thousandth: the
// model as it is written, and the one that is to be solved.
func (p *Problem) Rounded() *Problem {
	q := &Problem{Places: p.Places, Columns: slices.Clone(p.Columns), Openings: slices.Clone(p.Openings), Rows: slices.Clone(p.Rows)}
	for j := range q.Columns {
		q.Columns[j].Cost = round(q.Columns[j].Cost)
		q.Columns[j].Needs = slices.Clone(q.Columns[j].Needs)
		slices.Sort(q.Columns[j].Needs)
		q.Columns[j].Needs = slices.Compact(q.Columns[j].Needs)
	}
	for o := range q.Openings {
		q.Openings[o].Cost = round(q.Openings[o].Cost)
	}
	for i := range q.Rows {
		r := &q.Rows[i]
		r.Lo, r.Hi, r.Short, r.Over = round(r.Lo), round(r.Hi), round(r.Short), round(r.Over)
		if r.Short == 0 {
			r.Lo = math.Inf(-1)
		}
		var terms []Term
		for _, t := range r.Terms {
			if t.Coef = round(t.Coef); t.Coef != 0 {
				terms = append(terms, t)
			}
		}
		r.Terms = terms
	}
	return q
}

// hardSlack is what a hard limit may be passed by, from adding up in another order.
const hardSlack = 1e-7

// Value returns the cost of choosing the columns, and whether it keeps every
// hard limit and takes no place twice.
func (p *Problem) Value(columns []int) (float64, bool) {
	cost, kept := 0.0, true
	chosen := make([]bool, len(p.Columns))
	open := make([]bool, len(p.Openings))
	taken := make([]bool, p.Places)
	for _, j := range columns {
		c := p.Columns[j]
		kept = kept && !chosen[j] && !taken[c.Place]
		chosen[j], taken[c.Place] = true, true
		cost += c.Cost
		for _, o := range c.Needs {
			if !open[o] {
				open[o] = true
				cost += p.Openings[o].Cost
			}
		}
	}
	for _, r := range p.Rows {
		sum := 0.0
		for _, t := range r.Terms {
			if chosen[t.Column] {
				sum += t.Coef
			}
		}
		if sum < r.Lo {
			cost += r.Short * (r.Lo - sum)
		}
		if sum > r.Hi {
			cost += r.Over * (sum - r.Hi)
			kept = kept && (r.Over > 0 || sum <= r.Hi+hardSlack)
		}
	}
	return cost, kept
}

// SumOf returns a row's sum under a choice.
func (r Row) SumOf(columns []int) float64 {
	sum := 0.0
	for _, t := range r.Terms {
		if slices.Contains(columns, t.Column) {
			sum += t.Coef
		}
	}
	return sum
}

// LackOf returns what a row lacks under a choice; 0 where it lacks nothing.
func (r Row) LackOf(columns []int) float64 { return max(0, r.Lo-r.SumOf(columns)) }

// Missing is what one row lacks under a choice.
type Missing struct {
	Row    string
	Amount float64 // in the row's unit, positive
	Price  float64 // cost of it
}

// Missing returns what the rows lack under a choice, dearest first.
func (p *Problem) Missing(columns []int) []Missing {
	var out []Missing
	for _, r := range p.Rows {
		if lack := r.LackOf(columns); lack > hardSlack {
			out = append(out, Missing{r.Name, lack, lack * r.Short})
		}
	}
	slices.SortStableFunc(out, func(a, b Missing) int {
		switch {
		case a.Price > b.Price:
			return -1
		case a.Price < b.Price:
			return 1
		}
		return 0
	})
	return out
}

// Reduction says how a problem was made smaller.
type Reduction struct {
	Before, Dominated, Cut, After int
}

// Reduce returns the problem without columns that another of the same place
// beats in every respect, and with at most limit columns: what is still over it
// is cut by rank, lowest first kept (rank may be nil: as they stand). The second
// result maps its columns to those of p.
func (p *Problem) Reduce(limit int, rank []float64) (*Problem, []int, Reduction) {
	red := Reduction{Before: len(p.Columns)}
	cols := p.byColumn()
	drop := make([]bool, len(p.Columns))
	byPlace := make([][]int, p.Places)
	for j, c := range p.Columns {
		byPlace[c.Place] = append(byPlace[c.Place], j)
	}
	for _, list := range byPlace {
		for _, j := range list {
			for _, i := range list {
				if i != j && !drop[i] && !drop[j] && p.dominates(cols, i, j) {
					drop[j] = true
					red.Dominated++
				}
			}
		}
	}
	var keep []int
	for j := range p.Columns {
		if !drop[j] {
			keep = append(keep, j)
		}
	}
	if len(keep) > limit {
		if rank != nil {
			slices.SortStableFunc(keep, func(a, b int) int {
				switch {
				case rank[a] < rank[b]:
					return -1
				case rank[a] > rank[b]:
					return 1
				}
				return 0
			})
		}
		red.Cut = len(keep) - limit
		keep = keep[:limit]
		slices.Sort(keep)
	}
	red.After = len(keep)
	return p.only(keep), keep, red
}

func (p *Problem) only(keep []int) *Problem {
	at := make([]int, len(p.Columns))
	for j := range at {
		at[j] = -1
	}
	q := &Problem{Places: p.Places, Openings: p.Openings}
	for k, j := range keep {
		at[j] = k
		q.Columns = append(q.Columns, p.Columns[j])
	}
	for _, r := range p.Rows {
		var terms []Term
		for _, t := range r.Terms {
			if at[t.Column] >= 0 {
				terms = append(terms, Term{at[t.Column], t.Coef})
			}
		}
		r.Terms = terms
		q.Rows = append(q.Rows, r)
	}
	return q
}

// dominates tells whether column i may stand for j wherever j is chosen: it
// costs no more, needs nothing else, and gives every row as much where less
// costs, and no more where more costs.
func (p *Problem) dominates(cols [][]entry, i, j int) bool {
	a, b := p.Columns[i], p.Columns[j]
	if a.Cost > b.Cost || (a.Cost == b.Cost && i > j && sameEntries(cols[i], cols[j])) {
		return false
	}
	for _, o := range a.Needs {
		if !slices.Contains(b.Needs, o) {
			return false
		}
	}
	ca, cb := cols[i], cols[j]
	for len(ca) > 0 || len(cb) > 0 {
		var row int
		var va, vb float64
		switch {
		case len(cb) == 0 || (len(ca) > 0 && ca[0].row < cb[0].row):
			row, va, ca = int(ca[0].row), ca[0].coef, ca[1:]
		case len(ca) == 0 || cb[0].row < ca[0].row:
			row, vb, cb = int(cb[0].row), cb[0].coef, cb[1:]
		default:
			row, va, vb, ca, cb = int(ca[0].row), ca[0].coef, cb[0].coef, ca[1:], cb[1:]
		}
		r := p.Rows[row]
		if (va < vb && !math.IsInf(r.Lo, -1)) || (va > vb && !math.IsInf(r.Hi, 1)) {
			return false
		}
	}
	return true
}

func sameEntries(a, b []entry) bool { return slices.Equal(a, b) }

// entry is one coefficient of a column.
type entry struct {
	row  int32
	coef float64
}

func (p *Problem) byColumn() [][]entry {
	out := make([][]entry, len(p.Columns))
	for i, r := range p.Rows {
		for _, t := range r.Terms {
			out[t.Column] = append(out[t.Column], entry{int32(i), t.Coef})
		}
	}
	return out
}
