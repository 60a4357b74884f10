package app_test

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// TestSentTwice sends every kind of write twice with the same ids, as a phone
// with a bad connection does, with the clock moved on in between.
func TestSentTwice(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		f := demo(t, "brick-meeting-house")
		project := h.create(f)
		docs, err := h.owner.project.GetDocuments(t.Context(), &pb.GetDocumentsRequest{ProjectId: project})
		if err != nil {
			t.Fatal(err)
		}
		read := docs.GetFile()
		list, err := h.owner.project.ListFindings(t.Context(), &pb.ListFindingsRequest{ProjectId: project})
		if err != nil {
			t.Fatal(err)
		}
		var mine *pb.Finding
		for _, x := range list.GetFindings() {
			if x.GetOwner() == pb.FindingOwner_FINDING_OWNER_DESIGNER {
				mine = x
				break
			}
		}
		phases, err := h.owner.phase.GetPhasePlan(t.Context(), &pb.GetPhasePlanRequest{ProjectId: project})
		if err != nil {
			t.Fatal(err)
		}
		task := phases.GetPlan().GetTasks()[0].GetId()
		ctx := t.Context()
		for _, c := range []struct {
			name string
			send func(entry string, expected int64) (int64, error)
		}{
			{"measurement", func(entry string, _ int64) (int64, error) {
				r, err := h.owner.survey.AddMeasurements(ctx, &pb.AddMeasurementsRequest{ProjectId: project, Entries: []*pb.MeasurementEntry{
					{EntryId: entry, Measurement: &pb.Measurement{Kind: pb.MeasurementKind_MEASUREMENT_KIND_HEIGHT, To: "W1", Value: typed("19 ft 8 in"), Instrument: pb.Instrument_INSTRUMENT_LASER}}}})
				return r.GetRevision(), err
			}},
			{"feature", func(entry string, _ int64) (int64, error) {
				r, err := h.owner.survey.PutFeature(ctx, &pb.PutFeatureRequest{ProjectId: project, EntryId: entry,
					Feature: &pb.Feature{Kind: &pb.Feature_Level{Level: &pb.Level{Name: "loft", Height: typed("12 ft")}}}})
				return r.GetRevision(), err
			}},
			{"feature removed", func(entry string, expected int64) (int64, error) {
				r, err := h.owner.survey.RemoveFeature(ctx, &pb.RemoveFeatureRequest{ProjectId: project, EntryId: entry, ExpectedRevision: expected,
					Kind: pb.FeatureKind_FEATURE_KIND_LEVEL, Name: "loft"})
				return r.GetRevision(), err
			}},
			{"measurement struck out", func(entry string, _ int64) (int64, error) {
				r, err := h.owner.survey.VoidMeasurement(ctx, &pb.VoidMeasurementRequest{ProjectId: project, EntryId: entry, MeasurementId: "m14", Reason: "from the gallery"})
				return r.GetRevision(), err
			}},
			{"brief", func(entry string, expected int64) (int64, error) {
				b := proto.CloneOf(read.GetBrief())
				b.Money.ContingencyPct = 12
				r, err := h.owner.design.PutBrief(ctx, &pb.PutBriefRequest{ProjectId: project, EntryId: entry, ExpectedRevision: expected, Brief: b})
				return r.GetRevision(), err
			}},
			{"scheme", func(entry string, expected int64) (int64, error) {
				s := proto.CloneOf(read.GetSchemes()[0])
				s.Name = "second"
				r, err := h.owner.design.PutScheme(ctx, &pb.PutSchemeRequest{ProjectId: project, EntryId: entry, ExpectedRevision: expected, Scheme: s, Choose: true})
				return r.GetRevision(), err
			}},
			{"fixture", func(entry string, expected int64) (int64, error) {
				x := proto.CloneOf(read.GetFixtures()[0])
				x.Code = "T-NEW"
				r, err := h.owner.goods.PutFixture(ctx, &pb.PutFixtureRequest{ProjectId: project, EntryId: entry, ExpectedRevision: expected, Fixture: x})
				return r.GetRevision(), err
			}},
			{"price", func(entry string, expected int64) (int64, error) {
				x := proto.CloneOf(read.GetPrices()[0])
				x.Minor += 100
				r, err := h.owner.goods.PutPrice(ctx, &pb.PutPriceRequest{ProjectId: project, EntryId: entry, ExpectedRevision: expected, Price: x})
				return r.GetRevision(), err
			}},
			{"finding cleared", func(entry string, _ int64) (int64, error) {
				r, err := h.owner.project.ClearFinding(ctx, &pb.ClearFindingRequest{ProjectId: project, EntryId: entry, Key: mine.GetKey(), Fingerprint: mine.GetFingerprint(), Reason: "as wanted", Scheme: "hand"})
				return r.GetRevision(), err
			}},
			{"task marked", func(entry string, _ int64) (int64, error) {
				r, err := h.owner.phase.MarkTask(ctx, &pb.MarkTaskRequest{ProjectId: project, EntryId: entry, Mark: &pb.TaskMark{TaskId: task, State: pb.TaskState_TASK_STATE_DONE}})
				return r.GetRevision(), err
			}},
			{"packet", func(entry string, expected int64) (int64, error) {
				r, err := h.owner.packet.IssuePacket(ctx, &pb.IssuePacketRequest{ProjectId: project, PacketId: entry, ExpectedRevision: expected, Status: pb.PacketStatus_PACKET_STATUS_FOR_PRICING})
				return r.GetRevision(), err
			}},
			{"whole file", func(entry string, expected int64) (int64, error) {
				again := proto.CloneOf(f)
				again.Project.Town = "Elsewhere"
				r, err := h.owner.project.PutDocuments(ctx, &pb.PutDocumentsRequest{ProjectId: project, EntryId: entry, ExpectedRevision: expected, File: again})
				return r.GetRevision(), err
			}},
		} {
			entry, before := newID(), h.revision(project)
			first, err := c.send(entry, before)
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			h.clock.move(time.Minute)
			again, err := c.send(entry, before)
			if err != nil || again != first {
				t.Errorf("%s sent twice: revision %d then %d, %v, want the same", c.name, first, again, err)
			}
			if got := h.revision(project); first != before+1 || got != first {
				t.Errorf("%s: the project went from revision %d to %d, want one more", c.name, before, got)
			}
		}
	})
}

