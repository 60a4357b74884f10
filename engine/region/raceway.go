package region

import "math"

// MM2PerSquareInch is one square inch in mm².
const MM2PerSquareInch = 25.4 * 25.4

// Raceways are the sizes of one kind of raceway and what may be drawn into it.
type Raceways struct {
	Kind       string // "EMT"
	Wire       string // insulation the areas are of
	Source     string
	FillSource string
	WireSource string
	// Shares of the inner area, %, that one, two or more conductors may fill;
	// NipplePct for a piece of 24 in or less.
	OnePct, TwoPct, MorePct, NipplePct float64
	RoundUpAt                          float64 // fraction of a conductor that counts as one, same sizes only
	Sizes                              []Row   // inner area, mm²
	Wires                              []Row   // area over the insulation, mm², by conductor name
}

// fillSlack absorbs the floating-point error of a count that is exactly at the
// rounding fraction.
const fillSlack = 1e-9

// MostInRaceway returns how many conductors of one size may be drawn into a
// raceway size; 0 where one is too many or a name is unknown. n = A·40 %/a, a
// fraction of 0.8 and more counting as one; below three, two at 31 % and one at
// 53 %. A is the total inner area.
//
// Source: NFPA 70 Chapter 9 Table 1 and Note 7; it reproduces Annex C Table C.1.
func (r Raceways) MostInRaceway(size, wire string) int {
	inner, ok := Table{Rows: r.Sizes}.Value(size)
	area, ok2 := Table{Rows: r.Wires}.Value(wire)
	if !ok || !ok2 || !(area > 0) {
		return 0
	}
	count := func(pct float64) int {
		n := inner * pct / 100 / area
		whole := math.Floor(n + fillSlack)
		if n-whole >= r.RoundUpAt-fillSlack {
			whole++
		}
		return int(whole)
	}
	if n := count(r.MorePct); n >= 3 {
		return n
	}
	if count(r.TwoPct) >= 2 {
		return 2
	}
	if inner*r.OnePct/100 >= area {
		return 1
	}
	return 0
}

// Fill is how full a raceway is.
type Fill struct {
	Size         string
	InnerMM2     float64
	ConductorMM2 float64
	Pct          float64
	LimitPct     float64
}

// Fill returns the smallest raceway that takes the conductors (names as in the
// wire table, the equipment ground among them) and how full it is; false where
// none does, a name is unknown or there is nothing to draw.
//
// Source: NFPA 70 Chapter 9 Tables 1, 4 and 5.
func (r Raceways) Fill(wires []string) (Fill, bool) {
	sum, same := 0.0, true
	for _, w := range wires {
		a, ok := Table{Rows: r.Wires}.Value(w)
		if !ok {
			return Fill{}, false
		}
		sum += a
		same = same && w == wires[0]
	}
	limit := r.MorePct
	switch len(wires) {
	case 0:
		return Fill{}, false
	case 1:
		limit = r.OnePct
	case 2:
		limit = r.TwoPct
	}
	for _, s := range r.Sizes {
		fits := sum <= s.Value*limit/100*(1+fillSlack)
		if same && len(wires) > 2 {
			fits = r.MostInRaceway(s.Name, wires[0]) >= len(wires)
		}
		if fits {
			return Fill{s.Name, s.Value, sum, sum / s.Value * 100, limit}, true
		}
	}
	return Fill{}, false
}

// Measure returns how full the first raceway size is with the conductors, whether
// they are within its limit or not. Unknown names count as nothing.
func (r Raceways) Measure(wires []string) Fill {
	if len(r.Sizes) == 0 {
		return Fill{}
	}
	f := Fill{Size: r.Sizes[0].Name, InnerMM2: r.Sizes[0].Value, LimitPct: r.MorePct}
	switch len(wires) {
	case 1:
		f.LimitPct = r.OnePct
	case 2:
		f.LimitPct = r.TwoPct
	}
	for _, w := range wires {
		a, _ := Table{Rows: r.Wires}.Value(w)
		f.ConductorMM2 += a
	}
	f.Pct = f.ConductorMM2 / f.InnerMM2 * 100
	return f
}
