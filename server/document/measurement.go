package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Measurement is one number somebody took, by id.
var Measurement = Register(Kind{
	Name: "measurement", InFile: true,
	New: func() proto.Message { return &pb.Measurement{} },
	Fold: func(p *Project, _ store.Doc, m proto.Message) {
		p.File.Survey.Measurements = append(p.File.Survey.Measurements, m.(*pb.Measurement))
	},
	Split: func(f *pb.ChurchFile, put func(string, proto.Message)) error {
		for _, m := range f.GetSurvey().GetMeasurements() {
			put(m.GetId(), m)
		}
		return nil
	},
	// A measurement that was struck out stays struck out.
	Merge: func(now, file proto.Message) proto.Message {
		if now.(*pb.Measurement).GetVoid() {
			file.(*pb.Measurement).Void = true
		}
		return file
	},
})
