package sqlite

import (
	"context"
	"database/sql"

	"github.com/google/uuid"

	"roodbeam/server/store"
	"roodbeam/server/store/internal/rule"
)

const personColumns = `id, name, email, created_us`

func scanPerson(r row) (p store.Person, err error) {
	var t sql.NullInt64
	err = r.Scan(&p.ID, &p.Name, &p.Email, &t)
	p.Created = fromInstant(t)
	return p, err
}

func person(ctx context.Context, q querier, id uuid.UUID) (store.Person, error) {
	return one(ctx, q, "person", id.String(), scanPerson, `SELECT `+personColumns+` FROM people WHERE id = ?`, id)
}

// PutPerson implements store.People.
func (s *Store) PutPerson(ctx context.Context, p store.Person) error {
	if err := rule.Person(p); err != nil {
		return err
	}
	return s.change(ctx, func(tx *sql.Tx) error { return putPerson(ctx, tx, p) })
}

func putPerson(ctx context.Context, tx *sql.Tx, p store.Person) error {
	key := sql.NullString{String: rule.EmailKey(p.Email), Valid: p.Email != ""}
	_, err := tx.ExecContext(ctx, `
		INSERT INTO people (id, name, email, email_key, created_us) VALUES (?, ?, ?, ?, ?)
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
		p, err = person(ctx, s.read, id)
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
		p, err = one(ctx, s.read, "person", email, scanPerson,
			`SELECT `+personColumns+` FROM people WHERE email_key = ?`, rule.EmailKey(email))
		return err
	})
	return p, err
}

// ListPeople implements store.People.
func (s *Store) ListPeople(ctx context.Context, page store.Page) (store.PeoplePage, error) {
	all, next, err := byID(ctx, s, page, []any{"people"}, scanPerson, func(p store.Person) uuid.UUID { return p.ID },
		`SELECT `+personColumns+` FROM people WHERE TRUE`)
	return store.PeoplePage{People: all, Next: next}, err
}

// byID reads one page of a query that ends in a WHERE clause, sorted by id.
func byID[T any](ctx context.Context, s *Store, page store.Page, fingerprint []any, scan func(row) (T, error), id func(T) uuid.UUID, query string, args ...any) ([]T, string, error) {
	size, err := rule.Size(page)
	if err != nil {
		return nil, "", err
	}
	keys, err := rule.After(page, 1, fingerprint...)
	if err != nil {
		return nil, "", err
	}
	if keys != nil {
		query, args = query+` AND id > ?`, append(args, keys[0])
	}
	var all []T
	err = s.run(ctx, func() (err error) {
		all, err = collect(ctx, s.read, scan, query+` ORDER BY id LIMIT ?`, append(args, size+1)...)
		return err
	})
	if err != nil || len(all) <= size {
		return all, "", err
	}
	all = all[:size]
	return all, rule.Next([]string{id(all[size-1]).String()}, fingerprint...), nil
}
