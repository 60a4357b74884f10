package convert

import (
	"reflect"
	"strings"
	"time"

	"google.golang.org/protobuf/reflect/protoreflect"

	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// numbered are the engine's integer kinds that are enums in the API, with what is added to get the API's number.
var numbered = map[reflect.Type]protoreflect.EnumNumber{
	reflect.TypeFor[time.Weekday]():     1,
	reflect.TypeFor[si.Display]():       1,
	reflect.TypeFor[finding.Severity](): 0,
}

// Word returns an enum value's short lower-case name, which is the engine's word for it and what people write
// in files: HANGING_LINE_KIND_TENSION_ROD → "tension_rod". Unspecified and unknown numbers give "".
func Word(e protoreflect.Enum) string { return word(e.Descriptor(), e.Number()) }

func word(d protoreflect.EnumDescriptor, n protoreflect.EnumNumber) string {
	v := d.Values().ByNumber(n)
	if v == nil || n == 0 {
		return ""
	}
	return strings.ToLower(strings.TrimPrefix(string(v.Name()), prefix(d)))
}

// number returns the enum value of a word, 0 for one the enum does not have. Spaces and hyphens count as
// underscores: "fire-alarm contractor".
func number(d protoreflect.EnumDescriptor, w string) protoreflect.EnumNumber {
	w = strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToUpper(strings.TrimSpace(w)))
	if v := d.Values().ByName(protoreflect.Name(prefix(d) + w)); v != nil {
		return v.Number()
	}
	return 0
}

// prefix is what every value's name begins with: the enum's name in upper snake case.
func prefix(d protoreflect.EnumDescriptor) string {
	return strings.ToUpper(snake(string(d.Name()))) + "_"
}
