package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/store"
)

// Feature is one thing seen in the room, by "kind/name".
var Feature = Register(Kind{
	Name: "feature", InFile: true,
	New:  func() proto.Message { return &pb.Feature{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) { convert.PutFeature(p.File.Survey, m.(*pb.Feature)) },
	Split: func(f *pb.ChurchFile, put func(string, proto.Message)) error {
		ids, fs, err := features(f.GetSurvey())
		for i, x := range fs {
			put(ids[i], x)
		}
		return err
	},
})

// FeatureID names a feature within its project.
func FeatureID(kind pb.FeatureKind, name string) string {
	if name == "" {
		name = Only
	}
	return convert.Word(kind) + "/" + name
}

// Duplicate says that two features of one survey have the same name.
type Duplicate struct{ ID string }

func (e *Duplicate) Error() string { return "two features are both " + e.ID }

// features splits a survey into its features by id.
func features(s *pb.Survey) (ids []string, fs []*pb.Feature, err error) {
	seen := map[string]bool{}
	for _, f := range convert.Features(s) {
		id := FeatureID(convert.FeatureKey(f))
		if seen[id] {
			return nil, nil, &Duplicate{ID: id}
		}
		seen[id] = true
		ids, fs = append(ids, id), append(fs, f)
	}
	return ids, fs, nil
}
