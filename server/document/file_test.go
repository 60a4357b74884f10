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

// A file changes what it changed itself, and leaves what people did meanwhile.
func TestReplaceFileChangesOnlyWhatTheFileChanged(t *testing.T) {
	settings := &pb.ProjectSettings{Name: "Chapel"}
	m := func(id string, void bool, note string) *pb.Measurement {
		return &pb.Measurement{Id: id, Void: void, Note: note}
	}
	before := &pb.ChurchFile{Project: settings, Brief: &pb.Brief{}, Survey: &pb.Survey{Measurements: []*pb.Measurement{
		m("dropped", false, ""), m("struck", false, ""), m("struck and changed", false, ""), m("corrected", false, ""), m("changed", false, "")}}}
	now := store.State{Revision: 3, Docs: []store.Doc{
		put(t, Brief, Only, &pb.Brief{}, 1),
		put(t, Measurement, "changed", m("changed", false, ""), 1),
		put(t, Measurement, "corrected", m("corrected", false, "by the volunteer"), 2),
		put(t, Measurement, "dropped", m("dropped", false, ""), 1),
		put(t, Measurement, "struck", m("struck", true, ""), 2),
		put(t, Measurement, "struck and changed", m("struck and changed", true, ""), 2),
		put(t, Measurement, "volunteer", m("volunteer", false, ""), 2),
		put(t, Scheme, "proposed", &pb.Scheme{Name: "proposed"}, 3),
		put(t, Settings, Only, settings, 1),
	}}
	file := &pb.ChurchFile{Project: settings, Brief: &pb.Brief{}, Survey: &pb.Survey{Measurements: []*pb.Measurement{
		m("struck", false, ""), m("struck and changed", false, "again"), m("corrected", false, ""), m("changed", false, "now so")}}}
	effects, err := ReplaceFile(now, before, file)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Assemble(Apply(now, effects))
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]*pb.Measurement{}
	for _, x := range p.File.GetSurvey().GetMeasurements() {
		got[x.GetId()] = x
	}
	want := []*pb.Measurement{m("struck", true, ""), m("struck and changed", true, "again"),
		m("corrected", false, "by the volunteer"), m("changed", false, "now so"), m("volunteer", false, "")}
	if len(got) != len(want) {
		t.Errorf("%d measurements, want %d", len(got), len(want))
	}
	for _, w := range want {
		if !proto.Equal(got[w.GetId()], w) {
			t.Errorf("%s = %v, want %v", w.GetId(), got[w.GetId()], w)
		}
	}
	if p.Scheme("proposed") == nil {
		t.Error("the proposal is gone")
	}
}
