package access

import (
	"context"
	"errors"

	"github.com/google/uuid"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/journal"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// removeAttempts bounds how often a removal is tried while others write to the
// project.
const removeAttempts = 20

// RemoveMember ends a membership, and with it the person's tokens for the
// project.
func (s *Server) RemoveMember(ctx context.Context, req *pb.RemoveMemberRequest) (*pb.RemoveMemberResponse, error) {
	project, entry, person := uuid.MustParse(req.GetProjectId()), uuid.MustParse(req.GetEntryId()), uuid.MustParse(req.GetPersonId())
	w := journal.Writer{Store: s.Store, Now: s.Now}
	remove := journal.Entry{ID: req.GetEntryId(), Kind: journal.MemberRevoked, Said: req, Members: []store.MemberEffect{{Person: person}}}
	var err error
	for range removeAttempts {
		// The revision is read before the members: whoever is made or unmade a
		// manager in between moves it, so that two managers who remove one another
		// do not leave the project without one.
		var head store.Revision
		if head, err = s.Store.Head(ctx, project); err != nil {
			return nil, err
		}
		refused := s.mayRemove(ctx, project, person)
		if refused != nil {
			if _, err := s.Store.Entry(ctx, project, entry); errors.Is(err, store.ErrNotFound) {
				return nil, refused
			} else if err != nil {
				return nil, err
			}
			// It was sent before: the journal tells whether it was the same.
		}
		var rev int64
		rev, err = w.Write(ctx, project, int64(head), remove)
		var moved *store.RevisionMismatch
		if errors.As(err, &moved) {
			continue
		}
		return &pb.RemoveMemberResponse{Revision: rev}, err
	}
	return nil, err
}

// mayRemove tells why a person is not to be removed, nil when they are.
func (s *Server) mayRemove(ctx context.Context, project, person uuid.UUID) error {
	members, err := s.Store.Members(ctx, project)
	if err != nil {
		return err
	}
	managers, role := 0, auth.Role("")
	for _, m := range members {
		if auth.Role(m.Role) == auth.Manager {
			managers++
		}
		if m.Person == person {
			role = auth.Role(m.Role)
		}
	}
	switch by := auth.RoleFrom(ctx); {
	case role == "":
		return &store.NotFound{What: "member", ID: person.String()}
	case role == auth.Manager && by != auth.Manager && by != auth.Admin:
		return &rpc.Precondition{Type: "NOT_YOURS", Subject: person.String(), Description: "a manager is removed by a manager"}
	case role == auth.Manager && managers == 1:
		return &rpc.Precondition{Type: "LAST_MANAGER", Subject: person.String(),
			Description: "this is the project's last manager: invite another one first"}
	}
	return nil
}
