package app_test

import (
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/clients/cli/churchfile"
	"roodbeam/server/document"
)

// Bell is a kind of document that only these tests know: all that a kind needs
// stands here.
var Bell = document.Register(document.Kind{Name: "handbell", InFile: true, New: func() proto.Message { return &pb.Station{} }})

// TestNewKind takes a document of a kind that nothing else knows from a file on
// its way: into the journal, the project's state, the packet's input hash, out as
// a file again, changed and removed.
func TestNewKind(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		read := func(extras string) *pb.ChurchFile {
			var f pb.ChurchFile
			if _, problems := churchfile.Decode([]byte("extras:\n"+extras), &f); len(problems) > 0 {
				t.Fatal(problems)
			}
			file := bare()
			file.Extras = f.GetExtras()
			return file
		}
		project := h.create(read(`  - {kind: handbell, id: tenor, fields: {name: tenor, fixed_x: 12 ft 6 in, note: cracked}}` + "\n"))
		check := func(want map[string]string) {
			t.Helper()
			h.restart() // what is read comes from the store
			got, err := h.owner.project.GetDocuments(t.Context(), &pb.GetDocumentsRequest{ProjectId: project})
			if err != nil {
				t.Fatal(err)
			}
			have := map[string]string{}
			for _, x := range got.GetFile().GetExtras() {
				f := x.GetFields().AsMap()
				have[x.GetKind()+" "+x.GetId()] = strings.TrimSpace(f["fixed_x"].(string) + " " + f["note"].(string))
			}
			if len(have) != len(want) {
				t.Errorf("extras %v, want %v", have, want)
			}
			for k, v := range want {
				if have[k] != v {
					t.Errorf("%s is %q, want %q", k, have[k], v)
				}
			}
		}
		hash := func() string {
			t.Helper()
			got, err := h.owner.project.GetProject(t.Context(), &pb.GetProjectRequest{ProjectId: project})
			if err != nil {
				t.Fatal(err)
			}
			res, err := h.owner.packet.IssuePacket(t.Context(), &pb.IssuePacketRequest{ProjectId: project, PacketId: newID(), ExpectedRevision: got.GetProject().GetRevision(),
				Scheme: "hand", Status: pb.PacketStatus_PACKET_STATUS_FOR_PRICING})
			if err != nil {
				t.Fatal(err)
			}
			return res.GetPacket().GetInputHash()
		}
		put := func(file *pb.ChurchFile) error {
			t.Helper()
			got, err := h.owner.project.GetProject(t.Context(), &pb.GetProjectRequest{ProjectId: project})
			if err != nil {
				t.Fatal(err)
			}
			_, err = h.owner.project.PutDocuments(t.Context(), &pb.PutDocumentsRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: got.GetProject().GetRevision(), File: file})
			return err
		}
		check(map[string]string{"handbell tenor": "12 ft 6 in cracked"})
		first, again := hash(), hash()
		if first == "" || first != again {
			t.Errorf("input hash %q, then %q, want the same", first, again)
		}
		if err := put(read(`  - {kind: handbell, id: tenor, fields: {name: tenor, fixed_x: 12 ft 6 in, note: recast}}` + "\n")); err != nil {
			t.Fatal(err)
		}
		check(map[string]string{"handbell tenor": "12 ft 6 in recast"})
		if changed := hash(); changed == first {
			t.Error("the packet's input hash stays when the document changes")
		}
		wantError(t, "no such kind", put(read("  - {kind: handbel, fields: {name: x}}\n")), codes.InvalidArgument, "INVALID_FIELDS")
		if err := put(read("  - {kind: handbel, fields: {name: x}}\n")); !strings.Contains(err.Error(), `extras[0].kind: "handbel" is no kind of document that stands under extras; did you mean "handbell"?`) {
			t.Error(err)
		}
		for text, want := range map[string]string{
			"{kind: handbell, fields: {name: x, weight: 3}}":                                             "extras[0].fields",
			"{kind: handbell, fields: {name: x, fixed_x: heavy}}":                                        "extras[0].fields.fixed_x",
			"{kind: handbell, fields: {name: ' x'}}":                                                     "extras[0].fields.name",
			"{kind: handbell, fields: {name: x, fixed_x: 99999 ft}}":                                     "extras[0].fields.fixed_x",
			"{kind: handbell, id: a, fields: {name: x}}\n  - {kind: handbell, id: a, fields: {name: x}}": "extras[1].id",
		} {
			if err := put(read("  - " + text + "\n")); err == nil || !strings.Contains(err.Error(), want) {
				t.Errorf("%s: %v, want a word on %s", text, err, want)
			}
		}
		if err := put(read("  []\n")); err != nil {
			t.Fatal(err)
		}
		check(map[string]string{})
	})
}
