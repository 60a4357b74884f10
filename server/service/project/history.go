package project

import (
	"context"

	"github.com/google/uuid"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/auth"
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
	revisions, err := s.Store.Watch(ctx, project, sent)
	if err != nil {
		return err
	}
	for rev := range revisions {
		for sent < rev {
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

func (s *Server) entryToAPI(ctx context.Context, e store.Entry) *pb.HistoryEntry {
	return &pb.HistoryEntry{EntryId: e.ID.String(), Revision: int64(e.Revision), Time: timestamppb.New(e.Time),
		Actor: s.actorName(ctx, e.Actor), Role: auth.RoleToAPI(auth.Role(e.Role)), Kind: e.Kind, Text: sentence(e)}
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
