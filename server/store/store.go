package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// Limits every engine enforces alike; a value beyond one is refused with *TooLarge and nothing is written.
const (
	MaxPayloadBytes     = 4 << 20  // one entry's payload, or one document
	MaxBlobBytes        = 32 << 20 // one photo, drawing or issued packet
	MaxEntriesPerAppend = 1000     // entries in one Append
	MaxTextBytes        = 1000     // any name, label, kind, id or other text
	DefaultPageSize     = 100      // when Page.Size is 0
	MaxPageSize         = 500      // larger sizes are cut to this
	SortKeyBytes        = 256      // of a folded name that count for its place in a list
)

// Revision counts the entries of one project's journal: the first entry has revision 1, each later one is one
// higher, without gaps. 0 is the revision of a project that does not exist yet.
type Revision int64

// At returns a pointer to r, for the expected argument of Append.
func At(r Revision) *Revision { return &r }

// Journal is everything the server keeps. An engine is safe for use by any number of goroutines and holds no
// state that another process on the same data could not see, except the waiting watchers.
//
// Rules common to all methods:
//   - Permission is the caller's business: only services behind the permission interceptor hold a Journal.
//   - Times are UTC with microseconds: finer parts are cut on writing (Trim does the same), so what comes back
//     equals Trim of what went in. A zero time.Time means 'not set'. The store reads no clock.
//   - Texts are valid UTF-8 without NUL, at most MaxTextBytes long, kept byte for byte and compared byte for
//     byte (case matters), except where a comment says 'folded': compared by Fold.
//   - Sorted means by bytes for texts and ids, by instant for times.
//   - Payloads are opaque. A nil payload comes back as nil or empty, without difference in meaning.
//   - A call whose context ends returns an error for which errors.Is(err, ctx.Err()) holds. Nothing was written,
//     unless the end fell into the commit; sending the same ids again settles it.
//   - A wrong argument gives *Invalid or *TooLarge, an unknown id an error that Is ErrNotFound, a closed store
//     ErrClosed, an engine that is busy or unreachable an error that Is ErrUnavailable. In each case nothing changed.
type Journal interface {
	Projects
	Blobs
	Pieces
	People
	Access

	// Ping returns nil when the engine answers a query.
	Ping(ctx context.Context) error

	// Close ends every watch, waits for running calls and releases the engine. Later calls return ErrClosed;
	// a second Close returns nil.
	Close() error
}

// Projects is the journal and what is materialised from it.
type Projects interface {
	// Append writes entries to the project's journal, and their effects to its documents and members, in one
	// transaction, and returns where they landed once that is on disk.
	//
	// An entry already in this project's journal (same id, and same kind, schema version and payload) is not
	// written again and its effects are not applied again; the receipt holds the revision it got the first time.
	// The same id with other content gives *EntryConflict and nothing of the call is written. Ids are compared
	// within the project only.
	//
	// With expected set, at least one new entry and the project at another revision the error is
	// *RevisionMismatch. A call whose entries are all known already succeeds whatever expected says. With
	// expected nil the entries are add-only and land behind whatever is there.
	// A project begins with an Append at expected 0; an Append without expected to an unknown project gives
	// ErrNotFound. Member effects for an unknown person give ErrNotFound.
	Append(ctx context.Context, project uuid.UUID, entries []Entry, expected *Revision) (Receipt, error)

	// Head returns the project's revision, or ErrNotFound.
	Head(ctx context.Context, project uuid.UUID) (Revision, error)

	// Documents returns all documents of the project as one snapshot, sorted by kind, then id; ErrNotFound for an
	// unknown project.
	Documents(ctx context.Context, project uuid.UUID) (State, error)

	// Document returns one document, or ErrNotFound when project or document is unknown.
	Document(ctx context.Context, project uuid.UUID, kind, id string) (Doc, error)

	// Entry returns one journal entry by its id, or ErrNotFound. Effects and Members of it are not kept and are nil.
	Entry(ctx context.Context, project, id uuid.UUID) (Entry, error)

	// History returns journal entries in the order of revision (descending with q.NewestFirst), without Effects
	// and Members. ErrNotFound for an unknown project.
	History(ctx context.Context, project uuid.UUID, q HistoryQuery, page Page) (HistoryPage, error)

	// Watch returns a channel on which the project's revision arrives whenever it is higher than after and than
	// the last one received; the first may arrive at once. Several appends may show as one revision: a slow reader
	// gets the newest only. Revisions come through from other processes on the same data where the engine can
	// carry them (see storetest.Exceptions). The channel is closed when ctx ends or the store closes.
	// ErrNotFound for an unknown project.
	Watch(ctx context.Context, project uuid.UUID, after Revision) (<-chan Revision, error)

	// PutSummary stores the row shown in lists. A summary made at a lower revision than the stored one is dropped
	// without error, so that two servers may write in any order. ErrNotFound for an unknown project.
	PutSummary(ctx context.Context, project uuid.UUID, s Summary) error

	// Project returns the row of one project, or ErrNotFound.
	Project(ctx context.Context, project uuid.UUID) (Listed, error)

	// ListProjects returns the projects that match f. A project without summary is listed with a zero Summary.
	ListProjects(ctx context.Context, f ProjectFilter, page Page) (ProjectPage, error)

	// Member returns the role of a person in a project, or ErrNotFound.
	Member(ctx context.Context, project, person uuid.UUID) (Member, error)

	// Members returns the members of a project sorted by person; ErrNotFound for an unknown project.
	Members(ctx context.Context, project uuid.UUID) ([]Member, error)

	// Memberships returns the memberships of a person sorted by project; none for an unknown person.
	Memberships(ctx context.Context, person uuid.UUID) ([]Member, error)
}

