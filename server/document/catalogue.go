package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Fixture is a fixture of the church's own, by code.
var Fixture = register(Kind{
	Name: "fixture", InFile: true,
	New: func() proto.Message { return &pb.Fixture{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		p.File.Fixtures = append(p.File.Fixtures, m.(*pb.Fixture))
	},
})

// Price is a price of the church's own, by code.
var Price = register(Kind{
	Name: "price", InFile: true,
	New: func() proto.Message { return &pb.Price{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		p.File.Prices = append(p.File.Prices, m.(*pb.Price))
	},
})
