package churchfile

import (
	"sort"
	"strings"
	"unicode"

	"google.golang.org/protobuf/reflect/protoreflect"

	"roodbeam/api"
)

// Enum values are written in files by their short lower-case name:
// HANGING_LINE_KIND_TENSION_ROD is tension_rod.

func enumPrefix(ed protoreflect.EnumDescriptor) string {
	var b strings.Builder
	runes := []rune(string(ed.Name()))
	for i, r := range runes {
		startsWord := i > 0 && unicode.IsUpper(r) &&
			(!unicode.IsUpper(runes[i-1]) || (i+1 < len(runes) && unicode.IsLower(runes[i+1])))
		if startsWord {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToUpper(r))
	}
	return b.String() + "_"
}

func shortName(ed protoreflect.EnumDescriptor, v protoreflect.EnumValueDescriptor) string {
	return strings.ToLower(strings.TrimPrefix(string(v.Name()), enumPrefix(ed)))
}

func enumValue(ed protoreflect.EnumDescriptor, text string) protoreflect.EnumValueDescriptor {
	want := strings.ToLower(strings.NewReplacer("-", "_", " ", "_").Replace(text))
	for i := 0; i < ed.Values().Len(); i++ {
		v := ed.Values().Get(i)
		if v.Number() != 0 && (shortName(ed, v) == want || strings.ToLower(string(v.Name())) == want) {
			return v
		}
	}
	return nil
}

func enumNames(ed protoreflect.EnumDescriptor) []string {
	var names []string
	for i := 0; i < ed.Values().Len(); i++ {
		if v := ed.Values().Get(i); v.Number() != 0 {
			names = append(names, shortName(ed, v))
		}
	}
	return names
}

func fieldNames(md protoreflect.MessageDescriptor) string {
	var names []string
	for i := 0; i < md.Fields().Len(); i++ {
		names = append(names, string(md.Fields().Get(i).Name()))
	}
	sort.Strings(names)
	return strings.Join(names, ", ")
}

// suggest names the nearest field when it is near enough to be a slip of the
// pen, else every field.
func suggest(given string, md protoreflect.MessageDescriptor) string {
	var names []string
	for i := range md.Fields().Len() {
		names = append(names, string(md.Fields().Get(i).Name()))
	}
	if near := api.Nearest(given, names); near != "" {
		return near + " (did you mean this?)"
	}
	return fieldNames(md)
}
