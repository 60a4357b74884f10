// Package document says which documents a project is stored as, how a church's
// file is split into them and how they are put together again.
//
// A kind of document is one file of this package: it registers its name and
// message and, where it has a place of its own in the project or the church's
// file, how it is folded into the one and split from the other.
package document

import (
	"fmt"
	"sort"

	"github.com/google/uuid"
	"google.golang.org/protobuf/proto"

	pb "roodbeam/api/gen/roodbeam/v1"
	"roodbeam/engine/photometry"
	"roodbeam/server/store"
)

// SchemaVersion is the version in which payloads are written now.
const SchemaVersion = 1

// Project is everything stored of one church at one revision.
type Project struct {
	ID       uuid.UUID
	Revision store.Revision
	File     *pb.ChurchFile
	Cleared  map[string]*pb.ClearedFinding // by finding key
	Pins     map[string]*pb.Pin            // by unit
	Packets  []*pb.Packet                  // by number
	Marks    []*pb.TaskMark                // by task
	Answers  []*pb.StoredAnswer            // as they came
	Authors  map[string]string             // who wrote a scheme last, by its name; filled by the planner where trades have signed
	// LastScheme is the scheme written last, which counts where none is chosen.
	LastScheme string
	// Photometry are the files that the fixtures' beams name, by content hash; the
	// planner reads them.
	Photometry map[string]*photometry.File

	lastSchemeAt store.Revision
	kept         map[string][]Kept // by kind
}

// Kind is one kind of document. Name and New are all that a kind needs; with
// InFile it stands in a church's file too.
type Kind struct {
	Name string // of the documents in the store, and under `extras` of a church's file
	New  func() proto.Message
	// InFile tells whether documents of this kind come from a church's file, so
	// that those missing from a newer file are removed.
	InFile bool
	// Fold puts a document into the project; without it the document is kept for
	// Of, and in the file's extras when the file holds the kind.
	Fold func(p *Project, d store.Doc, m proto.Message)
	// Split takes the documents of this kind out of a file that has a field of
	// their own; without it they stand under the file's extras.
	Split func(f *pb.ChurchFile, put func(id string, m proto.Message)) error
	// Merge returns what is stored of a document that the file has changed, given
	// what is stored now; without it the file's document is stored as it is.
	Merge func(now, file proto.Message) proto.Message
}

// kinds is filled while the package starts, one registration per kind's file,
// and only read afterwards.
var kinds = map[string]Kind{}

// Register makes a kind known. It is called while packages start, by the
// variable that holds the kind.
func Register(k Kind) Kind {
	if _, twice := kinds[k.Name]; twice || k.Name == "" || k.New == nil {
		panic("document: kind " + k.Name + " is registered twice, or lacks its name or message")
	}
	kinds[k.Name] = k
	return k
}

// Put is the effect that writes m as the document id of the kind. Payloads are
// deterministic so that an entry sent twice is the same entry.
func (k Kind) Put(id string, m proto.Message) (store.Effect, error) {
	raw, err := proto.MarshalOptions{Deterministic: true}.Marshal(m)
	if err != nil {
		return store.Effect{}, err
	}
	return store.Effect{Kind: k.Name, ID: id, Payload: raw}, nil
}

// Delete is the effect that removes a document.
func (k Kind) Delete(id string) store.Effect {
	return store.Effect{Kind: k.Name, ID: id, Delete: true}
}

// Assemble puts a project together from its documents.
func Assemble(s store.State) (*Project, error) {
	p := &Project{ID: s.Project, Revision: s.Revision, Cleared: map[string]*pb.ClearedFinding{}, Pins: map[string]*pb.Pin{}, Authors: map[string]string{},
		File: &pb.ChurchFile{Project: &pb.ProjectSettings{}, Survey: &pb.Survey{}, Brief: &pb.Brief{}}}
	for _, d := range s.Docs {
		k, ok := kinds[d.Kind]
		if !ok {
			return nil, fmt.Errorf("document: unknown kind %q: written by a newer server", d.Kind)
		}
		m := k.New()
		if err := proto.Unmarshal(d.Payload, m); err != nil {
			return nil, fmt.Errorf("document: %s %s: %w", d.Kind, d.ID, err)
		}
		if err := k.fold(p, d, m); err != nil {
			return nil, fmt.Errorf("document: %s %s: %w", d.Kind, d.ID, err)
		}
	}
	sort.SliceStable(p.Packets, func(i, j int) bool { return p.Packets[i].GetNumber() < p.Packets[j].GetNumber() })
	return p, nil
}
