package postgres

import (
	"context"
	"fmt"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

const personColumns = `id, name, email, created`

func scanPerson(r row) (p store.Person, err error) {
	var t pgtype.Timestamptz
	err = r.Scan(&p.ID, &p.Name, &p.Email, &t)
	p.Created = fromInstant(t)
	return p, err
}

func person(ctx context.Context, q querier, id uuid.UUID) (store.Person, error) {
	return one(ctx, q, "person", id.String(), scanPerson, `SELECT `+personColumns+` FROM people WHERE id = $1`, id)
}

// PutPerson implements store.People.
func (s *Store) PutPerson(ctx context.Context, p store.Person) error {
	if err := rule.Person(p); err != nil {
		return err
	}
	return s.change(ctx, func(tx pgx.Tx) error { return putPerson(ctx, tx, p) })
}

func putPerson(ctx context.Context, tx pgx.Tx, p store.Person) error {
	key := pgtype.Text{String: rule.EmailKey(p.Email), Valid: p.Email != ""}
	_, err := tx.Exec(ctx, `
		INSERT INTO people (id, name, email, email_key, created) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT (id) DO UPDATE SET name = excluded.name, email = excluded.email, email_key = excluded.email_key`,
		p.ID, p.Name, p.Email, key, instant(store.Trim(p.Created)))
	if isUnique(err) {
		return &store.Exists{What: "person", ID: p.Email}
	}
	return err
}

// Person implements store.People.
func (s *Store) Person(ctx context.Context, id uuid.UUID) (p store.Person, err error) {
	err = s.run(ctx, func() error {
		p, err = person(ctx, s.pool, id)
		return err
	})
	return p, err
}

// PersonByEmail implements store.People.
func (s *Store) PersonByEmail(ctx context.Context, email string) (p store.Person, err error) {
	if err := rule.Email(email); err != nil {
		return store.Person{}, err
	}
	err = s.run(ctx, func() error {
		p, err = one(ctx, s.pool, "person", email, scanPerson,
			`SELECT `+personColumns+` FROM people WHERE email_key = $1`, rule.EmailKey(email))
		return err
	})
	return p, err
}

// ListPeople implements store.People.
func (s *Store) ListPeople(ctx context.Context, page store.Page) (store.PeoplePage, error) {
	all, next, err := byID(ctx, s, page, []any{"people"}, scanPerson, func(p store.Person) uuid.UUID { return p.ID },
		`SELECT `+personColumns+` FROM people`, where{})
	return store.PeoplePage{People: all, Next: next}, err
}

// byID reads one page of the rows of a query that meet w, sorted by id.
func byID[T any](ctx context.Context, s *Store, page store.Page, fingerprint []any, scan func(row) (T, error), id func(T) uuid.UUID, query string, w where) ([]T, string, error) {
	size, err := rule.Size(page)
	if err != nil {
		return nil, "", err
	}
	keys, err := rule.After(page, 1, fingerprint...)
	if err != nil {
		return nil, "", err
	}
	if keys != nil {
		id, err := uuid.Parse(keys[0])
		if err != nil {
			return nil, "", &store.Invalid{Field: "page.token", Reason: "does not belong to this query"}
		}
		w.and(`id > $%d`, id)
	}
	var all []T
	err = s.run(ctx, func() (err error) {
		all, err = collect(ctx, s.pool, scan, fmt.Sprintf(`%s%s ORDER BY id LIMIT %d`, query, w.sql, size+1), w.args...)
		return err
	})
	if err != nil || len(all) <= size {
		return all, "", err
	}
	all = all[:size]
	return all, rule.Next([]string{id(all[size-1]).String()}, fingerprint...), nil
}
