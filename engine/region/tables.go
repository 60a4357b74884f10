package region

import "math"

// Table is one further printed table: rows by name, one unit, one source.
type Table struct {
	ID     string
	Title  string
	Unit   string
	Source string
	Rows   []Row
}

// Row is one value of a Table.
type Row struct {
	Name  string
	Value float64
}

// Table returns the table with the id; false when the profile has none.
func (p Profile) Table(id string) (Table, bool) {
	for _, t := range p.Tables {
		if t.ID == id {
			return t, true
		}
	}
	return Table{}, false
}

// Value returns the row with the name; false when there is none.
func (t Table) Value(name string) (float64, bool) {
	for _, r := range t.Rows {
		if r.Name == name {
			return r.Value, true
		}
	}
	return 0, false
}

// Supply is what the region offers where nobody has looked yet; a surveyed
// supply always wins.
type Supply struct {
	System               string // single_phase_2w, single_phase_3w, three_phase_4w, three_phase_3w
	VoltageV, FrequencyH float64
	Source               string
}

// Protection is how overcurrent devices trip, and the fault-loop rule where the
// region has one.
type Protection struct {
	Source       string
	DefaultCurve string
	Curves       []Curve
	Loop         Loop
	Residual     Residual
	// Multiwire is the rule under which circuits on different lines may share one
	// neutral, with its source; empty where that is not done.
	Multiwire string
}

// Curve is the instantaneous band of a type of circuit breaker in multiples of
// its rating; Mean is the multiple at which inrush counts are reckoned.
type Curve struct {
	Name            string
	Low, High, Mean float64
	// Pulse is how much more than its band the type lets through for pulses of the
	// drivers' length, by a maker the region's Source names; 0: not known. Each
	// breaker's maker states it, so a surveyed factor goes first.
	Pulse float64
}

// Loop is the fault-loop rule; CMin is 0 where the region has none.
type Loop struct {
	Source       string
	CMin         float64 // lowest voltage factor
	TestPct      float64 // share of the limit a cold measurement may reach, %
	CopperFactor float64 // from 20 °C to operating temperature
	// MilliohmPerM is the resistance of one conductor at 20 °C, by name.
	MilliohmPerM []Row
	// TypicalZe is what supplies of an earthing system usually show at the
	// origin, Ω, by system; never a substitute for the surveyed value.
	TypicalZe []Row
	TouchV    float64 // V, with a residual-current device: Zs·IΔn must not pass it
}

// Residual is the rule on standing leakage through residual-current devices.
type Residual struct {
	Source    string
	SharePct  float64   // of the rated residual current, %
	RatingsMA []float64 // standard ratings, mA
}

// Curve returns the breaker type with the name; false when there is none.
func (p Profile) Curve(name string) (Curve, bool) {
	for _, c := range p.Protection.Curves {
		if c.Name == name {
			return c, true
		}
	}
	return Curve{}, false
}

// MaxLoopOhm returns the greatest fault-loop impedance, Ω, at which a breaker of
// the rating, A, and curve trips at once: Zs = Cmin·U0/(m·In) with U0 the
// voltage to earth, V, and m the upper end of the curve's band. NaN where the
// region has no such rule, the curve is unknown, or an argument is not positive.
//
// Source: BS 7671 411.4.4 and Table 41.3.
func (p Profile) MaxLoopOhm(u0, breakerA float64, curve string) float64 {
	c, ok := p.Curve(curve)
	if !ok || !(p.Protection.Loop.CMin > 0) || !(u0 > 0) || !(breakerA > 0) {
		return math.NaN()
	}
	return p.Protection.Loop.CMin * u0 / (c.High * breakerA)
}

// LoopOhmPerM returns R1 + R2 of a line and its protective conductor, Ω/m: at
// 20 °C, and at operating temperature when hot. NaN where a size is not tabulated.
//
// Source: BS 7671 On-Site Guide Tables I1 and I3; hot is cold × 1.20 for 70 °C.
func (p Profile) LoopOhmPerM(line, protective string, hot bool) float64 {
	sum := 0.0
	for _, name := range []string{line, protective} {
		v, ok := Table{Rows: p.Protection.Loop.MilliohmPerM}.Value(name)
		if !ok {
			return math.NaN()
		}
		sum += v / 1000
	}
	if hot {
		sum *= p.Protection.Loop.CopperFactor
	}
	return sum
}

// HarmonicFactor returns the reduction factor of a cable whose neutral carries
// third harmonics, and whether it is applied to the neutral's current rather
// than the line's; thirdPct is the third harmonic of the line current, %. 1 where
// the profile has no table or the share is below its first row.
//
// Source: IEC 60364-5-52 Annex E, Table E.52.1.
func (p Profile) HarmonicFactor(thirdPct float64) (factor float64, onNeutral bool) {
	for _, r := range p.Harmonics {
		if thirdPct <= r.UpTo {
			return r.Value, r.Name == "neutral"
		}
	}
	return 1, false
}

// Installation is the tabulated ampacity of one way of laying a cable.
type Installation struct {
	ID     string // "C", "B2", "4D5-101"
	Title  string
	Source string
	Loaded int // conductors that carry current: 2 or 3
	Rows   []Row
}

// Installation returns one way of laying with that many loaded conductors.
func (p Profile) Installation(id string, loaded int) (Installation, bool) {
	for _, i := range p.Installations {
		if i.ID == id && i.Loaded == loaded {
			return i, true
		}
	}
	return Installation{}, false
}
