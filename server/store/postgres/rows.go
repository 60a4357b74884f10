package postgres

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"

	"roodbeam/server/store"
)

// row is what pgx.Row and pgx.Rows have in common.
type row interface{ Scan(dest ...any) error }

type querier interface {
	Query(ctx context.Context, query string, args ...any) (pgx.Rows, error)
	QueryRow(ctx context.Context, query string, args ...any) pgx.Row
}

// collect reads all rows of a query.
func collect[T any](ctx context.Context, q querier, scan func(row) (T, error), query string, args ...any) ([]T, error) {
	rows, err := q.Query(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	return all, rows.Err()
}

// one reads the only row of a query, or says what is missing.
func one[T any](ctx context.Context, q querier, what, id string, scan func(row) (T, error), query string, args ...any) (T, error) {
	v, err := scan(q.QueryRow(ctx, query, args...))
	if errors.Is(err, pgx.ErrNoRows) {
		var zero T
		return zero, &store.NotFound{What: what, ID: id}
	}
	return v, err
}

// head returns the revision of a project, or store.ErrNotFound.
func head(ctx context.Context, q querier, project uuid.UUID) (store.Revision, error) {
	return one(ctx, q, "project", project.String(), func(r row) (rev store.Revision, err error) {
		return rev, r.Scan(&rev)
	}, `SELECT revision FROM projects WHERE id = $1`, project)
}

// instant is a time in a column: NULL for the zero time.
func instant(t time.Time) pgtype.Timestamptz { return pgtype.Timestamptz{Time: t, Valid: !t.IsZero()} }

func fromInstant(t pgtype.Timestamptz) time.Time {
	if !t.Valid {
		return time.Time{}
	}
	return t.Time.UTC()
}

// optional is an id in a column: NULL for the zero id.
func optional(id uuid.UUID) uuid.NullUUID { return uuid.NullUUID{UUID: id, Valid: id != uuid.Nil} }

// scanHash fills dst from a column.
func scanHash(dst *store.Hash, b []byte) error {
	if len(b) != len(dst) {
		return errors.New("stored hash has a wrong length")
	}
	copy(dst[:], b)
	return nil
}

// where collects conditions and their arguments, which a condition names with %d.
type where struct {
	sql  string
	args []any
}

func (w *where) and(cond string, args ...any) {
	var numbers []any
	for _, a := range args {
		w.args = append(w.args, a)
		numbers = append(numbers, len(w.args))
	}
	if w.sql == "" {
		w.sql = ` WHERE `
	} else {
		w.sql += ` AND `
	}
	w.sql += fmt.Sprintf(cond, numbers...)
}
