package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Measurement is one number somebody took, by id.
var Measurement = register(Kind{
	Name: "measurement", InFile: true,
	New: func() proto.Message { return &pb.Measurement{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		p.File.Survey.Measurements = append(p.File.Survey.Measurements, m.(*pb.Measurement))
	},
})
