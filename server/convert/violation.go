package convert

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"buf.build/go/protovalidate"
	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"roodbeam/api"
	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/si"
)

// Code says of which kind a violation is, for programs.
type Code string

// The kinds of violation.
const (
	BreaksRule Code = "BREAKS_RULE" // a rule of the proto
	Unreadable Code = "UNREADABLE"  // text that is no quantity of its dimension
	Ambiguous  Code = "AMBIGUOUS"   // text that can be read in more than one way
	OutOfRange Code = "OUT_OF_RANGE"
	NotADay    Code = "NOT_A_DAY"
	Duplicate  Code = "DUPLICATE" // a name used twice in one list
	Empty      Code = "EMPTY"     // an element that says nothing
)

// Violation says what is wrong with one field of a request.
type Violation struct {
	// Field is the path from the message that was checked: "survey.lines[2].from.z".
	Field string
	// Code is the kind of violation.
	Code Code
	// Given is the value as given, empty where there was none.
	Given string
	// Reason says what is wrong, without the field and the value: "is out of range".
	Reason string
	// Allowed says what would be accepted: "0 m to 60 m"; may be empty.
	Allowed string
	// Readings are the ways an ambiguous text can be read, as a person would write them.
	Readings []string
}

// Description returns reason, value and what is allowed in one line for people.
func (v Violation) Description() string {
	var b strings.Builder
	if v.Given != "" {
		fmt.Fprintf(&b, "%q ", v.Given)
	}
	b.WriteString(v.Reason)
	if v.Allowed != "" {
		fmt.Fprintf(&b, "; allowed: %s", v.Allowed)
	}
	if len(v.Readings) > 0 {
		fmt.Fprintf(&b, "; write %s", strings.Join(v.Readings, " or "))
	}
	return b.String()
}

// BadRequest returns the violations as the detail of an INVALID_ARGUMENT status.
func BadRequest(vs []Violation) *errdetails.BadRequest {
	return &errdetails.BadRequest{FieldViolations: each(vs, func(v Violation) *errdetails.BadRequest_FieldViolation {
		return &errdetails.BadRequest_FieldViolation{
			Field: v.Field, Description: v.Description(), Reason: string(v.Code)}
	})}
}

// FromValidate returns the violations in an error of protovalidate, one per
// field and kind of rule, and false for any other error.
func FromValidate(err error) ([]Violation, bool) {
	var ve *protovalidate.ValidationError
	if !errors.As(err, &ve) {
		return nil, false
	}
	var out []Violation
	named := map[string]bool{}
	for _, v := range ve.Violations {
		field := protovalidate.FieldPathString(v.Proto.GetField())
		if v.Proto.GetRuleId() == "string.pattern" && named[field] {
			continue // too short or too long was said already
		}
		named[field] = true
		w := inWords(v)
		w.Field, w.Code = field, BreaksRule
		out = append(out, w)
	}
	return out, true
}

// Overlong tells whether an error of protovalidate says that a list is longer
// than it may be: what it holds is then not worth looking through.
func Overlong(err error) bool {
	var ve *protovalidate.ValidationError
	return errors.As(err, &ve) && slices.ContainsFunc(ve.Violations, func(v *protovalidate.Violation) bool {
		return v.Proto.GetRuleId() == "repeated.max_items"
	})
}

// maxGiven bounds how much of a value is sent back.
const maxGiven = 100

// given returns a scalar for people, "" for lists and messages.
func given(fd protoreflect.FieldDescriptor, v protoreflect.Value) string {
	if !v.IsValid() || fd == nil {
		return ""
	}
	switch x := v.Interface().(type) {
	case protoreflect.EnumNumber:
		if w := api.Word(fd.Enum(), x); w != "" {
			return w
		}
		if x == 0 {
			return ""
		}
		return fmt.Sprint(x)
	case string:
		if r := []rune(x); len(r) > maxGiven {
			return string(r[:maxGiven]) + "…"
		}
		return x
	case bool, int32, int64, uint32, uint64, float32, float64:
		return fmt.Sprint(x)
	}
	return ""
}

// AllViolations adds to the violations of protovalidate what Normalise,
// References and more would refuse in the same message, so that whoever sent it
// reads everything at once. more checks what the file of a request holds beside
// that; it may be nil. msg stays as it is. A field already named, or within one
// that is, keeps its first violation.
func AllViolations(msg proto.Message, found []Violation, more func(*roodbeamv1.ChurchFile) []Violation) []Violation {
	units := si.Metric
	type holder interface{ GetFile() *roodbeamv1.ChurchFile }
	msg = proto.Clone(msg)
	m, ok := msg.(holder)
	if ok {
		units = DisplayOf(m.GetFile().GetProject(), m.GetFile().GetBrief())
	}
	rest := Normalise(msg, units)
	if ok {
		rest = append(rest, References(msg, m.GetFile())...)
		if more != nil {
			for _, v := range more(m.GetFile()) {
				v.Field = join("file", v.Field)
				rest = append(rest, v)
			}
		}
	}
	seen := map[string]bool{}
	for _, v := range found {
		seen[v.Field] = true
	}
	for _, v := range rest {
		if !seen[v.Field] {
			found, seen[v.Field] = append(found, v), true
		}
	}
	return found
}
