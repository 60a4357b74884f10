package app_test

import (
	"context"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/testing/protocmp"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// TestSecretsAgain: an invitation and a token sent twice, as after a lost
// answer, come with the same secret, and the same id means nothing else later.
func TestSecretsAgain(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project, other := h.create(bare()), h.create(bare())
		manager := h.invite(project, pb.Role_ROLE_MANAGER)

		inv := &pb.CreateInvitationRequest{ProjectId: project, InvitationId: newID(), Role: pb.Role_ROLE_VOLUNTEER, MaxUses: 2, Hours: 3, Note: "Saturday"}
		first, err := manager.access.CreateInvitation(ctx, inv)
		if err != nil || !strings.HasPrefix(first.GetSecret(), "rbt_") {
			t.Fatalf("%v, %v", first, err)
		}
		h.clock.move(time.Minute)
		upper := proto.CloneOf(inv)
		upper.InvitationId = strings.ToUpper(inv.GetInvitationId())
		for _, req := range []*pb.CreateInvitationRequest{inv, upper} {
			again, err := manager.access.CreateInvitation(ctx, req)
			if err != nil || again.GetSecret() != first.GetSecret() || again.GetPath() != first.GetPath() || !again.GetExpires().AsTime().Equal(first.GetExpires().AsTime()) {
				t.Errorf("invitation sent twice: %v, %v, want %v", again, err, first)
			}
		}
		for field, change := range map[string]func(*pb.CreateInvitationRequest){
			"role":     func(r *pb.CreateInvitationRequest) { r.Role = pb.Role_ROLE_MANAGER },
			"max_uses": func(r *pb.CreateInvitationRequest) { r.MaxUses = 3 },
			"hours":    func(r *pb.CreateInvitationRequest) { r.Hours = 4 },
			"note":     func(r *pb.CreateInvitationRequest) { r.Note = "Sunday" },
		} {
			r := proto.CloneOf(inv)
			change(r)
			_, err := manager.access.CreateInvitation(ctx, r)
			wantError(t, "invitation with another "+field, err, codes.AlreadyExists, "ID_TAKEN")
			if _, ok := fields(err)[field]; !ok {
				t.Errorf("invitation with another %s: %v names %v", field, err, fields(err))
			}
		}
		_, err = h.invite(project, pb.Role_ROLE_DESIGNER).access.CreateInvitation(ctx, inv)
		wantError(t, "somebody else's id", err, codes.AlreadyExists, "ID_TAKEN")
		elsewhere := proto.CloneOf(inv)
		elsewhere.ProjectId = other
		_, err = h.owner.access.CreateInvitation(ctx, elsewhere)
		wantError(t, "another project's id", err, codes.AlreadyExists, "ID_TAKEN")

		tok := &pb.CreateTokenRequest{TokenId: newID(), Name: "phone", Hours: 5}
		made, err := manager.access.CreateToken(ctx, tok)
		if err != nil {
			t.Fatal(err)
		}
		h.clock.move(time.Minute)
		again, err := manager.access.CreateToken(ctx, tok)
		if diff := cmp.Diff(made, again, protocmp.Transform()); err != nil || diff != "" {
			t.Errorf("token sent twice: %v (-first +second):\n%s", err, diff)
		}
		if _, err := h.as(again.GetToken()).project.GetProject(ctx, &pb.GetProjectRequest{ProjectId: project}); err != nil {
			t.Errorf("the token given again lets nobody in: %v", err)
		}
		for field, change := range map[string]func(*pb.CreateTokenRequest){
			"name":  func(r *pb.CreateTokenRequest) { r.Name = "laptop" },
			"hours": func(r *pb.CreateTokenRequest) { r.Hours = 6 },
		} {
			r := proto.CloneOf(tok)
			change(r)
			_, err := manager.access.CreateToken(ctx, r)
			wantError(t, "token with another "+field, err, codes.AlreadyExists, "ID_TAKEN")
			if _, ok := fields(err)[field]; !ok {
				t.Errorf("token with another %s: %v names %v", field, err, fields(err))
			}
		}
		_, err = h.owner.access.CreateToken(ctx, tok)
		wantError(t, "somebody else's token id", err, codes.AlreadyExists, "ID_TAKEN")
		// The same person by another token is not told the secret either.
		_, err = h.as(made.GetToken()).access.CreateToken(ctx, tok)
		wantError(t, "the same id by another token", err, codes.AlreadyExists, "ID_TAKEN")
		_, err = h.as(made.GetToken()).access.CreateInvitation(ctx, inv)
		wantError(t, "the same invitation by another token", err, codes.AlreadyExists, "ID_TAKEN")
	})
}

