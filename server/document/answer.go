package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Answer is one answer to a question of the sheets, by entry id. Several may
// stand beside one question; none clears a finding.
var Answer = Register(Kind{
	Name: "answer",
	New:  func() proto.Message { return &pb.StoredAnswer{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) { p.Answers = append(p.Answers, m.(*pb.StoredAnswer)) },
})
