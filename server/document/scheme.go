package document

import (
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/server/store"
)

// Scheme is one option, by name.
var Scheme = Register(Kind{
	Name: "scheme", InFile: true,
	New: func() proto.Message { return &pb.Scheme{} },
	Fold: func(p *Project, d store.Doc, m proto.Message) {
		p.File.Schemes = append(p.File.Schemes, m.(*pb.Scheme))
		if d.Revision >= p.lastSchemeAt {
			p.LastScheme, p.lastSchemeAt = d.ID, d.Revision
		}
	},
	Split: func(f *pb.ChurchFile, put func(string, proto.Message)) error {
		for _, s := range f.GetSchemes() {
			put(s.GetName(), s)
		}
		return nil
	},
})

// Scheme returns the scheme with a name; an empty name means the chosen one,
// else the one written last. Nil when there is none.
func (p *Project) Scheme(name string) *pb.Scheme {
	if name == "" {
		name = p.File.GetProject().GetChosenScheme()
	}
	if name == "" {
		name = p.LastScheme
	}
	for _, s := range p.File.GetSchemes() {
		if s.GetName() == name {
			return s
		}
	}
	return nil
}
