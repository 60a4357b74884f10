package convert

import (
	"strings"

	"buf.build/go/protovalidate"

	"roodbeam/api"
)

// patternWords say what a pattern of the protos wants: expressions are for
// programs.
var patternWords = map[string]string{
	`^(L[123](-L[123])?)?$`: "a line conductor, L1, L2 or L3, or two of them as L1-L2",
	`^([0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12})?$`: "an id of 32 digits and letters a to f in small letters, such as " + exampleID,
	`^([A-Z]{3})?$`: "an ISO 4217 code of three capital letters, such as USD or EUR",
	`^([A-Za-z0-9_+-]+(/[A-Za-z0-9_+-]+){0,2})?$`: "a time zone of the IANA database, such as Europe/Lisbon or America/Chicago",
	`^(\S(.*\S)?)?$`:          "a text that does not begin or end with a space",
	`^\S(.*\S)?$`:             "a text that does not begin or end with a space",
	`^[0-9a-f]{64}$`:          "a SHA-256 in hexadecimal: 64 digits and letters a to f in small letters",
	`^[A-Z]?$`:                "one capital letter, such as A, or nothing",
	`^[A-Z]{1,2}[0-9]{1,2}$`:  "a sheet's code: one or two capital letters and a number, such as P8",
	`^[A-Za-z0-9._:-]{0,64}$`: "an id of at most 64 letters, digits and the signs . _ : and -, such as m12",
	`^[a-z][a-z0-9-]{0,39}$`:  "a word of at most 40 small letters, digits and -, such as bell-rope",
	`^q-[0-9a-f]{12}$`:        "a question's id as the list of questions gives it, such as q-0123456789ab",
}

const exampleID = "01a2130a-b2e3-7b18-9460-293260c1787f"

// inWords says in plain words what a broken rule wants.
func inWords(v *protovalidate.Violation) Violation {
	out := Violation{Given: given(v.FieldDescriptor, v.FieldValue), Reason: v.Proto.GetMessage()}
	rule := v.Proto.GetRuleId()
	switch {
	case rule == "string.pattern":
		text := v.FieldValue.String()
		switch {
		case text == "":
			out.Reason = "is missing"
		case strings.TrimSpace(text) != text:
			out.Reason = "must not begin or end with a space"
		default:
			out.Reason, out.Allowed = "is not of the form wanted here", patternWords[v.RuleValue.String()]
		}
	case rule == "required", rule == "string.min_len" && out.Given == "":
		out.Reason = "is missing"
	case strings.HasPrefix(rule, "string.uuid"):
		out.Reason, out.Allowed = "is not of the form wanted here", "an id such as "+exampleID
	case rule == "enum.defined_only", rule == "enum.not_in":
		out.Reason = "is not one of the words this field knows"
		if v.FieldValue.IsValid() && v.FieldValue.Enum() == 0 {
			out.Reason = "is missing"
		}
		if fd := v.FieldDescriptor; fd != nil && fd.Enum() != nil {
			out.Allowed = strings.Join(api.Words(fd.Enum()), ", ")
		}
	case strings.HasSuffix(rule, ".finite"):
		out.Reason = "must be a finite number"
	case strings.HasPrefix(out.Reason, "value "):
		out.Reason = strings.TrimPrefix(out.Reason, "value ")
	}
	return out
}
