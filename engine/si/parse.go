package si

import (
	"fmt"
	"math"
	"strings"
)

// unitTable is what one quantity may be typed in.
type unitTable struct {
	quantity string
	factors  map[string]float64 // to SI
	bare     []string           // units a number without unit may mean
	examples []string
	nonneg   bool
	max      float64
}

var (
	massUnits = unitTable{"mass", map[string]float64{
		"kg": 1, "kgs": 1, "kilogram": 1, "kilograms": 1, "kilo": 1, "kilos": 1,
		"g": 1e-3, "gram": 1e-3, "grams": 1e-3,
		"lb": float64(Pound), "lbs": float64(Pound), "pound": float64(Pound), "pounds": float64(Pound),
	}, []string{"kg", "lb"}, []string{"7.4 kg", "16 lb"}, true, 1e9}
	powerUnits = unitTable{"power", map[string]float64{
		"w": 1, "watt": 1, "watts": 1, "kw": 1e3, "kilowatt": 1e3, "kilowatts": 1e3,
	}, []string{"W", "kW"}, []string{"165 W", "2.4 kW"}, true, 1e9}
	currentUnits = unitTable{"current", map[string]float64{
		"a": 1, "amp": 1, "amps": 1, "ampere": 1, "amperes": 1, "ma": 1e-3, "ka": 1e3,
	}, []string{"A", "mA"}, []string{"20 A", "30 mA"}, true, 1e9}
	voltageUnits = unitTable{"voltage", map[string]float64{
		"v": 1, "volt": 1, "volts": 1, "kv": 1e3,
	}, []string{"V", "kV"}, []string{"120 V", "230 V"}, true, 1e9}
	illuminanceUnits = unitTable{"illuminance", map[string]float64{
		"lx": 1, "lux": 1, "fc": LuxPerFootcandle, "footcandle": LuxPerFootcandle, "footcandles": LuxPerFootcandle,
	}, []string{"lx", "fc"}, []string{"500 lx", "45 fc"}, true, 1e9}
	luminanceUnits = unitTable{"luminance", map[string]float64{
		"cd/m2": 1, "nit": 1, "nits": 1, "kcd/m2": 1e3,
	}, []string{"cd/m²", "kcd/m²"}, []string{"6000 cd/m²", "350 nits"}, true, 1e10}
	fluxUnits = unitTable{"luminous flux", map[string]float64{
		"lm": 1, "lumen": 1, "lumens": 1, "klm": 1e3,
	}, []string{"lm", "klm"}, []string{"806 lm", "5200 lm"}, true, 1e9}
	angleUnits = unitTable{"angle", map[string]float64{
		"deg": float64(Degree), "degree": float64(Degree), "degrees": float64(Degree), "°": float64(Degree),
		"rad": 1, "radian": 1, "radians": 1, "mrad": 1e-3,
	}, []string{"deg", "rad"}, []string{"40 deg", "40°", "45-12-34"}, false, 1e6}
)

// ParseMass returns the mass a person typed, in kilograms: kg, g, lb, lbs.
// A number without unit is an *AmbiguousError, anything else that cannot be
// read a *ParseError; so for the other quantities.
func ParseMass(text string, hint Display) (Mass, error) {
	v, err := massUnits.parse(text, hint)
	return Mass(v), err
}

// ParsePower returns active power in watts: W, kW.
func ParsePower(text string, hint Display) (Power, error) {
	v, err := powerUnits.parse(text, hint)
	return Power(v), err
}

// ParseCurrent returns a current in amperes: A, mA, kA.
func ParseCurrent(text string, hint Display) (Current, error) {
	v, err := currentUnits.parse(text, hint)
	return Current(v), err
}

// ParseVoltage returns a voltage in volts: V, kV.
func ParseVoltage(text string, hint Display) (Voltage, error) {
	v, err := voltageUnits.parse(text, hint)
	return Voltage(v), err
}

// ParseIlluminance returns an illuminance in lux: lx, lux, fc.
func ParseIlluminance(text string, hint Display) (Illuminance, error) {
	v, err := illuminanceUnits.parse(text, hint)
	return Illuminance(v), err
}

// ParseLuminance returns a luminance in cd/m²: cd/m², cd/m2, nits.
func ParseLuminance(text string, hint Display) (Luminance, error) {
	v, err := luminanceUnits.parse(text, hint)
	return Luminance(v), err
}

// ParseFlux returns a luminous flux in lumens: lm, klm.
func ParseFlux(text string, hint Display) (LuminousFlux, error) {
	v, err := fluxUnits.parse(text, hint)
	return LuminousFlux(v), err
}