// Blobs keeps bytes under their SHA-256. Blobs belong to no project: a caller must first have checked that a
// document or entry of a project the reader may see names the hash.
type Blobs interface {
	// PutBlob stores the bytes and returns their hash. Bytes already there keep the media type they first had.
	PutBlob(ctx context.Context, b []byte, mediaType string) (Hash, error)

	// GetBlob returns the bytes after checking them against the hash, or ErrNotFound; ErrCorrupt when they differ.
	GetBlob(ctx context.Context, h Hash) (Blob, error)

	// HasBlob tells whether the blob is there.
	HasBlob(ctx context.Context, h Hash) (bool, error)
}

// People keeps who may be named as actor or member.
type People interface {
	// PutPerson creates the person or replaces the one with the same id (Created stays as first written).
	// ErrExists when the e-mail address (folded, if not empty) belongs to someone else.
	PutPerson(ctx context.Context, p Person) error

	// Person returns one person, or ErrNotFound.
	Person(ctx context.Context, id uuid.UUID) (Person, error)

	// PersonByEmail finds by folded e-mail address, or gives ErrNotFound.
	PersonByEmail(ctx context.Context, email string) (Person, error)

	// ListPeople returns everyone sorted by id.
	ListPeople(ctx context.Context, page Page) (PeoplePage, error)
}

// Access keeps tokens and invitations, of each secret only its hash. Expired, revoked and spent ones are returned
// like the others: the caller decides with Live and its own clock.
type Access interface {
	// PutToken stores a new token. Storing the same again is no error; the same id or secret with other content
	// gives ErrExists, an unknown project ErrNotFound.
	PutToken(ctx context.Context, t Token) error

	// TokenByHash returns the token whose secret has this hash, or ErrNotFound.
	TokenByHash(ctx context.Context, secret Hash) (Token, error)

	// Token returns the token of this id, or ErrNotFound.
	Token(ctx context.Context, id uuid.UUID) (Token, error)
	// ListTokens returns the tokens that match f sorted by id.
	ListTokens(ctx context.Context, f TokenFilter, page Page) (TokenPage, error)

	// RevokeToken marks the token as revoked at the given time; one revoked before keeps its first time.
	// ErrNotFound for an unknown id.
	RevokeToken(ctx context.Context, id uuid.UUID, at time.Time) error

	// PutInvitation stores a new invitation under the rules of PutToken. Uses must be 0.
	PutInvitation(ctx context.Context, i Invitation) error

	// InvitationByHash returns the invitation whose secret has this hash, or ErrNotFound.
	InvitationByHash(ctx context.Context, secret Hash) (Invitation, error)

	// Invitation returns the invitation of this id, or ErrNotFound.
	Invitation(ctx context.Context, id uuid.UUID) (Invitation, error)
	// ListInvitations returns the invitations to a project sorted by id; ErrNotFound for an unknown project.
	ListInvitations(ctx context.Context, project uuid.UUID) ([]Invitation, error)

	// Accept counts one use of an invitation and writes what comes of it, the person, their token and the entry
	// that makes them a member, in one transaction: all of it or nothing. ErrNotFound for an unknown invitation,
	// ErrSpent when it is not Live at a.At; of several callers racing for the last use one wins. The token must be
	// one for the invitation's project.
	//
	// An acceptance sent again, known by the id and secret of its token, writes nothing and counts no use; what
	// was written the first time comes back, also when the invitation or the token has ended since. The same id
	// with another secret, or the same secret with another id, gives ErrExists.
	Accept(ctx context.Context, a Acceptance) (Accepted, error)

	// RevokeInvitation marks the invitation as revoked under the rules of RevokeToken.
	RevokeInvitation(ctx context.Context, id uuid.UUID, at time.Time) error
}
