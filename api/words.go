package api

import (
	"strings"
	"unicode"

	"google.golang.org/protobuf/reflect/protoreflect"
)

// Word returns the short lower-case name of an enum value, as people write it in files and as the engine calls
// it: HANGING_LINE_KIND_TENSION_ROD is "tension_rod". Unspecified and undefined numbers give "".
func Word(d protoreflect.EnumDescriptor, n protoreflect.EnumNumber) string {
	v := d.Values().ByNumber(n)
	if v == nil || n == 0 {
		return ""
	}
	return strings.ToLower(strings.TrimPrefix(string(v.Name()), prefix(d)))
}

// Number returns the enum value of a word, in any case, spaces and hyphens as underscores; false when the enum
// has no such word. An empty word is unspecified.
func Number(d protoreflect.EnumDescriptor, word string) (protoreflect.EnumNumber, bool) {
	w := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToUpper(strings.TrimSpace(word)))
	if w == "" {
		return 0, true
	}
	v := d.Values().ByName(protoreflect.Name(prefix(d) + w))
	if v == nil || v.Number() == 0 {
		return 0, false
	}
	return v.Number(), true
}

// Words returns every word of an enum in the order of its numbers, for messages that say what is allowed.
func Words(d protoreflect.EnumDescriptor) []string {
	var out []string
	for i := range d.Values().Len() {
		if w := Word(d, d.Values().Get(i).Number()); w != "" {
			out = append(out, w)
		}
	}
	return out
}

// prefix is what every value's name begins with: the enum's name in upper snake case.
func prefix(d protoreflect.EnumDescriptor) string {
	var b strings.Builder
	for i, r := range string(d.Name()) {
		if i > 0 && unicode.IsUpper(r) {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToUpper(r))
	}
	return b.String() + "_"
}