// TestAcceptAgain: joining sent twice, or from many places at once, makes one
// member and one token.
func TestAcceptAgain(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project := h.create(bare())
		inv, err := h.owner.access.CreateInvitation(ctx, &pb.CreateInvitationRequest{ProjectId: project, InvitationId: newID(), Role: pb.Role_ROLE_VOLUNTEER})
		if err != nil {
			t.Fatal(err)
		}
		guest := h.as("")
		req := &pb.AcceptInvitationRequest{Secret: inv.GetSecret(), Name: "A volunteer", AcceptId: newID()}
		answers := make([]*pb.AcceptInvitationResponse, 4)
		errs := make([]error, len(answers))
		var wg sync.WaitGroup
		for i := range answers {
			wg.Go(func() { answers[i], errs[i] = guest.access.AcceptInvitation(ctx, req) })
		}
		wg.Wait()
		h.clock.move(1000 * time.Hour) // the link has ended
		late, err := guest.access.AcceptInvitation(ctx, req)
		for i, a := range append(answers, late) {
			if diff := cmp.Diff(answers[0], a, protocmp.Transform()); diff != "" || errs[min(i, len(errs)-1)] != nil || err != nil {
				t.Fatalf("answer %d (-first +this): %v, %v\n%s", i, errs, err, diff)
			}
		}
		members, err := h.owner.access.ListMembers(ctx, &pb.ListMembersRequest{ProjectId: project})
		if err != nil || len(members.GetMembers()) != 2 {
			t.Fatalf("members %v, %v, want the owner and one volunteer", members, err)
		}
		for _, m := range members.GetMembers() {
			if m.GetName() == "A volunteer" && (m.GetInvitedBy() == "" || m.GetPersonId() == req.GetAcceptId()) {
				t.Errorf("member %v, want who invited them, and an id that is not the one the guest keeps to himself", m)
			}
		}
		if at := h.revision(project); at != 2 {
			t.Errorf("revision %d, want 2: one entry for the project and one for the member", at)
		}
		renamed := proto.CloneOf(req)
		renamed.Name = "Another"
		_, err = guest.access.AcceptInvitation(ctx, renamed)
		wantError(t, "the same id with another name", err, codes.AlreadyExists, "ID_TAKEN")
		second := proto.CloneOf(req)
		second.AcceptId = newID()
		_, err = guest.access.AcceptInvitation(ctx, second)
		wantError(t, "a second person", err, codes.FailedPrecondition, "SPENT")
		if _, err := h.as(late.GetToken()).project.GetProject(ctx, &pb.GetProjectRequest{ProjectId: project}); err != nil {
			t.Errorf("the token lets nobody in: %v", err)
		}
		_, err = guest.access.AcceptInvitation(ctx, &pb.AcceptInvitationRequest{Secret: inv.GetSecret(), Name: "A volunteer"})
		wantError(t, "without an id", err, codes.InvalidArgument, "INVALID_FIELDS")
	})
}

func (p *person) id(t testing.TB) string {
	t.Helper()
	me, err := p.access.WhoAmI(t.Context(), &pb.WhoAmIRequest{})
	if err != nil {
		t.Fatal(err)
	}
	return me.GetPerson().GetPersonId()
}

