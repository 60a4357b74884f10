package hanging

import (
	"math"

	"roodbeam/engine/si"
)

// wheelShare is the share of a machine's mass, with its load, on one wheel.
//
// Source: common practice, 35 % to 45 % of the gross mass; 40 % taken.
const wheelShare = 0.40

// boardSide is the side of a square board under one wheel, m (common practice).
const boardSide = 0.6

// OccupiedPressure returns the mean pressure of a machine under its own outline,
// Pa: mass in kg with its load, length and width of its base in m. NaN where one
// is not positive.
//
// Source: service manuals of scissor lifts: total weight over length times width.
func OccupiedPressure(mass, length, width float64) float64 {
	if !(mass > 0) || !(length > 0) || !(width > 0) {
		return math.NaN()
	}
	return mass * si.StandardGravity / (length * width)
}

// WheelLoad returns the load of the heaviest wheel of a machine with its load, N,
// 0.40 of the weight; NaN for a mass that is not positive. The machine's plate
// decides.
//
// Source: common practice, 35 % to 45 % of the gross mass.
func WheelLoad(mass float64) float64 {
	if !(mass > 0) {
		return math.NaN()
	}
	return wheelShare * mass * si.StandardGravity
}

// BoardPressure returns the pressure under a 600 mm square board below the
// heaviest wheel, Pa.
//
// Source: plane statics; wheel load as WheelLoad.
func BoardPressure(mass float64) float64 { return WheelLoad(mass) / (boardSide * boardSide) }

// psf is one pound-force per square foot in Pa.
const psf = si.PoundForce / (.3048 * .3048)

// Live loads that floors of assembly rooms are designed for, Pa.
//
// Source: ASCE 7-22 Table 4.3-1: fixed seats 60 psf, lobbies and movable seats
// 100 psf.
const (
	fixedSeatsPa   = 60 * psf
	movableSeatsPa = 100 * psf
)

// liveLoad is what a hall floor is designed for at least, where nothing is
// written: that of fixed seats where some are fixed or nothing is known.
func (c *checker) liveLoad() float64 {
	if len(c.Survey.Seating) == 0 {
		return fixedSeatsPa
	}
	for _, s := range c.Survey.Seating {
		if s.Fixed != "loose" {
			return fixedSeatsPa
		}
	}
	return movableSeatsPa
}

// Mass of a person and of a person's tools on a platform, kg.
//
// Source: EN 280 (from memory).
const (
	personKg = 80.0
	toolsKg  = 40.0
)

// platformNeed is what a platform bears at least: a crew of two with their tools
// and the heaviest unit, kg.
func (c *checker) platformNeed() float64 {
	heavy := 0.0
	for _, u := range c.Placed {
		if fx, ok := c.Catalogue.Get(u.Fixture); ok && c.hangs(u) {
			heavy = math.Max(heavy, positive(float64(fx.Mass)))
		}
	}
	return HangCrew*personKg + toolsKg + heavy
}
