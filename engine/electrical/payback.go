package electrical

import "math"

// Convention says when in a year its savings are counted.
type Convention int

// Conventions.
const (
	EndOfYear Convention = iota
	MidYear
)

// UniformValue returns the present value of one unit of money a year for n years
// at a discount rate, growing by an escalation each year (both as fractions):
// (1+e)/(d−e)·(1−((1+e)/(1+d))ⁿ), n where e = d; half a year less discounted and
// escalated by the mid-year convention. n need not be whole. Zero for n ≤ 0.
//
// Source: NIST Handbook 135, uniform present value factors (from memory);
// mid-year as in MIL-HDBK-1003/13A 3.7.3.
func UniformValue(discount, escalation, years float64, c Convention) float64 {
	if !(years > 0) {
		return 0
	}
	v := years
	if gap := discount - escalation; math.Abs(gap) > 1e-12 {
		// 1 − qⁿ without the cancellation that rates close together bring.
		v = (1 + escalation) / gap * -math.Expm1(years*math.Log1p(-gap/(1+discount)))
	}
	if c == MidYear {
		v *= math.Sqrt((1 + discount) / (1 + escalation))
	}
	return v
}

// Saving is a yearly saving and what is paid for it, in one unit of money.
type Saving struct {
	EnergyPerYear float64 // escalates
	OtherPerYear  float64 // lamps, labour: does not
	Cost          float64
	DiscountPct   float64 // %
	EscalationPct float64 // % a year on energy
	Convention    Convention
}

// Simple returns the years in which the saving of the first year pays the cost
// back: C/S. +Inf when nothing is saved, 0 when nothing is paid.
//
// Source: NIST Handbook 135, simple payback (from memory).
func (s Saving) Simple() float64 {
	yearly := s.EnergyPerYear + s.OtherPerYear
	switch {
	case s.Cost <= 0:
		return 0
	case !(yearly > 0):
		return math.Inf(1)
	}
	return s.Cost / yearly
}

// Present returns the present value of the savings of n years.
//
// Source: NIST Handbook 135, uniform present value factors (from memory).
func (s Saving) Present(years float64) float64 {
	d, e := s.DiscountPct/100, s.EscalationPct/100
	return s.EnergyPerYear*UniformValue(d, e, years, s.Convention) + s.OtherPerYear*UniformValue(d, 0, years, s.Convention)
}

// Net returns the net present value after n years; Ratio is savings over cost,
// +Inf where nothing is paid.
//
// Source: NIST Handbook 135, net savings and savings-to-investment ratio (from memory).
func (s Saving) Net(years float64) (net, ratio float64) {
	pv := s.Present(years)
	if s.Cost <= 0 {
		return pv - s.Cost, math.Inf(1)
	}
	return pv - s.Cost, pv / s.Cost
}

// longestPayback is past what anything installed here lasts, years.
const longestPayback = 200

// Discounted returns the years after which the savings' present value reaches the
// cost, +Inf when they never do within 200 years. Without escalation it is
// −ln(1 − C·d/S)/ln(1+d).
//
// Source: NIST Handbook 135, discounted payback (from memory); the closed form follows
// from UniformValue without escalation, set equal to C/S and solved for n.
func (s Saving) Discounted() float64 {
	if s.Cost <= 0 {
		return 0
	}
	if !(s.Present(longestPayback) >= s.Cost) {
		return math.Inf(1)
	}
	low, high := 0.0, float64(longestPayback)
	for range 80 {
		mid := (low + high) / 2
		if s.Present(mid) >= s.Cost {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}

// YearlyEnergy returns the energy saved a year, kWh: watts before less watts
// after, hours a week times 52.
//
// Source: arithmetic: power times time; 52 weeks a year is common practice.
func YearlyEnergy(beforeW, afterW, hoursPerWeek float64) float64 {
	return (beforeW - afterW) * hoursPerWeek * 52 / 1000
}

// LampsPerYear returns how many lamps burn out a year: count times the hours of a
// year over the life of one, h; 0 where the life is unknown.
//
// Source: arithmetic: a lamp lasts its rated life on average; 52 weeks a year is
// common practice.
func LampsPerYear(count int, hoursPerWeek, lifeH float64) float64 {
	if !(lifeH > 0) {
		return 0
	}
	return float64(max(count, 0)) * positive(hoursPerWeek) * 52 / lifeH
}
