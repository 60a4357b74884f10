package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Photo is what is known of one photograph, by its id; the picture is a blob. A
// church's file holds no pictures, so photos stay when a newer file comes.
var Photo = Register(Kind{
	Name: "photo",
	New:  func() proto.Message { return &pb.Photo{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		p.File.Survey.Photos = append(p.File.Survey.Photos, m.(*pb.Photo))
	},
})
