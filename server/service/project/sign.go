package project

import (
	"context"
	"errors"
	"strings"

	"github.com/google/uuid"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/convert"
	"roodbeam/server/planner"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// clearing returns who clears, in what role and why. Whoever signs for a trade
// states by what licence; who let them in is the server's own record.
func (s *Server) clearing(ctx context.Context, project uuid.UUID, req *pb.ClearFindingRequest) (*pb.Clearing, error) {
	caller, role := callerOf(ctx)
	out := &pb.Clearing{EntryId: req.GetEntryId(), By: caller.Name, Role: auth.RoleToAPI(role), Reason: req.GetReason(), Time: timestamppb.New(s.Now())}
	if caller.Person != uuid.Nil {
		out.PersonId = caller.Person.String()
	}
	if !role.Trade() {
		return out, nil
	}
	var err error
	if out.Signer, err = signer(req.GetSigner()); err != nil {
		return nil, err
	}
	m, err := s.Store.Member(ctx, project, caller.Person)
	if errors.Is(err, store.ErrNotFound) {
		return out, nil // a token that stands for no person
	}
	if err != nil {
		return nil, err
	}
	if m.Inviter != "" {
		out.InvitedByPersonId, out.InvitedBy = m.Inviter, s.actorName(ctx, m.Inviter)
	}
	also, err := s.alsoPlans(ctx, project, m, out.GetSigner().GetName(), caller.Name)
	out.AlsoRole = auth.RoleToAPI(also)
	return out, err
}

func callerOf(ctx context.Context) (auth.Caller, auth.Role) {
	c, _ := auth.CallerFrom(ctx)
	return c, auth.RoleFrom(ctx)
}

// signer is what a trade's signer states, all of it or a violation per field.
func signer(given *pb.Signer) (*pb.Signer, error) {
	out := &pb.Signer{Name: strings.TrimSpace(given.GetName()), Firm: strings.TrimSpace(given.GetFirm()),
		Licence: strings.TrimSpace(given.GetLicence()), LicenceBody: strings.TrimSpace(given.GetLicenceBody())}
	var vs []convert.Violation
	for _, f := range []struct{ field, value, reason string }{
		{"signer.name", out.GetName(), "is wanted: the name of the person who answers for the work"},
		{"signer.firm", out.GetFirm(), "is wanted: the firm, or how they trade"},
		{"signer.licence", out.GetLicence(), "is wanted: the number of the licence or registration"},
		{"signer.licence_body", out.GetLicenceBody(), "is wanted: the body that issued the licence or registration"},
	} {
		if f.value == "" {
			vs = append(vs, convert.Violation{Field: f.field, Reason: f.reason})
		}
	}
	if len(vs) > 0 {
		return nil, &rpc.InvalidFields{Violations: vs}
	}
	return out, nil
}

// alsoPlans returns the role of designer or manager that a signer has beside:
// of the member under whose token they joined, or of one who has the same name.
func (s *Server) alsoPlans(ctx context.Context, project uuid.UUID, signer store.Member, names ...string) (auth.Role, error) {
	members, err := s.Store.Members(ctx, project)
	if err != nil {
		return "", err
	}
	for _, m := range members {
		role := auth.Role(m.Role)
		if !role.Plans() || m.Person == signer.Person {
			continue
		}
		if m.Person == signer.SameAs {
			return role, nil
		}
		p, err := s.Store.Person(ctx, m.Person)
		if err != nil {
			return "", err
		}
		for _, n := range names {
			if planner.SameName(n, p.Name) {
				return role, nil
			}
		}
	}
	return "", nil
}
