package sqlite

import (
	"context"
	"database/sql"
	"time"

	"github.com/google/uuid"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

// Append implements store.Projects.
func (s *Store) Append(ctx context.Context, project uuid.UUID, entries []store.Entry, expected *store.Revision) (store.Receipt, error) {
	if err := rule.Append(project, entries, expected); err != nil {
		return store.Receipt{}, err
	}
	var receipt store.Receipt
	err := s.change(ctx, func(tx *sql.Tx) error {
		a := appending{tx: tx, project: project, seen: map[uuid.UUID]store.Hash{}}
		var err error
		receipt, err = a.run(ctx, entries, expected)
		return err
	})
	if err != nil {
		return store.Receipt{}, err
	}
	s.hub.Publish(project, receipt.Revision)
	return receipt, nil
}

// appending is one Append inside its transaction.
type appending struct {
	tx      *sql.Tx
	project uuid.UUID
	head    store.Revision // 0 before the project's first entry
	updated time.Time      // latest time of its entries
	seen    map[uuid.UUID]store.Hash
	at      map[uuid.UUID]store.Revision
}

func (a *appending) run(ctx context.Context, entries []store.Entry, expected *store.Revision) (store.Receipt, error) {
	if err := a.load(ctx, entries); err != nil {
		return store.Receipt{}, err
	}
	before := a.head
	fresh, err := a.sort(entries)
	if err != nil {
		return store.Receipt{}, err
	}
	receipt := store.Receipt{Entries: fresh}
	for i, p := range fresh {
		if p.Known {
			continue
		}
		switch {
		case expected != nil && *expected != before:
			return store.Receipt{}, &store.RevisionMismatch{Project: a.project, Expected: *expected, Actual: before}
		case expected == nil && before == 0:
			return store.Receipt{}, &store.NotFound{What: "project", ID: a.project.String()}
		}
		if err := a.write(ctx, entries[i], p.Revision); err != nil {
			return store.Receipt{}, err
		}
	}
	receipt.Revision = a.head
	if a.head == before {
		return receipt, nil
	}
	_, err = a.tx.ExecContext(ctx, `UPDATE projects SET revision = ?, updated_us = ? WHERE id = ?`, a.head, instant(a.updated), a.project)
	return receipt, err
}

// load reads where the project stands and which of the entries it has.
func (a *appending) load(ctx context.Context, entries []store.Entry) error {
	a.at = map[uuid.UUID]store.Revision{}
	var updated sql.NullInt64
	err := a.tx.QueryRowContext(ctx, `SELECT revision, updated_us FROM projects WHERE id = ?`, a.project).Scan(&a.head, &updated)
	if err == sql.ErrNoRows {
		return nil
	}
	if err != nil {
		return err
	}
	a.updated = fromInstant(updated)
	find, err := a.tx.PrepareContext(ctx, `SELECT revision, content FROM entries WHERE project = ? AND id = ?`)
	if err != nil {
		return err
	}
	defer find.Close()
	for _, e := range entries {
		var rev store.Revision
		var content []byte
		err := find.QueryRowContext(ctx, a.project, e.ID).Scan(&rev, &content)
		if err == sql.ErrNoRows {
			continue
		}
		if err != nil {
			return err
		}
		var h store.Hash
		if err := scanHash(&h, content); err != nil {
			return err
		}
		a.seen[e.ID], a.at[e.ID] = h, rev
	}
	return nil
}

// sort gives every entry its place: the one it has, or the next.
func (a *appending) sort(entries []store.Entry) ([]store.Placed, error) {
	placed := make([]store.Placed, len(entries))
	before := a.head
	for i, e := range entries {
		content := rule.Content(e)
		if h, ok := a.seen[e.ID]; ok {
			rev := a.at[e.ID]
			if h != content {
				if rev > before {
					rev = 0
				}
				return nil, &store.EntryConflict{Project: a.project, Entry: e.ID, Revision: rev}
			}
			placed[i] = store.Placed{ID: e.ID, Revision: rev, Known: true}
			continue
		}
		a.head++
		a.seen[e.ID], a.at[e.ID] = content, a.head
		placed[i] = store.Placed{ID: e.ID, Revision: a.head}
	}
	return placed, nil
}

// write puts one new entry into the journal and applies its effects.
func (a *appending) write(ctx context.Context, e store.Entry, rev store.Revision) error {
	t := store.Trim(e.Time)
	if t.After(a.updated) || a.updated.IsZero() {
		a.updated = t
	}
	if rev == 1 {
		if _, err := a.tx.ExecContext(ctx, `INSERT INTO projects (id, revision, updated_us) VALUES (?, 1, ?)`, a.project, instant(t)); err != nil {
			return err
		}
	}
	content := rule.Content(e)
	if _, err := a.tx.ExecContext(ctx, `
		INSERT INTO entries (project, revision, id, actor, role, time_us, kind, schema_version, content, payload)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		a.project, rev, e.ID, e.Actor, e.Role, instant(t), e.Kind, e.SchemaVersion, content[:], e.Payload); err != nil {
		return err
	}
	for _, f := range e.Effects {
		if err := a.apply(ctx, f, rev, e.SchemaVersion); err != nil {
			return err
		}
	}
	for _, m := range e.Members {
		if err := a.enrol(ctx, m, t); err != nil {
			return err
		}
	}
	return nil
}

func (a *appending) apply(ctx context.Context, f store.Effect, rev store.Revision, version int32) error {
	if f.Delete {
		_, err := a.tx.ExecContext(ctx, `DELETE FROM documents WHERE project = ? AND kind = ? AND id = ?`, a.project, f.Kind, f.ID)
		return err
	}
	_, err := a.tx.ExecContext(ctx, `
		INSERT INTO documents (project, kind, id, revision, schema_version, payload) VALUES (?, ?, ?, ?, ?, ?)
		ON CONFLICT (project, kind, id) DO UPDATE
		SET revision = excluded.revision, schema_version = excluded.schema_version, payload = excluded.payload`,
		a.project, f.Kind, f.ID, rev, version, f.Payload)
	return err
}

func (a *appending) enrol(ctx context.Context, m store.MemberEffect, since time.Time) error {
	if _, err := person(ctx, a.tx, m.Person); err != nil {
		return err
	}
	if m.Role == "" {
		if _, err := a.tx.ExecContext(ctx, `DELETE FROM members WHERE project = ? AND person = ?`, a.project, m.Person); err != nil {
			return err
		}
		_, err := a.tx.ExecContext(ctx, `UPDATE tokens SET revoked_us = coalesce(revoked_us, ?) WHERE person = ? AND project = ?`,
			instant(since), m.Person, a.project)
		return err
	}
	_, err := a.tx.ExecContext(ctx, `
		INSERT INTO members (project, person, role, since_us, inviter, same_as) VALUES (?, ?, ?, ?, ?, ?)
		ON CONFLICT (project, person) DO UPDATE
		SET role = excluded.role, since_us = excluded.since_us, inviter = excluded.inviter, same_as = excluded.same_as`,
		a.project, m.Person, m.Role, instant(since), m.Inviter, optional(m.SameAs))
	return err
}
