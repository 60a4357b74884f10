package store

import (
	"crypto/sha256"
	"encoding/hex"
	"time"

	"github.com/google/uuid"
)

// Entry is one line of a project's journal.
type Entry struct {
	ID            uuid.UUID // made by the client (UUIDv7), so that an entry sent twice counts once
	Project       uuid.UUID // set by the store on reading; on writing the argument of Append counts
	Revision      Revision  // given by the store
	Actor         string    // who wrote it, usually a person's id as text
	Role          string    // the role they acted in
	Time          time.Time // when the server took it in
	Kind          string    // such as 'measurement.added'
	SchemaVersion int32     // version of the payload's schema
	Payload       []byte    // what was said

	Effects []Effect       // applied to the documents in order; not kept with the entry
	Members []MemberEffect // applied to the members in order; not kept with the entry
}

// Effect writes or deletes one document.
type Effect struct {
	Kind    string // kind of document, such as 'measurement' or 'brief'
	ID      string // id within the kind, not empty; a kind with one document per project uses a fixed one
	Delete  bool   // deletes the document; deleting one that is not there is no error
	Payload []byte // the whole document; must be empty with Delete
}

// MemberEffect grants a role in the project (replacing an earlier one) or revokes the membership.
type MemberEffect struct {
	Person uuid.UUID
	Role   string // empty revokes, and with the membership the person's tokens for the project
	// Inviter is the actor who made the invitation, SameAs the member under whose token it was taken up; both may
	// be empty.
	Inviter string
	SameAs  uuid.UUID
}

// Receipt says where entries landed.
type Receipt struct {
	Revision Revision // of the project after the call
	Entries  []Placed // one per entry given, in that order
}

// Placed is one entry's place in the journal.
type Placed struct {
	ID       uuid.UUID
	Revision Revision
	Known    bool // was there before this call, or stood earlier in it
}

// Doc is one document as it stands.
type Doc struct {
	Kind          string
	ID            string
	Revision      Revision // of the entry that wrote it last
	SchemaVersion int32    // of that entry
	Payload       []byte
}

// State is a project at one revision.
type State struct {
	Project  uuid.UUID
	Revision Revision
	Docs     []Doc // sorted by kind, then id
}

// Page asks for a part of a list.
type Page struct {
	Size  int    // 0 gives DefaultPageSize; above MaxPageSize is cut; below 0 is *Invalid
	Token string // from the Next of the page before, with the same query; empty for the first
}

// HistoryQuery chooses journal entries.
type HistoryQuery struct {
	Kinds       []string // of these kinds only; empty for all
	After       Revision // higher than this revision only
	NewestFirst bool
}

// HistoryPage is a part of a journal.
type HistoryPage struct {
	Entries []Entry
	Next    string // empty when this is the last page
}

// Summary is what a list shows of a project, made by the server from its documents and findings.
type Summary struct {
	Revision  Revision // the project revision it was made at
	InputHash string   // hash of everything it rests on (documents, engine, tables), to tell when it is stale
	Name      string
	Town      string
	Region    string // region profile
	Status    string // gate the project stands at
	OpenStops int    // findings of severity stop that are not cleared
	Owner     string // usually a person's id as text
	Payload   []byte // more to show, opaque
}

// Listed is one row of a list of projects.
type Listed struct {
	Project  uuid.UUID
	Revision Revision  // of the project now; higher than Summary.Revision means the summary is stale
	Updated  time.Time // latest Time among its entries
	Summary  Summary
}

// ProjectOrder is the order of a list of projects; ties go by id in the same direction.
type ProjectOrder int

const (
	ByUpdated ProjectOrder = iota // latest first
	ByName                        // by the first SortKeyBytes of the folded name, ascending
)

// ProjectFilter chooses projects; a zero field matches all.
type ProjectFilter struct {
	Text          string    // part of name or town, folded
	Region        string    // exactly this
	Status        string    // exactly this
	Owner         string    // exactly this
	Member        uuid.UUID // of which this person is a member
	OnlyOpenStops bool
	UpdatedSince  time.Time // at or after
	Order         ProjectOrder
}

