package electrical

import (
	"math"

	"roodbeam/engine/region"
)

// FloorLoad returns the lighting load of a floor area, VA: area times the unit
// load of its use, by the building's outside dimensions. unitVA and area in the
// same unit of area.
//
// Source: NFPA 70 220.12, 2023 Table 220.42(A).
func FloorLoad(area, unitVA float64) float64 { return positive(area) * positive(unitVA) }

// LightingLoad returns the load a service is reckoned with, VA: the larger of
// floor load and connected load, times the factor for continuous loads.
//
// Source: NFPA 70 Annex D, Example D3.
func LightingLoad(floorVA, connectedVA, continuousFactor float64) float64 {
	return math.Max(positive(floorVA), positive(connectedVA)) * continuousFactor
}

// LineCurrent returns the current of each line, A, of an apparent power, VA, shared
// evenly by three lines of a voltage between them, V: S/(√3·U). An apparent power
// is not divided by a power factor again.
//
// Source: balanced three-phase power S = √3·U·I, any textbook of circuits (from memory).
func LineCurrent(va, voltsLL float64) float64 { return positive(va) / (math.Sqrt(3) * voltsLL) }

// TrackLoad returns the load of a track on its feeder, VA: 150 VA for every 2 ft
// or part of it; length in m.
//
// Source: NFPA 70 220.43(B), 2023 220.46(B). Whether 125 % comes on top is disputed.
func TrackLoad(lengthM float64) float64 {
	return math.Ceil(positive(lengthM)/(2*0.3048)-1e-9) * 150
}

// OnBreaker returns how many equal loads of an apparent power, VA, a breaker may
// carry continuously at a voltage, V.
//
// Source: NFPA 70 210.20(A); the factor is 1 in IEC practice.
func OnBreaker(breakerA, volts, eachVA, continuousFactor float64) int {
	if !(eachVA > 0) || !(continuousFactor >= 1) || !(breakerA > 0) || !(volts > 0) {
		return 0
	}
	return int(math.Floor(breakerA/continuousFactor*volts/eachVA + 1e-9))
}

// PanelSpaceLine returns the line that a space of a usual panel hangs on, from 0:
// spaces are numbered odd left, even right, and each row shares a line, so
// (n−1) div 2 mod lines. −1 for a space below 1 or no lines.
//
// Source: common practice of lighting panelboards, spaces 1 and 2 on the first line.
func PanelSpaceLine(space, lines int) int {
	if space < 1 || lines < 1 {
		return -1
	}
	return (space - 1) / 2 % lines
}

// NeutralWithThird returns the neutral's current, A, of three loads between line
// and neutral with third harmonics: what NeutralCurrent gives at the fundamental,
// and the thirds of all lines, which are in step, at right angles in the sum of
// squares. thirdPct is their share of the line currents, %.
//
// Source: IEC 60364-5-52 Annex E, 3·h3·I for equal lines.
func NeutralWithThird(a, b, c, thirdPct float64) float64 {
	third := positive(thirdPct) / 100 * (positive(a) + positive(b) + positive(c))
	return math.Hypot(NeutralCurrent(a, b, c), third)
}

// SplitNeutral returns the neutral's current, A, of a supply of two lines in
// opposition: |A − B|; odd harmonics cancel as the fundamental does.
//
// Source: Kirchhoff's current law at the neutral, currents in opposition (from memory).
func SplitNeutral(a, b float64) float64 { return math.Abs(a - b) }

// HarmonicCurrent returns the current, A, that a four- or five-core cable is sized
// for when its lines carry a third harmonic of thirdPct %: the line's current over
// its factor, or from one third on the neutral's, 3·h3·I, over its factor.
//
// Source: IEC 60364-5-52 Annex E, Table E.52.1.
func HarmonicCurrent(p region.Profile, lineA, thirdPct float64) float64 {
	factor, onNeutral := p.HarmonicFactor(thirdPct)
	if onNeutral {
		return math.Max(lineA, 3*thirdPct/100*lineA/factor)
	}
	return lineA / factor
}

// DriversPerBreaker returns how many drivers one breaker carries: the smaller of
// what its instantaneous band lets through at switch-on, k·n·In/Ipk, and of what
// its rating carries, In/Ifit. multiple n is the band's multiple, pulse k the
// breaker's short-pulse factor from its maker (1: none known), peakA and fitA of
// one driver. An unknown peak leaves the rating alone to count.
//
// Source: breaker makers' method after IEC 60898-1; k differs by maker.
func DriversPerBreaker(breakerA, multiple, pulse, peakA, fitA float64) int {
	if !(breakerA > 0) || !(fitA > 0) {
		return 0
	}
	n := math.Floor(breakerA/fitA + 1e-9)
	if peakA > 0 && multiple > 0 && pulse > 0 {
		n = math.Min(n, math.Floor(pulse*multiple*breakerA/peakA+1e-9))
	}
	return int(n)
}

// LongestLoop returns the longest run, m, at which a fault-loop limit, Ω, is kept
// with an external impedance, Ω, and a loop of conductors, Ω/m; 0 when the outside
// takes it all.
//
// Source: BS 7671 411.4.4, Zs = Ze + (R1 + R2)·L.
func LongestLoop(limitOhm, externalOhm, ohmPerM float64) float64 {
	if !(ohmPerM > 0) {
		return 0
	}
	return math.Max(0, (limitOhm-externalOhm)/ohmPerM)
}

// LongestRun returns the longest run, m, at which a drop of dropV is kept with the
// whole current at its end; loop as region.Conductor.Loop gives it.
//
// Source: the voltage drop formula of this package solved for the length.
func LongestRun(dropV, currentA, loop float64) float64 {
	if !(currentA > 0) || !(loop > 0) {
		return math.Inf(1)
	}
	return dropV / (currentA * loop)
}

// ExistingDemand returns what an existing service is reckoned with, VA: its highest
// demand of twelve months (or of 30 days recorded every 15 minutes) times a
// factor, 1.25 in NEC practice, and the new load on top. Kilowatts count over
// their power factor; 0.9 where none is given.
//
// Source: NFPA 70 220.87 (not where solar power or peak shaving hides demand).
func ExistingDemand(highestW, pf, newVA, factor float64) float64 {
	return factor*ApparentPower(highestW, pf) + positive(newVA)
}
