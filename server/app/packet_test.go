package app_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/testing/protocmp"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/app"
)

func (h *house) findings(project, scheme string) []*pb.Finding {
	h.t.Helper()
	got, err := h.owner.project.ListFindings(h.t.Context(), &pb.ListFindingsRequest{ProjectId: project, Scheme: scheme})
	if err != nil {
		h.t.Fatal(err)
	}
	return got.GetFindings()
}

func (h *house) openStops(project, scheme string) []*pb.Finding {
	return slices.DeleteFunc(h.findings(project, scheme), func(f *pb.Finding) bool {
		return f.GetSeverity() != pb.Severity_SEVERITY_STOP || f.GetClearing() != nil
	})
}

func (p *person) issue(ctx context.Context, project, id string, at int64, status pb.PacketStatus) (*pb.Packet, error) {
	got, err := p.packet.IssuePacket(ctx, &pb.IssuePacketRequest{ProjectId: project, PacketId: id, ExpectedRevision: at, Scheme: "hand", Status: status})
	return got.GetPacket(), err
}

func (p *person) download(ctx context.Context, project, packet, part string) ([]byte, error) {
	s, err := p.packet.DownloadPart(ctx, &pb.DownloadPartRequest{ProjectId: project, PacketId: packet, Part: part})
	if err != nil {
		return nil, err
	}
	var out []byte
	for {
		c, err := s.Recv()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		out = append(out, c.GetData()...)
	}
}

// roleOf is the role in which a finding of the owner is cleared.
func roleOf(o pb.FindingOwner) pb.Role {
	return pb.Role(pb.Role_value["ROLE_"+strings.TrimPrefix(o.String(), "FINDING_OWNER_")])
}

func (p *person) clear(ctx context.Context, project string, f *pb.Finding) error {
	_, err := p.project.ClearFinding(ctx, &pb.ClearFindingRequest{ProjectId: project, EntryId: newID(), Scheme: "hand", Key: f.GetKey(),
		Fingerprint: f.GetFingerprint(), Reason: "seen on site, letter of 1 March", Signer: licensed("an electrician")})
	return err
}

func licensed(name string) *pb.Signer {
	return &pb.Signer{Name: name, Firm: "Wiring & Daughters", Licence: "L-20417", LicenceBody: "State board of trades"}
}

const forConstruction, forPricing = pb.PacketStatus_PACKET_STATUS_FOR_CONSTRUCTION, pb.PacketStatus_PACKET_STATUS_FOR_PRICING

