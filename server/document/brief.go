package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Brief is what the church wants.
var Brief = Register(Kind{
	Name: "brief", InFile: true,
	New:  func() proto.Message { return &pb.Brief{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) { p.File.Brief = m.(*pb.Brief) },
	Split: func(f *pb.ChurchFile, put func(string, proto.Message)) error {
		if f.GetBrief() != nil {
			put(Only, f.GetBrief())
		}
		return nil
	},
})
