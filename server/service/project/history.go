package project

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/google/uuid"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	optionsv1 "roodbeam/api/gen/roodbeam/options/v1"
	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
	"roodbeam/server/journal"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// ListHistory returns journal entries.
func (s *Server) ListHistory(ctx context.Context, req *pb.ListHistoryRequest) (*pb.ListHistoryResponse, error) {
	page, err := s.Store.History(ctx, uuid.MustParse(req.GetProjectId()),
		store.HistoryQuery{Kinds: req.GetKinds(), After: store.Revision(req.GetAfterRevision()), NewestFirst: req.GetNewestFirst()},
		store.Page{Size: int(req.GetPageSize()), Token: req.GetPageToken()})
	if err != nil {
		return nil, err
	}
	out := &pb.ListHistoryResponse{NextPageToken: page.Next}
	for _, e := range page.Entries {
		out.Entries = append(out.Entries, s.entryToAPI(ctx, e))
	}
	return out, nil
}

// WatchProject sends the entries that come in, until the caller goes away.
func (s *Server) WatchProject(req *pb.WatchProjectRequest, stream grpc.ServerStreamingServer[pb.WatchProjectResponse]) error {
	ctx := stream.Context()
	project := uuid.MustParse(req.GetProjectId())
	sent := store.Revision(req.GetAfterRevision())
	caller, ok := auth.CallerFrom(ctx)
	if !ok {
		return auth.ErrNoCaller
	}
	revisions, err := s.Store.Watch(ctx, project, sent)
	if err != nil {
		return err
	}
	for rev := range revisions {
		for {
			// The right to watch may have ended since: with the membership or the token.
			if err := s.mayWatch(ctx, caller, project); err != nil {
				return err
			}
			if sent >= rev {
				break
			}
			page, err := s.Store.History(ctx, project, store.HistoryQuery{After: sent}, store.Page{})
			if err != nil {
				return err
			}
			if len(page.Entries) == 0 {
				break
			}
			msg := &pb.WatchProjectResponse{}
			for _, e := range page.Entries {
				msg.Entries = append(msg.Entries, s.entryToAPI(ctx, e))
				sent = e.Revision
			}
			msg.Revision = int64(sent)
			if err := stream.Send(msg); err != nil {
				return err
			}
		}
	}
	return ctx.Err()
}

// mayWatch tells whether the caller of a stream that runs for long would still
// be let in.
func (s *Server) mayWatch(ctx context.Context, c auth.Caller, project uuid.UUID) error {
	t, err := s.Store.Token(ctx, c.Token)
	if errors.Is(err, store.ErrNotFound) || (err == nil && !t.Live(s.Now())) {
		return auth.ErrNoCaller
	}
	if err != nil {
		return err
	}
	role, err := auth.RoleIn(ctx, s.Store, c, project)
	if err != nil {
		return err
	}
	if !role.Allows(optionsv1.Permission_PERMISSION_PROJECT_READ) {
		return rpc.ErrDenied
	}
	return nil
}

func (s *Server) entryToAPI(ctx context.Context, e store.Entry) *pb.HistoryEntry {
	return &pb.HistoryEntry{EntryId: e.ID.String(), Revision: int64(e.Revision), Time: timestamppb.New(e.Time),
		Actor: s.actorName(ctx, e.Actor), Role: auth.RoleToAPI(auth.Role(e.Role)), Kind: e.Kind, Text: s.sentence(ctx, e)}
}

// sentence names whoever was removed, whom the entry knows by id.
func (s *Server) sentence(ctx context.Context, e store.Entry) string {
	var r pb.RemoveMemberRequest
	if e.Kind == journal.MemberRevoked && read(e, &r) {
		return strings.TrimSuffix(fmt.Sprintf("removed %s: %s", s.actorName(ctx, r.GetPersonId()), r.GetReason()), ": ")
	}
	return sentence(e)
}

// actorName is the person's name where the actor is one that is known.
func (s *Server) actorName(ctx context.Context, actor string) string {
	id, err := uuid.Parse(actor)
	if err != nil {
		return actor
	}
	p, err := s.Store.Person(ctx, id)
	if err != nil || p.Name == "" {
		return actor
	}
	return p.Name
}