// TestFromStopsToConstruction plays the way from a scheme with stops to a
// packet that may be built from.
func TestFromStopsToConstruction(t *testing.T) {
	onBothStoresInFull(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project := h.create(demo(t, "brick-meeting-house"))
		stops := h.openStops(project, "hand")
		if len(stops) == 0 {
			t.Fatal("no stops: this test needs a scheme with some")
		}
		_, err := h.owner.issue(ctx, project, newID(), h.revision(project), forConstruction)
		wantError(t, "for construction with open stops", err, codes.FailedPrecondition, "OPEN_STOPS")
		if !strings.Contains(err.Error(), "stops are open") {
			t.Errorf("the refusal says %q", err)
		}
		pricing, err := h.owner.issue(ctx, project, newID(), h.revision(project), forPricing)
		if err != nil || pricing.GetOpenStops() != int32(len(stops)) || pricing.GetNumber() != 1 {
			t.Fatalf("for pricing: %v, %v, want issue 1 with %d open stops", pricing, err, len(stops))
		}

		// Each stop is signed by the trade it belongs to and by nobody else.
		trades := map[pb.Role]*person{}
		for _, r := range []pb.Role{pb.Role_ROLE_LICENSED_ELECTRICIAN, pb.Role_ROLE_STRUCTURAL_ENGINEER, pb.Role_ROLE_QUALIFIED_RIGGER,
			pb.Role_ROLE_FIRE_ALARM_CONTRACTOR, pb.Role_ROLE_LIFT_HIRE_FIRM, pb.Role_ROLE_HAZARDOUS_MATERIALS_INSPECTOR, pb.Role_ROLE_LEADERSHIP, pb.Role_ROLE_DESIGNER} {
			trades[r] = h.invite(project, r)
		}
		volunteer := h.invite(project, pb.Role_ROLE_VOLUNTEER)
		var signed *pb.Finding
		for _, f := range stops {
			right := roleOf(f.GetOwner())
			for r, p := range trades {
				if r == right || (right == pb.Role_ROLE_VOLUNTEER && r == pb.Role_ROLE_DESIGNER) {
					continue
				}
				wantError(t, f.GetKey()+" by the "+word(r), p.clear(ctx, project, f), codes.FailedPrecondition, "NOT_YOURS")
			}
			if right == pb.Role_ROLE_VOLUNTEER {
				right = pb.Role_ROLE_DESIGNER
			}
			wantError(t, f.GetKey()+" by a volunteer", volunteer.clear(ctx, project, f), codes.PermissionDenied, "ROLE")
			stale := proto.CloneOf(f)
			stale.Fingerprint = "0000000000000000"
			wantError(t, f.GetKey()+" with values read earlier", trades[right].clear(ctx, project, stale), codes.FailedPrecondition, "FINDING_CHANGED")
			if err := trades[right].clear(ctx, project, f); err != nil {
				t.Fatalf("%s by the %s: %v", f.GetKey(), word(right), err)
			}
			if right == pb.Role_ROLE_LICENSED_ELECTRICIAN || right == pb.Role_ROLE_STRUCTURAL_ENGINEER {
				signed = f
			}
		}
		if open := h.openStops(project, "hand"); len(open) != 0 {
			t.Fatalf("still open: %v", open)
		}
		for _, f := range h.findings(project, "hand") {
			if f.GetKey() == signed.GetKey() && (f.GetClearing().GetRole() != roleOf(f.GetOwner()) || f.GetClearing().GetReason() == "") {
				t.Errorf("clearing of %s: %v, want role and reason", f.GetKey(), f.GetClearing())
			}
		}

		wantError(t, "a designer's old revision", second(h.owner.issue(ctx, project, newID(), 1, forConstruction)), codes.Aborted, "REVISION_MISMATCH")
		_, err = volunteer.issue(ctx, project, newID(), h.revision(project), forConstruction)
		wantError(t, "a volunteer", err, codes.PermissionDenied, "ROLE")
		id, at := newID(), h.revision(project)
		built, err := h.owner.issue(ctx, project, id, at, forConstruction)
		if err != nil || built.GetOpenStops() != 0 || built.GetNumber() != 2 {
			t.Fatalf("for construction: %v, %v, want issue 2 without open stops", built, err)
		}
		h.clock.move(time.Hour)
		again, err := h.owner.issue(ctx, project, id, at, forConstruction)
		if diff := cmp.Diff(built, again, protocmp.Transform()); err != nil || diff != "" {
			t.Errorf("the same packet id twice: %v (-first +second):\n%s", err, diff)
		}
		list, err := h.owner.packet.ListPackets(ctx, &pb.ListPacketsRequest{ProjectId: project})
		if err != nil || len(list.GetPackets()) != 2 || list.GetPackets()[0].GetPacketId() != id {
			t.Errorf("issues: %v, %v, want two, the newest first", list, err)
		}

		// Every part comes as it was frozen.
		for _, part := range built.GetParts() {
			raw, err := volunteer.download(ctx, project, id, part.GetName())
			sum := sha256.Sum256(raw)
			if err != nil || hex.EncodeToString(sum[:]) != part.GetSha256() || int64(len(raw)) != part.GetSizeBytes() {
				t.Errorf("%s: %d bytes, %v, want %d with hash %s", part.GetName(), len(raw), err, part.GetSizeBytes(), part.GetSha256())
			}
			if part.GetName() == "packet.pdf" && !bytes.HasPrefix(raw, []byte("%PDF-")) {
				t.Error("packet.pdf is no PDF")
			}
		}
		_, err = h.owner.download(ctx, project, id, "../admin-token")
		wantError(t, "a part of no packet", err, codes.NotFound, "NOT_FOUND")
		other := h.invite(h.create(bare()), pb.Role_ROLE_MANAGER)
		_, err = other.download(ctx, project, id, "packet.pdf")
		wantError(t, "a manager of another project", err, codes.PermissionDenied, "DENIED")

		h.lapse(t, project, signed)
	})
}

func second[T any](_ T, err error) error { return err }

