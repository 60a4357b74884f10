package hanging

import (
	"fmt"
	"math"
)

// RatedPiece is a piece of hardware of the tables with what it bears at rest over
// people. A rated assembly is confirmed by a qualified rigger; of several in a row
// the weakest counts.
type RatedPiece struct {
	Kind string // wire rope, shackle, bolt, threaded rod, lag screw, through-bolt
	Name string
	// BreakingN is its breaking load with its end; of a rod its rating and of a
	// fastener in wood its reference value for permanent load, neither of which is a
	// breaking load.
	BreakingN float64
	// Factor lies between BreakingN and WorkingN: the design factor over people, or
	// what is left of it for values that carry the general one already.
	Factor   float64
	WorkingN float64
	Source   string
}

// Fasteners in wood: the thread of a lag screw without its tip, the steel plate and
// the timber behind a through-bolt, m.
const (
	lagThread     = 2.5 * inchM
	boltMain      = 3.5 * inchM
	boltPlate     = 0.25 * inchM
	woodPermanent = 0.9           // NDS 2018 Table 2.3.2
	plateSteel    = 87000 * psi   // A36, dowel bearing (NDS 2018 12.3.3, from memory)
	boltYield     = 45000 * psi   // NDS 2018 Table I1
	rightAngle    = math.Pi / 2.0 // across the grain, the weaker way
)

// RatedPieces returns the pieces of the tables: wire ropes with ferrules, shackles,
// bolts in tension, threaded rods, lag screws by the wood they are in, and
// through-bolts across the grain. wood names a kind of the table; empty or another:
// every kind.
//
// Source: design factors of DesignFactor; NDS 2018 12.2.1 and 12.3.1; the pieces'
// own sources. Reference values of the NDS and of MSS SP-58 carry about the general
// factor already (from memory): over people they are divided by what is missing.
func RatedPieces(wood string) []RatedPiece {
	over, _ := DesignFactor("over people")
	general, _ := DesignFactor("hardware overhead")
	rest := over / general
	share, _, _ := Efficiency("ferrule")
	t := readHardware()
	var out []RatedPiece
	add := func(kind, name string, n, factor float64, source string) {
		out = append(out, RatedPiece{kind, name, n, factor, WorkingLoad(n, factor, 1), source})
	}
	for _, r := range t.Ropes {
		add("wire rope", r.Name+" with ferrules", r.BreakingN*share, over, r.Source)
	}
	for _, s := range t.Shackles {
		add("shackle", s.Name, s.BreakingN, over, s.Source)
	}
	for _, b := range t.Bolts {
		add("bolt", b.Name, b.BreakingN, over, b.Source)
	}
	for _, r := range t.Rods {
		add("threaded rod", r.Name, r.LoadLb*poundForce, rest, r.Source)
	}
	one := false
	for _, w := range t.Woods {
		one = one || key(w.Name) == key(wood)
	}
	for _, w := range t.Woods {
		if one && key(w.Name) != key(wood) {
			continue
		}
		for _, d := range []struct {
			name string
			in   float64
		}{{"1/4", .25}, {"3/8", .375}, {"1/2", .5}} {
			add("lag screw", fmt.Sprintf("%s in lag, 2-1/2 in of thread in the side grain of %s, straight pull", d.name, w.Name),
				woodPermanent*LagWithdrawal(w.Gravity, d.in*inchM, lagThread), rest, "NDS 2018 12.2.1, permanent load 0.9; "+w.Source)
		}
		_, across := WoodBearing(w.Gravity, .5*inchM)
		n, _ := Dowel{Diameter: .5 * inchM, MainLength: boltMain, SideLength: boltPlate, MainBearing: across, SideBearing: plateSteel, YieldBending: boltYield, Angle: rightAngle}.Yield()
		add("through-bolt", "1/2 in bolt through 3-1/2 in of "+w.Name+", 1/4 in steel plate, across the grain", woodPermanent*n, rest, "NDS 2018 12.3.1, permanent load 0.9; "+w.Source)
	}
	return out
}
