package convert

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/brief"
	"roodbeam/engine/catalogue"
	"roodbeam/engine/cost"
	"roodbeam/engine/daylight"
	"roodbeam/engine/electrical"
	"roodbeam/engine/finding"
	"roodbeam/engine/hanging"
	"roodbeam/engine/light"
	"roodbeam/engine/network"
	"roodbeam/engine/phase"
	"roodbeam/engine/photometry"
	"roodbeam/engine/preset"
	"roodbeam/engine/region"
	"roodbeam/engine/room"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

// root is an engine type with the message that carries it.
type root struct {
	engine reflect.Type
	api    proto.Message
}

var documentRoots = []root{
	{reflect.TypeFor[survey.Survey](), &roodbeamv1.Survey{}},
	{reflect.TypeFor[brief.Brief](), &roodbeamv1.Brief{}},
	{reflect.TypeFor[scheme.Scheme](), &roodbeamv1.Scheme{}},
	{reflect.TypeFor[catalogue.Fixture](), &roodbeamv1.Fixture{}},
	{reflect.TypeFor[cost.Price](), &roodbeamv1.Price{}},
}

var resultRoots = []root{
	{reflect.TypeFor[room.Room](), &roodbeamv1.Room{}},
	{reflect.TypeFor[scheme.Placed](), &roodbeamv1.Placed{}},
	{reflect.TypeFor[scheme.LineRow](), &roodbeamv1.LineRow{}},
	{reflect.TypeFor[light.Report](), &roodbeamv1.LightReport{}},
	{reflect.TypeFor[daylight.Report](), &roodbeamv1.DaylightReport{}},
	{reflect.TypeFor[light.LookReport](), &roodbeamv1.LookLight{}},
	{reflect.TypeFor[electrical.Plan](), &roodbeamv1.LoadPlan{}},
	{reflect.TypeFor[hanging.Plan](), &roodbeamv1.HangingPlan{}},
	{reflect.TypeFor[network.Plan](), &roodbeamv1.NetworkPlan{}},
	{reflect.TypeFor[preset.Set](), &roodbeamv1.PresetSet{}},
	{reflect.TypeFor[cost.Estimate](), &roodbeamv1.Estimate{}},
	{reflect.TypeFor[phase.Plan](), &roodbeamv1.PhasePlan{}},
	{reflect.TypeFor[region.Profile](), &roodbeamv1.RegionProfile{}},
	{reflect.TypeFor[photometry.File](), &roodbeamv1.Photometry{}},
}

// TestEveryFieldHasAPlace fails for an engine field the API does not carry, and for an API field no engine
// field fills.
func TestEveryFieldHasAPlace(t *testing.T) {
	for _, r := range append(documentRoots, resultRoots...) {
		seen := map[string]bool{}
		for _, gap := range gaps(r.engine, r.api.ProtoReflect().Descriptor(), seen) {
			t.Error(gap)
		}
	}
}

func gaps(t reflect.Type, d protoreflect.MessageDescriptor, seen map[string]bool) []string {
	at := fmt.Sprintf("%s ↔ %s", t, d.Name())
	if seen[at] {
		return nil
	}
	seen[at] = true
	var out []string
	filled := map[protoreflect.Name]bool{}
	for i := range t.NumField() {
		f := t.Field(i)
		name, ok := apiName(t, f)
		if !ok || !f.IsExported() {
			continue
		}
		fd := d.Fields().ByName(protoreflect.Name(name))
		if fd == nil {
			out = append(out, fmt.Sprintf("%s: %s has no field %s", at, f.Name, name))
			continue
		}
		filled[fd.Name()] = true
		out = append(out, fits(f.Type, fd, at+"."+name, seen)...)
	}
	for i := range d.Fields().Len() {
		if fd := d.Fields().Get(i); !filled[fd.Name()] {
			out = append(out, fmt.Sprintf("%s: nothing fills %s", at, fd.Name()))
		}
	}
	return out
}

// fits tells whether values of the engine type can stand in the API field.
func fits(t reflect.Type, fd protoreflect.FieldDescriptor, at string, seen map[string]bool) []string {
	wrong := []string{fmt.Sprintf("%s: %s does not go with %s", at, t, fd.Kind())}
	if fd.IsList() {
		if t.Kind() != reflect.Slice && t.Kind() != reflect.Array {
			return wrong
		}
		for t = t.Elem(); t.Kind() == reflect.Array; {
			t = t.Elem()
		}
	} else if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch fd.Kind() {
	case protoreflect.MessageKind:
		switch {
		case t == timeType && fd.Message().FullName() == timestampName:
			return nil
		case isQuantity(fd):
			if !strings.HasPrefix(t.Name(), "Typed[") {
				return wrong
			}
			return dimensionFits(t, fd, at)
		case t.Kind() == reflect.Slice && !fd.IsList():
			return fits(t, fd.Message().Fields().Get(0), at, seen)
		case t.Kind() == reflect.Slice: // a list of polygons
			return fits(t, fd.Message().Fields().Get(0), at, seen)
		case t.Kind() == reflect.Struct && t != timeType:
			return gaps(t, fd.Message(), seen)
		}
		return wrong
	case protoreflect.EnumKind:
		_, isNumbered := numbered[t]
		return unless(isNumbered || t.Kind() == reflect.String, wrong)
	case protoreflect.DoubleKind:
		return unless(t.Kind() == reflect.Float64, wrong)
	case protoreflect.Int32Kind:
		return unless(t.Kind() == reflect.Int, wrong)
	case protoreflect.Int64Kind:
		return unless(t.Kind() == reflect.Int64, wrong)
	case protoreflect.Uint64Kind:
		return unless(t.Kind() == reflect.Uint64, wrong)
	case protoreflect.BoolKind:
		return unless(t.Kind() == reflect.Bool, wrong)
	case protoreflect.StringKind:
		isDay := proto.GetExtension(fd.Options(), optionsv1.E_Date).(bool)
		return unless(isDay == (t == timeType) && (isDay || t.Kind() == reflect.String), wrong)
	}
	return wrong
}

