package region

import (
	"embed"
	"math"
	"sort"
)

//go:embed profiles/*.json
var profileFiles embed.FS

// Profiles returns every built-in profile, sorted by id. A malformed data file
// is a programming error and panics; a test reads them all.
func Profiles() []Profile {
	entries, err := profileFiles.ReadDir("profiles")
	if err != nil {
		panic(err)
	}
	var out []Profile
	for _, e := range entries {
		raw, err := profileFiles.ReadFile("profiles/" + e.Name())
		if err != nil {
			panic(err)
		}
		p, err := Parse(raw)
		if err != nil {
			panic(err)
		}
		out = append(out, p)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].ID < out[j].ID })
	return out
}

// Get returns the built-in profile with the id, "us" or "metric"; false when
// there is none.
func Get(id string) (Profile, bool) {
	for _, p := range Profiles() {
		if p.ID == id {
			return p, true
		}
	}
	return Profile{}, false
}

// NextBreaker returns the smallest standard rating, A, not below the current,
// A; false when the current is NaN, negative or above every rating.
func (p Profile) NextBreaker(currentA float64) (float64, bool) {
	if !(currentA >= 0) {
		return 0, false
	}
	for _, b := range p.Breakers {
		if b >= currentA {
			return b, true
		}
	}
	return 0, false
}

// Conductor returns the size with the name; false when there is none.
func (p Profile) Conductor(name string) (Conductor, bool) {
	for _, c := range p.Conductors {
		if c.Name == name {
			return c, true
		}
	}
	return Conductor{}, false
}

// AmbientFactor returns the correction for an ambient temperature, °C, at the
// profile's insulation temperature: the row whose upper end is not below it; 0
// above the table, where the conductor may not be used.
func (p Profile) AmbientFactor(ambientC float64) float64 { return lookup(p.Ambient, ambientC) }

// AmbientFactorAt returns the same for another tabulated conductor
// temperature, °C; 0 where there is no such column.
func (p Profile) AmbientFactorAt(columnC, ambientC float64) float64 {
	for _, c := range p.AmbientColumns {
		if c.TempC == columnC {
			return lookup(c.Factors, ambientC)
		}
	}
	return 0
}

// GroupingFactor returns the correction for n current-carrying conductors or
// circuits together, as GroupingPer says; 1 for n below 1.
func (p Profile) GroupingFactor(n int) float64 {
	if n < 1 {
		return 1
	}
	return lookup(p.Grouping, float64(n))
}

func lookup(fs []Factor, v float64) float64 {
	for _, f := range fs {
		if v <= f.UpTo {
			return f.Value
		}
	}
	return 0
}

// Ampacity returns what a conductor may carry, A: its insulation column times
// the ambient factor (°C) and the grouping factor (n as GroupingPer says), not
// above its terminal column. Three loaded conductors use their own column where
// the profile has one.
//
// Source: NFPA 70-2023 110.14(C), 310.15; BS 7671 Appendix 4, Iz = It·Ca·Cg.
func (p Profile) Ampacity(c Conductor, ambientC float64, n int, threeLoaded bool) float64 {
	base, terminal := c.column(p.InsulationC), c.column(p.TerminalC)
	if threeLoaded && c.Ampacity3A > 0 {
		base, terminal = c.Ampacity3A, c.Ampacity3A
	}
	corrected := base * p.AmbientFactor(ambientC) * p.GroupingFactor(n)
	if p.InsulationC == p.TerminalC {
		return corrected
	}
	return math.Min(corrected, terminal)
}

// MaxBreaker returns the largest breaker, A, the small-conductor rule allows on
// a conductor; +Inf where the rule names none.
func (p Profile) MaxBreaker(c Conductor) float64 {
	for _, r := range p.SmallConductor {
		if r.Name == c.Name {
			return r.Value
		}
	}
	return math.Inf(1)
}

// Ground returns the equipment ground or protective conductor for a breaker, A,
// and its circuit conductor. minimal is the conductor that would have served
// without voltage drop: when the circuit's is larger, the ground grows in the
// ratio of areas, and is never larger than the circuit conductor.
//
// Source: NFPA 70-2023 250.122(A), (B); IEC 60364-5-54 Table 54.2 (from memory).
func (p Profile) Ground(breakerA float64, minimal, used Conductor) (Conductor, bool) {
	if p.GroundAsLine {
		return used, used.Name != ""
	}
	for _, r := range p.EquipmentGround {
		if breakerA > r.UpTo {
			continue
		}
		g, ok := p.Conductor(r.Name)
		if !ok {
			return Conductor{}, false
		}
		need := g.AreaMM2
		if minimal.AreaMM2 > 0 && used.AreaMM2 > minimal.AreaMM2 {
			need *= used.AreaMM2 / minimal.AreaMM2
		}
		if need >= used.AreaMM2 {
			return used, true
		}
		for _, c := range p.Conductors {
			if c.AreaMM2 >= need*(1-areaRounding) {
				return c, true
			}
		}
	}
	return Conductor{}, false
}

// areaRounding absorbs floating-point error where an area ratio is exactly a
// tabulated size.
const areaRounding = 1e-9

// Loop returns the voltage drop per ampere and metre of route, V/(A·m), of a
// circuit of the kind at a power factor: both conductors for two-wire, √3 of
// one for three-phase (line to line). A power factor outside 0..1 counts as 1.
//
// Source: NFPA 70 Chapter 9 Table 9 note 2, Ze = R·cosφ + X·sinφ; BS 7671
// Appendix 4, mV/A/m.
func (c Conductor) Loop(threePhase bool, pf float64) float64 {
	if !(pf > 0 && pf <= 1) {
		pf = 1
	}
	if threePhase && c.MVAM3 > 0 {
		return c.MVAM3 / 1000
	}
	if !threePhase && c.MVAM > 0 {
		return c.MVAM / 1000
	}
	z := (c.OhmPerKm*pf + c.ReactPerKm*math.Sqrt(1-pf*pf)) / 1000
	if threePhase {
		return math.Sqrt(3) * z
	}
	return 2 * z
}

// ConnectorFor returns the connector for a circuit: of the poles asked for, a
// voltage rating not below, a current rating not below the breaker's, locking
// before not, then the smallest; false when there is none.
func (p Profile) ConnectorFor(breakerA, volts float64, poles int) (Connector, bool) {
	var best Connector
	found := false
	for _, c := range p.Connectors {
		if c.Poles != poles || c.MaxA < breakerA || c.Volts < volts {
			continue
		}
		if !found || better(c, best) {
			best, found = c, true
		}
	}
	return best, found
}

func better(a, b Connector) bool {
	switch {
	case a.Locking != b.Locking:
		return a.Locking
	case a.Volts != b.Volts:
		return a.Volts < b.Volts
	}
	return a.MaxA < b.MaxA
}

// column returns the ampacity, A, of a tabulated temperature, 0 when there is none.
func (c Conductor) column(tempC float64) float64 {
	for _, col := range c.Columns {
		if col.TempC == tempC {
			return col.AmpacityA
		}
	}
	return 0
}

// AmpacityAt returns the tabulated ampacity, A, at a conductor temperature, °C;
// 0 where the profile has no such column.
func (c Conductor) AmpacityAt(tempC float64) float64 { return c.column(tempC) }
