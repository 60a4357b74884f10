package convert

import (
	"fmt"
	"reflect"
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/enginetest/sample"
	"roodbeam/engine/room"
)

// TestNoWordIsLost: a word of the engine that its enum does not have would arrive as unspecified.
func TestNoWordIsLost(t *testing.T) {
	in := sample.MeetingHouse()
	check := func(v any, m protoreflect.ProtoMessage) {
		t.Helper()
		for _, lost := range lostWords(reflect.ValueOf(v), m.ProtoReflect().Descriptor()) {
			t.Error(lost)
		}
	}
	check(in.Survey, &roodbeamv1.Survey{})
	check(in.Brief, &roodbeamv1.Brief{})
	check(in.Scheme, &roodbeamv1.Scheme{})
	check(in.Room, &roodbeamv1.Room{})
	check(in.Light, &roodbeamv1.LightReport{})
	check(in.Load, &roodbeamv1.LoadPlan{})
	check(in.Hanging, &roodbeamv1.HangingPlan{})
	check(in.Network, &roodbeamv1.NetworkPlan{})
	check(in.Presets, &roodbeamv1.PresetSet{})
	check(in.Estimate, &roodbeamv1.Estimate{})
	check(in.Phases, &roodbeamv1.PhasePlan{})
	for _, l := range in.Lines {
		check(l, &roodbeamv1.LineRow{})
	}
	for _, p := range in.Placed {
		check(p, &roodbeamv1.Placed{})
	}
}

func TestLostWordsAreFound(t *testing.T) {
	r := room.Room{Surfaces: []room.Surface{{Name: "a", Kind: "wall"}, {Name: "b", Kind: "curtain"}}}
	got := lostWords(reflect.ValueOf(r), (&roodbeamv1.Room{}).ProtoReflect().Descriptor())
	if len(got) != 1 {
		t.Errorf("lost words %q, want the one of surface b", got)
	}
}

// lostWords returns the words in v that have no value in their enums.
func lostWords(v reflect.Value, d protoreflect.MessageDescriptor) []string {
	var out []string
	for _, p := range pairs(v.Type(), d) {
		f := v.Field(p.index)
		if p.field.IsList() && f.Kind() == reflect.Slice {
			for i := range f.Len() {
				out = append(out, lostIn(f.Index(i), p.field)...)
			}
			continue
		}
		out = append(out, lostIn(f, p.field)...)
	}
	return out
}

func lostIn(v reflect.Value, fd protoreflect.FieldDescriptor) []string {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return nil
		}
		v = v.Elem()
	}
	switch {
	case fd.Kind() == protoreflect.EnumKind && v.Kind() == reflect.String:
		if v.String() != "" && number(fd.Enum(), v.String()) == 0 {
			return []string{fmt.Sprintf("%s has no value for %q", fd.FullName(), v.String())}
		}
	case fd.Message() != nil && v.Kind() == reflect.Struct && v.Type() != timeType && !isQuantity(fd):
		return lostWords(v, fd.Message())
	}
	return nil
}