func unless(ok bool, wrong []string) []string {
	if ok {
		return nil
	}
	return wrong
}

var typedDimensions = map[reflect.Type]optionsv1.Dimension{
	reflect.TypeFor[si.Typed[si.Angle]]():        optionsv1.Dimension_DIMENSION_ANGLE,
	reflect.TypeFor[si.Typed[si.Length]]():       optionsv1.Dimension_DIMENSION_LENGTH,
	reflect.TypeFor[si.Typed[si.Mass]]():         optionsv1.Dimension_DIMENSION_MASS,
	reflect.TypeFor[si.Typed[si.Power]]():        optionsv1.Dimension_DIMENSION_POWER,
	reflect.TypeFor[si.Typed[si.Current]]():      optionsv1.Dimension_DIMENSION_CURRENT,
	reflect.TypeFor[si.Typed[si.Voltage]]():      optionsv1.Dimension_DIMENSION_VOLTAGE,
	reflect.TypeFor[si.Typed[si.Illuminance]]():  optionsv1.Dimension_DIMENSION_ILLUMINANCE,
	reflect.TypeFor[si.Typed[si.Luminance]]():    optionsv1.Dimension_DIMENSION_LUMINANCE,
	reflect.TypeFor[si.Typed[si.LuminousFlux]](): optionsv1.Dimension_DIMENSION_FLUX,
}

// dimensionFits holds the option of a Quantity against the engine's type; a result may go without the option.
func dimensionFits(t reflect.Type, fd protoreflect.FieldDescriptor, at string) []string {
	rule := proto.GetExtension(fd.Options(), optionsv1.E_Quantity).(*optionsv1.QuantityRule)
	want, known := typedDimensions[t]
	if !known || (rule != nil && rule.GetDimension() != want) {
		return []string{fmt.Sprintf("%s: dimension %s, want %s", at, rule.GetDimension(), want)}
	}
	return nil
}

// TestWordsHaveNumbers holds the engine's named words against the enums.
func TestWordsHaveNumbers(t *testing.T) {
	words := map[protoreflect.Enum][]string{
		roodbeamv1.FeatureState(0): {string(survey.Existing), string(survey.Planned), string(survey.Removed)},
		roodbeamv1.MeasurementKind(0): {string(survey.Distance), string(survey.Horizontal), string(survey.Height),
			string(survey.Rise), string(survey.OffsetX), string(survey.OffsetY), string(survey.Square),
			string(survey.SameHeight), string(survey.Slope), string(survey.Angle), string(survey.Offset),
			string(survey.Parallel), string(survey.Drawn)},
		roodbeamv1.Instrument(0): {string(survey.SteelTape), string(survey.FibreTape), string(survey.Laser),
			string(survey.PhoneAR), string(survey.Clinometer), string(survey.Counted), string(survey.Drawing),
			string(survey.Guess), string(survey.LaserEitherEnd), string(survey.PhoneLidar), string(survey.CountedTiles)},
		roodbeamv1.Purpose(0): {string(scheme.FrontWash), string(scheme.Fill), string(scheme.BackLight),
			string(scheme.WallWash), string(scheme.Accent), string(scheme.HouseLight)},
		roodbeamv1.FixtureClass(0): {string(catalogue.Ellipsoidal), string(catalogue.Fresnel), string(catalogue.PAR),
			string(catalogue.Wash), string(catalogue.LinearWash), string(catalogue.MovingWash),
			string(catalogue.MovingSpot), string(catalogue.Downlight), string(catalogue.Pendant),
			string(catalogue.Sconce), string(catalogue.Lamp)},
		roodbeamv1.FindingOwner(0): {string(finding.Designer), string(finding.Volunteer), string(finding.Electrician),
			string(finding.Engineer), string(finding.Rigger), string(finding.FireAlarm), string(finding.LiftHire),
			string(finding.Hazards), string(finding.Leadership)},
		roodbeamv1.ArgKind(0): {string(finding.KindLength), string(finding.KindAngle), string(finding.KindLux),
			string(finding.KindMass), string(finding.KindMoney), string(finding.KindPercent),
			string(finding.KindNumber), string(finding.KindCount), string(finding.KindText)},
		roodbeamv1.Severity(0): {finding.Note.String(), finding.Warn.String(), finding.Stop.String()},
	}
	for e, list := range words {
		d := e.Descriptor()
		for _, w := range list {
			if number(d, w) == 0 {
				t.Errorf("%s has no value for %q", d.Name(), w)
			}
		}
		if got, want := d.Values().Len(), len(list)+1; got != want {
			t.Errorf("%s has %d values, the engine has %d words", d.Name(), got, want-1)
		}
	}
	for _, s := range []finding.Severity{finding.Note, finding.Warn, finding.Stop} {
		if got := Word(roodbeamv1.Severity(s)); got != s.String() {
			t.Errorf("severity %d is %q in the API, want %q", s, got, s)
		}
	}
}
