package app_test

import (
	"testing"

	"google.golang.org/grpc/codes"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// The checklist of a project closes as features and photographs arrive, and the
// one of an unsaved survey needs no project.
func TestChecklistOverTheAPI(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "a-frame"))
	volunteer := h.invite(project, pb.Role_ROLE_VOLUNTEER)
	state := func(id string) pb.ItemState {
		t.Helper()
		got, err := volunteer.survey.GetChecklist(t.Context(), &pb.GetChecklistRequest{ProjectId: project})
		if err != nil || len(got.GetGroundRules()) == 0 {
			t.Fatalf("%v, %v", got, err)
		}
		for _, i := range got.GetItems() {
			if i.GetId() == id {
				return i.GetState()
			}
		}
		t.Fatalf("no item %s", id)
		return 0
	}
	if got := state("P2"); got != pb.ItemState_ITEM_STATE_ASSUMED {
		t.Errorf("P2 is %v", got)
	}
	put := func(f *pb.Feature) {
		t.Helper()
		if _, err := volunteer.survey.PutFeature(t.Context(), &pb.PutFeatureRequest{ProjectId: project, EntryId: newID(), Feature: f}); err != nil {
			t.Fatal(err)
		}
	}
	put(&pb.Feature{Kind: &pb.Feature_Intake{Intake: &pb.Intake{Owner: "the parish", Answers: []*pb.ChecklistAnswer{{Item: "P2", Answer: "four people", Grade: "a"}}}}})
	if got := state("P2"); got != pb.ItemState_ITEM_STATE_ANSWERED {
		t.Errorf("answered, P2 is %v", got)
	}
	put(&pb.Feature{Kind: &pb.Feature_View{View: &pb.KeepInView{Name: "cross", Kind: pb.ViewKind_VIEW_KIND_CROSS}}})
	if got := state("W4"); got != pb.ItemState_ITEM_STATE_ANSWERED {
		t.Errorf("with a view, W4 is %v", got)
	}
	empty, err := volunteer.survey.ReadChecklist(t.Context(), &pb.ReadChecklistRequest{})
	if err != nil || len(empty.GetItems()) < 80 {
		t.Errorf("empty checklist of %d items, %v", len(empty.GetItems()), err)
	}
	_, err = volunteer.survey.ReadChecklist(t.Context(), &pb.ReadChecklistRequest{Survey: &pb.Survey{Platform: &pb.Platform{Width: typed("wide")}}})
	wantError(t, "a survey that cannot be read", err, codes.InvalidArgument, "INVALID_FIELDS")
}

// The room as it stands and as it will be differ by what is planned.
func TestRoomTodayAndFinished(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "a-frame"))
	put := func(f *pb.Feature) {
		t.Helper()
		if _, err := h.owner.survey.PutFeature(t.Context(), &pb.PutFeatureRequest{ProjectId: project, EntryId: newID(), Feature: f}); err != nil {
			t.Fatal(err)
		}
	}
	at := &pb.Place{X: typed("1 m"), Y: typed("1 m")}
	put(&pb.Feature{Kind: &pb.Feature_Solid{Solid: &pb.Solid{Name: "old desk", Centre: at, Width: typed("1 m"), Height: typed("1 m"), State: pb.FeatureState_FEATURE_STATE_REMOVED}}})
	put(&pb.Feature{Kind: &pb.Feature_Solid{Solid: &pb.Solid{Name: "new desk", Centre: at, Width: typed("1 m"), Height: typed("1 m"), State: pb.FeatureState_FEATURE_STATE_PLANNED}}})
	solids := func(when pb.RoomTime) map[string]bool {
		t.Helper()
		got, err := h.owner.survey.GetRoom(t.Context(), &pb.GetRoomRequest{ProjectId: project, When: when})
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]bool{}
		for _, s := range got.GetRoom().GetSolids() {
			out[s.GetName()] = true
		}
		return out
	}
	if s := solids(pb.RoomTime_ROOM_TIME_TODAY); !s["old desk"] || s["new desk"] {
		t.Errorf("today: %v", s)
	}
	for _, when := range []pb.RoomTime{pb.RoomTime_ROOM_TIME_UNSPECIFIED, pb.RoomTime_ROOM_TIME_FINISHED} {
		if s := solids(when); s["old desk"] || !s["new desk"] {
			t.Errorf("finished: %v", s)
		}
	}
}