// lapse changes what a signed stop rests on and checks that it is open again.
func (h *house) lapse(t *testing.T, project string, signed *pb.Finding) {
	t.Helper()
	docs, err := h.owner.project.GetDocuments(t.Context(), &pb.GetDocumentsRequest{ProjectId: project})
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(docs.GetFile().GetFixtures(), func(f *pb.Fixture) bool { return f.GetCode() == "T-FRE" })
	heavier := proto.CloneOf(docs.GetFile().GetFixtures()[i])
	heavier.MassKg, heavier.PowerW = 20, 600
	if _, err := h.owner.goods.PutFixture(t.Context(), &pb.PutFixtureRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: docs.GetRevision(), Fixture: heavier}); err != nil {
		t.Fatal(err)
	}
	open := h.openStops(project, "hand")
	if len(open) == 0 {
		t.Fatalf("no stop is open after %s went to 20 kg and 600 W", heavier.GetCode())
	}
	lapsed := 0
	for _, f := range open {
		if strings.HasPrefix(f.GetCode(), "HANGING_") {
			lapsed++
		}
	}
	if lapsed == 0 {
		t.Errorf("open again: %v, want what the engineer signed for the lighter unit", open)
	}
	_, err = h.owner.issue(t.Context(), project, newID(), h.revision(project), forConstruction)
	wantError(t, "for construction after a change", err, codes.FailedPrecondition, "OPEN_STOPS")
}

// TestPins: what was glued on stays when a unit is added later.
func TestPins(t *testing.T) {
	h := onSQLite(t)
	ctx := t.Context()
	project := h.create(demo(t, "brick-meeting-house"))
	sign := func() {
		t.Helper()
		for _, f := range h.openStops(project, "hand") {
			if err := h.invite(project, roleOf(f.GetOwner())).clear(ctx, project, f); err != nil {
				t.Fatalf("%s: %v", f.GetKey(), err)
			}
		}
	}
	network := func() map[string]*pb.SlotAddress {
		t.Helper()
		got, err := pb.NewDataNetworkServiceClient(h.owner.conn).GetNetworkPlan(ctx, &pb.GetNetworkPlanRequest{ProjectId: project, Scheme: "hand"})
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]*pb.SlotAddress{}
		for _, a := range got.GetPlan().GetAddresses() {
			out[a.GetUnit()] = a
		}
		return out
	}
	sign()
	if _, err := h.owner.issue(ctx, project, newID(), h.revision(project), forConstruction); err != nil {
		t.Fatal(err)
	}
	before := network()
	for unit, a := range before {
		if !a.GetPinned() {
			t.Errorf("unit %s is not pinned after the issue: %v", unit, a)
		}
	}
	docs, err := h.owner.project.GetDocuments(ctx, &pb.GetDocumentsRequest{ProjectId: project})
	if err != nil {
		t.Fatal(err)
	}
	// The new unit comes first in every order: by id, by place and in the list.
	s := docs.GetFile().GetSchemes()[0]
	extra := proto.CloneOf(s.GetUnits()[0])
	extra.Id, extra.LensX = "A0", typed("-16 ft")
	s.Units = append([]*pb.Unit{extra}, s.GetUnits()...)
	if _, err := h.owner.design.PutScheme(ctx, &pb.PutSchemeRequest{ProjectId: project, EntryId: newID(), ExpectedRevision: docs.GetRevision(), Scheme: s}); err != nil {
		t.Fatal(err)
	}
	after := network()
	if after["A0"] == nil || after["A0"].GetPinned() {
		t.Errorf("the new unit: %v, want an address that is not pinned", after["A0"])
	}
	for unit, a := range before {
		if diff := cmp.Diff(a, after[unit], protocmp.Transform()); diff != "" {
			t.Errorf("unit %s got another address (-before +after):\n%s", unit, diff)
		}
	}
	for unit, a := range after {
		if unit != "A0" && a.GetUniverse() == after["A0"].GetUniverse() && a.GetStart() <= after["A0"].GetEnd() && after["A0"].GetStart() <= a.GetEnd() {
			t.Errorf("A0 at %d to %d overlaps %s at %d to %d", after["A0"].GetStart(), after["A0"].GetEnd(), unit, a.GetStart(), a.GetEnd())
		}
	}
}