// TestEntryTaken: an id used again for something else changes nothing.
func TestEntryTaken(t *testing.T) {
	h := onSQLite(t)
	project := h.create(bare())
	entry := newID()
	send := func(value string) error {
		_, err := h.owner.survey.AddMeasurements(t.Context(), &pb.AddMeasurementsRequest{ProjectId: project, Entries: []*pb.MeasurementEntry{
			{EntryId: entry, Measurement: &pb.Measurement{Id: "mx", Kind: pb.MeasurementKind_MEASUREMENT_KIND_HEIGHT, To: "ceiling", Value: typed(value)}}}})
		return err
	}
	if err := send("2.95 m"); err != nil {
		t.Fatal(err)
	}
	wantError(t, "same id, other value", send("2.96 m"), codes.AlreadyExists, "EXISTS")
	got, err := h.owner.survey.GetSurvey(t.Context(), &pb.GetSurveyRequest{ProjectId: project})
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range got.GetSurvey().GetMeasurements() {
		if m.GetId() == "mx" && m.GetValue().GetTyped() != "2.95 m" {
			t.Errorf("the measurement is now %s", m.GetValue().GetTyped())
		}
	}
}

// TestTwoDesigners lets two people change the brief at once: one wins, the
// other is told to read again.
func TestTwoDesigners(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		project := h.create(bare())
		at := h.revision(project)
		people := []*person{h.invite(project, pb.Role_ROLE_DESIGNER), h.invite(project, pb.Role_ROLE_DESIGNER)}
		at = h.revision(project)
		errs := make([]error, len(people))
		var wg sync.WaitGroup
		for i, p := range people {
			wg.Go(func() {
				got, err := p.design.GetBrief(t.Context(), &pb.GetBriefRequest{ProjectId: project})
				if err != nil {
					errs[i] = err
					return
				}
				b := got.GetBrief()
				b.Money = &pb.Money{ContingencyPct: float64(20 + i)}
				_, errs[i] = p.design.PutBrief(t.Context(), &pb.PutBriefRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: at, Brief: b})
			})
		}
		wg.Wait()
		won, lost := errs[0], errs[1]
		if won != nil {
			won, lost = lost, won
		}
		if won != nil {
			t.Fatalf("nobody won: %v, %v", won, lost)
		}
		wantError(t, "the second designer", lost, codes.Aborted, "REVISION_MISMATCH")
		if got := h.revision(project); got != at+1 {
			t.Errorf("revision %d, want %d", got, at+1)
		}
	})
}

