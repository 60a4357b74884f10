// Package journal writes entries to a project's journal in the name of the
// caller of the request.
package journal

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
	"google.golang.org/protobuf/proto"

	"roodbeam/server/auth"
	"roodbeam/server/document"
	"roodbeam/server/store"
)

// Kinds of entries with a sentence of their own in a project's history; see Put
// and Removed for the others.
const (
	ProjectCreated    = "project.created"
	ProjectSettings   = "project.settings"
	DocumentsPut      = "documents.put"
	MemberGranted     = "member.granted"
	MemberRevoked     = "member.revoked"
	MeasurementAdded  = "measurement.added"
	MeasurementVoided = "measurement.voided"
	FeaturePut        = "feature.put"
	FeatureRemoved    = "feature.removed"
	PhotoAdded        = "photo.added"
	PhotoRemoved      = "photo.removed"
	BriefPut          = "brief.put"
	FixturePut        = "fixture.put"
	PricePut          = "price.put"
	SchemePut         = "scheme.put"
	PacketIssued      = "packet.issued"
	FindingCleared    = "finding.cleared"
	TaskMarked        = "task.marked"
	QuestionAnswered  = "question.answered"
)

// Put is the kind of an entry that puts a document of a kind, and Removed of one
// that removes it; a kind without a constant of its own needs no more.
func Put(k document.Kind) string { return k.Name + ".put" }

// Removed is the kind of an entry that removes a document of a kind.
func Removed(k document.Kind) string { return k.Name + ".removed" }

// Appender is what a Writer needs of the store.
type Appender interface {
	Append(ctx context.Context, project uuid.UUID, entries []store.Entry, expected *store.Revision) (store.Receipt, error)
}

// Writer writes entries with the caller, the role and the time of the request.
type Writer struct {
	Store Appender
	Now   func() time.Time
}

// Entry is one thing said.
type Entry struct {
	ID      string // made by the client
	Kind    string
	Said    proto.Message // what was said, as it came in
	Effects []store.Effect
	Members []store.MemberEffect
}

// Write appends the entries in one transaction. expected < 0 adds them to
// whatever is there; otherwise the project must stand at that revision.
func (w Writer) Write(ctx context.Context, project uuid.UUID, expected int64, entries ...Entry) (int64, error) {
	out, err := w.Entries(ctx, entries...)
	if err != nil {
		return 0, err
	}
	var at *store.Revision
	if expected >= 0 {
		at = store.At(store.Revision(expected))
	}
	r, err := w.Store.Append(ctx, project, out, at)
	return int64(r.Revision), err
}

// Entries returns the entries as the store takes them.
func (w Writer) Entries(ctx context.Context, entries ...Entry) ([]store.Entry, error) {
	caller, ok := auth.CallerFrom(ctx)
	if !ok {
		return nil, auth.ErrNoCaller
	}
	var out []store.Entry
	for _, e := range entries {
		id, err := uuid.Parse(e.ID)
		if err != nil {
			return nil, &store.Invalid{Field: "entry_id", Reason: "must be a UUID"}
		}
		payload, err := proto.MarshalOptions{Deterministic: true}.Marshal(e.Said)
		if err != nil {
			return nil, fmt.Errorf("journal: %s: %w", e.Kind, err)
		}
		out = append(out, store.Entry{ID: id, Actor: caller.Actor(), Role: string(auth.RoleFrom(ctx)), Time: w.Now(),
			Kind: e.Kind, SchemaVersion: document.SchemaVersion, Payload: payload, Effects: e.Effects, Members: e.Members})
	}
	return out, nil
}
