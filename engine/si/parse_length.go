package si

import (
	"fmt"
	"math"
	"strconv"
)

// MaxLength is the largest length accepted from people, in metres: far beyond
// any room, so that coordinates of a national grid still pass and nothing
// overflows later.
const MaxLength Length = 1e8

// Units of length, exact by the international yard and pound agreement of 1959
// (NIST SP 811, appendix B.8).
const (
	metre      Length = 1
	centimetre Length = 0.01
	millimetre Length = 0.001
)

var lengthUnits = map[string]Length{
	"m": metre, "metre": metre, "metres": metre, "meter": metre, "meters": metre, "mtr": metre,
	"cm": centimetre, "centimetre": centimetre, "centimetres": centimetre, "centimeter": centimetre, "centimeters": centimetre,
	"mm": millimetre, "millimetre": millimetre, "millimetres": millimetre, "millimeter": millimetre, "millimeters": millimetre,
	"ft": Foot, "foot": Foot, "feet": Foot, "'": Foot,
	"in": Inch, "inch": Inch, "inches": Inch, `"`: Inch, "ins": Inch,
	"yd": Foot * 3, "yard": Foot * 3, "yards": Foot * 3,
}

var lengthExamples = []string{`12' 6 1/2"`, "12 ft 6 in", "3.81 m", "381 cm"}

// ParseLength returns the length a person typed, in metres; negative lengths
// are coordinates. It reads feet, inches and fractions in the forms people use
// (12' 6 1/2", 12ft 6in, 12-6 1/2, 150 1/2", 12.5'), metres, centimetres and
// millimetres with decimal point or comma. Text that has more than one reading
// (no unit, or one comma before three digits) gives an *AmbiguousError with the
// readings, the display's own units first; anything else a *ParseError.
// A bare 0 is zero in every unit and accepted.
//
// Source: forms of writing from common practice; inch and foot exact, NIST SP 811.
func ParseLength(text string, hint Display) (Length, error) {
	l, _, err := parseLength(text, hint)
	return l, err
}

// LengthStep returns the smallest difference the way of writing shows: 1 in for
// 12' 6", half an inch for 12' 6 1/2", 10 mm for 3.81 m. False when the text is
// not a length.
func LengthStep(text string) (Length, bool) {
	_, step, err := parseLength(text, Metric)
	return step, err == nil
}

// TypedLength returns what was typed as a quantity: known, or, when it can be
// read in more than one way, unknown with its readings. Empty text is unknown.
// The error is set only for text that cannot be read at all.
func TypedLength(text string, hint Display) (Typed[Length], error) {
	t := Typed[Length]{Text: text}
	if normalise(text) == "" {
		return Typed[Length]{}, nil
	}
	l, err := ParseLength(text, hint)
	if amb, ok := err.(*AmbiguousError); ok {
		t.Readings = amb.Readings
		return t, nil
	}
	t.Value, t.Set = l, err == nil
	return t, err
}

type lengthTerm struct {
	number
	unit   string
	factor Length
	hyphen bool // joined to the term before it by a hyphen
}

func parseLength(text string, hint Display) (l, step Length, err error) {
	refuse := func(reason string) (Length, Length, error) {
		return 0, 0, &ParseError{text, "length", reason, lengthExamples}
	}
	sc := &scanner{s: normalise(text)}
	sign := Length(sc.sign())
	var terms []lengthTerm
	for !sc.done() {
		t := lengthTerm{}
		if len(terms) > 0 {
			t.hyphen = sc.accept('-')
			if !t.hyphen {
				sc.accept(',')
			}
		}
		n, reason, ok := sc.number()
		if reason != "" {
			return refuse(reason)
		}
		if !ok {
			return refuse(fmt.Sprintf("%q is not understood", sc.s[sc.pos:]))
		}
		t.number, t.unit = n, sc.word()
		if t.unit != "" {
			if t.factor, ok = lengthUnits[t.unit]; !ok {
				return refuse(fmt.Sprintf("%q is not a unit of length", t.unit))
			}
		}
		terms = append(terms, t)
		if len(terms) > 2 {
			return refuse("there are too many numbers")
		}
	}
	switch len(terms) {
	case 0:
		return refuse("there is no number")
	case 1:
		return oneTerm(text, terms[0], sign, hint)
	}
	return twoTerms(text, terms[0], terms[1], sign)
}

