package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Clearing is a cleared or signed-off finding, by the finding's key.
var Clearing = Register(Kind{
	Name: "clearing",
	New:  func() proto.Message { return &pb.ClearedFinding{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		c := m.(*pb.ClearedFinding)
		p.Cleared[c.GetKey()] = c
	},
})

// Pin is what is glued to a unit, by unit id.
var Pin = Register(Kind{
	Name: "pin",
	New:  func() proto.Message { return &pb.Pin{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		pin := m.(*pb.Pin)
		p.Pins[pin.GetUnit()] = pin
	},
})

// Packet is one issue of a packet, by packet id.
var Packet = Register(Kind{
	Name: "packet",
	New:  func() proto.Message { return &pb.Packet{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) { p.Packets = append(p.Packets, m.(*pb.Packet)) },
})

// Mark is the state of a task, by task id.
var Mark = Register(Kind{
	Name: "mark",
	New:  func() proto.Message { return &pb.TaskMark{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) { p.Marks = append(p.Marks, m.(*pb.TaskMark)) },
})
