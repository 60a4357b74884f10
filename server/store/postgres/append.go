package postgres

import (
	"context"
	"errors"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

// Append implements store.Projects.
func (s *Store) Append(ctx context.Context, project uuid.UUID, entries []store.Entry, expected *store.Revision) (store.Receipt, error) {
	if err := rule.Append(project, entries, expected); err != nil {
		return store.Receipt{}, err
	}
	var receipt store.Receipt
	err := s.change(ctx, func(tx pgx.Tx) error {
		a := appending{tx: tx, project: project}
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
	tx      pgx.Tx
	project uuid.UUID
	head    store.Revision // 0 before the project's first entry
	updated time.Time      // latest time of its entries
	seen    map[uuid.UUID]place
	batch   pgx.Batch // statements that need no answer, sent together
}

// place is where an entry stands and what it says.
type place struct {
	rev     store.Revision
	content store.Hash
}

func (a *appending) run(ctx context.Context, entries []store.Entry, expected *store.Revision) (store.Receipt, error) {
	create := expected != nil && *expected == 0
	if err := a.lock(ctx, create); err != nil {
		return store.Receipt{}, err
	}
	if err := a.find(ctx, entries); err != nil {
		return store.Receipt{}, err
	}
	before := a.head
	placed, fresh, err := a.sort(entries)
	if err != nil {
		return store.Receipt{}, err
	}
	receipt := store.Receipt{Revision: a.head, Entries: placed}
	if len(fresh) == 0 {
		return receipt, nil
	}
	switch {
	case expected != nil && *expected != before:
		return store.Receipt{}, &store.RevisionMismatch{Project: a.project, Expected: *expected, Actual: before}
	case expected == nil && before == 0:
		return store.Receipt{}, &store.NotFound{What: "project", ID: a.project.String()}
	}
	if err := a.knowPeople(ctx, fresh); err != nil {
		return store.Receipt{}, err
	}
	for _, e := range fresh {
		a.write(e)
	}
	a.batch.Queue(`UPDATE projects SET revision = $2, updated = $3 WHERE id = $1`, a.project, a.head, a.updated)
	a.batch.Queue(`SELECT pg_notify($1, $2)`, channel, notice(a.project, a.head)) // sent with the commit
	return receipt, a.tx.SendBatch(ctx, &a.batch).Close()
}

// lock takes the project's row, so that appends to one project follow one another, and reads where it stands.
// A row made here goes with the transaction when that fails.
func (a *appending) lock(ctx context.Context, create bool) error {
	if create {
		// Waits for another transaction that is about to create the same project.
		if _, err := a.tx.Exec(ctx, `INSERT INTO projects (id, revision, updated) VALUES ($1, 0, '-infinity') ON CONFLICT DO NOTHING`, a.project); err != nil {
			return err
		}
	}
	var updated pgtype.Timestamptz
	err := a.tx.QueryRow(ctx, `SELECT revision, updated FROM projects WHERE id = $1 FOR NO KEY UPDATE`, a.project).Scan(&a.head, &updated)
	if errors.Is(err, pgx.ErrNoRows) {
		return nil
	}
	if a.head > 0 {
		a.updated = fromInstant(updated)
	}
	return err
}

// find reads which of the entries the journal has.
func (a *appending) find(ctx context.Context, entries []store.Entry) error {
	a.seen = map[uuid.UUID]place{}
	if a.head == 0 {
		return nil
	}
	ids := make([]uuid.UUID, len(entries))
	for i, e := range entries {
		ids[i] = e.ID
	}
	rows, err := a.tx.Query(ctx, `SELECT id, revision, content FROM entries WHERE project = $1 AND id = ANY ($2)`, a.project, ids)
	if err != nil {
		return err
	}
	var id uuid.UUID
	var p place
	var content []byte
	_, err = pgx.ForEachRow(rows, []any{&id, &p.rev, &content}, func() error {
		if err := scanHash(&p.content, content); err != nil {
			return err
		}
		a.seen[id] = p
		return nil
	})
	return err
}

// sort gives every entry its place, the one it has or the next, and returns those to be written.
func (a *appending) sort(entries []store.Entry) (placed []store.Placed, fresh []store.Entry, err error) {
	before := a.head
	for _, e := range entries {
		content := rule.Content(e)
		have, known := a.seen[e.ID]
		switch {
		case known && have.content != content && have.rev > before:
			return nil, nil, &store.EntryConflict{Project: a.project, Entry: e.ID}
		case known && have.content != content:
			return nil, nil, &store.EntryConflict{Project: a.project, Entry: e.ID, Revision: have.rev}
		case !known:
			a.head++
			have = place{rev: a.head, content: content}
			a.seen[e.ID] = have
			e.Revision = a.head
			fresh = append(fresh, e)
		}
		placed = append(placed, store.Placed{ID: e.ID, Revision: have.rev, Known: known})
	}
	return placed, fresh, nil
}

// knowPeople checks that everyone whose membership changes exists.
func (a *appending) knowPeople(ctx context.Context, entries []store.Entry) error {
	for _, e := range entries {
		for _, m := range e.Members {
			if _, err := person(ctx, a.tx, m.Person); err != nil {
				return err
			}
		}
	}
	return nil
}

// write queues one new entry and its effects.
func (a *appending) write(e store.Entry) {
	t := store.Trim(e.Time)
	if a.updated.IsZero() || t.After(a.updated) {
		a.updated = t
	}
	content := a.seen[e.ID].content
	a.batch.Queue(`
		INSERT INTO entries (project, revision, id, actor, role, time, kind, schema_version, content, payload)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		a.project, e.Revision, e.ID, e.Actor, e.Role, t, e.Kind, e.SchemaVersion, content[:], e.Payload)
	for _, f := range e.Effects {
		a.apply(f, e)
	}
	for _, m := range e.Members {
		a.enrol(m, t)
	}
}

func (a *appending) apply(f store.Effect, e store.Entry) {
	if f.Delete {
		a.batch.Queue(`DELETE FROM documents WHERE project = $1 AND kind = $2 AND id = $3`, a.project, f.Kind, f.ID)
		return
	}
	a.batch.Queue(`
		INSERT INTO documents (project, kind, id, revision, schema_version, payload) VALUES ($1, $2, $3, $4, $5, $6)
		ON CONFLICT (project, kind, id) DO UPDATE
		SET revision = excluded.revision, schema_version = excluded.schema_version, payload = excluded.payload`,
		a.project, f.Kind, f.ID, e.Revision, e.SchemaVersion, f.Payload)
}

func (a *appending) enrol(m store.MemberEffect, since time.Time) {
	if m.Role == "" {
		a.batch.Queue(`DELETE FROM members WHERE project = $1 AND person = $2`, a.project, m.Person)
		a.batch.Queue(`UPDATE tokens SET revoked = coalesce(revoked, $1) WHERE person = $2 AND project = $3`, since, m.Person, a.project)
		return
	}
	a.batch.Queue(`
		INSERT INTO members (project, person, role, since, inviter, same_as) VALUES ($1, $2, $3, $4, $5, $6)
		ON CONFLICT (project, person) DO UPDATE
		SET role = excluded.role, since = excluded.since, inviter = excluded.inviter, same_as = excluded.same_as`,
		a.project, m.Person, m.Role, since, m.Inviter, optional(m.SameAs))
}
