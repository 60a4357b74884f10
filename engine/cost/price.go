package cost

import (
	"math"

	"roodbeam/engine/si"
)

// pricer finds the price of a part.
type pricer struct {
	in       Input
	book     PriceBook
	currency string
	own      map[string]Price
	foreign  []string // own prices whose currency has no rate
}

func newPricer(in Input) *pricer {
	p := &pricer{in: in, book: Generic(in.Profile.Conventions.OrOf(in.regionID()).PriceBook), currency: in.Brief.Money.Currency, own: map[string]Price{}}
	if p.currency == "" {
		p.currency = p.book.Currency
	}
	for _, o := range in.Own {
		if _, dup := p.own[o.Code]; dup || o.Code == "" {
			continue
		}
		if o.Currency != "" && o.Currency != p.currency {
			m, ok := p.book.convert(o.Minor, o.Currency, p.currency)
			if !ok {
				p.foreign = append(p.foreign, o.Code)
				continue
			}
			o.Minor = m
		}
		p.own[o.Code] = o
	}
	return p
}

// line prices one part.
func (p *pricer) line(x part) Line {
	l := Line{Code: x.code, Text: x.text, Kind: x.kind, Quantity: clean(x.qty), Unit: "each", Phase: x.phase, By: x.by,
		Ahead: x.ahead, Hours: x.hours, Needs: x.needs}
	if x.length {
		l.Unit = "m"
	}
	if x.own {
		l.Unit, l.Source = "h", "own work, no money; "+NormSource
		return l
	}
	var lowPct, highPct float64
	bp, inBook := p.book.price(x.code)
	if inBook {
		l.Kind, l.Unit = first(l.Kind, bp.Kind), bp.Unit
		l.By = first(l.By, bp.By)
	}
	switch o, ok := p.own[x.code]; {
	case ok:
		l.UnitMinor, l.Unit, l.Source = o.Minor, first(o.Unit, l.Unit), first(o.Source, "the project's own price")
		l.Kind, l.By = first(o.Kind, l.Kind), first(o.By, l.By)
		lowPct, highPct = o.LowPct, o.HighPct
	case p.catalogue(&l):
	case inBook:
		if m, ok := p.book.convert(bp.Minor, p.book.Currency, p.currency); ok {
			l.UnitMinor, l.Source, l.Generic = m, p.book.Source+", "+p.book.Region+" price book "+p.book.Edition, true
		} else {
			l.Unpriced, l.Source = true, "no price known in "+p.currency
		}
	default:
		l.Unpriced, l.Source = true, "no price known"
	}
	l.Kind = first(l.Kind, "building")
	if x.length && (l.Unit == "ft" || l.Unit == "foot") {
		l.Unit, l.Quantity = "ft", clean(si.Length(x.qty).Feet())
	}
	l.By = first(l.By, "church")
	p.amount(&l, lowPct, highPct)
	return l
}

// catalogue prices a fixture.
func (p *pricer) catalogue(l *Line) bool {
	f, ok := p.in.fixture(l.Code)
	if !ok || f.PriceMinor <= 0 {
		return false
	}
	m, ok := p.book.convert(f.PriceMinor, first(f.Currency, p.currency), p.currency)
	if !ok {
		return false
	}
	l.UnitMinor, l.Generic, l.Source = m, f.Generic, "catalogue"
	if f.Generic {
		l.Source = "catalogue, generic fixture"
	}
	return true
}

// amount sets a line's total with its range, by kind where none is given.
func (p *pricer) amount(l *Line, lowPct, highPct float64) {
	if lowPct == 0 && highPct == 0 {
		r := p.book.Ranges[l.Kind]
		lowPct, highPct = r.LowPct, r.HighPct
	}
	t := Times(l.Quantity, l.UnitMinor)
	l.Total = Amount{t - Share(t, math.Min(math.Abs(lowPct), 100)), t, t + Share(t, math.Abs(highPct))}
	if l.Total.Low > l.Total.High {
		l.Total.Low, l.Total.High = l.Total.High, l.Total.Low
	}
}

// clean rounds a quantity to thousandths; what is no number counts as nothing.
func clean(q float64) float64 {
	if math.IsNaN(q) || math.IsInf(q, 0) {
		return 0
	}
	return math.Round(math.Max(-1e9, math.Min(1e9, q))*1000) / 1000
}

func first(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
