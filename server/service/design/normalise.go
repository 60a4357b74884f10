package design

import (
	"google.golang.org/protobuf/proto"

	"roodbeam/server/convert"
	"roodbeam/server/document"
	"roodbeam/server/rpc"
)

// normalised reads the quantities of a request in place.
func normalised(req proto.Message, proj *document.Project) error {
	if vs := convert.Normalise(req, convert.DisplayOf(proj.File.GetProject(), proj.File.GetBrief())); len(vs) > 0 {
		return &rpc.InvalidFields{Violations: vs}
	}
	return nil
}
