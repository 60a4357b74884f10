package convert

import (
	"fmt"
	"math"
	"reflect"
	"sort"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/testing/protocmp"
	"pgregory.net/rapid"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/geom"
	"roodbeam/engine/light"
	"roodbeam/engine/scheme"
	"roodbeam/engine/si"
	"roodbeam/engine/survey"
)

func TestEngineDocumentsComeBack(t *testing.T) {
	for _, r := range documentRoots {
		t.Run(r.engine.String(), rapid.MakeCheck(func(t *rapid.T) {
			want := reflect.New(r.engine).Elem()
			fill(t, want, r.api.ProtoReflect().Descriptor())
			m := r.api.ProtoReflect().New()
			encode(want, m)
			got := reflect.New(r.engine).Elem()
			decode(m, got)
			if diff := cmp.Diff(want.Interface(), got.Interface()); diff != "" {
				t.Fatalf("engine → api → engine differs (-want +got):\n%s", diff)
			}
		}))
	}
}

func TestAPIDocumentsComeBack(t *testing.T) {
	for _, r := range documentRoots {
		t.Run(string(r.api.ProtoReflect().Descriptor().Name()), rapid.MakeCheck(func(t *rapid.T) {
			want := r.api.ProtoReflect().New()
			serial := 0
			fillMessage(t, want, &serial)
			v := reflect.New(r.engine).Elem()
			decode(want, v)
			got := r.api.ProtoReflect().New()
			encode(v, got)
			if diff := cmp.Diff(want.Interface(), got.Interface(), protocmp.Transform()); diff != "" {
				t.Fatalf("api → engine → api differs (-want +got):\n%s", diff)
			}
		}))
	}
}

// TestNothingIsLost fills every field of the engine's types and compares all the scalars that arrive, by value
// and number, whatever their names.
func TestNothingIsLost(t *testing.T) {
	for _, r := range append(documentRoots, resultRoots...) {
		t.Run(r.engine.String(), func(t *testing.T) {
			v := reflect.New(r.engine).Elem()
			serial := 0.0
			brim(v, r.api.ProtoReflect().Descriptor(), &serial)
			m := r.api.ProtoReflect().New()
			encode(v, m)
			var want, got []string
			engineScalars(v, &want)
			apiScalars(m, &got)
			sort.Strings(want)
			sort.Strings(got)
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("scalars differ (-engine +api):\n%s", diff)
			}
		})
	}
}

// engineScalars collects numbers and texts; words, truths and times are told apart by their kind alone.
func engineScalars(v reflect.Value, out *[]string) {
	if v.Type() == timeType {
		*out = append(*out, "time")
		return
	}
	if _, ok := numbered[v.Type()]; ok {
		*out = append(*out, "word")
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Type().Field(i)
			if _, carried := apiName(v.Type(), f); !carried || !f.IsExported() {
				continue
			}
			engineScalars(v.Field(i), out)
		}
	case reflect.Pointer:
		engineScalars(v.Elem(), out)
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			engineScalars(v.Index(i), out)
		}
	case reflect.String:
		switch s := v.String(); {
		case s == "":
		case len(s) > 5 && s[:5] == "text ":
			*out = append(*out, s)
		default:
			*out = append(*out, "word")
		}
	case reflect.Bool: // Typed's Set is carried by the value's presence
	case reflect.Float64:
		*out = append(*out, fmt.Sprint(v.Float()))
	default:
		*out = append(*out, "int")
	}
}

func apiScalars(m protoreflect.Message, out *[]string) {
	m.Range(func(fd protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		one := func(v protoreflect.Value) {
			switch x := v.Interface().(type) {
			case protoreflect.Message:
				if fd.Message().FullName() == timestampName {
					*out = append(*out, "time")
					return
				}
				apiScalars(x, out)
			case protoreflect.EnumNumber:
				*out = append(*out, "word")
			case float64:
				*out = append(*out, fmt.Sprint(x))
			case bool:
			case string:
				if x == "2026-11-25" {
					x = "time"
				}
				*out = append(*out, x)
			default:
				*out = append(*out, "int")
			}
		}
		if !fd.IsList() {
			one(v)
			return true
		}
		for i := range v.List().Len() {
			one(v.List().Get(i))
		}
		return true
	})
}

func TestUnknownIsAbsentAndZeroIsNot(t *testing.T) {
	m := Light(light.Report{
		Units:   []light.Unit{{ID: "R1", UpperEdgeM: math.NaN(), ThrowM: 0}},
		Screens: []light.Screen{{Name: "left", SpillPct: math.Inf(1), AverageLx: 3.5}},
	})
	u, s := m.GetUnits()[0], m.GetScreens()[0]
	if u.UpperEdgeM != nil || s.SpillPct != nil {
		t.Errorf("unknown numbers arrive as %v and %v, want absent", u.UpperEdgeM, s.SpillPct)
	}
	if u.ThrowM == nil || s.GetAverageLx() != 3.5 {
		t.Errorf("throw %v, average %v; want 0 and 3.5", u.ThrowM, s.AverageLx)
	}
	p := Placed(scheme.Placed{At: geom.Vec{}})
	if p.GetAt() == nil {
		t.Error("a point at the origin is absent, want present")
	}
}

func TestWhatBecomesOfNil(t *testing.T) {
	if got := SurveyToEngine(nil); !reflect.DeepEqual(got, survey.Survey{}) {
		t.Errorf("a nil survey gives %+v, want an empty one", got)
	}
	if got := SurveyToAPI(survey.Survey{}); proto.Size(got) != 0 {
		t.Errorf("an empty survey gives %v, want an empty message", got)
	}
}

func TestWordsAndDays(t *testing.T) {
	in := &roodbeamv1.Brief{Calendar: &roodbeamv1.Calendar{Start: "2027-02-28",
		Services: []*roodbeamv1.Service{{Name: "morning", Weekday: roodbeamv1.Weekday_WEEKDAY_SUNDAY, Hour: 11}}}}
	b := BriefToEngine(in)
	if want := time.Date(2027, 2, 28, 0, 0, 0, 0, time.UTC); !b.Calendar.Start.Equal(want) {
		t.Errorf("start = %v, want %v", b.Calendar.Start, want)
	}
	if got := b.Calendar.Services[0].Weekday; got != time.Sunday {
		t.Errorf("weekday = %v, want Sunday", got)
	}
	s := SurveyToEngine(&roodbeamv1.Survey{Lines: []*roodbeamv1.HangingLine{
		{Name: "rod near", Kind: roodbeamv1.HangingLineKind_HANGING_LINE_KIND_TENSION_ROD}}})
	if got := s.Lines[0].Kind; got != "tension_rod" {
		t.Errorf("kind = %q, want tension_rod", got)
	}
}

func BenchmarkSurveyToEngine(b *testing.B) {
	s := survey.Survey{}
	for i := range 400 {
		s.Measurements = append(s.Measurements, survey.Measurement{ID: fmt.Sprint(i), Kind: survey.Distance,
			From: "a", To: "b", Value: si.Known(si.Length(i)), Instrument: survey.Laser})
	}
	m := SurveyToAPI(s)
	b.ReportAllocs()
	for b.Loop() {
		SurveyToEngine(m)
	}
}
