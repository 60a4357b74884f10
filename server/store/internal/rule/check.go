package rule

import (
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"roodbeam/server/store"
)

func text(field, s string) error {
	switch {
	case len(s) > store.MaxTextBytes:
		return &store.TooLarge{Field: field, Size: len(s), Limit: store.MaxTextBytes}
	case !utf8.ValidString(s):
		return &store.Invalid{Field: field, Reason: "must be valid UTF-8"}
	case strings.IndexByte(s, 0) >= 0:
		return &store.Invalid{Field: field, Reason: "must not hold a NUL character"}
	}
	return nil
}

func name(field, s string) error {
	if s == "" {
		return &store.Invalid{Field: field, Reason: "must not be empty"}
	}
	return text(field, s)
}

// ID refuses the zero id.
func ID(field string, id uuid.UUID) error {
	if id == uuid.Nil {
		return &store.Invalid{Field: field, Reason: "must not be the zero id"}
	}
	return nil
}

// minTime and maxTime bound what both engines keep to the microsecond and print as RFC 3339.
var (
	minTime = time.Date(1, 1, 2, 0, 0, 0, 0, time.UTC)
	maxTime = time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC)
)

func optionalTime(field string, t time.Time) error {
	if !t.IsZero() && (t.Before(minTime) || t.After(maxTime)) {
		return &store.Invalid{Field: field, Reason: "must lie within the years 1 to 9999"}
	}
	return nil
}

// Instant refuses the zero time and times beyond what is kept.
func Instant(field string, t time.Time) error {
	if t.IsZero() {
		return &store.Invalid{Field: field, Reason: "must be set"}
	}
	return optionalTime(field, t)
}

func size(field string, n, limit int) error {
	if n > limit {
		return &store.TooLarge{Field: field, Size: n, Limit: limit}
	}
	return nil
}

func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// Append checks the arguments of store.Projects.Append.
func Append(project uuid.UUID, entries []store.Entry, expected *store.Revision) error {
	if err := first(ID("project", project), size("entries", len(entries), store.MaxEntriesPerAppend)); err != nil {
		return err
	}
	if len(entries) == 0 {
		return &store.Invalid{Field: "entries", Reason: "must not be empty"}
	}
	if expected != nil && *expected < 0 {
		return &store.Invalid{Field: "expected", Reason: "must not be negative"}
	}
	for i, e := range entries {
		at := func(field string) string { return fmt.Sprintf("entries[%d].%s", i, field) }
		if err := first(
			ID(at("id"), e.ID),
			text(at("actor"), e.Actor),
			text(at("role"), e.Role),
			Instant(at("time"), e.Time),
			name(at("kind"), e.Kind),
			size(at("payload"), len(e.Payload), store.MaxPayloadBytes),
		); err != nil {
			return err
		}
		for j, f := range e.Effects {
			at := func(field string) string { return fmt.Sprintf("entries[%d].effects[%d].%s", i, j, field) }
			if err := first(
				name(at("kind"), f.Kind),
				name(at("id"), f.ID),
				size(at("payload"), len(f.Payload), store.MaxPayloadBytes),
			); err != nil {
				return err
			}
			if f.Delete && len(f.Payload) > 0 {
				return &store.Invalid{Field: at("payload"), Reason: "must be empty for a deletion"}
			}
		}
		for j, m := range e.Members {
			at := func(field string) string { return fmt.Sprintf("entries[%d].members[%d].%s", i, j, field) }
			if err := first(ID(at("person"), m.Person), text(at("role"), m.Role), text(at("inviter"), m.Inviter)); err != nil {
				return err
			}
		}
	}
	return nil
}

// Document checks the name of a document.
func Document(kind, id string) error { return first(name("kind", kind), name("id", id)) }