// ParseAngle returns an angle in radians: 40 deg, 40°, 0.7 rad, and degrees,
// minutes and seconds as 45-12-34 or 45°12'34". Negative angles are allowed.
func ParseAngle(text string, hint Display) (Angle, error) {
	if a, ok, err := sexagesimal(text); ok || err != nil {
		return a, err
	}
	v, err := angleUnits.parse(text, hint)
	return Angle(v), err
}

// TypedOf returns what was typed as a quantity, by the parser of its kind; an
// empty text is unknown, an ambiguous one unknown with its text kept, and the
// error is set only for text that cannot be read at all. Lengths keep their
// readings: use TypedLength.
func TypedOf[T ~float64](text string, hint Display, parse func(string, Display) (T, error)) (Typed[T], error) {
	if normalise(text) == "" {
		return Typed[T]{}, nil
	}
	v, err := parse(text, hint)
	if _, ok := err.(*AmbiguousError); ok {
		return Typed[T]{Text: text}, nil
	}
	return Typed[T]{Text: text, Value: v, Set: err == nil}, err
}

func (u *unitTable) parse(text string, hint Display) (float64, error) {
	refuse := func(reason string) (float64, error) {
		return 0, &ParseError{text, u.quantity, reason, u.examples}
	}
	sc := &scanner{s: normalise(text)}
	if sc.done() {
		return refuse("there is no number")
	}
	sign := sc.sign()
	n, reason, ok := sc.number()
	if reason != "" {
		return refuse(reason)
	}
	if !ok {
		return refuse(fmt.Sprintf("%q is not understood", sc.s[sc.pos:]))
	}
	if n.fraction {
		return refuse("fractions are read in lengths only; write a decimal")
	}
	unit := sc.word()
	if !sc.done() {
		return refuse(fmt.Sprintf("%q after it is not understood", sc.s[sc.pos:]))
	}
	if u.nonneg && sign < 0 && n.value != 0 {
		return refuse("it cannot be negative")
	}
	if unit == "" && n.value == 0 {
		return 0, nil
	}
	if unit == "" || n.comma {
		return 0, u.ambiguous(text, n, unit, hint)
	}
	f, ok := u.factors[unit]
	if !ok {
		return refuse(fmt.Sprintf("%q is not a unit of %s", unit, u.quantity))
	}
	v := sign * n.value * f
	if !finite(v) || math.Abs(v) > u.max {
		return refuse("it is far too large")
	}
	return v, nil
}

func (u *unitTable) ambiguous(text string, n number, unit string, hint Display) error {
	e := &AmbiguousError{Text: text, Quantity: u.quantity, Reason: "no unit is given"}
	values, units := []float64{n.value}, u.bare
	if n.comma {
		e.Reason = "the comma may part thousands or decimals"
		values = append(values, n.thousands)
	}
	if unit != "" {
		units = []string{unit}
	} else if hint == US && (u.quantity == "mass" || u.quantity == "illuminance") {
		units = []string{units[1], units[0]}
	}
	for _, v := range values {
		for _, w := range units {
			e.Options = append(e.Options, plain(v)+" "+w)
		}
	}
	return e
}

// sexagesimal reads degrees, minutes and seconds; ok is false when the text is
// not in that form.
func sexagesimal(text string) (Angle, bool, error) {
	sc := &scanner{s: normalise(text)}
	sign := sc.sign()
	var parts []float64
	marks := []string{"°-", "'-", `"`}
	for i := range marks {
		sc.space()
		start := sc.pos
		whole := sc.digits()
		frac := ""
		if i == 2 && sc.accept('.') {
			frac = "." + sc.digits()
		}
		if whole == "" {
			sc.pos = start
			break
		}
		n, _, ok := (&scanner{s: whole + frac}).number()
		if !ok {
			return 0, false, nil
		}
		parts = append(parts, n.value)
		if strings.HasPrefix(sc.s[sc.pos:], "°") {
			if i != 0 {
				return 0, false, nil
			}
			sc.pos += len("°")
		} else if sc.pos < len(sc.s) && strings.IndexByte(marks[i], sc.s[sc.pos]) >= 0 {
			sc.pos++
		}
	}
	if len(parts) < 2 || !sc.done() {
		return 0, false, nil
	}
	for _, p := range parts[1:] {
		if p >= 60 {
			return 0, false, &ParseError{text, "angle", "minutes and seconds must be less than 60", angleUnits.examples}
		}
	}
	v := parts[0] + parts[1]/60
	if len(parts) == 3 {
		v += parts[2] / 3600
	}
	if v*float64(Degree) > angleUnits.max {
		return 0, false, &ParseError{text, "angle", "it is far too large", angleUnits.examples}
	}
	return Angle(sign * v * float64(Degree)), true, nil
}