// ProjectPage is a part of a list of projects.
type ProjectPage struct {
	Projects []Listed
	Next     string
}

// Member is a person's role in a project.
type Member struct {
	Project uuid.UUID
	Person  uuid.UUID
	Role    string
	Since   time.Time // Time of the entry that granted the role
	Inviter string    // actor who made the invitation; empty where there was none
	SameAs  uuid.UUID // member under whose token the invitation was taken up; zero for none known
}

// Hash is a SHA-256.
type Hash [sha256.Size]byte

// HashOf returns the SHA-256 of b.
func HashOf(b []byte) Hash { return sha256.Sum256(b) }

// String returns h as 64 lower-case hexadecimal digits.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// ParseHash reads what String wrote; upper-case digits are read too. Anything else gives *Invalid.
func ParseHash(s string) (Hash, error) {
	var h Hash
	if len(s) != hex.EncodedLen(len(h)) {
		return h, &Invalid{Field: "hash", Reason: "must be 64 hexadecimal digits"}
	}
	if _, err := hex.Decode(h[:], []byte(s)); err != nil {
		return Hash{}, &Invalid{Field: "hash", Reason: "must be 64 hexadecimal digits"}
	}
	return h, nil
}

// Blob is stored bytes.
type Blob struct {
	Hash      Hash
	MediaType string
	Bytes     []byte
}

// Person is someone who may act.
type Person struct {
	ID      uuid.UUID
	Name    string
	Email   string // may be empty; unique (folded) otherwise
	Created time.Time
}

// PeoplePage is a part of the list of people.
type PeoplePage struct {
	People []Person
	Next   string
}

// Token lets its bearer in. The secret itself is never stored.
type Token struct {
	ID      uuid.UUID
	Secret  Hash // SHA-256 of the secret
	Label   string
	Person  uuid.UUID // zero for a token that stands for no person
	Project uuid.UUID // zero for a server-wide token
	Role    string
	Created time.Time
	Expires time.Time // zero for never
	Revoked time.Time // zero for not revoked
}

// Live tells whether the token admits at the given time: not revoked, and before its expiry.
func (t Token) Live(now time.Time) bool {
	return t.Revoked.IsZero() && (t.Expires.IsZero() || now.Before(t.Expires))
}

// TokenFilter chooses tokens; a zero field matches all.
type TokenFilter struct {
	Person  uuid.UUID
	Project uuid.UUID
}

// TokenPage is a part of a list of tokens.
type TokenPage struct {
	Tokens []Token
	Next   string
}

// Invitation lets whoever holds its link join one project in one role. The secret itself is never stored.
type Invitation struct {
	ID      uuid.UUID
	Secret  Hash // SHA-256 of the secret
	Project uuid.UUID
	Role    string
	Label   string
	Creator string // who made it, usually a person's id as text
	Created time.Time
	Expires time.Time // zero for never
	Revoked time.Time // zero for not revoked
	MaxUses int32     // 0 for any number
	Uses    int32
}

// Live tells whether the invitation admits one more at the given time.
func (i Invitation) Live(now time.Time) bool {
	return i.Revoked.IsZero() && (i.Expires.IsZero() || now.Before(i.Expires)) && (i.MaxUses == 0 || i.Uses < i.MaxUses)
}

// Acceptance is one use of an invitation.
type Acceptance struct {
	Invitation uuid.UUID
	At         time.Time
	Person     Person
	Token      Token
	Entry      Entry // of the journal of the invitation's project
}

// Accepted is what an acceptance wrote, at this call or an earlier one.
type Accepted struct {
	Person   Person
	Token    Token
	Revision Revision // of the project after this call; 0 when Known
	Known    bool     // was there before this call
}

// Trim returns t as a store keeps it: UTC, cut (not rounded) to microseconds, without monotonic reading.
func Trim(t time.Time) time.Time {
	if t.IsZero() {
		return time.Time{}
	}
	return t.UTC().Truncate(time.Microsecond)
}
