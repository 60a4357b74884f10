package hanging

import "fmt"

// metricGrade is the wire grade, N/mm², of the ropes named where people buy by the
// millimetre. Source: EN 12385-4, rope grade 1770.
const metricGrade = 1770

// metricConstruction is the stiff small rope of galvanised steel sold by the
// millimetre. Source: EN 12385-4.
const metricConstruction = "6x7-WSC"

// metricMetal is the build whose share of metal it has: a 6x7 rope on a core that is
// a strand like the six is seven strands of seven.
const metricMetal = "7x7"

// rope is a wire rope of the tables, thinnest first.
type rope struct {
	name, source string
	construction string
	diameterM    float64
	breakingN    float64
}

// ropesOf are the ropes people of a region buy: by the inch in "us", else by the
// millimetre, with the least breaking force of their construction.
func ropesOf(regionID string) []rope {
	var out []rope
	if regionID == "us" || regionID == "" {
		for _, r := range readHardware().Ropes {
			out = append(out, rope{r.Name, r.Source, "7x19", r.DiameterMM / 1000, r.BreakingN})
		}
		return out
	}
	for _, mm := range []float64{3, 4, 5, 6} {
		n, source, _ := RopeBreaking(mm/1000, metricGrade, metricConstruction)
		out = append(out, rope{fmt.Sprintf("%g mm 6×7-WSC galvanised, %d N/mm²", mm, metricGrade), source, metricMetal, mm / 1000, n})
	}
	return out
}

// boltsFor names the thinnest listed bolt, or rod of its grade, that bears a load
// at rest in tension.
func boltsFor(load, factor float64) string {
	for _, b := range readHardware().Bolts {
		if n := WorkingLoad(b.BreakingN, factor, 1); n >= load {
			return fmt.Sprintf("from %s, %.2f kN at rest, not for swing or bending (%s)", b.Name, n/1000, b.Source)
		}
	}
	return ""
}

// RatedPiecesIn is RatedPieces in the order in which people of a region buy: where
// they buy by the millimetre, ropes by the millimetre stand in the place of those
// by the inch, and what there is by the inch alone comes last.
func RatedPiecesIn(wood, regionID string) []RatedPiece {
	all := RatedPieces(wood)
	if regionID == "us" || regionID == "" {
		return all
	}
	over, _ := DesignFactor("over people")
	share, _, _ := Efficiency("ferrule")
	var first, last []RatedPiece
	for _, r := range ropesOf(regionID) {
		n := r.breakingN * share
		first = append(first, RatedPiece{"wire rope", r.name + " with ferrules", n, over, WorkingLoad(n, over, 1), r.source})
	}
	for _, p := range all {
		switch {
		case p.Kind == "wire rope":
		case p.Kind == "threaded rod", p.Kind == "lag screw", p.Kind == "through-bolt":
			last = append(last, p)
		default:
			first = append(first, p)
		}
	}
	return append(first, last...)
}
