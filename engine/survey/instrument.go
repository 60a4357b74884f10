package survey

import (
	"math"

	"roodbeam/engine/si"
)

// precision is the standard deviation of one reading of an instrument as
// √(fixed² + (perMetre·L)²), in metres.
type precision struct {
	fixed, perMetre float64
	ceilMetre       bool // L is rounded up to a whole metre, as the tape classes do
	grade           int  // 0 best: which of two contradicting readings is used
	name            string
	source          string
}

// handling is what two people add to any reading by hooking, sagging and
// pointing, in metres: "1–3 mm", common practice.
const handling = 0.003

// laserBody is the usual length of a laser meter, which its reading holds or not
// by the end it is set to, in metres (common practice).
const laserBody = 0.11

// mpe is a standard deviation from a maximum permissible error taken as a
// rectangular distribution: MPE/√3.
//
// Source: JCGM 100:2008 (GUM) 4.3.7 (from memory).
func mpe(v float64) float64 { return v / math.Sqrt(3) }

// precisions by instrument. The zero instrument is a typed number of which
// nobody said how it was taken.
var precisions = map[Instrument]precision{
	SteelTape: {math.Hypot(mpe(0.0003+0.0002), handling), mpe(0.0002), true, 0, "steel tape",
		"accuracy class II ±(0.3 + 0.2 L + 0.2 hook) mm, EU Measuring Instruments Directive, material measures of length; as MPE/√3 with 3 mm handling (common practice)"},
	FibreTape: {math.Hypot(mpe(0.0006+0.0003), 0.005), mpe(0.0004), true, 1, "fibre tape",
		"accuracy class III ±(0.6 + 0.4 L + 0.3 hook) mm, EU Measuring Instruments Directive, material measures of length; as MPE/√3 with 5 mm stretch and handling (common practice)"},
	Laser: {math.Hypot(0.00075, 0.002), 0.00005, false, 0, "laser meter",
		"usual maker's figure ±1.5 mm as 2σ after ISO 16331-1:2017, 0.05 mm/m (from memory), 2 mm pointing (common practice)"},
	PhoneAR: {0.01, 0.05, false, 3, "phone camera",
		"average accuracy 89 % of five camera-only phones against a tape, ITU Kaleidoscope 2022 p. 122–125; 5 % of the length is our weight from it"},
	Clinometer: {0.05, 0.025, false, 2, "inclinometer",
		"telephone inclinometer ±1° at 8 m gives ±0.19 to ±0.28 m on 6 to 8 m (common practice)"},
	PhoneLidar: {0.01, 0.01, false, 2, "phone with range finder",
		"average accuracy 99.4 % of a phone with range finder against a tape, ITU Kaleidoscope 2022 p. 122–125; 10 mm and 1 % are our weight from it"},
	LaserEitherEnd: {math.Hypot(laserBody/2, math.Hypot(0.00075, 0.002)), 0.00005, false, 2, "laser meter of unknown end",
		"the laser meter's own and an even chance of its body's length, 0.11 m (common practice)"},
	CountedTiles: {0.01, 0.02, false, 2, "counted tiles",
		"counting equal boards, bricks or panels ±2–5 % (common practice); tiles are the most equal of them"},
	Counted: {0.02, 0.03, false, 2, "counted courses",
		"counting equal boards, bricks or panels ±2–5 % (common practice)"},
	Drawing: {0.02, 0.005, false, 2, "drawing",
		"building as drawn against as built: 20 mm and 0.5 % (common practice)"},
	Guess: {0.25, 0.1, false, 4, "guess", "10 %, at least 0.25 m (common practice)"},
	"": {0.025, 0.002, false, 1, "a number without instrument",
		"survey accuracy wanted ±50 mm taken as 2σ (common practice)"},
}

func precisionOf(i Instrument) precision {
	if p, ok := precisions[i]; ok {
		return p
	}
	return precisions[""]
}

// maxStep bounds what is charged for coarse writing, in metres: whoever writes
// "3 m" or "12 ft" seldom rounded by more than a hand's breadth.
const maxStep = 0.1

// SigmaOf returns the standard deviation, in metres, of a length read with an
// instrument: the instrument's own, and the rounding of the way it was written
// (step/√12, step at most 0.1 m). Unknown instruments count as a number of which
// nobody said how it was taken.
//
// Source: per instrument, see the table; rounding JCGM 100:2008 (GUM) F.2.2.1
// (from memory).
func SigmaOf(i Instrument, value L) si.Length {
	p := precisionOf(i)
	l := math.Abs(float64(value.Value))
	if p.ceilMetre {
		l = math.Ceil(l)
	}
	s := math.Hypot(p.fixed, p.perMetre*l)
	if step, ok := si.LengthStep(value.Text); ok {
		s = math.Hypot(s, math.Min(float64(step), maxStep)/math.Sqrt(12))
	}
	return si.Length(s)
}

// Soft assumptions.
const (
	// SquareSigma is how square the corners of a built room are taken to be,
	// in radians: 0.5°, 26 mm on 3 m (common practice).
	SquareSigma = 0.5 * math.Pi / 180
	// SameHeightSigma is how level a beam or ledge is taken to be, in metres
	// (common practice).
	SameHeightSigma = 0.03
)

// angleSigmaOf returns the standard deviation of an angle by instrument, in radians: a telephone's inclinometer ±1° (common practice), a laser meter's
// tilt sensor ±0.3° and a plan angle from two sightlines ±0.5° (from memory).
func angleSigmaOf(i Instrument) float64 {
	deg := 0.5
	switch {
	case i == Laser || i == LaserEitherEnd:
		deg = 0.3
	case i == Clinometer || i == PhoneAR || i == PhoneLidar:
		deg = 1
	case i == Guess:
		deg = 5
	case i == Drawing:
		deg = 0.2
	}
	return deg * math.Pi / 180
}

// angleSigma returns the standard deviation of a measurement's angle, in radians.
func (m Measurement) angleSigma() float64 {
	if m.AngleSigma.Set && m.AngleSigma.Value > 0 {
		return float64(m.AngleSigma.Value)
	}
	return angleSigmaOf(m.Instrument)
}

// sigma returns a measurement's standard deviation in the unit of its kind.
func (m Measurement) sigma() float64 {
	switch {
	case m.Kind == Square, m.Kind == Parallel:
		return SquareSigma
	case m.Kind == Angle:
		return m.angleSigma()
	case m.Sigma.Set && m.Sigma.Value > 0:
		return float64(m.Sigma.Value)
	case m.Kind == SameHeight:
		return SameHeightSigma
	}
	return float64(SigmaOf(m.instrument(), m.Value))
}

// instrument is what was used; a drawing's dimension is the drawing's.
func (m Measurement) instrument() Instrument {
	if m.Kind == Drawn && m.Instrument == "" {
		return Drawing
	}
	return m.Instrument
}
