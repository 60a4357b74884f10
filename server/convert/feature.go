package convert

import (
	"google.golang.org/protobuf/reflect/protoreflect"

	roodbeamv1 "roodbeam/api/gen/roodbeam/v1"
)

// The features of a survey are the fields of the Feature message. Each stands in the survey under its own name
// (one of a kind) or, in a list, under the name below.
var featureLists = map[protoreflect.Name]protoreflect.Name{
	"station":        "stations",
	"level":          "levels",
	"line":           "lines",
	"gallery":        "galleries",
	"solid":          "solids",
	"screen":         "screens",
	"window":         "windows",
	"seating_block":  "seating",
	"eye":            "eyes",
	"gloss":          "glosses",
	"finish":         "finishes",
	"existing_light": "existing_lights",
	"dimmer":         "dimmers",
	"panel":          "panels",
	"data_place":     "data_places",
	"route":          "routes",
	"hazard":         "hazards",
	"sun_check":      "sun",
	"old_control":    "old_controls",
	"wall":           "walls",
	"view":           "views",
	"conduit":        "conduits",
}

// footprintField is the one feature that is a plain list in the survey.
const footprintField = protoreflect.Name("footprint")

// FeatureKey returns a feature's kind and its name within the kind; the name is empty for features that are one
// of a kind. A feature without content gives kind unspecified.
func FeatureKey(f *roodbeamv1.Feature) (roodbeamv1.FeatureKind, string) {
	fd, m := featureContent(f)
	if fd == nil {
		return roodbeamv1.FeatureKind_FEATURE_KIND_UNSPECIFIED, ""
	}
	kind := roodbeamv1.FeatureKind(number(roodbeamv1.FeatureKind(0).Descriptor(), string(fd.Name())))
	if _, listed := featureLists[fd.Name()]; !listed {
		return kind, ""
	}
	return kind, featureName(m)
}

// PutFeature writes a feature into the survey, replacing the one of the same kind and name, or at the end of
// its list. The survey shares the feature's content.
func PutFeature(s *roodbeamv1.Survey, f *roodbeamv1.Feature) {
	fd, m := featureContent(f)
	if fd == nil {
		return
	}
	if fd.Name() == footprintField {
		s.Footprint = f.GetFootprint().GetStations()
		return
	}
	r := s.ProtoReflect()
	field, listed := surveyField(fd.Name())
	if !listed {
		r.Set(field, protoreflect.ValueOfMessage(m))
		return
	}
	list := r.Mutable(field).List()
	for i := range list.Len() {
		if featureName(list.Get(i).Message()) == featureName(m) {
			list.Set(i, protoreflect.ValueOfMessage(m))
			return
		}
	}
	list.Append(protoreflect.ValueOfMessage(m))
}

// RemoveFeature takes a feature out of the survey; false when it is not there.
func RemoveFeature(s *roodbeamv1.Survey, kind roodbeamv1.FeatureKind, name string) bool {
	r := s.ProtoReflect()
	field, listed := surveyField(protoreflect.Name(Word(kind)))
	if field == nil || !r.Has(field) {
		return false
	}
	if !listed {
		r.Clear(field)
		return true
	}
	list := r.Mutable(field).List()
	kept, removed := 0, false
	for i := range list.Len() {
		if featureName(list.Get(i).Message()) == name {
			removed = true
			continue
		}
		list.Set(kept, list.Get(i))
		kept++
	}
	list.Truncate(kept)
	return removed
}

// Features returns every feature of the survey, in the order of the Feature message's fields and of the lists.
// They share the survey's content.
func Features(s *roodbeamv1.Survey) []*roodbeamv1.Feature {
	var out []*roodbeamv1.Feature
	add := func(fd protoreflect.FieldDescriptor, v protoreflect.Value) {
		f := &roodbeamv1.Feature{}
		f.ProtoReflect().Set(fd, v)
		out = append(out, f)
	}
	r := s.ProtoReflect()
	fields := (&roodbeamv1.Feature{}).ProtoReflect().Descriptor().Fields()
	for i := range fields.Len() {
		fd := fields.Get(i)
		field, listed := surveyField(fd.Name())
		switch {
		case !r.Has(field):
		case fd.Name() == footprintField:
			add(fd, protoreflect.ValueOfMessage((&roodbeamv1.Footprint{Stations: s.GetFootprint()}).ProtoReflect()))
		case listed:
			list := r.Get(field).List()
			for j := range list.Len() {
				add(fd, list.Get(j))
			}
		default:
			add(fd, r.Get(field))
		}
	}
	return out
}

// featureContent returns which field of the feature is set, and its message.
func featureContent(f *roodbeamv1.Feature) (protoreflect.FieldDescriptor, protoreflect.Message) {
	r := f.ProtoReflect()
	fd := r.WhichOneof(r.Descriptor().Oneofs().ByName("kind"))
	if fd == nil {
		return nil, nil
	}
	return fd, r.Get(fd).Message()
}

// surveyField returns the survey's field of a kind, and whether it is a list of named features.
func surveyField(kind protoreflect.Name) (protoreflect.FieldDescriptor, bool) {
	name, listed := featureLists[kind]
	if !listed {
		name = kind
	}
	return (&roodbeamv1.Survey{}).ProtoReflect().Descriptor().Fields().ByName(name), listed
}

// featureName returns what tells a feature from others of its kind.
func featureName(m protoreflect.Message) string {
	switch x := m.Interface().(type) {
	case *roodbeamv1.Finish:
		state := Word(x.GetState())
		if state == "" {
			state = Word(roodbeamv1.FeatureState_FEATURE_STATE_EXISTING)
		}
		return x.GetSurface() + "/" + state
	case *roodbeamv1.Hazard:
		return Word(x.GetKind()) + "/" + x.GetWhere()
	}
	return m.Get(keyField(m.Descriptor())).String()
}
