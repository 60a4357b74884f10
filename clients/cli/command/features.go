package command

import (
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// featuresOf splits a survey into the features a phone would send one by one.
func featuresOf(s *pb.Survey) []*pb.Feature {
	var out []*pb.Feature
	kind := (&pb.Feature{}).ProtoReflect().Descriptor().Oneofs().ByName("kind")
	sm := s.ProtoReflect()
	for i := range kind.Fields().Len() {
		in := kind.Fields().Get(i)
		add := func(v protoreflect.Value) {
			f := &pb.Feature{}
			f.ProtoReflect().Set(in, v)
			out = append(out, f)
		}
		if in.Name() == "footprint" {
			if len(s.GetFootprint()) > 0 {
				add(protoreflect.ValueOfMessage((&pb.Footprint{Stations: s.GetFootprint()}).ProtoReflect()))
			}
			continue
		}
		for j := range sm.Descriptor().Fields().Len() {
			fd := sm.Descriptor().Fields().Get(j)
			if fd.Message() == nil || fd.Message().FullName() != in.Message().FullName() || !sm.Has(fd) {
				continue
			}
			if !fd.IsList() {
				add(sm.Get(fd))
				continue
			}
			for k := range sm.Get(fd).List().Len() {
				add(sm.Get(fd).List().Get(k))
			}
		}
	}
	return out
}
