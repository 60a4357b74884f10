package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Only is the id of a document of which a project has one.
const Only = "-"

// Settings is the name, place and units of a project.
var Settings = Register(Kind{
	Name: "settings", InFile: true,
	New:  func() proto.Message { return &pb.ProjectSettings{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) { p.File.Project = m.(*pb.ProjectSettings) },
	Split: func(f *pb.ChurchFile, put func(string, proto.Message)) error {
		put(Only, f.GetProject())
		return nil
	},
})
