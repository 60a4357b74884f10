package convert

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/si"
)

// dimension is how text of one dimension is read and values are shown.
type dimension struct {
	parse func(text string, hint si.Display) (float64, error)
	show  func(v float64, d si.Display) string
}

var dimensions = map[optionsv1.Dimension]dimension{
	optionsv1.Dimension_DIMENSION_LENGTH: {parser(si.ParseLength),
		func(v float64, d si.Display) string { return si.FormatBoth(si.Length(v), d) }},
	optionsv1.Dimension_DIMENSION_MASS: {parser(si.ParseMass),
		func(v float64, d si.Display) string { return si.FormatMass(si.Mass(v), d) }},
	optionsv1.Dimension_DIMENSION_ILLUMINANCE: {parser(si.ParseIlluminance),
		func(v float64, d si.Display) string { return si.FormatIlluminance(si.Illuminance(v), d) }},
	optionsv1.Dimension_DIMENSION_ANGLE: {parser(si.ParseAngle),
		func(v float64, _ si.Display) string { return number6(si.Angle(v).Degrees()) + "°" }},
	optionsv1.Dimension_DIMENSION_POWER:     {parser(si.ParsePower), shownIn("W")},
	optionsv1.Dimension_DIMENSION_CURRENT:   {parser(si.ParseCurrent), shownIn("A")},
	optionsv1.Dimension_DIMENSION_VOLTAGE:   {parser(si.ParseVoltage), shownIn("V")},
	optionsv1.Dimension_DIMENSION_LUMINANCE: {parser(si.ParseLuminance), shownIn("cd/m²")},
	optionsv1.Dimension_DIMENSION_FLUX:      {parser(si.ParseFlux), shownIn("lm")},
	optionsv1.Dimension_DIMENSION_FORCE:     {parser(si.ParseForce), shownIn("N")},
	optionsv1.Dimension_DIMENSION_STRESS:    {parser(si.ParseStress), shownIn("Pa")},
}

func parser[T ~float64](f func(string, si.Display) (T, error)) func(string, si.Display) (float64, error) {
	return func(text string, hint si.Display) (float64, error) {
		v, err := f(text, hint)
		return float64(v), err
	}
}

func shownIn(unit string) func(float64, si.Display) string {
	return func(v float64, _ si.Display) string { return number6(v) + " " + unit }
}

// number6 returns v with at most six significant digits: more than anyone types.
func number6(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// Show returns a value in the SI unit of the dimension for people, "" for an unknown dimension.
func Show(dim optionsv1.Dimension, valueSI float64, display si.Display) string {
	d, ok := dimensions[dim]
	if !ok {
		return ""
	}
	return d.show(valueSI, display)
}

// Read returns how a text of the dimension is read. The violation, with an empty Field, says why it has no
// value: one of code Ambiguous offers its readings as a person would write them, and an ambiguous length has
// them in the quantity too.
func Read(dim optionsv1.Dimension, text string, units si.Display) (*roodbeamv1.Quantity, *Violation) {
	q := &roodbeamv1.Quantity{Typed: text}
	v := read(q, dim, units)
	return q, v
}

// ReadingsShown returns the readings of an ambiguous length for people.
func ReadingsShown(q *roodbeamv1.Quantity, units si.Display) []string {
	return each(q.GetReadings(), func(r *roodbeamv1.QuantityReading) string {
		return fmt.Sprintf("%s (read as %s)", si.FormatBoth(si.Length(r.GetValueSi()), units), r.GetAs())
	})
}

// read fills the quantity from its text.
func read(q *roodbeamv1.Quantity, dim optionsv1.Dimension, units si.Display) *Violation {
	q.ValueSi, q.Readings = nil, nil
	d, ok := dimensions[dim]
	if !ok {
		return &Violation{Code: Unreadable, Given: q.GetTyped(), Reason: "is a quantity without a dimension"}
	}
	x, err := d.parse(q.GetTyped(), units)
	var ambiguous *si.AmbiguousError
	var refused *si.ParseError
	switch {
	case err == nil:
		q.ValueSi = proto.Float64(x)
		return nil
	case errors.As(err, &ambiguous):
		q.Readings = each(ambiguous.Readings, func(r si.Reading[si.Length]) *roodbeamv1.QuantityReading {
			return &roodbeamv1.QuantityReading{ValueSi: float64(r.Value), As: r.As}
		})
		return &Violation{Code: Ambiguous, Given: q.GetTyped(),
			Reason: "can be read in more than one way: " + ambiguous.Reason, Readings: ambiguous.Options}
	case errors.As(err, &refused):
		return &Violation{Code: Unreadable, Given: q.GetTyped(), Reason: "is not " + article(refused.Quantity) + refused.Quantity + ": " + refused.Reason,
			Allowed: "for example " + strings.Join(refused.Examples, " or ")}
	}
	return &Violation{Code: Unreadable, Given: q.GetTyped(), Reason: err.Error()}
}

// quantity reads one quantity field and holds it against its range.
func (n *normaliser) quantity(q *roodbeamv1.Quantity, fd protoreflect.FieldDescriptor, path string) {
	rule := proto.GetExtension(fd.Options(), optionsv1.E_Quantity).(*optionsv1.QuantityRule)
	if strings.TrimSpace(q.GetTyped()) == "" {
		q.Typed, q.Readings = "", nil
	} else if v := read(q, rule.GetDimension(), n.units); v != nil {
		if len(q.GetReadings()) == 0 || !rule.GetAmbiguousAllowed() {
			v.Field = path
			n.add(*v)
		}
		return
	}
	if q.ValueSi == nil {
		return
	}
	// Written so that NaN is out of every range.
	x := q.GetValueSi()
	if !(rule.Min == nil || x >= rule.GetMin()) || !(rule.Max == nil || x <= rule.GetMax()) || math.IsNaN(x) || math.IsInf(x, 0) {
		shown := q.GetTyped()
		if shown == "" {
			shown = number6(x)
		}
		n.add(Violation{Field: path, Code: OutOfRange, Given: shown, Reason: "is out of range", Allowed: rangeOf(rule, n.units)})
	}
}

// rangeOf returns a rule's range for people: "0 to 60 m".
func rangeOf(rule *optionsv1.QuantityRule, units si.Display) string {
	show := func(x float64) string { return Show(rule.GetDimension(), x, units) }
	switch {
	case rule.Min != nil && rule.Max != nil:
		return show(rule.GetMin()) + " to " + show(rule.GetMax())
	case rule.Min != nil:
		return show(rule.GetMin()) + " or more"
	case rule.Max != nil:
		return show(rule.GetMax()) + " or less"
	}
	return "a finite number"
}

func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an "
	}
	return "a "
}