// TestRemoveMember: who is removed is out at once, everywhere.
func TestRemoveMember(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx, cancel := context.WithTimeout(t.Context(), patience)
		defer cancel()
		project := h.create(bare())
		manager, designer := h.invite(project, pb.Role_ROLE_MANAGER), h.invite(project, pb.Role_ROLE_DESIGNER)
		guest, stays := h.invite(project, pb.Role_ROLE_VOLUNTEER), h.invite(project, pb.Role_ROLE_VOLUNTEER)
		second, err := guest.access.CreateToken(ctx, &pb.CreateTokenRequest{TokenId: newID(), Name: "laptop"})
		if err != nil {
			t.Fatal(err)
		}
		watch := func(p *person) pb.ProjectService_WatchProjectClient {
			t.Helper()
			s, err := p.project.WatchProject(ctx, &pb.WatchProjectRequest{ProjectId: project, AfterRevision: h.revision(project) - 1})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := s.Recv(); err != nil { // it runs
				t.Fatal(err)
			}
			return s
		}
		theirs, others := watch(guest), watch(stays)

		remove := func(p *person, who, entry string) (int64, error) {
			r, err := p.access.RemoveMember(ctx, &pb.RemoveMemberRequest{ProjectId: project, EntryId: entry, PersonId: who, Reason: "moved away"})
			return r.GetRevision(), err
		}
		_, err = remove(stays, guest.id(t), newID())
		wantError(t, "by a volunteer", err, codes.PermissionDenied, "ROLE")
		_, err = remove(designer, manager.id(t), newID())
		wantError(t, "a manager by a designer", err, codes.FailedPrecondition, "NOT_YOURS")
		// Nor does a designer make themselves one who may.
		_, err = designer.access.CreateInvitation(ctx, &pb.CreateInvitationRequest{ProjectId: project, InvitationId: newID(), Role: pb.Role_ROLE_MANAGER})
		wantError(t, "a manager invited by a designer", err, codes.FailedPrecondition, "NOT_YOURS")
		_, err = remove(manager, newID(), newID())
		wantError(t, "nobody", err, codes.NotFound, "NOT_FOUND")

		who, entry, before := guest.id(t), newID(), h.revision(project)
		rev, err := remove(manager, who, entry)
		if err != nil || rev != before+1 {
			t.Fatalf("revision %d, %v, want %d", rev, err, before+1)
		}
		if again, err := remove(manager, who, entry); err != nil || again != rev {
			t.Errorf("sent twice: revision %d, %v, want %d", again, err, rev)
		}
		_, err = remove(manager, stays.id(t), entry)
		wantError(t, "the same id for another", err, codes.AlreadyExists, "ENTRY_CONFLICT")
		_, err = remove(manager, who, newID())
		wantError(t, "who is out already", err, codes.NotFound, "NOT_FOUND")
		for _, p := range []*person{guest, h.as(second.GetToken())} {
			_, err := p.project.GetProject(ctx, &pb.GetProjectRequest{ProjectId: project})
			wantError(t, "a call of who is out", err, codes.Unauthenticated, "NO_CALLER")
		}
		if msg, err := theirs.Recv(); err == nil || status.Code(err) == codes.DeadlineExceeded {
			t.Errorf("the stream of who is out goes on: %v, %v", msg, err)
		}
		msg, err := others.Recv()
		if err != nil || len(msg.GetEntries()) != 1 || msg.GetEntries()[0].GetKind() != "member.revoked" || msg.GetEntries()[0].GetText() != "removed A volunteer: moved away" {
			t.Errorf("another stream: %v, %v, want the entry", msg, err)
		}

		// Two managers: one may go, the last one may not, however they are asked.
		if _, err = remove(manager, h.owner.id(t), newID()); err != nil {
			t.Fatal(err)
		}
		last := manager.id(t)
		_, err = remove(manager, last, newID())
		wantError(t, "the last manager", err, codes.FailedPrecondition, "LAST_MANAGER")
		_, err = remove(h.owner, last, newID())
		wantError(t, "the last manager by the server's owner", err, codes.FailedPrecondition, "LAST_MANAGER")
	})
}

