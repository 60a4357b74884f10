package convert

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/testing/protocmp"
	"pgregory.net/rapid"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
)

// TestFeaturesMakeUpTheSurvey takes a survey apart into features, puts them together again, and takes each out.
func TestFeaturesMakeUpTheSurvey(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := &roodbeamv1.Survey{}
		serial := 0
		fillMessage(t, want.ProtoReflect(), &serial)
		want.Measurements, want.Photos = nil, nil // no features
		for i, f := range want.Finishes {
			f.Surface = string(rune('a' + i))
		}
		for i, h := range want.Hazards {
			h.Where = string(rune('a' + i))
		}
		got := &roodbeamv1.Survey{}
		features := Features(proto.Clone(want).(*roodbeamv1.Survey))
		for range 2 { // the second time replaces
			for _, f := range features {
				PutFeature(got, f)
			}
		}
		if diff := cmp.Diff(want, got, protocmp.Transform()); diff != "" {
			t.Fatalf("survey → features → survey differs (-want +got):\n%s", diff)
		}
		for _, f := range features {
			kind, name := FeatureKey(f)
			if !RemoveFeature(got, kind, name) {
				t.Fatalf("%v %q is not there", kind, name)
			}
			if RemoveFeature(got, kind, name) {
				t.Fatalf("%v %q is there twice", kind, name)
			}
		}
		if proto.Size(got) > 0 {
			t.Fatalf("left over: %v", got)
		}
	})
}

// TestEveryPartOfTheSurveyIsAFeature holds the kinds, the features and the survey's fields against each other.
func TestEveryPartOfTheSurveyIsAFeature(t *testing.T) {
	features := (&roodbeamv1.Feature{}).ProtoReflect().Descriptor().Fields()
	kinds := roodbeamv1.FeatureKind(0).Descriptor()
	covered := map[protoreflect.Name]bool{"measurements": true, "photos": true}
	for i := range features.Len() {
		name := features.Get(i).Name()
		if number(kinds, string(name)) == 0 {
			t.Errorf("feature %s has no kind", name)
		}
		field, _ := surveyField(name)
		if field == nil {
			t.Errorf("feature %s has no place in the survey", name)
			continue
		}
		covered[field.Name()] = true
	}
	if got, want := kinds.Values().Len()-1, features.Len(); got != want {
		t.Errorf("%d kinds, %d features", got, want)
	}
	fields := (&roodbeamv1.Survey{}).ProtoReflect().Descriptor().Fields()
	for i := range fields.Len() {
		if name := fields.Get(i).Name(); !covered[name] {
			t.Errorf("the survey's %s cannot be put as a feature", name)
		}
	}
}

func TestFeatureKey(t *testing.T) {
	for _, c := range []struct {
		f    *roodbeamv1.Feature
		kind roodbeamv1.FeatureKind
		name string
	}{
		{&roodbeamv1.Feature{}, roodbeamv1.FeatureKind_FEATURE_KIND_UNSPECIFIED, ""},
		{&roodbeamv1.Feature{Kind: &roodbeamv1.Feature_Ceiling{Ceiling: &roodbeamv1.Ceiling{}}},
			roodbeamv1.FeatureKind_FEATURE_KIND_CEILING, ""},
		{&roodbeamv1.Feature{Kind: &roodbeamv1.Feature_Line{Line: &roodbeamv1.HangingLine{Name: "W1"}}},
			roodbeamv1.FeatureKind_FEATURE_KIND_LINE, "W1"},
		{&roodbeamv1.Feature{Kind: &roodbeamv1.Feature_Dimmer{Dimmer: &roodbeamv1.Dimmer{Channel: "D4"}}},
			roodbeamv1.FeatureKind_FEATURE_KIND_DIMMER, "D4"},
		{&roodbeamv1.Feature{Kind: &roodbeamv1.Feature_Finish{Finish: &roodbeamv1.Finish{Surface: "walls"}}},
			roodbeamv1.FeatureKind_FEATURE_KIND_FINISH, "walls/existing"},
		{&roodbeamv1.Feature{Kind: &roodbeamv1.Feature_Hazard{Hazard: &roodbeamv1.Hazard{
			Kind: roodbeamv1.HazardKind_HAZARD_KIND_BATS, Where: "loft"}}},
			roodbeamv1.FeatureKind_FEATURE_KIND_HAZARD, "bats/loft"},
	} {
		if kind, name := FeatureKey(c.f); kind != c.kind || name != c.name {
			t.Errorf("FeatureKey(%v) = %v, %q, want %v, %q", c.f, kind, name, c.kind, c.name)
		}
	}
}
