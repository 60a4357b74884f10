package project

import (
	"context"
	"fmt"

	"github.com/google/uuid"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/journal"
	"roodbeam/server/rpc"
	"roodbeam/server/store"
)

// UpdateSettings changes the fields of the mask, or all without one.
func (s *Server) UpdateSettings(ctx context.Context, req *pb.UpdateSettingsRequest) (*pb.WriteResponse, error) {
	proj, err := s.Planner.Load(ctx, req.GetProjectId())
	if err != nil {
		return nil, err
	}
	next := req.GetSettings()
	if paths := req.GetUpdateMask().GetPaths(); len(paths) > 0 {
		next = proto.CloneOf(proj.File.GetProject())
		if err := merge(next, req.GetSettings(), paths); err != nil {
			return nil, err
		}
	}
	effect, err := document.Settings.Put(document.Only, next)
	if err != nil {
		return nil, err
	}
	rev, err := s.Journal.Write(ctx, uuid.MustParse(req.GetProjectId()), req.GetExpectedRevision(),
		journal.Entry{ID: req.GetEntryId(), Kind: journal.ProjectSettings, Said: next, Effects: []store.Effect{effect}})
	if err != nil {
		return nil, err
	}
	return &pb.WriteResponse{Revision: rev}, nil
}

func merge(into, from *pb.ProjectSettings, paths []string) error {
	for i, path := range paths {
		fd := into.ProtoReflect().Descriptor().Fields().ByName(protoreflect.Name(path))
		if fd == nil {
			return &rpc.InvalidFields{Violations: []convert.Violation{{Field: fmt.Sprintf("update_mask.paths[%d]", i), Given: path, Reason: "is no field of the settings"}}}
		}
		into.ProtoReflect().Set(fd, from.ProtoReflect().Get(fd))
	}
	return nil
}