// TestManagersRemoveOneAnother: of two who do so at once one stays.
func TestManagersRemoveOneAnother(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project := h.create(bare())
		pair := []*person{h.invite(project, pb.Role_ROLE_MANAGER), h.invite(project, pb.Role_ROLE_MANAGER)}
		ids := []string{pair[0].id(t), pair[1].id(t)}
		if _, err := pair[0].access.RemoveMember(ctx, &pb.RemoveMemberRequest{ProjectId: project, EntryId: newID(), PersonId: h.owner.id(t)}); err != nil {
			t.Fatal(err)
		}
		errs := make([]error, 2)
		var wg sync.WaitGroup
		for i, p := range pair {
			wg.Go(func() {
				_, errs[i] = p.access.RemoveMember(ctx, &pb.RemoveMemberRequest{ProjectId: project, EntryId: newID(), PersonId: ids[1-i]})
			})
		}
		wg.Wait()
		if (errs[0] == nil) == (errs[1] == nil) {
			t.Errorf("errors %v, want one of them", errs)
		}
		members, err := h.owner.access.ListMembers(ctx, &pb.ListMembersRequest{ProjectId: project})
		if err != nil || len(members.GetMembers()) != 1 || members.GetMembers()[0].GetRole() != pb.Role_ROLE_MANAGER {
			t.Errorf("members %v, %v, want one manager", members, err)
		}
	})
}

// TestRevokeToken: one's own, a manager's project's, the owner's any.
func TestRevokeToken(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project, other := h.create(bare()), h.create(bare())
		manager, designer := h.invite(project, pb.Role_ROLE_MANAGER), h.invite(project, pb.Role_ROLE_DESIGNER)
		stranger := h.invite(other, pb.Role_ROLE_MANAGER)
		guest := h.invite(project, pb.Role_ROLE_VOLUNTEER)
		make := func(p *person) (id, secret string) {
			t.Helper()
			id = newID()
			made, err := p.access.CreateToken(ctx, &pb.CreateTokenRequest{TokenId: id, Name: "phone"})
			if err != nil {
				t.Fatal(err)
			}
			return id, made.GetToken()
		}
		wide, _ := make(h.owner) // bound to no project
		for _, c := range []struct {
			name string
			of   *person
			by   *person
			may  bool
		}{
			{"one's own", guest, guest, true},
			{"a volunteer's by the manager", guest, manager, true},
			{"a volunteer's by the server's owner", guest, h.owner, true},
			{"a volunteer's by the designer", guest, designer, false},
			{"a volunteer's by another project's manager", guest, stranger, false},
			{"a manager's by a volunteer", manager, guest, false},
		} {
			id, secret := make(c.of)
			_, err := c.by.access.RevokeToken(ctx, &pb.RevokeTokenRequest{TokenId: id})
			_, after := h.as(secret).access.WhoAmI(ctx, &pb.WhoAmIRequest{})
			if c.may {
				if err != nil {
					t.Errorf("%s: %v", c.name, err)
				}
				wantError(t, c.name+": afterwards", after, codes.Unauthenticated, "NO_CALLER")
				continue
			}
			wantError(t, c.name, err, codes.PermissionDenied, "DENIED")
			if after != nil {
				t.Errorf("%s: the token does not let in any more: %v", c.name, after)
			}
		}
		_, err := manager.access.RevokeToken(ctx, &pb.RevokeTokenRequest{TokenId: wide})
		wantError(t, "the owner's by a manager", err, codes.PermissionDenied, "DENIED")
		_, unknown := manager.access.RevokeToken(ctx, &pb.RevokeTokenRequest{TokenId: newID()})
		if unknown == nil || unknown.Error() != err.Error() {
			t.Errorf("an unknown token says %v, somebody else's %v, want one wording", unknown, err)
		}
		// A token bound to one project does not reach the same person's others.
		bound, err := h.owner.access.CreateToken(ctx, &pb.CreateTokenRequest{TokenId: newID(), Name: "tablet", ProjectId: project})
		if err != nil {
			t.Fatal(err)
		}
		_, err = h.as(bound.GetToken()).access.RevokeToken(ctx, &pb.RevokeTokenRequest{TokenId: wide})
		wantError(t, "one's own wider one", err, codes.PermissionDenied, "DENIED")
	})
}