// TestBadFile: every violation at once, and nothing is kept.
func TestBadFile(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		f := demo(t, "brick-meeting-house")
		f.Survey.Lines[0].From.X = typed("twelve feet")
		f.Survey.Lines[1].Name = f.Survey.Lines[0].Name
		f.Survey.Ceiling.Height = typed("9000 m")
		f.Brief.Zones[0].Faces[0].Z = typed("86")
		f.Brief.Zones[0].Target = typed("-5 lx")
		f.Brief.Money.ContingencyPct = -1
		f.Fixtures[0].Pf = 1.5
		f.Schemes[0].Units[0].Id = ""
		id := newID()
		_, err := h.owner.project.CreateProject(t.Context(), &pb.CreateProjectRequest{ProjectId: id, EntryId: newID(), File: f})
		if status.Code(err) != codes.InvalidArgument {
			t.Fatalf("err = %v, want InvalidArgument", err)
		}
		got := fields(err)
		for field, says := range map[string]string{
			"file.survey.lines[0].from.x":      "twelve feet",
			"file.survey.lines[1].name":        "W1",
			"file.survey.ceiling.height":       "9000 m",
			"file.brief.zones[0].faces[0].z":   "86",
			"file.brief.zones[0].target":       "-5 lx",
			"file.brief.money.contingency_pct": "-1",
			"file.fixtures[0].pf":              "1.5",
			"file.schemes[0].units[0].id":      "",
		} {
			if d, ok := got[field]; !ok || !strings.Contains(d, says) {
				t.Errorf("%s: %q, want a violation that shows %q", field, d, says)
			}
		}
		if t.Failed() {
			t.Logf("violations: %v", got)
		}
		list, err := h.owner.project.ListProjects(t.Context(), &pb.ListProjectsRequest{})
		if err != nil || len(list.GetProjects()) != 0 {
			t.Errorf("projects kept: %v, %v, want none", list.GetProjects(), err)
		}
		if _, err := h.owner.project.GetProject(t.Context(), &pb.GetProjectRequest{ProjectId: id}); err == nil {
			t.Error("the refused project can be read")
		}
	})
}

// TestWatch: what one person enters arrives on another's stream.
func TestWatch(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		project := h.create(bare())
		volunteer := h.invite(project, pb.Role_ROLE_VOLUNTEER)
		viewer := h.invite(project, pb.Role_ROLE_VIEWER)
		ctx, cancel := context.WithTimeout(t.Context(), patience)
		defer cancel()
		stream, err := viewer.project.WatchProject(ctx, &pb.WatchProjectRequest{ProjectId: project, AfterRevision: h.revision(project)})
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		for _, v := range []string{"2.95 m", "2.96 m"} {
			entry := newID()
			want = append(want, entry)
			if _, err := volunteer.survey.AddMeasurements(ctx, &pb.AddMeasurementsRequest{ProjectId: project, Entries: []*pb.MeasurementEntry{
				{EntryId: entry, Measurement: &pb.Measurement{Kind: pb.MeasurementKind_MEASUREMENT_KIND_HEIGHT, To: "ceiling", Value: typed(v)}}}}); err != nil {
				t.Fatal(err)
			}
		}
		var got []*pb.HistoryEntry
		for len(got) < len(want) {
			msg, err := stream.Recv()
			if err != nil {
				t.Fatalf("after %d entries: %v", len(got), err)
			}
			got = append(got, msg.GetEntries()...)
		}
		for i, e := range got {
			if e.GetEntryId() != want[i] || e.GetActor() != "A volunteer" || e.GetRole() != pb.Role_ROLE_VOLUNTEER || !strings.Contains(e.GetText(), "2.9") {
				t.Errorf("entry %d is %v", i, e)
			}
		}
	})
}
