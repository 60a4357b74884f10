package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Fixture is a fixture of the church's own, by code.
var Fixture = Register(Kind{
	Name: "fixture", InFile: true,
	New: func() proto.Message { return &pb.Fixture{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		p.File.Fixtures = append(p.File.Fixtures, m.(*pb.Fixture))
	},
	Split: func(f *pb.ChurchFile, put func(string, proto.Message)) error {
		for _, x := range f.GetFixtures() {
			put(x.GetCode(), x)
		}
		return nil
	},
})

// Price is a price of the church's own, by code.
var Price = Register(Kind{
	Name: "price", InFile: true,
	New: func() proto.Message { return &pb.Price{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		p.File.Prices = append(p.File.Prices, m.(*pb.Price))
	},
	Split: func(f *pb.ChurchFile, put func(string, proto.Message)) error {
		for _, x := range f.GetPrices() {
			put(x.GetCode(), x)
		}
		return nil
	},
})
