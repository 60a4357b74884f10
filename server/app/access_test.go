package app_test

import (
	"slices"
	"testing"
	"time"

	"google.golang.org/grpc/codes"

	pb "roodbeam/api/gen/roodbeam/v1"
)

// TestInvitations: a link lets in as many as it says, until it ends.
func TestInvitations(t *testing.T) {
	onBothStores(t, func(t *testing.T, h *house) {
		ctx := t.Context()
		project := h.create(bare())
		manager := h.invite(project, pb.Role_ROLE_MANAGER)
		link := func(uses, hours int32) (id, secret string) {
			t.Helper()
			id = newID()
			inv, err := manager.access.CreateInvitation(ctx, &pb.CreateInvitationRequest{ProjectId: project, InvitationId: id, Role: pb.Role_ROLE_VOLUNTEER, MaxUses: uses, Hours: hours})
			if err != nil {
				t.Fatal(err)
			}
			return id, inv.GetSecret()
		}
		accept := func(secret string) error {
			_, err := h.as("").access.AcceptInvitation(ctx, &pb.AcceptInvitationRequest{Secret: secret, Name: "A volunteer", AcceptId: newID()})
			return err
		}
		for _, c := range []struct {
			name string
			uses int32
			lets int
		}{{"none said", 0, 1}, {"one", 1, 1}, {"three", 3, 3}} {
			_, secret := link(c.uses, 0)
			for i := range c.lets {
				if err := accept(secret); err != nil {
					t.Errorf("%s: person %d: %v", c.name, i+1, err)
				}
			}
			wantError(t, c.name+": one too many", accept(secret), codes.FailedPrecondition, "SPENT")
		}
		id, secret := link(5, 0)
		if _, err := manager.access.RevokeInvitation(ctx, &pb.RevokeInvitationRequest{ProjectId: project, InvitationId: id}); err != nil {
			t.Fatal(err)
		}
		wantError(t, "revoked", accept(secret), codes.FailedPrecondition, "SPENT")
		_, secret = link(5, 2)
		h.clock.move(2 * time.Hour)
		wantError(t, "expired", accept(secret), codes.FailedPrecondition, "SPENT")
		wantError(t, "made up", accept("rbt_aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa"), codes.FailedPrecondition, "SPENT")
		_, secret = link(5, 0)
		h.clock.move(168 * time.Hour)
		wantError(t, "after a week", accept(secret), codes.FailedPrecondition, "SPENT")

		members, err := manager.access.ListMembers(ctx, &pb.ListMembersRequest{ProjectId: project})
		if err != nil {
			t.Fatal(err)
		}
		var names []string
		for _, m := range members.GetMembers() {
			names = append(names, m.GetName())
		}
		if len(names) != 1+1+1+1+3 || !slices.IsSorted(names) {
			t.Errorf("members %q, want seven sorted by name", names)
		}
	})
}

// TestGuestTokens: a token from a link is for one project, and what it makes
// is no wider and lives no longer.
func TestGuestTokens(t *testing.T) {
	h := onSQLite(t)
	ctx := t.Context()
	project, other := h.create(bare()), h.create(bare())
	guest := h.invite(project, pb.Role_ROLE_VOLUNTEER)
	me, err := guest.access.WhoAmI(ctx, &pb.WhoAmIRequest{})
	if err != nil || me.GetPerson().GetAdmin() || me.GetExpires() == nil || len(me.GetMemberships()) != 1 || me.GetMemberships()[0].GetRole() != pb.Role_ROLE_VOLUNTEER {
		t.Errorf("the guest is %v, %v, want a volunteer of one project with an end", me, err)
	}
	_, err = guest.project.GetProject(ctx, &pb.GetProjectRequest{ProjectId: other})
	wantError(t, "another project", err, codes.PermissionDenied, "DENIED")
	_, unknown := guest.project.GetProject(ctx, &pb.GetProjectRequest{ProjectId: newID()})
	if unknown == nil || err == nil || unknown.Error() != err.Error() {
		t.Errorf("a project of others says %v, one that is not there %v, want one wording", err, unknown)
	}
	_, err = guest.project.CreateProject(ctx, &pb.CreateProjectRequest{ProjectId: newID(), EntryId: newID(), File: bare()})
	wantError(t, "a project of its own", err, codes.PermissionDenied, "DENIED")
	list, err := guest.project.ListProjects(ctx, &pb.ListProjectsRequest{})
	if err != nil || len(list.GetProjects()) != 1 || list.GetProjects()[0].GetProjectId() != project {
		t.Errorf("the guest's projects: %v, %v, want its own", list, err)
	}
	_, err = guest.access.CreateToken(ctx, &pb.CreateTokenRequest{TokenId: newID(), Name: "phone", ProjectId: other})
	wantError(t, "a token for another project", err, codes.PermissionDenied, "DENIED")
	for _, hours := range []int32{0, 87600} {
		made, err := guest.access.CreateToken(ctx, &pb.CreateTokenRequest{TokenId: newID(), Name: "phone", Hours: hours})
		if err != nil {
			t.Fatal(err)
		}
		if made.GetInfo().GetProjectId() != project || made.GetInfo().GetExpires() == nil || made.GetInfo().GetExpires().AsTime().After(me.GetExpires().AsTime()) {
			t.Errorf("a token for %d hours: %v, want one for the project that ends by %v", hours, made.GetInfo(), me.GetExpires().AsTime())
		}
		if _, err := h.as(made.GetToken()).design.PutBrief(ctx, &pb.PutBriefRequest{ProjectId: project}); err == nil {
			t.Error("the volunteer's second token may change the brief")
		}
	}
	if _, err := guest.access.RevokeToken(ctx, &pb.RevokeTokenRequest{TokenId: me.GetTokenId()}); err != nil {
		t.Fatal(err)
	}
	_, err = guest.project.GetProject(ctx, &pb.GetProjectRequest{ProjectId: project})
	wantError(t, "after revoking", err, codes.Unauthenticated, "NO_CALLER")
}
