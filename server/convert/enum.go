package convert

import (
	"reflect"
	"time"

	"google.golang.org/protobuf/reflect/protoreflect"

	"roodbeam/api"
	"roodbeam/engine/finding"
	"roodbeam/engine/si"
)

// numbered are the engine's integer kinds that are enums in the API, with what is added to get the API's number.
var numbered = map[reflect.Type]protoreflect.EnumNumber{
	reflect.TypeFor[time.Weekday]():     1,
	reflect.TypeFor[si.Display]():       1,
	reflect.TypeFor[finding.Severity](): 0,
}

// Word returns the engine's word for an enum value: "tension_rod". Unspecified gives "".
func Word(e protoreflect.Enum) string { return api.Word(e.Descriptor(), e.Number()) }

// number returns the enum value of the engine's word, 0 for one the enum does not have.
func number(d protoreflect.EnumDescriptor, word string) protoreflect.EnumNumber {
	n, _ := api.Number(d, word)
	return n
}
