package document

import (
	"testing"

	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

func put(t *testing.T, k Kind, id string, m proto.Message, rev store.Revision) store.Doc {
	t.Helper()
	e, err := k.Put(id, m)
	if err != nil {
		t.Fatal(err)
	}
	return store.Doc{Kind: e.Kind, ID: e.ID, Payload: e.Payload, Revision: rev}
}

// A file takes back what an earlier file wrote, never what a person sent.
func TestReplaceFileKeepsWhatCameInByItself(t *testing.T) {
	settings := &pb.ProjectSettings{Name: "Chapel"}
	now := store.State{Revision: 3, Docs: []store.Doc{
		put(t, Brief, Only, &pb.Brief{}, 1),
		put(t, Measurement, "by-file", &pb.Measurement{Id: "by-file"}, 1),
		put(t, Measurement, "by-volunteer", &pb.Measurement{Id: "by-volunteer"}, 2),
		put(t, Scheme, "proposed", &pb.Scheme{Name: "proposed"}, 3),
		put(t, Settings, Only, settings, 1),
	}}
	file := &pb.ChurchFile{Project: settings, Brief: &pb.Brief{}}
	effects, err := ReplaceFile(now, file, func(r store.Revision) bool { return r == 1 })
	if err != nil {
		t.Fatal(err)
	}
	if len(effects) != 1 || !effects[0].Delete || effects[0].ID != "by-file" {
		t.Fatalf("effects %v, want the file's own measurement removed and nothing else", effects)
	}
	p, err := Assemble(Apply(now, effects))
	if err != nil {
		t.Fatal(err)
	}
	if ms := p.File.GetSurvey().GetMeasurements(); len(ms) != 1 || ms[0].GetId() != "by-volunteer" {
		t.Errorf("measurements %v, want the volunteer's alone", ms)
	}
	if p.Scheme("proposed") == nil {
		t.Error("the proposal is gone")
	}
}
