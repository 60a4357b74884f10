package app_test

import (
	"context"
	"errors"
	"io"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// TestProposalCanBeCancelled: a caller who goes away ends the search.
func TestProposalCanBeCancelled(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "brick-meeting-house"))
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	stream, err := h.owner.design.StreamProposal(ctx, &pb.StreamProposalRequest{ProjectId: project, Proposal: &pb.ProposeSchemeRequest{
		ProjectId: project, Name: "proposed", Effort: 20}})
	if err != nil {
		t.Fatal(err)
	}
	msg, err := stream.Recv()
	if err != nil || msg.GetProgress() == nil {
		t.Fatalf("first message %v, %v", msg, err)
	}
	cancel()
	for {
		msg, err := stream.Recv()
		if status.Code(err) == codes.Canceled {
			return
		}
		if err != nil || msg.GetProposal() != nil {
			t.Fatalf("after cancelling: %v, %v", msg, err)
		}
	}
}

// TestProposalEndsAtItsTimeLimit: once the time is over the best so far is the
// answer, with its bound.
func TestProposalEndsAtItsTimeLimit(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "brick-meeting-house"))
	stream, err := h.owner.design.StreamProposal(t.Context(), &pb.StreamProposalRequest{ProjectId: project, Proposal: &pb.ProposeSchemeRequest{
		ProjectId: project, Name: "proposed", Effort: 20, TimeLimitS: 1}})
	if err != nil {
		t.Fatal(err)
	}
	for {
		msg, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			t.Fatal("no proposal")
		}
		if err != nil {
			t.Fatal(err)
		}
		h.clock.move(2 * time.Second)
		made := msg.GetProposal()
		if made == nil {
			continue
		}
		if !made.GetStopped() || len(made.GetScheme().GetUnits()) == 0 || made.GetModelBound() > made.GetModelCost() || made.GetGap() < 0 {
			t.Errorf("stopped %v, %d units, cost %v, bound %v", made.GetStopped(), len(made.GetScheme().GetUnits()), made.GetModelCost(), made.GetModelBound())
		}
		return
	}
}

// TestProposalOfASeedIsTheSame: twice the same; locked units stay as they are.
func TestProposalOfASeedIsTheSame(t *testing.T) {
	h := onSQLite(t)
	project := h.create(demo(t, "a-frame"))
	ask := &pb.ProposeSchemeRequest{ProjectId: project, Name: "proposed", Seed: 11}
	one, err := h.owner.design.ProposeScheme(t.Context(), ask)
	if err != nil {
		t.Fatal(err)
	}
	two, err := h.owner.design.ProposeScheme(t.Context(), ask)
	if err != nil {
		t.Fatal(err)
	}
	if !proto.Equal(one, two) {
		t.Error("two proposals of one seed differ")
	}
	keep := proto.CloneOf(one.GetScheme())
	keep.Name = "kept"
	locked := keep.Units[0]
	locked.Locked, locked.LevelPct = true, 35
	got, err := h.owner.design.PutScheme(t.Context(), &pb.PutSchemeRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: one.GetRevision(), Scheme: keep})
	if err != nil {
		t.Fatal(err)
	}
	again, err := h.owner.design.ProposeScheme(t.Context(), &pb.ProposeSchemeRequest{ProjectId: project, Name: "again", Parent: "kept", Seed: 11})
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, u := range again.GetScheme().GetUnits() {
		found = found || (u.GetId() == locked.GetId() && u.GetLevelPct() == 35 && u.GetLocked() && u.GetLine() == locked.GetLine())
	}
	if !found || got.GetRevision() == 0 {
		t.Errorf("the locked unit %v is not in %v", locked, again.GetScheme().GetUnits())
	}
}

// BenchmarkEvaluateDragged evaluates an unsaved scheme whose unit is dragged along
// its line, as a client does while somebody looks on.
func BenchmarkEvaluateDragged(b *testing.B) {
	h := onSQLite(b)
	project := h.create(demo(b, "brick-meeting-house"))
	got, err := h.owner.design.ProposeScheme(b.Context(), &pb.ProposeSchemeRequest{ProjectId: project, Name: "proposed"})
	if err != nil {
		b.Fatal(err)
	}
	scheme := got.GetScheme()
	drag := func(at float64) {
		scheme.Units[0].Along = &pb.Quantity{ValueSi: &at}
		if _, err := h.owner.design.EvaluateScheme(b.Context(), &pb.EvaluateSchemeRequest{ProjectId: project, Scheme: scheme, Stages: []pb.ResultStage{
			pb.ResultStage_RESULT_STAGE_SCHEME, pb.ResultStage_RESULT_STAGE_LIGHT, pb.ResultStage_RESULT_STAGE_FINDINGS}}); err != nil {
			b.Fatal(err)
		}
	}
	drag(3)
	at := 3.0
	for b.Loop() {
		at += 0.01
		drag(at)
	}
}
