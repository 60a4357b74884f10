package render

import "roodbeam/engine/sheet"

// Limits of what is done to a sheet whose last page is nearly empty.
const (
	// leastFilled is the share of the frame's height that a last page should use.
	leastFilled = 0.20
	// tightest steps: each takes some of the air between blocks and rows, from the
	// third on also 2.5 % of the type.
	tightest = 6
	// shallowest is how far all pages are shortened to give the last one more.
	shallowest = 12
)

// fit is how a sheet is set: as it comes, tighter so that it needs a page less,
// or with shorter pages so that the last one is not nearly empty.
type fit struct {
	tight, shallow int
	pages          int
	filled         float64 // share of the last page
}

// air is the share left of the space between blocks and rows.
func (t fit) air() float64 { return 1 - 0.1*float64(t.tight) }

// size is the share left of the type's size.
func (t fit) size() float64 { return 1 - 0.025*float64(max(0, t.tight-2)) }

// depth is the share of the frame's height that is used.
func (t fit) depth() float64 { return 1 - 0.05*float64(t.shallow) }

// fitAll returns how every sheet of a packet is set, and all pages together.
func fitAll(p sheet.Packet) (fits []fit, pages int) {
	m := newFile(p.Paper, stamp(p.Date))
	m.measuring = true
	for _, s := range p.Sheets {
		t := fitted(m, p, s)
		fits, pages = append(fits, t), pages+t.pages
	}
	return fits, pages
}

// Pages is how a sheet came out.
type Pages struct {
	Code  string
	Count int
	// LastFilled is the share of the frame's height that the last page uses.
	LastFilled float64
}

// Count returns the pages of every sheet as PDF sets them.
func Count(p sheet.Packet) []Pages {
	fits, _ := fitAll(p)
	var out []Pages
	for i, t := range fits {
		out = append(out, Pages{p.Sheets[i].Code, t.pages, t.filled})
	}
	return out
}

// fitted returns how a sheet is best set. A single page, and one whose last page
// is filled well enough, stays as it comes.
func fitted(m *file, p sheet.Packet, s sheet.Sheet) fit {
	plain := measured(m, p, s, fit{})
	if plain.pages == 1 || plain.filled >= leastFilled {
		return plain
	}
	for n := 1; n <= tightest; n++ {
		if t := measured(m, p, s, fit{tight: n}); t.pages < plain.pages {
			return t
		}
	}
	best := plain
	for n := 1; n <= shallowest; n++ {
		t := measured(m, p, s, fit{shallow: n})
		if t.pages > plain.pages {
			continue
		}
		if t.filled > best.filled {
			best = t
		}
		if best.filled >= leastFilled {
			break
		}
	}
	return best
}

// measured sets a sheet without drawing it and counts.
func measured(m *file, p sheet.Packet, s sheet.Sheet, t fit) fit {
	fl := newFlow(m, p, s, t)
	fl.place()
	_, y, _, h := m.page.Frame()
	t.pages, t.filled = fl.page, (max(fl.low, fl.y)-y)/h
	return t
}

// rowPad is the space above and below a table's row, in mm.
func (f *flow) rowPad() float64 { return rowPad * f.fit.air() }