// Summary checks the argument of PutSummary.
func Summary(s store.Summary) error {
	if s.Revision < 0 {
		return &store.Invalid{Field: "summary.revision", Reason: "must not be negative"}
	}
	if s.OpenStops < 0 || int64(s.OpenStops) > 1<<31-1 {
		return &store.Invalid{Field: "summary.open_stops", Reason: "must lie within 0 and 2147483647"}
	}
	return first(
		text("summary.input_hash", s.InputHash),
		text("summary.name", s.Name),
		text("summary.town", s.Town),
		text("summary.region", s.Region),
		text("summary.status", s.Status),
		text("summary.owner", s.Owner),
		size("summary.payload", len(s.Payload), store.MaxPayloadBytes),
	)
}

// History checks a query of History.
func History(q store.HistoryQuery) error {
	for i, k := range q.Kinds {
		if err := name(fmt.Sprintf("kinds[%d]", i), k); err != nil {
			return err
		}
	}
	return size("kinds", len(q.Kinds), store.MaxEntriesPerAppend)
}

// Filter checks a filter of ListProjects.
func Filter(f store.ProjectFilter) error {
	if f.Order != store.ByUpdated && f.Order != store.ByName {
		return &store.Invalid{Field: "filter.order", Reason: "must be by time or by name"}
	}
	return first(
		text("filter.text", f.Text),
		text("filter.region", f.Region),
		text("filter.status", f.Status),
		text("filter.owner", f.Owner),
		optionalTime("filter.updated_since", f.UpdatedSince),
	)
}

// Blob checks the arguments of PutBlob.
func Blob(b []byte, mediaType string) error {
	return first(size("blob", len(b), store.MaxBlobBytes), name("media_type", mediaType))
}

// Person checks the argument of PutPerson.
func Person(p store.Person) error {
	return first(ID("person.id", p.ID), text("person.name", p.Name), text("person.email", p.Email), Instant("person.created", p.Created))
}

// Email checks the argument of PersonByEmail.
func Email(s string) error { return name("email", s) }

// Token checks the argument of PutToken.
func Token(t store.Token) error {
	return first(
		ID("token.id", t.ID),
		secret("token.secret", t.Secret),
		text("token.label", t.Label),
		name("token.role", t.Role),
		Instant("token.created", t.Created),
		optionalTime("token.expires", t.Expires),
		optionalTime("token.revoked", t.Revoked),
	)
}

// Invitation checks the argument of PutInvitation.
func Invitation(i store.Invitation) error {
	if i.MaxUses < 0 {
		return &store.Invalid{Field: "invitation.max_uses", Reason: "must not be negative"}
	}
	if i.Uses != 0 {
		return &store.Invalid{Field: "invitation.uses", Reason: "must be 0 in a new invitation"}
	}
	return first(
		ID("invitation.id", i.ID),
		secret("invitation.secret", i.Secret),
		ID("invitation.project", i.Project),
		name("invitation.role", i.Role),
		text("invitation.label", i.Label),
		text("invitation.creator", i.Creator),
		Instant("invitation.created", i.Created),
		optionalTime("invitation.expires", i.Expires),
		optionalTime("invitation.revoked", i.Revoked),
	)
}

func secret(field string, h store.Hash) error {
	if h == (store.Hash{}) {
		return &store.Invalid{Field: field, Reason: "must be the hash of a secret"}
	}
	return nil
}

// Acceptance checks the argument of Accept.
func Acceptance(a store.Acceptance) error {
	return first(ID("invitation", a.Invitation), Instant("at", a.At), Person(a.Person), Token(a.Token), ID("token.project", a.Token.Project),
		Append(a.Token.Project, []store.Entry{a.Entry}, nil))
}

// Piece checks the arguments of PutPiece.
func Piece(p store.Piece) error {
	if p.Offset < 0 {
		return &store.Invalid{Field: "piece.offset", Reason: "must not be negative"}
	}
	if err := first(ID("piece.project", p.Project), ID("piece.upload", p.Upload), name("piece.sender", p.Sender), Instant("piece.created", p.Created),
		size("piece.bytes", len(p.Bytes), store.MaxBlobBytes)); err != nil {
		return err
	}
	if store.HashOf(p.Bytes) != p.Hash {
		return &store.Invalid{Field: "piece.hash", Reason: "is not the hash of the bytes"}
	}
	return nil
}
