package scheme

import "roodbeam/engine/finding"

// reporter gathers findings.
type reporter struct {
	book   *finding.Book
	region string
	list   []finding.Finding
	seen   map[string]bool
}

func (r *reporter) start() {
	if r.book == nil {
		r.book = finding.NewBook()
	}
	r.seen = map[string]bool{}
}

// add keeps one finding per key.
func (r *reporter) add(code, subject string, args ...finding.Arg) {
	r.keep(r.book.New(code, subject, args...))
}

// check adds the finding of a code when a limit of it is passed.
func (r *reporter) check(code, subject string, value float64, args ...finding.Arg) {
	if f, passed := r.book.Check(code, r.region, subject, value, args...); passed {
		r.keep(f)
	}
}

func (r *reporter) keep(f finding.Finding) {
	if !r.seen[f.Key] {
		r.seen[f.Key] = true
		r.list = append(r.list, f)
	}
}

func (r *reporter) done() []finding.Finding {
	finding.Sort(r.list)
	return r.list
}
