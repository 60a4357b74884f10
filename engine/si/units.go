// Package si holds the typed SI quantities of Roodbeam and is the one place
// where text that people type is read as a quantity.
package si

import "math"

// Length is a length in metres.
type Length float64

// Angle is an angle in radians.
type Angle float64

// Illuminance is luminous flux per area in lux.
type Illuminance float64

// Luminance is in candela per square metre.
type Luminance float64

// LuminousFlux is in lumens.
type LuminousFlux float64

// LuminousIntensity is in candela.
type LuminousIntensity float64

// Power is active power in watts.
type Power float64

// ApparentPower is in volt-amperes.
type ApparentPower float64

// Current is a root-mean-square current in amperes.
type Current float64

// Voltage is a root-mean-square voltage in volts.
type Voltage float64

// Resistance is in ohms.
type Resistance float64

// Mass is in kilograms.
type Mass float64

// Force is in newtons.
type Force float64

// Stress is in pascals; a modulus of elasticity too.
type Stress float64

// Temperature is in degrees Celsius.
type Temperature float64

// Units of length, in metres. The foot is the international foot of 1959,
// exactly 0.3048 m (NIST SP 811, appendix B.8).
const (
	Metre      Length = 1
	Millimetre Length = 1e-3
	Centimetre Length = 1e-2
	Foot       Length = 0.3048
	Inch       Length = 0.0254
)

// Units of angle, in radians.
const (
	Radian Angle = 1
	Degree Angle = math.Pi / 180
)

// Pound is the international avoirdupois pound in kilograms, exact
// (NIST SP 811, appendix B.8).
const Pound Mass = 0.45359237

// LuxPerFootcandle is the illuminance of one lumen per square foot, exact:
// 1/0.3048².
const LuxPerFootcandle = 1 / (0.3048 * 0.3048)

// StandardGravity turns a mass into its weight, in m/s² (CGPM 1901, exact).
const StandardGravity = 9.80665

// Metres returns the length in metres.
func (l Length) Metres() float64 { return float64(l) }

// Millimetres returns the length in millimetres.
func (l Length) Millimetres() float64 { return float64(l) * 1e3 }

// Feet returns the length in international feet.
func (l Length) Feet() float64 { return float64(l / Foot) }

// Inches returns the length in inches.
func (l Length) Inches() float64 { return float64(l / Inch) }

// Degrees returns the angle in degrees.
func (a Angle) Degrees() float64 { return float64(a / Degree) }

// Radians returns the angle in radians.
func (a Angle) Radians() float64 { return float64(a) }

// Lux returns the illuminance in lux.
func (e Illuminance) Lux() float64 { return float64(e) }

// Footcandles returns the illuminance in lumens per square foot.
func (e Illuminance) Footcandles() float64 { return float64(e) / LuxPerFootcandle }

// Kilograms returns the mass in kilograms.
func (m Mass) Kilograms() float64 { return float64(m) }

// Pounds returns the mass in pounds.
func (m Mass) Pounds() float64 { return float64(m / Pound) }

// Weight returns the force of standard gravity on the mass, in newtons.
func (m Mass) Weight() Force { return Force(float64(m) * StandardGravity) }

// Watts returns the power in watts.
func (p Power) Watts() float64 { return float64(p) }

// Amperes returns the current in amperes.
func (i Current) Amperes() float64 { return float64(i) }

// Volts returns the voltage in volts.
func (u Voltage) Volts() float64 { return float64(u) }