func oneTerm(text string, t lengthTerm, sign Length, hint Display) (l, step Length, err error) {
	if t.unit == "" {
		if t.value == 0 {
			return 0, 0, nil
		}
		return 0, 0, bareLength(text, t.number, sign, hint)
	}
	if t.comma {
		return 0, 0, &AmbiguousError{Text: text, Quantity: "length", Reason: "the comma may part thousands or decimals",
			Readings: []Reading[Length]{{sign * Length(t.value) * t.factor, t.unit}, {sign * Length(t.thousands) * t.factor, t.unit}},
			Options:  []string{plain(t.value) + " " + t.unit, plain(t.thousands) + " " + t.unit}}
	}
	return bounded(text, sign*Length(t.value)*t.factor, Length(t.step)*t.factor)
}

func twoTerms(text string, a, b lengthTerm, sign Length) (l, step Length, err error) {
	refuse := func(reason string) (Length, Length, error) {
		return 0, 0, &ParseError{text, "length", reason, lengthExamples}
	}
	if a.comma || b.comma {
		return refuse("the comma may part thousands or decimals; leave it out")
	}
	feetFirst := a.factor == Foot || (a.unit == "" && b.hyphen)
	switch {
	case feetFirst && (b.factor == Inch || b.unit == ""):
		if a.fraction || a.after != "" {
			return refuse("feet before inches must be a whole number")
		}
		if b.value >= 12 {
			return refuse("the inches after feet must be less than 12")
		}
		return bounded(text, sign*(Length(a.value)*Foot+Length(b.value)*Inch), Length(b.step)*Inch)
	case a.factor == metre && (b.factor == centimetre || b.factor == millimetre):
		small := Length(b.value) * b.factor
		if a.fraction || a.after != "" || small >= metre {
			return refuse("metres before a smaller unit must be whole, and the rest less than a metre")
		}
		return bounded(text, sign*(Length(a.value)+small), Length(b.step)*b.factor)
	case a.unit == "":
		return refuse("two numbers stand side by side with no unit between them")
	}
	return refuse("these two units do not go together")
}

func bounded(text string, l, step Length) (Length, Length, error) {
	if !finite(float64(l)) || l > MaxLength || l < -MaxLength {
		return 0, 0, &ParseError{text, "length", "it is far too large", lengthExamples}
	}
	return l, step, nil
}

// bareLength lists what a number without unit may mean.
func bareLength(text string, n number, sign Length, hint Display) error {
	e := &AmbiguousError{Text: text, Quantity: "length", Reason: "no unit is given"}
	add := func(v Length, as, option string) {
		if finite(float64(v)) && v <= MaxLength && v >= -MaxLength {
			e.Readings = append(e.Readings, Reading[Length]{sign * v, as})
			e.Options = append(e.Options, option)
		}
	}
	values := []float64{n.value}
	if n.comma {
		values = append(values, n.thousands)
	}
	metric := func() {
		if n.fraction {
			return
		}
		for _, v := range values {
			add(Length(v), "m", plain(v)+" m")
			add(Length(v)*centimetre, "cm", plain(v)+" cm")
			add(Length(v)*millimetre, "mm", plain(v)+" mm")
		}
	}
	imperial := func() {
		for _, v := range values {
			add(Length(v)*Foot, "ft", plain(v)+" ft")
		}
		if in, ok := n.inchesBehindPoint(); ok {
			feet, _ := strconv.ParseFloat(n.whole, 64)
			add(Length(feet)*Foot+Length(in)*Inch, "ft-in", fmt.Sprintf("%s ft %d in", plain(feet), in))
		}
		for _, v := range values {
			add(Length(v)*Inch, "in", plain(v)+" in")
		}
	}
	if hint == US {
		imperial()
		metric()
	} else {
		metric()
		imperial()
	}
	if len(e.Readings) == 0 {
		return &ParseError{text, "length", "it is far too large", lengthExamples}
	}
	return e
}

// inchesBehindPoint returns the inches of "11.10" or "9.5" when feet and inches
// were written with a point between them.
func (n number) inchesBehindPoint() (int, bool) {
	if n.whole == "" || n.after == "" || len(n.after) > 2 {
		return 0, false
	}
	in, err := strconv.Atoi(n.after)
	return in, err == nil && in < 12
}

// plain writes a number without exponent or superfluous zeros.
func plain(v float64) string {
	if v == math.Trunc(v) && math.Abs(v) < 1e15 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