// TestSameInputSameBytes: two servers with the same file and clock issue the
// same files, to the byte.
func TestSameInputSameBytes(t *testing.T) {
	var sums [2]map[string]string
	project, packet := newID(), newID()
	for i := range sums {
		h := onSQLite(t)
		f := demo(t, "brick-meeting-house")
		if _, err := h.owner.project.CreateProject(t.Context(), &pb.CreateProjectRequest{ProjectId: project, EntryId: newID(), File: f}); err != nil {
			t.Fatal(err)
		}
		p, err := h.owner.issue(t.Context(), project, packet, h.revision(project), forPricing)
		if err != nil {
			t.Fatal(err)
		}
		sums[i] = map[string]string{}
		for _, part := range p.GetParts() {
			sums[i][part.GetName()] = part.GetSha256()
		}
	}
	if diff := cmp.Diff(sums[0], sums[1]); diff != "" || len(sums[0]) < 10 {
		t.Errorf("%d parts (-one server +other):\n%s", len(sums[0]), diff)
	}
}

// TestRestart: what was acknowledged is there after a stop and a start.
func TestRestart(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project := h.create(demo(t, "brick-meeting-house"))
		volunteer := h.invite(project, pb.Role_ROLE_VOLUNTEER)
		if _, err := volunteer.survey.AddMeasurements(ctx, &pb.AddMeasurementsRequest{ProjectId: project, Entries: []*pb.MeasurementEntry{
			{EntryId: newID(), Measurement: &pb.Measurement{Kind: pb.MeasurementKind_MEASUREMENT_KIND_HEIGHT, To: "W1", Value: typed("19 ft 8 in")}}}}); err != nil {
			t.Fatal(err)
		}
		packet, err := h.owner.issue(ctx, project, newID(), h.revision(project), forPricing)
		if err != nil {
			t.Fatal(err)
		}
		type kept struct {
			Docs    *pb.GetDocumentsResponse
			History *pb.ListHistoryResponse
			Results *pb.GetResultsResponse
			Packet  *pb.GetPacketResponse
			Members *pb.ListMembersResponse
		}
		read := func() (k kept, pdf []byte) {
			t.Helper()
			var errs [6]error
			k.Docs, errs[0] = h.owner.project.GetDocuments(ctx, &pb.GetDocumentsRequest{ProjectId: project})
			k.History, errs[1] = h.owner.project.ListHistory(ctx, &pb.ListHistoryRequest{ProjectId: project})
			k.Results, errs[2] = h.owner.project.GetResults(ctx, &pb.GetResultsRequest{ProjectId: project})
			k.Packet, errs[3] = h.owner.packet.GetPacket(ctx, &pb.GetPacketRequest{ProjectId: project, PacketId: packet.GetPacketId()})
			k.Members, errs[4] = h.owner.access.ListMembers(ctx, &pb.ListMembersRequest{ProjectId: project})
			pdf, errs[5] = h.owner.download(ctx, project, packet.GetPacketId(), "packet.pdf")
			if err := errors.Join(errs[:]...); err != nil {
				t.Fatal(err)
			}
			return k, pdf
		}
		before, pdf := read()
		owner := h.AdminToken
		h.restart()
		if h.AdminToken != owner {
			t.Error("the owner's token is another one")
		}
		after, pdf2 := read()
		if diff := cmp.Diff(before, after, protocmp.Transform()); diff != "" {
			t.Errorf("after a restart (-before +after):\n%s", diff)
		}
		if !bytes.Equal(pdf, pdf2) {
			t.Error("the packet's bytes changed")
		}
		if _, err := h.as(volunteer.token).project.GetProject(ctx, &pb.GetProjectRequest{ProjectId: project}); err != nil {
			t.Errorf("the volunteer's token after a restart: %v", err)
		}
	})
}

// TestOwnersFile: the owner's secret is readable by its owner only.
func TestOwnersFile(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	h := start(t, app.Config{DataDir: dir})
	fi, err := os.Stat(filepath.Join(dir, "admin-token"))
	if err != nil || fi.Mode().Perm() != 0o600 {
		t.Errorf("admin-token: %v, %v, want mode 0600", fi, err)
	}
	raw, err := os.ReadFile(filepath.Join(dir, "admin-token"))
	if err != nil || strings.TrimSpace(string(raw)) != h.AdminToken {
		t.Errorf("admin-token holds something else than the owner's token: %v", err)
	}
}
